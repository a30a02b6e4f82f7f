"""One key of a caliper sheet, as data."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum, auto

from rimfea.profile import defaults
from rimfea.profile.joint import Joint
from rimfea.profile.walls import Family


class Kind(Enum):
    """What a key holds."""

    NUMBER = auto()
    COUNT = auto()
    TEXT = auto()
    CHOICE = auto()
    ALLOY = auto()
    KEYS = auto()


NUMERIC = (Kind.NUMBER, Kind.COUNT)


@dataclass(frozen=True)
class Field:
    """One key of the sheet.

    ``low`` and ``high`` bound a number in ``unit``. ``default`` is a number, a text, a function
    of what is known so far, or None: then the key may stay without a value. A family in
    ``spared`` need not give a required key; one in ``without`` must leave the key out, because
    it follows from the others. ``choices`` are the words of a key that has a choice.
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
    spared: frozenset[Family] = frozenset()
    without: frozenset[Family] = frozenset()
    choices: type[Family | Joint] | None = None
    group: str = ""

    def required_for(self, family: Family) -> bool:
        """Whether a sheet of that family must give this key."""
        return self.required and family not in self.spared

    def used_by(self, family: Family) -> bool:
        """Whether a sheet of that family may give this key."""
        return family not in self.without

    @property
    def allowed(self) -> str:
        """The allowed range, ready to print."""
        if self.kind in NUMERIC:
            return f"{self.low:g} to {self.high:g} {self.unit}".rstrip()
        return ", ".join(self.choices or ())
