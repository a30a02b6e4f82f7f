"""The lessons of the page, as ``lessons.toml`` has them."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, field
from functools import cache
from importlib import resources
from typing import Any

SHOWN = ("section", "ride", "around", "beside")
"""The places of the page."""


@dataclass(frozen=True)
class Step:
    """One step: what is said; what the page then shows of which rim, with other numbers on its
    sheet (``changes``) or in its set-up (``ridden``), beside which ``others``; what the class is
    asked before it sees that, and what is told after.

    A rim, a place and others stay until a step names new ones; changes hold for one step.
    """

    say: str
    ask: str
    choices: tuple[str, ...]
    right: str
    told: str
    rim: str
    show: str
    others: tuple[str, ...] = ()
    changes: dict[str, float] = field(default_factory=dict)
    ridden: dict[str, float] = field(default_factory=dict)


@dataclass(frozen=True)
class Lesson:
    """A question and the steps to its answer."""

    title: str
    steps: tuple[Step, ...]


@cache
def lessons() -> tuple[Lesson, ...]:
    """All lessons, in the order in which they are given."""
    text = (resources.files("rimfea.web") / "lessons.toml").read_text(encoding="utf-8")
    return tuple(
        Lesson(each["title"], tuple(_steps(each["step"]))) for each in tomllib.loads(text)["lesson"]
    )


def _steps(raw: list[dict[str, Any]]) -> list[Step]:
    kept: dict[str, Any] = {}
    steps = []
    for each in raw:
        kept |= {key: each[key] for key in ("rim", "show", "others") if key in each}
        own: dict[str, Any] = {**kept, **each}
        lists = {key: tuple(value) for key, value in own.items() if isinstance(value, list)}
        steps.append(Step(**(own | lists)))
    return steps
