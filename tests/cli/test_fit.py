"""Tables as wide as the terminal, from 40 to 200 columns: nothing is cut, no number is broken."""

from __future__ import annotations

import io
import re

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from rimfea.ask.choose import Candidate, choose
from rimfea.ask.compare import Measured
from rimfea.ask.reconcile import Ending, Held, Reconciled
from rimfea.ask.sweep import DECIDED, Point, Sweep, Swept
from rimfea.ask.wear import Wear
from rimfea.ask.worth import Worth
from rimfea.cli.fit import fitted, framed, wrapped
from rimfea.cli.printing import Told, show_table
from rimfea.elastic.loads import Pressure, SpokeTension
from rimfea.study.cases import USUAL, wheel_load
from rimfea.study.outcome import BY_KEY, OUTCOMES
from rimfea.study.ride import ride, wheel_of
from rimfea.study.seat import reinforcements
from rimfea.study.setup import End, Setup
from rimfea.vary.axis import Axis
from rimfea.vary.doubt import Doubt, Origin, Source
from rimfea.vary.sensitivity import Sensitivity
from rimfea.words import choose as choices
from rimfea.words import compare, design, reconcile, rides, sweep, tables, wear, worth
from rimfea.words.numbers import USUAL as NEWTON
from rimfea.words.tables import Table
from rimfea.words.wheel_tests import wheel_tests_table

WIDTHS = (40, 60, 80, 120, 200)
BOG = Setup.from_values({"name": "bog", "tyre_width_mm": 45})
KEYS = ("sidewall_mm", "bead_seat_diameter_mm")
NUMBER = re.compile(r"\d[\d.]*")


@pytest.fixture(scope="module")
def rim(sheet_of):
    return sheet_of(name="snipe")


@pytest.fixture(scope="module")
def made_up(rim):
    """Tables of answers that nobody computed."""
    found = Worth(slopes(rim))
    return [
        tables.sheet_table(rim),
        tables.scales_table(rim.varied(weighed_mass_g=700)),
        worth.worth_table(found),
        worth.doubts_table(found),
        *swept_tables(rim),
        wear.wear_table(worn(rim)),
        reconcile.reconcile_table(scaled(rim)),
        design.lines_table("sidewall_mm = 1.3\n", "sidewall_mm = 1.45\nflank_mm = 0.9\n"),
    ]


@pytest.fixture(scope="module")
def solved(rim):
    """Tables of one coarse wheel."""
    built = wheel_of(rim, BOG, End.REAR, coarseness=2.2)
    wheels = tuple(ride(built, BOG, end) for end in End)
    rims = [Measured(wheels[1], slopes(rim))] * 6
    return [
        tables.wall_table(built.governing, NEWTON),
        tables.wheel_table(built, NEWTON),
        tables.section_table(built),
        tables.evidence_table(built),
        tables.comparison_table([built] * 2, NEWTON),
        wheel_tests_table({"snipe": wheels[1].known_tests}, NEWTON),
        tables.rims_table([built] * 2),
        tables.wheels_table([built] * 2, NEWTON),
        rides.ladder_table(wheels, NEWTON),
        rides.ladders_table(wheels),
        rides.wheels_table(wheels, NEWTON),
        rides.reinforcement_table(reinforcements(built, wheel_load(built.loading))),
        compare.outcomes_table(rims, rims[0]),
        choices.choice_table(choose([Candidate(*wheels)])),
    ]


def slopes(sheet):
    base = np.array([np.nan if each.dent else 1234.5 for each in OUTCOMES])
    known = Doubt(tuple(Source(Origin.READING, key, "snipe") for key in KEYS), np.eye(2) / 99)
    return Sensitivity(sheet, KEYS, base, np.full((2, len(OUTCOMES)), 40.0), known)


def swept_tables(sheet):
    for axes in ((Axis("sidewall_mm", 1.2, 1.8, 7),), tuple(Axis(k, 1, 2, 9) for k in DOWN)):
        asked = Sweep(sheet, BOG, End.REAR, axes, USUAL)
        values = dict.fromkeys(BY_KEY, 1234.5)
        walls = dict.fromkeys(DECIDED, "nipple seat")
        found = {place: Point(place, values, walls) for place in asked.places}
        yield sweep.sweep_table(Swept(asked, found), "set_N", NEWTON)


DOWN = ("tyre_well_mm", "bead_hook_mm")


