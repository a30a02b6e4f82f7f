"""Which line of a TOML text each key stands on, also where the text is not quite TOML."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from dataclasses import dataclass

_PART = r"""(?:[A-Za-z0-9_-]+|"[^"\n]*"|'[^'\n]*')"""
_KEY = re.compile(rf"\s*({_PART})((?:\s*\.\s*{_PART})*)\s*=\s*")
_TABLE = re.compile(r"\[\[?([^\[\]]*)\]\]?")
_LONGEST = 1000  # letters of a text between triple quotes that is looked for to its end
_MOST_OPEN = 40  # lines on which a bracket may stay open
# Whatever is not closed ends with its line, so that no letter is looked at again and again.
_TOKEN = re.compile(
    rf'"""(?:\\.|[^\\]){{0,{_LONGEST}}}?"""|'
    rf"'''.{{0,{_LONGEST}}}?'''|"
    r'"(?:\\[^\n]|[^"\\\n])*+"?|'
    r"'[^'\n]*+'?|#[^\n]*+|[\[{\]}]",
    re.DOTALL,
)
_BEGINS = re.compile(r"""["'#\[{\]}]""")


@dataclass(frozen=True)
class Line:
    """A key with its value, or a table heading, from line ``first`` to line ``last``.

    ``value`` is the text after the equals sign without a comment; ``key`` is empty for a line
    that is neither.
    """

    key: str
    value: str
    first: int
    last: int
    is_table: bool = False
    is_dotted: bool = False


def quoted(value: str | tuple[object, ...]) -> str:
    """Text, or a list of it, as TOML has it on one line: as JSON, but that DEL is escaped, too."""
    return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")


def key_lines(text: str) -> Iterator[Line]:
    """Every key, table heading and unreadable line of a text, in order."""
    start = 0
    while start < len(text):
        end, bare = _statement(text, start)
        if bare.strip():
            first = text.count("\n", 0, start) + 1
            yield _line(bare, first, first + text.count("\n", start, end))
        start = end + 1


def _line(bare: str, first: int, last: int) -> Line:
    if match := _TABLE.fullmatch(bare.strip()):
        return Line(_plain(match[1].strip()), "", first, last, is_table=True)
    if match := _KEY.match(bare):
        value = bare[match.end() :].strip()
        return Line(_plain(match[1]), value, first, last, is_dotted=bool(match[2]))
    return Line("", bare.strip(), first, last)


def _plain(key: str) -> str:
    return key[1:-1] if len(key) > 1 and key[0] == key[-1] and key[0] in "\"'" else key


def _statement(text: str, start: int) -> tuple[int, str]:
    """End of the statement that begins at ``start``, and its text without comments.

    A line break ends it unless a bracket or a triple quote is open; a bracket that is not closed
    on one of the next forty lines ends with its own.
    """
    open_brackets, position, kept, lines = 0, start, "", 0
    while True:
        stop = text.find("\n", position)
        stop = len(text) if stop < 0 else stop
        begins = _BEGINS.search(text, position, stop)
        token = _TOKEN.match(text, begins.start()) if begins else None
        if token is None:
            kept += text[position : stop + 1]
            lines += 1
            if open_brackets <= 0 or stop == len(text) or lines > _MOST_OPEN:
                return _closed(text, start, stop, kept, open_brackets)
            position = stop + 1
            continue
        kept += text[position : token.start()]
        kept += "" if token[0].startswith("#") else token[0]
        open_brackets += (token[0] in "[{") - (token[0] in "]}")
        position = token.end()


def _closed(text: str, start: int, stop: int, kept: str, open_brackets: int) -> tuple[int, str]:
    if open_brackets <= 0:
        return stop, kept
    end = text.find("\n", start)
    end = len(text) if end < 0 else end
    return end, text[start:end]
