"""Walls that nobody measured, by scales and tones: how near, how sure, what helps next."""

from __future__ import annotations

import math

import numpy as np
import pytest

from rimfea.profile.families import Family
from rimfea.profile.moved import dimensions, unmeasured_walls
from rimfea.profile.uncertainty import of_scales
from rimfea.study.analysis import inspect
from rimfea.study.tones import ringing
from rimfea.vary import tap as rings
from rimfea.vary import unsawn as module
from rimfea.vary.doubt import Origin
from rimfea.vary.known import known
from rimfea.vary.scales import drawn_mass_g, weighed, with_values
from rimfea.vary.unsawn import MASS, TONES, unsawn
from tests.numbers import COARSE_TONES

pytestmark = pytest.mark.usefixtures("coarse_tones")
HIDDEN = ("tyre_well_mm", "bead_seat_mm", "flank_mm")
CURLEW = {
    "name": "dunnock",
    "bead_seat_diameter_mm": 622,
    "inner_width_mm": 24.0,
    "overall_depth_mm": 21.0,
    "bead_hook_mm": 1.9,
    "hook_lip_mm": 2.1,
    "sidewall_mm": 1.22,
    "tyre_well_mm": 0.9,
    "nipple_seat_mm": 2.3,
    "hook_height_mm": 5.7,
    "bead_seat_mm": 1.1,
    "flank_mm": 0.9,
    "tyre_well_depth_mm": 3.4,
    "tyre_well_width_mm": 14.8,
    "spoke_bed_width_mm": 14.5,
    "spoke_count": 28,
    "guessed": HIDDEN,
}


@pytest.fixture(scope="module")
def true(sheet_of):
    return sheet_of(**CURLEW)


@pytest.fixture(scope="module")
def tones(true):
    return ringing(inspect(true, coarseness=COARSE_TONES)).hertz


def told(true, tones, count=4, **guesses):
    """What is told of a rim weighed and heard as it is, with such guesses in its sheet."""
    heard = [*map(float, tones[:count])]
    return unsawn(true.varied(weighed_mass_g=drawn_mass_g(true), tones_Hz=heard, **guesses))


def by_key(found):
    return {each.key: each for each in found.walls}


def guessed(**values):
    return {**values, "guessed": HIDDEN}


def test_walls_that_nobody_measured_are_those_guessed_and_those_assumed(sheet_of, true):
    assert unmeasured_walls(true) == HIDDEN
    assert unmeasured_walls(true.varied(guessed=["flank_mm"])) == ("flank_mm",)
    assert unmeasured_walls(sheet_of()) == ("bead_seat_mm", "flank_mm")
    assert "spoke_bed_mm" in unmeasured_walls(sheet_of(Family.THICKENED))


@pytest.mark.long
def test_as_sure_as_scales_and_tones_make_it(true, tones):
    """Of three walls that nobody measured ±0.16, ±0.19 and ±0.16 mm are left ±0.13, ±0.17 and
    ±0.10; where two are measured the last is known to ±0.06.
    """
    before = {"tyre_well_mm": 0.156, "bead_seat_mm": 0.191, "flank_mm": 0.156}
    for hidden, after in (
        (HIDDEN, {"tyre_well_mm": 0.128, "bead_seat_mm": 0.170, "flank_mm": 0.102}),
        (("tyre_well_mm", "flank_mm"), {"tyre_well_mm": 0.126, "flank_mm": 0.085}),
        (("flank_mm",), {"flank_mm": 0.057}),
    ):
        walls = by_key(told(true, tones, guessed=hidden))
        for key, left in after.items():
            assert walls[key].before == pytest.approx(before[key], abs=0.002)
            assert walls[key].after == pytest.approx(left, rel=0.05)


