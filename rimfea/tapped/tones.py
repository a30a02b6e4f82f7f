"""From what rings after some taps to its tones, and what of it is no tone of the thing tapped."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import scipy
from scipy.fft import next_fast_len, rfft, rfftfreq

from rimfea.arrays import Bools, Floats, Ints
from rimfea.brief import brief
from rimfea.errors import RecordingError
from rimfea.tapped.decaying import Fitted, fitted
from rimfea.tapped.recording import Recording, Taps, taps

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Complex = NDArray[np.complex128]

LOWEST_HZ, HIGHEST_HZ = 25.0, 6000.0
PADDED = 4  # times as many points as were heard
# The noise is the median of so many pieces of the spectrum beside each other, and so is each piece.
NOISE_HZ, PIECES = 25.0, 17
AROUND_HZ = 500.0
ABOVE_DB, PROMINENT_DB = 15.0, 3.0  # of a peak over the noise and over the valleys beside it
BINS, WIDTHS = 8.0, 1.5  # of spectrum to either side of a peak that is fitted
MOST_HIDDEN = 2  # tones that a group may hide
STANDS_OUT = 4.0  # times the noise that a fit leaves where it hides one
HIDDEN = 0.3  # of what a fit leaves, or less, a hidden tone has to leave
FAINTEST = 0.06  # of the largest beside it that a hidden tone may be
PAIR = 0.03
# A tone falls by 60 dB in this time; what does so within ten seconds surely is no hum.
SHORTEST_S, LONGEST_S, SURELY_S = 0.1, 30.0, 10.0
SIXTY_DB = float(np.log(1000.0))
MAINS_HZ = (50.0, 60.0)
MAINS_OFF_HZ, MAINS_OFF = 0.3, 0.002  # by which the grid or a recorder may be off
BEFORE = 0.4  # of its size after the tap that a tone before it has, or more, if it is not tapped
BEFORE_S, BEFORE_DB = 0.2, 10.0  # of recording before the tap, and above its noise


@dataclass(frozen=True)
class LeftOut:
    """A frequency that is no tone of the thing tapped, and why."""

    hertz: float
    reason: str


@dataclass(frozen=True)
class Spectrum:
    """Levels (f,) of what rings, averaged over the taps, and of the noise (f,) around, in dB of the
    full scale, at frequencies ``hertz`` (f,).
    """

    hertz: Floats
    level_dB: Floats
    noise_dB: Floats

    __repr__ = brief


@dataclass(frozen=True)
class Tones:
    """The tones (t,) of what was tapped, the lowest first: ``hertz``, how well these are known
    (``plus_minus_Hz``, k = 2), the level at the beginning, in dB of the loudest, and in how many
    seconds each falls by 60 dB. ``taps`` (k,) in s are those that were looked at.
    """

    hertz: Floats
    plus_minus_Hz: Floats
    level_dB: Floats
    decay_s: Floats
    left_out: tuple[LeftOut, ...]
    taps: Floats
    spectrum: Spectrum

    __repr__ = brief

    @property
    def pairs(self) -> Ints:
        """Which tones (p, 2) are pairs: within 3 % of each other, the nearest first paired."""
        apart = np.diff(self.hertz) / self.hertz[:-1]
        taken: set[int] = set()
        found = []
        for k in np.argsort(apart, kind="stable").tolist():
            if apart[k] <= PAIR and not taken & {k, k + 1}:
                taken |= {k, k + 1}
                found.append((k, k + 1))
        return np.array(sorted(found), dtype=np.int64).reshape(-1, 2)

    @property
    def is_pair(self) -> Bools:
        """Whether each tone (t,) is one of a pair."""
        return np.isin(np.arange(len(self.hertz)), self.pairs)


def tones(recording: Recording) -> Tones:
    """The tones of what is tapped in a recording.

    Raises :class:`~rimfea.errors.RecordingError` where nothing is tapped, nothing rings long
    enough, all is clipped, or no tone stands out.
    """
    heard = taps(recording)
    spectrum = _spectrum(heard.after, heard.rate)
    peaks = _peaks(spectrum)
    whole = rfft(heard.after, axis=1)
    found = [_fit(heard, whole, spectrum, group) for group in _together(peaks, heard.seconds)]
    known = _sorted_out(heard, spectrum, found)
    if not len(known.hertz):
        others = "; ".join(f"{each.hertz:.0f} Hz {each.reason}" for each in known.left_out[:3])
        raise RecordingError(
            f"no tone stands out of the noise{f' ({others})' if others else ''}",
            remedy="tap harder, go nearer, or find a quieter room",
            source=recording.source,
        )
    return known


@dataclass(frozen=True)
class _Peak:
    """A peak of the averaged spectrum and how broad it is, in Hz."""

    hertz: float
    width: float

    def reach(self, seconds: float) -> float:
        """How far to either side it is fitted."""
        return max(BINS / seconds, WIDTHS * self.width)


def _spectrum(rows: Floats, rate: float) -> Spectrum:
    """What rings, weighted down to nothing at the end of each row: no edge is seen in it."""
    count = rows.shape[1]
    size = next_fast_len(PADDED * count, real=True)
    falling = np.cos(np.linspace(0.0, np.pi / 2, count)) ** 2
    hertz = rfftfreq(size, 1 / rate)
    kept = (hertz >= LOWEST_HZ - 2 * NOISE_HZ) & (hertz <= min(HIGHEST_HZ, 0.45 * rate))
    sizes = 2 * np.abs(rfft(rows * falling, size, axis=1)[:, kept]) / falling.sum()
    level = 10 * np.log10((sizes**2).mean(axis=0) + 1e-20)
    return Spectrum(hertz[kept], level, _noise(hertz[kept], level))


def _noise(hertz: Floats, level: Floats) -> Floats:
    """The median of the levels around: peaks are too narrow to lift it."""
    each = max(int(NOISE_HZ / (hertz[1] - hertz[0])), 1)
    blocks = level[: len(level) // each * each].reshape(-1, each)
    around = np.pad(np.median(blocks, axis=1), PIECES // 2, mode="reflect")
    calm = np.median(np.lib.stride_tricks.sliding_window_view(around, PIECES), axis=1)
    middle = hertz[: len(level) // each * each].reshape(-1, each).mean(axis=1)
    return np.interp(hertz, middle, calm)


def _peaks(spectrum: Spectrum) -> list[_Peak]:

    level = spectrum.level_dB
    found, _ = scipy.signal.find_peaks(
        level, height=spectrum.noise_dB + ABOVE_DB, prominence=PROMINENT_DB
    )
    found = found[spectrum.hertz[found] >= LOWEST_HZ]
    widths = scipy.signal.peak_widths(10 ** (level / 10), found, rel_height=0.5)[0]
    apart = spectrum.hertz[1] - spectrum.hertz[0]
    hertz = spectrum.hertz[found]
    return [_Peak(f, w) for f, w in zip(hertz.tolist(), (widths * apart).tolist(), strict=True)]


def _together(peaks: list[_Peak], seconds: float) -> list[list[_Peak]]:
    """Peaks, the lowest first, in groups whose reaches meet."""
    groups: list[list[_Peak]] = []
    end = -np.inf
    for peak in peaks:
        reach = peak.reach(seconds)
        if groups and peak.hertz - reach < end:
            groups[-1].append(peak)
        else:
            groups.append([peak])
        end = max(end, peak.hertz + reach)
    return groups


def _fit(heard: Taps, whole: Complex, spectrum: Spectrum, peaks: list[_Peak]) -> Fitted:
    """The tones of a group of peaks, and those that these hide."""
    # Of a row that is weighted by cos², which has 1/2 of the size and 3/8 of the power.
    around = np.abs(spectrum.hertz - peaks[0].hertz) < AROUND_HZ  # where no skirts are taken for it
    quiet = spectrum.noise_dB[around].min()
    noise = 10 ** (quiet / 10) * heard.after.shape[1] ** 2 / 6
    seconds, rate = heard.seconds, heard.rate
    low = min(peak.hertz - peak.reach(seconds) for peak in peaks)
    high = max(peak.hertz + peak.reach(seconds) for peak in peaks)
    at = np.arange(whole.shape[1]) / seconds
    near = (at >= low) & (at <= high)
    spectra, at = whole[:, near], at[near]
    guess = np.array([[peak.hertz, np.pi * max(peak.width - 1 / seconds, 0.2)] for peak in peaks])
    best = fitted(spectra, at, seconds, rate, guess)
    for _ in range(MOST_HIDDEN):
        if best.left.mean() < STANDS_OUT * noise:
            break
        guess = np.vstack([np.column_stack([best.hertz, best.decay]), _beside(best, at, seconds)])
        more = fitted(spectra, at, seconds, rate, guess)
        loud = more.size / np.sqrt(np.abs(more.decay) + 1 / seconds)
        if more.left.sum() > HIDDEN * best.left.sum() or loud.min() < FAINTEST * loud.max():
            break
        best = more
    return best.only(best.over_noise > 10 ** (ABOVE_DB / 10))


def _beside(best: Fitted, at: Floats, seconds: float) -> Floats:
    """Where a hidden tone may be: at what is left most, but not at a tone that is known."""
    place = float(at[best.left.argmax()])
    nearest = int(np.abs(best.hertz - place).argmin())
    off = place - best.hertz[nearest]
    if abs(off) < 0.5 / seconds:
        place = float(best.hertz[nearest] + np.copysign(0.5 / seconds, off))
    return np.array([place, max(best.decay[nearest], 0.1)])


def _sorted_out(heard: Taps, spectrum: Spectrum, found: list[Fitted]) -> Tones:
    names = ("hertz", "decay", "hertz_sd", "decay_sd", "size")
    hertz, decay, doubt, decay_sd, size = (
        np.concatenate([np.empty(0), *(getattr(each, name) for each in found)]) for name in names
    )
    earlier = _before(heard)
    reasons = [
        _reason(earlier, f, s, sd, a)
        for f, s, sd, a in zip(hertz, decay, decay_sd, size, strict=True)
    ]
    order = np.argsort(hertz)
    kept = order[[not reasons[k] for k in order]]
    left_out = tuple(LeftOut(float(hertz[k]), reasons[k]) for k in order if reasons[k])
    return Tones(
        hertz[kept],
        2 * doubt[kept],
        20 * np.log10(size[kept] / size[kept].max(initial=0.0)),
        SIXTY_DB / decay[kept],
        left_out,
        heard.at,
        spectrum,
    )


def _reason(
    earlier: tuple[Floats, Floats], hertz: float, decay: float, decay_sd: float, size: float
) -> str:
    """Why a tone is none of the thing tapped; empty if it is one."""
    if decay > SIXTY_DB / SHORTEST_S:
        return f"dies away within {SHORTEST_S:g} s"
    if decay - 2 * decay_sd > SIXTY_DB / SURELY_S:  # whatever hums beside it
        return ""
    early = len(earlier[0]) > 0 and _sounds_before(earlier, hertz, size)
    slowest = SIXTY_DB / LONGEST_S
    mains = [f for f in MAINS_HZ if _is_multiple(hertz, f)]
    if mains and (early or decay - 2 * decay_sd < slowest):
        times = round(hertz / mains[0])
        told = "is mains hum" + (f", {times} times {mains[0]:g} Hz" if times > 1 else "")
        return f"{told}, and sounds before the tap too" if early else told
    if early:
        return "sounds before the tap too"
    return "does not die away" if decay < slowest else ""


def _is_multiple(hertz: float, of: float) -> bool:
    nearest = max(round(hertz / of), 1) * of
    return abs(hertz - nearest) < max(MAINS_OFF_HZ, MAINS_OFF * hertz)


def _sounds_before(earlier: tuple[Floats, Floats], hertz: float, size: float) -> bool:
    """Whether the recording has the same tone before the first tap, about as loud."""
    at, found = earlier
    near = found[np.abs(at - hertz) <= NOISE_HZ]
    here = found[np.abs(at - hertz) <= 1 / BEFORE_S].max(initial=0.0)
    return bool(here > BEFORE * size and here > 10 ** (BEFORE_DB / 20) * np.median(near))


def _before(heard: Taps) -> tuple[Floats, Floats]:
    """Sizes (f,) of what sounds before the first tap, at frequencies (f,); none if too short."""
    sound = heard.before
    if len(sound) < BEFORE_S * heard.rate:
        return np.zeros(0), np.zeros(0)
    falling = np.hanning(len(sound))
    size = next_fast_len(PADDED * len(sound), real=True)
    return rfftfreq(size, 1 / heard.rate), np.abs(rfft(falling * sound, size)) / falling.sum()
