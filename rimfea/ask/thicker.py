"""What a little more metal at one wall buys and costs."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress

from rimfea.errors import OutlineError, SheetError
from rimfea.profile.moved import moved
from rimfea.profile.walls import Wall
from rimfea.study.ride import Ride
from rimfea.vary.datum import around

STEP_MM = 0.1


def thicker(ride: Ride, wall: str, *, step_mm: float = STEP_MM) -> Ride:
    """The same wheel with one wall thicker, on the mesh and the cuts of the rim as it was, moved
    along, so that no other mesh is seen.

    Raises :class:`~rimfea.errors.SheetError` where the thicker wall clashes with the rest of the
    sheet, and :class:`~rimfea.errors.OutlineError` for a section that was not drawn from its
    sheet.
    """
    base = around(ride)
    return base.of(moved(ride.analysis.sheet, {Wall(wall).key_mm: step_mm}))


def stronger(rides: Sequence[Ride]) -> Ride | None:
    """The last of some rides with its governing wall thicker; None where that cannot be."""
    for ride in rides[-1:]:
        with suppress(SheetError, OutlineError):
            return thicker(ride, ride.analysis.governing.verdict.governing.wall)
    return None
