"""The drawn section: whatever sheet is accepted is drawn, and measures what the sheet says."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import HealthCheck, Phase, given, reject, settings
from hypothesis import strategies as st

from rimfea.errors import SheetError
from rimfea.geometry.chords import chords
from rimfea.geometry.outline import Outline, moments
from rimfea.geometry.ring import arc_radii, normals_at, points_at
from rimfea.mesh.build import mesh_outline
from rimfea.profile.bodies import seat_zone
from rimfea.profile.build import outline
from rimfea.profile.families import DRAWN, Family
from rimfea.profile.flank import bed_room, curved, flank_inside, straight_width
from rimfea.profile.hook import nose_thickness, steep
from rimfea.profile.proportions import (
    FLUSH_MM,
    RIDGE_TOP_MM,
    Known,
    bed_inside,
    halves,
    outer_half,
    sidewall_foot,
    top_thickness,
    web_faces,
    well_back,
    well_under,
)
from rimfea.profile.sheet import Sheet
from rimfea.profile.walls import Wall
from rimfea.study.analysis import UNDER_LOADS
from rimfea.traced.measure import PARALLEL, measure

MAY_BE_LEFT_OUT = (
    *("hook_height_mm", "bead_seat_mm", "flank_mm", "spoke_bed_mm", "tyre_well_depth_mm"),
    *("tyre_well_width_mm", "well_slope_deg", "spoke_bed_width_mm", "nipple_seat_width_mm"),
    *("crown_radius_mm", "corner_radius_mm", "fillet_radius_mm"),
)

MAY_BE_THERE = (
    *("sidewall_foot_mm", "lip_taper_mm", "crown_slope_deg", "bead_ridge_mm"),
    *("spoke_bed_offset_mm", "middle_width_mm", "web_height_mm"),
)

ARCHED = {
    "name": "Dunlin",
    "bead_seat_diameter_mm": 622,
    "inner_width_mm": 25,
    "overall_depth_mm": 24,
    "bead_hook_mm": 1.6,
    "hook_lip_mm": 2.6,
    "sidewall_mm": 1.5,
    "tyre_well_mm": 1.2,
    "nipple_seat_mm": 2.4,
    "spoke_bed_width_mm": 17,
}


def usual(examples: int) -> settings:
    slow = [HealthCheck.too_slow, HealthCheck.filter_too_much]
    return settings(
        max_examples=examples, deadline=None, derandomize=True, suppress_health_check=slow
    )


@st.composite
def sheets(draw: st.DrawFn) -> Sheet:
    """Sheets of all families with every key over its range, some keys left out; each number is
    drawn between what the earlier ones leave free, so that nearly all sheets are accepted.
    """
    family = draw(st.sampled_from(DRAWN))
    values = drawn_values(family, lambda low, high: draw(st.floats(low, max(low, high))))
    left_out = draw(st.sets(st.sampled_from(MAY_BE_LEFT_OUT), max_size=6))
    kept = {key: value for key, value in values.items() if key not in left_out}
    identity = {"name": "Dunlin", "family": family, "bead_seat_diameter_mm": 622}
    try:
        return Sheet({**identity, **kept})
    except SheetError:
        reject()


def drawn_values(family: Family, between) -> dict[str, float]:
    side, well, bed = between(0.6, 3), between(0.6, 3), between(0.7, 4)
    hook = between(0.7, 3.5)
    height = max(2, hook + 0.5) + between(0, 6)
    leans = leaning_values(family, side, hook, height, between)
    lip = leans.pop("lip")
    hole = between(2.5, 5.5)
    head = max(3, hole + 1) + between(0, 2.5)
    washer = max(4, head) + between(0, 3) if between(0, 1) > 0.7 else None
    seat = bed + {Family.SINGLE: 0, Family.THICKENED: between(0.06, 2.5)}.get(
        family, between(-FLUSH_MM, 1.5) if between(0, 1) > 0.5 else 0
    )
    values = {
        "inner_width_mm": between(max(12, 2 * lip + 4), 50),
        "hook_height_mm": height,
        "bead_hook_mm": hook,
        "hook_lip_mm": lip,
        "sidewall_mm": side,
        "tyre_well_mm": well,
        "spoke_bed_mm": bed,
        "nipple_seat_mm": max(0.6, seat),
        "spoke_hole_mm": hole,
        "nipple_head_mm": head,
        "washer_mm": washer,
        **leans,
    }
    most = min(lip / 2, 0.9 * nose_thickness(Known(family, values)))
    values["crown_radius_mm"] = between(0.05, most / steep(Known(family, values)))
    rest = _single if family is Family.SINGLE else _chambered
    values |= rest(Known(family, values), washer or head, between)
    thinnest = min(well, bed, values["bead_seat_mm"], values.get("flank_mm", bed))
    values["corner_radius_mm"] = between(0.05, 1.5 * thinnest)
    ridge = highest_ridge(Known(family, values))
    if ridge > 0.2 and between(0, 1) > 0.6:
        values["bead_ridge_mm"] = between(0.2, ridge)
    values["fillet_radius_mm"] = between(0.05, min(3, (height - hook) / 2, values.pop("room") / 2))
    return values


def highest_ridge(known: Known) -> float:
    """That leaves room for a bead, beside it and under the hook."""
    shelf = sidewall_foot(known) - known["tyre_well_width_mm"] / 2 - RIDGE_TOP_MM - 0.8
    lean = math.tan(math.radians(known["well_slope_deg"]))
    under = known["hook_height_mm"] - known["bead_hook_mm"] - 0.5
    return min(1.5, under, (shelf - 1e-6) / (1 + lean))


def leaning_values(family: Family, side, hook, height, between) -> dict[str, float]:
    """Some sidewalls tapered, some hooks too, some crowns that slope."""
    found, foot = {}, side
    if between(0, 1) > 0.6:
        most = min(0.13 * (height - hook), side - 0.5, 1.0)
        foot = found["sidewall_foot_mm"] = max(0.5, side + between(-most, most))
    top = 2 * side - foot
    if family is Family.HOOKLESS:
        step = between(-FLUSH_MM, 2.5)
        found["lip"] = top + step
    else:
        found["lip"] = max(top, foot) + between(0.2, 2.5)
        step = found["lip"] - top
    if between(0, 1) > 0.6 and step > 0.2:
        most = min(0.55 * step, 2 * (hook - 0.6), 2 * (height - hook - 0.5))
        found["lip_taper_mm"] = round(between(-most, most), 2)
    if between(0, 1) > 0.6:
        most = math.degrees(math.atan(min((height - hook - 0.5) / 4, 0.4 * hook / found["lip"])))
        found["crown_slope_deg"] = round(between(-min(30, most), min(30, most)), 2)
    return found


def _chambered(known: Known, bearing: float, between) -> dict[str, float]:
    depth, flank, room = between(0.8, 7), between(0.6, 3), between(1, 22)
    well, seat, bed = known["tyre_well_mm"], known["nipple_seat_mm"], known["spoke_bed_mm"]
    outside = outer_half(known)
    foot = sidewall_foot(known)
    step = seat - bed if seat - bed > FLUSH_MM else 0
    pad = bearing + between(0.2, 4)
    needed = (pad + 2 * step if step else bearing) + 2.6 * flank + 0.6
    found = {
        "room": room,
        "flank_mm": flank,
        "tyre_well_depth_mm": depth,
        "bead_seat_mm": between(0.6, min(3, depth + well - 0.2)),
        "overall_depth_mm": known["hook_height_mm"] + depth + well + seat + room,
        "well_slope_deg": between(0, min(40, math.degrees(math.atan((foot - 3) / depth)))),
        "spoke_bed_width_mm": between(min(needed, 2 * outside), 2 * outside),
        **({"nipple_seat_width_mm": pad} if step else {}),
    }
    aside = outside - found["spoke_bed_width_mm"] / 2
    if between(0, 1) > 0.7:
        found["spoke_bed_offset_mm"] = round(between(-aside, aside) / 2, 2)
    if between(0, 1) > 0.7:
        straight = straight_width(known.with_assumed(found))
        found["middle_width_mm"] = straight + between(-0.1, 0.3) * (depth + well + room)
    if between(0, 1) > 0.6 and room > 4:
        web = found["web_mm"] = between(0.6, min(2.5, room - 3))
        height = found["web_height_mm"] = step + between(1.01, room - web - 1.01)
        found["room"] = min(height - step, room - web - height + step)
    # Where the well's back would touch the flank, were the well no width at all.
    so_far = known.with_assumed({**found, "tyre_well_width_mm": 0.0, "fillet_radius_mm": 0.1})
    levels = (-found["bead_seat_mm"], -depth - well)
    free = min(
        2 * (flank_inside(half, y) - well_back(half, y) - 1)
        for y in levels
        for half in halves(so_far)
    )
    widest = min(2 * foot - 1.6, free)
    least = 2 * depth * math.tan(math.radians(found["well_slope_deg"])) + 1
    return found | {"tyre_well_width_mm": between(min(max(3, least), widest), widest)}


def _single(known: Known, bearing: float, between) -> dict[str, float]:
    depth, seat = between(1, 10), known["nipple_seat_mm"]
    outside = outer_half(known)
    foot = sidewall_foot(known)
    shelf = between(0.6, min(3, depth + seat - 0.2))
    reach = max(0.1, foot - 0.9 - bearing / 2)
    slope = between(0, min(40, math.degrees(math.atan(reach / depth))))
    lean = math.tan(math.radians(slope))
    free = 2 * (outside - 0.2 - known["tyre_well_mm"] * math.hypot(1, lean) + shelf * lean)
    widest = min(2 * foot - 1.6, free)
    least = bearing + 0.2 + 2 * depth * lean
    return {
        "room": 9,
        "bead_seat_mm": shelf,
        "overall_depth_mm": known["hook_height_mm"] + seat + depth,
        "well_slope_deg": slope,
        "tyre_well_width_mm": between(min(least, widest), widest),
    }


def as_drawn(sheet: Sheet) -> dict[str, float]:
    """What a caliper must read on the drawing: the sheet's numbers, but a step of the lip or the
    pad up to 0.05 mm is drawn flush, so there the lip reads as the sidewall, the seat as the
    bed; and a hookless crown without any step has no underside to measure to.
    """
    keys = ("inner_width", "overall_depth", "hook_height", "tyre_well_depth", "tyre_well_width")
    numbers = {f"{key}_mm": getattr(sheet, f"{key}_mm") for key in keys}
    numbers |= {wall.key_mm: sheet.thickness(wall) for wall in sheet.walls}
    if not sheet.seat_step_mm:
        numbers["nipple_seat_mm"] = sheet.spoke_bed_mm
    if not sheet.lip_step_mm:
        numbers["hook_lip_mm"] = top_thickness(sheet.known)
        del numbers["bead_hook_mm"]
    leans = {key: getattr(sheet, key) for key in MAY_BE_THERE if getattr(sheet, key)}
    if leans.get("sidewall_foot_mm") == sheet.sidewall_mm:
        del leans["sidewall_foot_mm"]
    flanks = [flank for half in halves(sheet.known) if (flank := curved(half))]
    if all(2 * np.sin(abs(flank.turn)) < PARALLEL for flank in flanks):  # no curve to be seen
        leans.pop("middle_width_mm", None)
    return numbers | leans


def reads_as_the_sheet_says(sheet):
    assert measure(outline(sheet)) == pytest.approx(as_drawn(sheet), abs=1e-3)


@usual(8)
@given(sheets())
def test_the_caliper_reads_on_the_drawing_what_the_sheet_says(sheet):
    reads_as_the_sheet_says(sheet)


@pytest.mark.long
@usual(100)
@given(sheets())
def test_the_caliper_reads_on_many_drawings_what_the_sheet_says(sheet):
    reads_as_the_sheet_says(sheet)


def has_the_radii_it_names_or_smaller(sheet):
    largest = max(sheet.crown_radius_mm, sheet.corner_radius_mm, sheet.fillet_radius_mm)
    for ring in outline(sheet).rings:
        radii = arc_radii(ring)
        is_curve = np.array(ring.labels) == Wall.FLANK
        is_curve &= sheet.middle_width_mm is not None
        assert radii[np.isfinite(radii) & ~is_curve].max() <= largest + 1e-9
        assert_smooth(ring)


@usual(100)
@given(sheets())
def test_every_accepted_sheet_is_drawn_with_the_radii_it_names_or_smaller(sheet):
    has_the_radii_it_names_or_smaller(sheet)


@pytest.mark.long
@usual(400)
@given(sheets())
def test_many_an_accepted_sheet_is_drawn_with_the_radii_it_names_or_smaller(sheet):
    has_the_radii_it_names_or_smaller(sheet)


def assert_smooth(ring) -> None:
    """Both ends of every arc run on in the direction of the straight edges beside it."""
    k = np.flatnonzero(ring.bulge)
    m = len(ring.labels)
    here = [normals_at(ring, k, np.full(len(k), t)) for t in (0.0, 1.0)]
    before = normals_at(ring, (k - 1) % m, np.ones(len(k)))
    after = normals_at(ring, (k + 1) % m, np.zeros(len(k)))
    np.testing.assert_allclose(here[0], before, atol=1e-7)
    np.testing.assert_allclose(here[1], after, atol=1e-7)


@pytest.mark.long
@usual(300)
@given(sheets())
def test_the_drawing_is_the_mirror_image_of_that_with_its_bed_to_the_other_side(sheet):
    """And its own where the bed is in the middle; all walls are named."""
    is_mirrored(sheet)


def is_mirrored(sheet):
    drawn = outline(sheet)
    place, names = middles(drawn)
    if sheet.spoke_bed_offset_mm:
        other = sheet.varied(spoke_bed_offset_mm=-sheet.spoke_bed_offset_mm)
        image, theirs = middles(outline(other))
    else:
        image, theirs = place, names
    gap = np.linalg.norm(place[:, None] - image * [-1, 1], axis=2)
    assert gap.min(axis=1).max() < 1e-9
    assert [theirs[k] for k in gap.argmin(axis=1)] == names
    assert set(names) == set(sheet.walls)


def middles(drawn: Outline) -> tuple[np.ndarray, list[str]]:
    rings = [(ring, np.arange(len(ring.labels))) for ring in drawn.rings]
    place = [points_at(ring, k, np.full(len(k), 0.5)) for ring, k in rings]
    return np.vstack(place), list(drawn.labels)


@st.composite
def usual_sheets(draw: st.DrawFn) -> Sheet:
    """Sheets as builders fill them in: the seven caliper numbers, roundings left out."""
    family = draw(st.sampled_from(DRAWN))

    def between(low: float, high: float) -> float:
        return draw(st.floats(low, high))

    side = between(1, 2.2)
    values = {
        "inner_width_mm": between(17, 40),
        "overall_depth_mm": between(18, 35) if family is not Family.SINGLE else between(12, 16),
        "bead_hook_mm": between(1.2, 2.6),
        "sidewall_mm": side,
        "hook_lip_mm": side + between(0.5, 1.8),
        "tyre_well_mm": between(1, 2.2),
        "nipple_seat_mm": between(1.6, 3.2),
    }
    identity = {"name": "Dunlin", "family": family, "bead_seat_diameter_mm": 622}
    try:
        return Sheet({**identity, **values})
    except SheetError:
        reject()


def is_meshed_well(sheet):
    quality = mesh_outline(outline(sheet), finer=UNDER_LOADS).quality
    assert quality.smallest_angle_deg >= 25
    assert quality.area_error < 1e-5
    assert quality.across >= 2
    assert quality.triangles <= 8000


@settings(usual(8), phases=[Phase.generate], report_multiple_bugs=False)
@given(usual_sheets())
def test_a_usual_sheet_is_meshed_well_with_a_bounded_number_of_triangles(sheet):
    is_meshed_well(sheet)


@pytest.mark.long
@settings(usual(40), phases=[Phase.generate], report_multiple_bugs=False)
@given(usual_sheets())
def test_many_a_usual_sheet_is_meshed_well_with_a_bounded_number_of_triangles(sheet):
    is_meshed_well(sheet)


def plain(family: Family = Family.HOOKED, **changes: float) -> Sheet:
    values = {
        "inner_width_mm": 25,
        "overall_depth_mm": 21 if family is not Family.SINGLE else 14,
        "bead_hook_mm": 1.6,
        "hook_lip_mm": 2.6,
        "sidewall_mm": 1.5,
        "tyre_well_mm": 1.3,
        "nipple_seat_mm": 2.4,
    }
    identity = {"name": "Dunlin", "family": family, "bead_seat_diameter_mm": 622}
    return Sheet({**identity, **values, **changes})


def test_a_lip_within_five_hundredths_of_its_sidewall_stands_in_one_line_with_it():
    flush = outline(plain(Family.HOOKLESS, sidewall_mm=1.5, hook_lip_mm=1.5 + 0.04))
    assert flush.outer.corners[:, 0].max() == pytest.approx(12.5 + 1.5, abs=1e-12)
    stepped = outline(plain(Family.HOOKLESS, sidewall_mm=1.5, hook_lip_mm=1.5 + 0.3))
    assert stepped.outer.corners[:, 0].max() == pytest.approx(12.5 + 1.8, abs=1e-12)


@pytest.mark.parametrize("family", DRAWN)
def test_the_bearing_face_has_corners_where_hole_bearing_and_seat_end(family):
    sheet = plain(family, washer_mm=8)
    drawn = outline(sheet)
    face = drawn.holes[0] if drawn.holes else drawn.outer
    level = face.corners[np.abs(face.corners[:, 1] - (6 - sheet.overall_depth_mm + 2.4)) < 1e-9]
    ends = [sheet.spoke_hole_mm / 2, 4.0]
    if not sheet.seat_step_mm:
        assert seat_zone(sheet) == 4.0
    for x in ends:
        assert np.abs(np.abs(level[:, 0]) - x).min() < 1e-9


@pytest.mark.parametrize("offset", [-4.0, 3.0])
def test_the_room_on_an_offset_bed_is_that_to_its_nearer_flank(offset):
    """The flank under which the bed lies stands steeper, and so is less wide across the rim."""
    sheet = plain(spoke_bed_offset_mm=offset, fillet_radius_mm=0.05, overall_depth_mm=15)
    corners = outline(sheet).holes[0].corners
    x = corners[np.isclose(corners[:, 1], bed_inside(sheet.known)), 0] - offset
    room = bed_room(sheet.known)
    assert min(x.max(), -x.min()) == pytest.approx(room, abs=0.05)
    assert max(x.max(), -x.min()) > room + 0.1


@pytest.mark.parametrize("arch", [3.0, 5.0])
def test_an_arched_bed_is_as_thick_as_bed_and_flank_and_no_thinner(arch):
    """Where the two are alike the arcs of both faces have one centre."""
    values = {"spoke_bed_mm": 1.4, "nipple_seat_mm": 1.4, "flank_mm": 1.4, "arch_radius_mm": arch}
    sheet = Sheet({**ARCHED, **values})
    drawn = outline(sheet)
    radii = [arc_radii(ring) for ring in drawn.rings]
    assert arch in radii[0].round(9)
    assert round(arch - 1.4, 9) in radii[1].round(9)
    found = measure(drawn)
    for key in ("spoke_bed_mm", "flank_mm"):
        assert found[key] == pytest.approx(getattr(sheet, key), abs=1e-3)


def test_an_arch_that_would_begin_under_the_nipple_is_refused_with_the_largest_that_has_room():
    with pytest.raises(
        SheetError, match=r"begin under the nipple seat.*the largest .* is (\S+) mm"
    ):
        Sheet({**ARCHED, "arch_radius_mm": 30.0})


DEEP = {**ARCHED, "overall_depth_mm": 45, "spoke_bed_width_mm": 14, "flank_mm": 1.1}


def width_over(drawn: Outline, y: float) -> float:
    """Between the outermost crossings of a level line."""
    ring, m = drawn.outer, len(drawn.outer.labels)
    points = points_at(ring, np.repeat(np.arange(m), 4000), np.tile(np.linspace(0, 1, 4000), m))
    x = points[np.abs(points[:, 1] - y) < 0.01, 0]
    return float(x.max() - x.min())


@pytest.mark.parametrize("width", [16.0, 25.0])
def test_curved_flanks_are_as_wide_half_way_as_the_sheet_says_and_as_thick_everywhere(width):
    """Both faces have one centre, and run on from the arc into straight ends."""
    sheet = Sheet({**DEEP, "middle_width_mm": width})
    drawn, flank = outline(sheet), curved(sheet.known)
    half_way = (-sheet.bead_seat_mm + 6.0 - sheet.overall_depth_mm) / 2
    assert width_over(drawn, half_way) == pytest.approx(width, abs=0.01)
    found = chords(drawn, 0.25)
    thick = found.lengths[found.of(Wall.FLANK) & (found.lean < np.radians(1))]
    np.testing.assert_allclose(thick, sheet.flank_mm, atol=0.003)
    outer, inner = (arc_radii(ring)[np.array(ring.labels) == Wall.FLANK] for ring in drawn.rings)
    assert np.abs(outer - abs(flank.radius)).min() < 1e-9
    assert np.abs(inner - abs(flank.radius - sheet.flank_mm)).min() < 1e-9


def test_a_flank_that_bulges_less_and_less_becomes_the_straight_one():
    straight = outline(Sheet(DEEP))
    width = straight_width(Sheet(DEEP).known)
    areas = [
        moments(outline(Sheet({**DEEP, "middle_width_mm": width + more})))[0] - moments(straight)[0]
        for more in (-0.01, 0.001, 0.01)
    ]
    assert areas[0] < 0 < areas[1] < areas[2]
    assert areas[2] == pytest.approx(-areas[0], rel=0.01)
    assert areas[1] == pytest.approx(areas[2] / 10, rel=0.01)


def test_a_web_makes_two_chambers_and_is_half_way_where_nobody_measured():
    sheet = Sheet({**DEEP, "web_mm": 1.0})
    drawn = outline(sheet)
    assert len(drawn.holes) == 2
    assert Wall.WEB in sheet.walls
    low, high = web_faces(sheet.known)
    assert low - bed_inside(sheet.known) == pytest.approx(well_under(sheet.known) - high)
    found = measure(outline(Sheet({**DEEP, "web_mm": 1.0, "web_height_mm": 9})))
    assert (found["web_mm"], found["web_height_mm"]) == pytest.approx((1.0, 9.0))


def test_beside_a_web_a_curved_flank_keeps_its_thickness():
    sheet = Sheet({**DEEP, "web_mm": 1.0, "middle_width_mm": 25.0})
    found = chords(outline(sheet), 0.25)
    thick = found.lengths[found.of(Wall.FLANK) & (found.lean < np.radians(1))]
    assert thick.min() > 0.97 * sheet.flank_mm


@pytest.mark.parametrize(
    ("values", "told"),
    [
        ({"web_height_mm": 9}, r"web_mm.* is missing beside web_height_mm"),
        ({"web_mm": 1.0, "web_height_mm": 1.2, "fillet_radius_mm": 1.0}, "fillet_radius_mm = 1 mm"),
        ({"web_mm": 1.0, "web_height_mm": 33}, r"the chamber above the web would be 0 mm high"),
        (
            {"middle_width_mm": 60},
            r"each flank would stand out by 18.95 mm; straight flanks measure",
        ),
        (
            {"middle_width_mm": 5, "flank_mm": 2.6},
            r"middle_width_mm = 5 mm and flank_mm = 2.6 mm clash: half way up 0 mm would be left",
        ),
    ],
)
def test_what_is_no_web_and_no_curve_is_refused(values, told):
    with pytest.raises(SheetError, match=told):
        Sheet({**DEEP, **values})
