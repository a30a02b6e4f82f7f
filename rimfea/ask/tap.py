"""What a bare rim sounds like where its sheet is right, and whether the rim that was tapped is so.

Tones are expected as drawn and weighed, with what sheet, metal and joint leave open. Tones that
were heard are first matched (:mod:`rimfea.vary.matched`); they agree where they lie within all that
together, χ² of the misses by their covariance at k = 2. Each is one more reading, of all walls at
once: it moves every length a little, as the scales do (:mod:`rimfea.vary.scales`).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from scipy.special import gammaincinv

from rimfea.arrays import Floats
from rimfea.elastic.modes import Kind, Mode
from rimfea.errors import LoadError, MeshError, SheetError
from rimfea.mesh.move import Mover
from rimfea.profile.build import outline as drawn
from rimfea.profile.moved import dimensions, moved
from rimfea.profile.sheet import Sheet
from rimfea.profile.uncertainty import CONFIDENCE, COVERAGE, JOINT, type_b
from rimfea.study.analysis import Analysis, inspect
from rimfea.study.tones import Ringing, ringing, tones
from rimfea.vary.doubt import Doubt, Origin, Source
from rimfea.vary.matched import matched, missed
from rimfea.vary.scales import weighed

COARSE = 1.6  # triangles: tones are within 0.02 % of those of a fine mesh
# Half-widths, assumed, no source, but that books differ so much on Young's modulus of aluminium:
# 69 to 71 GPa. A weld, a sleeve, the valve hole and a rim a little out of round put every mode off
# by a share of its own, and a phone tells a tone to a hertz.
YOUNGS_SHARE, ROUND_SHARE, HEARD_HZ = 0.015, 0.005, 1.0
HEARD_STANDARD = type_b("a phone tells a tone to 1 Hz", HEARD_HZ).standard
YOUNGS = "youngs_GPa"
# A form kept on a moved mesh strains the metal by what it turns the section, which is stiff against
# what a mode bends: the square of the step must be as good as nothing.
NUDGE_MM = 1e-6
LEAST_HZ, MOST_HZ, MOST_TONES = 10.0, 10_000.0, 12


@dataclass(frozen=True)
class Tone:
    """One tone to expect, Hz, with its expanded uncertainty (k = 2), and the mode that it is of."""

    hertz: float
    expanded: float
    mode: Mode

    @property
    def waves(self) -> int:
        """Around the rim."""
        return self.mode.waves

    @property
    def aside(self) -> float:
        """Angle from a place that stays still to the next that moves most, radians."""
        return math.pi / (2 * self.waves)

    @property
    def kind(self) -> Kind:
        """Which way the rim moves."""
        return self.mode.kind


@dataclass(frozen=True)
class Hearing:
    """One tone that was heard, Hz, and the place of what it is among those expected, None where it
    is none of them; ``others`` are what it might be as well.
    """

    hertz: float
    place: int | None
    others: tuple[int | None, ...]


@dataclass(frozen=True)
class Hint:
    """What the tones that were heard tell of one number of the sheet, in its unit: by how much they
    move it, and its expanded uncertainty before and after.
    """

    key: str
    sheet: float
    moved: float
    before: float
    after: float

    @property
    def far(self) -> float:
        """The move by the uncertainty that there was."""
        return self.moved / self.before


@dataclass(frozen=True)
class Tap:
    """A bare rim, the modes that it rings in, the lowest tone first, and their tones (m,), Hz.

    ``doubt`` is that of the tones and, after them, of the lengths ``keys`` (k) of the sheet; the
    scales have moved the tones already. ``heard`` are the tones of a rim that was tapped.
    ``left_out`` says by key why a length has no say.
    """

    looked: Analysis
    modes: tuple[Mode, ...]
    hertz: Floats
    keys: tuple[str, ...]
    doubt: Doubt
    heard: tuple[Hearing, ...] = ()
    left_out: Mapping[str, str] = field(default_factory=dict)

    def __repr__(self) -> str:
        tones = f"{len(self.modes)} tones, {len(self.heard)} heard"
        return f"<Tap of {self.looked.sheet.name}: {tones}>"

    @property
    def sheet(self) -> Sheet:
        """The rim's."""
        return self.looked.sheet

    @cached_property
    def tones(self) -> tuple[Tone, ...]:
        """The tones to expect, the lowest first."""
        doubts = COVERAGE * self.doubt.standard
        return tuple(
            Tone(float(hertz), float(open_), mode)
            for hertz, open_, mode in zip(self.hertz, doubts, self.modes, strict=False)
        )

    @cached_property
    def pairs(self) -> tuple[tuple[Hearing, Tone], ...]:
        """What was heard and is one of the tones expected, with that tone."""
        return tuple(
            (each, self.tones[each.place]) for each in self.heard if each.place is not None
        )

    @cached_property
    def misfit(self) -> float:
        """χ² of what was heard by what it may be off, by its limit at k = 2: up to 1 the sheet
        agrees. NaN where nothing was heard that is expected.
        """
        gap, cover = self._missed
        if not len(gap):
            return math.nan
        limit = 2 * gammaincinv(len(gap) / 2, CONFIDENCE)
        return float(gap @ np.linalg.solve(cover, gap) / limit)

    @property
    def agrees(self) -> bool:
        """Whether the sheet can be that of the rim that was heard."""
        return self.misfit <= 1

    def shares(self, kind: Kind) -> tuple[float, ...]:
        """By which share each tone heard of a kind lies higher than expected."""
        return tuple(
            heard.hertz / tone.hertz - 1 for heard, tone in self.pairs if tone.kind is kind
        )

    def share(self, kind: Kind) -> float:
        """The mean of these; NaN where none was heard."""
        own = self.shares(kind)
        return sum(own) / len(own) if own else math.nan

    @cached_property
    def hints(self) -> tuple[Hint, ...]:
        """What the tones tell of each number in doubt, the one they move farthest first."""
        gap, cover = self._missed
        if not len(gap):
            return ()
        at = [each.place for each in self.heard if each.place is not None]
        lengths = self.doubt.shares[:, len(self.modes) :]
        seen = self.doubt.shares[:, at].T @ lengths
        gain = np.linalg.solve(cover, seen)
        was = self.doubt.standard[len(self.modes) :]
        left = np.sqrt(np.maximum(was**2 - (seen * gain).sum(axis=0), 0.0))
        rows = np.stack([gap @ gain, COVERAGE * was, COVERAGE * left], axis=1).tolist()
        found = (
            Hint(key, float(getattr(self.sheet, key)), *row)
            for key, row in zip(self.keys, rows, strict=True)
        )
        return tuple(sorted(found, key=lambda hint: -abs(hint.far)))

    @cached_property
    def _missed(self) -> tuple[Floats, Floats]:
        count = len(self.modes)
        cover = self.doubt.picked(range(count)).covariance
        readings = [each.hertz for each in self.heard]
        places = [each.place for each in self.heard]
        return missed(self.hertz, cover, readings, HEARD_STANDARD, places)


