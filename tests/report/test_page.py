"""The report as one page: what stands in it, and that it needs nothing else."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from html.parser import HTMLParser

import numpy as np
import pytest

from rimfea.ask.compare import UNTOLD, Measured
from rimfea.picture.palette import DARK, LIGHT
from rimfea.profile.sheet import Sheet
from rimfea.report.page import as_html, comparison_headline, comparison_report, rim_report
from rimfea.study.outcome import OUTCOMES
from rimfea.study.ride import ride, wheel_of
from rimfea.study.setup import End, Setup
from rimfea.vary.datum import datum
from rimfea.vary.doubt import Doubt, Origin, Source
from rimfea.vary.sensitivity import Sensitivity
from rimfea.words import compare as comparison
from rimfea.words import rides
from rimfea.words import tables as rows
from rimfea.words.numbers import CAUTION, Units
from rimfea.words.verdict import ladder_table, verdict_lines

pytestmark = pytest.mark.long

DAY, UNITS = date(2026, 3, 1), Units()
SNIPE = {
    "name": "snipe <script>alert(1)</script> & $x$",
    "note": "<b onmouseover=x>'wet' \"fell\"</b>",
    "bead_seat_diameter_mm": 622,
    "inner_width_mm": 25,
    "overall_depth_mm": 21,
    "bead_hook_mm": 1.6,
    "hook_lip_mm": 2.6,
    "sidewall_mm": 1.5,
    "tyre_well_mm": 1.3,
    "nipple_seat_mm": 2.4,
    "alloy": "6082-T6",
}
FELL = Setup.from_values({"name": "fell", "tyre_width_mm": 45})
VOID = {"meta", "br", "path", "use", "image", "rect"}


class Read(HTMLParser):
    """What a page says: elements with their attributes, texts by element, faults of nesting."""

    def __init__(self, html):
        super().__init__()
        self.open, self.elements, self.faults = [], [], []
        self.texts = {}
        self.feed(html)
        self.faults += self.open

    def handle_starttag(self, tag, attrs):
        self.elements.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag, attrs):
        self.elements.append((tag, dict(attrs)))

    def handle_endtag(self, tag):
        if tag in VOID:
            return
        if not self.open or self.open.pop() != tag:
            self.faults.append(f"/{tag}")

    def handle_data(self, data):
        if self.open and data.strip():
            within = [tag for tag in self.open if tag != "a"]  # a word that leads to its meaning
            self.texts.setdefault(within[-1], []).append(data)

    def all(self, tag):
        return [attrs for name, attrs in self.elements if name == tag]


@pytest.fixture(scope="module")
def ridden():
    sheet = Sheet(SNIPE)
    return [ride(wheel_of(sheet, FELL, end, coarseness=2.0), FELL, end) for end in End]


@pytest.fixture(scope="module")
def report(ridden):
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("rimfea.ask.thicker.dimensions", lambda _: ("sidewall_mm",))
        return rim_report(ridden[-1].analysis, ridden, UNITS, DAY)


@pytest.fixture(scope="module")
def html(report):
    return as_html(report)


@pytest.fixture(scope="module")
def page(html):
    return Read(html)


@pytest.fixture(scope="module")
def rims():
    """Three rims whose mass (g) and first yield (N) are as given, in doubt by 10 each."""
    plain = Sheet({**SNIPE, "name": "snipe", "note": "a note"})
    base = datum(plain, FELL, End.REAR, coarseness=2.0).ride
    numbers = {"snipe": (600, 1500), "knot": (700, 1505), "ruff": (640, 1100)}
    return [_rim(base, name, *each) for name, each in numbers.items()]


def _rim(base, name, mass, strength):
    values = {"mass_g": mass, "yield_N": strength}
    own = base.analysis.sheet.varied(name=name)
    known = replace(base, analysis=replace(base.analysis, sheet=own))
    at = np.array([float(values.get(outcome.key, 100.0)) for outcome in OUTCOMES])
    slope = np.full((1, len(OUTCOMES)), 10.0)
    read = Doubt((Source(Origin.READING, "sidewall_mm", name),), np.ones((1, 1)))
    doubts = Sensitivity(own, ("sidewall_mm",), at, slope, read)
    return Measured(known, doubts)


def contrast(one, other):
    """Contrast of two colours by the Web Content Accessibility Guidelines 2.2."""
    bright = sorted(_luminance(each) for each in (one, other))
    return (bright[1] + 0.05) / (bright[0] + 0.05)


def _luminance(colour):
    parts = [int(colour[k : k + 2], 16) / 255 for k in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def test_the_verdict_is_the_heading(page, ridden):
    assert page.texts["h1"] == [verdict_lines(ridden[-1].analysis, ridden, UNITS)[0]]


def test_elements_are_nested_and_names_are_given_once(page):
    assert page.faults == []
    names = [attrs["id"] for _, attrs in page.elements if "id" in attrs]
    assert len(names) == len(set(names)) > 0
    used = re.findall(r"url\(#([^)]*)\)", str(page.elements))
    used += [attrs["href"][1:] for attrs in page.all("use")]
    used += [attrs["aria-labelledby"] for attrs in page.all("svg")]
    assert set(used) <= set(names)


def test_the_page_needs_nothing_from_elsewhere(html, page):
    addresses = re.findall(r"https?://[^\s\"'<>]*", html)
    assert set(addresses) == {"http://www.w3.org/2000/svg"}
    assert "@import" not in html
    for tag in ("link", "script", "iframe", "img"):
        assert page.all(tag) == []
    for _, attrs in page.elements:
        held = attrs.get("href", attrs.get("src", "#"))
        assert held.startswith(("#", "data:image/png;base64,"))


def test_names_and_notes_stand_as_they_were_typed(page):
    told = " ".join(text for texts in page.texts.values() for text in texts)
    assert SNIPE["name"] in told
    assert SNIPE["note"] in told
    assert page.all("b") == []


def test_every_cell_of_every_table_is_that_of_the_rows(page, ridden):
    analysis = ridden[-1].analysis
    tables = (
        ladder_table(rides.weaker(ridden), UNITS), rides.ladder_table(ridden, UNITS),
        rows.wall_table(analysis.governing, UNITS),
        rides.wheels_table(ridden, UNITS), rows.wheel_table(analysis, UNITS),
        rows.section_table(analysis), rows.evidence_table(analysis),
        rows.sheet_table(analysis.sheet),
    )  # fmt: skip
    assert page.texts["caption"] == [table.title for table in tables]
    cells = [cell for table in tables for row in table.rows for cell in row[1:]]
    assert page.texts["td"] == cells
    heads = [name for table in tables for name in (*table.head, *(row[0] for row in table.rows))]
    assert page.texts["th"] == heads


def test_language_date_version_and_caution_are_told(page, html):
    assert page.all("html") == [{"lang": "en"}]
    assert re.search(r"2026-03-01, rimfea \d+\.\d+", html)
    assert "indicative only" in html
    assert page.texts["p"][-1] == CAUTION


def test_every_picture_has_a_title_and_a_caption(page, report):
    shown = [report.picture.title, *(each.title for each in report.pictures)]
    assert len(page.all("svg")) == len(shown)
    assert {attrs["role"] for attrs in page.all("svg")} == {"img"}
    assert page.texts["figcaption"] == shown
    assert page.texts["title"][1:] == shown


def test_a_reader_is_told_a_check_to_do(report):
    assert report.assumptions[0].startswith("A check that you can do. Hang ")
    assert report.assumptions[0].endswith("Then ask: rimfea tap.")


def test_assumptions_and_sources_are_told_with_what_is_from_memory(page, report):
    told = page.texts["li"]
    for line in (*report.assumptions, *report.sources):
        assert line in told
    metal = next(line for line in told if line.startswith("6082-T6, proof stress"))
    assert "not checked against the standard" in metal
    assert any("JIS D 9301" in line for line in told)


def test_the_same_report_is_the_same_page_byte_for_byte_but_for_its_date(report, html):
    assert as_html(report) == html
    later = as_html(replace(report, day=date(2027, 1, 9)))
    assert later != html
    assert later.replace("2027-01-09", "2026-03-01") == html


def test_the_page_is_small_enough_to_send(html):
    assert len(html.encode()) < 1_500_000


@pytest.mark.parametrize("look", [LIGHT, DARK])
def test_words_stand_out_from_their_paper(look):
    assert contrast(look.ink, look.paper) >= 4.5
    assert contrast(look.faint, look.paper) >= 4.5


def test_pictures_take_the_colours_of_the_page(html):
    drawn = "".join(re.findall(r"<svg.*?</svg>", html, re.DOTALL))
    assert "var(--ink)" in drawn
    assert "var(--paper)" in drawn
    for colour in (LIGHT.ink, LIGHT.paper, LIGHT.faint, "#000000"):
        assert colour not in drawn


def test_a_rim_that_buckles_has_that_as_its_heading_and_no_sentences(ridden):
    analysis = ridden[-1].analysis
    weak = replace(analysis, wheel=replace(analysis.wheel, buckling_tension_N=500.0))
    page = Read(as_html(rim_report(weak, ridden, UNITS, DAY)))
    assert "buckles sideways" in page.texts["h1"][0]
    assert "In words" not in page.texts["h2"]


def test_a_comparison_tells_the_strongest_and_the_lightest_and_what_cannot_be_told(rims):
    told = comparison_headline(rims)
    assert told == (
        f"Under a strike on one hook, last to take a set: snipe, 100 N ({UNTOLD} from knot, ruff); "
        f"last to yield: knot, 1500 N ({UNTOLD} from snipe). "
        "Lightest: snipe, 600 g."
    )


def test_a_comparison_holds_every_outcome_of_every_rim(rims):
    page = Read(as_html(comparison_report(rims, rims[1], UNITS, DAY)))
    assert page.faults == []
    assert page.texts["h1"] == [next(comparison.dent_lines(rims))]
    assert comparison_headline(rims) in page.texts["li"]
    table = comparison.rims_table(rims, rims[1], UNITS)
    cells = [cell for row in table.rows for cell in row[1:]]
    assert page.texts["td"][: len(cells)] == cells
    for line in comparison.comparison_lines(rims, rims[1]):
        assert line.strip() in page.texts["li"]
    assert page.texts["caption"][-3:] == [f"{rim.name}: what its sheet says" for rim in rims]
    heads = [*table.head, *(row[0] for row in table.rows)]
    assert page.texts["th"][: len(heads)] == heads
