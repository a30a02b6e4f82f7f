"""Tones that die away, fitted to the spectra of what was heard.

A tone a e^{(i2πf − s)t} that is heard from t = 0 to T has a known spectrum, sharp or broad as it
dies slowly or fast. Frequencies f and decays s of a few tones beside each other are found by least
squares, the same for all taps; the sizes a of every tap follow by a linear system, together with a
straight line for what the skirts of distant tones add (variable projection: Golub and Pereyra,
SIAM J. Numer. Anal. 10 (1973) 413-432; citation from memory). No window takes the loud beginning
away, and two tones nearer than a spectrum resolves are told apart where the noise allows it.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import TYPE_CHECKING

import numpy as np
import scipy

from rimfea.arrays import Bools, Floats

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Complex = NDArray[np.complex128]

FASTEST = 200.0  # decay, 1/s
NEVER_ZERO = 1e-9  # 1/s more: the sums of what never decays are a limit


@dataclass(frozen=True)
class Fitted:
    """Tones (m,): frequencies in Hz, decays in 1/s, the standard deviations of both, the size of
    each at its beginning, its mean square over the taps, and how far it stands over the noise: its
    energy over all taps beside the power that is left at a frequency. ``left`` (b,) is that power
    at the frequencies (b,), its mean over the taps.
    """

    hertz: Floats
    decay: Floats
    hertz_sd: Floats
    decay_sd: Floats
    size: Floats
    over_noise: Floats
    left: Floats

    def only(self, which: Bools) -> Fitted:
        """Some of the tones, marked in ``which`` (m,)."""
        named = {each.name: getattr(self, each.name) for each in fields(self)}
        return Fitted(**{name: a if name == "left" else a[which] for name, a in named.items()})


def fitted(spectra: Complex, at: Floats, seconds: float, rate: float, guess: Floats) -> Fitted:
    """Tones fitted to spectra (k, b) at frequencies ``at`` (b,) of rows that last ``seconds``,
    begun at a ``guess`` (m, 2) of frequency and decay.
    """
    count = len(guess)

    def shapes(unknown: Floats) -> Complex:
        f, s = unknown.reshape(2, count)
        return _columns(at, f, s, seconds, rate)

    def gap(unknown: Floats) -> Floats:
        return _left(shapes(unknown), spectra).view(np.float64).ravel()

    room = np.array([max(4 / seconds, 0.02 * at.mean())] * count)
    low = np.concatenate([guess[:, 0] - room, np.full(count, -1 / seconds)])
    high = np.concatenate([guess[:, 0] + room, np.full(count, FASTEST)])
    begun = np.clip(guess.T.ravel(), low + 1e-9, high - 1e-9)
    found = scipy.optimize.least_squares(
        gap, begun, bounds=(low, high), x_scale=1 / seconds, max_nfev=60
    )
    A = shapes(found.x)
    sizes = np.linalg.lstsq(A, spectra.T, rcond=None)[0][:count]
    left = (np.abs(_left(A, spectra)) ** 2).mean(axis=0)
    free = max(found.fun.size - found.x.size - 2 * spectra.shape[0] * A.shape[1], 1)
    jacobian = np.asarray(found.jac, dtype=np.float64)
    spread = np.linalg.pinv(jacobian.T @ jacobian) * 2 * found.cost / free
    (hertz, decay), (hertz_sd, decay_sd) = (
        each.reshape(2, count) for each in (found.x, np.sqrt(np.diag(spread)))
    )
    power = (np.abs(sizes) ** 2).sum(axis=1)
    energy = power * _energy(decay, seconds, rate) * round(seconds * rate)
    return Fitted(
        hertz,
        decay,
        hertz_sd,
        decay_sd,
        np.sqrt(power / len(spectra)),
        energy / left.mean(),
        left,
    )


def _energy(s: Floats, seconds: float, rate: float) -> Floats:
    """The sum (m,) of the squares of tones of size 1."""
    s = s + NEVER_ZERO
    return np.expm1(-2 * s * seconds) / np.expm1(-2 * s / rate)


def _columns(at: Floats, f: Floats, s: Floats, seconds: float, rate: float) -> Complex:
    """The spectra (b, m + 2) of tones of size 1, and of what is beside them."""
    z = (2j * np.pi * (f - at[:, None]) - s - NEVER_ZERO) / rate
    tones = np.expm1(z * round(seconds * rate)) / np.expm1(z)
    across = np.linspace(-1, 1, len(at))
    beside = np.column_stack([np.ones_like(across), across]) * np.abs(tones).max()
    return np.hstack([tones, beside])


def _left(A: Complex, spectra: Complex) -> Complex:
    """What (k, b) of the spectra no sum of the columns is."""
    Q, _ = np.linalg.qr(A)
    return np.ascontiguousarray(spectra - (Q @ (Q.conj().T @ spectra.T)).T)
