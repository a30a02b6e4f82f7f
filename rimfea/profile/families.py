"""The families of section that a caliper sheet can describe: each a head on a body; and what was
traced.
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum
from typing import Any, Self

from rimfea.profile import bodies, heads
from rimfea.profile.bodies import Body
from rimfea.profile.defaults import Assumption
from rimfea.profile.heads import Head


class Family(StrEnum):
    """The families, by the name that a sheet writes."""

    head: Head
    body: Body

    HOOKED = "hooked double wall", heads.HOOKED, bodies.CHAMBER
    HOOKLESS = "hookless double wall", heads.HOOKLESS, bodies.CHAMBER
    THICKENED = "thickened nipple seat", heads.HOOKED, bodies.THICKENED
    SINGLE = "single wall", heads.HOOKED, bodies.SINGLE
    TRACED = "traced section", heads.TRACED, bodies.TRACED

    def __new__(cls, word: str, *parts: Any) -> Self:  # noqa: ANN401 -- so that Family(word) is one
        """The word, with head and body as attributes."""
        family = str.__new__(cls, word)
        family._value_ = word
        family.head, family.body = parts
        return family

    @property
    def assumptions(self) -> Mapping[str, Assumption]:
        """What this family takes a number to be, by key, where that differs from most others."""
        return {**self.head.assumptions, **self.body.assumptions}


DRAWN = tuple(family for family in Family if family is not Family.TRACED)
"""Those whose section is drawn from the numbers of a sheet."""