def worn(sheet):
    t = np.linspace(1.5, 0.6, 4)
    return Wear(
        sheet, Pressure(0.6, 41.7), SpokeTension(900.0, 32, 4.5, 8.0), 2.0, t,
        1.2 + 0 * t, 2 / t, 3 / t, 0.1 / t, 0.05 / t,
    )  # fmt: skip


def scaled(sheet):
    held = Held("mass", "g", 740.0, 786.2, 742.4, 9.4)
    after = sheet.varied(flank_mm=0.9, tyre_well_mm=1.1)
    return Reconciled(sheet, after, Ending.SCALED, (held,), ("flank_mm", "tyre_well_mm"))


def printed(table, width, encoding="utf-8"):
    told = io.TextIOWrapper(io.BytesIO(), encoding=encoding, write_through=True)
    show_table(Told(file=told, width=width, markup=False, highlight=False), table)
    return told.buffer.getvalue().decode(encoding)


@pytest.mark.parametrize(
    ("width", "encoding"), [*((each, "utf-8") for each in WIDTHS), (40, "ascii"), (80, "cp437")]
)
@pytest.mark.parametrize("which", ["made_up", pytest.param("solved", marks=pytest.mark.long)])
def test_no_table_is_wider_than_the_terminal_and_no_number_of_it_is_cut(
    request, which, encoding, width
):
    for table in request.getfixturevalue(which):
        told = printed(table, width, encoding)
        assert max(map(cell_len, told.splitlines())) <= width, table.title
        assert "…" not in told
        shown = NUMBER.findall(told)
        for cell in (cell for row in table.rows for cell in row):
            assert not {*NUMBER.findall(cell)} - {*shown}, (table.title, cell)


def test_what_fits_is_one_table_with_a_line_a_row(made_up):
    for table in made_up:
        (whole,) = fitted(table, 500)
        assert whole == table


def test_a_number_stays_with_its_unit_and_a_sign_with_its_number():
    assert wrapped("first yield at 1040 N ± 13 % = more", 9).split("\n") == [
        "first", "yield at", "1040 N", "± 13 % =", "more",
    ]  # fmt: skip


def test_lines_that_go_on_are_as_far_in_as_the_first():
    assert wrapped("  one two three", 9) == "  one two\n  three"


def test_a_path_that_is_too_long_is_broken_and_a_number_is_not():
    assert wrapped("a/very/long/path 123456789012", 8) == "a/very/l\nong/path\n123456789012"


TOO_WIDE = Table(
    "Drops",
    ("wheel", "what happens", "drop", "energy"),
    tuple((f"snipe, {end}", what, "120 mm", "14.2 J") for end in End for what in ("flat", "dent")),
    frozenset({1}),
)


def test_columns_that_do_not_fit_follow_with_what_tells_the_rows_apart():
    parts = fitted(TOO_WIDE, 32)
    assert [part.head[2:] for part in parts] == [("drop",), ("energy",)]
    for part in parts:
        assert [row[1] for row in part.rows] == ["flat", "dent"] * 2
        assert part.marked == {1}


def test_where_nothing_fits_beside_the_first_column_every_row_is_a_table():
    long = Table("Sheet", ("key", "value"), (("a_key_that_is_long", "12.5 mm"),) * 2)
    parts = fitted(long, 24)
    assert [(part.head, part.rows) for part in parts] == [
        (("a_key_that_is_long",), (("value: 12.5 mm",),))
    ] * 2


texts = st.text("abc 0123456789.±%", max_size=30)


@given(
    st.lists(st.lists(texts, min_size=4, max_size=4), min_size=1, max_size=4),
    st.sampled_from(WIDTHS),
)
def test_any_table_fits_and_has_all_words(rows, width):
    table = Table("any", ("one", "two", "three", "four"), tuple(map(tuple, rows)))
    words = [word for row in rows for cell in row for word in cell.split()]
    told = "\n".join(cell for part in fitted(table, width) for row in part.rows for cell in row)
    told += "\n" + "\n".join(cell for part in fitted(table, width) for cell in part.head)
    kept = {*told.split()}
    assert all(word in kept for word in words if len(word) <= 10)


def test_a_table_is_as_wide_as_its_columns_and_their_lines():
    table = Table("any", ("a", "bc"), (("def", "g"),))
    assert framed([3, 2]) == max(map(len, printed(table, 80).splitlines()[1:]))
