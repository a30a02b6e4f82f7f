"""Scans as files: every kind of grey, the scale or the question for it, and what is no scan."""

from __future__ import annotations

import struct
import zlib

import numpy as np
import pytest
from PIL import Image

from rimfea.errors import FileError, SectionError
from rimfea.files.scan import _grey, read_scan

DPI = 300


@pytest.fixture(scope="module")
def grey(scans):
    """A single-walled demo rim at 300 dpi."""
    return scans.scan_of("wheatear", dpi=DPI)


@pytest.fixture
def saved(tmp_path):
    """Save a picture: ``saved("a.png", levels, dpi=(300, 300))``."""

    def save(name, levels, **also):
        path = tmp_path / name
        image = levels if isinstance(levels, Image.Image) else Image.fromarray(levels)
        image.save(path, **also)
        return path

    return save


@pytest.mark.parametrize("name", ["a.png", "a.tif", "a.jpg"])
def test_the_scale_is_the_files_own(saved, grey, name):
    face, how = read_scan(saved(name, grey, dpi=(DPI, DPI)))
    assert how == "as the file says"
    assert face.scale.dpi == pytest.approx(DPI, rel=2e-3)
    assert np.ptp(face.rings[0][:, 0]) == pytest.approx(24.4, abs=5)


def test_what_is_said_counts_more_than_the_file_and_two_points_do_too(saved, grey):
    path = saved("a.png", grey, dpi=(DPI, DPI))
    assert read_scan(path, dpi=600)[0].scale.dpi == pytest.approx(600)
    face, how = read_scan(path, between=((10, 20), (310, 420), 50.0))
    assert (face.scale.x_mm, how) == (0.1, "between two points")


def test_a_known_depth_gives_the_scale(saved, grey, scans):
    corners = scans.section_of("wheatear").outer.corners
    face, how = read_scan(saved("a.png", grey), known=("depth", np.ptp(corners[:, 1])))
    assert face.scale.dpi == pytest.approx(DPI, rel=2e-3)
    assert how == "depth as measured"


@pytest.mark.parametrize(
    ("kind", "tolerance"),
    [("RGB", 0), ("RGBA", 0), ("LA", 0), ("P", 1), ("I;16", 1), ("CMYK", 2), ("upside", 0)],
)
def test_every_kind_of_grey_is_read_as_the_same_levels(saved, grey, kind, tolerance):
    image = Image.fromarray(grey)
    if kind == "I;16":
        path = saved("a.png", grey.astype(np.uint16) * 257)
    elif kind == "upside":  # as a camera held on its head writes it
        tag = Image.Exif()
        tag[0x0112] = 3
        path = saved("a.png", image.rotate(180), exif=tag)
    else:
        path = saved("a.tif" if kind == "CMYK" else "a.png", image.convert(kind))
    found, dpi = _grey(path)
    assert dpi is None
    assert np.abs(found.astype(int) - grey).max() <= tolerance


def test_what_is_transparent_is_white_paper(saved, grey):
    image = Image.fromarray(grey).convert("RGBA")
    image.putalpha(Image.fromarray(np.where(grey > 140, 0, 255).astype(np.uint8)))
    found, _ = _grey(saved("a.png", image))
    assert (found[grey > 140] == 255).all()
    assert (found[grey < 100] == grey[grey < 100]).all()


@pytest.mark.parametrize(
    ("dpi", "told"),
    [
        (None, "the file does not tell its scale"),
        ((72, 72), "the file says 72 dpi, as a camera or a screen does"),
        ((300, 600), "the file says 300 dpi along and 600 up"),
    ],
)
def test_a_scale_that_nobody_tells_is_asked_for(saved, grey, dpi, told):
    path = saved("a.png", grey, **({"dpi": dpi} if dpi else {}))
    with pytest.raises(FileError) as caught:
        read_scan(path)
    assert told in str(caught.value)
    assert "--known depth=21.0" in str(caught.value)


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ({"dpi": 600, "known": ("depth", 21.0)}, "its scale is given twice"),
        ({"dpi": 30}, "30 dpi: allowed 150 to 20000"),
        ({"known": ("height", 21.0)}, "is the overall depth or the outer width"),
        ({"known": ("depth", 2.1)}, "5 to 150 mm"),
        ({"between": ((1, 1), (9, 9), 50)}, "at least 100 pixels apart"),
    ],
)
def test_a_scale_that_cannot_be_is_refused(saved, grey, given, told):
    with pytest.raises(FileError) as caught:
        read_scan(saved("a.png", grey), **given)
    assert told in str(caught.value)


def chunk(kind, data):
    told = struct.pack(">I", len(data)) + kind + data
    return told + struct.pack(">I", zlib.crc32(kind + data))


def bomb(width, height):
    """A PNG of a few kilobytes that unpacks to as many bytes as it has pixels."""
    head = chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0))
    body = chunk(b"IDAT", zlib.compress(bytes(100_000), 9))
    return b"\x89PNG\r\n\x1a\n" + head + body + chunk(b"IEND", b"")


@pytest.mark.parametrize("size", [(9_000, 9_000), (60_000, 60_000), (2_000_000_000, 3)])
def test_a_picture_that_unpacks_to_too_much_is_refused_before_it_is_unpacked(file, size):
    with pytest.raises(FileError, match="more than 64 million pixels; crop it"):
        read_scan(file("a.png", bomb(*size)))


def test_a_tiff_that_claims_too_many_pixels_is_refused(saved, grey):
    path = saved("a.tif", grey)
    raw = bytearray(path.read_bytes())
    (start,) = struct.unpack_from("<I", raw, 4)
    for entry in range(struct.unpack_from("<H", raw, start)[0]):
        at = start + 2 + 12 * entry
        if struct.unpack_from("<H", raw, at)[0] in (256, 257):  # width and height
            struct.pack_into("<HII", raw, at + 2, 4, 1, 1_000_000)
    path.write_bytes(raw)
    with pytest.raises(FileError, match="more than 64 million pixels"):
        read_scan(path)


def test_a_broken_picture_a_drawing_and_a_tiny_one_are_refused(file, saved, grey):
    whole = saved("whole.png", grey).read_bytes()
    for name, raw, told in (
        ("half.png", whole[: len(whole) // 2], "cannot be read|is a broken PNG"),
        ("head.png", b"\x89PNG\r\n\x1a\n" + bytes(30), "cannot be read|is a broken PNG"),
        ("a.csv", b"x,y\n", "is a CSV and no scan"),
    ):
        with pytest.raises(FileError, match=told):
            read_scan(file(name, raw), dpi=300)
    with pytest.raises(FileError, match="40 by 40 pixels, too few"):
        read_scan(saved("b.png", grey[:40, :40]), dpi=300)


def test_a_picture_of_nothing_is_refused_with_its_file(saved):
    empty = np.full((300, 300), 230, dtype=np.uint8)
    with pytest.raises(SectionError, match=r"b\.png: the face can hardly be told"):
        read_scan(saved("b.png", empty), dpi=300)
