"""The tension window: how loose and how tight the spokes of one wheel may be, and why."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum, auto

from rimfea.brief import brief
from rimfea.elastic.wheel import Wheel, least_tension

# Lateral run-out grows from about half of the buckling tension (PhD thesis on wheel
# mechanics, Northwestern University, 2018, chapter on buckling tension).
BUCKLING_SHARE = 0.5
# JIS D 9301:2019 5.5.1.3 c): mean and lowest spoke tension of general-use bicycles, N, in wheels
# above and up to 22 inches.
LARGE_MEAN_N, SMALL_MEAN_N, NONE_BELOW_N = 400.0, 300.0, 150.0
LARGE_SEAT_MM = 500.0  # bead seats of 22 inch wheels are 457 mm at most, of 24 inch 507 at least


class Limit(Enum):
    """What bounds a tension, from below and from above."""

    SLACK = auto()
    MEAN = auto()
    NONE_BELOW = auto()
    SEAT_FOLDS = auto()
    NIPPLE_BEARS = auto()
    NIPPLE_PULLS = auto()
    BUCKLING = auto()
    MAKER = auto()


@dataclass(frozen=True)
class Bound:
    """One limit on the tension (N) of the tighter side. ``value`` is the number that the limit is
    stated with: times the still load for slack, N for a mean or a least tension, the margin
    against folding, bearing and pulling through, per cent of the buckling tension.
    """

    tension_N: float
    limit: Limit
    value: float


@dataclass(frozen=True)
class Window:
    """The limits from below and from above, and the builder's target between them.

    Of the lower ones the highest counts, of the upper ones the lowest; a maker's limit, where
    there is one, is the last word. All are tensions of the tighter side, of which the right and
    the left spokes have the shares ``sides``; the target ``is_placeholder`` where nobody gave one.
    """

    lower: tuple[Bound, ...]
    upper: tuple[Bound, ...]
    target_N: float
    sides: tuple[float, float] = (1.0, 1.0)
    is_placeholder: bool = False

    __repr__ = brief

    @property
    def lowest(self) -> Bound:
        """The tension that the spokes need."""
        return max(self.lower, key=lambda bound: bound.tension_N)

    @property
    def highest(self) -> Bound:
        """The tension that the rim bears."""
        return min(self.upper, key=lambda bound: bound.tension_N)

    @property
    def right_N(self) -> float:
        """The target in the right spokes."""
        return self.sides[0] * self.target_N

    @property
    def left_N(self) -> float:
        """The target in the left spokes."""
        return self.sides[1] * self.target_N

    @property
    def is_open(self) -> bool:
        """Whether any tension is both."""
        return self.lowest.tension_N <= self.highest.tension_N

    @property
    def fits(self) -> bool:
        """Whether the target is."""
        return self.lowest.tension_N <= self.target_N <= self.highest.tension_N


def window(
    built: Wheel,
    seat: Bound,
    *,
    target_N: float,
    jolt_factor: float,
    seat_diameter_mm: float,
    makers_limit_N: float | None,
    is_placeholder: bool = False,
) -> Window:
    """The window of a wheel whose nipple seats bear ``seat`` at most.

    ``jolt_factor`` is how many times the still wheel load must leave no spoke slack.
    """
    right, left = built.tension_N[:2] / built.tension_N.max()
    slack = Bound(least_tension(built, jolt_factor), Limit.SLACK, jolt_factor)
    upper = [
        seat,
        Bound(BUCKLING_SHARE * built.buckling_tension_N, Limit.BUCKLING, 100 * BUCKLING_SHARE),
    ]
    if makers_limit_N is not None:
        upper.append(Bound(makers_limit_N, Limit.MAKER, makers_limit_N))
    return Window(
        (slack, *_tested(built, seat_diameter_mm)),
        tuple(upper),
        target_N,
        (float(right), float(left)),
        is_placeholder,
    )


def _tested(built: Wheel, seat_diameter_mm: float) -> Sequence[Bound]:
    share = built.tension_N / built.tension_N.max()
    mean = LARGE_MEAN_N if seat_diameter_mm > LARGE_SEAT_MM else SMALL_MEAN_N
    return (
        Bound(mean / float(share.mean()), Limit.MEAN, mean),
        Bound(NONE_BELOW_N / float(share.min()), Limit.NONE_BELOW, NONE_BELOW_N),
    )
