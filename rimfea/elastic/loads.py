"""Loads as data: what meets the rim, said in the builder's words and free of any model.

Every model (the slice, the ring) reads the same loads; sums of loads are cases.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from dataclasses import dataclass, replace
from typing import Self

import numpy as np

from rimfea.brief import brief
from rimfea.errors import LoadError, positive

LARGEST_ANGLE = np.radians(75.0)


@dataclass(frozen=True)
class Push:
    """A part of a load: a force in direction 0 1 2 for x y z on one place of the section.

    It is ``amount`` N, spread over ``patch_mm`` of rim at θ = 0; without a patch ``amount`` times
    the unit load of its place, alike all around.
    """

    place: str
    direction: int
    amount: float
    patch_mm: float | None = None


class Load(ABC):
    """What every load tells a model of itself."""

    @property
    @abstractmethod
    def size(self) -> float:
        """What it is measured by, such as its force in N."""

    @abstractmethod
    def pushes(self, inner_width_mm: float, /) -> tuple[Push, ...]:
        """Its parts, on a rim of that width between the sidewalls."""

    @property
    def patches_mm(self) -> tuple[float, ...]:
        """The lengths of rim that it comes to; none for what is alike all around."""
        return tuple(push.patch_mm for push in self.pushes(0.0) if push.patch_mm)

    @property
    def is_somewhere(self) -> bool:
        """Whether it comes to one place of the rim and not all around."""
        return bool(self.patches_mm)

    def mirrored(self) -> Self:
        """The same from the other side of the wheel: itself, unless it has a side."""
        return self

    def spread(self, factor: float) -> Self:  # noqa: ARG002 -- for those that come to one place
        """The same over ``factor`` times the length of rim: itself, if it is all around."""
        return self


@dataclass(frozen=True)
class Strike(Load):
    """A rock or kerb on the hook crowns: ``force_N`` over ``patch_mm`` of rim.

    ``right_share`` of the force lands on the right hook, the rest on the left: 1 strikes one
    hook, 0.5 both alike. ``angle`` (radians) leans the force from straight inward, positive
    towards +x, so against the left hook and away from the right one.
    """

    force_N: float
    patch_mm: float
    right_share: float = 1.0
    angle: float = 0.0

    def __post_init__(self) -> None:
        positive("the strike's force", self.force_N, "N")
        positive("the length of rim that the strike touches", self.patch_mm, "mm")
        if not 0 <= self.right_share <= 1:
            raise LoadError(f"share on the right hook = {self.right_share:g}: allowed 0 to 1")
        if not abs(self.angle) <= LARGEST_ANGLE:
            raise LoadError(
                f"angle of the strike = {np.degrees(self.angle):.0f} deg: allowed -75 to 75, "
                "0 is straight at the axle"
            )

    @property
    def size(self) -> float:
        """The whole force of the strike, N."""
        return self.force_N

    def mirrored(self) -> Self:
        """On the other hook, leaning the other way."""
        return replace(self, right_share=1 - self.right_share, angle=-self.angle)

    def spread(self, factor: float) -> Self:
        """Over so many times its patch."""
        return replace(self, patch_mm=factor * self.patch_mm)

    def pushes(self, _inner_width_mm: float) -> tuple[Push, ...]:
        """Its part across and its part inward, on one crown or on both."""
        across, inward = self.force_N * np.sin(self.angle), -self.force_N * np.cos(self.angle)
        shares = {"right crown": self.right_share, "left crown": 1 - self.right_share}
        return tuple(
            Push(place, way, share * force, self.patch_mm)
            for place, share in shares.items()
            for way, force in ((0, across), (1, inward))
        )


@dataclass(frozen=True)
class SpokeTension(Load):
    """``spokes`` nipples, each pulling with ``tension_N`` inward on the ring of the nipple seat
    between the hole and the edge of the head or washer, ``offset_mm`` to the right of the middle.
    """

    tension_N: float
    spokes: int
    hole_mm: float
    bearing_mm: float
    offset_mm: float = 0.0

    def __post_init__(self) -> None:
        positive("the spoke tension", self.tension_N, "N")
        positive("the number of spokes", self.spokes, "")
        if not 0 <= self.hole_mm < self.bearing_mm:
            raise LoadError(
                f"the spoke hole ({self.hole_mm:g} mm) must be smaller than what bears on its "
                f"edge ({self.bearing_mm:g} mm)"
            )

    @property
    def size(self) -> float:
        """The tension of each spoke, N."""
        return self.tension_N

    def pushes(self, _inner_width_mm: float) -> tuple[Push, ...]:
        """None: it pulls along the spokes, whose directions are the wheel's."""
        return ()


