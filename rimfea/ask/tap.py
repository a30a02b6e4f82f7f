"""What a bare rim should sound like, and whether one that was tapped is as its sheet says."""

from __future__ import annotations

from collections.abc import Iterable

from rimfea.profile.moved import unmeasured_walls
from rimfea.profile.sheet import Sheet
from rimfea.vary import tap as rings
from rimfea.vary.tap import Tap
from rimfea.vary.unsawn import unsawn


def tap(sheet: Sheet, heard: Iterable[float] = ()) -> Tap:
    """The tones to expect of a bare rim, and which of them each tone that was ``heard`` is, Hz, or
    those that the sheet has. Of a rim with walls that nobody measured they are judged near the
    walls that scales and tones make likely.

    Raises :class:`~rimfea.errors.LoadError` for tones that no rim has and for too many of them.
    """
    readings = tuple(heard) or sheet.tones_Hz
    guessed = sheet if unmeasured_walls(sheet) else None
    expected = rings.tap(sheet, guessed)
    if not readings:
        return expected
    found = expected.hearing(readings)
    if guessed is None:
        return found
    likely = unsawn(sheet.varied(tones_Hz=readings)).likely
    return rings.tap(sheet, likely).hearing(readings)
