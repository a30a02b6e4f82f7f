"""Tones of recordings that are made up, so that every one of them is known."""

from __future__ import annotations

import numpy as np
import pytest

from rimfea.errors import RecordingError
from rimfea.tapped.recording import Recording
from rimfea.tapped.tones import tones

RATE = 16000
# As of two rims: pairs that a joint has parted, and tones alone.
FIRST = (161.3, 163.0, 292.4, 455.2, 459.9, 640.7, 871.3, 1124.8, 1391.5, 2210.6)
SECOND = (188.7, 341.2, 344.7, 530.1, 760.9, 1043.3, 1322.2, 1675.4)
LOW = (38.3, 88.5, 135.4, 249.7)  # of a light rim
WITHIN_HZ = 0.2


def hum(t):
    """Of a grid that runs a little fast, with what a recorder's supply adds."""
    return sum(0.5 / k * np.sin(2 * np.pi * 50.02 * k * t + k) for k in (1, 2, 3, 5))


def found_in(tapped, hertz, **how):
    rate = how.setdefault("rate", RATE)
    return tones(Recording(tapped(hertz, **how), rate))


def farthest(found, hertz):
    """How far the one of the tones is that is farthest from those found, Hz."""
    return np.abs(np.subtract.outer(found.hertz, hertz)).min(axis=0).max()


@pytest.mark.parametrize("rim", [FIRST, SECOND, LOW])
@pytest.mark.parametrize("noise_dB", [-60, -40, -20, -10])
def test_every_tone_is_found_and_no_other(tapped, rim, noise_dB):
    found = found_in(tapped, rim, noise_dB=noise_dB, falls_s=np.linspace(4.0, 1.0, len(rim)))
    worst = farthest(found, rim)
    print(f"{len(rim)} tones, noise {noise_dB} dB: {worst:.4f} Hz at worst")
    assert len(found.hertz) == len(rim)
    assert worst < WITHIN_HZ
    np.testing.assert_allclose(found.hertz, rim, atol=WITHIN_HZ)
    assert found.left_out == ()


@pytest.mark.parametrize(
    "how",
    [{"taps": 1}, {"quiet_s": 0.0}, {"every_s": 0.6, "taps": 6}, {"rate": 8000}, {"rate": 44100}],
)
def test_few_taps_short_ones_and_any_rate_do(tapped, how):
    found = found_in(tapped, FIRST, **how)
    print(f"{how}: {farthest(found, FIRST):.4f} Hz at worst")
    np.testing.assert_allclose(found.hertz, FIRST, atol=WITHIN_HZ)


def test_what_ripples_in_the_noise_is_no_tone(tapped):
    for seed in range(4):
        found = found_in(tapped, FIRST, taps=1, noise_dB=-15, seed=seed)
        np.testing.assert_allclose(found.hertz, FIRST, atol=WITHIN_HZ)


def test_what_is_told_of_a_tone_is_how_well_it_is_known(tapped):
    for noise_dB in (-30, -10):
        gaps = []
        for seed in range(6):
            found = found_in(tapped, SECOND, noise_dB=noise_dB, seed=seed)
            gaps += [*(np.abs(found.hertz - SECOND) / found.plus_minus_Hz)]
        inside = np.mean(np.array(gaps) < 1)
        print(f"noise {noise_dB} dB: {inside:.0%} within ±")
        assert inside > 0.8
        assert np.median(gaps) > 0.1


def test_how_long_and_how_loud_a_tone_is(tapped):
    long = np.array([4.0, 1.0, 0.4])
    found = found_in(tapped, (200.0, 500.0, 900.0), falls_s=long, noise_dB=-50)
    np.testing.assert_allclose(found.decay_s, long, rtol=0.02)
    assert found.level_dB.max() == 0
    assert (found.level_dB > -15).all()


@pytest.mark.parametrize("apart", [0.03, 0.01, 0.005, 0.002])
def test_two_tones_beside_each_other_are_a_pair(tapped, apart):
    rim = (200.0, 200.0 * (1 + apart), 500.0, 900.0, 900.0 * (1 + apart))
    found = found_in(tapped, rim)
    print(f"{apart:.1%} apart: {farthest(found, rim):.4f} Hz at worst")
    np.testing.assert_allclose(found.hertz, rim, atol=WITHIN_HZ)
    assert found.pairs.tolist() == [[0, 1], [3, 4]]
    assert found.is_pair.tolist() == [True, True, False, True, True]


