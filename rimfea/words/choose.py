"""A choice of rims in sentences and as a table."""

from __future__ import annotations

import math

from rimfea.ask.choose import (
    Candidate,
    Choice,
    margin,
    pressure_margin,
    tension_margin,
)
from rimfea.study.ride import Ride
from rimfea.words.numbers import Units, figures
from rimfea.words.rides import bound_words, setup_words
from rimfea.words.tables import Table

IN_BAR = Units(pressure="bar")
CHOOSE_ASSUMES = (
    "A margin is how many times what is asked a wheel bears, the smaller of two: tyre pressure "
    "over the one from which the set-up's blow leaves the rim elastic, and the target tension's "
    "distance from the nearer end of its window."
)


def choice_headline(choice: Choice) -> str:
    """The answer in one sentence."""
    front, rear = choice.front, choice.rear
    both = f"{front.name} at both ends"
    pair = both if front is rear else f"{front.name} in front, {rear.name} behind"
    if choice.holds:
        return f"For {_setup(choice)}: {pair}: {choice.mass_g:.0f} g the pair{_saved(choice)}."
    failing = [wheel.end for wheel in (front.front, rear.rear) if margin(wheel) < 1]
    where = f" at the {failing[0]}" if len(failing) == 1 else ""
    return f"For {_setup(choice)}: no rim holds{where}; nearest comes {pair}."


def choice_lines(choice: Choice) -> list[str]:
    """The set-up, a sentence a rim, in order: what it weighs, whether it holds, and why; and what
    was not compared.
    """
    told = map(reason, choice.ranked)
    return [setup_words(choice.front.front.setup), *told, *map(str, choice.left_out)]


def reason(rim: Candidate) -> str:
    """What a rim weighs, whether it holds, and at which of its wheels it is nearest to not."""
    weak = min(rim.wheels, key=pressure_margin)
    tight = min(rim.wheels, key=tension_margin)
    verdict = "holds: " if rim.holds else ""
    return f"{rim.name}: {rim.mass_g:.0f} g; {verdict}{_blow(weak)}; {_tension(tight)}."


def choice_table(choice: Choice) -> Table:
    """A row a rim, the best first; the chosen ones stand out."""
    rows = tuple(
        (
            str(place),
            rim.name,
            f"{rim.mass_g:.0f} g",
            *(_times(margin(wheel)) for wheel in rim.wheels),
            "yes" if rim.holds else "no",
        )
        for place, rim in enumerate(choice.ranked, start=1)
    )
    head = ("place", "rim", "mass", "margin in front", "behind", "holds")
    chosen = (choice.front, choice.rear)
    marked = frozenset(k for k, rim in enumerate(choice.ranked) if any(rim is c for c in chosen))
    return Table(f"Rims for {_setup(choice)}, the best first", head, rows, marked)


def _setup(choice: Choice) -> str:
    return choice.front.front.setup.name


def _saved(choice: Choice) -> str:
    saved, best = choice.saved_g, choice.ranked[0]
    if choice.front is choice.rear:
        return ""
    if saved is None:
        return "; no rim holds at both ends"
    return f", {saved:.0f} g less than {best.name} at both ends"


def _blow(wheel: Ride) -> str:
    """Whether the rim stays elastic under the set-up's blow."""
    factor, end = pressure_margin(wheel), wheel.end
    if math.isinf(wheel.needed_MPa):
        most = IN_BAR.in_pressure(wheel.tyre.most_MPa)
        return f"too weak: not to be saved by air, the {end} rim yields even at {most}"
    if factor == 0:
        return f"too weak: the {end} rim yields under spoke tension and tyre pressure alone"
    if math.isinf(factor):
        return "the blow takes no air at all"
    needed, held = (IN_BAR.in_pressure(p) for p in (wheel.needed_MPa, wheel.tyre.pressure_MPa))
    if factor >= 1:
        return f"the {end} rim stays elastic down to {needed}, {held} asked"
    return f"too weak: the {end} rim yields below {needed}, {held} asked"


def _tension(wheel: Ride) -> str:
    """Whether the target tension is in the window."""
    allowed, end = wheel.window, wheel.end
    low, high = allowed.lowest, allowed.highest
    asked = f"{figures(allowed.target_N)} N asked"
    if wheel.analysis.buckles:
        return f"tension: the {end} rim buckles sideways, {asked}"
    if not allowed.is_open:
        least = f"at least {figures(low.tension_N)} N ({bound_words(low)})"
        most = f"at most {figures(high.tension_N)} N ({bound_words(high)})"
        return f"tension: none does at the {end}, {least}, {most}"
    span = f"{end} spokes {figures(low.tension_N)} to {figures(high.tension_N)} N, {asked}"
    if allowed.fits:
        return span
    bound = low if allowed.target_N < low.tension_N else high
    return f"tension: {span} ({bound_words(bound)})"


def _times(factor: float) -> str:
    return "no limit" if math.isinf(factor) else f"{factor:.2f}"
