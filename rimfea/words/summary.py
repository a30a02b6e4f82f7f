"""One rim in sentences: the answers in the order in which a builder asks."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rimfea.ask.thicker import Gain
from rimfea.study.analysis import Analysis
from rimfea.study.ride import Ride
from rimfea.words.analyse import (
    diameter_words,
    fan_words,
    gain_words,
    landing_words,
    mass_words,
    spread_words,
    tyre_words,
    wheel_words,
)
from rimfea.words.numbers import Units
from rimfea.words.rides import ride_lines, tension_line, weld_lines
from rimfea.words.wheel_tests import wheel_test_words


def summary(
    analysis: Analysis, rides: Sequence[Ride], units: Units, gain: Gain | None = None
) -> Iterator[str]:
    """What the set-up's wheels meet, their tension, where a little more metal helps most, mass
    and wheel.
    """
    lead = analysis.governing
    if rides:
        yield from ride_lines(rides, units)
        yield from map(tension_line, rides)
        yield from weld_lines(rides, units)
        yield from (wheel_test_words(ride, units) for ride in rides if ride.known_tests)
        if gain:
            yield gain_words(gain)
        yield landing_words(lead)
        yield from filter(None, (fan_words(lead, units), tyre_words(lead, units)))
        yield spread_words(lead)
    yield mass_words(analysis)
    yield from diameter_words(analysis.sheet)
    yield from wheel_words(analysis, units)
