"""Sections from outside by the ending of their file, whatever its format."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from types import MappingProxyType

from rimfea.ask.trace import Traced, as_traced, from_drawing, from_scan
from rimfea.errors import FileError
from rimfea.files.from_outside import Kind, kind_of
from rimfea.files.outline_csv import read_outline_csv, write_outline_csv
from rimfea.files.outline_dxf import read_outline_dxf, write_outline_dxf
from rimfea.files.outline_json import read_named, read_outline_json, write_outline_json
from rimfea.files.outline_svg import read_outline_svg, write_outline_svg
from rimfea.files.scan import Point, read_scan
from rimfea.geometry.outline import Outline
from rimfea.profile.build import outline as drawn
from rimfea.profile.trace import Trace
from rimfea.traced.as_traced import trace_of
from rimfea.traced.drawing import Drawing

READERS: Mapping[Kind, Callable[[str | Path, str | None], Drawing]] = MappingProxyType(
    {
        Kind.DXF: read_outline_dxf,
        Kind.SVG: read_outline_svg,
        Kind.CSV: read_outline_csv,
        Kind.JSON: read_outline_json,
    }
)
WRITERS: Mapping[str, Callable[..., None]] = MappingProxyType(
    {
        ".csv": write_outline_csv,
        ".json": write_outline_json,
        ".dxf": write_outline_dxf,
        ".svg": write_outline_svg,
    }
)


def read_section(
    path: str | Path,
    *,
    unit: str | None = None,
    dpi: float | None = None,
    known: tuple[str, float] | None = None,
    between: tuple[Point, Point, float] | None = None,
    mirror: bool = False,
) -> Traced:
    """The section in a DXF, SVG, CSV or JSON, or on a scan or photo (PNG, TIFF, JPEG) of a sawn,
    blackened face, in the axes of a drawn one: its ``outline`` in mm, what was put right, moved
    and left out, and how far a scan's grey level leaves every wall open.

    ``unit`` ("mm" or "inch") counts more than what a drawing says. A scan's scale is ``dpi``, else
    the file's; or a ``known`` dimension, ("depth", mm) or ("width", mm); or two points in pixels
    ``between`` which so many mm lie, ((column, row), (column, row), mm). ``mirror`` puts the calmer
    half of a scan in the place of the other. Raises :class:`~rimfea.errors.FileError` for a file
    that cannot be read, and :class:`~rimfea.errors.SectionError` with the place for what is no
    section of a rim.
    """
    kind = kind_of(path)
    if kind.is_image:
        if unit is not None:
            raise FileError(f"{path}: is a scan: its scale goes by --dpi, not by --unit")
        face, how = read_scan(path, dpi=dpi, known=known, between=between)
        return from_scan(face, str(path), how, mirror=mirror)
    if mirror or dpi is not None or known is not None or between is not None:
        raise FileError(f"{path}: is a drawing: a scale in pixels and --mirror are for scans")
    return from_drawing(READERS[kind](path, unit))


def read_trace(path: str | Path, numbers: Mapping[str, object]) -> Trace:
    """The section in a drawing as a sheet has it: with the names of its walls, if the file has any,
    else as :func:`~rimfea.ask.trace.as_traced` names them for a sheet of these ``numbers``. Raises
    errors of :mod:`rimfea.errors`.
    """
    named = read_named(path) if kind_of(path) is Kind.JSON else None
    if named is not None:
        return trace_of(named, str(path))
    if kind_of(path).is_image:
        raise FileError(f"{path}: is a scan: rimfea trace makes an outline of it")
    plain = read_section(path).outline
    named = drawn(as_traced(plain, **{**numbers, "name": "section"}))
    return trace_of(named, str(path))


def write_section(path: str | Path, outline: Outline, *, overwrite: bool = False) -> None:
    """Write a section in mm as the ending says: .csv, .json, .dxf or .svg.

    Raises :class:`~rimfea.errors.FileError` for another ending, and for a file that is there
    already and not to be overwritten.
    """
    ending = Path(path).suffix.lower()
    if ending not in WRITERS:
        raise FileError(f"{path}: end it in {', '.join(WRITERS)}")
    WRITERS[ending](path, outline, overwrite=overwrite)