def tap(sheet: Sheet, heard: Iterable[float] = ()) -> Tap:
    """The tones to expect of a bare rim, and which of them each tone that was ``heard`` is, Hz.

    Raises :class:`~rimfea.errors.LoadError` for tones that no rim has and for too many of them.
    """
    readings = _checked(heard)
    looked = inspect(sheet, coarseness=COARSE)
    rung, known = ringing(looked), weighed(sheet)
    slope, left_out = _slopes(looked, rung, known.keys)
    drawn_doubt = _as_drawn(rung, known.lengths, slope, known.left_out_g / looked.hoop.mass_g)
    doubt, shift = known.conditioned(drawn_doubt)
    hertz = rung.hertz + shift[: len(rung.hertz)]
    whole = _with_metal(doubt, sheet, hertz)
    places = [len(hertz) + k for k in np.flatnonzero(whole.standard[len(hertz) :]).tolist()]
    return Tap(
        looked,
        rung.modes,
        hertz,
        tuple(known.keys[k - len(hertz)] for k in places),
        whole.picked([*range(len(hertz)), *places]),
        _matched(hertz, whole, readings),
        left_out,
    )


def _matched(hertz: Floats, doubt: Doubt, readings: Sequence[float]) -> tuple[Hearing, ...]:
    cover = doubt.picked(range(len(hertz))).covariance
    found = matched(hertz, cover, readings, HEARD_STANDARD)
    hearings = zip(readings, found.places, found.others, strict=True)
    return tuple(Hearing(*each) for each in hearings)


