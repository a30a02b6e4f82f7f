"""A recording of taps, and when in it something was tapped."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from scipy.fft import rfft, rfftfreq

from rimfea.arrays import Floats
from rimfea.brief import brief
from rimfea.errors import RecordingError

RATES_HZ = (4_000.0, 200_000.0)
SHORTEST_S, LONGEST_S = 0.5, 60.0
SILENT = 1e-4  # of the full scale
OCTAVES_HZ = (400.0, 800.0, 1600.0, 3200.0, 6400.0)  # a knock has all, hum and wind hardly any
HOP_S = 0.005
QUIET_DB = -100.0
RISE_DB, WITHIN_S = 6.0, 0.03  # by so much the sound swells in so short a time where it was tapped
QUIETEST_DB = -30.0  # of a tap beside the loudest
BOUNCE_S = 0.15  # a second blow so soon is one and the same tap
# The knock itself is left out after a tap, and what may come before the next is known.
AFTER_S, BEFORE_S = 0.025, 0.015
FEWEST_S, ENOUGH_S = 0.4, 3.0  # of ringing that is looked at
ABOUT = 0.8  # of the usual time between taps, so that nearly all of them count
FLAT, AT_THE_TOP = 4, 0.98  # so many samples alike near the largest are cut off


@dataclass(frozen=True)
class Recording:
    """Sound (s,) over time, its full scale 1, taken ``rate`` times a second; ``source`` is where it
    is from.

    Raises :class:`~rimfea.errors.RecordingError` for one that is silent, too short or too long, or
    that holds what is no number.
    """

    sound: Floats
    rate: float
    source: str = ""

    __repr__ = brief

    def __post_init__(self) -> None:
        low, high = RATES_HZ
        if not low <= self.rate <= high:
            raise self._error(
                f"has {self.rate:g} samples a second",
                f"record with {low:g} to {high:g}, best 44100",
            )
        if not self.seconds >= SHORTEST_S:
            raise self._error(
                f"lasts {self.seconds:.2f} s", "tap, and let it ring for two seconds each time"
            )
        if self.seconds > LONGEST_S:
            raise self._error(f"lasts {self.seconds:.0f} s", f"cut it to {LONGEST_S:.0f} s at most")
        if not np.isfinite(self.sound).all():
            raise self._error("holds what is no number", "record again")
        if np.abs(self.sound - self.sound.mean()).max() < SILENT:
            raise self._error("is silent", "turn the microphone up, or go nearer")

    @property
    def seconds(self) -> float:
        """How long it lasts."""
        return len(self.sound) / self.rate

    def part(self, start_s: float, seconds: float) -> Floats:
        """What is heard for so long from then on."""
        start = round(start_s * self.rate)
        return self.sound[max(start, 0) : start + round(seconds * self.rate)]

    def _error(self, problem: str, remedy: str) -> RecordingError:
        return RecordingError(problem, remedy=remedy, source=self.source)


@dataclass(frozen=True)
class Taps:
    """Taps ``at`` (k,), in s, what rings ``after`` each, in rows (k, s) of equal length, and what
    was heard ``before`` (s,) the first.
    """

    at: Floats
    after: Floats
    before: Floats
    rate: float

    __repr__ = brief

    @property
    def seconds(self) -> float:
        """How long each row is."""
        return self.after.shape[1] / self.rate


def taps(recording: Recording) -> Taps:
    """What rings after every tap that was long enough alone.

    Raises :class:`~rimfea.errors.RecordingError` where nothing was tapped, rings long enough, or
    all is clipped.
    """
    blows = onsets(recording)
    start = blows + AFTER_S
    alone = np.append(blows[1:] - BEFORE_S, recording.seconds) - start
    seconds = _shared(alone, recording)
    rows = {k: recording.part(start[k], seconds) for k in np.flatnonzero(alone >= seconds).tolist()}
    clear = [k for k, row in rows.items() if not is_clipped(row, recording.sound)]
    if not clear:
        raise RecordingError(
            "is clipped: the sound is louder than the microphone can tell",
            remedy="go farther away, turn it down, or tap more gently",
            source=recording.source,
        )
    before = recording.part(0.0, max(float(blows[0]) - BEFORE_S, 0.0))
    return Taps(blows[clear], np.stack([rows[k] for k in clear]), before, recording.rate)


def _shared(alone: Floats, recording: Recording) -> float:
    """How many seconds are looked at after each tap: as long as nearly all of them ring ``alone``
    (k,), a sample less for the rounding.
    """
    enough = alone[alone >= FEWEST_S]
    if not len(enough):
        raise RecordingError(
            f"what was tapped rings alone for {max(alone.max(), 0.0):.1f} s at most",
            remedy="let it ring for two seconds after each tap",
            source=recording.source,
        )
    usual = np.quantile(enough, 0.5, method="lower")
    return min(float(enough[enough >= ABOUT * usual].min()), ENOUGH_S) - 1 / recording.rate


def onsets(recording: Recording) -> Floats:
    """When (k,) in s something was tapped: the sound swells at once, in all octaves.

    Raises :class:`~rimfea.errors.RecordingError` where it never does.
    """
    level = loudness(recording.sound, recording.rate)
    mean = level.mean(axis=0)
    back = round(WITHIN_S / HOP_S)
    ahead = np.concatenate([np.full(back + 1, QUIET_DB), mean])
    earlier = np.lib.stride_tricks.sliding_window_view(ahead, back)[: len(mean)].max(axis=1)
    loud = level.max(axis=0) > level.max() + QUIETEST_DB
    hop_s = max(round(HOP_S * recording.rate), 1) / recording.rate
    found = np.flatnonzero((mean - earlier > RISE_DB) & loud) * hop_s
    kept: list[float] = []
    for at in found.tolist():
        if not kept or at - kept[-1] > BOUNCE_S:
            kept.append(at)
    # What sounds from the start on and does not die away began before the recording.
    whole = mean[: round(kept[1] / hop_s) - 1] if kept[1:] else mean
    if kept and kept[0] <= WITHIN_S and whole.max() - np.median(whole) < RISE_DB:
        kept = kept[1:]
    if not kept:
        raise _nothing(recording)
    return np.array(kept)


def loudness(sound: Floats, rate: float) -> Floats:
    """Levels (b, t) in dB of octaves above hum and rumble, every few milliseconds."""
    hop = max(round(HOP_S * rate), 1)
    frames = np.lib.stride_tricks.sliding_window_view(sound, 2 * hop)[::hop]
    power = np.abs(rfft(frames * np.hanning(2 * hop), axis=1)) ** 2 / hop**2
    hertz = rfftfreq(2 * hop, 1 / rate)
    edges = [edge for edge in OCTAVES_HZ if edge <= rate / 2]
    bands = [(hertz >= low) & (hertz < high) for low, high in pairwise(edges)]
    return 10 * np.log10(np.stack([power[:, band].sum(axis=1) for band in bands]) + SILENT**4)


def is_clipped(row: Floats, sound: Floats) -> bool:
    """Whether some samples beside each other are alike, and as large as any of the recording."""
    high = np.abs(row) >= AT_THE_TOP * np.abs(sound).max()
    alike = high[1:] & high[:-1] & (np.diff(row) == 0)
    runs = np.convolve(alike, np.ones(FLAT - 1), "valid")
    return bool((runs >= FLAT - 1).any())


def _nothing(recording: Recording) -> RecordingError:
    return RecordingError(
        "no tap is heard in it",
        remedy="hang it on a string, tap it with a knuckle, and let it ring",
        source=recording.source,
    )