@pytest.mark.long
def test_guesses_all_too_thick_by_all_they_may_be_are_put_right(true, tones):
    """Flank and well 0.15 mm too thick: as a caliper's sheet it would be held to be wrong."""
    found = told(true, tones, **guessed(tyre_well_mm=1.05, flank_mm=1.05))
    assert not known(found.sheet).weighed.agrees
    assert found.weighs
    assert found.hears
    for wall in found.walls:
        error = wall.sheet + wall.moved - getattr(true, wall.key)
        assert abs(error) < 0.6 * wall.after
    assert abs(by_key(found)["flank_mm"].moved) > 0.1


@pytest.mark.long
def test_the_guess_stays_the_guess_where_slopes_are_taken_anew(true, tones):
    """A third time along new slopes tells the same; the second told otherwise than the first."""
    found = told(true, tones, **guessed(tyre_well_mm=1.05, flank_mm=0.78))
    sheet, scales = found.sheet, found.known.weighed
    first = known(sheet, sheet).conditioned(scales.lengths)[1]
    second = found.known.conditioned(scales.lengths)[1]
    third = known(sheet, module._moved(sheet, found.known)).conditioned(scales.lengths)[1]
    k = [scales.keys.index(key) for key in HIDDEN]
    corrected = np.abs(second - first)[k].max()
    assert corrected > 0.001
    assert np.abs(third - second)[k].max() < 0.3 * corrected


@pytest.mark.long
def test_the_tangent_has_mass_and_tones_of_the_rim_it_touches(true):
    near = with_values(true, ["flank_mm", "tyre_well_mm"], [0.8, 1.0])
    scales, bell = weighed(true, near), rings.tap(true, near)
    step = np.zeros(len(scales.keys))
    step[[scales.keys.index("flank_mm"), scales.keys.index("tyre_well_mm")]] = -0.1, 0.1
    assert scales.drawn_g + step @ scales.per_mm_g == pytest.approx(drawn_mass_g(near))
    heard = ringing(inspect(near, coarseness=COARSE_TONES)).hertz
    slope = rings._rung(near).slope
    np.testing.assert_allclose(bell.hertz + step @ slope, heard, rtol=1e-9)


def test_scales_further_off_than_any_guesses_explain_tell_nothing(true, tones):
    found = told(true, tones, **guessed(tyre_well_mm=1.3, flank_mm=1.3))
    assert not found.weighs
    assert not found.hears
    assert found.walls == ()
    assert found.alike == ()


@pytest.mark.long
def test_tones_that_do_not_agree_leave_it_to_the_scales(true, tones):
    found = told(true, 0.9 * tones)
    assert found.weighs
    assert not found.hears
    alone = told(true, tones, count=0)
    for ours, theirs in zip(found.walls, alone.walls, strict=True):
        assert ours.after == pytest.approx(theirs.after, rel=0.05)
        assert ours.moved == pytest.approx(theirs.moved, abs=0.02)


def test_a_rim_whose_walls_were_all_measured_has_nothing_to_tell(true, tones):
    found = told(true, tones, guessed=[])
    assert found.keys == ()
    assert found.walls == ()


@pytest.mark.long
def test_the_valve_hole_helps_most_and_as_much_as_is_said(true, tones):
    """Measured in truth, with the same sheet, it leaves of the others what was foretold."""
    found = told(true, tones)
    best = found.gains[0]
    assert best.key == "tyre_well_mm"
    assert not {"flank_mm", "bead_seat_mm"} & {gain.key for gain in found.gains}
    walls = by_key(told(true, tones, guessed=("bead_seat_mm", "flank_mm")))
    for key, after in zip(found.keys, best.after, strict=True):
        if key in walls:
            assert after == pytest.approx(walls[key].after, rel=0.02)


@pytest.mark.parametrize(
    ("missing", "count"), [(MASS, 4), pytest.param(TONES, 0, marks=pytest.mark.long)]
)
def test_scales_or_tones_that_are_missing_are_worth_what_is_foretold(true, tones, missing, count):
    heard = [*map(float, tones[:count])]
    mass = {} if missing == MASS else {"weighed_mass_g": drawn_mass_g(true)}
    found = unsawn(true.varied(tones_Hz=heard, **mass))
    (gain,) = (each for each in found.gains if each.key == missing)
    walls = by_key(told(true, tones))
    expected = [walls[key].after for key in found.keys]
    np.testing.assert_allclose(gain.after, expected, rtol=0.02)