def _checked(heard: Iterable[float]) -> tuple[float, ...]:
    readings = tuple(sorted(heard))
    for each in readings:
        if not LEAST_HZ <= each <= MOST_HZ:
            raise LoadError(f"no rim rings at {each:g} Hz: {LEAST_HZ:g} to {MOST_HZ:g} Hz can be")
    if len(readings) > MOST_TONES:
        raise LoadError(f"{len(readings)} tones are too many: give the {MOST_TONES} loudest")
    return readings


def _as_drawn(rung: Ringing, lengths: Doubt, slope: Floats, left_out: float) -> Doubt:
    """The doubt of tones and lengths before the scales. What no drawing shows, a share of the mass,
    weighs along.
    """
    shares = np.hstack([lengths.shares @ slope, lengths.shares])
    shares[-1, : len(rung.hertz)] -= rung.hertz / 2 * left_out
    return Doubt(lengths.sources, shares)


def _with_metal(doubt: Doubt, sheet: Sheet, hertz: Floats) -> Doubt:
    """The same with what Young's modulus does to all tones, and what each mode has of its own. That
    the density is not quite known is part of what no drawing shows.
    """
    rest = np.zeros(doubt.shares.shape[1] - len(hertz))
    stiff = type_b(f"books differ by ±{YOUNGS_SHARE:.1%}", YOUNGS_SHARE).standard / 2
    metal = Source(Origin.METAL, YOUNGS, sheet.name)
    whole = doubt.also(metal, np.append(stiff * hertz, rest))
    own = type_b("not the same all around", ROUND_SHARE).standard
    for k, tone in enumerate(hertz):
        alone = np.zeros(doubt.shares.shape[1])
        alone[k] = own * tone
        whole = whole.also(Source(Origin.DRAWING, f"tone {k + 1}", sheet.name), alone)
    return whole


def _slopes(looked: Analysis, rung: Ringing, keys: Sequence[str]) -> tuple[Floats, dict[str, str]]:
    """What a mm of every length, and a gram of the joint, adds to the tones (k, m), Hz: those of a
    rim a little different, by the same forms on a mesh moved along.
    """
    mover, able = Mover(looked.outline, looked.mesh), dimensions(looked.sheet)
    slope, left_out = np.zeros((len(keys), len(rung.modes))), {}
    for row, key in enumerate(keys):
        if key == JOINT:
            slope[row] = -rung.hertz / 2 / looked.hoop.mass_g
        elif key in able:
            try:
                slope[row] = _slope(looked, rung, mover, key)
            except (MeshError, SheetError) as error:
                left_out[key] = str(error)
    return slope, left_out


def _slope(looked: Analysis, rung: Ringing, mover: Mover, key: str) -> Floats:
    """The middle of a step up and one down, or one of them where there is no such rim on the other
    side.
    """
    found = []
    for step in (NUDGE_MM, -NUDGE_MM):
        with suppress(MeshError, SheetError):
            sheet = moved(looked.sheet, {key: step})
            mesh = mover.moved(drawn(sheet))
            found.append((tones(sheet, mesh, rung.modes, rung.drilled) - rung.hertz) / step)
    if not found:
        raise MeshError("no mesh of this rim follows it")
    return np.mean(found, axis=0)
