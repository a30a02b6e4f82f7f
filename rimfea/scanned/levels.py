"""The grey levels of metal and ground: found by themselves, and evened out where light is not."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import scipy
from numpy.typing import NDArray

from rimfea.arrays import Bools, Floats
from rimfea.errors import SectionError

LEVELS = 256
SMOOTHING = 3.0  # grey levels by which the histogram is smoothed before it is cut in two
LEAST_CONTRAST = 30.0  # grey levels between metal and ground
LEAST_OF_NOISE = 4.0  # the same in standard deviations of the noise
AWAY = 4  # px from the edge, where blur no longer reaches
MOST_SAMPLES = 20_000
OUTLIERS = 3.0  # standard deviations beyond which a grey level is dust and not light
PASSES = 2
EDGE = 12  # of the picture's width and height, on which the ground is looked for first
ROUGHLY = 45.0  # grey levels by which it may bend from there
GROUND, METAL = 2, 1  # degrees of the surfaces that the light makes of either


@dataclass(frozen=True)
class Levels:
    """Grey levels (0 black, 255 white) of metal and ground in the middle of the section, of the
    threshold halfway between, and the standard deviation of the noise; ``uneven`` is how much the
    ground's level changes over the section.
    """

    metal: float
    ground: float
    threshold: float
    noise: float
    uneven: float


def otsu(grey: NDArray[np.uint8]) -> float:
    """The level that cuts the smoothed histogram in two classes of least variance.

    Otsu, N. (1979), IEEE Trans. Syst. Man Cybern. 9, 62-66; citation from memory.
    """
    counts = np.bincount(grey.ravel(), minlength=LEVELS).astype(float)
    share = scipy.ndimage.gaussian_filter1d(counts, SMOOTHING)
    level = np.arange(LEVELS) + 0.5
    below, moment = np.cumsum(share), np.cumsum(share * level)
    above = below[-1] - below
    with np.errstate(divide="ignore", invalid="ignore"):
        between = (moment[-1] * below / below[-1] - moment) ** 2 / (below * above)
    between = np.where((below > 0) & (above > 0), between, -1.0)
    # Where no pixel is grey, every cut is as good: take the middle of them.
    best = np.flatnonzero(between >= between.max() * (1 - 1e-9))
    return float(best.mean()) + 1.0


def standing_out(grey: NDArray[np.uint8]) -> tuple[Bools, bool]:
    """What stands out (h, w) from the ground, which meets the edges of the picture, and whether it
    is darker; the face may be a thousandth of the picture, so that no histogram shows it.

    Raises :class:`~rimfea.errors.SectionError` where nothing does.
    """
    height, width = grey.shape
    edge = np.ones(grey.shape, dtype=bool)
    edge[height // EDGE : -height // EDGE, width // EDGE : -width // EDGE] = False
    rough, _ = _surface(grey, edge, METAL)
    ground, noise = _surface(grey, np.abs(grey - rough) < ROUGHLY, GROUND)
    deeper = ground - grey
    least = max(LEAST_CONTRAST, 1.5 * LEAST_OF_NOISE * noise)
    dark, bright = deeper > least, deeper < -least
    is_dark = bool(dark.sum() >= bright.sum())
    seen = dark if is_dark else bright
    if not seen.any():
        raise _too_faint(np.zeros(1))
    # Halfway to what stands out: the blur around it is no part of it.
    return np.abs(deeper) * seen > np.median(np.abs(deeper[seen])) / 2, is_dark


def share_of_metal(grey: NDArray[np.uint8]) -> tuple[Floats, Levels]:
    """How much of each pixel is metal (h, w), 0 on the ground and 1 on the face, the light evened
    out; and the levels. ``grey`` (h, w) has metal darker than the ground.

    Raises :class:`~rimfea.errors.SectionError` where the two can hardly be told apart.
    """
    share = (otsu(grey) - grey.astype(np.float32)) / LEVELS + 0.5
    for _ in range(PASSES):
        inside = share > 0.5
        metal, noise = _surface(grey, scipy.ndimage.binary_erosion(inside, iterations=AWAY), METAL)
        ground, own = _surface(
            grey, ~scipy.ndimage.binary_dilation(inside, iterations=AWAY), GROUND
        )
        step = ground - metal
        if not (step > max(LEAST_CONTRAST, LEAST_OF_NOISE * max(noise, own))).all():
            raise _too_faint(step)
        share = (ground - grey) / step
    middle = tuple(length // 2 for length in grey.shape)
    dark, bright = float(metal[middle]), float(ground[middle])
    levels = Levels(dark, bright, (dark + bright) / 2, max(noise, own), float(np.ptp(ground)))
    return np.asarray(share), levels


def _surface(grey: NDArray[np.uint8], where: Bools, degree: int) -> tuple[Floats, float]:
    """A smooth surface (h, w) through the grey levels of some pixels, and their noise about it."""
    row, column = np.nonzero(where)
    if len(row) < 100:
        raise _too_faint(np.zeros(1))
    every = max(1, len(row) // MOST_SAMPLES)
    row, column = row[::every], column[::every]
    value = grey[row, column].astype(float)
    height, width = grey.shape
    terms = _terms(row / height, column / width, degree)
    keep = np.ones(len(value), dtype=bool)
    for _ in range(PASSES):
        weights, *_ = np.linalg.lstsq(terms[keep], value[keep], rcond=None)
        off = value - terms @ weights
        noise = float(1.4826 * np.median(np.abs(off - np.median(off)))) + 0.3
        keep = np.abs(off) < OUTLIERS * noise
    whole = np.zeros((height, width), dtype=np.float32)
    down = np.arange(height, dtype=np.float32)[:, None] / height
    along = np.arange(width, dtype=np.float32)[None] / width
    for weight, (i, j) in zip(weights, _powers(degree), strict=True):
        whole += np.float32(weight) * down**i * along**j
    return np.asarray(whole), noise


def _powers(degree: int) -> list[tuple[int, int]]:
    return [(i, j) for i in range(degree + 1) for j in range(degree + 1 - i)]


def _terms(down: Floats, along: Floats, degree: int) -> Floats:
    return np.column_stack([down**i * along**j for i, j in _powers(degree)])


def _too_faint(step: Floats) -> SectionError:
    return SectionError(
        "the face can hardly be told from the ground: only "
        f"{max(0.0, float(np.min(step))):.0f} grey levels of 255 lie between them",
        remedy="blacken the sawn face with a marker, lay it on white paper and scan it again",
    )
