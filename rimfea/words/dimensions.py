"""Rims side by side in millimetres and grams, as tables and sentences."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

from rimfea.ask.dimensions import SIZE, SLOPE, Dimension, side_by_side
from rimfea.profile.fields import BY_KEY
from rimfea.profile.pieces import Piece
from rimfea.profile.sheet import Sheet
from rimfea.study.analysis import Analysis
from rimfea.study.grams import grams_by_piece
from rimfea.words.tables import Table

TOLD = "*"
LEAST_G = 0.5  # a difference of which something is left once it is rounded
MOST_TOLD = 3


def dimensions_table(sheets: Sequence[Sheet], base: int = 0, *, every: bool = False) -> Table:
    """A row a dimension: that of each rim, and how far it is from the base's; only those that
    differ by more than the caliper's error unless ``every``.
    """
    found = side_by_side(sheets, base)
    rows = [
        (words(each.key), *(_cell(each, rim) for rim in range(len(sheets))))
        for each in found
        if every or each.differs
    ]
    left = "" if every else "; the others are alike as far as a caliper can tell (--details)"
    title = (
        f"Dimensions: {TOLD} differs from {sheets[base].name} by more than the caliper's error, "
        f"( ) nobody measured{left}"
    )
    return Table(title, ("", *(sheet.name for sheet in sheets)), tuple(rows))


def walls_table(analyses: Sequence[Analysis], base: int = 0) -> Table:
    """What it comes down to, a row a wall: grams more or less than in the base, and the dimensions
    that differ by more than the caliper's error.
    """
    sheets = [each.sheet for each in analyses]
    apart = {each.key: each for each in side_by_side(sheets, base)}
    found = [grams_by_piece(each) for each in analyses]
    whole = sum(found[base].values())
    rows = []
    for piece in Piece:
        told = [apart[key] for key in piece.keys if key in apart and apart[key].differs]
        if not told and not any(piece in each for each in found):
            continue
        cells = [
            _weight(each.get(piece, 0.0), whole)
            if rim == base
            else _more(each.get(piece, 0.0) - found[base].get(piece, 0.0), told, rim)
            for rim, each in enumerate(found)
        ]
        rows.append((str(piece), *cells))
    name = sheets[base].name
    title = f"Walls: grams as drawn, and mm by which a caliper can tell them from those of {name}"
    return Table(title, ("", *(sheet.name for sheet in sheets)), tuple(rows))


def _weight(mass_g: float, whole_g: float) -> str:
    return f"{mass_g:.0f} g, {100 * mass_g / whole_g:.0f} %" if mass_g else ""


def _more(mass_g: float, told: Sequence[Dimension], rim: int) -> str:
    parts = [f"{mass_g:+.0f} g"] if abs(mass_g) >= LEAST_G else []
    for each in told:
        if math.isnan(each.values[rim]):
            parts.append(f"no {words(each.key)}")
        elif math.isnan(each.values[each.base]):
            parts.append(f"{words(each.key)} {_digits(each.values[rim], each.key)}")
        elif each.is_told(rim):
            parts.append(f"{words(each.key)} {_signed(each.gap(rim), each.key)}")
    return ", ".join(parts) or "alike"


def grams_table(analyses: Sequence[Analysis], base: int = 0) -> Table:
    """Grams of every wall in each rim, their share of it, and how far from the base's."""
    found = [grams_by_piece(each) for each in analyses]
    walls = list(dict.fromkeys(wall for each in found for wall in each))
    against = [None if rim == base else found[base] for rim in range(len(found))]
    pairs = list(zip(found, against, strict=True))
    rows = [(wall, *(_grams(own, wall, other) for own, other in pairs)) for wall in walls]
    whole = [sum(each.values()) for each in found]
    sums = [
        f"{mass:.0f} g" + ("" if k == base else f", {mass - whole[base]:+.0f} g")
        for k, mass in enumerate(whole)
    ]
    name = analyses[base].sheet.name
    title = f"Grams by wall as drawn, share of the rim, more or less than in {name}"
    head = ("", *(each.sheet.name for each in analyses))
    return Table(title, head, (*rows, ("together", *sums)), frozenset({len(rows)}))


def grams_words(rim: Analysis, base: Analysis) -> str:
    """Where the grams are that a rim has more or less than the base."""
    own, other = grams_by_piece(rim), grams_by_piece(base)
    gaps = {wall: own.get(wall, 0.0) - other.get(wall, 0.0) for wall in {**own, **other}}
    told = sorted(
        (wall for wall in gaps if abs(gaps[wall]) >= LEAST_G), key=lambda w: -abs(gaps[w])
    )
    whole = sum(gaps.values())
    names = f"{rim.sheet.name} is {'heavier' if whole > 0 else 'lighter'} than {base.sheet.name}"
    most = ", ".join(f"{wall} {gaps[wall]:+.0f} g" for wall in told[:MOST_TOLD])
    if not told:
        return f"Every wall of {rim.sheet.name} weighs what that of {base.sheet.name} does."
    return f"{names} by {abs(whole):.0f} g as drawn, most at: {most}."


def details(analyses: Sequence[Analysis], base: int | None) -> Iterator[Table]:
    """All of it, every dimension and every gram; nothing without a base."""
    if base is not None:
        yield dimensions_table([each.sheet for each in analyses], base, every=True)
        yield grams_table(analyses, base)


def words(key: str) -> str:
    """A dimension as a builder calls it."""
    return key.removesuffix("_mm").removesuffix("_deg").replace("_", " ")


def _cell(each: Dimension, rim: int) -> str:
    value, unit = each.values[rim], BY_KEY[each.key].unit
    if math.isnan(value):
        return "-"
    shown = f"{_digits(value, each.key)} {unit}"
    shown = shown if each.measured[rim] else f"({shown})"
    gap = each.gap(rim)
    if rim == each.base or not gap or math.isnan(gap):
        return shown
    percent = f", {each.percent(rim):+.0f} %" if unit == "mm" else ""
    mark = f" {TOLD}" if each.is_told(rim) else ""
    return f"{shown}, {_signed(gap, each.key)}{percent}{mark}"


def _digits(value: float, key: str) -> str:
    """A length to the hundredth that a caliper shows; an angle and a wheel's size as they are."""
    return f"{value:g}" if key in (SIZE, SLOPE) else f"{value:.2f}"


def _signed(gap: float, key: str) -> str:
    return f"{'+' if gap > 0 else '-'}{_digits(abs(gap), key)}"


def _grams(own: Mapping[str, float], wall: str, base: Mapping[str, float] | None) -> str:
    if wall not in own:
        return "-"
    share = f"{own[wall]:.0f} g, {100 * own[wall] / sum(own.values()):.0f} %"
    return share if base is None else f"{share}, {own[wall] - base.get(wall, 0.0):+.0f} g"
