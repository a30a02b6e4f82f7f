"""Errors and what they do: one place where doubts are added up.

Every error is a :class:`Source`, and sources are independent of each other. What is correlated is
what shares a source: all walls that one caliper read, two rims of one batch of metal. So sums,
differences and what follows from them need no table of correlations: shares of the same source are
added with their signs, and squares only come last (JCGM 100:2008 5.2.2 and F.1.2.3; JCGM 102:2011,
6.2: U_y = C U_x C').
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from enum import Enum, auto
from functools import cached_property

import numpy as np

from rimfea.arrays import Floats
from rimfea.brief import brief
from rimfea.profile.uncertainty import Uncertainty


class Origin(Enum):
    """Where an error comes from."""

    READING = auto()
    GUESS = auto()
    INSTRUMENT = auto()
    METAL = auto()
    SCALES = auto()
    DRAWING = auto()
    TONES = auto()


@dataclass(frozen=True)
class Source:
    """One error: ``what`` is off, a key of the sheet or the instrument, and of which ``rim``; None:
    it is the same in all rims.
    """

    origin: Origin
    what: str
    rim: str | None = None


@dataclass(frozen=True)
class Doubt:
    """How far some numbers (n) may be off: ``shares`` (s, n) are what one standard deviation of
    each of the ``sources`` (s) makes of it.
    """

    sources: tuple[Source, ...]
    shares: Floats

    __repr__ = brief

    def __post_init__(self) -> None:
        """Refuse shares of more or fewer sources than there are."""
        if self.shares.shape[:1] != (len(self.sources),):
            raise ValueError(f"{self.shares.shape} shares of {len(self.sources)} sources")

    @property
    def covariance(self) -> Floats:
        """That of all numbers (n, n)."""
        return np.asarray(self.shares.T @ self.shares)

    @cached_property
    def standard(self) -> Floats:
        """Combined standard uncertainty (n,)."""
        return np.asarray(np.sqrt((self.shares**2).sum(axis=0)))

    def through(self, slope: Floats) -> Doubt:
        """The doubt of numbers (o) that follow from these by ``slope`` (n, o)."""
        return replace(self, shares=self.shares @ slope)

    def picked(self, places: Sequence[int]) -> Doubt:
        """That of some of the numbers."""
        return replace(self, shares=self.shares[:, list(places)])

    def of(self, origins: Collection[Origin]) -> Doubt:
        """What only the sources of some origins leave."""
        chosen = [k for k, source in enumerate(self.sources) if source.origin in origins]
        return Doubt(tuple(self.sources[k] for k in chosen), self.shares[chosen])

    def also(self, source: Source, shares: Floats) -> Doubt:
        """One source more, with its shares (n,)."""
        return Doubt((*self.sources, source), np.vstack([self.shares, shares]))

    def minus(self, other: Doubt) -> Doubt:
        """That of the differences from the same numbers of another rim: what is the same in all
        rims is taken off, what is each one's own stands side by side.
        """
        shares, more = self.shares.copy(), []
        place = {source: k for k, source in enumerate(self.sources) if source.rim is None}
        for k, source in enumerate(other.sources):
            if source in place:
                shares[place[source]] -= other.shares[k]
            else:
                more.append(k)
        sources = (*self.sources, *(other.sources[k] for k in more))
        return Doubt(sources, np.vstack([shares, -other.shares[more]]))

    def read(self, seen: Floats, source: Source, standard: float) -> tuple[Doubt, Floats]:
        """What is left once a number that these sources put off by ``seen`` (s,) has been read
        besides, with an error of its own, ``source`` with its ``standard``; and how much every
        number moves (n,) for each unit that the reading is above what was expected.

        The best linear estimate (Gauss and Markov): with J = seen it moves by U J' / (J U J' + s²),
        and of U is left U − U J' (J U J' + s²)⁻¹ J U. Written by source, where U = 1.
        """
        left, gain = self.read_all(seen[:, None], (source,), np.array([[standard]]))
        return left, gain[0]

    def read_all(
        self, seen: Floats, sources: tuple[Source, ...], errors: Floats
    ) -> tuple[Doubt, Floats]:
        """The same of several readings (r) at once: ``seen`` (s, r), their own errors by
        ``sources`` (e), of which one standard deviation puts them off by ``errors`` (e, r); the
        gain (r, n).
        """
        own = seen.T @ seen + errors.T @ errors
        gain: Floats = np.linalg.solve(own, seen.T @ self.shares).astype(np.float64)
        left = np.vstack([self.shares - seen @ gain, errors @ gain])
        return Doubt((*self.sources, *sources), left), gain


def doubt_of(known: Sequence[tuple[str, Uncertainty]], rim: str) -> Doubt:
    """That of the numbers (n) of one rim, by key: what is each number's own, and what the
    instruments are off by.
    """
    found: dict[Source, Floats] = {}

    def put(source: Source, place: int, standard: float) -> None:
        if standard:
            found.setdefault(source, np.zeros(len(known)))[place] = standard

    for k, (key, doubt) in enumerate(known):
        put(Source(Origin.READING if doubt.measured else Origin.GUESS, key, rim), k, doubt.own)
        for part in doubt.parts:
            if part.instrument is not None:
                whose = None if part.instrument.of_workshop else rim
                put(Source(Origin.INSTRUMENT, part.source, whose), k, part.standard)
    return Doubt(tuple(found), np.array([*found.values()]).reshape(len(found), len(known)))
