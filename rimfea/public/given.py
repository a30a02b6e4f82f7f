"""What a name stands for where a notebook may give one: a rim, a set-up, a wheel, a wall."""

from __future__ import annotations

from collections.abc import Iterable
from enum import StrEnum
from pathlib import Path
from typing import TypeAlias, TypeVar

from rimfea.errors import UnknownError
from rimfea.files.demo import demo_folder
from rimfea.files.setup_toml import read_setup
from rimfea.files.sheet_folder import read_sheets
from rimfea.files.sheet_toml import read_sheet
from rimfea.profile.sheet import Sheet
from rimfea.profile.values import unknown
from rimfea.profile.walls import Wall
from rimfea.study.setup import End, Setup

Rim: TypeAlias = Sheet | str | Path
"""A sheet, the file of one (.toml), or the name of an invented rim, such as curlew."""

Ridden: TypeAlias = Setup | str | Path
"""A set-up, the file of one (.toml), or the name of one that comes with the program."""

Named = TypeVar("Named", bound=StrEnum)


def sheet(rim: object) -> Sheet:
    """The sheet that is meant; an analysis does not count, as its outline may be another."""
    if isinstance(rim, Sheet):
        return rim
    if not isinstance(rim, str | Path):
        told = "give a sheet, the file of one (.toml), or the name of an invented rim"
        raise UnknownError(f"a {type(rim).__name__} is not a rim: {told}")
    return read_sheet(rim)


def sheets(rims: Iterable[Rim]) -> list[Sheet]:
    """The sheets that are meant, those of a folder in it; without any, the invented rims. Of files
    with rims of one name each is called by its file as well.
    """
    named = tuple(rims) or (demo_folder(),)
    files = [Path(each) for each in named if isinstance(each, str | Path)]
    if len(files) == len(named) > 1:
        return read_sheets(files)
    found: list[Sheet] = []
    for rim in named:
        if isinstance(rim, str | Path) and Path(rim).is_dir():
            found += read_sheets([Path(rim)])
        else:
            found.append(sheet(rim))
    return found


def setup(ridden: Ridden) -> Setup:
    """The set-up that is meant."""
    return ridden if isinstance(ridden, Setup) else read_setup(ridden)


def wheel(name: End | str) -> End:
    """The wheel that is meant."""
    return _named(End, name, "wheel")


def wall(name: Wall | str) -> Wall:
    """The wall that is meant, by the trade's word or by the sheet's key."""
    return _named(Wall, name.removesuffix("_mm").replace("_", " "), "wall")


def key(name: str) -> str:
    """The sheet's key of a length: its own, or that of the wall of this name."""
    return Wall(name).key_mm if name in tuple(Wall) else name


def _named(kind: type[Named], name: str, what: str) -> Named:
    try:
        return kind(name)
    except ValueError:
        raise UnknownError(unknown(what, name, kind)) from None
