"""What a rim is to be best at, and what it must keep: wall by wall where walls decide."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np

from rimfea.arrays import Floats
from rimfea.errors import LoadError
from rimfea.study.outcome import BY_KEY, named
from rimfea.study.ride import Ride

FAR = 1e9  # in place of infinity


@dataclass(frozen=True)
class Aim:
    """The outcome that is to be ``best``, and what others must ``keep``; both by key, a kept one
    at least or at most at its value, whichever is better. ``finely``, by outcome and wall, is what
    a fine mesh has of what a coarse one does: rides on a coarse mesh are read times that. Raises
    :class:`~rimfea.errors.UnknownError` for outcomes that there are not, and
    :class:`~rimfea.errors.LoadError` for what else cannot be asked.
    """

    keep: Mapping[str, float]
    best: str = "mass_g"
    finely: Mapping[tuple[str, str], float] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Refuse outcomes that there are not, and values that no rim has."""
        for key in (self.best, *self.keep):
            named(key)
        for key, value in self.keep.items():
            if not 0 < value < math.inf:
                raise LoadError(f"{BY_KEY[key].title} cannot be kept at {value:g}")
        if self.best in self.keep or not self.keep:
            raise LoadError("what is to be best needs something else that is kept")

    def seen(self, coarse: Ride, fine: Ride) -> Aim:
        """The same for rides on the mesh of ``coarse``, by one rim on both meshes."""
        shares = {
            (key, wall): value / there
            for key in (self.best, *self.keep)
            for wall, value in _pieces(fine, key).items()
            if 0 < (there := _pieces(coarse, key).get(wall, 0.0)) < FAR and value < FAR
        }
        return replace(self, finely=shares)

    def gains(self, ride: Ride) -> Floats:
        """What is to be best (g,), of every wall where walls decide it; more is better."""
        return BY_KEY[self.best].better * self._values(ride, self.best)

    def margins(self, ride: Ride) -> Floats:
        """How far all that is kept (m,) is on the good side of its value, as a share of it."""
        parts = [
            BY_KEY[key].better * (self._values(ride, key) / value - 1)
            for key, value in self.keep.items()
        ]
        return np.concatenate(parts)

    def names(self, ride: Ride) -> list[tuple[str, str]]:
        """The outcome of every margin, and its wall where walls decide."""
        return [(key, wall) for key in self.keep for wall in _pieces(ride, key)]

    def _values(self, ride: Ride, key: str) -> Floats:
        pieces = _pieces(ride, key)
        found = [value * self.finely.get((key, wall), 1.0) for wall, value in pieces.items()]
        return np.minimum(found, FAR)


def _pieces(ride: Ride, key: str) -> dict[str, float]:
    """The load of every wall, by name in a lasting order, or the outcome itself."""
    outcome = BY_KEY[key]
    if outcome.by_wall is None:
        return {"": outcome.of(ride)}
    return dict(sorted(outcome.by_wall(ride).items()))
