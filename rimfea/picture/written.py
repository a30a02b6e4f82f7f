"""A figure as the bytes of a file: the same on every day and in every run."""

from __future__ import annotations

import re
from collections.abc import Mapping
from hashlib import blake2b
from io import BytesIO
from types import MappingProxyType

from matplotlib import rc_context
from matplotlib.figure import Figure

NAME = re.compile(rb'id="([a-z][0-9a-f]{10})"')
NAMED = re.compile(rb'(id="|#)([a-z][0-9a-f]{10})(?=["\)])')
DATED: Mapping[str, str] = MappingProxyType({"svg": "Date", "pdf": "CreationDate"})


def written(figure: Figure, kind: str, dpi: int) -> bytes:
    """The figure as "png", "pdf" or "svg", without a date and with names of parts that are not
    drawn by lot.
    """
    sink = BytesIO()
    undated = {DATED[kind]: None} if kind in DATED else {}
    with rc_context({"svg.hashsalt": "rimfea", "svg.fonttype": "path"}):
        figure.savefig(sink, dpi=dpi, format=kind, metadata=undated)
    return _named(sink.getvalue()) if kind == "svg" else sink.getvalue()


def _named(svg: bytes) -> bytes:
    """Clips and marks named anew, by what is drawn, in their order. They were named by numbers to
    the last digit, and another run may round that otherwise.
    """
    names = list(dict.fromkeys(NAME.findall(svg)))
    drawn = blake2b(NAMED.sub(b"", svg), digest_size=4).hexdigest()
    anew = {name: f"p{drawn}-{k}".encode() for k, name in enumerate(names)}
    return NAMED.sub(lambda found: found[1] + anew.get(found[2], found[2]), svg)
