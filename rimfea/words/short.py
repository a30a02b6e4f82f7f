"""A comparison for the phone: one sentence a rim."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

from rimfea.ask.compare import UNTOLD, Difference, Measured, differences
from rimfea.units import to_unit
from rimfea.words.compare import alone_words, dent_lines, leading, remedy_lines
from rimfea.words.numbers import Units, listed
from rimfea.words.verdict import WARNING, early_warning

LONGEST = 160  # letters
TIE = "the rest is a tie"
MORE = "more in the tables"
# What is said of more and of less of an outcome; of these three always something.
MASS, TENSION = "mass_g", "most_tension_N"
FIRST: Mapping[str, tuple[str, str, str]] = {
    "dent_J": (
        "takes {} more to dent than {}",
        "takes {} less to dent than {}",
        "dents as late as {}",
    ),
    "yield_N": ("yields {} later than {}", "yields {} sooner than {}", "yields as late as {}"),
    TENSION: ("bears {} more tension", "bears {} less tension", "bears as much tension"),
    MASS: ("is {} heavier", "is {} lighter", "weighs the same"),
}
THEN: Mapping[str, tuple[str, str]] = {
    "squeeze_MPa": ("squeezes the casing {} more", "squeezes the casing {} less"),
    "hole_amplitude_MPa": ("works its spoke holes {} more", "works its spoke holes {} less"),
    "radial_N_mm": ("is {} stiffer", "is {} softer"),
    "set_N": ("takes a set {} later", "takes a set {} sooner"),
}


def opening_lines(rims: Sequence[Measured], base: Measured, units: Units) -> list[str]:
    """What is told first of rims side by side: which yield before any strike, which dents sooner, a
    sentence of each, and what to measure; of one alone its verdict.
    """
    if len(rims) == 1:
        return [*alone_words(base, units)]
    early = {rim.name: early_warning(rim.ride, units) for rim in rims}
    warned = [f"{WARNING} {name}: {line}" for name, line in early.items() if line]
    told = [*warned, *dent_lines(rims), *short_lines(rims, base, units)]
    return [*told, *remedy_lines(rims, base)]


def short_lines(rims: Sequence[Measured], base: Measured, units: Units) -> Iterator[str]:
    """A sentence of every rim but the base, against it."""
    for rim in rims:
        if rim is not base:
            yield short_words(rim, base, units)


def short_words(rim: Measured, base: Measured, units: Units) -> str:
    """What matters most of a rim against the base, in at most 160 letters: when it dents, or where
    that is not known yields, its tension and its mass; then what else is beyond its ±.
    """
    for each in (rim, base):
        if each.ride.analysis.buckles:
            return _cut(f"{each.name} buckles under its spokes: no other number of it counts.")
    found = {each.outcome.key: each for each in differences(rim, base)}
    lead = leading(found).outcome.key
    first = [_lead(found[lead], base.name)]
    first += [_amount_words(found[key], units) for key in (TENSION, MASS)]
    told = [found[key] for key in THEN if not (key == "set_N" and lead != "yield_N")]
    then = [_then(each) for each in told if each.verdict != UNTOLD and math.isfinite(each.percent)]
    for count in range(len(then), -1, -1):
        rest = TIE if count == len(then) else MORE
        said = f"{rim.name} {listed([*first, *then[:count]])}; {rest}."
        if len(said) <= LONGEST:
            return said
    return _cut(f"{rim.name} {listed(first)}.")


def _lead(each: Difference, base: str) -> str:
    """When the rim dents, or yields."""
    if not each.whole or not each.whole + each.gap:
        return _early(each, base)
    more, less, same = FIRST[each.outcome.key]
    if each.verdict == UNTOLD:
        left = "" if math.isnan(each.expanded_percent) else f" (±{each.expanded_percent:.0f} %)"
        return f"{same.format(base)}{left}"
    said = more if each.gap > 0 else less
    return f"{said.format(_percent(each), base)} (±{each.expanded_percent:.0f})"


def _early(each: Difference, base: str) -> str:
    """The same where one or both yield by what acts before the strike."""
    if each.gap > 0:
        return f"yields later than {base} (which does before the hook is hit)"
    if each.gap < 0:
        return f"yields sooner than {base} (before the hook is hit)"
    return f"yields before the hook is hit (as does {base})"


def _amount_words(each: Difference, units: Units) -> str:
    more, less, same = FIRST[each.outcome.key]
    if each.verdict == UNTOLD:
        return same
    return (more if each.gap > 0 else less).format(_amount(each, units))


def _then(each: Difference) -> str:
    more, less = THEN[each.outcome.key]
    return (more if each.gap > 0 else less).format(_percent(each))


def _percent(each: Difference) -> str:
    return f"{abs(each.percent):.0f} %"


def _amount(each: Difference, units: Units) -> str:
    """A difference in its unit, no finer than its ±."""
    force = each.outcome.unit == "N"
    scale = to_unit(1.0, units.force) if force else 1.0
    step = 10 ** math.floor(math.log10(max(scale * each.expanded, 1.0)))
    size = step * round(scale * abs(each.gap) / step)
    return f"{size:.0f} {units.force if force else each.outcome.unit}"


def _cut(said: str) -> str:
    """The sentence without the middle of a name that is too long for it."""
    return said if len(said) <= LONGEST else f"{said[: LONGEST - 1]}…"
