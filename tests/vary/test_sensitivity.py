"""Which dimension moves which answer, and how well it is known."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from rimfea.errors import MeshError
from rimfea.geometry.outline import moments
from rimfea.profile.build import outline
from rimfea.profile.families import Family
from rimfea.profile.moved import dimensions, moved
from rimfea.profile.uncertainty import COVERAGE, uncertainties
from rimfea.study.outcome import OUTCOMES, outcomes
from rimfea.study.setup import End, Setup
from rimfea.vary.datum import Datum, datum
from rimfea.vary.sensitivity import Sensitivity, sensitivity, slopes

COARSE = 2.0
MOOR = Setup.from_values({"name": "moor"})
NOT_DRAWN = {"pad_width_mm"}  # without a pad
KEYS = ("sidewall_mm", "hook_lip_mm", "flank_mm", "corner_radius_mm", "pad_width_mm")


@pytest.fixture(scope="module")
def around(sheet_of):
    sheet = sheet_of(
        bead_hook_mm={"readings": [1.61, 1.58, 1.62], "tolerance_mm": 0.02}, sidewall_mm=1.5
    )
    return datum(sheet, MOOR, End.REAR, coarseness=COARSE)


@pytest.fixture(scope="module")
def found(around):
    return sensitivity(around, KEYS)


def made(slope, standard, keys=("a", "b", "c")):
    """A sensitivity of one's own: slopes (k,) of the mass and (k,) of first yield."""
    columns = np.zeros((len(keys), len(OUTCOMES)))
    columns[:, :2] = np.transpose(slope)
    base = np.arange(1.0, 1 + len(OUTCOMES))
    return Sensitivity(None, keys, base, columns, np.asarray(standard))


@pytest.mark.parametrize("family", list(Family))
def test_every_dimension_that_is_varied_changes_the_section(sheet_of, family):
    sheet = sheet_of(family)
    keys = dimensions(sheet)
    before = outline(sheet)
    for key in set(keys) - NOT_DRAWN:
        after = outline(moved(sheet, {key: 1e-3}))
        gaps = [
            np.abs(a.corners - b.corners).max()
            for a, b in zip(before.rings, after.rings, strict=True)
        ]
        assert max(gaps) > 1e-4, key
    assert not {"erd_mm", "bead_seat_diameter_mm", "nipple_head_mm", "spoke_hole_mm"} & set(keys)


@pytest.mark.parametrize(("pad", "apart"), [(0.0, False), (0.5, True)])
def test_a_spoke_bed_that_is_one_with_the_seat_is_not_varied_alone(sheet_of, pad, apart):
    sheet = sheet_of(spoke_bed_mm=2.8 - pad)
    assert ("spoke_bed_mm" in dimensions(sheet)) == apart


def test_the_slope_of_the_mass_is_the_metal_that_the_outline_gains(around, found):
    """ρ 2π (R dA + dS), A and S the area and its moment about the bead seat, with no triangle in
    it; spoke holes stay as they are.
    """
    sheet = around.ride.analysis.sheet
    radius, density = sheet.seat_radius_mm, sheet.metal.density_kg_m3 * 1e-6

    def mass(key, by):
        shape = moments(outline(moved(sheet, {key: by})))
        return density * 2 * np.pi * (radius * shape[0] + shape[2])

    for key in ("sidewall_mm", "hook_lip_mm", "flank_mm"):
        expected = (mass(key, 1e-3) - mass(key, -1e-3)) / 2e-3
        print(f"{key}: {found.per_mm(key, 'mass_g'):.4f} g a mm, outline {expected:.4f}")
        assert found.per_mm(key, "mass_g") == pytest.approx(expected, rel=1e-3)


def test_the_base_is_the_ride_itself(around, found):
    for key, value in outcomes(around.ride).items():
        assert found.value(key) == value


