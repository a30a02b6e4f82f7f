"""A set-up's wheels in sentences and tables."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from rimfea.profile.sheet import Sheet
from rimfea.strike.ladder import SPRINGY, Event
from rimfea.study.ride import ride, wheel_of
from rimfea.study.seat import Reinforcement
from rimfea.study.setup import End, Setup
from rimfea.study.window import Bound, Limit, Window
from rimfea.units import to_unit
from rimfea.words.numbers import Units, in_stress
from rimfea.words.rides import (
    BAR_CELLS,
    assumptions,
    blow_words,
    event_words,
    first_to_dent,
    how,
    in_both,
    ladder_table,
    ladders_table,
    largest_tension,
    needed_words,
    reinforcement_table,
    ride_lines,
    setup_words,
    span_words,
    speed_words,
    tension_bars,
    tension_line,
    weld_lines,
    wheels_table,
    window_bar,
    window_words,
)

SNIPE = {
    "name": "snipe",
    "bead_seat_diameter_mm": 622,
    "inner_width_mm": 25,
    "overall_depth_mm": 21,
    "bead_hook_mm": 1.6,
    "hook_lip_mm": 2.6,
    "sidewall_mm": 1.5,
    "tyre_well_mm": 1.3,
    "nipple_seat_mm": 2.4,
    "joint": "welded",
}
FELL = Setup.from_values({
    "name": "fell", "tyre_width_mm": 45, "front_share": 0.4, "front_pressure_bar": 2.25,
    "luggage_kg": 8, "speed_km_h": 15, "rear_right_mm": 35,
})  # fmt: skip
HIGH = {"step_mm": 60.0, "speed_km_h": 16.0}  # the tyre gets flat, and the rim yields
NEWTON, KILOGRAM_FORCE = Units(), Units(force="kgf", pressure="psi")
tensions = st.floats(50, 3000)


@pytest.fixture(scope="module")
def both():
    """The front and the rear wheel."""
    sheet = Sheet(SNIPE)
    return [ride(wheel_of(sheet, FELL, end, coarseness=1.8), FELL, end) for end in End]


def changed(known, **changes):
    """The ride of the same wheel under a set-up changed in what does not act already."""
    return ride(known.analysis, known.setup.varied(**changes), known.end)


def windowed(low, high, target):
    slack, least = Bound(low, Limit.SLACK, 2.0), Bound(low / 2, Limit.NONE_BELOW, 150.0)
    bounds = (slack, least), (Bound(high, Limit.NIPPLE_PULLS, 1.25),)
    return Window(*bounds, target)


def test_the_set_up_is_told_with_what_weighs_and_what_is_struck():
    assert setup_words(FELL) == (
        "Set-up fell: 100 kg in all, 40 % in front; strikes a rock 60 mm round."
    )
    flat = FELL.varied(obstacle="flat ground")
    assert setup_words(flat).endswith("strikes flat ground.")


def test_what_a_builder_asks_first_comes_wheel_by_wheel(both):
    told = ride_lines(both, NEWTON)
    assert told[0] == setup_words(FELL)
    assert told[1] == f"Front: {blow_words(both[0], NEWTON)}"
    assert told[2] == f"Rear: {blow_words(both[1], NEWTON)}"
    assert told[3] == first_to_dent(both)
    assert len(ride_lines(both[1:], NEWTON)) == 2


def test_a_blow_is_told_with_its_mass_drop_and_the_air_that_it_needs(both):
    for known in (changed(each, **HIGH) for each in both):
        told = blow_words(known, NEWTON)
        mass, drop = re.search(r"as hard as (\d+) kg dropped about (\d+) mm", told).groups()
        assert float(mass) == pytest.approx(known.blow.mass_kg, abs=0.5)
        assert float(drop) == pytest.approx(known.drop_mm, rel=0.05)
        flat = re.search(r"flat (?:and the rim yields )?below ([\d.]+) bar", told)[1]
        yields = re.search(r"yields below ([\d.]+) bar", told)[1]
        assert float(flat) == pytest.approx(10 * known.ladder.pressure_MPa[0], abs=0.051)
        assert float(yields) == pytest.approx(10 * known.needed_MPa, abs=0.051)


def test_a_soft_blow_stays_in_the_tyre_and_a_hard_one_goes_through(both):
    front = both[0]
    soft, hard = (changed(front, step_mm=55.0, speed_km_h=speed) for speed in (5.0, 40.0))
    assert soft.hook_N == 0
    told = blow_words(soft, NEWTON)
    assert told.startswith("5 km/h against a step of 55 mm, softer than any drop of 18 kg, stays")
    assert "stays in the tyre at 2.25 bar;" in told
    force = re.search(
        r"goes through to the rim at 2.25 bar with (\d+) N;", blow_words(hard, NEWTON)
    )
    assert float(force[1]) == pytest.approx(hard.hook_N, rel=0.005)


def test_a_blow_is_told_in_the_force_asked_for(both):
    hard = changed(both[0], step_mm=55.0, speed_km_h=40.0)
    force = re.search(r"with ([\d.]+) kgf;", blow_words(hard, KILOGRAM_FORCE))
    assert float(force[1]) == pytest.approx(to_unit(hard.hook_N, "kgf"), rel=0.005)


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({}, "15 km/h against a step of 30 mm"),
        ({"drop_mm": 80.0}, "15 km/h against a step of 30 mm or a drop of 80 mm"),
        ({"drop_mm": 80.0, "speed_km_h": 0.0}, "a drop of 80 mm"),
        ({"drop_mm": 80.0, "obstacle": "flat ground"}, "a drop of 80 mm"),
    ],
)
def test_a_blow_is_called_by_what_makes_it(changes, told):
    assert how(FELL.varied(**changes)) == told


def test_the_wheel_that_yields_at_the_lower_drop_yields_first(both):
    rear = both[1].ladder.drop_mm(Event.YIELD)
    front = both[0].ladder.drop_mm(Event.YIELD)
    assert rear < front
    for order in (both, both[::-1]):
        assert first_to_dent(order) == (
            f"The rear wheel yields first, from a drop of about {rear:.0f} mm, the "
            f"front wheel from {front:.0f} mm."
        )
    alike = [both[0], replace(both[0], end=End.REAR)]
    assert first_to_dent(alike) == "Both rims yield at the same drop."


def test_a_welded_hoop_is_told_to_yield_sooner_at_the_weld(both):
    told = weld_lines(both, NEWTON)
    assert [line.split(",")[0] for line in told] == ["Front", "Rear"]
    for line, known in zip(told, both, strict=True):
        weld = float(re.search(r"yields from (\d+) N", line)[1])
        assert weld < 0.8 * known.answer.load_at(known.answer.verdict.governing.first_yield)
        wall = known.answer.at_weld.governing
        assert f"the {wall.wall} yields" in line
    sound = [replace(both[0], answer=replace(both[0].answer, at_weld=None))]
    assert weld_lines(sound, NEWTON) == []


@pytest.mark.parametrize(
    ("low", "high", "target", "told"),
    [
        (450, 1200, 1000, "450 to 1200 N (122 kgf); the target, 1000 N (102 kgf), fits."),
        (450, 1200, 400, "WARNING: the target, 400 N (40.8 kgf), is below the window, 450 to"),
        (450, 1200, 1300, "WARNING: the target, 1300 N (133 kgf), is above the window, 450 to"),
        (900, 800, 850, "WARNING: no tension is at least 900 N (91.8 kgf) and at most 800 N"),
    ],
)
def test_a_window_is_told_with_both_ends_and_a_warning_where_the_target_is_outside(
    low, high, target, told
):
    words = window_words(windowed(low, high, target))
    assert words.startswith(told)
    assert words.endswith(
        " Not below: no spoke slack at 2× the load; not above: nipple pulls through at 1.25× that."
    )


def test_ends_that_read_alike_are_one_number_and_those_of_a_shut_window_are_told_apart():
    def told(low, high):
        bounds = (Bound(low, Limit.SLACK, 2.0),), (Bound(high, Limit.SEAT_FOLDS, 1.25),)
        window = Window(*bounds, target_N=1000.0)
        return window_words(window), span_words(window, NEWTON)

    whole, short = told(1096.0, 1104.0)
    assert short == "1100 N"
    assert "1100 to" not in whole
    whole, short = told(1094.0, 1086.0)
    assert short == "none: 1094 > 1086 N"
    assert "at least 1094 N (112 kgf) and at most 1086 N (111 kgf)" in whole


def test_the_tensions_of_both_sides_are_told_where_they_differ_and_a_placeholder_as_such():
    dished = replace(windowed(700, 1200, 1000), sides=(1.0, 0.57))
    assert window_words(dished).startswith(
        "700 to 1200 N (122 kgf) on the right; the target, 1000 N (102 kgf) right and 570 N left, "
        "fits."
    )
    unset = replace(windowed(700, 1200, 1000), is_placeholder=True)
    assert "the assumed target, 1000 N (102 kgf) until you give one, fits." in window_words(unset)


@given(tensions, tensions, tensions, st.floats(1.0, 2.0))
@example(low=901.0, high=899.0, target=300.0, more=1.0)  # shut by less than a cell
def test_a_bar_shows_target_and_both_ends_in_always_as_many_cells(low, high, target, more):
    window = windowed(low, high, target)
    most = more * largest_tension(window)
    bar = window_bar(window, most)
    assert (bar[0], bar[-1], len(bar)) == ("|", "|", BAR_CELLS + 2)
    cells = bar[1:-1]

    def cell(force):
        return min(int(BAR_CELLS * force / most), BAR_CELLS - 1)

    assert cells.count("o") == 1
    assert cells.index("o") == cell(target)
    allowed = set(range(cell(low), cell(high) + 1)) if window.is_open else set()
    assert {k for k, sign in enumerate(cells) if sign == "="} == allowed - {cell(target)}


def test_both_wheels_are_barred_to_one_scale(both):
    told = [tension_line(each) for each in both]
    assert [line.split(":")[0] for line in told] == ["Front tension", "Rear tension"]
    bars = [bar.split("|")[2].strip() for bar in tension_bars(both, NEWTON)]
    assert [bar.split(": ")[0] for bar in bars] == ["front", "rear"]
    (scale,) = {bar.split(": ")[1] for bar in bars}
    most = float(re.match(r"0 to (\d+) N, = allowed, o the target", scale)[1])
    assert most == pytest.approx(1.1 * max(largest_tension(r.window) for r in both), rel=0.005)


def test_a_tension_is_told_in_newton_and_kilogram_force():
    assert in_both(980.665) == "981 N (100 kgf)"


@pytest.mark.parametrize("units", [NEWTON, KILOGRAM_FORCE])
def test_the_ladder_has_a_row_for_every_rung_of_every_wheel(both, units):
    both = [changed(each, **HIGH) for each in both]
    table = ladder_table(both, units)
    rungs = [
        (ride, *each)
        for ride in both
        for each in zip(
            ride.ladder.rungs, ride.ladder.speed_m_s, ride.ladder.pressure_MPa, strict=True
        )
    ]
    assert len(table.rows) == len(rungs) == 8
    for row, (known, rung, speed, pressure) in zip(table.rows, rungs, strict=True):
        assert row[:3] == (known.name, event_words(rung, known.setup), units.in_force(rung.hook_N))
        numbers = [float(cell.split()[0]) for cell in row[3:]]
        air = to_unit(pressure, units.pressure)
        expected = (rung.energy_J, rung.drop_mm, 3.6 * speed, air)
        assert numbers == pytest.approx(expected, abs=0.5)
    assert table.head[5] == "60 mm step"


def test_what_no_speed_brings_and_what_is_not_by_air_is_told_as_such(both):
    low = changed(both[0], drop_mm=900.0)
    rows = ladder_table([low], NEWTON).rows
    assert {row[5] for row in rows} == {"never"}
    assert [row[6] for row in rows][:2] == ["not by air", "not by air"]
    told = blow_words(low, NEWTON)
    assert told.endswith("; no air helps, not even the 4.4 bar that such a tyre takes.")
    side_by_side = ladders_table([low])
    assert side_by_side.rows[0][side_by_side.head.index("air needed")] == "not by air"
    assert (speed_words(0.0), speed_words(4.0)) == ("any speed", "14 km/h")


def test_the_air_for_the_tyre_and_for_the_rim_are_told_apart(both):
    """From where the tyre gets flat whatever its air to where the rim needs none."""

    def told(*pressures):
        ladder = replace(both[0].ladder)
        ladder.__dict__["pressure_MPa"] = pressures + pressures[-1:] * 2
        return needed_words(replace(both[0], ladder=ladder))

    assert told(0.31, 0.28) == "the tyre is flat below 3.1 bar, the rim yields below 2.8 bar"
    assert told(0.314, 0.306) == "the tyre is flat and the rim yields below 3.1 bar"
    assert told(0.31, 0.0) == "the tyre is flat below 3.1 bar, the rim needs no air"
    assert told(math.inf, 0.42) == (
        "the tyre bottoms out even at the 4.4 bar that it takes, the rim yields below 4.2 bar"
    )


def test_on_flat_ground_there_is_no_speed_against_a_step(both):
    flat = changed(both[0], obstacle="flat ground", drop_mm=100.0)
    assert {row[5] for row in ladder_table([flat], NEWTON).rows} == {"-"}


def test_rims_side_by_side_have_their_drops_under_the_same_heads_whatever_their_order(both):
    table = ladders_table(both)
    for row, known in zip(table.rows, both, strict=True):
        for event in SPRINGY:
            drop = known.ladder.drop_mm(event)
            assert row[table.head.index(event)] == f"{drop:.0f} mm"
        assert row[table.head.index("air needed")] == f"{10 * known.needed_MPa:.1f} bar"


def test_what_never_happens_and_a_shut_window_are_told_as_such(both):
    front = both[0]
    rungs = tuple(rung for rung in front.ladder.rungs if rung.event is not Event.SET)
    tough = replace(
        front,
        ladder=replace(front.ladder, rungs=rungs),
        window=windowed(900.0, 800.0, 850.0),
    )
    table = ladders_table([tough])
    assert table.rows[0][table.head.index("set")] == "-"
    assert table.rows[0][table.head.index("tension window")] == "none: 900 > 800 N"


def test_the_wheels_have_the_numbers_of_spoke_hole_and_casing(both):
    table = wheels_table(both, NEWTON)
    for row, known in zip(table.rows, both, strict=True):
        assert row[0] == known.name
        assert row[1] == NEWTON.in_force(known.window.lowest.tension_N)
        assert row[2] == NEWTON.in_force(known.window.highest.tension_N)
        assert row[5] == in_stress(known.seat.amplitude_MPa)
        assert row[6] == in_stress(known.squeeze.peak_MPa)


def test_what_spares_the_spoke_hole_is_told_with_what_it_weighs_and_takes_off(both):
    worn = both[1].seat
    spared = replace(worn, amplitude_MPa=worn.amplitude_MPa / 2)
    bought = Reinforcement("washers of 8 mm", 6.04, worn, replace(spared, edge_MPa=0.0))
    ((what, mass, swing, edge),) = reinforcement_table([bought]).rows
    assert edge.endswith(" MPa/g")
    assert float(edge.split()[0]) == pytest.approx(abs(worn.edge_MPa) / 6.04, rel=0.005)
    assert (what, mass) == ("washers of 8 mm", "+6.0 g")
    was, now = (float(part.split()[0]) for part in swing.split(" to "))
    assert was == pytest.approx(worn.amplitude_MPa, rel=0.005)
    assert now == pytest.approx(was / 2, rel=0.01)


@pytest.mark.parametrize("units", [NEWTON, KILOGRAM_FORCE])
def test_no_table_has_ragged_rows_or_empty_cells(both, units):
    tables = (ladder_table(both, units), wheels_table(both, units), ladders_table(both))
    for table in tables:
        for row in (table.head, *table.rows):
            assert len(row) == len(table.head), table.title
            assert all(isinstance(cell, str) and cell.strip() for cell in row), table.title


def test_what_the_numbers_rest_on_is_said_once_each():
    told = assumptions()
    assert len(set(told)) == len(told) == 2
    assert "a factor of about two" in " ".join(told)
    assert "upper estimate" not in " ".join(told)
