"""Files as others may send them."""

from __future__ import annotations

import re
import zlib
from base64 import b64decode
from pathlib import Path
from types import SimpleNamespace
from xml.etree import ElementTree as ET

import numpy as np
import pytest

from rimfea.files.sheet_toml import read_sheet
from rimfea.profile.build import outline

PROFILES = Path(__file__).parents[2] / "profiles"


@pytest.fixture
def curlew():
    """The drawn section of a demo rim."""
    return outline(read_sheet(PROFILES / "curlew.toml"))


@pytest.fixture
def file(tmp_path):
    """Write a file: ``file("a.csv", "x,y\\n...")``."""

    def write(name, content):
        path = tmp_path / name
        path.write_bytes(content if isinstance(content, bytes) else content.encode())
        return path

    return write


@pytest.fixture(scope="session")
def read_grid():
    """The function :func:`grid_of`: test modules cannot import one another."""
    return grid_of


def grid_of(path):
    """A .vtu file as "VTK File Formats" (Kitware) describes it, read without any library of meshes:
    ``points`` (n, 3), ``connectivity``, ``offsets``, ``types``, and ``point_data``, ``cell_data``
    and ``field_data`` by name.
    """
    root = ET.parse(path).getroot()  # noqa: S314 - written a moment ago
    assert (root.tag, root.get("type")) == ("VTKFile", "UnstructuredGrid")
    order = {"LittleEndian": "<", "BigEndian": ">"}[root.get("byte_order")]
    header = np.dtype(order + {"UInt32": "u4", "UInt64": "u8"}[root.get("header_type", "UInt32")])
    assert root.get("compressor") in (None, "vtkZLibDataCompressor")
    grid = root.find("UnstructuredGrid")
    (piece,) = grid.findall("Piece")

    def named(parent, tag):
        found = parent.find(tag)
        arrays = found.findall("DataArray") if found is not None else ()
        zipped = root.get("compressor") is not None
        return {each.get("Name"): _array(each, order, header, zipped=zipped) for each in arrays}

    (points,) = named(piece, "Points").values()
    cells = named(piece, "Cells")
    assert len(points) == int(piece.get("NumberOfPoints"))
    assert len(cells["types"]) == int(piece.get("NumberOfCells"))
    assert cells["offsets"][-1] == len(cells["connectivity"])
    return SimpleNamespace(
        points=points,
        **cells,
        point_data=named(piece, "PointData"),
        cell_data=named(piece, "CellData"),
        field_data=named(grid, "FieldData"),
    )


def _array(element, order, header, *, zipped):
    """One DataArray; binary ones begin with a header, coded by itself: the number of blocks, their
    size, that of the last, and how long each of them is packed.
    """
    letter, bits = re.fullmatch("(Int|UInt|Float)([0-9]+)", element.get("type")).groups()
    dtype = np.dtype(f"{order}{letter[0].lower()}{int(bits) // 8}")
    text = "".join(element.text.split())
    if element.get("format") == "ascii":
        values = np.array(element.text.split(), dtype=dtype)
    else:
        assert element.get("format") == "binary"
        assert zipped
        (count,) = np.frombuffer(
            b64decode(text[: coded(header.itemsize)])[: header.itemsize], header
        )
        head = coded(int(3 + count) * header.itemsize)
        _, size, last, *packed = np.frombuffer(b64decode(text[:head]), header).tolist()
        raw = b64decode(text[head:])
        ends = np.cumsum(packed)
        blocks = [
            zlib.decompress(raw[end - long : end]) for end, long in zip(ends, packed, strict=True)
        ]
        assert [len(block) for block in blocks] == [size] * (count - 1) + [last or size]
        values = np.frombuffer(b"".join(blocks), dtype)
    width = int(element.get("NumberOfComponents", 1))
    return values.reshape(-1, width) if width > 1 else values


def coded(size):
    """How many letters so many bytes take in base 64."""
    return -(-size // 3) * 4
