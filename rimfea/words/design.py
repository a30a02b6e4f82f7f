"""A rim drawn anew: what it weighs and bears, which walls changed, and what limits it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping

from rimfea.ask.design import DRAWN_NOT_MEASURED, HOOK_MM, LARGEST_CHANGE, NOSE_MM, Design
from rimfea.profile.values import shown
from rimfea.study.outcome import BY_KEY, HALF_MM, OUTCOMES, Outcome, outcomes
from rimfea.vary.sensitivity import Sensitivity
from rimfea.words.dents import rough_force
from rimfea.words.numbers import (
    NO_DOUBT,
    USUAL,
    Units,
    figures,
    listed,
    no_finer,
    plus_minus,
    set_words,
)
from rimfea.words.outcomes import headed, in_words, scale_of, titled
from rimfea.words.tables import Table
from rimfea.words.worth import named

MOST_NAMED = 3
TIGHT = 0.01  # share that is left where a limit is said to hold the rim back
NOTICED = 0.02  # share by which another outcome is worse and said to be
AS_IT_WAS = 1e-6


def design_headline(found: Design, units: Units = USUAL) -> str:
    """What was won, at what that was kept, by which walls."""
    before, after = outcomes(found.was), outcomes(found.now)
    name, best = found.before.ride.analysis.sheet.name, found.aim.best
    kept = listed(_kept(found, units))
    if not found.changes:
        own = _amount(best, before[best], units)
        return f"{name} stays as it is, {own}, {kept}: no change of a wall is worth it."
    title = "" if best == "mass_g" else f"{titled(best)} "
    won = f"{_amount(best, after[best], units)} instead of {_amount(best, before[best], units)}"
    return f"{name}: {title}{won}, {kept}: {_changed(found)}."


def out_of_reach(found: Design, units: Units = USUAL) -> str:
    """What cannot be kept, how near the search came, and what stopped it."""
    worst = min(found.margins, key=lambda each: found.margins[each])
    key, wall = worst
    where = f" at the {wall}" if wall else ""
    reached = outcomes(found.now)[key]
    told = (
        f"{found.before.ride.analysis.sheet.name}: a {titled(key)} of "
        f"{_amount(key, found.aim.keep[key], units)} is out of reach: the search came to "
        f"{_amount(key, reached, units)}{where}, with {_changed(found) or 'no wall changed'}."
    )
    return "\n".join([told, *limit_lines(found)])


def limit_lines(found: Design) -> Iterator[str]:
    """What limits the rim: loads, walls, clashes, and a search that did not settle."""
    yield from _held_back(found)
    sheet = found.after.ride.analysis.sheet
    for end, keys in (("thinnest", found.thinnest), ("thickest", found.thickest)):
        if keys:
            walls = (f"{named(key)} {getattr(sheet, key):.2f} mm" for key in keys)
            yield f"At its {end}: {listed(walls)}."
    if found.least_nose_mm:
        yield f"The hook stands in by {found.least_nose_mm:.2f} mm, the least that holds a bead."
    for key, why in found.left_out.items():
        yield f"Not varied: {named(key)}: {why}"
    for key, why in found.bounds.clash.items():
        yield f"No further{f' at the {named(key)}' if key else ''}: {why}"
    if found.short and found.holds:
        yield (
            f"On a fine mesh a rim on the way fell short by {100 * found.short:.1f} %: walls were "
            "made thicker again until the fine mesh keeps everything."
        )
    if not found.converged:
        yield f"The search stopped after {found.trials} rims, still moving: a better rim may exist."


def _held_back(found: Design) -> Iterator[str]:
    tight: dict[str, list[str]] = {}
    for (key, wall), margin in found.margins.items():
        if margin < TIGHT:
            tight.setdefault(key, []).extend([wall] if wall else [])
    if tight:
        parts = (
            f"{titled(key)}{f' ({listed(walls)})' if walls else ''}" for key, walls in tight.items()
        )
        yield f"It is held back by {listed(parts)}."


def worse_lines(found: Design, units: Units = USUAL) -> Iterator[str]:
    """What was not kept and is worse for it."""
    before, after = outcomes(found.was), outcomes(found.now)
    worse = [
        f"{titled(each.key)} {_amount(each.key, before[each.key], units)} → "
        f"{_amount(each.key, after[each.key], units)}"
        for each in OUTCOMES
        if each.key not in (found.aim.best, *found.aim.keep)
        and not each.dent
        and each.better * (after[each.key] - before[each.key]) < -NOTICED * abs(before[each.key])
    ]
    if worse:
        yield f"Worse, as --keep did not name it: {listed(worse)}."


def dent_lines(found: Design, units: Units = USUAL) -> Iterator[str]:
    """What became of dents, which were not searched for; nothing where nobody asked."""
    was, now = found.was, found.now
    if not (was.knows_dent and now.knows_dent):
        return
    before, after = was.dented(HALF_MM), now.dented(HALF_MM)
    drops = _turned(f"{figures(each.drop_mm, 2)} mm" for each in (after, before))
    forces = _turned(rough_force(each.hook_N, units) for each in (after, before))
    yield f"A {HALF_MM:g} mm dent takes a drop of {drops}, or {forces} on the hooks."
    left = _turned(set_words(each.own_dent_mm) for each in (now, was))
    yield (
        f"The dent that the set-up's own blow leaves: {left}. Dents were not searched for; drops "
        "and depths are good to a factor of about two, but both rims are behind the same tyre."
    )


def walls_table(found: Design) -> Table:
    """Every wall that changed, in the order of the section."""
    limits = {
        **dict.fromkeys(found.thinnest, "thinnest"),
        **dict.fromkeys(found.thickest, "thickest"),
    }
    rows = tuple(
        (
            each.key,
            f"{each.before_mm:.3f}",
            f"{each.after_mm:.3f}",
            f"{each.after_mm - each.before_mm:+.3f}",
            "follows" if each.follows else limits.get(each.key, ""),
        )
        for each in found.changes
    )
    return Table("Walls", ("key", "is, mm", "designed, mm", "change", "limit"), rows)


def outcomes_table(
    found: Design, before: Sensitivity, after: Sensitivity, units: Units = USUAL
) -> Table:
    """Every outcome that is known before and after on the mesh of an analysis, ± k = 2 as well as
    the rim is measured now. What was asked for stands out.
    """
    was, now = outcomes(found.was), outcomes(found.now)
    known = [
        each for each in OUTCOMES if not (math.isnan(was[each.key]) or math.isnan(now[each.key]))
    ]
    asked = (found.aim.best, *found.aim.keep)
    rows = tuple(
        (
            headed(each, units),
            _doubted(was[each.key], before.expanded(each.key), each, units),
            _doubted(now[each.key], after.expanded(each.key), each, units),
        )
        for each in known
    )
    marked = frozenset(k for k, each in enumerate(known) if each.key in asked)
    title = f"± is k = 2 of the measurements, taken as good for both; {NO_DOUBT}"
    return Table(title, ("", "is", "designed"), rows, marked)


def lines_table(before: str, after: str) -> Table:
    """The lines of two sheets that differ, old beside new."""
    was, now = _by_key(before), _by_key(after)
    keys = [key for key in dict.fromkeys([*was, *now]) if was.get(key) != now.get(key)]
    rows = tuple((was.get(key, ""), now.get(key, "")) for key in keys)
    return Table("What differs in the sheet", ("old line", "new line"), rows)


def sheet_heading(found: Design, units: Units = USUAL) -> str:
    """What a file with the designed sheet says above all."""
    was = found.before.ride.analysis.sheet.name
    changed = (f"{each.key}: {shown(each.before_mm)} before" for each in found.changes)
    return "\n".join([f"{was}: {DRAWN_NOT_MEASURED}: {listed(_kept(found, units))}", *changed])


LAST_WORD = (
    "A drawing is not yet a rim: tooling, tolerances and the maker's limits come first. "
    "Every outcome and the lines of the new sheet with --details."
)


def design_assumes(thinnest_mm: float, thickest_mm: float) -> str:
    """What the search took for granted."""
    return (
        f"Walls stay between {thinnest_mm:g} and {thickest_mm:g} mm and change by at most "
        f"{100 * LARGEST_CHANGE:.0f} %; a hook stays {HOOK_MM:g} mm thick and stands in by "
        f"{NOSE_MM:g} mm, which holds a bead by common practice, or what it has if that is less; "
        "widths, heights and radii stay. What must be kept was checked on the mesh of "
        "an analysis. A search by slopes finds a rim that no small change makes better, which is "
        "not always the best. Tooling, extrusion tolerances and the maker's limits come first: a "
        "drawing is not yet a rim."
    )


def _kept(found: Design, units: Units) -> Iterator[str]:
    """What is kept: as it was, or at some value."""
    before, keep = outcomes(found.was), found.aim.keep
    same = [key for key in keep if abs(keep[key] / before[key] - 1) < AS_IT_WAS]
    if {each.key for each in OUTCOMES if each.strength} <= {*same}:
        yield "no less strong"
        same = [key for key in same if not BY_KEY[key].strength]
    yield from (f"with the same {titled(key)} of {_amount(key, keep[key], units)}" for key in same)
    for key, value in keep.items():
        if abs(value / before[key] - 1) >= AS_IT_WAS:
            yield f"{titled(key)} kept at {_amount(key, value, units)}"


def _changed(found: Design) -> str:
    """The walls that changed most, and how many more."""
    own = sorted(
        (each for each in found.changes if not each.follows), key=lambda each: -abs(each.share)
    )
    told = [f"{named(each.key)} {each.before_mm:.2f} → {each.after_mm:.2f} mm" for each in own]
    more = len(told) - MOST_NAMED
    return listed([*told[:MOST_NAMED], *([f"{more} more"] if more > 0 else [])])


def _turned(parts: Iterable[str]) -> str:
    """What it is now, and what it was if that reads otherwise."""
    now, was = parts
    return f"{now} as before" if now == was else f"{now} instead of {was}"


def _doubted(value: float, expanded: float, outcome: Outcome, units: Units) -> str:
    scale = scale_of(outcome.key, units)
    open_by = math.nan if outcome.rough else scale * expanded
    told = no_finer(scale * value, open_by, 2 if outcome.dent else 3)
    return f"{told} {plus_minus(open_by)}".rstrip()


def _by_key(text: str) -> Mapping[str, str]:
    lines = (line for line in text.splitlines() if " = " in line)
    return {line.removeprefix("# ").partition(" = ")[0]: line for line in lines}


def _amount(key: str, value: float, units: Units) -> str:
    return in_words(key, value, units, 4)
