"""One length of a sheet on an axis: checked at birth, or read from what a builder types."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np

from rimfea.errors import Fault, SheetError
from rimfea.profile.field import Kind
from rimfea.profile.fields import BY_KEY
from rimfea.profile.moved import CLEAN
from rimfea.profile.values import nearest, shown
from rimfea.profile.walls import Wall

MOST_POINTS = 400
FORM = "write KEY=FROM:TO:COUNT, such as sidewall_mm=1.0:1.6:7"
LEAST_RISE_MM = 0.01


@dataclass(frozen=True)
class Axis:
    """A length of the sheet from ``start_mm`` to ``end_mm`` in ``count`` places. Raises
    :class:`~rimfea.errors.SheetError` with all faults.
    """

    key: str
    start_mm: float
    end_mm: float
    count: int

    def __post_init__(self) -> None:
        """Refuse what is not a length, leaves its range, or does not rise."""
        faults = list(_axis_faults(self))
        if faults:
            raise SheetError(faults, "axis")

    @property
    def values(self) -> tuple[float, ...]:
        """The places along it, mm."""
        whole = np.linspace(self.start_mm, self.end_mm, self.count)
        return tuple(whole.round(CLEAN).tolist())


def axes(texts: Iterable[str]) -> tuple[Axis, ...]:
    """Axes written as ``KEY=FROM:TO:COUNT``; raises :class:`~rimfea.errors.SheetError` with the
    faults of all.
    """
    found: list[Axis] = []
    faults: list[Fault] = []
    for text in texts:
        try:
            found.append(_axis(text))
        except SheetError as error:
            faults += error.faults
    if faults:
        raise SheetError(faults, "axis")
    return tuple(found)


def _axis(text: str) -> Axis:
    key, _, span = (part.strip() for part in text.partition("="))
    try:
        start, end, count = span.split(":")
        return Axis(_key(key), float(start), float(end), int(count))
    except ValueError:
        unread = Fault("", f"cannot be read: {text!r}", remedy=FORM)
        raise SheetError([unread], "axis") from None


def _key(name: str) -> str:
    """The sheet's key of a length, also where the wall itself is named: sidewall, hook lip."""
    wall = name.replace("_", " ").lower()
    return Wall(wall).key_mm if wall in tuple(Wall) else name


def _axis_faults(axis: Axis) -> Iterator[Fault]:
    known = BY_KEY.get(axis.key)
    if known is None:
        yield Fault("", f"{axis.key!r} is not a key of a sheet", remedy=nearest(axis.key, BY_KEY))
    elif known.kind is not Kind.NUMBER or known.unit != "mm":
        yield Fault(axis.key, "is not a length", remedy="sweep a key that ends in _mm")
    else:
        ends = (axis.start_mm, axis.end_mm)
        yield from (
            Fault(axis.key, "is out of range", shown(end), "mm", known.allowed)
            for end in ends
            if not known.low <= end <= known.high  # NaN too
        )
        if axis.end_mm - axis.start_mm < LEAST_RISE_MM:
            span = f"{shown(axis.start_mm)}:{shown(axis.end_mm)}"
            remedy = f"the smaller number comes first, by {LEAST_RISE_MM:g} mm or more"
            yield Fault(axis.key, "must rise", span, "mm", remedy=remedy)
    if not 2 <= axis.count <= MOST_POINTS:
        allowed = f"2 to {MOST_POINTS}"
        yield Fault(axis.key, "cannot have so many points", shown(axis.count), "", allowed)
