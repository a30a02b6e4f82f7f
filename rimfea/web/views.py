"""What else the page shows of rims, each as sentences, tables and pictures: how a wheel rides, what
happens around the rim, and rims beside one another.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from matplotlib.axes import Axes

from rimfea.ask.compare import Measured
from rimfea.ask.swaps import Swaps
from rimfea.picture.charts import draw_around
from rimfea.picture.compare import draw_strength
from rimfea.picture.dent import draw_dent, draw_depth
from rimfea.picture.overlaid import draw_grams, draw_overlaid
from rimfea.picture.rides import draw_ladders, draw_windows
from rimfea.picture.svg import inline_svg
from rimfea.picture.swaps import draw_swaps
from rimfea.picture.tap import DRAWN, draw_mode
from rimfea.picture.theme import Size, shown
from rimfea.picture.wheel import draw_wheel
from rimfea.report.page import Picture
from rimfea.study.analysis import Analysis
from rimfea.study.outcome import BY_KEY
from rimfea.study.ride import Ride
from rimfea.vary.tap import Tap, Tone
from rimfea.words.compare import outcomes_table, rims_table
from rimfea.words.dents import dent_lines
from rimfea.words.dimensions import grams_words, walls_table
from rimfea.words.glossary import meaning_of
from rimfea.words.numbers import USUAL, Units
from rimfea.words.rides import (
    blow_words,
    ladder_table,
    setup_words,
    tension_line,
    weld_lines,
)
from rimfea.words.short import opening_lines
from rimfea.words.swaps import shown_outcomes, swaps_headline, swaps_lines, swaps_table
from rimfea.words.tables import Table, wheel_table
from rimfea.words.tap import BARE, FROM, tap_headline, tap_lines, tone_words, tones_table
from rimfea.words.verdict import verdict_lines

CHARTS = 2  # of what pieces bring


@dataclass(frozen=True)
class View:
    """One answer of the page: what to do comes first."""

    lines: tuple[str, ...]
    tables: tuple[Table, ...]
    pictures: tuple[Picture, ...]


def ride_view(ride: Ride, units: Units = USUAL) -> View:
    """One wheel of a set-up on its rim, asked every case: what its blow does, whether air and
    tension are right, what spokes gain and lose under the rider.
    """
    analysis = ride.analysis
    what_to_do = verdict_lines(analysis, [ride], units)[0]
    lines = [what_to_do, blow_words(ride, units), tension_line(ride)]
    lines += [*weld_lines([ride], units), setup_words(ride.setup)]
    if ride.knows_dent:
        lines[2:2] = dent_lines([ride], units)
    pictures = [
        Picture("Drops that bring it", lambda axes: draw_ladders(axes, [ride])),
        Picture("How tight the spokes may be", lambda axes: draw_windows(axes, [ride], units)),
        Picture("The wheel under its rider", lambda axes: draw_wheel(axes, analysis, units)),
    ]
    tables = (ladder_table([ride], units), wheel_table(analysis, units))
    told = sorted(filter(None, lines), key=lambda line: "WARNING" not in line)
    return View(tuple(told), tables, (*pictures, *_dented(ride)))


def around_view(ride: Ride, tapped: Tap) -> View:
    """How far along the rim the blow is felt, and how the bare rim rings."""
    analysis = ride.analysis
    answer = analysis.governing
    first = answer.verdict.governing
    reach = first.reach_mm
    felt = f"The blow keeps the {first.wall} above half of its worst stress over {reach:.0f} mm."
    lines = (felt, tap_headline(tapped), *(tap_lines(tapped) if tapped.heard else [BARE]))
    pictures = (
        Picture("Stress along the rim", lambda axes: draw_around(axes, analysis, answer)),
        *_dented(ride),
        *(_mode(tapped, tone) for tone in _drawn(tapped)),
    )
    return View(lines, (tones_table(tapped),), pictures)


def beside_view(analyses: Sequence[Analysis]) -> View:
    """Rims that are only looked at, against the first: sections laid over each other, walls and
    grams.
    """
    base, *others = analyses
    lines = tuple(grams_words(each, base) for each in others)
    pictures = (
        Picture("Sections laid over each other", lambda axes: draw_overlaid(axes, analyses)),
        Picture("Grams by wall", lambda axes: draw_grams(axes, analyses)),
    )
    return View(lines, (walls_table(analyses),), pictures)


def ranks_view(rims: Sequence[Measured], units: Units = USUAL) -> View:
    """Rims against the first in strength, with what their measurements leave open."""
    base = rims[0]
    strength = Picture(
        "Strength against mass, with ±", lambda axes: draw_strength(axes, rims, units)
    )
    tables = (rims_table(rims, base, units), outcomes_table(rims, base, units))
    return View(tuple(opening_lines(rims, base, units)), tables, (strength,))


def swaps_view(found: Swaps, units: Units = USUAL) -> View:
    """Where the difference between two rims comes from."""
    pictures = tuple(
        Picture(f"What each piece brings: {BY_KEY[key].title}", _swapped(found, key, units))
        for key in shown_outcomes(found)[:CHARTS]
    )
    lines = (swaps_headline(found, units), *swaps_lines(found))
    return View(lines, (swaps_table(found, units),), pictures)


def told_of_view(view: View) -> dict[str, object]:
    """A view as plain data, headings with what they mean."""
    return {
        "lines": list(view.lines),
        "tables": [told_of_table(each) for each in view.tables],
        "pictures": [
            {"title": each.title, "svg": _svg(each, f"picture{k}")}
            for k, each in enumerate(view.pictures)
        ],
    }


def told_of_table(table: Table) -> dict[str, object]:
    """A table; ``marked`` are the numbers of the rows that stand out."""
    return {
        "title": table.title,
        "head": [{"name": name, "means": meaning_of(name)} for name in table.head],
        "rows": [list(row) for row in table.rows],
        "marked": sorted(table.marked),
    }


def _svg(picture: Picture, prefix: str) -> str:
    return inline_svg(shown(picture.draw, size=Size.SMALL), picture.title, prefix)


def _dented(ride: Ride) -> Iterator[Picture]:
    if ride.knows_dent:
        yield Picture("The section with a dent", lambda axes: draw_dent(axes, ride))
        yield Picture("The dent along the rim", lambda axes: draw_depth(axes, ride))


def _drawn(tapped: Tap) -> Iterator[Tone]:
    return (tone for tone in tapped.tones if tone.waves in DRAWN)


def _mode(tapped: Tap, tone: Tone) -> Picture:
    def draw(axes: Axes) -> None:
        draw_mode(axes, tapped, tone)

    return Picture(f"{tone_words(tone)}, tapped {FROM[tone.kind]}", draw)


def _swapped(found: Swaps, key: str, units: Units) -> Callable[[Axes], None]:
    return lambda axes: draw_swaps(axes, found, key, units)
