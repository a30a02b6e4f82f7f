"""Files that somebody else made: looked at before they are read, so that none takes the machine.

A file is told by what it begins with, not by its name alone; it is small enough before any of it
is parsed; nothing that it points to is opened.
"""

from __future__ import annotations

import stat
from collections.abc import Mapping
from enum import Enum
from pathlib import Path
from types import MappingProxyType

from rimfea.errors import FileError, UnitlessError
from rimfea.files.whole_file import file_errors
from rimfea.units import from_unit, units_of

MB = 1024 * 1024
BEGINNING = 4096  # bytes by which a file is told
MOST_POINTS = 100_000
MOST_ENTITIES = 20_000
READABLE = "DXF, SVG, CSV, JSON, PNG, TIFF or JPEG"


class Kind(Enum):
    """A format that is read: its name, the endings of its files, and how large one may be."""

    DXF = "DXF", (".dxf",), 8 * MB
    SVG = "SVG", (".svg",), 8 * MB
    CSV = "CSV", (".csv", ".txt", ".tsv", ".dat", ".xy"), 4 * MB
    JSON = "JSON", (".json", ".geojson"), 8 * MB
    PNG = "PNG", (".png",), 200 * MB
    TIFF = "TIFF", (".tif", ".tiff"), 200 * MB
    JPEG = "JPEG", (".jpg", ".jpeg"), 200 * MB

    def __init__(self, title: str, endings: tuple[str, ...], most_bytes: int) -> None:
        self.title, self.endings, self.most_bytes = title, endings, most_bytes

    @property
    def is_image(self) -> bool:
        """Whether it is a scan or a photo."""
        return self in (Kind.PNG, Kind.TIFF, Kind.JPEG)


# What other files begin with, and what to do about them.
OTHERS: Mapping[bytes, str] = MappingProxyType(
    {
        b"AC10": "is a DWG; save it as DXF",
        b"%PDF": "is a PDF; save it as SVG or DXF, or scan at 600 dpi as PNG",
        b"PK\x03\x04": "is a packed folder (zip); unpack it first",
        b"\x1f\x8b": "is compressed (gzip); unpack it first",
        b"GIF8": "is a GIF; scan as PNG or TIFF",
        b"BM": "is a BMP; save it as PNG",
        b"RIFF": "is no file of an outline; save a picture as PNG",
        b"\x7fELF": "is a program",
        b"MZ": "is a program",
    }
)
IMAGES: Mapping[bytes, Kind] = MappingProxyType(
    {
        b"\x89PNG\r\n\x1a\n": Kind.PNG,
        b"\xff\xd8\xff": Kind.JPEG,
        b"II*\x00": Kind.TIFF,
        b"MM\x00*": Kind.TIFF,
    }
)
BINARY_DXF = b"AutoCAD Binary DXF"


def kind_of(path: str | Path) -> Kind:
    """Which kind of file it is, by its ending and by what it begins with.

    Raises :class:`~rimfea.errors.FileError` where the two do not agree, and for what is missing,
    empty, too large, a folder, a device, or of no kind that is read.
    """
    start = beginning(Path(path), str(path))
    ending = Path(path).suffix.lower()
    named = next((kind for kind in Kind if ending in kind.endings), None)
    found = _told_by(start, named, str(path))
    if named is None:
        told = f"save it as {found.title} with the ending {found.endings[0]}" if found else ""
        told = told or f"an outline is read from {READABLE}"
        raise FileError(f"{path}: the ending {ending or '(none)'} is not known; {told}")
    if found is not named:
        inside = f"it is a {found.title} inside" if found else f"it is no {named.title} inside"
        raise FileError(f"{path}: is called {ending}, but {inside}; give it the ending that it has")
    _small_enough(Path(path), named, str(path))
    return named


def content(path: str | Path, kind: Kind) -> bytes:
    """All of a file of this kind; raises :class:`~rimfea.errors.FileError` as above."""
    found = kind_of(path)
    if found is not kind:
        raise FileError(f"{path}: is a {found.title}, not a {kind.title}")
    with file_errors(path, "read"), Path(path).open("rb") as file:
        raw = file.read(kind.most_bytes + 1)
    if len(raw) > kind.most_bytes:
        raise _too_large(str(path), kind)
    return raw


