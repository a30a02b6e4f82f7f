from __future__ import annotations

from dataclasses import replace
from math import nan

import pytest

from rimfea.ask.swaps import TOLD, Swap, Swaps
from rimfea.picture.swaps import swaps_figure
from rimfea.profile.families import Family
from rimfea.profile.pieces import Piece
from rimfea.words.data import answers
from rimfea.words.numbers import Units
from rimfea.words.swaps import swaps_headline, swaps_lines, swaps_table

NEWTON = Units()


def values(**given):
    return {**dict.fromkeys(TOLD, nan), **given}


@pytest.fixture
def found(sheet_of):
    base, other = sheet_of(name="curlew"), sheet_of(name="plover")
    hook = Swap(
        Piece.HOOK,
        values(mass_g=5.0, yield_N=50.0, squeeze_MPa=-19.4),
        values(mass_g=7.0, yield_N=70.0, squeeze_MPa=-19.4),
    )
    wall = Swap(
        Piece.SIDEWALL,
        values(),
        values(mass_g=9.0, yield_N=210.0, squeeze_MPa=0.0),
        ("the well is too wide",),
    )
    flank = Swap(Piece.FLANK, values(), values(), ("the flank meets the well",))
    start = values(mass_g=560.0, yield_N=1000.0, squeeze_MPa=100.0)
    end = values(mass_g=580.0, yield_N=1266.0, squeeze_MPa=80.6)
    return Swaps(base, other, start, end, (hook, wall, flank))


def test_the_piece_that_does_most_comes_first_and_what_is_left_over_last(found):
    assert swaps_headline(found, NEWTON) == (
        "Give curlew the pieces of plover, first yield and mass: sidewall +210 N, +9 g; "
        "hook +60 N, +6 g; together 0 N."
    )


def test_the_table_ends_in_the_whole_difference(found):
    table = swaps_table(found, NEWTON)
    assert table.head == ("", "mass", "first yield", "casing squeeze")
    assert table.rows == (
        ("hook", "+6 g", "+60 N", "-19.4 MPa"),
        ("sidewall", "+9 g", "+210 N", "0 MPa"),
        ("flank", "does not fit", "does not fit", "does not fit"),
        ("together", "+5 g", "0 N", "0 MPa"),
        ("whole difference", "+20 g", "+266 N", "-19.4 MPa"),
    )
    assert swaps_table(found, NEWTON, ends=True).rows[0][2] == "+60 N (+50, +70)"
    assert swaps_table(found, NEWTON, ends=True).rows[1][2] == "+210 N (-, +210)"


def test_what_the_mesh_alone_could_make_of_a_force_is_told_as_nothing(found):
    """-4 N of 1266 and 1000 stand as together: more than 5 N would be told."""
    assert found.together("yield_N") == pytest.approx(-4.0)
    assert swaps_table(found, NEWTON).rows[3][2] == "0 N"


def test_what_does_not_fit_is_told_with_where_its_number_is_from(found):
    one, other, how = swaps_lines(found)
    assert one == (
        "The sidewall does not fit: the well is too wide; it is told from the other end."
    )
    assert other.endswith("the flank meets the well; it counts as together.")
    assert "mean of both" in how


def test_rims_that_have_nothing_to_swap_say_why(sheet_of, found):
    alike = Swaps(found.base, found.other, found.of_base, found.of_base, ())
    assert "are alike in every piece" in swaps_headline(alike, NEWTON)
    weak = Swaps(found.base, found.other, {}, found.of_base, ())
    assert "buckles" in swaps_headline(weak, NEWTON)
    early = replace(found, of_base={"yield_N": 0.0}, of_other={"yield_N": 0.0})
    assert "both yield before any strike. Take less" in swaps_headline(early, NEWTON)
    other = sheet_of(Family.SINGLE)
    refused = Swaps(found.base, other, {}, {}, (), "of two families")
    assert swaps_headline(refused, NEWTON) == "Nothing to swap: of two families."
    assert not list(swaps_lines(refused))


def test_forces_are_told_in_the_unit_asked_for(found):
    assert "+21 kgf" in swaps_headline(found, Units(force="kgf"))


def test_data_hold_both_ends_and_parts_that_make_the_whole(found):
    (told,) = answers((), swaps=[found])["swaps"]
    force = next(each for each in told["outcomes"] if each["key"] == "yield_N")
    known = [each["change"] for each in force["pieces"] if each["change"] is not None]
    assert sum(known) + force["together"] == pytest.approx(force["whole"])
    assert force["pieces"][1]["gives"] is None
    assert force["pieces"][1]["clashes"] == ["the well is too wide"]


def test_the_picture_has_a_bar_a_piece_and_one_for_together(found):
    figure = swaps_figure(found, NEWTON)
    assert [len(axes.patches) for axes in figure.axes] == [4, 4]
