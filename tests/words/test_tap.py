"""The tones of a bare rim, and what is said of those that were heard."""

from __future__ import annotations

import json
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from rimfea.elastic.modes import Kind, Mode
from rimfea.tapped.tones import LeftOut
from rimfea.vary.doubt import Doubt, Origin, Source
from rimfea.vary.tap import Hearing, Tap
from rimfea.words.asked import tap_json
from rimfea.words.tap import BARE, hints_table, tap_headline, tap_lines, tones_table

EXPECTED = (129.2, 152.0, 391.8, 425.0)
MODES = tuple(
    Mode(n, kind, np.zeros((1, 3))) for n in (2, 3) for kind in (Kind.SIDEWAYS, Kind.IN_PLANE)
)
TONES = np.array([[0.9, 0.1, 2.7, 0.2], [0.7, 0.9, 2.0, 2.5], [0.0, 0.0, 0.0, 0.0]])
LENGTHS = np.array([[0.05, 0.0], [0.0, 0.0], [0.0, 0.5]])
SOURCES = tuple(Source(Origin.READING, str(k), "dunlin") for k in range(3))


class Scales:
    """What is known of two lengths, of which tones see the first."""

    keys = ("flank_mm", "erd_mm")
    lengths = Doubt(SOURCES, LENGTHS)

    def __init__(self, weighed_g, agrees):
        self.weighed_g, self.agrees = weighed_g, agrees

    def conditioned(self, numbers):
        return numbers, 0.0


@pytest.fixture
def rim(sheet_of):
    """Four tones, made up, of a rim that was weighed or not: ``rim(152.0, weighed_g=600)`` with
    what was heard of each in turn, None for a tone that was not.
    """

    def make(*heard, strays=(), others=(), weighed_g=None, agrees=False):
        hearings = [Hearing(each, k, others) for k, each in enumerate(heard) if each is not None]
        strange = [Hearing(each, None, ()) for each in strays]
        return Tap(
            looked=SimpleNamespace(sheet=sheet_of(name="dunlin", flank_mm=1.3, bead_seat_mm=1.3)),
            weighed=Scales(weighed_g, agrees),
            modes=MODES,
            hertz=np.array(EXPECTED),
            doubt=Doubt(SOURCES, TONES),
            errors=(),
            own=np.zeros((0, 4)),
            heard=(*strange, *hearings),
        )

    return make


def low(share, *which):
    return [(1 - share) * EXPECTED[k] if k in which else EXPECTED[k] for k in range(4)]


def told(found):
    return " ".join(tap_lines(found))


def test_before_anything_is_heard_the_builder_learns_what_to_do(rim):
    assert tap_headline(rim()) == (
        "Hang dunlin bare on a string through the valve hole and tap it 24 cm away from the "
        "string: it should ring at 129 ± 2 Hz when tapped from the side and 152 ± 2 Hz when tapped "
        "towards the axle."
    )
    assert list(tap_lines(rim())) == [
        BARE,
        "Then type what you read: rimfea tap dunlin 129 152",
        "Or record a few taps, two seconds apart, as WAV: rimfea tap dunlin taps.wav",
    ]


def test_a_sheet_that_agrees_is_said_to_with_what_the_tones_are_worth(rim):
    found = rim(129, 151.5)
    assert tap_headline(found) == (
        "dunlin: The sheet agrees with what you heard: 129 Hz for 129 ± 2 Hz and 151.5 Hz for "
        "152 ± 2 Hz."
    )
    assert told(found) == (
        "With these tones the flank is known to ±0.063 mm, without them to ±0.10 mm. Write "
        "tones_Hz = [129, 151.5] into the sheet: then every question uses them."
    )


def test_all_low_alike_is_soft_for_its_mass(rim):
    found = rim(*low(0.08, 0, 1, 2, 3))
    assert "The sheet does not agree with what you heard: " in tap_headline(found)
    said = told(found)
    assert said.startswith(
        "All tones are 8 % low: for its mass the rim is 15 % softer than its sheet says. Aluminium "
        "alloys differ by 4 % at most: the rim is less deep or less wide, or something is left on "
        "it. Weigh the bare rim: the scales tell which."
    )
    assert "measure again first: the flank (less than 1.3)" in said
    assert "stiffer than its sheet says" in told(rim(*low(-0.08, 0, 1, 2, 3)))


def test_a_little_low_may_be_the_metal(rim):
    found = rim(*low(0.018, 0, 1, 2, 3))
    vars(found)["misfit"] = 1.5
    assert "The metal may be softer." in told(found)


def test_the_scales_are_called_as_a_witness(rim):
    low_ones = low(0.08, 0, 1)[:2]
    heavy = told(rim(*low_ones, weighed_g=900))
    assert "The scales do not agree with the drawing either: rimfea reconcile" in heavy
    right = told(rim(*low_ones, weighed_g=766, agrees=True))
    assert "The scales agree with the drawing, so that the mass is not the reason." in right