@dataclass(frozen=True)
class Pressure(Load):
    """A tyre of ``tyre_width_mm`` blown up to ``pressure_MPa``, alike all around the rim.

    The air presses on bead seats, well and the inner faces of the sidewalls, which the bead hides
    but passes it on to. The casing, a circular arc of radius ρ, leaves the rim at the hooks, or at
    the top of sidewalls without: there, W the width between them, it turns by the angle from the
    sidewall to the arc and so pulls outward with p √(ρ² − (W/2)²) per millimetre of rim. Along
    the sidewall it runs down to the bead, whose wire carries its radial pull.
    """

    pressure_MPa: float
    tyre_width_mm: float

    def __post_init__(self) -> None:
        positive("the tyre pressure", self.pressure_MPa, "MPa")
        positive("the tyre width", self.tyre_width_mm, "mm")

    @property
    def size(self) -> float:
        """The pressure, MPa."""
        return self.pressure_MPa

    def pushes(self, inner_width_mm: float) -> tuple[Push, ...]:
        """The air on the rim, and the casing's pull on its sidewalls."""
        pull = self.casing_pull(inner_width_mm)
        return Push("air", 1, self.pressure_MPa), Push("casing pull", 0, pull)

    def casing_pull(self, inner_width_mm: float) -> float:
        """Lateral pull of the casing on one side, N per mm of rim."""
        half, radius = inner_width_mm / 2, self.tyre_width_mm / 2
        return self.pressure_MPa * float(np.sqrt(max(radius**2 - half**2, 0.0)))


@dataclass(frozen=True)
class WheelLoad(Load):
    """The wheel's share of weight and any side force, through the tyre's contact with the road
    over ``patch_mm`` of rim, shared by both bead seats. ``side_N`` pushes along the axle.
    """

    force_N: float
    patch_mm: float
    side_N: float = 0.0

    def __post_init__(self) -> None:
        positive("the force on the wheel", abs(self.force_N) + abs(self.side_N), "N")
        positive("the length of the contact patch", self.patch_mm, "mm")

    @property
    def size(self) -> float:
        """The radial force, or where there is none the side force, N."""
        return abs(self.force_N) or abs(self.side_N)

    def mirrored(self) -> Self:
        """Pushed to the other side."""
        return replace(self, side_N=-self.side_N) if self.side_N else self

    def spread(self, factor: float) -> Self:
        """Over so many times its patch."""
        return replace(self, patch_mm=factor * self.patch_mm)

    def pushes(self, _inner_width_mm: float) -> tuple[Push, ...]:
        """Its radial and its side force, on both bead seats."""
        return (
            Push("bead seats", 1, -self.force_N, self.patch_mm),
            Push("bead seats", 0, self.side_N, self.patch_mm),
        )


@dataclass(frozen=True)
class Case:
    """A named case: ``loads`` that grow together, on top of ``standing`` ones that are there
    already. ``source`` names the standard that the case comes from, if any.
    """

    name: str
    loads: tuple[Load, ...]
    standing: tuple[Load, ...] = ()
    source: str = ""

    __repr__ = brief

    def __post_init__(self) -> None:
        if not self.loads:
            raise LoadError(f"the case '{self.name}' has no load")