def test_a_dimension_is_in_doubt_by_what_its_readings_say(around, found):
    known = uncertainties(around.ride.analysis.sheet)
    expected = [known[key].standard for key in found.keys]
    np.testing.assert_array_equal(found.standard_mm, expected)
    assert found.standard_mm[found.keys.index("flank_mm")] > 0.05  # nobody measured it


def test_shares_add_up_as_squares(found):
    total = (found.shares**2).sum(axis=0)
    np.testing.assert_allclose(found.standard**2, total, rtol=1e-12)
    for k, outcome in enumerate(OUTCOMES):
        assert found.expanded(outcome.key) == pytest.approx(COVERAGE * np.sqrt(total[k]))


def test_doubts_of_known_slopes_are_those_of_the_guide():
    """Slopes 3 and 4 g/mm, each known to 0.1 mm, make 0.5 g (JCGM 100:2008, 5.1.2)."""
    known = made([(3.0, 4.0, 0.0), (0.0, 0.0, 5.0)], (0.1, 0.1, 0.2))
    assert known.standard[0] == pytest.approx(0.5)
    assert known.expanded("mass_g") == pytest.approx(1.0)
    assert known.expanded("yield_N") == pytest.approx(2.0)


def test_the_worst_dimension_is_that_with_the_largest_share_and_not_the_steepest():
    known = made([(3.0, -4.0, 9.0), (1.0, 1.0, 1.0)], (0.2, 0.2, 0.01))
    assert known.worst("mass_g") == "b"
    assert replace(known, standard_mm=np.array([0.2, 0.0, 0.01])).worst("mass_g") == "a"


def test_what_a_gram_buys_is_slope_by_slope(found):
    for key in ("sidewall_mm", "flank_mm"):
        a_gram = found.per_mm(key, "yield_N") / found.per_mm(key, "mass_g")
        assert found.per_gram(key, "yield_N") == pytest.approx(a_gram)
    assert found.per_gram("sidewall_mm", "mass_g") == pytest.approx(1.0)


def test_a_dimension_that_adds_next_to_no_mass_has_no_price():
    known = made([(0.9, -30.0, 0.0), (100.0, 60.0, 5.0)], (0.1, 0.1, 0.1))
    assert np.isnan(known.per_gram("a", "yield_N"))
    assert np.isnan(known.per_gram("c", "yield_N"))
    assert known.per_gram("b", "yield_N") == pytest.approx(-2.0)


def test_a_thicker_sidewall_makes_the_rim_heavier_stronger_and_stiffer(found):
    for outcome in ("mass_g", "yield_N", "radial_N_mm", "lateral_N_mm"):
        assert found.per_mm("sidewall_mm", outcome) > 0
    assert found.per_mm("hook_lip_mm", "squeeze_MPa") < 0


def test_a_dimension_that_does_not_matter_has_no_slope(sheet_of, found):
    """Without a pad its width is not drawn."""
    assert sheet_of().pad_step_mm == 0
    pad = found.keys.index("pad_width_mm")
    assert np.abs(found.slope[pad] / found.base).max() < 0.02


def test_what_the_mesh_cannot_follow_is_left_out_and_told_why(around, monkeypatch):
    followed = Datum.stepped

    def stepped(self, key):
        if key == "flank_mm":
            raise MeshError("the mesh cannot follow: a triangle folds")
        return followed(self, key)

    monkeypatch.setattr(Datum, "stepped", stepped)
    known, answers = slopes(around, ("sidewall_mm", "flank_mm"))
    assert known.keys == tuple(answers) == ("sidewall_mm",)
    assert known.left_out == {"flank_mm": "the mesh cannot follow: a triangle folds"}
    assert known.slope.shape == (1, len(OUTCOMES))


def test_a_rim_of_which_nothing_is_varied_has_no_doubt(around):
    known = sensitivity(around, ())
    assert known.slope.shape == (0, len(OUTCOMES))
    assert not known.standard.any()
