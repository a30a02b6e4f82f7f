"""Streams that outlive their reader: what is asked for beside text is written all the same."""

from __future__ import annotations

import errno
import io
import sys
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from _typeshed import ReadableBuffer


class Outliving(io.FileIO):
    """A stream that goes nowhere any more once nobody reads it, or nothing more fits."""

    deserted = False

    def write(self, data: ReadableBuffer, /) -> int:
        """Write, as long as somebody reads; else take it as written."""
        try:
            return super().write(data) if not self.deserted else len(memoryview(data))
        except OSError as error:  # told once: what is still to be written goes nowhere, too
            self.deserted = True
            if error.errno != errno.EPIPE:
                raise
            return len(memoryview(data))


def outlive_readers() -> None:
    """Let the streams of this process outlive their readers."""
    for name in ("stdout", "stderr"):
        stream = getattr(sys, name)
        buffer = getattr(stream, "buffer", None)
        if type(getattr(buffer, "raw", buffer)) is not io.FileIO:
            continue  # none, that of a test, or a console that no reader leaves
        stream.flush()
        raw = Outliving(stream.fileno(), "w", closefd=False)
        made = io.TextIOWrapper(
            io.BufferedWriter(raw),
            encoding=stream.encoding,
            errors=stream.errors,
            line_buffering=stream.line_buffering or name == "stderr",
            write_through=stream.write_through,
        )
        setattr(sys, name, made)


def is_deserted() -> bool:
    """Whether the reader of the standard output has left."""
    raw = getattr(getattr(sys.stdout, "buffer", None), "raw", None)
    if not isinstance(raw, Outliving):
        return False
    sys.stdout.flush()
    return raw.deserted
