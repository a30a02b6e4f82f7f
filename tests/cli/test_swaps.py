"""`rimfea compare --swaps` and `--short`: where a difference comes from, and one sentence of it."""

from __future__ import annotations

import json

import jsonschema
import pytest

from rimfea.ask.swaps import TOLD
from rimfea.words.data import schema


@pytest.fixture
def by_hand(monkeypatch):
    """Nothing is solved: every rim bears its sidewall and weighs its hook."""

    def values(_asked, sheet):
        numbers = {"yield_N": 1000 * sheet.sidewall_mm, "mass_g": 100 * sheet.hook_lip_mm}
        return {**dict.fromkeys(TOLD, 1.0), "dent_N": float("nan"), **numbers}

    monkeypatch.setattr("rimfea.ask.swaps._values", values)
    monkeypatch.setattr("rimfea.ask.swaps.PROCESSES", 1)
    monkeypatch.setattr(
        "rimfea.ask.swaps.each", lambda do, rims, start, **_: (do(start(), rim) for rim in rims)
    )


@pytest.mark.usefixtures("by_hand")
def test_swaps_name_the_piece_that_makes_the_difference(rimfea, sheet, tmp_path):
    thin, thick = (
        sheet("thin.toml", name='"thin"'),
        sheet("thick.toml", name='"thick"', sidewall_mm="1.6"),
    )
    picture = tmp_path / "swaps.png"
    done = rimfea("compare", thin, thick, "--swaps", "--picture", picture)
    told = " ".join(done.stdout.split())
    assert told.startswith(
        "Give thin the pieces of thick, first yield and mass: sidewall +300 N, 0 g; "
    )
    assert "together 0 N." in told
    assert picture.exists()
    turned = rimfea("compare", thin, thick, "--swaps", "--base", "thick", "--json")
    data = json.loads(turned.stdout)
    jsonschema.validate(data, schema())
    assert data["swaps"][0]["base"] == "thick"


def test_swaps_are_of_two_rims(rimfea, plover, ouzel, wheatear):
    done = rimfea("compare", plover, ouzel, wheatear, "--swaps")
    assert done.exit_code == 2
    assert "--swaps takes two rims, not 3" in done.stderr


def test_rims_of_two_families_say_that_there_is_nothing_to_swap(rimfea, plover, wheatear):
    told = " ".join(rimfea("compare", plover, wheatear, "--swaps").stdout.split())
    assert told.startswith(
        "Nothing to swap: plover is a hooked double wall rim and wheatear a single wall"
    )


@pytest.mark.long
def test_short_is_one_sentence_a_rim_and_nothing_else(rimfea, plover, ouzel):
    done = rimfea("compare", plover, ouzel, "--short")
    (told,) = done.stdout.splitlines()
    assert told.startswith("ouzel ")
    assert len(told) <= 160
