"""One rim in a few lines: what to do and for whom, then what a builder asks next."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from rimfea.ask.thicker import LEAST, Gain
from rimfea.profile.values import shown
from rimfea.profile.walls import Wall
from rimfea.strike.ladder import Event
from rimfea.study.analysis import Analysis
from rimfea.study.outcome import HALF_MM
from rimfea.study.ride import Ride
from rimfea.study.window import Window
from rimfea.vary.known import known
from rimfea.words.analyse import gain_words, headline, load_words, weighing, wheel_warnings
from rimfea.words.dents import depth_words, drop_words, rough_force
from rimfea.words.numbers import LEAST_SET_MM, Units, listed
from rimfea.words.rides import (
    air_words,
    climbed,
    event_words,
    how,
    in_both,
    target_words,
    where_words,
)
from rimfea.words.tables import Table
from rimfea.words.wheel_tests import wheel_test_words

WARNING = "WARNING"
MOST_WALLS, FAR = 4, 2.0  # walls of the short table, and times the first one's load
ROUGH = (
    "Drops, speeds and air are right to a factor of about two: they compare rims. "
    "More with --details."
)


def verdict_lines(analysis: Analysis, rides: Sequence[Ride], units: Units) -> list[str]:
    """What to do, for whom and why, warnings first and the rear wheel before the front; what is
    clear comes last. A plane slice has a headline alone.
    """
    name = analysis.sheet.name
    if analysis.buckles:
        return [f"{WARNING} {name}: {_lower(headline(analysis, units))}"]
    if not rides:
        what = "" if analysis.wheel else ", a plane slice and not the wheel"
        return [f"{name}{what}: {_lower(headline(analysis, units))}"]
    last = list(reversed(rides))
    against = [[*_warnings(ride, units)] for ride in last]
    warned = [f"{WARNING} {name}, {line}" for lines in against for line in lines]
    if not warned:
        return [f"{name}, {rides[0].setup.name}: clear. {_all_clear(last, units)}"]
    clear = (ride for ride, lines in zip(last, against, strict=True) if not lines)
    return [*warned, *(_clear_line(ride, units) for ride in clear)]


def _warnings(ride: Ride, units: Units) -> Iterator[str]:
    """What speaks against a wheel, the worst first, each with what to do."""
    end, setup = ride.end, ride.setup.name
    window = ride.window
    if early := early_warning(ride, units):
        yield f"{end}: {early}"
    low, high = in_both(window.lowest.tension_N), in_both(window.highest.tension_N)
    if not window.is_open:
        yield (
            f"{end}: no tension works. The spokes need at least {low}, and the rim bears at most "
            f"{high}{where_words(window)}. Take more spokes or another rim."
        )
    blow = blow_warning(ride, units)
    if blow:
        yield f"{end}, {setup}: {blow}"
    if window.is_open and not window.fits and not window.is_placeholder:
        side = "slack" if window.target_N < window.lowest.tension_N else "tight"
        yield (
            f"{end}: the {target_words(window)}, is too {side}. Build between {low} and "
            f"{high}{where_words(window)}."
        )
    if any(test.fails for test in ride.known_tests):
        yield _lower(wheel_test_words(ride, units).removeprefix(f"{WARNING}: "))
    yield from (f"{end}: {warning}" for warning in wheel_warnings(ride.analysis, units))


def early_warning(ride: Ride, units: Units) -> str:
    """That a rim yields by what acts before the strike, and what to do; nothing if it does not."""
    if ride.analysis.buckles or not ride.gives_way:
        return ""
    return f"{_lower(headline(ride.analysis, units))} Take less tension or less air."


def blow_warning(ride: Ride, units: Units) -> str:
    """That the set-up's own blow marks or dents the rim, and what to do; nothing if it does not."""
    answer = ride.answer
    first = answer.load_at(answer.verdict.governing.first_yield)
    if not ride.hook_N > first or not first:
        return ""
    force = units.in_force(ride.hook_N)
    if not ride.knows_dent:
        done = f"makes the rim yield ({force} on the hook; first yield at {units.in_force(first)})"
    elif ride.own_dent_mm >= LEAST_SET_MM:
        done = f"dents the rim by {_about(ride)} ({_from_drops(ride)})"
    else:
        done = (
            f"makes the rim yield a little ({force} on the hook; first yield at "
            f"{units.in_force(first)}) but leaves no dent that shows"
        )
    return f"this blow {done}. {remedy(ride, units)}"


