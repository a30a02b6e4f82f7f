"""What a bare rim should sound like, and whether one that was tapped is as its sheet says."""

from __future__ import annotations

from collections.abc import Iterable

from rimfea.profile.moved import unmeasured_walls
from rimfea.profile.sheet import Sheet
from rimfea.tapped.recording import Recording
from rimfea.tapped.tones import Tones, tones
from rimfea.vary import tap as rings
from rimfea.vary.tap import Tap
from rimfea.vary.unsawn import unsawn


def tap(sheet: Sheet, heard: Iterable[float] | Recording = ()) -> Tap:
    """The tones to expect of a bare rim, and which of them each tone that was ``heard`` is, Hz, or
    that a recording of it has, or else those that the sheet has. Of a rim with walls that nobody
    measured they are judged near the walls that scales and tones make likely.

    Raises :class:`~rimfea.errors.LoadError` for tones that no rim has and for too many of them, and
    :class:`~rimfea.errors.RecordingError` for a recording without tones.
    """
    rung = tones(heard) if isinstance(heard, Recording) else tuple(heard) or sheet.tones_Hz
    guessed = sheet if unmeasured_walls(sheet) else None
    expected = rings.tap(sheet, guessed)
    if not rung:
        return expected
    found = _told(expected, rung)
    if guessed is None:
        return found
    readings = [each.hertz for each in found.heard]
    return _told(rings.tap(sheet, unsawn(sheet.varied(tones_Hz=readings)).likely), rung)


def _told(expected: Tap, rung: Tones | tuple[float, ...]) -> Tap:
    return expected.listening(rung) if isinstance(rung, Tones) else expected.hearing(rung)
