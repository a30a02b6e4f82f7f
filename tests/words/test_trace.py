"""What is said of a section from outside: what to check first, and what was done."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from rimfea.ask.trace import from_drawing, from_scan, looked_at
from rimfea.errors import OutlineError
from rimfea.scanned.scan import Scale, scanned
from rimfea.traced.drawing import Drawing, trail
from rimfea.traced.place import Move
from rimfea.words.trace import trace_headline, trace_json, trace_lines, trace_table


@pytest.fixture(scope="module")
def drawing(scans):
    outline = scans.section_of("curlew")
    lines = [trail(ring.corners, ring.bulge, is_closed=True) for ring in outline.rings]
    return from_drawing(Drawing(tuple(lines), "plans/curlew.dxf", "mm", "as the file says"))


@pytest.fixture(scope="module")
def scan(scans):
    grey = scans.scan_of("wheatear", dpi=300, faults=scans.Faults(light=0.3, tilt=2, dust=9))
    return from_scan(scanned(grey, Scale(25.4 / 300, 25.4 / 300)), "scan.png", "as you said")


def test_what_to_check_stands_first(drawing, scan):
    size = "28.21 mm wide and 21.00 mm deep over all"
    assert trace_headline(drawing) == f"curlew.dxf: Check with the caliper: the section is {size}."
    assert next(trace_lines(scan)).startswith("Then look at it (--picture seen.png)")


def test_a_drawing_says_its_unit_and_that_it_was_left_as_it_is(drawing):
    told = [*trace_lines(drawing)]
    assert told == [
        "It has 109 mm² of metal and one chamber.",
        "A number of the file was read as mm, as the file says.",
        "It lies in a rim's axes already: bead seats at y = 0, the middle at x = 0.",
        (
            "Next: --bead-seat-diameter 622 --sheet mine.toml makes it a sheet "
            "for every other command."
        ),
    ]


def test_what_was_done_is_told_and_no_list_is_endless(drawing):
    found = replace(
        drawing,
        repaired=tuple(f"closed gap {k}" for k in range(9)),
        dropped=("2 TEXT",),
        move=Move(3.0, -2.5, 0.02),
    )
    told = " ".join(trace_lines(found))
    assert "Put right: closed gap 0, closed gap 1, closed gap 2, closed gap 3 and 5 more." in told
    assert "Left out: 2 TEXT." in told
    moved = "turned by 1.1° to the left, moved 3.00 mm to the right and moved 2.50 mm inward"
    assert f"It was {moved}: now the bead seats are at y = 0" in told


def test_a_scan_says_how_its_edge_was_read_and_what_that_leaves_open(scan):
    told = " ".join(trace_lines(scan))
    assert "The scale is 300 dpi, as you said: a pixel is 0.085 mm." in told
    assert "the edge was read at 1" in told
    assert f"every wall is up to {scan.wall_mm:.1g} mm thicker or thinner" in told
    assert "and was evened out. The face leant 2.0° to the right" in told
    assert "mirror image" not in told


def test_a_mirrored_half_and_unlike_halves_are_told(scan):
    assert "The left half was calmer" in " ".join(trace_lines(replace(scan, half="left")))
    apart = replace(scan.scan, mirror=replace(scan.scan.mirror, unlike_mm=0.4))
    told = " ".join(trace_lines(replace(scan, scan=apart)))
    assert "The halves differ by up to 0.4 mm, so that symmetry straightened nothing." in told


def test_walls_stand_in_a_table_and_the_other_sizes_under_details(drawing, scan):
    short, long = trace_table(drawing), trace_table(drawing, details=True)
    assert ("sidewall", "1.22 mm") in short.rows
    assert "inner width" not in dict(short.rows)
    assert dict(long.rows)["overall depth"] == "21.00 mm"
    told = trace_table(scan)
    assert told.head == ("dimension", "value", "±")
    assert {row[2] for row in told.rows} == {f"±{scan.wall_mm:.2f} mm"}


def test_the_mass_has_the_doubt_of_the_scan(drawing, scan):
    rim = looked_at(drawing.outline, name="curlew", bead_seat_diameter_mm=622)
    exact, rough = (" ".join(trace_lines(each, rim)) for each in (drawing, scan))
    assert "At a bead seat diameter of 622 mm the rim weighs 56" in exact
    assert "±" not in exact
    assert " ±" in rough
    assert json.loads(trace_json(drawing, rim))["mass_g"] == pytest.approx(rim.hoop.mass_g)


def test_walls_that_cannot_be_told_apart_are_said_to_be_so(drawing, monkeypatch):
    def none(*_, **__):
        raise OutlineError("there is no bead seat")

    monkeypatch.setattr("rimfea.ask.trace.usually_named", none)
    assert "The walls cannot be told apart: there is no bead seat." in [*trace_lines(drawing)]
    assert trace_table(drawing).rows == ()


def test_data_have_the_outline_and_all_that_was_found(drawing, scan):
    plain = json.loads(trace_json(drawing))
    assert plain["schema"] == "rimfea trace 1"
    assert [ring["is_hole"] for ring in plain["rings"]] == [False, True]
    assert len(plain["rings"][0]["corners_mm"]) == len(plain["rings"][0]["bulge"])
    assert plain["scan"] is None
    told = json.loads(trace_json(scan))
    assert told["wall_expanded_mm"] == scan.wall_mm
    assert told["scan"]["lean_deg"] == pytest.approx(2, abs=0.05)
    assert told["scan"]["is_straightened"] is True
