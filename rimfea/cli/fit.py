"""Tables as wide as the terminal: cells go over several lines, then columns under one another; no
number is cut or broken, and nothing is left out.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import zip_longest

from rich.cells import cell_len

from rimfea.words.tables import Table

BETWEEN = 3  # blanks between two columns
# A blank that belongs between a number and its unit, or a sign and its number.
TIED = re.compile(r"(?<=\d) (?=[^\W\d]{1,3}\d?(?:/\w+)?(?!\w)|[%°±])|(?<=±) (?=\d)|^([=+-]) (?=\S)")
TIE = "\0"


def fitted(table: Table, width: int) -> list[Table]:
    """The same as tables no wider than ``width`` cells of a terminal, by line breaks in the cells.

    Where the columns do not all fit side by side, some follow in a second table, with the first
    column again, or the first two where one does not tell the rows apart; where not even that
    fits, every row is a table of its own.
    """
    least = [_least(column) for column in _columns(table)]
    parts = [table]
    if framed(least) > width:
        keys = [*range(_keys(table))]
        groups = _groups(least, keys, width)
        parts = [_picked(table, [*keys, *group]) for group in groups] or _rows(table)
    return [_wrapped(each, _shared(each, width)) for each in parts]


def framed(widths: Sequence[int]) -> int:
    """How wide a table of columns of these widths is."""
    return sum(widths) + BETWEEN * (len(widths) - 1)


def wrapped(text: str, width: int) -> str:
    """The text in lines no longer than that, each as far in as the first, broken at blanks, but not
    between number and unit; a word that is longer, and no number, is broken.
    """
    return "\n".join(line for each in text.split("\n") for line in _lines(each, width))


def _lines(text: str, width: int) -> list[str]:
    indent = " " * (len(text) - len(text.lstrip(" ")))
    lines: list[str] = []
    for word in _words(text):
        for part in _parts(word, width - len(indent)):
            if lines and cell_len(lines[-1]) + 1 + cell_len(part) <= width:
                lines[-1] += f" {part}"
            else:
                lines.append(f"{indent}{part}")
    return lines or [""]


def _columns(table: Table) -> list[tuple[str, ...]]:
    return list(zip(table.head, *table.rows, strict=True))


def _least(column: Sequence[str]) -> int:
    """The longest word, which is not broken."""
    return max((cell_len(word) for cell in column for word in _words(cell)), default=0)


def _most(column: Sequence[str]) -> int:
    return max(map(cell_len, column))


def _shared(table: Table, width: int) -> list[int]:
    """Widths of the columns: what each needs, and of what is left a share of what it wants."""
    columns = _columns(table)
    low, high = [_least(column) for column in columns], [_most(column) for column in columns]
    wanted = [most - few for most, few in zip(high, low, strict=True)]
    spare = max(0, width - framed(low))
    given, left = list(low), len(low)
    for place in sorted(range(len(low)), key=lambda place: wanted[place]):
        more = min(wanted[place], spare // left)  # who wants little gets it all
        given[place] += more
        spare, left = spare - more, left - 1
    over = framed(given) - width  # a word of a row by itself that is wider than the terminal
    return [*given[:-1], max(1, given[-1] - max(0, over))]


def _keys(table: Table) -> int:
    """How many columns it takes to tell the rows apart, two at most."""
    first = [row[0] for row in table.rows]
    return 1 if len({*first}) == len(first) or len(table.head) < 3 else 2


def _groups(least: Sequence[int], keys: Sequence[int], width: int) -> list[list[int]]:
    """Columns that fit together beside those that are ``keys``; none if one of them does not."""
    groups: list[list[int]] = []
    for place in range(len(keys), len(least)):
        if framed([least[each] for each in (*keys, place)]) > width:
            return []
        here = groups[-1] if groups else []
        if groups and framed([least[each] for each in (*keys, *here, place)]) <= width:
            here.append(place)
        else:
            groups.append([place])
    return groups


def _picked(table: Table, places: Sequence[int]) -> Table:
    head, *rows = ([row[each] for each in places] for row in (table.head, *table.rows))
    return Table(table.title, tuple(head), tuple(map(tuple, rows)), table.marked)


def _rows(table: Table) -> list[Table]:
    """A table a row: under its first cell a line for each of the others."""
    return [
        Table(
            table.title,
            row[:1],
            tuple((f"{head}: {cell}",) for head, cell in zip(table.head[1:], row[1:], strict=True)),
            frozenset(range(len(row) - 1)) if place in table.marked else frozenset(),
        )
        for place, row in enumerate(table.rows)
    ]


def _wrapped(table: Table, widths: Sequence[int]) -> Table:
    def lines(row: Sequence[str]) -> tuple[str, ...]:
        return tuple(wrapped(cell, most) for cell, most in zip_longest(row, widths))

    return Table(table.title, lines(table.head), tuple(map(lines, table.rows)), table.marked)


def _words(text: str) -> list[str]:
    return [word.replace(TIE, " ") for word in TIED.sub(_tied, text).split()]


def _tied(found: re.Match[str]) -> str:
    return f"{found[1] or ''}{TIE}"


def _parts(word: str, width: int) -> list[str]:
    """The word, or pieces of it where it is too long and no number."""
    if cell_len(word) <= width or word[:1].isdigit():
        return [word]
    parts = [""]
    for sign in word:
        if parts[-1] and cell_len(parts[-1] + sign) > width:
            parts.append("")
        parts[-1] += sign
    return parts
