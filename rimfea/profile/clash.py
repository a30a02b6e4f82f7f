"""Two numbers that contradict each other, as a rule finds them.

Every rule works on what is known; one that needs a number which is missing, or itself at fault,
raises KeyError and so stays silent.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import TypeAlias

from rimfea.profile.proportions import Known
from rimfea.profile.values import shown

SMALLEST_STEP_MM = 0.2


@dataclass(frozen=True)
class Clash:
    """Two keys between which the builder has to look, why, what to do, and other keys whose
    numbers help to see it.
    """

    first: str
    second: str
    because: str
    remedy: str
    beside: tuple[str, ...] = ()


Rule: TypeAlias = Callable[[Known], Iterator[Clash]]


def short_edge(known: Known, radius: str, edge: str, length: float) -> Iterator[Clash]:
    """A radius that was given may be at most half the edge it rounds at both ends, mm.

    An assumed one is only a wish: it is drawn smaller where an edge is short.
    """
    if radius not in known.assumed and 0 < length < 2 * known[radius]:
        because = f"the edge it rounds at both ends is {shown(length)} mm long"
        yield Clash(radius, edge, because, "a radius is at most half that")
