"""Requests about a wheel ridden otherwise, the rim around, and rims side by side."""

from __future__ import annotations

import json

import pytest

from rimfea.files.setup_toml import read_setup
from rimfea.web.requests import answered


@pytest.fixture
def reply(on, asked):
    return lambda what, **others: answered(on, what, json.dumps(asked(**others)).encode())


@pytest.mark.long
def test_a_heavier_rider_needs_more_tension(reply):
    """The window's lower end rises with the load; all else of the set-up stays."""
    lines = [reply("ride", ridden=own).data["lines"] for own in ({}, {"rider_kg": 100})]
    assert "95 kg in all" in lines[0][-1]
    assert "115 kg in all" in lines[1][-1]
    lowest = [float(told[2].split("tension: ")[1].split()[0]) for told in lines]
    assert 1.1 * lowest[0] < lowest[1] < 1.22 * lowest[0]


@pytest.mark.long
def test_tones_that_were_heard_are_judged(reply):
    told = reply("around", heard=[129.0, 152.0])
    assert told.status == 200
    assert "agrees with what you heard" in told.data["lines"][1]


@pytest.mark.long
def test_rims_of_one_name_are_told_apart_side_by_side(reply):
    told = reply("beside", others=[{"rim": "curlew"}, {"rim": "grouse"}], changes={"flank_mm": 1.0})
    assert [each["name"] for each in told.data["tables"][0]["head"]][1:] == [
        "curlew",
        "curlew 2",
        "grouse",
    ]


def test_a_set_up_is_written_as_it_is_ridden(reply, tmp_path):
    told = reply("setup", name="fell, loaded", ridden={"luggage_kg": 25, "obstacle": "kerb"}).data
    assert told["name"] == "fell-loaded.toml"
    (tmp_path / told["name"]).write_text(told["text"])
    again = read_setup(tmp_path / told["name"])
    assert (again.name, again.luggage_kg, again.obstacle) == ("fell, loaded", 25, "kerb")
    assert again == read_setup("gravel").varied(
        name="fell, loaded", luggage_kg=25, obstacle="kerb", note=again.note
    )


@pytest.mark.parametrize(
    ("status", "what", "others"),
    [
        (400, "fine", {"ridden": []}),
        (400, "fine", {"ridden": {"height": 3}}),
        (400, "fine", {"ridden": {"rider_kg": True}}),
        (422, "fine", {"ridden": {"rider_kg": 900}}),
        (422, "fine", {"ridden": {"obstacle": "dragon"}}),
        (400, "around", {"heard": "129"}),
        pytest.param(422, "around", {"heard": [5.0]}, marks=pytest.mark.long),
        (400, "beside", {"others": []}),
        (400, "beside", {"others": [{"rim": "curlew"}] * 6}),
        (400, "beside", {"others": [{"rim": "curlew", "wheel": "front"}]}),
        (404, "beside", {"others": [{"rim": "dodo"}]}),
        (400, "swaps", {"others": [{"rim": "curlew"}, {"rim": "grouse"}]}),
    ],
)
def test_what_is_wrong_is_said(reply, status, what, others):
    found = reply(what, **others)
    assert found.status == status
    assert found.data["problem"]
