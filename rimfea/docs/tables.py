"""Tables that the program itself keeps: results and what they mean, what was verified, words."""

from __future__ import annotations

import csv
import json
import re
import tomllib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from importlib.metadata import metadata, requires
from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING

from docutils import nodes
from docutils.statemachine import StringList
from packaging.requirements import Requirement
from sphinx.util.docutils import SphinxDirective

from rimfea.report.sketch import sketch
from rimfea.study.outcome import OUTCOMES
from rimfea.words.glossary import glossary

if TYPE_CHECKING:
    from sphinx.application import Sphinx
    from sphinx.util.typing import ExtensionMetadata

HERE = Path(__file__).parent
WORDS = HERE.parent / "words"
NOTEBOOKS = HERE.parents[1] / "notebooks"
VERIFIED = HERE / "verification.csv"
MEASURED = HERE / "benchmarks.csv"
NUMBERS = ("number", "count", "point")


def results() -> Mapping[str, str]:
    """What every number means that the program gives: outcomes by key, data by table and key."""
    read = tomllib.loads((WORDS / "answers-3.toml").read_text(encoding="utf-8"))
    found = {
        f"{table}.{key}": row[1]
        for table, rows in read.items()
        for key, row in rows.items()
        if isinstance(row, list) and row[0].startswith(NUMBERS)
    }
    unit = {each.key: f", {each.unit}" if each.unit else "" for each in OUTCOMES}
    return {each.key: f"Outcome: {each.title}{unit[each.key]}." for each in OUTCOMES} | found


class Results(SphinxDirective):
    """The numbers that a chapter explains: a line each, the key, a bar, and by what."""

    has_content = True

    def run(self) -> list[nodes.Node]:
        """A table of key, meaning and what explains it."""
        meanings = results()
        rows = ["| number | is | follows from |", "|---|---|---|"]
        for line in self.content:
            key, _, by = (part.strip() for part in line.partition("|"))
            if key not in meanings:
                raise self.error(f"the program gives no number called {key}")
            rows.append(f"| `{key}` | {meanings[key].replace('|', '/')} | {by} |")
        box = nodes.container()
        self.state.nested_parse(StringList(rows, source="results"), self.content_offset, box)
        return box.children


class Verification(SphinxDirective):
    """What the test-suite found, as it last wrote it."""

    def run(self) -> list[nodes.Node]:
        """A table for everything that is protected, one below the other."""
        rows = list(csv.reader(_lines(self, VERIFIED)))
        head, lines = rows[0][1:], rows[1:]
        found: list[nodes.Node] = [nodes.paragraph(text=f"{len(lines)} values.")]
        for protects, own in groupby(lines, key=lambda row: row[0]):
            test = f"tests/verification/test_{protects.replace(' ', '_')}.py"
            title = nodes.rubric("", f"{protects.capitalize()}: ", nodes.literal(text=test))
            found += [title, _table(head, [row[1:] for row in own], "verified")]
        return found


class Benchmarks(SphinxDirective):
    """What took how long, beside what, as the benchmarks last wrote it."""

    def run(self) -> list[nodes.Node]:
        """One table."""
        rows = [*csv.DictReader(_lines(self, MEASURED))]
        head = ("what", "takes, s", "so many times", "as long as", "from")
        keys = ("what", "seconds", "ratio", "beside", "test")
        lines = [[row[key] for key in keys] for row in rows]
        return [_table(head, lines, "measured")]


class Words(SphinxDirective):
    """The glossary, under the headings that its file has, then keys of sheets and set-ups."""

    def run(self) -> list[nodes.Node]:
        """A list of definitions for every heading."""
        terms, found = dict(glossary()), list[nodes.Node]()
        text = (WORDS / "glossary.toml").read_text(encoding="utf-8")
        for heading, words in _headed(text):
            own = [(word, terms.pop(word).meaning) for word in words]
            found += [nodes.rubric(text=heading), _definitions(own)]
        keys = [(word, term.meaning) for word, term in terms.items()]
        return [*found, nodes.rubric(text="Keys of sheets and set-ups"), _definitions(keys)]


class Notebooks(SphinxDirective):
    """The notebooks in reading order: the file, its title, and the builder's question."""

    def run(self) -> list[nodes.Node]:
        """One table, read off the notebooks' first cells."""
        rows = []
        for path in sorted(NOTEBOOKS.glob("*.ipynb")):
            first = "".join(json.loads(path.read_text(encoding="utf-8"))["cells"][0]["source"])
            title, asked = re.search(r"^# (.+)$", first, flags=re.M), re.search(r'"[^"]+"', first)
            if title is None or asked is None:
                raise self.error(f"{path.name} does not begin with a title and a question")
            rows.append((path.name, title[1], " ".join(asked[0].strip('"').split())))
        return [_table(("file in notebooks", "is about", "a builder asks"), rows, "notebooks")]


class Licences(SphinxDirective):
    """What the program stands on, each library's licence as that itself tells it."""

    def run(self) -> list[nodes.Node]:
        """One table of all libraries without which nothing works."""
        needed = [Requirement(each) for each in requires("rimfea") or ()]
        names = sorted(each.name for each in needed if each.marker is None)
        return [_table(("library", "licence"), [(each, licence(each)) for each in names], "plain")]


def licence(name: str) -> str:
    """The licence of an installed library: its expression, else what it is filed under."""
    told = metadata(name)
    filed = [each.rpartition(" :: ")[2] for each in told.get_all("Classifier") or ()
             if each.startswith("License ::")]  # fmt: skip
    return ", ".join(told.get_all("License-Expression") or filed) or "not told"


def _lines(directive: SphinxDirective, path: Path) -> list[str]:
    """The lines of a file; a page that shows it is built anew when it has changed."""
    directive.env.note_dependency(str(path))
    return path.read_text(encoding="utf-8").splitlines()


def _headed(text: str) -> Iterator[tuple[str, list[str]]]:
    """Headings of a file of words, and the words below each."""
    parts = re.split(r"^# -+ (.+)$", text, flags=re.M)
    for heading, part in zip(parts[1::2], parts[2::2], strict=True):
        yield heading, list(tomllib.loads(part))


def _definitions(terms: Iterable[tuple[str, str]]) -> nodes.definition_list:
    return nodes.definition_list(
        "",
        *(
            nodes.definition_list_item(
                "", nodes.term(text=word), nodes.definition("", *_defined(word, meaning))
            )
            for word, meaning in terms
        ),
    )


def _defined(word: str, meaning: str) -> Iterator[nodes.Node]:
    yield nodes.paragraph(text=meaning)
    drawn = sketch(word)
    if drawn:
        yield nodes.raw("", drawn, format="html")


def _table(head: Sequence[str], rows: Iterable[Sequence[str]], kind: str) -> nodes.table:
    columns = [nodes.colspec(colwidth=1) for _ in head]
    body = nodes.tbody("", *map(_row, rows))
    group = nodes.tgroup("", *columns, nodes.thead("", _row(head)), body, cols=len(head))
    return nodes.table("", group, classes=[kind])


def _row(cells: Iterable[str]) -> nodes.row:
    return nodes.row("", *(nodes.entry("", nodes.paragraph(text=cell)) for cell in cells))


def setup(app: Sphinx) -> ExtensionMetadata:
    """Tell Sphinx of the directives."""
    app.add_directive("results", Results)
    app.add_directive("verification", Verification)
    app.add_directive("benchmarks", Benchmarks)
    app.add_directive("notebooks", Notebooks)
    app.add_directive("words", Words)
    app.add_directive("licences", Licences)
    return {"parallel_read_safe": True, "parallel_write_safe": True}
