"""What an answer depends on as a short text: another one if anything about it differs."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import asdict, is_dataclass
from hashlib import sha256
from importlib import metadata
from typing import Any

from rimfea.profile.fields import BY_KEY
from rimfea.profile.sheet import Sheet
from rimfea.profile.trace import Trace

ALSO = ("guessed", "readings", "assumed")  # of a sheet, beside its keys
LENGTH = 16  # letters


def digest(*asked: object) -> str:
    """A short text that no other sheets, set-ups, loadings and plain data have, nor the same in
    another version of the program. Raises TypeError for what is none of these.
    """
    told = json.dumps([metadata.version("rimfea"), *asked], default=_told)
    return sha256(told.encode()).hexdigest()[:LENGTH]


def _told(asked: object) -> Any:  # noqa: ANN401 -- whatever JSON has
    if isinstance(asked, Sheet):
        return {key: getattr(asked, key) for key in (*BY_KEY, *ALSO)}
    if isinstance(asked, Trace):
        return [asked.mark, asked.sizes, asked.source]
    if isinstance(asked, Mapping):
        return dict(asked)
    if is_dataclass(asked) and not isinstance(asked, type):
        return asdict(asked)
    raise TypeError(f"no digest of {type(asked).__name__}")
