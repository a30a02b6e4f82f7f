from __future__ import annotations

import json

import pytest

from rimfea.files.sheet_toml import parse_sheet, sheet_text
from rimfea.profile.build import outline
from rimfea.study.ride import ride, wheel_of
from rimfea.study.setup import End, Setup
from rimfea.web.asked import LARGEST
from rimfea.web.payload import rings
from rimfea.web.requests import answered
from rimfea.words.rides import event_words


@pytest.fixture
def reply(on, asked):
    def ask(what, body=None, **others):
        return answered(on, what, json.dumps(asked(**others)).encode() if body is None else body)

    return ask


@pytest.fixture(scope="module")
def fine(on):
    whole = {"rim": "curlew", "setup": "gravel", "wheel": "rear", "changes": {"sidewall_mm": 1.27}}
    return answered(on, "fine", json.dumps(whole).encode()).data


def test_a_sentence_is_explained_word_by_word_with_sketches(reply):
    """A part of the rim is drawn, a force is not."""
    told = reply(
        "explain", json.dumps({"text": "The hook lip yields first, at first yield."}).encode()
    )
    lip, first = (
        next(each for each in told.data["terms"] if each["told"].startswith(word))
        for word in ("hook lip: ", "first yield: ")
    )
    assert lip["sketch"].startswith("<svg")
    assert not first["sketch"]


def test_a_rim_seen_against_another_is_its_fine_answer_in_short(on, asked, monkeypatch):
    """And does not push what the bench keeps off its shelf."""
    known = {"rings": [[]], "numbers": {"mass_g": 1.0}, "ladder": []}
    monkeypatch.setattr("rimfea.web.trying.told_of_ride", lambda _: known)
    solved = []
    monkeypatch.setattr("rimfea.web.trying.ride_of", lambda *_: solved.append(1))
    monkeypatch.setattr("rimfea.web.trying.kept_ride_of", lambda *_: pytest.fail("kept"))
    body = json.dumps(asked(changes={"sidewall_mm": 1.31})).encode()
    for _ in range(2):
        assert answered(on, "seen", body).data == {"rings": [[]], "numbers": {"mass_g": 1.0}}
    assert solved == [1]


@pytest.mark.long
def test_a_fine_answer_is_that_of_the_command_line(fine, curlew, on):
    """Same wall, same loads to a thousandth, same ladder, same tyre pressures."""
    setup = on.setups["gravel"]
    sheet = curlew.varied(sidewall_mm=1.27)
    true = ride(wheel_of(sheet, setup, End.REAR), setup, End.REAR)
    first = true.answer.verdict.governing
    assert fine["governing"] == first.wall
    load = true.answer.load_at(first.first_yield)
    assert fine["numbers"]["yield_N"] == pytest.approx(load, rel=1e-3)
    assert [rung["event"] for rung in fine["ladder"]] == [
        event_words(r, true.setup) for r in true.ladder.rungs
    ]


@pytest.mark.long
def test_what_to_do_comes_first_and_a_warning_is_told_as_one(fine, reply):
    """A rim that is clear, and a thin one that spokes or blow are too much for."""
    assert fine["warned"] == [False]
    assert fine["told"][0].startswith("curlew, gravel: clear.")
    thin = reply("fine", changes={"nipple_seat_mm": 1.2}).data
    assert thin["warned"][0]
    assert thin["told"][0].startswith("WARNING curlew, rear")


@pytest.mark.long
def test_a_draft_is_as_near_to_the_fine_answer_as_it_says(fine, reply):
    """The loads at first yield and dent lie within the stated error."""
    told = reply("draft", key="sidewall_mm", value=1.27).data
    assert 1 <= told["error_percent"] <= 5
    for name in ("yield_N", "set_N"):
        apart = abs(told["numbers"][name] / fine["numbers"][name] - 1)
        assert 100 * apart <= told["error_percent"], name
    assert told["numbers"]["mass_g"] == pytest.approx(fine["numbers"]["mass_g"], rel=1e-6)


@pytest.mark.long
@pytest.mark.parametrize(("key", "value"), [("overall_depth_mm", 22.0), ("fillet_radius_mm", 0.75)])
def test_drafts_along_other_dimensions_than_walls_hold_their_error_too(reply, key, value):
    """A depth and a rounding: against the fine answer there."""
    told = reply("draft", key=key, value=value).data
    true = reply("fine", changes={key: value}).data
    assert told["error_percent"] <= 10
    for name in ("yield_N", "set_N"):
        apart = abs(told["numbers"][name] / true["numbers"][name] - 1)
        assert 100 * apart <= told["error_percent"], name


