"""One rim in sentences: the answers in the order in which a builder asks."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rimfea.profile.walls import Wall
from rimfea.study.analysis import Analysis
from rimfea.study.ride import Ride
from rimfea.vary.thicker import thicker
from rimfea.words.analyse import mass_words, spread_words, thicker_words, wheel_words
from rimfea.words.numbers import Units
from rimfea.words.rides import ride_lines, tension_lines, weld_lines


def summary(analysis: Analysis, rides: Sequence[Ride], units: Units) -> Iterator[str]:
    """What the set-up's wheels meet, their tension, what thicker metal buys, mass and wheel."""
    lead = analysis.governing
    if rides:
        yield from ride_lines(rides, units)
        yield from tension_lines(rides, units)
        yield from weld_lines(rides, units)
        gain = thicker(analysis, Wall(lead.verdict.governing.wall))
        if gain:
            yield thicker_words(gain)
        yield spread_words(lead)
    yield mass_words(analysis)
    yield from wheel_words(analysis, units)
