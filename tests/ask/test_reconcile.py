"""What nobody measured is scaled to the weighed mass: by the least change, and nothing else."""

from __future__ import annotations

import numpy as np
import pytest

from rimfea.ask.reconcile import (
    LARGEST_RATIO,
    LEAST_RATIO,
    NOT_MEASURED,
    Ending,
    reconcile,
)
from rimfea.errors import SheetError
from rimfea.files.sheet_toml import parse_sheet, sheet_text
from rimfea.profile.families import Family
from rimfea.profile.fields import BY_KEY
from rimfea.profile.uncertainty import uncertainties
from rimfea.study.analysis import inspect
from rimfea.vary.scales import drawn_mass_g

WALLS = {"bead_seat_mm": 1.55, "hook_height_mm": 5.6, "spoke_bed_width_mm": 17.0}


def weighed(sheet, grams):
    return sheet.varied(weighed_mass_g=grams)


def all_measured(sheet):
    """The sheet without any length of its section left to assume."""
    lengths = [key for key in sheet.assumed if BY_KEY[key].unit == "mm"]
    able = [key for key in lengths if BY_KEY[key].used_by(sheet.family)]
    return sheet.varied(**{key: getattr(sheet, key) for key in able})


@pytest.mark.parametrize("family", Family)
def test_the_mass_without_a_mesh_is_that_of_the_hoop(sheet_of, family):
    sheet = sheet_of(family)
    assert drawn_mass_g(sheet) == pytest.approx(
        inspect(sheet, coarseness=2.5).hoop.mass_g, rel=1e-12
    )


@pytest.mark.parametrize("family", Family)
@pytest.mark.parametrize("flank", [0.95, 1.6])
def test_the_mass_of_a_rim_with_other_walls_is_met_without_knowing_them(sheet_of, family, flank):
    """The rim on the scales has walls that the sheet does not tell."""
    chamber = (
        {"flank_mm": flank, **WALLS} if family is not Family.SINGLE else {"bead_seat_mm": flank}
    )
    truth = drawn_mass_g(sheet_of(family, **chamber))
    found = reconcile(weighed(sheet_of(family), truth))
    assert found.ending is Ending.SCALED
    assert abs(found.computed_g - truth) > found.open_g
    assert drawn_mass_g(found.after) == pytest.approx(truth, abs=0.01)
    assert found.reached_g == pytest.approx(drawn_mass_g(found.after), abs=1e-9)


@pytest.mark.parametrize("share", [0.95, 1.06])
def test_changes_are_as_doubt_squared_times_what_a_millimetre_weighs(sheet_of, share):
    """Lagrange's condition of least Σ(change/u)² with the mass as it is weighed."""
    sheet = sheet_of()
    found = reconcile(weighed(sheet, share * drawn_mass_g(sheet)))
    doubt = uncertainties(sheet)
    ratio = [
        (getattr(found.after, key) - getattr(sheet, key))
        / (doubt[key].standard ** 2 * slope(found.after, key))
        for key in ("flank_mm", "bead_seat_mm", "hook_height_mm", "spoke_bed_width_mm")
    ]
    assert np.sign(ratio[0]) == np.sign(share - 1)
    assert ratio == pytest.approx([ratio[0]] * len(ratio), rel=0.01)


def slope(sheet, key, step=0.02):
    above, below = (sheet.varied(**{key: getattr(sheet, key) + d}) for d in (step, -step))
    return (drawn_mass_g(above) - drawn_mass_g(below)) / (2 * step)


def test_a_number_at_its_bound_stays_there_and_the_others_make_up_for_it(sheet_of):
    sheet = sheet_of(bead_seat_mm=1.3, hook_height_mm=6.0)
    found = reconcile(weighed(sheet, 0.8 * drawn_mass_g(sheet)))
    assert found.ending is Ending.SCALED
    assert found.after.flank_mm == pytest.approx(LEAST_RATIO * sheet.flank_mm)
    for change in found.changes:
        if not change.follows:
            assert LEAST_RATIO - 1e-9 <= 1 + change.share <= LARGEST_RATIO + 1e-9


def test_a_measured_number_is_never_touched(sheet_of):
    sheet = sheet_of(inner_width_mm={"readings": [25.02, 24.98]}, flank_mm=1.2)
    found = reconcile(weighed(sheet, 0.9 * drawn_mass_g(sheet)))
    assert found.ending is Ending.SCALED
    for key in BY_KEY:
        if key not in (*sheet.assumed, "note", "weighed_mass_g", "guessed"):
            assert getattr(found.after, key) == getattr(sheet, key), key
    assert found.after.readings == sheet.readings
    assert {change.key for change in found.changes} <= {*sheet.assumed}


def test_a_distrusted_reading_is_scaled_with_the_rest_and_alone(sheet_of):
    sheet = sheet_of()
    light = weighed(sheet, 0.9 * drawn_mass_g(sheet))
    shared = reconcile(light, ["tyre_well_mm"]).after
    assert shared.tyre_well_mm < sheet.tyre_well_mm
    assert shared.flank_mm > reconcile(light).after.flank_mm
    alone = reconcile(all_measured(weighed(sheet, 0.96 * drawn_mass_g(sheet))), ["tyre_well_mm"])
    assert {change.key for change in alone.changes} == {"tyre_well_mm"}
    assert drawn_mass_g(alone.after) == pytest.approx(0.96 * drawn_mass_g(sheet), abs=0.01)


