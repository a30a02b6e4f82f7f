"""The scales beside the drawing."""

from __future__ import annotations

import numpy as np
import pytest

from rimfea.profile.families import DRAWN
from rimfea.profile.moved import dimensions
from rimfea.profile.uncertainty import COVERAGE, of_drawing, of_scales, uncertainties
from rimfea.vary.doubt import Origin
from rimfea.vary.scales import drawn_mass_g, weighed, with_values
from tests.often import few

RUNS = 200
MEASURED = {
    "flank_mm": 1.2,
    "bead_seat_mm": 1.3,
    "hook_height_mm": 6.0,
    "tyre_well_depth_mm": 3.5,
    "tyre_well_width_mm": 15.0,
    "spoke_bed_width_mm": 17.0,
}


def on_scales(sheet, more_g):
    return weighed(sheet.varied(weighed_mass_g=drawn_mass_g(sheet) + more_g))


def test_one_caliper_for_all_walls_leaves_the_mass_more_open_than_squares(sheet_of):
    """JCGM 100:2008, 5.2.2: what it is off by is the same in every wall."""
    sheet = sheet_of(**MEASURED)
    known, found = uncertainties(sheet), weighed(sheet)
    squares = np.linalg.norm(
        [known[k].standard * g for k, g in zip(found.keys, found.per_mm_g, strict=True)]
    )
    together = found.lengths.through(found.per_mm_g[:, None]).standard[0]
    print(f"±{COVERAGE * squares:.1f} g as squares, ±{COVERAGE * together:.1f} g")
    assert 1.2 < together / squares < 2.5


def test_the_two_may_lie_apart_by_all_that_errs(sheet_of):
    sheet = sheet_of(joint="welded")
    found = weighed(sheet)
    drawn = found.lengths.through(found.per_mm_g[:, None]).standard[0]
    left_out = of_drawing(sheet, found.drawn_g).standard
    expected = COVERAGE * np.sqrt(drawn**2 + left_out**2 + of_scales().standard ** 2)
    assert found.open_g == pytest.approx(expected)
    assert weighed(sheet_of()).open_g > found.open_g
    for share, agrees in ((0.99, True), (1.01, False)):
        for side in (1, -1):
            assert on_scales(sheet, side * share * expected).agrees == agrees


def test_moved_lengths_make_up_for_the_mass_but_for_what_no_drawing_shows(sheet_of):
    """The moved sheet, drawn again, is as heavy as the estimate says: all but its square is in."""
    sheet = sheet_of()
    found = on_scales(sheet, 10.0)
    moved = found.conditioned(found.lengths)[1]
    chosen = [k for k, key in enumerate(found.keys) if key in dimensions(sheet)]
    keys = [found.keys[k] for k in chosen]
    there = with_values(sheet, keys, [getattr(sheet, found.keys[k]) + moved[k] for k in chosen])
    gained = drawn_mass_g(there) - found.drawn_g
    drawn = (found.lengths.shares @ found.per_mm_g) ** 2
    whole = drawn.sum() + found.left_out_g**2 + of_scales().standard ** 2
    assert gained == pytest.approx(10 * drawn.sum() / whole, rel=0.03)
    assert 0 < gained < 10


def test_walls_that_nobody_measured_move_most_and_all_are_better_known(sheet_of):
    found = on_scales(sheet_of(), 10.0)
    left, moved = found.conditioned(found.lengths)
    by = dict(zip(found.keys, moved, strict=True))
    assert by["flank_mm"] > by["tyre_well_mm"] > 0
    assert (left.standard <= found.lengths.standard * (1 + 1e-12)).all()
    flank = found.keys.index("flank_mm")
    assert left.standard[flank] < 0.9 * found.lengths.standard[flank]
    assert found.standard_mm("flank_mm") == pytest.approx(left.standard[flank])


def test_a_mass_as_drawn_moves_nothing_and_still_tells(sheet_of):
    found = on_scales(sheet_of(), 0.0)
    left, moved = found.conditioned(found.lengths)
    assert not moved.any()
    assert left.standard.sum() < found.lengths.standard.sum()


@pytest.mark.parametrize("more", [None, 200.0])
def test_nothing_is_told_by_scales_that_were_not_asked_or_do_not_agree(sheet_of, more):
    found = weighed(sheet_of()) if more is None else on_scales(sheet_of(), more)
    left, moved = found.conditioned(found.lengths)
    assert not found.agrees
    assert not moved.any()
    np.testing.assert_array_equal(left.standard, found.lengths.standard)


@pytest.mark.parametrize("family", few(DRAWN))
def test_rims_drawn_at_random_and_weighed_are_as_the_scales_tell(sheet_of, family):
    """Errors of every source drawn, the true rim drawn without them and weighed: of walls, what
    the estimate misses is as large as it says and has no side. 200 runs know a spread to 5 %.
    """
    sheet = sheet_of(family)
    base, random = on_scales(sheet, 0.0), np.random.default_rng(5)
    left = base.conditioned(base.lengths)[0]
    gain = on_scales(sheet, 1.0).conditioned(base.lengths)[1]
    able = [k for k, key in enumerate(base.keys) if key in dimensions(sheet)]
    keys = [base.keys[k] for k in able]
    missed = []
    for _ in range(RUNS):
        z = random.standard_normal(len(base.lengths.sources))
        errors = base.lengths.shares.T @ z
        own = [getattr(sheet, base.keys[k]) - errors[k] for k in able]
        true = drawn_mass_g(with_values(sheet, keys, own)) - base.left_out_g * z[-1]
        seen = true + of_scales().standard * random.standard_normal()
        missed.append(errors + gain * (seen - base.drawn_g))
    spread = np.std(missed, axis=0)[able]
    np.testing.assert_allclose(spread, left.standard[able], rtol=0.25)
    assert base.lengths.sources[-1].origin is Origin.DRAWING
