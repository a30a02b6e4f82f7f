"""What a bare rim should sound like, and whether one that was tapped is as its sheet says."""

from __future__ import annotations

from collections.abc import Iterable

from rimfea.profile.sheet import Sheet
from rimfea.tapped.recording import Recording
from rimfea.tapped.tones import tones
from rimfea.vary import tap as rings
from rimfea.vary.tap import Tap


def tap(sheet: Sheet, heard: Iterable[float] | Recording = ()) -> Tap:
    """The tones to expect of a bare rim, and which of them each tone that was ``heard`` is, Hz, or
    that a recording of it has, or else those that the sheet has.

    Raises :class:`~rimfea.errors.LoadError` for tones that no rim has and for too many of them, and
    :class:`~rimfea.errors.RecordingError` for a recording without tones.
    """
    if isinstance(heard, Recording):
        recorded = tones(heard)
        return rings.tap(sheet).listening(recorded)
    readings = tuple(heard) or sheet.tones_Hz
    expected = rings.tap(sheet)
    return expected.hearing(readings) if readings else expected
