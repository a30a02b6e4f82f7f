"""What the page shows besides the section: whole, with the caution's words left to the page."""

from __future__ import annotations

from dataclasses import replace

import pytest
from defusedxml import ElementTree

from rimfea.ask.compare import Measured
from rimfea.profile.sheet import Sheet
from rimfea.study.analysis import inspect
from rimfea.study.ride import ride, wheel_of
from rimfea.study.setup import End
from rimfea.vary import tap as rings
from rimfea.vary.datum import datum
from rimfea.vary.sensitivity import sensitivity
from rimfea.web.views import around_view, beside_view, ranks_view, ride_view, told_of_view

pytestmark = pytest.mark.long

COARSE = 2.2
SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def ridden(curlew, on):
    setup = on.setups["gravel"]
    return ride(wheel_of(curlew, setup, End.REAR, coarseness=COARSE), setup, End.REAR)


@pytest.fixture(scope="module")
def tapped(curlew):
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(rings, "COARSE", 2.5)
        yield rings.tap(curlew)


def whole(view, *unexplained):
    """The plain data of a view, all of it drawn, no heading without a meaning."""
    told = told_of_view(view)
    assert all(line.strip() for line in told["lines"])
    for table in told["tables"]:
        assert all(len(row) == len(table["head"]) for row in table["rows"])
        bare = [head["name"] for head in table["head"] if not head["means"]]
        assert set(bare) <= {"", *unexplained}
    for picture in told["pictures"]:
        drawn = ElementTree.fromstring(picture["svg"])
        assert drawn.find(f"{SVG}title").text == picture["title"]
        assert not list(drawn.iter(f"{SVG}script"))
    return told


def test_a_ride_tells_blow_tension_and_set_up_and_draws_the_spokes(ridden):
    told = whole(ride_view(ridden))
    assert told["lines"][0].startswith("curlew, gravel: clear.")
    assert told["lines"][1].startswith("12 km/h against a step of 30 mm")
    assert told["lines"][2].startswith("Rear tension: ")
    assert told["lines"][-1].startswith("Set-up gravel: ")
    assert [each["title"] for each in told["pictures"]][-1] == "The wheel under its rider"


def test_a_dent_comes_along_once_it_is_known(ridden, dented_by_hand):
    told = whole(ride_view(dented_by_hand(replace(ridden))))
    assert "The dent along the rim" in [each["title"] for each in told["pictures"]]
    assert any("dent" in line for line in told["lines"])


def test_around_the_rim_are_the_reach_of_the_blow_and_the_tones(ridden, tapped):
    told = whole(around_view(ridden, tapped))
    reach = ridden.answer.verdict.governing.reach_mm
    assert f"{reach:.0f} mm" in told["lines"][0]
    assert not any("rimfea tap" in line for line in told["lines"])
    assert len(told["pictures"]) == 5
    heard = whole(around_view(ridden, tapped.hearing([129.0, 152.0])))
    assert "agrees with what you heard" in heard["lines"][1]


def test_rims_beside_one_another_are_told_in_grams_at_once(curlew, on):
    told = whole(beside_view([inspect(curlew), inspect(on.sheets["grouse"])]), "curlew", "grouse")
    assert "grouse is" in told["lines"][0]
    assert [each["title"] for each in told["pictures"]] == [
        "Sections laid over each other",
        "Grams by wall",
    ]


def test_ranks_have_their_doubt(curlew, on):
    def known(sheet: Sheet) -> Measured:
        around = datum(sheet, on.setups["gravel"], End.REAR, coarseness=COARSE)
        return Measured(around.ride, sensitivity(replace(around, every=False), ("sidewall_mm",)))

    told = whole(ranks_view([known(curlew), known(on.sheets["grouse"])]), "curlew", "grouse")
    assert any("±" in cell for row in told["tables"][1]["rows"] for cell in row)
