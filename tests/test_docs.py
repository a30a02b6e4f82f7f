"""The document in `rimfea/docs`: complete, true to the files it names, built without a warning."""

from __future__ import annotations

import csv
import doctest
import os
import re
import shutil
import subprocess
import sys
import tomllib
from collections import Counter
from functools import cache
from html import unescape
from html.parser import HTMLParser
from pathlib import Path

import pytest

from rimfea.profile.walls import Wall
from rimfea.study.outcome import OUTCOMES

ROOT = Path(__file__).parents[1]
DOCS = ROOT / "rimfea" / "docs"
PAGES = sorted(DOCS.rglob("*.md"))
CHAPTERS = sorted((DOCS / "theory").glob("*.md"))
VERIFICATION = ROOT / "tests" / "verification"
NUMBERS = ("number", "count", "point")
FEWEST_VALUES = 80
PACKAGES = (
    *("mesh", "fem", "plastic", "elastic", "section", "traced", "scanned", "tapped"),
    *("stress", "strike", "vary"),
)


def named(path):
    return path.relative_to(DOCS).as_posix()


def text_of(path):
    return path.read_text(encoding="utf-8")


def explained(path):
    """The keys in the tables of results of a page."""
    blocks = re.findall(r"^```\{results\}\n(.*?)^```", text_of(path), flags=re.M | re.S)
    return [line.partition("|")[0].strip() for block in blocks for line in block.splitlines()]


def given():
    """The keys of every number that the program gives."""
    form = tomllib.loads(text_of(ROOT / "rimfea" / "words" / "answers-3.toml"))
    data = [
        f"{table}.{key}"
        for table, rows in form.items()
        for key, row in rows.items()
        if isinstance(row, list) and row[0].startswith(NUMBERS)
    ]
    return [each.key for each in OUTCOMES] + data


def test_every_number_that_the_program_gives_is_explained_in_one_chapter():
    found = Counter(key for page in CHAPTERS for key in explained(page))
    assert found == Counter(given())


@pytest.mark.parametrize("page", PAGES, ids=named)
def test_every_file_that_a_page_names_is_there(page):
    names = set(re.findall(r"`((?:rimfea|tests|profiles|notebooks|\.ci)/[^`\s]+)`", text_of(page)))
    gone = [name for name in sorted(names) if not (ROOT / name).exists()]
    assert not gone


@pytest.mark.parametrize("page", CHAPTERS, ids=named)
def test_every_chapter_tells_its_letters_its_bias_and_its_tests(page):
    text = text_of(page)
    bias = re.search(r"^\*\*Bias\.\*\*|^## Range and bias$", text, flags=re.M)
    tests = re.search(r"^## Checked by$(.*?)(?=^## |\Z)", text, flags=re.M | re.S)
    assert bias
    assert re.findall(r"`tests/[\w/]+\.py`", tests[1])
    assert re.search(r"^\| symbol \| is \| unit \|$", text, flags=re.M)


@pytest.mark.parametrize("package", [f"rimfea/{name}" for name in PACKAGES])
def test_every_module_of_the_mechanics_is_named_in_a_chapter(package):
    text = "".join(map(text_of, CHAPTERS))
    modules = {path.name for path in (ROOT / package).glob("*.py")} - {"__init__.py"}
    untold = [name for name in sorted(modules) if f"`{package}/{name}`" not in text]
    assert modules
    assert not untold or f"`{package}`" in text


def test_what_is_reckoned_by_hand_comes_out():
    runner, parser = doctest.DocTestRunner(), doctest.DocTestParser()
    told = []
    for page in PAGES:
        blocks = re.findall(r"^```pycon\n(.*?)^```", text_of(page), flags=re.M | re.S)
        by_hand = parser.get_doctest("\n".join(blocks), {}, named(page), str(page), 0)
        runner.run(by_hand, out=told.append)
    assert runner.summarize(verbose=False).attempted
    assert not "".join(told)


def test_every_chapter_is_named_on_the_first_page():
    listed = set(re.findall(r"^(theory/\w+)$", text_of(DOCS / "index.md"), flags=re.M))
    assert listed == {f"theory/{page.stem}" for page in CHAPTERS}


def test_every_public_name_is_in_the_reference():
    public = set(re.findall(r" as (\w+)$", text_of(ROOT / "rimfea" / "__init__.pyi"), flags=re.M))
    told = set(
        re.findall(
            r"auto(?:class|function):: rimfea\.(\w+)$", text_of(DOCS / "reference.md"), flags=re.M
        )
    )
    assert told == public


