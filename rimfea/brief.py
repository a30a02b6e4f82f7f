"""How a noun shows itself where its name is typed: on one line, without its numbers."""

from __future__ import annotations

from dataclasses import fields, is_dataclass
from textwrap import shorten
from typing import Any

LONGEST = 200


def brief(noun: Any) -> str:  # noqa: ANN401 -- any dataclass
    """The ``__repr__`` of a dataclass that holds much: numbers and words as they are, arrays by
    their shape, what holds much itself by its kind.
    """
    told = ", ".join(f"{each.name}={_short(getattr(noun, each.name))}" for each in fields(noun))
    return f"{type(noun).__name__}({shorten(told, LONGEST, placeholder=' ...')})"


def _short(value: Any) -> str:  # noqa: ANN401 -- any field of one
    if hasattr(value, "shape") and value.shape:
        return f"array {value.shape}"
    if is_dataclass(value):
        return type(value).__name__
    if isinstance(value, float):
        return f"{value:.4g}"
    if isinstance(value, tuple | list | dict):
        return f"{len(value)} in a {type(value).__name__}"
    return repr(value)
