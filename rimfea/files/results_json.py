"""A folder in which what is found of each rim is kept, a file a rim, for whoever asks again.

A file is a line that says what it holds and the digest of the rest, then JSON: the nouns of a
result one after the other, each after those it is made of. Nouns are known by name, and there are
no others, so that a file from somebody else is read and never run. What is drawn and meshed is not
in it: that is done again.
"""

from __future__ import annotations

import base64
import json
from collections.abc import Callable, Mapping
from dataclasses import fields, is_dataclass, replace
from enum import Enum
from hashlib import sha256
from pathlib import Path
from types import MappingProxyType
from typing import Any

import numpy as np

from rimfea.ask.choose import Candidate, LeftOut
from rimfea.ask.compare import Measured
from rimfea.elastic.field import Evidence, Field
from rimfea.elastic.loads import Case, Pressure, SpokeTension, Strike, WheelLoad
from rimfea.elastic.spokes import Lacing
from rimfea.elastic.wheel import Wheel
from rimfea.errors import FileError
from rimfea.files.whole_file import file_errors, write_file
from rimfea.plastic import path as plastic
from rimfea.profile.sheet import Sheet
from rimfea.profile.walls import Wall
from rimfea.stress.verdict import Verdict
from rimfea.stress.walls import WallStress
from rimfea.strike.blow import Blow
from rimfea.strike.casing import Squeeze
from rimfea.strike.ladder import Event, Ladder, Rung
from rimfea.strike.rolling import Step
from rimfea.strike.tyre import Cushion, Obstacle, Tyre
from rimfea.study.analysis import Analysis
from rimfea.study.answer import Answer, Lean
from rimfea.study.cases import Loading
from rimfea.study.dent import Curve, Dent
from rimfea.study.dented import View
from rimfea.study.landing import Landing
from rimfea.study.ride import Ride
from rimfea.study.seat import Seat
from rimfea.study.setup import End, Setup
from rimfea.study.wheel_tests import WheelTest
from rimfea.study.window import Bound, Limit, Window
from rimfea.vary.doubt import Doubt, Origin, Source
from rimfea.vary.sensitivity import Sensitivity

NOUNS: Mapping[str, type] = MappingProxyType(
    {
        "Push step": plastic.Step,
        "Step": Step,
        **{
            each.__name__: each
            for each in (
                *(Analysis, Answer, Blow, Bound, Candidate, Case, Curve, Cushion, Dent),
                *(Doubt, Evidence),
                *(Field, Lacing, Ladder, Landing, Lean, LeftOut, Loading, Measured, Obstacle),
                *(plastic.Path, Pressure, Ride, Rung, Seat, Sensitivity, Setup, Source),
                *(SpokeTension, Squeeze, Strike, Tyre, Verdict, View, WallStress, Wheel),
                *(WheelLoad, WheelTest, Window),
            )
        },
    }
)
NAMES: Mapping[type, str] = MappingProxyType({noun: name for name, noun in NOUNS.items()})
WORDS: Mapping[str, type[Enum]] = MappingProxyType(
    {each.__name__: each for each in (End, Event, Limit, Origin, Wall)}
)
SOLVED = ("loading", "lacing", "answers", "wheel")  # of an analysis; the rest is drawn and meshed
# What is found on demand, by the noun that remembers it.
ASKED: Mapping[type, tuple[str, ...]] = MappingProxyType(
    {Ride: ("dent", "found_dent", "wheel_tests"), Dent: ("cracks_mm", "length_mm")}
)
NUMBERS = ("bool", "int64", "float32", "float64")
FIRST = "rimfea result"
REMEDY = "delete it, or name another folder with --results"


class Folder:
    """Such a folder; it is made where there is none. Raises :class:`~rimfea.errors.FileError` for
    one that cannot be made.
    """

    def __init__(self, path: str | Path) -> None:
        self.path = Path(path)
        with file_errors(path, "made"):
            self.path.mkdir(exist_ok=True)

    def read(self, asked: str, look: Callable[[], Analysis]) -> Any | None:  # noqa: ANN401
        """What is kept of it; None where there is no file. ``look`` draws and meshes the rim.

        Raises :class:`~rimfea.errors.FileError` for a file that is not as it was written.
        """
        path = self._path(asked)
        if not path.exists():
            return None
        with file_errors(path, "read"):
            first, _, text = path.read_bytes().partition(b"\n")
        if first != _first(asked, text):
            raise FileError(f"{path}: is not as rimfea wrote it and is left as it is: {REMEDY}")
        try:
            return result(text, look)
        except (AttributeError, LookupError, RecursionError, TypeError, ValueError):
            raise FileError(f"{path}: cannot be read and is left as it is: {REMEDY}") from None

    def write(self, asked: str, found: object) -> None:
        """Keep it. Raises :class:`~rimfea.errors.FileError` where that cannot be written."""
        text = result_text(found).encode()
        whole = b"\n".join([_first(asked, text), text])
        write_file(self._path(asked), whole, overwrite=True)

    def _path(self, asked: str) -> Path:
        return self.path / f"{asked}.json"


