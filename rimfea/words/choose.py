"""A choice of rims in sentences and as a table."""

from __future__ import annotations

import math

from rimfea.ask.choose import (
    Candidate,
    Choice,
    holds,
    is_dented,
    margin,
    pressure_margin,
    tension_margin,
)
from rimfea.study.outcome import HALF_MM
from rimfea.study.ride import Ride
from rimfea.words.analyse import before_words
from rimfea.words.numbers import USUAL, Units, figures, set_words
from rimfea.words.rides import bound_words, setup_words, span_words
from rimfea.words.tables import Table

DENT_ASSUMES = (
    f"A rim is dented where the set-up's own blow leaves more than {HALF_MM:g} mm of set, which a "
    "builder sees and feels (common practice). How deep a dent is, and the drop that brings it, "
    "rest on a model of the tyre that is good to a factor of about two."
)
CHOOSE_ASSUMES = (
    "A margin says how many times over a wheel bears what is asked: the lower of two. One is the "
    "tyre pressure over the pressure at which the set-up's blow just makes the rim yield; the "
    "other is how far the target tension stays from the nearer end of its window."
)


def choice_headline(choice: Choice) -> str:
    """The answer in one sentence."""
    front, rear = choice.front, choice.rear
    both = f"{front.name} at both ends"
    pair = both if front is rear else f"{front.name} in front, {rear.name} behind"
    if choice.holds:
        return f"For {_setup(choice)}: {pair}: {choice.mass_g:.0f} g the pair{_saved(choice)}."
    failing = [wheel.end for wheel in (front.front, rear.rear) if not holds(wheel)]
    where = f" at the {failing[0]}" if len(failing) == 1 else ""
    dents = [wheel for wheel in (front.front, rear.rear) if wheel.knows_dent]
    left = _listed([f"{set_words(each.own_dent_mm)} at the {each.end}" for each in dents])
    also = f"; the blow's dent: {left}" if left else ""
    return f"For {_setup(choice)}: no rim holds{where}; {pair} comes nearest{also}."


def choice_lines(choice: Choice, units: Units = USUAL) -> list[str]:
    """The set-up, a sentence a rim, in order: what it weighs, whether it holds, and why; and what
    was not compared.
    """
    told = (reason(rim, units) for rim in choice.ranked)
    return [setup_words(choice.front.front.setup), *told, *map(str, choice.left_out)]


def reason(rim: Candidate, units: Units = USUAL) -> str:
    """What a rim weighs, whether it holds, and at which of its wheels it is nearest to not."""
    weak = min(rim.wheels, key=pressure_margin)
    tight = min(rim.wheels, key=tension_margin)
    verdict = "holds: " if rim.holds else ""
    told = [*filter(None, [_blow(weak, units), _dent(rim)]), _tension(tight, units)]
    return f"{rim.name}: {rim.mass_g:.0f} g; {verdict}{'; '.join(told)}."


def choice_table(choice: Choice) -> Table:
    """A row a rim, the best first; the chosen ones stand out. Where dents are known, also what the
    blow leaves of the worse wheel, and the drop that dents it visibly.
    """
    dents = any(wheel.knows_dent for rim in choice.ranked for wheel in rim.wheels)
    rows = tuple(
        (
            str(place),
            rim.name,
            f"{rim.mass_g:.0f} g",
            *(_times(margin(wheel)) for wheel in rim.wheels),
            *(_dent_cells(rim) if dents else ()),
            "yes" if rim.holds else "no",
        )
        for place, rim in enumerate(choice.ranked, start=1)
    )
    dent = ("the blow's dent", f"{HALF_MM:g} mm dent at a drop of") if dents else ()
    head = ("place", "rim", "mass", "margin in front", "behind", *dent, "holds")
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


def _blow(wheel: Ride, units: Units) -> str:
    """Whether the rim stays elastic under the set-up's blow."""
    factor, end = pressure_margin(wheel), wheel.end
    if math.isinf(wheel.needed_MPa):
        most = units.in_air(wheel.tyre.most_MPa)
        return f"too weak: no air helps, as the {end} rim yields even at {most}"
    if factor == 0:
        return f"too weak: the {end} rim yields {before_words(wheel.analysis)}"
    if math.isinf(factor):
        return "the rim bears the blow without air"
    needed, held = units.in_air(wheel.needed_MPa), units.given_air(wheel.tyre.pressure_MPa)
    if factor >= 1:
        return f"the {end} rim stays elastic down to {needed}, {held} asked"
    return f"too weak: the {end} rim yields below {needed}, {held} asked"


def _dent(rim: Candidate) -> str:
    """What the set-up's blow leaves of the wheel that it dents more, and what it takes to dent that
    visibly; nothing where dents are not known.
    """
    wheel = _dented_more(rim)
    if wheel is None:
        return ""
    end, needed = wheel.end, f"{HALF_MM:g} mm at a drop of {_drop(wheel)}"
    left = set_words(wheel.own_dent_mm)
    if is_dented(wheel):
        return f"dented: the blow leaves {left} at the {end}, {needed}"
    if wheel.own_dent_mm:
        return f"the blow leaves a dent of {left} at the {end}, {needed}"
    return f"no dent at either end, {needed} at the {end}"


def _dent_cells(rim: Candidate) -> tuple[str, str]:
    wheel = _dented_more(rim)
    return ("-", "-") if wheel is None else (set_words(wheel.own_dent_mm), _drop(wheel))


def _dented_more(rim: Candidate) -> Ride | None:
    """The wheel that the blow dents more, of two alike the one that a lower drop dents."""
    known = [wheel for wheel in rim.wheels if wheel.knows_dent]
    order = {id(each): (-each.own_dent_mm, each.dented(HALF_MM).drop_mm) for each in known}
    return min(known, key=lambda each: order[id(each)], default=None)


def _drop(wheel: Ride) -> str:
    return f"{figures(wheel.dented(HALF_MM).drop_mm, 2)} mm"


def _listed(parts: list[str]) -> str:
    return " and ".join(parts)


def _tension(wheel: Ride, units: Units) -> str:
    """Whether the target tension is in the window."""
    allowed, end = wheel.window, wheel.end
    low, high = allowed.lowest, allowed.highest
    asked = f"{units.in_force(allowed.target_N)} asked"
    if wheel.analysis.buckles:
        return f"the {end} rim buckles sideways under its spokes, {asked}"
    if not allowed.is_open:
        least = f"at least {units.in_force(low.tension_N)} ({bound_words(low)})"
        most = f"at most {units.in_force(high.tension_N)} ({bound_words(high)})"
        return f"no tension works at the {end}: {least}, {most}"
    span = f"{end} spokes {span_words(allowed, units)}, {asked}"
    if allowed.fits:
        return span
    bound = low if allowed.target_N < low.tension_N else high
    return f"{span}, which does not fit ({bound_words(bound)})"


def _times(factor: float) -> str:
    return "no limit" if math.isinf(factor) else f"{factor:.2f}"
