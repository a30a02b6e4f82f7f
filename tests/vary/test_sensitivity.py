"""Which dimension moves which answer, and how well it is known."""

from __future__ import annotations

from dataclasses import replace
from threading import current_thread

import numpy as np
import pytest

from rimfea.elastic import kept
from rimfea.errors import MeshError
from rimfea.geometry.outline import moments
from rimfea.mesh import move
from rimfea.profile.build import outline
from rimfea.profile.families import DRAWN
from rimfea.profile.moved import dimensions, moved
from rimfea.profile.uncertainty import BATCH_SHARE, COVERAGE, of_scales, uncertainties
from rimfea.study.outcome import BY_KEY, OUTCOMES, outcomes
from rimfea.study.setup import End, Setup
from rimfea.vary.datum import Datum, datum
from rimfea.vary.doubt import Doubt, Origin, Source
from rimfea.vary.known import known
from rimfea.vary.sensitivity import Sensitivity, sensitivity, slopes
from rimfea.vary.tap import tap
from rimfea.vary.variant import Variants

pytestmark = pytest.mark.long

COARSE = 2.0
MOOR = Setup.from_values({"name": "moor"})
NOT_DRAWN = {"nipple_seat_width_mm"}  # without a pad
KEYS = (
    "bead_hook_mm",
    "sidewall_mm",
    "hook_lip_mm",
    "flank_mm",
    "corner_radius_mm",
    "nipple_seat_width_mm",
)


@pytest.fixture(scope="module")
def around(sheet_of):
    sheet = sheet_of(
        bead_hook_mm={"readings": [1.61, 1.58, 1.62], "tolerance_mm": 0.02}, sidewall_mm=1.5
    )
    return datum(sheet, MOOR, End.REAR, coarseness=COARSE)


@pytest.fixture(scope="module", autouse=True)
def each_step_once(around):
    """Weighed otherwise, the same rim has the same slopes: they are found once."""
    stepped, known = Datum.stepped, {}

    def remembered(self, key):
        if self is not around:
            return stepped(self, key)
        known[key] = known.get(key) or stepped(self, key)
        return known[key]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Datum, "stepped", remembered)
        yield


@pytest.fixture(scope="module")
def found(around):
    return sensitivity(around, KEYS)


HEAVIER_G = 8.0


def on_scales(around, more_g):
    """The same sheet, weighed so much heavier than it is drawn."""
    mass = around.ride.analysis.hoop.mass_g
    return around.ride.analysis.sheet.varied(weighed_mass_g=mass + more_g)


@pytest.fixture(scope="module")
def heavier(around):
    return sensitivity(around, KEYS, known(on_scales(around, HEAVIER_G)))


def made(slope, standard, keys=("a", "b", "c")):
    """A sensitivity of one's own: slopes (k,) of the mass and (k,) of first yield."""
    columns = np.zeros((len(keys), len(OUTCOMES)))
    columns[:, :2] = np.transpose(slope)
    base = np.arange(1.0, 1 + len(OUTCOMES))
    return Sensitivity(None, keys, base, columns, read(standard, keys))


def read(standard, keys=("a", "b", "c")):
    """Lengths read each by itself."""
    sources = tuple(Source(Origin.READING, key, "own") for key in keys)
    return Doubt(sources, np.diag(standard))


def place(key):
    return OUTCOMES.index(BY_KEY[key])


@pytest.mark.parametrize("family", list(DRAWN))
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
        assert found.value(key) == pytest.approx(value, nan_ok=True)


def test_a_dimension_is_in_doubt_by_what_its_readings_say(around, found):
    known = uncertainties(around.ride.analysis.sheet)
    expected = [known[key].standard for key in found.keys]
    np.testing.assert_allclose(found.lengths.standard, expected, rtol=1e-12)
    assert found.lengths.standard[found.keys.index("flank_mm")] > 0.05  # nobody measured it


def test_what_one_caliper_is_off_by_is_added_before_it_is_squared(around, found):
    """JCGM 100:2008, 5.2.2 with correlation 1 between lengths of the same instrument, 0 between
    all other errors, and the metal beside.
    """
    known = uncertainties(around.ride.analysis.sheet)
    own = sum((known[k].own * found.per_mm(k, "set_N")) ** 2 for k in found.keys)
    off = {}
    for key in found.keys:
        for part in known[key].parts:
            if part.instrument:
                by = part.standard * found.per_mm(key, "set_N")
                off[part.instrument] = off.get(part.instrument, 0.0) + by
    metal = found.doubt.of({Origin.METAL}).standard[place("set_N")]
    assert len(off) == 2  # the workshop's, and the sheet's own
    total = own + sum(by**2 for by in off.values()) + metal**2
    assert found.expanded("set_N") == pytest.approx(COVERAGE * np.sqrt(total))


def test_a_softer_metal_is_the_same_rim_solved_with_that_metal(around):
    """The road without a new solution against the whole way."""
    ridden, step = around.softened()
    sheet = around.ride.analysis.sheet
    proof = sheet.metal.proof_MPa
    anew = datum(sheet.varied(proof_MPa=proof + step), MOOR, End.REAR, coarseness=COARSE)
    for key, value in outcomes(anew.ride).items():
        assert outcomes(ridden)[key] == pytest.approx(value, rel=1e-9, nan_ok=True), key