def _about(ride: Ride) -> str:
    own = ride.own_dent_mm
    deepest = ride.dent.free.deepest_mm
    return f"more than {deepest:.0f} mm" if math.isinf(own) else f"about {depth_words(own)}"


def _from_drops(ride: Ride) -> str:
    least = ride.dents[0]
    own = f"as hard as a drop of {drop_words(ride.drop_mm)}"
    return f"{own}; {least.set_mm:g} mm takes {drop_words(least.drop_mm)}"


def remedy(ride: Ride, units: Units) -> str:
    """The air that keeps the blow off the rim, or what else does."""
    flat = ride.ladder.pressure_MPa[0]
    needed = ride.needed_MPa if math.isinf(flat) else max(flat, ride.needed_MPa)
    if math.isinf(needed):
        return (
            f"No air helps: such a tyre takes {air_words(ride.tyre.most_MPa, units)} at most. Ride "
            "slower, fit a wider tyre, or take a stronger rim."
        )
    return f"Ride {air_words(needed, units)} or more."


def clear_words(ride: Ride, units: Units) -> str:
    """Why a wheel is clear."""
    held = units.given_air(ride.tyre.pressure_MPa)
    if ride.hook_N == 0:
        return f"clear. This blow stays in the tyre at {held}{_least_air(ride, units)}."
    first = ride.answer.load_at(ride.answer.verdict.governing.first_yield)
    return (
        f"the rim is clear, the tube is not. This blow bottoms the tyre out at {held} and brings "
        f"{units.in_force(ride.hook_N)} on the hook; the rim first yields at "
        f"{units.in_force(first)}{_least_air(ride, units)}."
    )


def _least_air(ride: Ride, units: Units) -> str:
    if not ride.needed_MPa:
        return ""
    return f"; below {air_words(ride.needed_MPa, units)} the rim yields"


def _all_clear(rides: Sequence[Ride], units: Units) -> str:
    if all(ride.hook_N == 0 for ride in rides):
        needed = max(ride.needed_MPa for ride in rides)
        least = f"; below {air_words(needed, units)} it would make the rim yield" if needed else ""
        return f"This blow ({how(rides[0].setup)}) stays in the tyre{least}."
    return " ".join(_clear_line(ride, units) for ride in rides)


def _clear_line(ride: Ride, units: Units) -> str:
    return f"{ride.end.capitalize()}: {clear_words(ride, units)}"


def answer_lines(
    analysis: Analysis, rides: Sequence[Ride], units: Units, gain: Gain | None
) -> Iterator[str]:
    """What rests on guesses, and what a builder asks next: which wall gives first, at which drop
    the rim keeps a dent, how tight to build, where metal helps most, and whether drawing and scales
    agree.
    """
    yield from guess_lines(analysis)
    yield first_words(analysis, rides[-1], units)
    if any(ride.knows_dent for ride in rides):
        yield dent_words(rides)
    else:
        yield no_dent_words(rides[-1], units)
    yield f"Build: {'; '.join(build_words(ride, units) for ride in rides)}."
    if gain:
        yield short_gain(gain)
    yield from scales_lines(analysis)


def guess_lines(analysis: Analysis) -> Iterator[str]:
    """That walls of the rim are said to be guessed, and what to do; nothing where none is."""
    walls = [wall for wall in analysis.sheet.walls if wall.key_mm in analysis.sheet.guessed]
    if walls:
        yield f"This rests on guesses of {listed(walls)}: rimfea reconcile tells more of them."


def first_words(analysis: Analysis, ride: Ride, units: Units) -> str:
    """The wall that gives first, and when the whole hook does."""
    answer = analysis.governing
    wall = answer.verdict.governing
    load = load_words(answer, wall.first_yield, units)
    told = f"First to yield: the {wall.wall}{_measured_as(wall.wall)}, at {load} on one hook"
    if ride.knows_dent and not math.isinf(ride.dent.free.fold_N):
        folds = rough_force(ride.dent.free.fold_N, units)
        return f"{told}; at {folds} the whole hook folds over."
    return f"{told}."


def _measured_as(wall: str) -> str:
    """Bead hook and hook lip are one piece of metal, measured two ways."""
    return {Wall.BEAD_HOOK: " (the hook's thickness)", Wall.HOOK_LIP: " (the hook's width)"}.get(
        Wall(wall), ""
    )