def test_one_family_alone_tells_where_to_look(rim):
    assert told(rim(*low(0.06, 0, 2))).startswith(
        "Only the tones from the side are 6 % low. Look at flank and tyre well, and for a crack "
    )
    assert told(rim(*low(-0.06, 1, 3))).startswith(
        "Only the tones towards the axle are 6 % high. Look at depth, hook and spoke bed, "
    )


def test_both_families_by_different_shares(rim):
    found = rim(*(0.9 * EXPECTED[0], 0.96 * EXPECTED[1]))
    assert told(found).startswith(
        "The tones from the side are 10 % low and the tones towards the axle are 4 % "
        "low. Look at flank"
    )


def test_half_of_what_may_be_heard_asks_for_the_other_half(rim):
    assert "Tap from the side as well" in told(rim(None, 140.0))


def test_scattered_tones_are_no_wall_s_doing(rim):
    said = told(rim(*low(0.06, 0)))
    assert said.startswith("The tones are off by different shares")
    assert "measure again" not in said


def test_what_is_not_sure_is_said(rim):
    said = told(rim(140.0, others=(1, None), strays=(50.0,)))
    assert "140 Hz may also be the tone of 152 ± 2 Hz towards the axle" in said
    assert "50 Hz is none of the tones expected: the mains hum" in said


def test_many_tones_are_counted(rim):
    four = rim(129.0, 152.0, 391.0, 425.0)
    assert tap_headline(four).endswith("and 425 Hz for 425 ± 5 Hz.")
    one_more = replace(four, heard=(*four.heard, Hearing(426.0, 3, ())))
    assert tap_headline(one_more).endswith("391 Hz for 392 ± 7 Hz and 2 more.")


def test_a_recording_says_what_was_left_out(rim):
    reasons = [LeftOut(50.0 * k, "is mains hum") for k in range(1, 6)]
    recorded = SimpleNamespace(taps=(0.6, 3.1), left_out=reasons)
    said = told(replace(rim(129.0), recorded=recorded))
    assert "Tones are those of 2 taps in the recording. Left out: 50 Hz is mains hum" in said
    assert said.endswith("150 Hz is mains hum; and 2 more.")
    recorded = SimpleNamespace(taps=(0.6,), left_out=[])
    assert told(replace(rim(129.0), recorded=recorded)).endswith("of 1 tap in the recording.")


def test_a_pair_says_that_the_rim_is_not_the_same_all_around(rim):
    pair = replace(rim(), heard=(Hearing(128.5, 0, ()), Hearing(129.5, 0, ())))
    assert "128.5 beside 129.5 Hz is one tone twice" in told(pair)
    assert tones_table(pair).rows[0][-2:] == ("128.5 and 129.5 Hz", "-0.2 %")


def test_nothing_near_is_said_with_what_there_is(rim):
    found = rim(strays=(50.0, 260.0))
    assert tap_headline(found) == (
        "dunlin: The sheet has no tone near 50 and 260 Hz. Its lowest are 129 ± 2 Hz, 152 ± 2 Hz, "
        "392 ± 7 Hz and 425 ± 5 Hz."
    )
    assert told(found).startswith("Check that the rim is bare")


def test_the_table_has_a_row_a_tone_and_what_was_heard_of_it(rim):
    assert len(tones_table(rim()).head) == 7
    table = tones_table(rim(None, 150.0))
    assert table.rows[1] == (
        "2", "152 Hz", "2 Hz", "in its plane", "2", "towards the axle", "24 cm", "150 Hz", "-1.3 %",
    )  # fmt: skip
    assert table.rows[0][-2:] == ("", "")
    assert table.marked == {1}


def test_numbers_that_no_tone_tells_of_are_left_out(rim):
    (row,) = hints_table(rim(*low(0.02, 0, 1, 2, 3))).rows
    assert row[0] == "flank_mm"
    assert float(row[1]) > float(row[2])


def test_the_data_have_every_tone_and_what_was_heard(rim):
    data = json.loads(tap_json(rim(129.0, strays=(50.0,))))
    assert (data["schema"], data["units"]["frequency"]) == ("rimfea tap 1", "Hz")
    assert data["tones"][1]["waves"] == 2
    assert data["tones"][0]["tap_mm_from_string"] == pytest.approx(244.3, abs=0.1)
    assert data["heard"] == [
        {"hertz": 50.0, "tone": None, "or_tones": []},
        {"hertz": 129.0, "tone": 0, "or_tones": []},
    ]
    assert data["agrees"] is True
    nothing = json.loads(tap_json(rim()))
    assert (nothing["agrees"], nothing["misfit"], nothing["numbers"]) == (None, None, [])