def test_strength_hangs_on_the_metal_and_stiffness_does_not(found):
    """What the seat bears is as its proof stress; a strike comes on top of what acts already,
    and so its force grows by more than that.
    """
    metal = found.doubt.of({Origin.METAL}).standard / np.abs(found.base)
    assert metal[place("most_tension_N")] == pytest.approx(BATCH_SHARE / 2, rel=1e-6)
    assert 1 < 2 * metal[place("yield_N")] / BATCH_SHARE < 3
    assert 1 < 2 * metal[place("set_N")] / BATCH_SHARE < 3
    for key in ("mass_g", "squeeze_MPa", "radial_N_mm", "lateral_N_mm", "least_tension_N"):
        assert metal[place(key)] == pytest.approx(0, abs=1e-9)


def test_metal_that_was_tested_leaves_less_in_doubt(around, found):
    sheet = around.ride.analysis.sheet
    tested = sheet.varied(proof_MPa=sheet.metal.proof_MPa)
    known = sensitivity(datum(tested, MOOR, End.REAR, coarseness=COARSE), ())
    at = place("most_tension_N")
    assert known.doubt.standard[at] < 0.75 * found.doubt.of({Origin.METAL}).standard[at]


def test_a_rim_that_was_weighed_is_as_heavy_as_the_scales_say(found, heavier):
    shift = heavier.base[place("mass_g")] - found.base[place("mass_g")]
    assert shift == pytest.approx(HEAVIER_G)
    assert heavier.doubt.standard[place("mass_g")] == pytest.approx(of_scales().standard)
    assert heavier.worst("mass_g").origin is Origin.SCALES
    assert found.expanded("mass_g") > 8 * heavier.expanded("mass_g")


def test_the_scales_move_answers_along_their_slopes_and_narrow_their_doubts(found, heavier):
    for key in ("yield_N", "radial_N_mm"):
        at = place(key)
        moved = heavier.moved_mm @ heavier.slope[:, at]
        assert heavier.base[at] - found.base[at] == pytest.approx(moved)
        assert heavier.doubt.standard[at] < found.doubt.standard[at]
    flank = heavier.keys.index("flank_mm")
    assert heavier.moved_mm[flank] > 0
    assert heavier.lengths.standard[flank] < 0.98 * found.lengths.standard[flank]


def test_tones_narrow_what_the_scales_left(around, heavier, monkeypatch):
    """What a rim sounds like that is as the scales say, heard of it."""
    monkeypatch.setattr("rimfea.vary.tap.COARSE", 2.5)
    sheet = on_scales(around, HEAVIER_G)
    heard = sheet.varied(tones_Hz=[*map(float, tap(sheet).hertz[:4])])
    rung = sensitivity(around, KEYS, known(heard))
    flank = rung.keys.index("flank_mm")
    assert rung.lengths.standard[flank] < 0.95 * heavier.lengths.standard[flank]
    np.testing.assert_allclose(rung.base, heavier.base, rtol=1e-4)
    assert rung.doubt.standard[place("mass_g")] == pytest.approx(of_scales().standard, rel=0.01)


def test_where_drawing_and_scales_do_not_agree_only_the_mass_is_theirs(around, found):
    off = sensitivity(around, KEYS, known(on_scales(around, 100.0)))
    assert not known(on_scales(around, 100.0)).weighed.agrees
    np.testing.assert_array_equal(off.base[1:], found.base[1:])
    np.testing.assert_allclose(off.doubt.standard[1:], found.doubt.standard[1:], rtol=1e-12)
    assert off.value("mass_g") == pytest.approx(found.value("mass_g") + 100)
    assert off.doubt.standard[0] == pytest.approx(of_scales().standard)


def test_doubts_of_known_slopes_are_those_of_the_guide():
    """Slopes 3 and 4 g/mm, each known to 0.1 mm, make 0.5 g (JCGM 100:2008, 5.1.2)."""
    known = made([(3.0, 4.0, 0.0), (0.0, 0.0, 5.0)], (0.1, 0.1, 0.2))
    assert known.doubt.standard[0] == pytest.approx(0.5)
    assert known.expanded("mass_g") == pytest.approx(1.0)
    assert known.expanded("yield_N") == pytest.approx(2.0)


def test_the_worst_dimension_is_that_with_the_largest_share_and_not_the_steepest():
    known = made([(3.0, -4.0, 9.0), (1.0, 1.0, 1.0)], (0.2, 0.2, 0.01))
    assert known.worst("mass_g").what == "b"
    assert replace(known, lengths=read([0.2, 0.0, 0.01])).worst("mass_g").what == "a"


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
    assert sheet_of().seat_step_mm == 0
    pad = found.keys.index("nipple_seat_width_mm")
    assert np.nanmax(np.abs(found.slope[pad] / found.base)) < 0.02


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


def test_factors_that_are_kept_are_made_by_who_lets_go_of_them(around, monkeypatch):
    """Not by one of the threads that share them, which takes its memory along when it ends."""
    made = []

    def noted(factorise):
        def noting(*given, **also):
            made.append(current_thread())
            return factorise(*given, **also)

        return noting

    monkeypatch.setattr(move, "splu", noted(move.splu))
    monkeypatch.setattr(kept, "factorised", noted(kept.factorised))
    looked = Variants(around.ride.analysis, COARSE)
    for every in (True, False):
        made.clear()
        sensitivity(replace(around, variants=looked, every=every), KEYS[:2])
        assert len(made) > 3
        assert {*made} == {current_thread()}


def test_a_rim_of_which_nothing_is_varied_is_in_doubt_by_its_metal_and_joint_only(around):
    known = sensitivity(around, ())
    assert known.slope.shape == (0, len(OUTCOMES))
    left = known.doubt.of({Origin.METAL, Origin.DRAWING})
    np.testing.assert_array_equal(known.doubt.standard, left.standard)
    assert not known.doubt.standard[place("radial_N_mm")]