def test_of_three_tones_the_nearest_two_are_the_pair(tapped):
    assert found_in(tapped, (200.0, 204.0, 205.0)).pairs.tolist() == [[1, 2]]


def test_tones_farther_apart_are_none(tapped):
    assert not found_in(tapped, (200.0, 207.0)).is_pair.any()


@pytest.mark.parametrize("quiet_s", [0.6, 0.0])
def test_mains_hum_is_left_out_and_told(tapped, quiet_s):
    found = found_in(tapped, FIRST, beside=hum, quiet_s=quiet_s)
    np.testing.assert_allclose(found.hertz, FIRST, atol=WITHIN_HZ)
    assert [round(each.hertz) for each in found.left_out] == [50, 100, 150, 250]
    for k, each in zip((1, 2, 3, 5), found.left_out, strict=True):
        assert each.reason.startswith("is mains hum" if k == 1 else f"is mains hum, {k} times 50")
        assert each.reason.endswith("before the tap too") == (quiet_s > 0)


def test_a_tone_where_hum_may_be_stays_if_it_dies_away(tapped):
    np.testing.assert_allclose(found_in(tapped, (200.0, 540.0)).hertz, (200.0, 540.0), atol=0.05)


def test_a_tone_beside_hum_stays(tapped):
    rim = (101.5, 152.0, 424.6)
    found = found_in(tapped, rim, beside=hum)
    np.testing.assert_allclose(found.hertz, rim, atol=WITHIN_HZ)
    assert [round(each.hertz) for each in found.left_out] == [50, 100, 150, 250]


def test_what_sounds_before_the_tap_or_does_not_die_is_no_tone_of_what_was_tapped(tapped):
    for quiet_s, reason in ((0.6, "sounds before the tap too"), (0.0, "does not die away")):
        found = found_in(
            tapped, FIRST, quiet_s=quiet_s, beside=lambda t: 0.1 * np.sin(2 * np.pi * 1234.5 * t)
        )
        np.testing.assert_allclose(found.hertz, FIRST, atol=WITHIN_HZ)
        ((hertz, told),) = ((each.hertz, each.reason) for each in found.left_out)
        assert (round(hertz, 1), told) == (1234.5, reason)


def test_a_tone_that_dies_at_once_is_none_of_a_rim(tapped):
    found = found_in(tapped, (300.0, 3000.0), falls_s=np.array([2.0, 0.09]), noise_dB=-60)
    np.testing.assert_allclose(found.hertz, [300.0], atol=WITHIN_HZ)
    assert [each.reason for each in found.left_out] == ["dies away within 0.1 s"]


def test_the_spectrum_has_a_peak_at_every_tone(tapped):
    found = found_in(tapped, (188.7, 530.1, 1322.2))
    spectrum = found.spectrum
    for hertz in found.hertz:
        near = np.abs(spectrum.hertz - hertz) < 20
        highest = spectrum.level_dB[near].argmax()
        assert spectrum.hertz[near][highest] == pytest.approx(hertz, abs=0.2)
        assert (spectrum.level_dB - spectrum.noise_dB)[near][highest] > 15
    between = np.abs(spectrum.hertz - 900) < 50
    assert np.abs(np.median((spectrum.level_dB - spectrum.noise_dB)[between])) < 1.5


def test_claps_have_no_tone():
    random = np.random.default_rng(1)
    claps = 1e-3 * random.standard_normal(4 * RATE)
    for at in (RATE, 5 * RATE // 2):
        claps[at : at + RATE // 5] += np.exp(-np.arange(RATE // 5) / 300) * random.standard_normal(
            RATE // 5
        )
    with pytest.raises(RecordingError, match="no tone stands out of the noise; tap harder"):
        tones(Recording(claps, RATE))


def test_where_all_is_left_out_that_is_told(tapped):
    with pytest.raises(RecordingError, match=r"[23]\d+ Hz dies away within"):
        found_in(tapped, (3000.0,), falls_s=0.09, noise_dB=-60)
