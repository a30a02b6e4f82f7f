"""What is asked of a random rim, and what must hold of every answer."""

from __future__ import annotations

import json
import re

from rimfea.files.setup_toml import read_setup
from rimfea.files.sheet_toml import parse_sheet, sheet_text
from rimfea.profile.build import outline
from rimfea.profile.sheet import Sheet
from rimfea.study.analysis import Analysis
from rimfea.study.ride import Ride, ride, wheel_of
from rimfea.study.setup import End
from rimfea.traced.measure import measure
from rimfea.words.data import as_json
from rimfea.words.numbers import USUAL
from rimfea.words.summary import summary
from rimfea.words.tables import Table, sheet_table
from rimfea.words.verdict import answer_lines, ladder_table, verdict_lines, walls_table
from tests.profile.test_build import as_drawn

READ_ALIKE_MM = 1e-2  # a caliper's last digit
NO_NUMBER = re.compile(r"\b(nan|-?inf)\b")


def misread(sheet: Sheet) -> dict[str, tuple[float | None, float | None]]:
    """What a caliper reads on the drawing of a sheet where that is not what the sheet says."""
    read, said = measure(outline(sheet)), as_drawn(sheet)
    if sheet.web_height_mm is None:  # the web is half way up
        read.pop("web_height_mm", None)
    return {
        key: (read.get(key), said.get(key))
        for key in read.keys() | said.keys()
        if abs(read.get(key, 0.0) - said.get(key, 0.0)) > READ_ALIKE_MM
    }


def ridden(sheet: Sheet, coarseness: float) -> Ride:
    """The rear wheel of the usual rider."""
    usual = read_setup("trail")
    analysis = wheel_of(sheet, usual, End.REAR, coarseness=coarseness)
    return ride(analysis, usual, End.REAR)


def told(rode: Ride) -> list[str]:
    """All that is said of a wheel: sentences, tables, data."""
    analysis = rode.analysis
    words = [*verdict_lines(analysis, [rode], USUAL)]
    tables = [sheet_table(analysis.sheet)]
    if not analysis.buckles:
        words += [*answer_lines(analysis, [rode], USUAL, None)]
        words += [*summary(analysis, [rode], USUAL)]
        tables += [ladder_table(rode, USUAL), walls_table(analysis, USUAL)]
    return [*words, *(cell for table in tables for cell in _cells(table)), _data(analysis, rode)]


def _cells(table: Table) -> list[str]:
    return [table.title, *table.head, *(cell for row in table.rows for cell in row)]


def _data(analysis: Analysis, rode: Ride) -> str:
    text = as_json([analysis], [rode])
    json.loads(text)
    return text.replace("null", "")


def not_said(texts: list[str]) -> list[str]:
    """Texts with a number that is none."""
    return [text for text in texts if NO_NUMBER.search(text)]


def reordered(sheet: Sheet) -> Sheet:
    """The same sheet written to a text and read from its lines in another order."""
    lines = sheet_text(sheet).splitlines()
    return parse_sheet("\n".join(reversed(lines)), sheet.name)
