"""What takes pictures, tables or a report to tell. Its libraries take most of a second to load, so
that it is loaded when it is asked for first.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from rimfea.ask.dents import lighten
from rimfea.ask.fit import rated
from rimfea.ask.swaps import swaps as swapped
from rimfea.ask.tap import tap
from rimfea.ask.trace import Traced
from rimfea.errors import RimfeaError, UnitlessError
from rimfea.files.section import WRITERS, read_section
from rimfea.files.sheet_toml import sheet_text
from rimfea.profile.pieces import Piece
from rimfea.report.page import as_html, comparison_report, rim_report
from rimfea.study.analysis import inspect
from rimfea.units import units_of
from rimfea.web.asked import RequestError, numbers_in, text_in
from rimfea.web.bench import (
    Bench,
    kept_ride_of,
    ranked_of,
    ride_of,
    setup_of,
    sheet_of,
    whole_ride_of,
)
from rimfea.web.payload import told_of_ride
from rimfea.web.views import (
    around_view,
    beside_view,
    ranks_view,
    ride_view,
    swaps_view,
    told_of_view,
)
from rimfea.web.which import beside_in, tried_in
from rimfea.words.data import as_json
from rimfea.words.fit import fit_words
from rimfea.words.numbers import Units

# What no section shows: size, spokes and metal.
OF_THE_WHEEL = (*Piece.SIZE.keys, *Piece.SPOKES.keys, *Piece.ALLOY.keys, *Piece.JOINT.keys)
UNITS = units_of("length")


def ride(on: Bench, asked: Mapping[str, Any]) -> dict[str, Any]:
    """One wheel with all that is asked of it."""
    return told_of_view(ride_view(whole_ride_of(on, tried_in(on, asked))))


def dented(on: Bench, asked: Mapping[str, Any]) -> dict[str, Any]:
    """The same with the dent that the blow leaves: some times the work."""
    ridden = whole_ride_of(on, tried_in(on, asked))
    _ = ridden.found_dent
    lighten(ridden)  # here, where its factors were made, or they would stay for ever
    return told_of_view(ride_view(ridden))


def around(on: Bench, asked: Mapping[str, Any]) -> dict[str, Any]:
    """How far the blow is felt, and how the bare rim rings, with the tones ``heard`` of it."""
    tried = tried_in(on, asked)
    heard = numbers_in("heard", asked.get("heard", []))
    return told_of_view(around_view(kept_ride_of(on, tried), tap(sheet_of(on, tried), heard)))


def beside(on: Bench, asked: Mapping[str, Any]) -> dict[str, Any]:
    """Rims side by side, only looked at."""
    sheets = [sheet_of(on, each) for each in beside_in(on, asked)]
    return told_of_view(beside_view([inspect(each) for each in sheets]))


def ranks(on: Bench, asked: Mapping[str, Any]) -> dict[str, Any]:
    """Rims side by side in strength: each some times the work of a fine answer."""
    return told_of_view(ranks_view([ranked_of(on, each) for each in beside_in(on, asked)]))


def comparison(on: Bench, asked: Mapping[str, Any]) -> dict[str, Any]:
    """The report on rims side by side, as a page to mail."""
    found = [ranked_of(on, each) for each in beside_in(on, asked)]
    told = comparison_report(found, found[0], Units())
    return {"name": "side-by-side.html", "text": as_html(told)}


def swaps(on: Bench, asked: Mapping[str, Any]) -> dict[str, Any]:
    """Where the difference between two rims comes from."""
    together = beside_in(on, asked)
    if len(together) != 2:
        raise RequestError(400, "pieces are swapped between two rims: choose one other")
    base, other = (sheet_of(on, each) for each in together)
    setup, end = setup_of(on, together[0]), together[0].end
    return told_of_view(swaps_view(swapped(base, other, setup, end, dents=False, processes=1)))


def traced(on: Bench, asked: Mapping[str, Any]) -> dict[str, Any]:
    """A section from a drawing, with everything but its shape from the rim tried."""
    tried = tried_in(on, asked)
    own = sheet_of(on, tried)
    given = {key: getattr(own, key) for key in OF_THE_WHEEL if key not in own.assumed}
    traced = section_in(asked["name"], asked["text"], asked.get("unit"))
    found = rated(traced, name=own.name, **given)
    ridden = ride_of(on, tried, found.sheet)
    kept = {} if found.sheet.section else {"sheet": sheet_text(found.sheet, "Traced on the page")}
    return told_of_ride(ridden) | {"traced": fit_words(found)} | kept


def answers(on: Bench, asked: Mapping[str, Any]) -> dict[str, Any]:
    """The answers on the rim tried, as JSON."""
    tried = tried_in(on, asked)
    ridden = whole_ride_of(on, tried)
    return {"name": f"{tried.rim}.json", "text": as_json([ridden.analysis], [ridden])}


def report(on: Bench, asked: Mapping[str, Any]) -> dict[str, Any]:
    """The report on the rim tried, as a page to mail."""
    tried = tried_in(on, asked)
    ridden = whole_ride_of(on, tried)
    told = rim_report(ridden.analysis, [ridden], Units())
    return {"name": f"{tried.rim}.html", "text": as_html(told)}


def section_in(name: object, text: object, unit: object) -> Traced:
    """The section in the text of a drawing; ``name`` is that of its file. A ``unit`` that is told
    counts more than the file's.
    """
    if unit is not None and unit not in UNITS:
        raise RequestError(400, f"unit: one of {', '.join(UNITS)}")
    ending = Path(text_in("name", name)).suffix.lower()
    if ending not in WRITERS:
        raise RequestError(
            400, f"{name}: open a drawing: {', '.join(WRITERS)}; a scan is for rimfea trace"
        )
    if not isinstance(text, str):
        raise RequestError(400, "text: what stands in the drawing")
    with TemporaryDirectory() as folder:  # readers know files alone
        path = Path(folder) / f"section{ending}"
        path.write_text(text, encoding="utf-8")
        try:
            return read_section(path, unit=None if unit is None else str(unit))
        except UnitlessError:
            raise RequestError(
                422, f"{name}: does not say in which unit it was drawn: mm or inch?", "unit"
            ) from None
        except RimfeaError as error:
            told = str(error).replace(str(path), str(name))
            raise RequestError(422, told) from None