@cache
def verified():
    with (DOCS / "verification.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_what_was_verified_is_listed_for_every_module_that_verifies():
    protected = {
        path.stem.removeprefix("test_").replace("_", " ")
        for path in VERIFICATION.glob("test_*.py")
        if re.search(r"\bverified\(", text_of(path))
    }
    assert {row["protects"] for row in verified()} == protected
    assert len(verified()) >= FEWEST_VALUES


def test_values_that_were_verified_have_a_source_and_many_agree_to_three_digits():
    assert all(row["source"] for row in verified())
    assert sum(float(row["digits"]) >= 3 for row in verified()) >= FEWEST_VALUES


def test_speeds_are_those_that_the_benchmarks_wrote():
    folder = ROOT / "tests" / "benchmarks"
    with (DOCS / "benchmarks.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    telling = {path.name for path in folder.glob("test_*.py") if "measured(" in text_of(path)}
    if shutil.which("ccx") is None:
        telling -= {"test_dent.py"}
    assert telling <= {row["test"] for row in rows}
    assert all((folder / row["test"]).exists() for row in rows)
    assert all(float(row["ratio"]) > 0 and float(row["seconds"]) > 0 for row in rows)
    speed = text_of(DOCS / "verification.md").partition("## Speed")[2].partition("\n## ")[0]
    assert "```{benchmarks}" in speed
    assert not re.findall(r"^\|", speed, flags=re.M)


class Links(HTMLParser):
    """What a page links to, which places it has, and what it loads."""

    def __init__(self, text):
        super().__init__()
        self.links, self.places, self.loads = [], set(), []
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        told = dict(attrs)
        if told.get("id"):
            self.places.add(told["id"])
        if tag == "a" and told.get("href"):
            self.links.append(told["href"])
        elif told.get("src") or (tag == "link" and told.get("href")):
            self.loads.append(told.get("src") or told["href"])


@pytest.fixture(scope="module")
def built(tmp_path_factory):
    """The pages by their path, built as a contributor builds them."""
    out = tmp_path_factory.mktemp("document")
    command = [sys.executable, "-m", "sphinx", "-W", "-q", str(DOCS), str(out)]
    settings = {**os.environ, "PYTHONPATH": str(ROOT)}
    ended = subprocess.run(command, capture_output=True, text=True, env=settings, check=False)
    assert ended.returncode == 0, ended.stderr
    return {path: Links(text_of(path)) for path in out.rglob("*.html")}


@pytest.mark.long
def test_every_library_without_which_nothing_works_is_listed_with_a_free_licence(built):
    """As each tells its own; a new one whose licence is not free, or not told, fails here."""
    needed = tomllib.loads(text_of(ROOT / "pyproject.toml"))["project"]["dependencies"]
    page = next(text_of(path) for path in built if path.name == "contributing.html")
    rows = dict(re.findall(r"<td><p>([\w-]+)</p></td>\s*<td><p>([^<]+)</p></td>", page))
    assert set(rows) == {re.match(r"[\w-]+", each)[0] for each in needed}
    free = re.compile(r"MIT|BSD|MPL|Apache|Python Software Foundation")
    assert not [told for told in rows.values() if not free.search(told)]


@pytest.mark.long
def test_the_document_is_built_without_a_warning_and_no_link_in_it_is_broken(built):
    broken = []
    for page, own in built.items():
        for link in own.links:
            name, _, place = link.partition("#")
            if re.match(r"[a-z]+:", link):
                continue
            there = (page.parent / name).resolve() if name else page
            if not there.exists() or (place and place not in built[there].places):
                broken.append(f"{page.name}: {link}")
    assert not broken


@pytest.mark.long
def test_the_document_needs_no_network_and_its_formulas_no_script(built):
    outside = [load for own in built.values() for load in own.loads if re.match(r"\w*:?//", load)]
    assert not outside
    ring = next(path for path in built if path.name == "ring.html")
    assert text_of(ring).count("<math ") > 50
    assert not [load for load in built[ring].loads if "math" in load.lower()]


@pytest.mark.long
def test_no_page_shows_a_formula_as_it_is_written(built):
    for page in built:
        shown = re.sub(r"<(pre|code|script|math)\b.*?</\1>", "", text_of(page), flags=re.S)
        assert "$" not in shown, page.name
        assert "\\math" not in shown, page.name


@pytest.mark.long
def test_the_glossary_has_every_word_that_the_program_explains(built):
    page = text_of(next(path for path in built if path.name == "glossary.html"))
    words = tomllib.loads(text_of(ROOT / "rimfea" / "words" / "glossary.toml"))
    told = {unescape(word) for word in re.findall(r"<dt[^>]*>(.*?)(?:<a |</dt>)", page)}
    assert {word.replace("'", "’") for word in words} <= told


@pytest.mark.long
def test_every_notebook_is_told_of(built):
    page = text_of(next(path for path in built if path.name == "lessons.html"))
    notebooks = [path.name for path in (ROOT / "notebooks").glob("*.ipynb")]
    assert notebooks
    assert all(name in page for name in notebooks)


@pytest.mark.long
def test_words_for_parts_of_a_rim_have_a_sketch_that_marks_them_and_says_what(built):
    page = text_of(next(path for path in built if path.name == "glossary.html"))
    drawn = {
        unescape(word): svg
        for word, meaning in re.findall(r"<dt>(.*?)</dt>\s*<dd>(.*?)</dd>", page, flags=re.S)
        for svg in re.findall(r"<svg class=\"sketch\".*?</svg>", meaning, flags=re.S)
    }
    wanted = {*Wall, "hook", "crown", "bead seat diameter", "ERD", "dish", "flange"}
    assert wanted | {"inner_width_mm", "spoke_bed_offset_mm", "flank_mm"} <= set(drawn)
    for word, svg in drawn.items():
        assert re.search(r'role="img" aria-label="[^"]{20,}"', svg), word
        assert re.search(r'class="(wall|mark)"', svg), word
    assert len(set(drawn.values())) > 40
