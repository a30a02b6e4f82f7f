"""Several rims side by side."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from rimfea.profile.sheet import Sheet
from rimfea.study.analysis import Analysis, analyse
from rimfea.study.cases import USUAL, Loading


def compare(
    sheets: Iterable[Sheet], *, loading: Loading = USUAL, coarseness: float = 1.0
) -> Iterator[Analysis]:
    """One analysis after the other, all under the same loading, in the order of the sheets.

    An iterator, so that whoever waits can see how far it has come.
    """
    for sheet in sheets:
        yield analyse(sheet, loading=loading, coarseness=coarseness)
