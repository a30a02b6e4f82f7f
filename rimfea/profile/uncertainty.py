"""How well each number of a caliper sheet is known, after JCGM 100:2008 (the GUM).

Every doubt about a number is a :class:`Part`: a standard uncertainty and its degrees of freedom.
The parts of one number are independent, but what the instrument itself is off by is in every number
that was read with it: such a part names its instrument, and two numbers with the same one are
correlated (JCGM 100 5.2.2, F.1.2.3).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import Enum
from statistics import stdev

from scipy.special import stdtrit

from rimfea.profile.field import Field, Kind
from rimfea.profile.fields import FIELDS
from rimfea.profile.sheet import Sheet
from rimfea.profile.values import Readings, shown

COVERAGE = 2.0
CONFIDENCE = math.erf(COVERAGE / math.sqrt(2))  # 95.45 %: what k = 2 covers of a normal law


class Shape(Enum):
    """A law of known half-width; the value is half-width over standard uncertainty (JCGM 100
    4.3.7, 4.3.9 and H.1.3.4).
    """

    RECTANGLE = math.sqrt(3)
    TRIANGLE = math.sqrt(6)
    ARCSINE = math.sqrt(2)


@dataclass(frozen=True)
class Part:
    """One source of doubt in words, its standard uncertainty, in the unit of what is doubted,
    and its degrees of freedom; infinite where the uncertainty itself is beyond doubt. With an
    ``instrument`` it is that one's error, the same in all that it reads. Raises ValueError for a
    negative uncertainty or no freedom at all.
    """

    source: str
    standard: float
    freedom: float = math.inf
    instrument: Instrument | None = None

    def __post_init__(self) -> None:
        """Refuse what would spoil every sum it enters, NaN too."""
        if not (0 <= self.standard < math.inf and self.freedom > 0):
            raise ValueError(f"{self.standard} with {self.freedom} degrees of freedom")


@dataclass(frozen=True)
class Uncertainty:
    """All doubts about one number together; no parts mean it is exact. ``measured`` is False
    where nobody measured it, ``remark`` says what the parts cannot.
    """

    parts: tuple[Part, ...]
    measured: bool = True
    remark: str = ""

    @property
    def standard(self) -> float:
        """Combined standard uncertainty, √Σ u² (JCGM 100 5.1.2)."""
        return math.hypot(*(part.standard for part in self.parts))

    @property
    def own(self) -> float:
        """The same without what the instruments are off by: no other number has that error."""
        return math.hypot(*(part.standard for part in self.parts if part.instrument is None))

    @property
    def freedom(self) -> float:
        """Effective degrees of freedom u⁴ / Σ(uᵢ⁴/νᵢ), Welch and Satterthwaite (JCGM 100 G.4.1);
        not cut to a whole number.
        """
        whole = self.standard
        if not whole:
            return math.inf
        doubt = sum((part.standard / whole) ** 4 / part.freedom for part in self.parts)
        return 1 / doubt if doubt else math.inf

    @property
    def basis(self) -> str:
        """What it consists of, as ``3 readings, instrument ±0.03 mm, resolution 0.01 mm``."""
        return ", ".join([*(part.source for part in self.parts), *filter(None, [self.remark])])

    def expanded(self, coverage: float = COVERAGE) -> float:
        """Half-width of the interval, k times the standard uncertainty (JCGM 100 6.2.1).

        k = 2 covers about 95 % from some ten degrees of freedom on; with fewer ask
        :func:`coverage_factor`.
        """
        return coverage * self.standard


def type_a(values: Sequence[float]) -> Part:
    """Of the mean of repeated readings, s/√n with n − 1 degrees of freedom (JCGM 100 4.2.3).

    Of two or three readings s is itself a guess: the degrees of freedom say so. Raises
    ValueError for fewer than two.
    """
    count = len(values)
    if count < 2:
        raise ValueError("one reading shows no scatter")
    return Part(f"{count} readings", stdev(values) / math.sqrt(count), count - 1)


def type_b(
    source: str, half_width: float, shape: Shape = Shape.RECTANGLE, freedom: float = math.inf
) -> Part:
    """Of a number known to lie within ± ``half_width`` (JCGM 100 4.3)."""
    return Part(source, half_width / shape.value, freedom)


def coverage_factor(freedom: float, confidence: float = CONFIDENCE) -> float:
    """Student's k = t_p(ν), both sides together (JCGM 100 G.3)."""
    return float(stdtrit(freedom, (1 + confidence) / 2))


