"""A sweep in sentences, tables, data and pictures, from numbers that are made up."""

from __future__ import annotations

import json
import math
from pathlib import Path

import numpy as np
import pytest

from rimfea.ask.sweep import DECIDED, Point, Sweep, Swept
from rimfea.files.setup_toml import read_setup
from rimfea.files.sheet_toml import read_sheet
from rimfea.picture.sweep import sweep_figure
from rimfea.study.outcome import BY_KEY
from rimfea.study.setup import End
from rimfea.vary.axis import axes
from rimfea.words.numbers import CAUTION, Units
from rimfea.words.sweep import (
    own_doubt_mm,
    stretches,
    sweep_headline,
    sweep_json,
    sweep_lines,
    sweep_table,
)

CURLEW = Path(__file__).parents[2] / "profiles" / "curlew.toml"  # sidewall 1.22 mm, lip 2.1 mm
ONE, TWO = ("sidewall_mm=1.0:1.4:5",), ("sidewall_mm=1.0:1.4:5", "hook_lip_mm=2.0:2.3:4")


@pytest.fixture(scope="module")
def made_up():
    """A rim whose first yield is ``load`` of the place, mass 40 g a mm of sidewall, and whose
    sidewall decides below 1.15 mm: ``made_up(ONE, load)``.
    """

    def make(texts, load=lambda wall, *_: 500 + 1000 * wall, gaps=(), remeshed=(), per_mm_g=40):
        sheet, setup = read_sheet(CURLEW), read_setup("gravel")
        asked = Sweep(sheet, setup, End.REAR, axes(texts))

        def point(place):
            if place in gaps:
                return Point(place, gap="curlew: a clash")
            values = dict.fromkeys(BY_KEY, 100.0)
            values |= {
                "yield_N": load(*place),
                "mass_g": 500 + per_mm_g * place[0],
                "set_N": 2000.0,
            }
            wall = "sidewall" if place[0] < 1.15 else "hook lip"
            why = "the smallest angle is 9°" if place in remeshed else ""
            return Point(place, values, dict.fromkeys(DECIDED, wall), why)

        return Swept(asked, {place: point(place) for place in asked.places})

    return make


def test_the_first_line_says_what_a_tenth_of_a_millimetre_buys_and_costs(made_up):
    assert sweep_headline(made_up(ONE), "yield_N", Units()) == (
        "each 0.1 mm of sidewall adds 100 N (5.8 %) to first yield on one hook, leaves permanent "
        "set on one hook as it is, and 4.0 g"
    )
    assert "adds 10 kgf (5.8 %)" in sweep_headline(made_up(ONE), "yield_N", Units("kgf"))


def test_on_two_axes_it_says_so_of_each(made_up):
    found = made_up(TWO, lambda wall, lip: 1500 + 1000 * wall - 500 * lip)
    first, second = sweep_headline(found, "yield_N", Units()).split("; ")
    assert first.startswith("each 0.1 mm of sidewall adds 100 N (6.0 %) to first yield")
    assert second.startswith("each 0.1 mm of hook lip takes 50 N (3.0 %) from first yield on one")


@pytest.mark.parametrize(
    ("load", "of", "told"),
    [
        (lambda wall: 900 - 100 * wall, "yield_N", "takes 10 N (1.3 %) from first yield on one"),
        (
            lambda _: 900.0,
            "yield_N",
            "leaves first yield on one hook as it is, leaves permanent set",
        ),
        (lambda _: 900.0, "mass_g", "adds 4.0 g (0.7 %) to mass"),
        (
            lambda _: 0.0,
            "yield_N",
            "first yield on one hook stays nothing, for the rim yields before any strike",
        ),
    ],
)
def test_less_and_nothing_are_said_as_such(made_up, load, of, told):
    assert told in sweep_headline(made_up(ONE, load), of, Units())


def test_next_to_a_gap_nothing_is_claimed(made_up):
    found = made_up(ONE, gaps=[(1.2,)])
    told = "each 0.1 mm of sidewall: no answer, the rim is next to a gap"
    assert sweep_headline(found, "yield_N", Units()) == told


def test_the_lines_say_where_the_rim_is_how_well_known_and_who_decides_where(made_up):
    own, decides = sweep_lines(made_up(ONE), "yield_N", Units())
    doubt = own_doubt_mm(made_up(ONE))[0]
    assert 0.01 < doubt < 0.1
    assert own == (
        f"The rim itself: sidewall 1.22 ± {doubt:.2f} mm; first yield on one hook 1720 N "
        "(hook lip), 549 g."
    )
    assert decides == (
        "What decides first yield on one hook: from 1 mm the sidewall, from 1.15 mm the hook lip."
    )
    assert "of 20 points the hook lip at 12, the sidewall at 8" in " ".join(
        sweep_lines(made_up(TWO), "yield_N", Units())
    )
    assert len(list(sweep_lines(made_up(ONE), "drop_mm", Units()))) == 1


def test_gaps_and_fresh_meshes_are_told_with_their_reason(made_up):
    found = made_up(ONE, gaps=[(1.0,), (1.1,)], remeshed=[(1.4,)])
    told = " ".join(sweep_lines(found, "yield_N", Units()))
    assert "No answer at 2 points, at the first: curlew: a clash" in told
    assert "fresh mesh, at one point: the smallest angle is 9°" in told
    assert stretches(found, "yield_N") == [("hook lip", 1.2)]


def test_a_rim_beside_the_grid_is_told(made_up):
    told = list(sweep_lines(made_up(("sidewall_mm=1.3:1.5:3",)), "yield_N", Units()))
    assert told[1].startswith("Its sidewall lies beside the grid")


