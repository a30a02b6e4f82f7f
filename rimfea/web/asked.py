"""What stands in a request: read, checked, and refused with its reason."""

from __future__ import annotations

import json
from typing import Any, NoReturn

LARGEST = 256 * 1024
LARGEST_SHEET = 32 * 1024
LONGEST_TEXT = 200
LARGEST_NUMBER = 1e6


class RequestError(Exception):
    """A request that is not understood: the status and why, and the key that is ``wanted``."""

    def __init__(self, status: int, problem: str, wanted: str = "") -> None:
        super().__init__(problem)
        self.status, self.wanted = status, wanted


def understood(body: bytes, keys: tuple[str, ...], optional: tuple[str, ...]) -> dict[str, Any]:
    """The values of a request by key. Raises :class:`RequestError` where it is too large, is no
    JSON, or has other keys than those.
    """
    if len(body) > LARGEST:
        raise RequestError(413, f"a request may have {LARGEST // 1024} kB")
    try:
        asked = json.loads(body, parse_constant=_refuse_constant)
    except (ValueError, RecursionError) as error:
        raise RequestError(400, f"cannot be read as JSON: {error}") from None
    if not isinstance(asked, dict):
        raise RequestError(400, "a request is an object with keys")
    unknown = [key for key in asked if key not in (*keys, *optional)]
    missing = [key for key in keys if key not in asked]
    if unknown or missing:
        told = [f"no such key: {key[:40]}" for key in unknown]
        raise RequestError(400, "; ".join([*told, *(f"{key} is missing" for key in missing)]))
    return asked


def text_in(what: str, value: object) -> str:
    """A short text, such as a name; ``what`` is its key."""
    if not isinstance(value, str) or len(value) > LONGEST_TEXT:
        raise RequestError(400, f"{what}: a text is wanted, not {cut(value)}")
    return value


def long_text(what: str, value: object) -> str:
    """A text that is no longer than a sheet."""
    if not isinstance(value, str) or len(value) > LARGEST_SHEET:
        raise RequestError(400, f"{what}: a text is wanted, not {cut(value)}")
    return value


def sheet_in(value: object) -> str:
    """The text of a sheet, of which none is larger."""
    if isinstance(value, str) and len(value) > LARGEST_SHEET:
        raise RequestError(413, f"a sheet may have {LARGEST_SHEET // 1024} kB")
    return long_text("sheet", value)


def number_in(what: str, value: object) -> float:
    """A number that a length may be."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise RequestError(400, f"{what}: a number is wanted, not {cut(value)}")
    if not abs(value) <= LARGEST_NUMBER:
        raise RequestError(400, f"{what}: too large")
    return float(value)


def numbers_in(what: str, values: object) -> list[float]:
    """Some numbers."""
    if not isinstance(values, list):
        raise RequestError(400, f"{what}: a list of numbers is wanted, not {cut(values)}")
    return [number_in(what, each) for each in values]


def _refuse_constant(name: str) -> NoReturn:
    raise ValueError(f"{name} is not a number")


def cut(value: object) -> str:
    """What was sent, short enough to be told."""
    return repr(value)[:60]
