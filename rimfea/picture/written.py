"""A figure as the bytes of a file: the same on every day and in every run."""

from __future__ import annotations

from collections.abc import Mapping
from io import BytesIO
from types import MappingProxyType

from matplotlib import rc_context
from matplotlib.figure import Figure

DATED: Mapping[str, str] = MappingProxyType({"svg": "Date", "pdf": "CreationDate"})


def written(figure: Figure, kind: str, dpi: int) -> bytes:
    """The figure as "png", "pdf" or "svg", without a date and with names of parts that are not
    drawn by lot.
    """
    sink = BytesIO()
    undated = {DATED[kind]: None} if kind in DATED else {}
    with rc_context({"svg.hashsalt": "rimfea", "svg.fonttype": "path"}):
        figure.savefig(sink, dpi=dpi, format=kind, metadata=undated)
    return sink.getvalue()
