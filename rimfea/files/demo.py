"""The invented rims and the set-ups that come with the program, found by name."""

from __future__ import annotations

import re
from pathlib import Path

from rimfea.errors import FileError
from rimfea.profile.values import unknown

SETUPS = "set-ups"
NAME = re.compile(r"\w[\w-]*")


def demo_folder() -> Path:
    """The folder of invented rims: beside the package in a checkout, else inside it."""
    package = Path(__file__).resolve().parent.parent
    for folder in (package.parent / "profiles", package / "profiles"):
        if folder.is_dir():
            return folder
    raise FileError("the invented rims did not come with this installation; name your own sheets")


def names(folder: str = "") -> dict[str, Path]:
    """The files there by name, those of a folder in it, or its own."""
    return {path.stem: path for path in sorted((demo_folder() / folder).glob("*.toml"))}


def file_of(given: str | Path, what: str, folder: str = "") -> Path:
    """The file that is meant: the one of that path, with or without its ending (.toml), else what
    comes with the program where a bare name is given.

    Raises :class:`~rimfea.errors.FileError` for a bare name that is neither.
    """
    path = Path(given)
    for own in (path, path.with_name(f"{path.name}.toml")) if path.name else ():
        if own.is_file():
            return own
    if not NAME.fullmatch(str(given)) or path.exists():
        return path
    known = names(folder)
    if str(given) not in known:
        raise FileError(f"{unknown(what, given, known)}, or a file of your own (.toml)")
    return known[str(given)]