def dent_words(rides: Sequence[Ride]) -> str:
    """From which drop every wheel keeps the main dent, and whether metal may crack before."""
    known = [ride for ride in reversed(rides) if ride.knows_dent]
    drops = ", ".join(
        f"{ride.end} from a drop of {drop_words(ride.dented(HALF_MM).drop_mm)}" for ride in known
    )
    cracks = min(ride.dent.cracks_mm for ride in known)
    told = f"; the metal may crack from {depth_words(cracks)} on" if cracks < HALF_MM else ""
    return f"{HALF_MM:g} mm dent: {drops}{told}."


def no_dent_words(ride: Ride, units: Units) -> str:
    """Where set is estimated to begin, as no dent was followed."""
    answer = ride.answer
    full = answer.verdict.by_hinge[0]
    why = "could not be followed" if ride.lost_dent else "was not followed"
    force = rough_force(answer.load_at(full.hinge), units)
    return f"A dent {why}: set is estimated to begin at {force}, at the {full.wall}."


def build_words(ride: Ride, units: Units) -> str:
    """Between which tensions to build a wheel, and its target."""
    window, end = ride.window, ride.end
    if not window.is_open:
        return f"{end}: no tension works"
    low, high = window.lowest.tension_N, window.highest.tension_N
    span = f"{units.in_force(low).removesuffix(f' {units.force}')} to {units.in_force(high)}"
    side = where_words(window).removeprefix(" on the")
    return f"{end}{side} {span} ({_target(window, units)})"


def _target(window: Window, units: Units) -> str:
    """The target of the side that a window is told in, whether it fits, and the other side's."""
    tight, slack = (units.in_force(each(window.right_N, window.left_N)) for each in (max, min))
    sides = zip(window.sides, ("right", "left"), strict=True)
    other = f"; {min(sides)[1]} {slack}" if where_words(window) else ""
    fits = "fits" if window.fits else "does not fit"
    return f"{'assumed' if window.is_placeholder else 'target'} {tight} {fits}{other}"


def short_gain(gain: Gain) -> str:
    """Where a little more metal helps most."""
    if gain.strength < LEAST:
        return gain_words(gain)
    first, full = (round(100 * share) for share in (gain.first_yield, gain.set))
    return (
        f"{shown(gain.step_mm)} mm more is best spent at the {gain.wall}: first yield "
        f"{first:+d} %, permanent set {full:+d} %, {gain.mass_g:+.0f} g a rim."
    )


def scales_lines(analysis: Analysis) -> Iterator[str]:
    """That scales, or tones, do not agree with the drawing; nothing where they do, and where nobody
    weighed or tapped the rim.
    """
    check, scales = analysis.mass_difference, weighing(analysis)
    if check and scales and not scales.agrees:
        wrong = (
            "some guess is far off" if analysis.sheet.guessed else "some number is not as measured"
        )
        yield (
            f"{analysis.hoop.mass_g:.0f} g drawn and {check.weighed_g:.0f} g weighed do not agree: "
            f"{wrong} (rimfea reconcile)."
        )
    tapped = known(analysis.sheet).tap if analysis.sheet.tones_Hz else None
    if tapped and not tapped.agrees:
        yield "The tones that were heard and the sheet do not agree (rimfea tap)."


def ladder_table(ride: Ride, units: Units) -> Table:
    """What happens to one wheel as the drop grows."""
    rows = tuple(
        (
            event_words(rung, ride.setup),
            rough_force(rung.hook_N, units)
            if rung.event is Event.DENT
            else units.in_force(rung.hook_N),
            *reached,
        )
        for rung, reached in climbed(ride, units)
    )
    head = ("what happens", "on the hook", "drop", f"{ride.setup.step_mm:g} mm step", "air needed")
    return Table(f"{ride.name}: what happens as the drop grows", head, rows)


def walls_table(analysis: Analysis, units: Units) -> Table:
    """The walls that give first under the verdict's case."""
    answer = analysis.governing
    walls = answer.verdict.walls
    near = [each for each in walls if each.first_yield * FAR >= walls[0].first_yield][:MOST_WALLS]
    rows = tuple(
        (
            each.wall,
            f"{each.thickness_mm:.2f} mm",
            load_words(answer, each.first_yield, units),
            load_words(answer, each.hinge, units),
        )
        for each in near
    )
    head = (f"wall, {answer.name}", "thick", "first yields at", "whole thickness at")
    return Table("", head, rows, frozenset({0}))


def _lower(text: str) -> str:
    return text[:1].lower() + text[1:]