@pytest.mark.long
def test_a_draft_beyond_the_reach_of_the_mesh_starts_from_other_ground(reply):
    """A hook half as thick again is answered all the same, with an error worth showing."""
    told = reply("draft", key="bead_hook_mm", value=2.85).data
    assert told["error_percent"] <= 10
    assert told["numbers"]["yield_N"] > 0


@pytest.mark.long
def test_a_mesh_that_is_known_is_not_sent_again(reply):
    """Triangles come once; nodes and stresses every time."""
    first = reply("draft", key="sidewall_mm", value=1.27).data
    again = reply("draft", key="sidewall_mm", value=1.32, mesh=first["mesh"]).data
    assert "triangles" in first
    assert "triangles" not in again
    assert len(again["nodes"]) == 2 * len(again["share"])


def test_every_fault_of_a_sheet_comes_with_its_key(reply):
    """A sidewall out of range and a tyre well out of range are told at once."""
    found = reply("open", changes={"sidewall_mm": 9, "tyre_well_mm": 99})
    assert found.status == 422
    assert {fault["key"] for fault in found.data["faults"]} >= {"sidewall_mm", "tyre_well_mm"}


def test_a_saved_sheet_reads_back_as_the_rim_tried(reply, curlew):
    """The wall that was changed, without digits of round-off, and all others as they were."""
    saved = reply("sheet", changes={"sidewall_mm": 1.27}).data
    assert "sidewall_mm = 1.27\n" in saved["text"]
    read = parse_sheet(saved["text"], saved["name"])
    assert read.sidewall_mm == 1.27
    assert read.tyre_well_mm == curlew.tyre_well_mm


@pytest.mark.long
def test_a_traced_section_is_answered_like_a_drawn_one(reply, curlew):
    """The curlew's own outline, sent as plain rings: a sheet that draws it is found."""
    told = json.dumps({"unit": "mm", "rings": rings(outline(curlew))})
    traced = reply("traced", name="face.json", text=told)
    assert traced.status == 200, traced.data
    assert traced.data["traced"].startswith("As a sheet it is a hooked double wall")
    assert parse_sheet(traced.data["sheet"], "traced").family == curlew.family
    found, drawn = traced.data["numbers"], reply("fine").data["numbers"]
    assert found["mass_g"] == pytest.approx(drawn["mass_g"], rel=1e-3)
    assert found["set_N"] == pytest.approx(drawn["set_N"], rel=0.02)
    assert found["yield_N"] == pytest.approx(drawn["yield_N"], rel=0.03)


@pytest.mark.long
def test_the_report_is_a_page_of_its_own_with_the_caution(reply):
    """One file of HTML, of the rim as tried."""
    told = reply("report", changes={"sidewall_mm": 1.27}).data
    assert told["name"] == "curlew.html"
    assert told["text"].lstrip().lower().startswith("<!doctype html>")
    assert "A failed wheel can injure" in told["text"]
    assert "1.27" in told["text"]


@pytest.mark.parametrize(
    ("status", "what", "others"),
    [
        (404, "nothing", {}),
        (404, "open", {"rim": "dodo"}),
        (404, "open", {"wheel": "third"}),
        (400, "open", {"surprise": 1}),
        (400, "open", {"changes": []}),
        (400, "open", {"changes": {"name": 1.0}}),
        (400, "open", {"changes": {"sidewall_mm": True}}),
        (400, "open", {"changes": {"sidewall_mm": 1e300}}),
        (400, "open", {"rim": "x" * 1000}),
        (400, "draft", {"key": "erd_mm", "value": 1.0}),
        (400, "draft", {"key": ["sidewall_mm"], "value": 1.0}),
        (422, "draft", {"key": "sidewall_mm", "value": -1.0}),
        (400, "open", {"sheet": 5}),
        (413, "open", {"sheet": "#" * 40_000}),
        (422, "open", {"sheet": "name = 5"}),
        (422, "open", {"sheet": 'section = "/etc/passwd"'}),
        (400, "traced", {"name": "face.png", "text": ""}),
        (400, "traced", {"name": "face.json", "text": "", "unit": "furlong"}),
        (400, "traced", {"name": "face.json", "text": [1]}),
        (422, "traced", {"name": "face.json", "text": "[[[0, 0], [1, 0], [0, 1]]]"}),
        (422, "traced", {"name": "face.dxf", "text": "no drawing"}),
    ],
)
def test_what_is_wrong_is_said(reply, status, what, others):
    """Each with its status and a reason in words."""
    found = reply(what, **others)
    assert found.status == status
    assert found.data["problem"]


