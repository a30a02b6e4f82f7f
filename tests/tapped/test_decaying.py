"""Tones that die away, fitted to spectra that are known by a formula of their own."""

from __future__ import annotations

import numpy as np
import pytest

from rimfea.tapped.decaying import fitted

RATE, SECONDS = 4000.0, 2.0
TIME = np.arange(round(RATE * SECONDS)) / RATE


def spectra(tones, noise=0.0, taps=2, seed=3):
    """Spectra (taps, b) from 188 to 212 Hz of tones (f, s, size), otherwise turned each time."""
    random = np.random.default_rng(seed)
    rows = np.zeros((taps, len(TIME)))
    for f, s, size in tones:
        turn = random.uniform(0, 2 * np.pi, (taps, 1))
        rows += size * np.exp(-s * TIME) * np.cos(2 * np.pi * f * TIME + turn)
    rows += noise * random.standard_normal(rows.shape)
    at = np.arange(len(TIME) // 2 + 1) / SECONDS
    near = np.abs(at - 200) <= 12
    return np.fft.rfft(rows, axis=1)[:, near], at[near]


@pytest.mark.parametrize("decay", [0.3, 2.0, 20.0])
def test_a_tone_is_found_with_its_decay_and_its_size(decay):
    heard, at = spectra([(200.37, decay, 0.5)])
    found = fitted(heard, at, SECONDS, RATE, np.array([[200.0, 1.0]]))
    assert found.hertz[0] == pytest.approx(200.37, abs=2e-3)
    assert found.decay[0] == pytest.approx(decay, rel=0.01)
    assert found.size[0] == pytest.approx(0.25, rel=0.01)  # of ± 200 Hz each has one half


def test_two_tones_nearer_than_the_spectrum_resolves_are_told_apart():
    heard, at = spectra([(200.0, 3.0, 1.0), (200.3, 3.0, 0.7)])
    found = fitted(heard, at, SECONDS, RATE, np.array([[199.8, 2.0], [200.5, 2.0]]))
    np.testing.assert_allclose(np.sort(found.hertz), [200.0, 200.3], atol=0.01)


def test_the_doubt_is_that_of_many_trials():
    guess = np.array([[200.0, 2.0]])
    runs = [
        fitted(*spectra([(200.2, 2.0, 1.0)], 0.5, seed=seed), SECONDS, RATE, guess)
        for seed in range(80)
    ]
    for name, true in (("hertz", 200.2), ("decay", 2.0)):
        scatter = np.std([getattr(run, name)[0] for run in runs])
        told = np.mean([getattr(run, f"{name}_sd")[0] for run in runs])
        print(f"{name}: scatter {scatter:.4f}, told {told:.4f}")
        assert told == pytest.approx(scatter, rel=0.25)
        mean = np.mean([getattr(run, name)[0] for run in runs])
        assert mean == pytest.approx(true, abs=4 * scatter / 80**0.5)


def test_what_a_tone_too_few_leaves_is_told():
    heard, at = spectra([(198.0, 2.0, 1.0), (203.0, 2.0, 0.2)])
    found = fitted(heard, at, SECONDS, RATE, np.array([[198.0, 2.0]]))
    assert at[found.left.argmax()] == 203.0


def test_noise_that_is_taken_for_a_tone_does_not_stand_over_the_noise():
    heard, at = spectra([(200.0, 2.0, 1.0)], 0.3)
    found = fitted(heard, at, SECONDS, RATE, np.array([[200.0, 2.0], [205.0, 2.0]]))
    true, false = found.over_noise
    print(f"over the noise: {true:.0f} and {false:.0f}")
    assert true > 100
    assert false < 25
    assert found.only(found.over_noise > 30).hertz == pytest.approx([200.0], abs=0.05)
