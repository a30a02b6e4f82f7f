"""What a bare rim sounds like where its sheet is right, and what tones that were heard tell of it.

Tones are expected as drawn and weighed, with what sheet, metal and joint leave open. Tones that
were heard are first matched (:mod:`rimfea.vary.matched`); they agree where they lie within all that
together, χ² of the misses by their covariance at k = 2. Each is one more reading, of all walls at
once: it moves every length a little, as the scales do (:mod:`rimfea.vary.scales`).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field, replace
from functools import cached_property, lru_cache
from typing import TYPE_CHECKING

import numpy as np
from scipy.special import gammaincinv

from rimfea.arrays import Floats
from rimfea.elastic.harmonics import ONE_DENSE_THREAD
from rimfea.elastic.modes import Kind, Mode
from rimfea.errors import LoadError, MeshError, SheetError
from rimfea.mesh.move import Mover
from rimfea.profile.build import outline as drawn
from rimfea.profile.fields import BY_KEY
from rimfea.profile.filling import MOST_TONES
from rimfea.profile.moved import dimensions, moved
from rimfea.profile.sheet import Sheet
from rimfea.profile.uncertainty import CONFIDENCE, COVERAGE, JOINT, type_b
from rimfea.study.analysis import Analysis, inspect
from rimfea.study.tones import Ringing, ringing, tones
from rimfea.vary.doubt import Doubt, Origin, Source
from rimfea.vary.matched import FARTHEST, matched, missed
from rimfea.vary.scales import Weighed, apart_mm, weighed

if TYPE_CHECKING:
    from rimfea.tapped.tones import Tones

COARSE = 1.6  # triangles: tones are within 0.02 % of those of a fine mesh
# Half-widths, assumed, no source, but that books differ so much on Young's modulus of aluminium:
# 69 to 71 GPa. A weld, a sleeve, the valve hole and a rim a little out of round put every mode off
# by a share of its own, and a phone tells a tone to a hertz.
YOUNGS_SHARE, ROUND_SHARE, HEARD_HZ = 0.015, 0.005, 1.0
HEARD_STANDARD = type_b("a phone tells a tone to 1 Hz", HEARD_HZ).standard
# A form kept on a moved mesh strains the metal by what it turns the section, which is stiff against
# what a mode bends: the square of the step must be as good as nothing.
NUDGE_MM = 1e-6
RECORDED_DIGITS = 1  # of a tone in Hz: far finer than what is expected
SHEETS = 16  # that are remembered


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
    """What readings of the whole hoop, tones or scales, tell of one number of the sheet, in its
    unit: by how much they move it, and its expanded uncertainty before and after.
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

    The scales have moved the tones already; ``doubt`` (s, m) is what they and all that is in doubt
    of the sheet leave of them, ``own`` (e, m) what one standard deviation of each of ``errors``
    puts them off by besides. ``heard`` are the tones of a rim that was tapped, ``recorded`` all of
    the recording that they are from. ``left_out`` says by key why a length has no say.
    """

    looked: Analysis
    weighed: Weighed
    modes: tuple[Mode, ...]
    hertz: Floats
    doubt: Doubt
    errors: tuple[Source, ...]
    own: Floats
    heard: tuple[Hearing, ...] = ()
    recorded: Tones | None = None
    left_out: Mapping[str, str] = field(default_factory=dict)

    def __repr__(self) -> str:
        told = f"{len(self.modes)} tones, {len(self.heard)} heard"
        return f"<Tap of {self.sheet.name}: {told}>"

    @property
    def sheet(self) -> Sheet:
        """The rim's."""
        return self.looked.sheet

    @property
    def covariance(self) -> Floats:
        """That of all tones (m, m), Hz²."""
        return np.asarray(self.doubt.covariance + self.own.T @ self.own)

    @cached_property
    def tones(self) -> tuple[Tone, ...]:
        """The tones to expect, the lowest first."""
        doubts = COVERAGE * np.sqrt(np.diag(self.covariance))
        return tuple(
            Tone(float(hertz), float(open_), mode)
            for hertz, open_, mode in zip(self.hertz, doubts, self.modes, strict=True)
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
        at, gap, own = self._missed
        if not at:
            return math.nan
        cover = self.covariance[np.ix_(at, at)] + np.diag(own**2)
        limit = 2 * gammaincinv(len(at) / 2, CONFIDENCE)
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

    def conditioned(self, numbers: Doubt) -> tuple[Doubt, Floats]:
        """What the tones leave of a doubt that the scales have left, and how much they move each
        number (n,), whether the sheet agrees or not.
        """
        at, gap, own = self._missed
        if not at:
            return numbers, np.zeros(numbers.shares.shape[1])
        phone = tuple(
            Source(Origin.TONES, f"{each.hertz:g} Hz heard", self.sheet.name)
            for each, _ in self.pairs
        )
        errors = np.vstack([self.own[:, at], np.diag(own)])
        seen = self.doubt.shares[:, at]
        left, gain = numbers.read_all(seen, (*self.errors, *phone), errors)
        return left, np.asarray(gap @ gain)

    @cached_property
    def hints(self) -> tuple[Hint, ...]:
        """What the tones tell of each number in doubt, the one they move farthest first."""
        if not self.pairs:
            return ()
        before, _ = self.weighed.conditioned(self.weighed.lengths)
        after, moves = self.conditioned(before)
        doubts = COVERAGE * np.stack([before.standard, after.standard])
        found = (
            Hint(key, float(getattr(self.sheet, key)), *row)
            for key, *row in zip(self.weighed.keys, moves.tolist(), *doubts.tolist(), strict=True)
        )
        return tuple(sorted((each for each in found if each.before), key=_by_far))

    @cached_property
    def _missed(self) -> tuple[list[int], Floats, Floats]:
        readings = [each.hertz for each in self.heard]
        places = [each.place for each in self.heard]
        return missed(self.hertz, readings, HEARD_STANDARD, places)

    def hearing(self, readings: Iterable[float]) -> Tap:
        """The same rim, tapped. Raises :class:`~rimfea.errors.LoadError` for tones that no rim has
        and for too many of them.
        """
        ascending = _checked(readings)
        found = matched(self.hertz, self.covariance, ascending, HEARD_STANDARD)
        hearings = zip(ascending, found.places, found.others, strict=True)
        return replace(self, heard=tuple(Hearing(*each) for each in hearings), recorded=None)

    def listening(self, recorded: Tones) -> Tap:
        """The same rim, tapped and recorded: the loudest of its tones that can be one of those
        expected. Raises :class:`~rimfea.errors.LoadError` where there is none.
        """
        known, highest = BY_KEY["tones_Hz"], (1 + FARTHEST) * self.hertz.max()
        can_be = (recorded.hertz >= known.low) & (recorded.hertz <= min(highest, known.high))
        loudest = np.argsort(np.where(can_be, -recorded.level_dB, np.inf))[: can_be.sum()]
        if not len(loudest):
            raise LoadError(
                f"the recording has no tone below {highest:.0f} Hz, where those of this rim are: "
                "hang it on a string and tap it with a knuckle"
            )
        readings = recorded.hertz[loudest[:MOST_TONES]].round(RECORDED_DIGITS).tolist()
        return replace(self.hearing(readings), recorded=recorded)


def _by_far(hint: Hint) -> float:
    return -abs(hint.far)


def tap(sheet: Sheet, near: Sheet | None = None) -> Tap:
    """The tones to expect of a bare rim, as drawn and weighed, whatever was heard of it; with a rim
    ``near`` it those on the tangent there, as :func:`~rimfea.vary.scales.weighed` has it.
    """
    there = near or sheet
    rung, scales = _rung(there.varied(weighed_mass_g=None, tones_Hz=None)), weighed(sheet, near)
    looked = replace(rung.looked, sheet=sheet)
    drawn_hertz = rung.hertz - apart_mm(there, sheet, scales.keys) @ rung.slope
    shares = scales.lengths.shares @ rung.slope
    # What no drawing shows weighs along.
    shares[-1] -= rung.hertz / 2 * scales.left_out_g / looked.hoop.mass_g
    doubt, shift = scales.conditioned(Doubt(scales.lengths.sources, shares))
    hertz = drawn_hertz + shift
    errors, own = _own(sheet, hertz)
    return Tap(looked, scales, rung.modes, hertz, doubt, errors, own, left_out=rung.left_out)


@dataclass(frozen=True)
class _Rung:
    """A rim as drawn, its tones (m,) and what a mm or a gram of its numbers (k) adds to them."""

    looked: Analysis
    modes: tuple[Mode, ...]
    hertz: Floats
    slope: Floats
    left_out: Mapping[str, str]


@lru_cache(maxsize=SHEETS)
@ONE_DENSE_THREAD  # type: ignore[untyped-decorator]
def _rung(sheet: Sheet) -> _Rung:
    looked = inspect(sheet, coarseness=COARSE)
    rung = ringing(looked)
    slope, left_out = _slopes(looked, rung, weighed(sheet).keys)
    return _Rung(looked, rung.modes, rung.hertz, slope, left_out)


def _checked(heard: Iterable[float]) -> tuple[float, ...]:
    readings, known = tuple(sorted(heard)), BY_KEY["tones_Hz"]
    for each in readings:
        if not known.low <= each <= known.high:
            raise LoadError(f"no rim rings at {each:g} Hz: {known.allowed} can be")
    if len(readings) > MOST_TONES:
        raise LoadError(f"{len(readings)} tones are too many: give the {MOST_TONES} loudest")
    return readings


def _own(sheet: Sheet, hertz: Floats) -> tuple[tuple[Source, ...], Floats]:
    """What tones have beside the numbers, source by source (e, m): Young's modulus, the same in
    all, and of each mode what is not the same all around. That the density is not quite known is
    part of what no drawing shows.
    """
    stiff = type_b(f"books differ by ±{YOUNGS_SHARE:.1%}", YOUNGS_SHARE).standard / 2
    alone = type_b("not the same all around", ROUND_SHARE).standard
    what = ("youngs_GPa", *(f"tone {k + 1}" for k in range(len(hertz))))
    sources = tuple(Source(Origin.TONES, each, sheet.name) for each in what)
    return sources, np.vstack([stiff * hertz, np.diag(alone * hertz)])


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