def test_a_bed_that_is_one_with_the_seat_stays_so(sheet_of):
    sheet = all_measured(sheet_of(spoke_bed_mm=2.8))
    found = reconcile(weighed(sheet, 0.95 * drawn_mass_g(sheet)), ["nipple_seat_mm"])
    assert found.after.nipple_seat_mm < 2.7
    assert found.after.spoke_bed_mm == found.after.nipple_seat_mm


def test_all_that_differs_is_told_also_what_only_follows(sheet_of):
    sheet = sheet_of()
    found = reconcile(weighed(sheet, 0.9 * drawn_mass_g(sheet)))
    told = {change.key: change.follows for change in found.changes}
    differ = {key for key in BY_KEY if getattr(sheet, key) != getattr(found.after, key)}
    assert told.keys() == differ - {"note", "weighed_mass_g", "guessed"}
    assert told["erd_mm"]
    assert not told["flank_mm"]


@pytest.mark.parametrize("room", [10, 140, 200])
def test_the_sheet_itself_says_what_was_scaled_and_keeps_its_own_note(sheet_of, room):
    sheet = sheet_of(note="x" * room)
    note = reconcile(weighed(sheet, 0.9 * drawn_mass_g(sheet))).after.note
    assert note.startswith(sheet.note)
    assert (NOT_MEASURED in note) == (room < 200)
    assert ("flank, hook height" in note) == (room < 140)


def test_a_mass_within_the_error_of_caliper_and_scales_changes_nothing(sheet_of):
    sheet = sheet_of()
    apart = reconcile(weighed(sheet, drawn_mass_g(sheet))).open_g
    assert 5 < apart < 25
    for share, ending in ((0.95, Ending.AGREES), (1.05, Ending.SCALED)):
        light = weighed(sheet, drawn_mass_g(sheet) - share * apart)
        found = reconcile(light)
        assert found.ending is ending
        assert (found.after == light) == (ending is Ending.AGREES)


def test_readings_that_agree_leave_less_open_than_one(sheet_of):
    once = sheet_of()
    often = sheet_of(tyre_well_mm={"readings": [1.3] * 4, "tolerance_mm": 0.01})
    open_g = [reconcile(weighed(sheet, drawn_mass_g(sheet))).open_g for sheet in (once, often)]
    assert open_g[1] < open_g[0]


def test_where_all_was_measured_nothing_is_changed(sheet_of):
    sheet = all_measured(weighed(sheet_of(), 600.0))
    found = reconcile(sheet)
    assert (found.ending, found.after, found.free) == (Ending.NOTHING_FREE, sheet, ())


@pytest.mark.parametrize("share", [0.5, 1.9])
def test_a_mass_out_of_reach_changes_nothing_and_the_nearest_is_told(sheet_of, share):
    sheet = sheet_of()
    asked = weighed(sheet, share * drawn_mass_g(sheet))
    found = reconcile(asked)
    assert (found.ending, found.after, found.changes) == (Ending.OUT_OF_REACH, asked, ())
    assert min(asked.weighed_mass_g, found.computed_g) < found.reached_g
    assert found.reached_g < max(asked.weighed_mass_g, found.computed_g)


def test_numbers_that_clash_only_together_stop_where_they_still_fit(sheet_of):
    """A narrow bed and thick flanks each leave the pad its room, both do not."""
    sheet = sheet_of(Family.PADDED, pad_width_mm=11.0)
    found = reconcile(weighed(sheet, 0.65 * drawn_mass_g(sheet)))
    assert found.ending is Ending.OUT_OF_REACH
    assert 0.7 * found.computed_g < found.reached_g < 0.8 * found.computed_g


@pytest.mark.parametrize(
    ("grams", "also", "told"),
    [
        (None, [], "weighed_mass_g: is missing"),
        (700, ["flnk_mm"], "did you mean flank_mm?"),
        (700, ["spoke_count"], "spoke_count: cannot be scaled"),
        (700, ["spoke_bed_mm"], "spoke_bed_mm: cannot be scaled"),
        (700, ["zzz"], "zzz: cannot be scaled; there are: bead_hook_mm, hook_lip_mm"),
    ],
)
def test_what_cannot_be_asked_is_told(sheet_of, grams, also, told):
    with pytest.raises(SheetError) as caught:
        reconcile(weighed(sheet_of(), grams), also)
    assert told in str(caught.value)


def test_what_was_scaled_stays_a_guess_also_in_a_file(sheet_of):
    light = weighed(sheet_of(), 0.95 * drawn_mass_g(sheet_of()))
    found = reconcile(light)
    saved = parse_sheet(sheet_text(found.after), "saved")
    assert saved == found.after
    assert set(found.free) <= set(saved.guessed)
    assert set(light.assumed) == set(saved.assumed)
