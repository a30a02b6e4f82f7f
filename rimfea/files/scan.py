"""Scans and photos of a sawn face: their grey levels and their scale, read by Pillow.

A picture's size is looked at before any of its pixels: a small file may unpack to a very large one.
"""

from __future__ import annotations

import math
import warnings
from pathlib import Path
from typing import TYPE_CHECKING, TypeAlias

import numpy as np
from numpy.typing import NDArray

from rimfea.errors import FileError, SectionError
from rimfea.files.from_outside import kind_of
from rimfea.files.whole_file import file_errors
from rimfea.scanned.scan import Known, Scale, Scanned, scanned

if TYPE_CHECKING:
    from PIL.Image import Image

Point: TypeAlias = tuple[float, float]
MOST_PIXELS = 64_000_000
FEWEST_PIXELS = 100  # each way
# What a file tells below is the usual number of a screen or a camera, and says nothing.
TRUSTED_DPI, LARGEST_DPI = 150.0, 20_000.0
SQUARE = 0.2  # by which the two scales of a scanner may differ
LEAST_TOLD_DPI = 10.0  # a TIFF without any has 1
DEPTHS_MM = (5.0, 150.0)
SCALES = (
    "say it by --dpi 600, or by a dimension that you measured (--known depth=21.0 or width=28.4), "
    "or by two points of the picture (--between 120,40,1302,40=50)"
)


def read_scan(
    path: str | Path,
    *,
    dpi: float | None = None,
    known: tuple[str, float] | None = None,
    between: tuple[Point, Point, float] | None = None,
) -> tuple[Scanned, str]:
    """The face of a scan, and how its scale is known.

    The scale is that of a ``known`` dimension, ("depth", mm) over all or ("width", mm) outside; of
    two points of the picture ``between`` which so many mm lie, each as (column, row) from the upper
    left in pixels; of ``dpi``; or else the file's own. Raises
    :class:`~rimfea.errors.FileError` and :class:`~rimfea.errors.SectionError`.
    """
    if sum(given is not None for given in (dpi, known, between)) > 1:
        raise FileError(f"{path}: its scale is given twice; {SCALES}")
    grey, own = _grey(path)
    try:
        if known:
            return scanned(grey, Scale(1.0, 1.0), _checked(known, path)), f"{known[0]} as measured"
        scale, how = _scale(path, dpi, own, between)
        return scanned(grey, scale), how
    except SectionError as error:
        raise error.within(str(path)) from None


def _scale(
    path: str | Path,
    dpi: float | None,
    own: tuple[float, float] | None,
    between: tuple[Point, Point, float] | None,
) -> tuple[Scale, str]:
    if between:
        (x_1, y_1), (x_2, y_2), mm = between
        apart = math.hypot(x_2 - x_1, y_2 - y_1)
        if not (apart >= FEWEST_PIXELS and 0 < mm < math.inf):
            raise FileError(
                f"{path}: the two points must lie at least {FEWEST_PIXELS} pixels apart, and so "
                "many mm; take them as far apart as you can"
            )
        return Scale(mm / apart, mm / apart), "between two points"
    if dpi is not None:
        if not TRUSTED_DPI <= dpi <= LARGEST_DPI:
            raise FileError(
                f"{path}: {dpi:g} dpi: allowed {TRUSTED_DPI:g} to {LARGEST_DPI:g}; scan at 600"
            )
        return Scale(25.4 / dpi, 25.4 / dpi), "as you said"
    if own is None or not all(TRUSTED_DPI <= each <= LARGEST_DPI for each in own):
        says = f"the file says {own[0]:.0f} dpi, as a camera or a screen does" if own else ""
        raise FileError(f"{path}: {says or 'the file does not tell its scale'}; {SCALES}")
    if abs(own[0] - own[1]) > SQUARE * own[0]:
        raise FileError(
            f"{path}: the file says {own[0]:.0f} dpi along and {own[1]:.0f} up; {SCALES}"
        )
    return Scale(25.4 / own[0], 25.4 / own[1]), "as the file says"


def _checked(known: tuple[str, float], path: str | Path) -> Known:
    what, mm = known
    low, high = DEPTHS_MM
    if what not in ("depth", "width") or not low <= mm <= high:
        raise FileError(
            f"{path}: a known dimension is the overall depth or the outer width, {low:g} to "
            f"{high:g} mm: depth=21.0"
        )
    return Known(what, mm)


def _grey(path: str | Path) -> tuple[NDArray[np.uint8], tuple[float, float] | None]:
    """Grey levels (h, w), and the file's own dpi along and up, if it tells them."""
    from PIL import Image as pillow  # noqa: N813, PLC0415 -- only who reads a scan waits for it

    kind = kind_of(path)
    if not kind.is_image:
        raise FileError(f"{path}: is a {kind.title} and no scan")
    with warnings.catch_warnings(), file_errors(path, "read"):
        warnings.simplefilter("ignore")  # of a damaged file, which an error follows
        try:
            with pillow.open(path, formats=[kind.title]) as image:
                return _levels(image, path)
        except pillow.DecompressionBombError:
            raise _too_many(path) from None
        except (SyntaxError, EOFError, MemoryError, ArithmeticError, LookupError) as error:
            raise FileError(f"{path}: is a broken {kind.title}: {error}") from None


def _levels(image: Image, path: str | Path) -> tuple[NDArray[np.uint8], tuple[float, float] | None]:
    from PIL import ImageOps  # noqa: PLC0415

    width, height = image.size
    if width * height > MOST_PIXELS:
        raise _too_many(path)
    if min(width, height) < FEWEST_PIXELS:
        raise FileError(f"{path}: is {width} by {height} pixels, too few for a section")
    told = image.info.get("dpi")
    upright = ImageOps.exif_transpose(image)  # as the camera was held
    turned = upright.size != image.size
    grey = _of_mode(upright)
    dpi = (float(told[0]), float(told[1])) if told else None
    if dpi is None or not all(LEAST_TOLD_DPI < each < math.inf for each in dpi):
        return grey, None
    return grey, dpi[::-1] if turned else dpi


def _of_mode(image: Image) -> NDArray[np.uint8]:
    """The grey levels of a picture of any kind; what is transparent lies on white paper."""
    from PIL import Image as pillow  # noqa: N813, PLC0415

    if image.mode in ("I", "I;16", "I;16B", "I;16L", "F"):  # sixteen bits of grey
        deep = np.asarray(image).astype(np.float32)
        return np.asarray(np.clip(deep / 257.0, 0, 255).round().astype(np.uint8))
    if image.mode in ("RGBA", "LA", "PA") or "transparency" in image.info:
        seen = image.convert("RGBA")
        paper = pillow.new("RGBA", seen.size, (255, 255, 255, 255))
        image = pillow.alpha_composite(paper, seen)
    return np.array(image.convert("L"))


def _too_many(path: str | Path) -> FileError:
    return FileError(
        f"{path}: has more than {MOST_PIXELS // 1_000_000} million pixels; crop it to the section, "
        "or scan at 600 dpi"
    )
