"""Rims side by side in words, tables and a chart, each number with what its measurements leave
open.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from rimfea.ask.compare import (
    UNTOLD,
    Difference,
    Measured,
    differences,
    ranks,
)
from rimfea.study.outcome import OUTCOMES
from rimfea.words.analyse import leaning_words
from rimfea.words.numbers import NO_DOUBT, figures, plus_minus
from rimfea.words.tables import Table
from rimfea.words.worth import named

LEAD = "yield_N"
TOLD = sorted((each.key for each in OUTCOMES if each.told), key=lambda key: key != LEAD)
HOLE = "hole_MPa"


def comparison_lines(rims: Sequence[Measured], base: Measured) -> list[str]:
    """For every rim but the base: what is bigger or smaller than in the base, what cannot be
    told, and what to measure again; then whether the order hangs on the strike's direction.
    """
    told = [line for rim in rims if rim is not base for line in against_lines(rim, base)]
    return [*told, *direction_lines([rim for rim in rims if not rim.ride.analysis.buckles])]


def direction_lines(rims: Sequence[Measured]) -> list[str]:
    """The order of first yield for strikes that lean, if it is another than straight in."""
    leads = {rim.name: rim.ride.analysis.governing for rim in rims}
    straight = {
        name: lead.load_at(lead.verdict.governing.first_yield) for name, lead in leads.items()
    }
    fans = list(zip(*(lead.fan for lead in leads.values()), strict=True))
    if len(rims) < 2 or not fans:
        return []
    told = []
    for leans in fans:
        leant = {name: lean.first_yield_N for name, lean in zip(leads, leans, strict=True)}
        if _order(leant) != _order(straight):
            forces = ", ".join(f"{name} {figures(leant[name], 2)} N" for name in _order(leant))
            told.append(f"{leaning_words(leans[0].angle)} first yield ranks {forces}")
    if told:
        return [f"The order hangs on where the blow comes from: {'; '.join(told)}."]
    angle = abs(math.degrees(fans[0][0].angle))
    return [f"Strikes that lean {angle:.0f}° in or out rank the rims as a straight one does."]


def _order(forces: Mapping[str, float]) -> list[str]:
    return sorted(forces, key=lambda name: -forces[name])


def against_lines(rim: Measured, base: Measured) -> list[str]:
    """One rim against the base, a line a difference."""
    found = {each.outcome.key: each for each in differences(rim, base)}
    lead = found[LEAD]
    lines = [f"{rim.name} against {base.name}", *size_words(rim, base)]
    buckled = next((each for each in (rim, base) if each.ride.analysis.buckles), None)
    if buckled:
        return [*lines, f"  {buckled.name} buckles under its spokes: nothing else of it counts"]
    lines += [f"  {difference_words(found[key])}" for key in TOLD]
    lines.append(f"  {hole_words(rim, base, found[HOLE])}")
    if lead.verdict == UNTOLD:
        lines.append(f"  {again_words(lead)}")
    return lines


def size_words(rim: Measured, base: Measured) -> list[str]:
    """That the two are of different wheels, if they are."""
    own, other = (each.ride.analysis.sheet.bead_seat_diameter_mm for each in (rim, base))
    if own == other:
        return []
    return [f"  another wheel size, bead seat {own:g} mm, not {other:g}: all differs for that, too"]


def hole_words(rim: Measured, base: Measured, stress: Difference) -> str:
    """What the mean stress at the spoke holes adds: within one alloy only, as yielding leaves the
    least mean in the weakest metal.
    """
    alloys = [each.ride.analysis.sheet.alloy for each in (rim, base)]
    if alloys[0] != alloys[1]:
        return f"lives of the spoke holes: not compared, {alloys[0]} against {alloys[1]}"
    return difference_words(stress)


def difference_words(difference: Difference) -> str:
    """Whether the difference is one."""
    if not math.isfinite(difference.percent):
        return f"{difference.outcome.title}: {UNTOLD} (one of the two bears nothing)"
    size = f"{difference.percent:+.0f} ± {difference.expanded_percent:.0f} %"
    return f"{difference.outcome.title}: {difference.verdict} ({size})"


def again_words(difference: Difference) -> str:
    """What to measure again to tell the two apart."""
    rim, key = difference.repeat
    hope = (
        "that may tell them apart"
        if difference.would
        else "but they are so close that it alone will not tell them apart"
    )
    return f"To tell {difference.outcome.title}, measure the {named(key)} of {rim} again; {hope}."


def outcomes_table(rims: Sequence[Measured], base: Measured) -> Table:
    """Every outcome of every rim, ± k = 2, and how it stands against the base."""
    rows = []
    for place, outcome in enumerate(OUTCOMES):
        ranked = ranks(rims, outcome)
        cells = (_cell(rim, base, place, rank) for rim, rank in zip(rims, ranked, strict=True))
        unit = f", {outcome.unit}" if outcome.unit else ""
        rows.append((f"{outcome.title}{unit}", *cells))
    title = (
        f"± is k = 2 of the measurements, {NO_DOUBT}; + better, - worse, = not told apart from "
        f"{base.name}; (1) the best of all"
    )
    return Table(title, ("", *(rim.name for rim in rims)), tuple(rows))


def _cell(rim: Measured, base: Measured, place: int, rank: int) -> str:
    outcome, sensitivity = OUTCOMES[place], rim.sensitivity
    doubt = plus_minus(sensitivity.expanded(outcome.key), rough=outcome.rough)
    value = f"{figures(float(sensitivity.base[place]))} {doubt}".rstrip()
    if rim is base:
        return f"{value} ({rank})"
    better = differences(rim, base)[place].is_better
    return f"{value} {'=' if better is None else '+' if better else '-'} ({rank})"