def test_a_rim_without_an_answer_of_its_own_says_why(made_up):
    first = next(sweep_lines(made_up(ONE, gaps=[(1.22,)]), "yield_N", Units()))
    assert first.endswith("mm; curlew: a clash.")


def test_one_axis_makes_a_row_a_point_in_order_with_the_rim_marked(made_up):
    table = sweep_table(made_up(ONE, gaps=[(1.0,)], remeshed=[(1.4,)]), "squeeze_MPa", Units())
    assert [row[0] for row in table.rows] == ["1", "1.1", "1.2", "1.22", "1.3", "1.4"]
    assert table.marked == {3}
    assert table.rows[1][:4] == ("1.1", "544 g", "1600 N", "sidewall")
    assert table.rows[1][-2:] == ("100 MPa", "")
    assert (set(table.rows[0][1:-1]), table.rows[0][-1]) == ({"-"}, "no answer")
    assert table.rows[-1][-1] == "meshed anew"
    assert {len(row) for row in table.rows} == {len(table.head)}


def test_two_axes_make_the_grid(made_up):
    table = sweep_table(made_up(TWO, gaps=[(1.0, 2.1)]), "yield_N", Units())
    assert table.head[1:] == ("2", "2.1", "2.2", "2.3")
    assert table.rows[0] == ("1", "1500 N", "-", "1500 N", "1500 N")
    assert [row[0] for row in table.rows] == ["1", "1.1", "1.2", "1.3", "1.4"]


def test_the_data_are_whole_and_finite(made_up):
    found = made_up(ONE, lambda wall: math.inf if wall == 1.4 else 900.0, gaps=[(1.0,)])
    data = json.loads(sweep_json(found))
    assert data["caution"] == CAUTION
    assert data["axes"] == [{"key": "sidewall_mm", "start_mm": 1.0, "end_mm": 1.4, "count": 5}]
    assert [point["place_mm"] for point in data["grid"]] == [[1.0], [1.1], [1.2], [1.3], [1.4]]
    assert data["grid"][0]["gap"] == "curlew: a clash"
    assert data["grid"][4]["outcomes"]["yield_N"] is None
    assert data["own"]["outcomes"]["yield_N"] == 900.0
    assert data["per_mm"]["mass_g"] == pytest.approx([40.0])
    assert set(data["outcomes"]) == set(BY_KEY)


def test_the_picture_of_one_axis_shows_curves_names_of_walls_mass_and_the_rim(made_up):
    figure = sweep_figure(made_up(ONE, remeshed=[(1.4,)]), "yield_N", Units())
    upper, lower = figure.axes
    texts = [text.get_text() for text in upper.texts]
    assert texts.count("sidewall") == texts.count("hook lip") == 2
    assert {"first yield on one hook", "permanent set on one hook"} < set(texts)
    (told,) = [text.get_text() for text in upper.get_legend().get_texts()]
    assert told == f"the rim itself, ± {own_doubt_mm(made_up(ONE))[0]:.2f} mm"
    assert (upper.get_ylabel(), lower.get_ylabel()) == ("load, N", "mass, g")
    assert figure.get_suptitle().startswith("curlew: each 0.1 mm of sidewall adds")
    hollow = [line for line in upper.lines if line.get_marker() == "o"]
    assert [line.get_xdata().tolist() for line in hollow] == [[1.4], [1.4]]


def test_the_picture_of_two_axes_shows_borders_names_and_the_rims_doubt(made_up):
    found = made_up(TWO, lambda wall, lip: 1000 * wall + lip, gaps=[(1.4, 2.3)])
    figure = sweep_figure(found, "yield_N", Units())
    chart = figure.axes[0]
    assert {"sidewall", "hook lip"} <= {text.get_text() for text in chart.texts}
    (known,) = chart.patches
    assert known.get_center() == (2.1, 1.22)
    assert (known.height, known.width) == pytest.approx(2 * np.array(own_doubt_mm(found)))
    borders = [line for line in chart.lines if line.get_color() == "#d55e00"]
    assert {tuple(line.get_ydata()) for line in borders} == {(1.15, 1.15)}


@pytest.mark.parametrize(
    ("texts", "of"),
    [
        (ONE, "yield_N"),
        (TWO, "yield_N"),
        *(
            pytest.param(texts, of, marks=pytest.mark.long)
            for texts in (ONE, TWO)
            for of in ("mass_g", "hole_amplitude_MPa")
        ),
    ],
)
@pytest.mark.parametrize(
    "gaps", [(), [(1.22,), (1.22, 2.1)], "all but one", "all"], ids=["none", "own", "most", "all"]
)
def test_every_picture_can_be_drawn_however_many_gaps(made_up, texts, of, gaps, tmp_path):
    places = made_up(texts).sweep.places
    holes = {"all": places, "all but one": places[1:]}.get(str(gaps), gaps)
    figure = sweep_figure(made_up(texts, lambda *_: math.inf, gaps=holes), of, Units())
    figure.savefig(tmp_path / "sweep.svg")


def test_where_the_mass_hardly_changes_there_are_no_lines_of_it(made_up):
    figure = sweep_figure(made_up(TWO, per_mm_g=1e-3), "yield_N", Units())
    assert not [text for text in figure.axes[0].texts if text.get_text().endswith(" g")]
    figure = sweep_figure(made_up(TWO), "yield_N", Units())
    assert [text for text in figure.axes[0].texts if text.get_text().endswith(" g")]


def test_an_outcome_that_nobody_asked_for_is_not_known_which_is_no_gap(made_up):
    found = made_up(ONE)
    for point in found.points.values():
        del point.outcomes["dent_J"]
    told = sweep_headline(found, "dent_J", Units())
    assert told.startswith("each 0.1 mm of sidewall: energy of a 0.5 mm dent is not known")
    assert not any("gap" in line for line in sweep_lines(found, "dent_J", Units()))
