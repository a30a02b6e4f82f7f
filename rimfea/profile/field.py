"""One key of a caliper sheet, as data."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import Enum, StrEnum, auto
from typing import TYPE_CHECKING

from rimfea.profile import defaults

if TYPE_CHECKING:
    from rimfea.profile.families import Family


class Kind(Enum):
    """What a key holds."""

    NUMBER = auto()
    COUNT = auto()
    TEXT = auto()
    CHOICE = auto()
    ALLOY = auto()
    KEYS = auto()
    NUMBERS = auto()
    SECTION = auto()


NUMERIC = (Kind.NUMBER, Kind.COUNT)


@dataclass(frozen=True)
class Field:
    """One key of the sheet.

    ``low`` and ``high`` bound a number in ``unit``. ``default`` is a number, a text, a function
    of what is known so far, or None: then the key may stay without a value. ``choices`` are the
    words of a key that has a choice.
    """

    key: str
    unit: str
    low: float
    high: float
    meaning: str
    default: defaults.Default | float | str | None = None
    default_note: str = ""
    required: bool = False
    kind: Kind = Kind.NUMBER
    choices: type[StrEnum] | None = None
    group: str = ""

    def within(self, family: Family) -> Field:
        """The key as it is for that family: what one family assumes another may have to be told."""
        if self.key not in family.assumptions:
            return self
        rule, note = family.assumptions[self.key]
        return replace(self, default=rule, default_note=note, required=False)

    def used_by(self, family: Family) -> bool:
        """Whether a sheet of that family may give this key."""
        return self.key not in family.body.without

    @property
    def allowed(self) -> str:
        """The allowed range, ready to print."""
        if self.kind in (*NUMERIC, Kind.NUMBERS):
            return f"{self.low:g} to {self.high:g} {self.unit}".rstrip()
        return ", ".join(self.choices or ())
