from __future__ import annotations

import threading
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from rimfea.files.sheet_toml import parse_sheet, read_sheet, sheet_text
from rimfea.profile.moved import dimensions
from rimfea.profile.uncertainty import uncertainties
from rimfea.study.setup import End
from rimfea.web.bench import (
    ROUNDINGS,
    SIZES,
    WALLS,
    Shelf,
    Tried,
    bench,
    sheet_of,
    sliders,
)

PROFILES = Path(__file__).parents[2] / "profiles"


def test_a_shelf_makes_a_thing_once_for_all_who_ask():
    """Eight ask at the same time; it is made once."""
    shelf, made, start = Shelf(2), [], threading.Barrier(8)

    def ask(_):
        start.wait()
        return shelf.get("a", lambda: made.append(1) or "made")

    with ThreadPoolExecutor(8) as pool:
        assert set(pool.map(ask, range(8))) == {"made"}
    assert made == [1]


def test_a_shelf_keeps_only_the_last_few():
    """What was asked for longest ago is made anew."""
    shelf, made = Shelf(2), []
    for key in ("a", "b", "a", "c", "a", "b"):
        shelf.get(key, lambda key=key: made.append(key))
    assert made == ["a", "b", "c", "b"]


def test_a_shelf_does_not_keep_errors():
    """What failed is tried again."""
    shelf = Shelf(2)
    with pytest.raises(ZeroDivisionError):
        shelf.get("a", lambda: 1 / 0)
    assert shelf.get("a", lambda: 2) == 2


def test_two_rims_of_one_name_are_told_apart(curlew):
    """The second gets a number."""
    assert list(bench([curlew, curlew], []).sheets) == ["curlew", "curlew 2"]


def test_every_dimension_of_the_section_has_a_slider(curlew):
    """Walls first, then widths and heights, then roundings; each with its ± and whether it was
    measured, and room on both sides.
    """
    found = {each.key: each for each in sliders(curlew)}
    assert found.keys() == set(dimensions(curlew))
    assert list(dict.fromkeys(each.group for each in found.values())) == [WALLS, SIZES, ROUNDINGS]
    for each in found.values():
        assert each.low_mm < each.value_mm < each.high_mm
        assert each.doubt_mm > 0
    assert found["overall_depth_mm"].is_measured
    assert not found["crown_radius_mm"].is_measured
    assert found["sidewall_mm"].doubt_mm == uncertainties(curlew)["sidewall_mm"].expanded()


def test_an_offset_can_be_pulled_to_either_side(curlew):
    """A dimension that may be negative."""
    beside = next(
        each
        for each in sliders(curlew.varied(spoke_bed_offset_mm=0.5))
        if each.key == "spoke_bed_offset_mm"
    )
    assert (beside.low_mm, beside.high_mm) == (-1.5, 2.5)


def test_a_spoke_bed_that_is_one_with_the_seat_goes_with_it(on, curlew):
    """There is no slider for it, and a thicker seat thickens it as much."""
    assert "spoke_bed_mm" not in {each.key for each in sliders(curlew)}
    tried = Tried("curlew", "gravel", End.REAR).with_wall("nipple_seat_mm", 2.5)
    sheet = sheet_of(on, tried)
    assert sheet.nipple_seat_mm == 2.5
    assert sheet.spoke_bed_mm - curlew.spoke_bed_mm == pytest.approx(2.5 - curlew.nipple_seat_mm)


def test_other_walls_stay_as_they_were_assumed(on, curlew):
    """What was assumed from a wall does not move with its slider."""
    tried = Tried("curlew", "gravel", End.REAR).with_wall("tyre_well_mm", 1.1)
    assert sheet_of(on, tried).fillet_radius_mm == curlew.fillet_radius_mm


def test_a_thickness_typed_in_is_kept_to_the_last_digit(on, curlew):
    """Where the way from the measured thickness and back leaves round-off, too."""
    was, wanted = curlew.tyre_well_mm, 1.95
    assert was + (wanted - was) != wanted
    tried = Tried("curlew", "gravel", End.REAR).with_wall("tyre_well_mm", wanted)
    assert sheet_of(on, tried).tyre_well_mm == wanted


def test_a_rim_that_is_only_opened_is_saved_as_it_was_measured(on, curlew):
    """Nothing that was assumed is passed off as measured, nor once a wall has moved."""
    opened = Tried("curlew", "gravel", End.REAR)
    saved = parse_sheet(sheet_text(sheet_of(on, opened)), "saved")
    assert saved == curlew
    assert len(saved.assumed) == 9
    moved = parse_sheet(sheet_text(sheet_of(on, opened.with_wall("sidewall_mm", 1.2))), "saved")
    assert moved.assumed == curlew.assumed
    doubt, was = (uncertainties(each)["spoke_bed_mm"].expanded() for each in (moved, curlew))
    assert doubt == pytest.approx(was)
    assert doubt > 0.3


@pytest.mark.parametrize("name", [path.stem for path in sorted(PROFILES.glob("*.toml"))])
def test_every_slider_can_be_dragged(name):
    """A single wall has none for a spoke bed that is its nipple seat."""
    sheet = read_sheet(PROFILES / f"{name}.toml")
    on = bench([sheet], [])
    for each in sliders(sheet):
        tried = Tried(sheet.name, "", End.REAR).with_wall(each.key, each.value_mm + 0.05)
        assert getattr(sheet_of(on, tried), each.key) == round(each.value_mm + 0.05, 9)
