"""The verdict: walls ranked, the one that governs, the runner-up, the margin between."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from rimfea.brief import brief
from rimfea.errors import OutlineError
from rimfea.stress.walls import WallStress


@dataclass(frozen=True)
class Verdict:
    """``walls`` with the one that yields first in front; at least two."""

    walls: tuple[WallStress, ...]

    __repr__ = brief

    def __post_init__(self) -> None:
        if len(self.walls) < 2:
            raise OutlineError("a verdict needs at least two walls to compare: name the edges")

    @property
    def governing(self) -> WallStress:
        """The wall that yields first."""
        return self.walls[0]

    @property
    def runner_up(self) -> WallStress:
        """The wall that would yield next."""
        return self.walls[1]

    @property
    def margin(self) -> float:
        """How much more load the runner-up bears than the governing wall; 0.1 is 10 %."""
        if self.runner_up.first_yield == 0:
            return float("inf")
        if self.runner_up.first_yield == float("inf"):  # both yield before any load
            return 0.0
        return self.governing.first_yield / self.runner_up.first_yield - 1

    def reaching_as(self, other: Verdict) -> Verdict:
        """The same with every wall reaching over as much rim as in another verdict on it."""
        reach = {each.wall: each.reach_mm for each in other.walls}
        return Verdict(tuple(replace(each, reach_mm=reach[each.wall]) for each in self.walls))

    @property
    def by_hinge(self) -> tuple[WallStress, ...]:
        """The walls with the one in which a permanent set begins first in front."""
        return tuple(sorted(self.walls, key=lambda each: -each.hinge))


def verdict(walls: Sequence[WallStress]) -> Verdict:
    """Rank walls by their utilisation at first yield."""
    return Verdict(tuple(sorted(walls, key=lambda each: -each.first_yield)))


def merged(verdicts: Sequence[Verdict]) -> Verdict:
    """One verdict of several on the same walls: of each wall the worst."""
    by_wall: dict[str, list[WallStress]] = {}
    for wall in (wall for each in verdicts for wall in each.walls):
        by_wall.setdefault(wall.wall, []).append(wall)
    return verdict([_worst(walls) for walls in by_wall.values()])


def _worst(walls: Sequence[WallStress]) -> WallStress:
    """The one that yields first, with the hinge that comes first."""
    first = max(walls, key=lambda each: each.first_yield)
    return replace(first, hinge=max(each.hinge for each in walls))