@pytest.mark.long
def test_walls_of_which_only_the_sum_is_known_are_named(true, tones):
    found = told(true, tones)
    assert ("tyre_well_mm", "flank_mm") in found.alike
    well = told(true, tones, guessed=("bead_seat_mm", "flank_mm"))
    assert ("tyre_well_mm", "flank_mm") not in well.alike


class Drawn:
    """A true rim for a sheet: guesses anywhere within their bounds, all else as it is in doubt."""

    def __init__(self, sheet, random):
        scales = weighed(sheet)
        sources = scales.lengths.sources
        z = random.standard_normal(len(sources))
        even = [source.origin is Origin.GUESS for source in sources]
        z[even] = random.uniform(-math.sqrt(3), math.sqrt(3), sum(even))
        self.z = z
        self.errors = dict(zip(scales.keys, (scales.lengths.shares.T @ z).tolist(), strict=True))
        self.left_out_g = -scales.left_out_g * z[-1]
        self.scales_g = of_scales().standard * random.uniform(-math.sqrt(3), math.sqrt(3))
        self.stiff = 0.015 / math.sqrt(3) / 2 * random.standard_normal()
        self.alone = 0.005 / math.sqrt(3) * random.standard_normal(4)
        self.phone = rings.HEARD_STANDARD * random.standard_normal(4)

    def solved(self, sheet):
        """Mass and tones by the full model of that rim."""
        able = dimensions(sheet)
        true = with_values(sheet, able, [getattr(sheet, key) - self.errors[key] for key in able])
        hertz = ringing(inspect(true, coarseness=COARSE_TONES), (2, 3)).hertz
        return self.read(drawn_mass_g(true), hertz * (1 - self.left_out_g / 2 / drawn_mass_g(true)))

    def linear(self, sheet):
        """The same along the slopes at the sheet."""
        scales, bell = weighed(sheet), rings.tap(sheet)
        lengths = scales.lengths.shares.T @ self.z
        hertz = bell.hertz[:4] - (self.z @ bell.doubt.shares)[:4]
        return self.read(scales.drawn_g - float(lengths @ scales.per_mm_g), hertz)

    def read(self, grams, hertz):
        heard = hertz * (1 + self.stiff + self.alone) + self.phone
        mass = grams + self.left_out_g + self.scales_g
        return {"weighed_mass_g": mass, "tones_Hz": [*map(float, heard)]}


def within(sheet, rims, read):
    """Of how many rims walls are told, by tones too, and which share of these has the truth."""
    walls, hears, told_of = [], 0, 0
    for rim in rims:
        found = unsawn(sheet.varied(**read(rim)))
        told_of += bool(found.walls)
        hears += found.hears
        walls += [abs(each.moved + rim.errors[each.key]) <= each.after for each in found.walls]
    return told_of, hears, np.mean(walls)


RIMS, SOLVED = 50, 4


@pytest.mark.long
def test_the_truth_is_within_what_is_told_about_19_times_in_20(true, monkeypatch):
    """Rims drawn at random, weighed and heard along the slopes; a few by the full model, with the
    slopes taken anew.
    """
    random = np.random.default_rng(7)
    few = [Drawn(true, random) for _ in range(SOLVED)]
    told_of, hears, share = within(true, few, lambda rim: rim.solved(true))
    assert told_of == SOLVED
    assert hears >= SOLVED - 1
    assert share >= 0.85
    monkeypatch.setattr(module, "_moved", lambda sheet, _: sheet)
    many = [Drawn(true, random) for _ in range(RIMS)]
    told_of, hears, share = within(true, many, lambda rim: rim.linear(true))
    assert told_of == RIMS
    assert hears >= 0.88 * RIMS
    assert 0.92 <= share <= 1.0
