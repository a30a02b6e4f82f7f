"""Sketches of the parts of a rim: something is marked in each, and said to those who see none."""

from __future__ import annotations

import re

import pytest
from defusedxml import ElementTree

from rimfea.files.sheet_toml import read_sheet
from rimfea.profile.walls import Wall
from rimfea.report.sketch import sketch
from rimfea.words.glossary import glossary

PARTS = (*Wall, "hook", "crown", "bead seat diameter", "ERD", "dish", "flange")


def numbers(word, kind):
    """Places (p, 2) of the paths of a kind."""
    path = re.search(rf'class="{kind}" d="([^"]*)"', sketch(word))[1]
    ends = re.findall(r"[ML](-?[\d.]+) (-?[\d.]+)", path)
    return [(float(x), float(y)) for x, y in ends]


@pytest.mark.parametrize("word", PARTS)
def test_every_part_of_a_rim_has_a_sketch_that_marks_it(word):
    drawn = ElementTree.fromstring(sketch(word))
    told = drawn.attrib["aria-label"]
    assert drawn.attrib["role"] == "img"
    assert len(told) > 20
    assert {"wall", "mark"} & {part.attrib.get("class") for part in drawn.iter()}


def test_no_two_parts_have_the_same_sketch():
    alike = {"bead hook", "hook"}
    drawn = [sketch(word) for word in PARTS if word not in alike]
    assert len({*drawn}) == len(drawn)


def test_what_is_marked_is_as_long_as_the_number_says():
    sheet = read_sheet("curlew")
    (x, y), (x_2, y_2) = numbers("inner_width_mm", "mark")[:2]
    assert abs(x_2 - x) == pytest.approx(sheet.inner_width_mm, abs=0.02)
    assert y == y_2
    (x, y), (x_2, y_2) = numbers("tyre_well_depth_mm", "mark")[:2]
    assert abs(y_2 - y) == pytest.approx(sheet.tyre_well_depth_mm, abs=0.02)


def test_dish_is_drawn_as_wide_as_it_is():
    (x, _), (x_2, _) = numbers("dish", "mark")[:2]
    assert abs(x_2 - x) == pytest.approx((35 - 20) / 2)


def test_words_that_are_no_part_of_a_rim_have_none():
    assert not sketch("first yield")
    assert not sketch("rider_kg")


def test_the_glossary_knows_every_part():
    assert set(PARTS) <= set(glossary())
