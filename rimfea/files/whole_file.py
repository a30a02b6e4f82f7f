"""Files as wholes: one is written or it is not; what the system refuses is told with its path."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from rimfea.errors import FileError


def write_file(path: str | Path, content: str | bytes, *, overwrite: bool = False) -> None:
    """Write a file beside its place and then move it there, so that none is ever half written.

    Raises :class:`~rimfea.errors.FileError` if it cannot be written, or is already there and not
    to be overwritten.
    """
    raw = content.encode() if isinstance(content, str) else content
    with file_errors(path, "written"):
        place = Path(path).resolve()  # through a link to what it means
        if place.exists() and not overwrite:
            raise FileError(f"{path}: is already there and is not overwritten")
        if place.exists() and not place.is_file():  # a pipe or a device, which has to stay one
            place.write_bytes(raw)
            return
        beside = place.with_name(f".{place.name}.{os.getpid()}")
        try:
            with beside.open("wb") as file:
                file.write(raw)
                file.flush()
                os.fsync(file.fileno())  # or a full disk might be told of once it has its name
            beside.replace(place)
        finally:
            beside.unlink(missing_ok=True)


@contextmanager
def file_errors(path: str | Path, done: str) -> Iterator[None]:
    """What the system refuses to do with a file, as :class:`~rimfea.errors.FileError`."""
    try:
        yield
    except UnicodeDecodeError as error:
        raise FileError(f"{path}: cannot be {done}: it is not text") from error
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise FileError(f"{path}: cannot be {done}: {reason}") from error
