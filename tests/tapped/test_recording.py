"""What a recording is, and when in it something was tapped."""

from __future__ import annotations

import pickle

import numpy as np
import pytest

from rimfea.errors import RecordingError
from rimfea.tapped.recording import AFTER_S, ENOUGH_S, Recording, onsets, taps

RATE = 16000
RIM = (161.3, 292.4, 455.2, 871.3, 1391.5)


def hum(t):
    return 2.0 * np.sin(2 * np.pi * 50 * t) + np.sin(2 * np.pi * 150 * t)


def rumble(t):
    return 3.0 * np.sin(2 * np.pi * 9 * t) + np.sin(2 * np.pi * 23 * t)


@pytest.mark.parametrize("beside", [None, hum, rumble])
@pytest.mark.parametrize("rate", [8000, 11025, 44100])
def test_taps_are_found_when_they_were(tapped, rate, beside):
    sound = tapped(RIM, rate=rate, taps=4, every_s=1.2, noise_dB=-20, beside=beside)
    found = onsets(Recording(sound, rate))
    np.testing.assert_allclose(found, 0.6 + 1.2 * np.arange(4), atol=0.012)


@pytest.mark.parametrize("beside", [None, hum])
def test_a_tap_at_the_very_beginning_is_one(tapped, beside):
    sound = tapped(RIM, quiet_s=0.0, taps=2, beside=beside)
    np.testing.assert_allclose(onsets(Recording(sound, RATE)), [0.0, 2.5], atol=0.012)


def test_rows_begin_after_the_knock_and_end_before_the_next(tapped):
    heard = taps(Recording(tapped(RIM, every_s=1.0), RATE))
    assert heard.after.shape == (3, round(heard.seconds * RATE))
    assert 0.9 < heard.seconds < 1.0 - AFTER_S
    knocks = np.array([0.6, 1.6, 2.6])
    np.testing.assert_allclose(heard.at, knocks, atol=0.012)
    assert len(heard.before) / RATE == pytest.approx(0.585, abs=0.012)


def test_no_more_is_looked_at_than_is_enough(tapped):
    assert taps(Recording(tapped(RIM, taps=1, every_s=6.0), RATE)).seconds < ENOUGH_S


def test_taps_about_as_far_apart_count_all(tapped):
    parts = [tapped(RIM, taps=1, quiet_s=0.0, every_s=each) for each in (2.2, 2.0, 2.1)]
    heard = taps(Recording(np.concatenate(parts), RATE))
    np.testing.assert_allclose(heard.at, [0.0, 2.2, 4.2], atol=0.012)


def test_a_tap_soon_followed_by_another_is_left_out_and_the_others_stay_long(tapped):
    sound = np.concatenate([tapped(RIM, taps=1, every_s=0.6), tapped(RIM, taps=2, quiet_s=0.0)])
    heard = taps(Recording(sound, RATE))
    np.testing.assert_allclose(heard.at, [1.2, 3.7], atol=0.012)
    assert heard.seconds > 2.4
    assert len(heard.before) / RATE < 0.6  # what rings of the first tap was not there before it


def test_what_sounds_from_the_start_on_was_there_before_the_first_tap(tapped):
    whistle = Recording(tapped(RIM, beside=lambda t: 0.3 * np.sin(2 * np.pi * 1234 * t)), RATE)
    heard = taps(whistle)
    np.testing.assert_allclose(heard.at, [0.6, 3.1, 5.6], atol=0.012)
    assert len(heard.before) / RATE == pytest.approx(0.585, abs=0.012)


def test_only_the_taps_that_are_not_clipped_count(tapped):
    sound = tapped(RIM)
    third = slice(round(5.55 * RATE), None)
    sound[third] = np.clip(6 * sound[third], -0.9, 0.9)
    np.testing.assert_allclose(taps(Recording(sound, RATE)).at, [0.6, 3.1], atol=0.012)


def test_a_knock_may_be_clipped(tapped):
    sound = tapped(RIM)
    top = 1.05 * np.abs(sound[round(0.65 * RATE) : round(3.0 * RATE)]).max()
    assert len(taps(Recording(np.clip(sound, -top, top), RATE)).at) == 3


NOTHING = {
    "zeros": (np.zeros(RATE), "is silent; turn the microphone up"),
    "constant": (np.full(RATE, 0.3), "is silent"),
    "noise": (0.1 * np.random.default_rng(1).standard_normal(3 * RATE), "no tap is heard in it"),
    "hum": (0.2 * hum(np.arange(3 * RATE) / RATE), "no tap is heard in it"),
}


@pytest.mark.parametrize("name", NOTHING)
def test_what_has_no_tap_is_refused_with_what_to_do(name):
    sound, told = NOTHING[name]
    with pytest.raises(RecordingError, match=f"^tap.wav: {told}"):
        taps(Recording(sound, RATE, "tap.wav"))


@pytest.mark.parametrize(
    ("spoilt", "how", "told"),
    [
        (lambda sound: sound[: RATE // 4], {}, "lasts 0.25 s; tap"),
        (lambda sound: np.tile(sound, 10), {}, "cut it to 60 s at most"),
        (lambda sound: np.append(sound, np.nan), {}, "holds what is no number"),
        (lambda sound: np.append(sound, np.inf), {}, "holds what is no number"),
        (lambda sound: np.clip(4 * sound, -0.5, 0.5), {}, "is clipped: the sound is louder"),
        (lambda sound: sound, {"every_s": 0.3, "taps": 8}, "rings alone for 0.3 s at most; let"),
    ],
)
def test_taps_that_tell_nothing_are_refused_with_what_to_do(tapped, spoilt, how, told):
    with pytest.raises(RecordingError) as caught:
        taps(Recording(spoilt(tapped(RIM, **how)), RATE, "tap.wav"))
    assert str(caught.value).startswith("tap.wav: ")
    assert told in str(caught.value)


@pytest.mark.parametrize("rate", [0, 100, 1e7, float("nan")])
def test_a_rate_that_no_recorder_has_is_refused(rate):
    with pytest.raises(RecordingError, match="samples a second"):
        Recording(np.ones(RATE), rate)


def test_the_error_travels_between_processes():
    error = RecordingError("is silent", remedy="go nearer", source="a.wav")
    again = pickle.loads(pickle.dumps(error))  # noqa: S301 - packed a moment ago
    assert str(again) == str(error) == "a.wav: is silent; go nearer"