@dataclass(frozen=True)
class Instrument:
    """What a length is read with, in mm: the half-width it is good for, the step of its display,
    and the standard uncertainty of setting it once: where the jaws sit, how hard they press.

    All its lengths are off alike: a caliper that is not at zero is so at every jaw. ``of_workshop``
    is one with which all rims are read, not those of one sheet only.
    """

    name: str
    half_width_mm: float
    resolution_mm: float
    setting_mm: float
    of_workshop: bool = True


# Common practice for a 150 mm caliper; how well jaws sit on a thin wall is assumed, no source.
CALIPER = Instrument("usual caliper", 0.03, 0.01, 0.02)
# Leaves a quarter of a millimetre apart: the one that fits is at most half a step off.
RADIUS_GAUGE = Instrument("radius gauge", 0.0, 0.25, 0.0)
# Two rods and nipples at opposite holes and their span, assumed, no source.
RODS = Instrument("usual rods", 0.5, 0.1, 0.1)

_EXACT = {
    "bead_seat_diameter_mm": "a size of ISO 5775, taken as exact",
    "spoke_count": "counted",
}
JOINT = "joint_mass_g"
_RADII = frozenset({"crown_radius_mm", "corner_radius_mm", "fillet_radius_mm", "arch_radius_mm"})
_ERD = "erd_mm"
# Told as the difference of two readings, of which some is taken: what an instrument is off by in
# both of them is not in it.
_DIFFERENCES = {"lip_taper_mm": 1.0, "spoke_bed_offset_mm": 0.5}
# How far off a number may be that nobody measured; assumed, no source. An ERD follows from three
# numbers of the sheet, and is off by what nipples and their seats differ from the drawing.
_ASSUMED_SHARE, _ASSUMED_RADIUS_SHARE, _ASSUMED_ERD_MM = 0.15, 0.4, 2.0
_ASSUMED_JOINT_SHARE = 0.5

# How far the proof stress of a batch lies from that of others of its alloy and temper, k = 2, and a
# tensile test from the truth; both assumed, no source. Over all makers it scatters more: the
# Aluminum Design Manual takes 6 % as a standard deviation (citation from memory).
BATCH_SHARE, TESTED_SHARE = 0.05, 0.03

SCALES_G = 1.0  # half-width that common scales are good for; assumed, no source
# Half-widths of what a drawing leaves out of the mass, assumed, no source: corners as extruded and
# the density within its alloy, as a share; the valve hole, g, and a joint that nobody described.
_SHAPE_SHARE, _VALVE_G, _ANY_JOINT_G = 0.01, 1.0, 8.0


def uncertainties(sheet: Sheet, caliper: Instrument = CALIPER) -> Mapping[str, Uncertainty]:
    """How well every length (mm), the joint's mass (g) and each count of a sheet is known, by key.

    Keys without a value are left out, and those that follow from others in this family. What was
    assumed from another number carries only its own doubt: it moves with the other besides.
    """
    return {
        field.key: _of(sheet, field, caliper)
        for field in FIELDS
        if (field.unit == "mm" or field.kind is Kind.COUNT or field.key == JOINT)
        and field.used_by(sheet.family)
        and getattr(sheet, field.key) is not None
    }


def of_proof(sheet: Sheet) -> Uncertainty:
    """How well the proof stress (MPa) is known: a number of the sheet was measured on this metal
    unless it is said to be guessed, one of the table holds for the alloy and not for this batch.
    """
    proof = sheet.metal.proof_MPa
    if sheet.proof_MPa is not None and "proof_MPa" not in sheet.assumed:
        return Uncertainty((type_b(f"tested, ±{TESTED_SHARE:.0%}", TESTED_SHARE * proof),))
    scatter = Part(f"batches scatter by ±{BATCH_SHARE:.0%}", BATCH_SHARE * proof / COVERAGE)
    return Uncertainty((scatter,), measured=False)


