"""Of every command that answers in text: how long the answer is, that it fits narrow terminals and
poor encodings, that every heading of it is explained, and that its tables go to a file.
"""

from __future__ import annotations

import csv
import io
import re
from pathlib import Path

import pytest
from PIL import Image
from rich.cells import cell_len

from rimfea.cli import printing
from rimfea.cli.main import COMMANDS
from rimfea.words.glossary import headed_by

# Command → what is typed, how many lines the answer may have, and what tells all of it.
TYPED = {
    "inspect": (["curlew"], 45, ["--details"]),
    "analyse": (["curlew", "--setup", "trail"], 25, ["--details"]),
    "compare": (["curlew", "wheatear"], 30, ["--details"]),
    "why": (["curlew"], 25, []),
    "worth": (["curlew"], 30, []),
    "wear": (["wheatear", "--pressure", "6bar"], 25, []),
    "tap": (["curlew", "128", "151", "424"], 25, ["--details"]),
    "reconcile": (["dunnock.toml"], 30, []),
    "trace": (["scan.png"], 25, ["--details"]),
    "choose": (["curlew", "plover"], 30, []),
    "sweep": (["curlew", "sidewall=1.2:1.25:2", "--processes", "1"], 25, []),
    "design": (["curlew", "--keep", "first-yield=1000N", "--only", "sidewall_mm"], 30, []),
}
NAMES = re.compile(r"^((curlew|wheatear|plover)(, (front|rear))?|sheet|\d.*|[+-]\d.*|)$")
ENCODINGS = ("ascii", "cp437", "cp1252", "utf-8")
WIDTHS = (40, 80, 110, 200)
UNSAWN = """\
name = "dunnock"
bead_seat_diameter_mm = 622
inner_width_mm = 24.0
overall_depth_mm = 21.0
bead_hook_mm = 1.9
hook_lip_mm = 2.1
sidewall_mm = 1.22
tyre_well_mm = 1.05
nipple_seat_mm = 2.3
hook_height_mm = 5.7
bead_seat_mm = 1.2
flank_mm = 1.05
tyre_well_depth_mm = 3.4
tyre_well_width_mm = 14.8
spoke_bed_width_mm = 14.5
spoke_count = 28
weighed_mass_g = 556
tones_Hz = [129, 152, 392, 424]
guessed = ["tyre_well_mm", "bead_seat_mm", "flank_mm"]
"""


def test_every_command_that_answers_in_text_is_here():
    assert {*COMMANDS} - {"new", "page", "report", "explain"} == {*TYPED}


@pytest.fixture
def told(rimfea, monkeypatch):
    """Run a command, and keep the console on which it told its answer."""
    outs = []
    close = printing.close
    monkeypatch.setattr(printing, "close", lambda out: (outs.append(out), close(out)))

    def run(name, *words):
        done = rimfea(name, *words)
        assert done.exit_code == 0, done.output
        (out,) = outs
        outs.clear()
        return done.stdout, out

    return run


@pytest.mark.long
@pytest.mark.parametrize("name", TYPED)
def test_an_answer_is_short_fits_and_is_explained(told, name, scans, tmp_path, monkeypatch):
    words, most, details = TYPED[name]
    monkeypatch.chdir(tmp_path)
    if name == "trace":
        faults = scans.Faults(light=0.2, tilt=2, dust=20, burrs=5)
        grey = scans.scan_of("curlew", dpi=300, faults=faults)
        Image.fromarray(grey).save("scan.png", dpi=(300, 300))
    if name == "reconcile":
        Path("dunnock.toml").write_text(UNSAWN, encoding="utf-8")
    text, out = told(name, *words, "--explain", "--table", "short.csv")
    every_table_is_in(tmp_path / "short.csv", out.tables)
    answer, words_and_caution = text.split("What the words mean")
    assert len(answer.splitlines()) + 2 <= most, answer
    every_heading_is_explained(words_and_caution, out)
    if details:
        more = told(name, *words, *details, "--explain", "--table", "long.csv")
        every_heading_is_explained(*more)
        every_table_is_in(tmp_path / "long.csv", more[1].tables)
    for width in WIDTHS:
        for encoding in ENCODINGS:
            again(out, width, encoding)


def again(out, width, encoding):
    """What was told, told once more on another terminal: no line is longer than that is wide."""
    file = io.TextIOWrapper(io.BytesIO(), encoding=encoding, write_through=True)
    other = printing.Told(
        file=file, width=width, markup=False, emoji=False, highlight=False, force_terminal=False
    )
    for line in out.said:
        other.say(line)
    for table in out.tables:
        printing.show_table(other, table)
    for line in file.buffer.getvalue().decode(encoding).splitlines():
        assert cell_len(line.rstrip()) <= width, (width, encoding, line)


def every_table_is_in(path, tables):
    """In order, each under its title where there are several, with the numbers that were shown."""
    if not tables:
        assert not path.exists()
        return
    with path.open(encoding="utf-8-sig", newline="") as file:
        rows = [*csv.reader(file)]
    for table in tables:
        if len(tables) > 1 and table.title:
            assert rows.pop(0) == [table.title]
        head, *found = (rows.pop(0) for _ in range(len(table.rows) + 1))
        units = [
            told[len(name) :].lstrip(", ") for name, told in zip(table.head, head, strict=True)
        ]
        for row, cells in zip(table.rows, found, strict=True):
            for unit, shown, cell in zip(units, row, cells, strict=True):
                assert cell == shown or shown in (f"{cell} {unit}", f"{cell}{unit}")
        if rows:
            assert rows.pop(0) == []
    assert not rows


def every_heading_is_explained(text, out):
    meant = " ".join(text.split("What the words mean")[-1].split())
    for table in out.tables:
        for label in (*table.head, *(row[0] for row in table.rows)):
            if not NAMES.match(label):
                found = headed_by(label)
                assert found, f"{table.title}: {label}"
                for term in found:
                    assert f"{term.word}: {term.meaning}" in meant
