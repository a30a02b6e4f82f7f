"""Which of some expected numbers each of some readings is, where nobody knows that beforehand.

Readings keep the order of what they are readings of. Errors of the expected numbers are mostly
shared, so that readings which are all low by the same share are the next thing to likely; the best
matches are sought reading by reading, the lowest first, a few hundred at a time (a beam).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from rimfea.arrays import Floats
from rimfea.brief import brief

# Shares, assumed, no source. What is expected may be wrong, all of it alike and each a little.
ALL_OFF, EACH_OFF, FARTHEST = 0.05, 0.02, 0.15
STRAY, OVER = 0.05, 2000.0  # so many readings are of nothing expected, anywhere over so many Hz
TWINS, TWINS_APART, TWINS_OFF = 0.2, 0.02, 0.005  # a number that comes twice; shares
BEAM = 200
LIKELY = 4.0  # twice the logarithm of how much less likely a match may be, and is still told

Match = tuple[int | None, ...]


@dataclass(frozen=True)
class Matched:
    """For every reading the place of what it is a reading of, None where that is nothing expected,
    and by reading which others it might be.
    """

    places: Match
    others: tuple[tuple[int | None, ...], ...]

    __repr__ = brief


def matched(
    expected: Floats, covariance: Floats, readings: Sequence[float], standard: float
) -> Matched:
    """The likeliest match of ascending readings, each good for ``standard``, to ascending expected
    numbers (m,) with their covariance (m, m).
    """
    loose = covariance + ALL_OFF**2 * np.outer(expected, expected)
    loose += np.diag((EACH_OFF * expected) ** 2)
    beam: list[tuple[float, Match]] = [(0.0, ())]
    for k in range(len(readings)):
        heard = readings[: k + 1]
        grown = (
            (_unlikely(expected, loose, heard, standard, match), match)
            for _, before in beam
            for match in _longer(expected, heard, before)
        )
        beam = sorted(grown, key=lambda each: each[0])[:BEAM]
    best = beam[0]
    likely = [match for cost, match in beam if cost <= best[0] + LIKELY]
    others = tuple(
        tuple(dict.fromkeys(match[k] for match in likely if match[k] != best[1][k]))
        for k in range(len(readings))
    )
    return Matched(best[1], others)


def missed(
    expected: Floats, readings: Sequence[float], standard: float, match: Sequence[int | None]
) -> tuple[list[int], Floats, Floats]:
    """Of the readings (r) that are of something expected: the places of that, how far they lie from
    it, and their own standard uncertainty; a twin may lie aside of it.
    """
    pairs = [
        (place, value) for place, value in zip(match, readings, strict=True) if place is not None
    ]
    at = [place for place, _ in pairs]
    gap = np.array([value - expected[place] for place, value in pairs])
    twin = np.array([at.count(place) > 1 for place in at], dtype=bool)
    return at, gap, np.hypot(standard, TWINS_OFF * twin * expected[at])


def _longer(expected: Floats, heard: Sequence[float], before: Match) -> Iterator[Match]:
    """The matches with one reading more that keep the order."""
    last = max(_known(before), default=-1)
    for place in np.flatnonzero(np.abs(heard[-1] / expected - 1) <= FARTHEST).tolist():
        if place > last or (place == last and _are_twins(heard, before, place)):
            yield (*before, place)
    yield (*before, None)


def _are_twins(heard: Sequence[float], before: Match, place: int) -> bool:
    """Whether the last reading may be the second of a pair."""
    own = [value for value, each in zip(heard, before, strict=False) if each == place]
    return len(own) == 1 and heard[-1] / own[0] - 1 <= TWINS_APART


def _unlikely(
    expected: Floats, loose: Floats, heard: Sequence[float], standard: float, match: Match
) -> float:
    """−2 log likelihood of a match."""
    at, gap, own = missed(expected, heard, standard, match)
    cover = loose[np.ix_(at, at)] + np.diag(own**2)
    strays, twins = match.count(None), len(at) - len({*at})
    cost = strays * 2 * math.log(OVER / STRAY) - twins * 2 * math.log(TWINS)
    if len(gap):
        _, size = np.linalg.slogdet(2 * np.pi * cover)
        cost += float(size + gap @ np.linalg.solve(cover, gap))
    return cost


def _known(match: Iterable[int | None]) -> Iterator[int]:
    return (place for place in match if place is not None)
