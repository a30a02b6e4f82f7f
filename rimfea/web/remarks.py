"""What somebody noted in a sheet: its comments, kept with the keys that they stand at."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence

from rimfea.files.toml_lines import key_lines
from rimfea.profile.fields import BY_KEY
from rimfea.web.typed import AS_TYPED

END = ""  # the key of what stands below the last one
_STRING = re.compile(r'"(?:\\.|[^"\\])*"|\'[^\']*\'')
_UNFILLED = re.compile(r"#\s*([a-z_A-Z]+) =")  # a line of a sheet that is left to its default

Remarks = Mapping[str, Sequence[str]]


def remarks_of(text: str) -> dict[str, list[str]]:
    """The comments above and beside each key of a sheet's text, "#" and all; not those which the
    program writes anew, and no line that waits to be filled in.
    """
    rows, row = text.splitlines(), 0
    found: dict[str, list[str]] = {}
    for line in key_lines(text):
        own = list(_comments(rows[row : line.last]))
        row = line.last
        if own:
            found.setdefault(line.key, []).extend(own)
    if last := list(_comments(rows[row:])):
        found[END] = last
    return found


def with_remarks(text: str, remarks: Remarks) -> str:
    """A sheet's text with them above their keys; those of a key that it lacks come last."""
    there: set[str] = set()
    lines: list[str] = []
    for line in text.splitlines():
        key = line.partition(" = ")[0]
        if key in BY_KEY:
            there.add(key)
            lines += remarks.get(key, ())
        lines.append(line)
    rest = [remark for key, own in remarks.items() if key not in there for remark in own]
    return "\n".join([*lines, *rest, ""])


def _comments(rows: Sequence[str]) -> Iterator[str]:
    for row in rows:
        start = _STRING.sub(lambda match: " " * len(match[0]), row).find("#")
        told = row[start:].rstrip() if start >= 0 else ""
        if not told.strip("# ") or told.startswith(AS_TYPED):
            continue
        unfilled = _UNFILLED.match(told)
        if not (unfilled and unfilled[1] in BY_KEY):
            yield told
