"""Anything as plain data, as JSON has it."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from importlib import metadata
from typing import Any

import numpy as np

from rimfea.words.numbers import CAUTION

UNITS = {"length": "mm", "force": "N", "stress": "MPa", "mass": "g", "angle": "deg"}


def heading(schema: str) -> dict[str, Any]:
    """What stands above all data: the form, by its name and version, who wrote it, the units."""
    return {
        "schema": schema,
        "program": {"name": "rimfea", "version": metadata.version("rimfea")},
        "caution": CAUTION,
        "units": dict(UNITS),
    }


def plain(value: object) -> Any:  # noqa: ANN401 -- as whoever reads JSON gets it
    """The same as dicts, lists, texts and numbers; an infinite one is None.

    What is not a number at all (nan) stays as it is, for :func:`as_text` to refuse it: where it
    may be, whoever tells it says so by :func:`known`.
    """
    if is_dataclass(value):
        return {each.name: plain(getattr(value, each.name)) for each in fields(value)}
    if isinstance(value, Mapping):
        return {str(key): plain(each) for key, each in value.items()}
    if isinstance(value, np.ndarray | list | tuple):
        return [plain(each) for each in value]
    if isinstance(value, float | np.floating):
        return None if math.isinf(value) else float(value)
    return str(value) if isinstance(value, str) else value


def known(value: float) -> float | None:
    """A number, or None where it is none."""
    return None if math.isnan(value) else value


def as_text(value: object) -> str:
    """Plain data as JSON text; raises ValueError for what is not a number."""
    return json.dumps(plain(value), ensure_ascii=False, indent=2, allow_nan=False)