def _first(asked: str, text: bytes) -> bytes:
    return f"{FIRST} {asked} {sha256(text).hexdigest()}".encode()


def result_text(found: object) -> str:
    """A result as text. Raises TypeError for what cannot be kept."""
    written = _Written()
    whole = written.plain(found)
    return json.dumps([written.nouns, whole])


def result(text: str | bytes, look: Callable[[], Analysis]) -> Any:  # noqa: ANN401 -- whatever was kept
    """The result again, of the rim that was looked at."""
    nouns, whole = json.loads(text)
    read = _Read(look)
    for each in nouns:
        read.nouns.append(read.noun(*each))
    return read.value(whole)


class _Written:
    """Nouns in the order in which they are made, each once."""

    def __init__(self) -> None:
        self.nouns: list[list[Any]] = []
        self.places: dict[int, int] = {}

    def plain(self, value: Any) -> Any:  # noqa: ANN401
        """A value as JSON has it: a list is a tuple, a dict of one key says what it is."""
        if value is None or isinstance(value, bool | int | float | str | np.generic | Enum):
            return _simple(value)
        if isinstance(value, np.ndarray):
            raw = base64.b64encode(value.tobytes()).decode()
            return {"array": [str(value.dtype), value.shape, raw]}
        if isinstance(value, tuple):
            return [*map(self.plain, value)]
        if isinstance(value, Mapping):
            return {"by key": [[key, self.plain(each)] for key, each in value.items()]}
        return {"sheet": None} if isinstance(value, Sheet) else {"noun": self._place(value)}

    def _place(self, noun: object) -> int:
        """Where among the nouns one is."""
        if id(noun) not in self.places:
            told = {key: self.plain(getattr(noun, key)) for key in _keys(noun)}
            self.places[id(noun)] = len(self.nouns)
            self.nouns.append([NAMES[type(noun)], told])
        return self.places[id(noun)]


def _simple(value: Any) -> Any:  # noqa: ANN401
    if not isinstance(value, Enum):
        return value.item() if isinstance(value, np.generic) else value
    if type(value) not in WORDS.values():
        raise TypeError(f"a {type(value).__name__} cannot be kept")
    return {type(value).__name__: value.name}


def _keys(noun: object) -> tuple[str, ...]:
    """What is kept of a noun. Raises TypeError for one that cannot be kept."""
    if isinstance(noun, Analysis):
        return SOLVED
    if type(noun) not in NAMES or not is_dataclass(noun):
        raise TypeError(f"a {type(noun).__name__} cannot be kept")
    asked = (key for key in ASKED.get(type(noun), ()) if key in vars(noun))
    return (*(each.name for each in fields(noun)), *asked)


class _Read:
    """The same read back."""

    def __init__(self, look: Callable[[], Analysis]) -> None:
        self.look = look
        self.looked: Analysis | None = None
        self.nouns: list[Any] = []

    @property
    def rim(self) -> Analysis:
        """Looked at once, and only if anything is said of it."""
        self.looked = self.looked or self.look()
        return self.looked

    def noun(self, name: str, told: Mapping[str, Any]) -> Any:  # noqa: ANN401
        """One noun of its parts."""
        kind, parts = NOUNS[name], {key: self.value(each) for key, each in told.items()}
        if kind is Analysis:
            return replace(self.rim, **parts)
        asked = {key: parts.pop(key) for key in ASKED.get(kind, ()) if key in parts}
        made = kind(**parts)
        vars(made).update(asked)
        return made

    def value(self, plain: Any) -> Any:  # noqa: ANN401
        """A value of what JSON has."""
        if isinstance(plain, list):
            return tuple(map(self.value, plain))
        if not isinstance(plain, dict):
            return plain
        ((what, told),) = plain.items()
        return self._meant(what, told)

    def _meant(self, what: str, told: Any) -> Any:  # noqa: ANN401
        match what:
            case "noun":
                return self.nouns[told]
            case "sheet":
                return self.rim.sheet
            case "by key":
                return {key: self.value(each) for key, each in told}
            case "array":
                return _array(*told)
        return WORDS[what][told]


def _array(kind: str, shape: list[int], raw: str) -> Any:  # noqa: ANN401
    if kind not in NUMBERS:
        raise ValueError(f"no numbers: {kind}")
    return np.frombuffer(base64.b64decode(raw), dtype=kind).reshape(shape)
