"""What a terminal cannot show is told in plain letters, never by a traceback."""

from __future__ import annotations

import codecs
import json
import sys
import unicodedata

import click

PLAIN = {
    "±": "+-", "×": "x", "·": ".", "√": "sqrt", "∫": "integral of", "∞": "infinite",
    "≥": ">=", "≤": "<=",
    "≠": "/=", "→": "->", "←": "<-", "↓": "v", "↑": "^", "−": "-", "–": "-", "—": "-", "…": "...",
    "‘": "'", "‚": "'", "’": "'", "“": '"', "”": '"', "„": '"', "«": '"', "»": '"', "°": " deg",
    "α": "alpha", "δ": "delta", "θ": "theta", "λ": "lambda", "μ": "u", "ν": "nu", "π": "pi",
    "ρ": "rho", "σ": "sigma", "Σ": "sum", "ø": "o", "Ø": "O", "ß": "ss", "æ": "ae", "Æ": "AE",
}  # fmt: skip
HANDLER = "rimfea-plain"
BLOCKS = {**dict.fromkeys("█▉▊▋▌▍▎▏━─═╸╺", "-"), **dict.fromkeys("┃│║", "|")}


def encodable(text: str, encoding: str) -> str:
    """The text with all that the encoding does not have in plain letters; what has none is "?"."""
    try:
        text.encode(encoding)
    except UnicodeEncodeError:
        return "".join(sign if _has(encoding, sign) else _plain(sign) for sign in text)
    return text


def echo(text: str, *, err: bool = False) -> None:
    """A line on the standard output, or on the standard error, as that can show it."""
    stream = sys.stderr if err else sys.stdout
    click.echo(encodable(text, getattr(stream, "encoding", None) or "utf-8"), err=err)


def never_fail() -> None:
    """Make the streams of this process do the same with whatever is written to them."""
    codecs.register_error(HANDLER, _replaced)
    for stream in (sys.stdout, sys.stderr):
        change = getattr(stream, "reconfigure", None)
        if change:
            change(errors=HANDLER)


def json_for(text: str, encoding: str) -> str:
    """JSON with its own escapes for what the encoding does not have, so that nothing is lost."""
    try:
        text.encode(encoding)
    except UnicodeEncodeError:
        return json.dumps(json.loads(text), indent=2)
    return text


def _replaced(error: UnicodeError) -> tuple[str, int]:
    if not isinstance(error, UnicodeEncodeError):
        raise error
    return "".join(map(_plain, error.object[error.start : error.end])), error.end


def _plain(sign: str) -> str:
    told = PLAIN.get(sign) or BLOCKS.get(sign)
    if told is None and unicodedata.name(sign, "").startswith("BOX DRAWINGS"):
        told = "+"
    if told is None and unicodedata.category(sign) != "Cs":
        told = unicodedata.normalize("NFKD", sign).encode("ascii", "ignore").decode()
    return told or ("" if unicodedata.combining(sign) else "?")


def _has(encoding: str, sign: str) -> bool:
    try:
        sign.encode(encoding)
    except UnicodeEncodeError:
        return False
    return True