@pytest.mark.parametrize(
    "body",
    [b"", b"{", b"[]", b"[" * 100_000, b"\xff", b'{"changes": NaN}', b"1" * 5000],
)
def test_what_is_no_request_is_refused(reply, body):
    """Broken, nested, not UTF-8, not a number: status 400, never an exception."""
    assert reply("open", body).status == 400


@pytest.mark.parametrize("number", ["NaN", "Infinity", "-Infinity", "1e999"])
def test_numbers_that_are_none_are_refused(reply, asked, number):
    """Neither by their name nor as a number too large for one."""
    body = json.dumps(asked(key="sidewall_mm", value=0)).replace('"value": 0', f'"value": {number}')
    assert number in body
    assert reply("draft", body.encode()).status == 400


def test_a_request_may_not_be_large(reply):
    """One byte more than allowed is refused before it is read."""
    assert reply("open", b" " * (LARGEST + 1)).status == 413


@pytest.mark.long
def test_a_dent_is_told_in_a_sentence_and_on_the_ladder(
    reply, monkeypatch, dented_by_hand, sheet_of
):
    setup = Setup.from_values({"name": "fell", "tyre_width_mm": 45})
    bare = ride(wheel_of(sheet_of(), setup, End.REAR, coarseness=1.8), setup, End.REAR)
    monkeypatch.setattr("rimfea.web.trying.kept_ride_of", lambda *_: dented_by_hand(bare))
    told = reply("dent", changes={"sidewall_mm": 1.31}).data
    assert told["sentences"][0].startswith("Rear: this blow")
    events = [rung["event"] for rung in told["ladder"]]
    assert [each for each in events if "dent" in each] == [
        "0.1 mm dent",
        "0.5 mm dent",
        "1 mm dent",
    ]


@pytest.mark.long
def test_a_sheet_that_is_not_on_the_bench_is_answered_like_one_that_is(reply, curlew):
    """It comes along with the request: same sliders, same draft, nothing kept of it."""
    own = sheet_text(curlew.varied(name="dotterel"))
    named, sent = reply("open"), reply("open", rim="dotterel", sheet=own)
    assert sent.status == 200
    assert sent.data["sliders"] == named.data["sliders"]
    draft = {"key": "overall_depth_mm", "value": 21.5}
    one, other = reply("draft", **draft), reply("draft", rim="dotterel", sheet=own, **draft)
    assert one.data["numbers"] == other.data["numbers"]
    assert reply("open", rim="dotterel").status == 404
    saved = reply("sheet", rim="dotterel", sheet=own, changes={"overall_depth_mm": 21.5}).data
    assert saved["name"] == "dotterel-tried.toml"
    assert parse_sheet(saved["text"], "saved").overall_depth_mm == 21.5


def test_a_drawing_without_a_unit_asks_for_one(reply, curlew):
    """In the page's words: nobody can add an option to a page."""
    told = json.dumps({"rings": rings(outline(curlew))})
    found = reply("traced", name="face.json", text=told)
    assert (found.status, found.data["wanted"]) == (422, "unit")
    assert "--unit" not in found.data["problem"]


def test_a_form_is_asked_for_filled_in_and_opened_again(on):
    """Three requests that need no bench."""

    def ask(what, **asked):
        return answered(on, what, json.dumps(asked).encode())

    groups = ask("form", family="single wall").data["groups"]
    assert groups[1]["fields"][0]["key"] == "inner_width_mm"
    whole = ask("entered", entries={"inner_width_mm": "25"}, guessed=[]).data
    assert "bead_hook_mm" in whole["missing"]
    opened = ask("entries", name="own.toml", text="inner_width_mm = 25.0")
    assert opened.data["entries"] == {"inner_width_mm": "25.0"}
    assert ask("entries", name="own.toml", text="nonsense").status == 422


@pytest.mark.parametrize(
    ("status", "what", "asked"),
    [
        (404, "form", {"family": "laminate"}),
        (404, "form", {"family": "traced section"}),
        (400, "form", {"family": ["single wall"]}),
        (400, "entered", {"entries": [], "guessed": []}),
        (400, "entered", {"entries": {"width": "1"}, "guessed": []}),
        (400, "entered", {"entries": {"inner_width_mm": 25}, "guessed": []}),
        (400, "entered", {"entries": {}, "guessed": [["inner_width_mm"]]}),
        (400, "entries", {"name": "a.toml", "text": 5}),
        (413, "entries", {"name": "a.toml", "text": "#" * 40_000}),
    ],
)
def test_what_is_wrong_with_a_form_is_said(on, status, what, asked):
    """Each with its status and a reason in words."""
    found = answered(on, what, json.dumps(asked).encode())
    assert found.status == status
    assert found.data["problem"]
