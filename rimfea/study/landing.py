"""Where a load lands that may come anywhere: on either hook, at a spoke or between two.

Spokes hold the rim to the right and to the left in turn, so that a rim is weaker in one place
than in another. Four kinds of places are looked at: at a spoke of either flange, and between two
that lead alike or not. Leading spokes and trailing ones of a flange are taken as one kind: that,
and places nearer to a spoke than midway, were found to change a load by 1.5 % at most.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from rimfea.elastic.loads import Case

TURNS = (0.0, 0.5, 1.0, 1.5)


@dataclass(frozen=True)
class Landing:
    """``turn`` spacings of spokes on from a spoke of the right flange, and whether the load is
    ``mirrored``: on the other hook, or from the other side.
    """

    turn: float = 0.0
    mirrored: bool = False

    @property
    def is_between(self) -> bool:
        """Whether it is midway between two spokes."""
        return self.turn % 1 != 0


AT_A_SPOKE = Landing()


def landings(case: Case) -> Iterator[Landing]:
    """The kinds of places to which the growing loads of a case may come; one for those that are
    alike all around or are the spokes' own.
    """
    load = case.loads[0]
    if not load.is_somewhere:
        yield Landing()
        return
    sides = (False,) if load.mirrored() == load else (False, True)
    for turn in TURNS:
        for mirrored in sides:
            yield Landing(turn, mirrored)


def landed(case: Case, landing: Landing) -> Case:
    """The case with its growing loads as they land."""
    if not landing.mirrored:
        return case
    return replace(case, loads=tuple(load.mirrored() for load in case.loads))