def text_of(path: str | Path, kind: Kind) -> str:
    """The same as text."""
    raw = content(path, kind)
    wide = raw[:2] in (b"\xff\xfe", b"\xfe\xff")
    try:
        return raw.decode("utf-16" if wide else "utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        raise FileError(f"{path}, line {line}: is no UTF-8 text; save it as UTF-8") from None


def millimetres(
    found: Mapping[str, float], told: str, asked: str | None, path: str | Path
) -> tuple[float, str, str]:
    """How many mm one of the file's units is, its name and how that is known: what was ``asked``
    for, else what the file ``told`` (empty if nothing), by the units ``found`` in such files.

    Raises :class:`~rimfea.errors.UnitlessError` where neither says it.
    """
    if asked is not None:
        if asked not in units_of("length"):
            raise FileError(f"--unit {asked}: is not known; write mm or inch")
        other = f"as you said; the file says {told}" if told and told != asked else "as you said"
        return from_unit(1.0, asked), asked, other
    if told in found:
        return found[told], told, "as the file says"
    says = f"the file says {told!r}, which is not known" if told else "the file does not say"
    raise UnitlessError(
        f"{path}: in which unit was it drawn? {says}: add --unit mm or --unit inch "
        "(in Python unit='mm')"
    )


def too_many(path: str | Path, what: str, most: int) -> FileError:
    """The error of a file that holds more than a section needs."""
    return FileError(
        f"{path}: has more than {most} {what}, and no section needs as many; leave the section "
        "alone in the file"
    )


def beginning(path: Path, name: str) -> bytes:
    """What a file begins with; raises :class:`~rimfea.errors.FileError` for one that is missing,
    empty, a folder or a device.
    """
    with file_errors(name, "read"):
        if not path.exists():
            raise FileError(f"{name}: there is no such file")
        if path.is_dir():
            raise FileError(f"{name}: is a folder, not a file")
        if not stat.S_ISREG(path.stat().st_mode):  # a pipe or a device may never end
            raise FileError(f"{name}: is no plain file")
        with path.open("rb") as file:
            start = file.read(BEGINNING)
    if not start:
        raise FileError(f"{name}: is empty (0 bytes); save or copy it again")
    return start


def _told_by(start: bytes, named: Kind | None, name: str) -> Kind | None:
    for magic, kind in IMAGES.items():
        if start.startswith(magic):
            return kind
    if start.startswith(BINARY_DXF):
        return Kind.DXF
    for magic, told in OTHERS.items():
        if start.startswith(magic):
            raise FileError(f"{name}: {told}")
    if b"ftyp" in start[:16]:
        raise FileError(f"{name}: is a HEIC picture or a film; save a picture as PNG or JPEG")
    return _of_text(start, named)


def _of_text(start: bytes, named: Kind | None) -> Kind | None:
    if start[:2] in (b"\xff\xfe", b"\xfe\xff"):
        start = start[2:].replace(b"\x00", b"")
    if b"\x00" in start:
        return None
    plain = start.removeprefix(b"\xef\xbb\xbf").lstrip()
    if plain.startswith(b"<"):
        # A long comment or a list of entities may stand before the root.
        return Kind.SVG if b"<svg" in plain or b"svg" in plain[:400] or named is Kind.SVG else None
    if plain[:1] in (b"{", b"["):
        return Kind.JSON
    lines = [line.strip() for line in plain.splitlines()[:2]]
    if lines[:1] in ([b"0"], [b"999"]) and (lines[0] == b"999" or lines[1:] == [b"SECTION"]):
        return Kind.DXF
    return Kind.CSV


def _small_enough(path: Path, kind: Kind, name: str) -> None:
    with file_errors(name, "read"):
        size = path.stat().st_size
    if size > kind.most_bytes:
        raise _too_large(name, kind)


def _too_large(name: str, kind: Kind) -> FileError:
    return FileError(
        f"{name}: is larger than {kind.most_bytes // MB} MB, which no {kind.title} of a section "
        "needs; leave the section alone in it"
    )
