"""Swaps in sentences and a table: where the difference between two rims comes from."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from math import isfinite

from rimfea.ask.swaps import Swap, Swaps
from rimfea.study.outcome import BY_KEY
from rimfea.units import to_unit
from rimfea.words.numbers import Units
from rimfea.words.tables import Table

MASS = "mass_g"
LEADS = "dent_N", "yield_N"  # the first that is known is what a sentence tells
HEADS: Mapping[str, str] = {
    "mass_g": "mass",
    "yield_N": "first yield",
    "dent_N": "0.5 mm dent",
    "dent_J": "energy of it",
    "most_tension_N": "tension",
    "squeeze_MPa": "casing squeeze",
}
DIGITS: Mapping[str, int] = {"J": 2, "MPa": 1}
NOTICED = 0.005  # of an outcome: less is what another mesh does to it
HOW = (
    "Each piece is put from one rim into the other and back, and the table has the mean of both, "
    "as a wall helps more in a weaker rim. 'Together' is what no piece does alone. Changes below "
    "1 % of a force may come from the mesh."
)


def swaps_headline(found: Swaps, units: Units) -> str:
    """What each piece of the other rim would do in the base, what does most first."""
    base, other = found.base.name, found.other.name
    if found.refused:
        return f"Nothing to swap: {found.refused}."
    lead = next((key for key in LEADS if key in found.outcomes), "")
    if not lead:
        return f"Nothing to swap: {base} or {other} buckles under its spokes."
    if not found.swaps:
        return f"Nothing to swap: {base} and {other} are alike in every piece."
    if lead == "yield_N" and not any(each[lead] for each in (found.of_base, found.of_other)):
        return f"{base} and {other} both yield before any strike. Take less tension or less air."
    known = [swap for swap in found.swaps if isfinite(swap.change(lead))]
    known.sort(key=lambda swap: -abs(swap.change(lead)))
    told = [f"{swap.piece} {_two(found, swap, lead, units)}" for swap in known]
    rest = f"together {_change(found, found.together(lead), lead, units)}"
    what = HEADS[lead] if lead == "yield_N" else f"force of a {HEADS[lead]}"
    return f"Give {base} the pieces of {other}, {what} and mass: {'; '.join(told)}; {rest}."


def swaps_lines(found: Swaps) -> Iterator[str]:
    """What could not be swapped and why, and how the numbers are to be read."""
    for swap in found.swaps:
        for clash in swap.clashes:
            ends = [isfinite(end[MASS]) for end in (swap.gives, swap.takes)]
            rest = "it is told from the other end" if any(ends) else "it counts as together"
            yield f"The {swap.piece} does not fit: {clash}; {rest}."
    if found.swaps:
        yield HOW


def swaps_table(found: Swaps, units: Units, *, ends: bool = False) -> Table:
    """A row a piece, then what they do together, then the whole difference; on demand with what
    each end says.
    """
    rows = [
        (str(swap.piece), *(_cell(found, swap, key, units, ends=ends) for key in found.outcomes))
        for swap in found.swaps
    ]
    for name, of in (("together", found.together), ("whole difference", found.whole)):
        rows.append((name, *(_change(found, of(key), key, units) for key in found.outcomes)))
    title = f"What the pieces of {found.other.name} do in {found.base.name}"
    title += (
        f" (and, with the sign turned, those of {found.base.name} in {found.other.name})"
        if ends
        else ""
    )
    head = ("", *(HEADS[key] for key in found.outcomes))
    return Table(title, head, tuple(rows), frozenset({len(rows) - 1}))


def _cell(found: Swaps, swap: Swap, key: str, units: Units, *, ends: bool) -> str:
    change = swap.change(key)
    if not isfinite(change):
        return "does not fit"
    told = _change(found, change, key, units)
    if not ends:
        return told
    both = (signed(end[key], key, units) for end in (swap.gives, swap.takes))
    return f"{told} ({', '.join(each for each in both)})"


def _two(found: Swaps, swap: Swap, lead: str, units: Units) -> str:
    first = _change(found, swap.change(lead), lead, units)
    return f"{first}, {_change(found, swap.change(MASS), MASS, units)}"


def _change(found: Swaps, change: float, key: str, units: Units) -> str:
    """A change with its unit; none that the mesh alone could make."""
    force = BY_KEY[key].unit == "N"
    unit = units.force if force else BY_KEY[key].unit
    least = NOTICED * abs(found.of_base[key]) if key != MASS else 0.0
    return f"{signed(change if abs(change) >= least else 0.0, key, units)} {unit}"


def shown_outcomes(found: Swaps) -> tuple[str, ...]:
    """What a picture has room for: mass, what gives first, and tension."""
    lead = next((key for key in LEADS if key in found.outcomes), "")
    return tuple(key for key in (MASS, lead, "most_tension_N") if key in found.outcomes)


def signed(change: float, key: str, units: Units) -> str:
    """A change with its sign, as far as it is worth a figure."""
    if not isfinite(change):
        return "-"
    unit = BY_KEY[key].unit
    value = to_unit(change, units.force) if unit == "N" else change
    digits = DIGITS.get(unit, 0)
    shown = f"{value:+.{digits}f}"
    return shown if float(shown) else "0"