def of_scales() -> Part:
    """Of a mass (g) on common scales."""
    return type_b(f"scales ±{SCALES_G:g} g", SCALES_G)


def of_drawing(sheet: Sheet, drawn_g: float) -> Uncertainty:
    """How far the mass (g) of a hoop may be off from a drawing in which every length is right."""
    any_joint = sheet.joint is None and not sheet.joint_mass_g
    shape = type_b(f"corners and density ±{_SHAPE_SHARE:.0%}", _SHAPE_SHARE * drawn_g)
    valve = type_b(f"valve hole ±{_VALVE_G:g} g", _VALVE_G)
    joint = type_b(f"a joint not said ±{_ANY_JOINT_G:g} g", _ANY_JOINT_G)
    return Uncertainty((shape, valve, *([joint] if any_joint else [])))


def _of(sheet: Sheet, field: Field, caliper: Instrument) -> Uncertainty:
    key, measured = field.key, field.key not in sheet.assumed
    used = RODS if key == _ERD else RADIUS_GAUGE if key in _RADII else caliper
    if key in sheet.readings:
        return _repeated(sheet.readings[key], used, caliper)
    if key in _EXACT:
        return Uncertainty((), measured, _EXACT[key] if measured else "nobody counted")
    if measured and key == JOINT:
        return Uncertainty((type_b(f"usual scales ±{SCALES_G:g} g", SCALES_G),))
    if measured and key in _DIFFERENCES:
        return _difference(used, _DIFFERENCES[key])
    if measured:
        return _read_once(used)
    return Uncertainty((_guess(key, getattr(sheet, key)),), measured=False)


def _repeated(readings: Readings, usual: Instrument, caliper: Instrument) -> Uncertainty:
    """Readings that agree are no better than the display's step (JCGM 100 F.2.2.1). Whoever gives
    a tolerance knows the instrument: then it is that, with a display like the caliper's, and reads
    no other rim.
    """
    given, used = readings.tolerance_mm, usual
    if given:
        used = Instrument("instrument", given, caliper.resolution_mm, 0.0, of_workshop=False)
    return Uncertainty((type_a(readings.values), *_of_instrument(used)))


def _read_once(used: Instrument) -> Uncertainty:
    repeats = f" repeatable to {shown(used.setting_mm)} mm" if used.setting_mm else ""
    return Uncertainty((Part(f"one reading{repeats}", used.setting_mm), *_of_instrument(used)))


def _difference(used: Instrument, share: float) -> Uncertainty:
    by = share * math.sqrt(2)
    step = type_b(f"resolution {shown(used.resolution_mm)} mm", used.resolution_mm / 2)
    setting = f"two readings repeatable to {shown(used.setting_mm)} mm"
    return Uncertainty(
        (Part(setting, by * used.setting_mm), replace(step, standard=by * step.standard))
    )


def _of_instrument(used: Instrument) -> tuple[Part, ...]:
    off = type_b(f"{used.name} ±{shown(used.half_width_mm)} mm", used.half_width_mm)
    good_for = replace(off, instrument=used)
    step = type_b(f"resolution {shown(used.resolution_mm)} mm", used.resolution_mm / 2)
    return tuple(part for part in (good_for, step) if part.standard)


AS_DRAWN = type_b(f"not measured, assumed within ±{_ASSUMED_ERD_MM:g} mm", _ASSUMED_ERD_MM)
"""How far the ERD of a drawing may be off, its own numbers taken as true."""


def _guess(key: str, value: float) -> Part:
    if key == _ERD:
        return AS_DRAWN
    usual = _ASSUMED_JOINT_SHARE if key == JOINT else _ASSUMED_SHARE
    share = _ASSUMED_RADIUS_SHARE if key in _RADII else usual
    return type_b(f"not measured, assumed within ±{share:.0%}", share * abs(value))
