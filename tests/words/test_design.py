"""What a rim drawn anew wins, keeps and loses, in words and tables."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from rimfea.ask.design import Design
from rimfea.profile.sheet import Sheet
from rimfea.study.outcome import OUTCOMES
from rimfea.vary.doubt import Doubt, Origin, Source
from rimfea.vary.search import Bounds
from rimfea.vary.sensitivity import Sensitivity
from rimfea.words import design as report

TWITE = Sheet(
    {
        "name": "twite",
        "bead_seat_diameter_mm": 622,
        "inner_width_mm": 25,
        "overall_depth_mm": 21,
        "bead_hook_mm": 1.6,
        "hook_lip_mm": 2.6,
        "sidewall_mm": 1.5,
        "tyre_well_mm": 1.3,
        "nipple_seat_mm": 2.8,
        "weighed_mass_g": 780,
    }
)
KEYS = ("bead_hook_mm", "sidewall_mm", "flank_mm", "nipple_seat_mm")
LIGHTER = TWITE.varied(
    bead_hook_mm=1.8, sidewall_mm=1.4, flank_mm=1.0, nipple_seat_mm=2.75, spoke_bed_mm=2.75
)
WAS = {each.key: 1000.0 for each in OUTCOMES} | {"mass_g": 786.2, "squeeze_MPa": 60.0}
NOW = WAS | {"mass_g": 760.04}


@pytest.fixture(autouse=True)
def numbers(monkeypatch):
    monkeypatch.setattr(report, "outcomes", lambda ride: ride.numbers)


def ride(numbers, sheet=TWITE):
    return SimpleNamespace(numbers=numbers, analysis=SimpleNamespace(sheet=sheet))


def made(keep=None, now=None, sheet=LIGHTER, margins=None, **own):
    """A design of twite; ``margins`` by outcome and wall."""
    margins = margins or {("yield_N", "sidewall"): 0.0, ("yield_N", "flank"): 0.4}
    aim = SimpleNamespace(
        best="mass_g",
        keep=keep or {"yield_N": 1000.0},
        names=lambda _: list(margins),
        margins=lambda _: np.array(list(margins.values())),
    )
    before, after = (SimpleNamespace(ride=each) for each in (ride(WAS), ride(now or NOW, sheet)))
    asked = {
        "aim": aim,
        "before": before,
        "after": after,
        "was": before.ride,
        "now": after.ride,
        "keys": KEYS,
        "bounds": Bounds(np.array([0.96, 0.9, 1.0, 1.68]), np.array([1.8, 2.1, 1.8, 3.9])),
        "left_out": {},
        "trials": 7,
        "converged": True,
    }
    return Design(**{**asked, **own})


def test_the_headline_says_what_is_won_what_is_kept_and_by_which_walls():
    assert report.design_headline(made()) == (
        "twite: 760.0 g instead of 786.2 g, with the same first yield on one hook of 1000 N: "
        "flank 1.30 → 1.00 mm, bead hook 1.60 → 1.80 mm, sidewall 1.50 → 1.40 mm and 1 more."
    )


def test_what_is_kept_at_another_value_is_said_with_it():
    told = report.design_headline(made({"yield_N": 1200.0, "squeeze_MPa": 60.0}))
    assert "with the same casing squeeze of 60.0 MPa and first yield on one hook kept at " in told
    assert "1200 N" in told


def test_a_rim_that_keeps_all_its_strengths_is_no_less_strong():
    every = {each.key: 1000.0 for each in OUTCOMES if each.strength}
    assert "g, no less strong: flank" in report.design_headline(made(every))
    assert "no less strong" not in report.design_headline(made({**every, "set_N": 900.0}))


def test_where_nothing_is_worth_a_step_the_rim_stays_as_it_is():
    told = report.design_headline(made(now=WAS, sheet=TWITE))
    assert told.startswith("twite stays as it is, 786.2 g, with the same first yield")


def test_whatever_limits_the_rim_is_said():
    bounds = Bounds(
        np.array([0.96, 0.9, 1.0, 1.68]),
        np.array([1.8, 2.1, 1.8, 3.9]),
        {"bead_hook_mm": "it clashes", "": "they clash"},
    )
    found = made(bounds=bounds, left_out={"sidewall_mm": "it folds"}, converged=False)
    assert list(report.limit_lines(found)) == [
        "It is held back by first yield on one hook (sidewall).",
        "At its thinnest: flank 1.00 mm.",
        "At its thickest: bead hook 1.80 mm.",
        "Not varied: sidewall: it folds",
        "No further at the bead hook: it clashes",
        "No further: they clash",
        "The search stopped after 7 rims, still moving: a better rim may exist.",
    ]
    free = made(
        bounds=Bounds(np.full(4, 0.5), np.full(4, 4.0)), margins={("yield_N", "flank"): 0.2}
    )
    assert list(report.limit_lines(free)) == []


def test_what_nobody_asked_for_and_is_worse_is_said():
    lost = NOW | {"set_N": 900.0, "squeeze_MPa": 66.0, "drop_mm": 985.0, "radial_N_mm": 1100.0}
    (told,) = report.worse_lines(made(now=lost))
    assert "permanent set on one hook 1000 N → 900 N and casing squeeze 60.0 MPa → 66.0 MPa" in told
    assert "drop" not in told
    assert "radial" not in told
    assert list(report.worse_lines(made({"set_N": 900.0, "squeeze_MPa": 70.0}, lost))) == []


def test_a_rim_on_the_way_that_the_fine_mesh_did_not_pass_is_said_to_be_mended():
    said = "On a fine mesh a rim on the way fell short by 1.3 %: walls were made thicker again"
    assert any(line.startswith(said) for line in report.limit_lines(made(short=0.013)))
    assert not any("fine mesh" in line for line in report.limit_lines(made()))


def test_a_hook_that_stands_in_by_the_least_is_said_to():
    thick = LIGHTER.varied(hook_lip_mm=2.1)  # 0.7 mm more than the sidewall
    said = "The hook stands in by 0.70 mm, the least that holds a bead."
    assert said in list(report.limit_lines(made(sheet=thick)))
    assert said not in list(report.limit_lines(made()))
    assert said not in list(report.limit_lines(made(sheet=thick, keys=("flank_mm",),
        bounds=Bounds(np.full(1, 0.5), np.full(1, 4.0)))))  # fmt: skip


def test_a_strength_out_of_reach_is_told_with_how_near_it_came_and_why_no_nearer():
    margins = {("yield_N", "sidewall"): -0.2, ("yield_N", "flank"): -0.5}
    found = made({"yield_N": 2000.0}, margins=margins)
    told = report.out_of_reach(found).splitlines()
    assert told[0].startswith(
        "twite: a first yield on one hook of 2000 N is out of reach: the search came to 1000 N at "
        "the flank, with flank 1.30 → 1.00 mm"
    )
    assert told[1] == "It is held back by first yield on one hook (sidewall and flank)."


def test_the_table_of_walls_has_every_change_and_what_it_ran_into():
    rows = {row[0]: row[1:] for row in report.walls_table(made()).rows}
    assert rows["flank_mm"] == ("1.300", "1.000", "-0.300", "thinnest")
    assert rows["bead_hook_mm"] == ("1.600", "1.800", "+0.200", "thickest")
    assert rows["spoke_bed_mm"][-1] == "follows"
    assert rows["sidewall_mm"][-1] == ""
    assert "tyre_well_mm" not in rows


def test_the_table_of_outcomes_has_both_rims_with_doubts_and_marks_what_was_asked():
    count = len(OUTCOMES)
    one = Doubt((Source(Origin.READING, "flank_mm", "own"),), np.ones((1, 1)))

    def known(numbers):
        base = np.array(list(numbers.values()))
        return Sensitivity(TWITE, ("flank_mm",), base, np.full((1, count), 20.0), one)

    found = made()
    table = report.outcomes_table(found, known(WAS), known(NOW))
    assert table.rows[0] == ("mass, g", "786 ±40", "760 ±40")
    drop = next(row for row in table.rows if row[0] == "drop at first yield, mm")
    assert not any("±" in cell for cell in drop)
    assert len(table.rows) == count
    assert {table.rows[k][0] for k in table.marked} == {"mass, g", "first yield, one hook, N"}


def test_only_lines_that_differ_are_put_side_by_side():
    old = 'name = "twite"\nflank_mm = 1.3\n# erd_mm = 590, assumed\nweighed_mass_g = 780\n'
    new = 'name = "twite"\nflank_mm = 1.0\nerd_mm = 590\n'
    assert report.lines_table(old, new).rows == (
        ("flank_mm = 1.3", "flank_mm = 1.0"),
        ("# erd_mm = 590, assumed", "erd_mm = 590"),
        ("weighed_mass_g = 780", ""),
    )


def test_the_heading_of_the_new_sheet_says_what_it_is_and_was():
    told = report.sheet_heading(made()).splitlines()
    assert told[0].startswith("twite: designed, not measured: with the same first yield")
    assert "flank_mm: 1.3 before" in told


def test_the_limits_of_the_search_are_told_and_who_has_the_last_word():
    told = report.design_assumes(0.9, 4.0)
    assert "between 0.9 and 4 mm and change by at most 40 %" in told
    assert "extrusion tolerances and the maker's limits come first" in told


def test_outcomes_that_are_not_known_have_no_row():
    unknown = {each.key: np.nan for each in OUTCOMES if each.dent}
    count = len(OUTCOMES)
    one = Doubt((Source(Origin.READING, "flank_mm", "own"),), np.ones((1, 1)))
    base = np.array(list((WAS | unknown).values()))
    known = Sensitivity(TWITE, ("flank_mm",), base, np.full((1, count), np.nan), one)
    found = made(now=NOW | unknown)
    table = report.outcomes_table(found, known, known)
    assert len(table.rows) == count - len(unknown)
    assert table.rows[0] == ("mass, g", "786", "760")
    assert {table.rows[k][0] for k in table.marked} == {"mass, g", "first yield, one hook, N"}


def bent(drop_mm, hook_N, own_mm):
    return SimpleNamespace(
        knows_dent=True,
        own_dent_mm=own_mm,
        dented=lambda _: SimpleNamespace(drop_mm=drop_mm, hook_N=hook_N),
    )


def test_what_became_of_the_dents_is_told_of_both_rims():
    was, now = bent(95.4, 2610.0, 0.12), bent(89.7, 2600.0, 0.33)
    dent, blow = report.dent_lines(replace(made(), was=was, now=now))
    assert dent == (
        "A 0.5 mm dent takes a drop of 90 mm instead of 95 mm, or 2600 N as before on the hooks."
    )
    assert blow.startswith(
        "The dent that the set-up's own blow leaves: about 0.3 mm instead of about 0.1 mm. Dents "
        "were not searched for; "
    )
    now.knows_dent = False
    assert not [*report.dent_lines(replace(made(), was=was, now=now))]
