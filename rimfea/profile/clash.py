"""Two numbers that contradict each other, and how the builder is told.

Every rule works on what is known; one that needs a number which is missing, or itself at fault,
stays silent. A rule names the two keys between which the builder has to look.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass
from typing import TypeAlias

from rimfea.errors import Fault
from rimfea.profile.fields import BY_KEY
from rimfea.profile.proportions import Known
from rimfea.profile.values import shown

SMALLEST_STEP_MM = 0.2


@dataclass(frozen=True)
class Clash:
    """Two keys that contradict each other, why, and what to do."""

    first: str
    second: str
    because: str
    remedy: str


Rule: TypeAlias = Callable[[Known], Iterator[Clash]]


def clash_faults(rules: Sequence[Rule], known: Known) -> tuple[Fault, ...]:
    """All contradictions that the rules find between the numbers that are known."""
    return tuple(_fault(known, clash) for rule in rules for clash in _found(rule, known))


def stated(known: Known, key: str) -> str:
    """A key with its number and unit, and whether that was assumed."""
    assumed = " (assumed)" if key in known.assumed else ""
    return f"{key} = {shown(known[key])} {BY_KEY[key].unit}{assumed}"


def _found(rule: Rule, known: Known) -> list[Clash]:
    found: list[Clash] = []
    with suppress(KeyError):
        found.extend(rule(known))
    return found


def _fault(known: Known, clash: Clash) -> Fault:
    first, second = clash.first, clash.second
    if first in known.assumed and second not in known.assumed:
        first, second = second, first
    pair = f"{stated(known, first)} and {stated(known, second)} clash"
    return Fault(first, f"{pair}: {clash.because}", remedy=clash.remedy)
