"""Modules of the page that know no page, each by itself in a browser."""

from __future__ import annotations

from importlib import resources
from pathlib import Path

import pytest

pytestmark = pytest.mark.long

RING = "[[0, 0], [10, 0], [10, 2], [0, 2]]"


STATIC = Path(str(resources.files("rimfea.web") / "static"))
NOWHERE = "http://page.invalid/"  # asked for by the test alone


@pytest.fixture(scope="module")
def run(browser):
    def served(route):
        route.fulfill(path=STATIC / route.request.url.removeprefix(NOWHERE))

    page = browser.new_page()
    page.route(NOWHERE + "*", served)
    page.goto(NOWHERE + "page.css")
    yield lambda module, code: page.evaluate(
        f"async () => {{ const m = await import('/{module}.js'); {code} }}"
    )
    page.close()


@pytest.mark.parametrize(
    ("value", "told"),
    [("1042.4", "1040"), ("0.1234", "0.123"), ("99.96", "100"), ("0", "0.00"), ("null", "-")],
)
def test_a_number_has_three_figures(run, value, told):
    """And no power of ten."""
    assert run("words", f"return m.figures({value})") == told


def test_no_line_break_parts_a_number_from_its_unit(run):
    """Nor ± from its number; words stay apart."""
    told = run("words", "return m.unparted('at 1040 N, 0.6 bar, ± 3 % of 10 walls')")
    assert told == "at 1040\u00a0N, 0.6\u00a0bar, ±\u00a03\u00a0% of 10 walls"


def test_a_face_is_pulled_out_of_the_metal(run):
    """Of a bar 2 mm thick the upper face goes up, the lower one down; far away is nothing."""
    code = f"""const at = (x, y) => m.face([{RING}], [['a', 'b', 'c', 'd']], [x, y], 0.5);
      const up = at(5, 2.3), down = at(5, -0.3);
      return [up.key, up.along, m.pulled(up, 2, [5, 2], [6, 2.5]),
        down.key, down.along, at(5, 4)];"""
    assert run("grab", code) == ["c", [0, 1], 2.5, "a", [0, -1], None]


def test_a_width_grows_by_both_of_its_ends(run):
    """A depth by its end alone; a place that is no length cannot be pulled."""
    code = """const jaws = (start, end, is_even, hold = "") => ({ start, end, is_even, hold });
      const grips = m.ends({ w: jaws([-5, 0], [5, 0], true), d: jaws([0, 0], [0, -9], false),
        p: jaws([1, 1], [1, 1], false, "here") }, ["w", "d", "p"]);
      const off = ([x, y]) => [x - 1, y - 1];
      return grips.map((g) => [g.key, m.pulled(g, 10, g.point, off(g.point))]);"""
    assert run("grab", code) == [["w", 8], ["w", 12], ["d", 11]]


def test_the_nearest_grip_within_reach_is_taken(run):
    """And none beyond."""
    code = """const g = (key, x) => ({ key, point: [x, 0] });
      const near = (x) => m.nearest([g("a", 0), g("b", 3)], [x, 0], 1)?.key ?? null;
      return [near(0.9), near(2.5), near(1.5)];"""
    assert run("grab", code) == ["a", "b", None]


def test_what_was_tried_goes_back_and_comes_again(run):
    """Until something new is tried."""
    code = """const h = new m.History();
      h.push(1); h.push(2);
      const back = [h.back(3), h.back(2), h.back(1)], again = [h.again(1), h.again(2)];
      h.back(3); h.push(9);
      return [back, again, h.again(9) ?? null];"""
    assert run("history", code) == [[2, 1, None], [2, 3], None]


def test_the_shelf_keeps_sheets_and_passes_over_what_is_none(run):
    """The one changed last first; a full or broken store is no error."""
    code = """const held = new Map([["rimfea.sheet.bad", "{"], ["other", "1"]]);
      const store = { get length() { return held.size; }, key: (k) => [...held.keys()][k] ?? null,
        getItem: (k) => held.get(k) ?? null, removeItem: (k) => held.delete(k),
        setItem: (k, v) => { if (held.size > 4) throw new Error("full"); held.set(k, v); } };
      const shelf = m.shelf(store), one = { ...m.blank("x"), id: "1", changed: 1 };
      const kept = [one, { ...one, id: "2", changed: 2 }, { ...one, id: "3" }, { ...one, id: "4" }]
        .map((each) => shelf.put(each));
      const ids = shelf.all().map((each) => each.id);
      shelf.drop("1");
      return [kept, ids, shelf.get("1"), m.changedSheet("rimfea.sheet.2"), m.changedSheet(null)];"""
    assert run("kept", code) == [
        [True, True, True, False],
        ["2", "1", "3"],
        None,
        "2",
        "",
    ]
