"""rimfea explain, and --explain: every heading of every command has a line of its own."""

from __future__ import annotations

import re

import pytest

from rimfea.cli import printing
from rimfea.cli.main import COMMANDS
from rimfea.words.glossary import headed_by

ANSWERS = {
    "inspect": ["curlew", "--details"],
    "analyse": ["curlew", "--setup", "trail", "--details"],
    "compare": ["curlew", "wheatear", "--quick", "--details"],
    "why": ["curlew"],
    "worth": ["curlew", "--quick", "--details"],
    "wear": ["wheatear", "--pressure", "6bar"],
    "reconcile": ["plover", "--also", "flank_mm"],
    "choose": ["curlew", "plover"],
    "sweep": ["curlew", "sidewall=1.1:1.3:2"],
}
NAMES = re.compile(r"^((curlew|wheatear|plover)(, (front|rear))?|sheet|ouzel|\d.*|[+-]\d.*|)$")


def test_a_word_is_explained_in_one_line(rimfea):
    assert rimfea("explain", "fold", "over").stdout.startswith("folds over: the greatest force")
    assert len(rimfea("explain").stdout.splitlines()) > 100
    assert "did you mean flank" in rimfea("explain", "flnk").stderr


@pytest.mark.long
@pytest.mark.parametrize("name", ANSWERS)
def test_every_heading_of_a_command_is_explained(rimfea, monkeypatch, name):
    tables = []
    show = printing.show_table
    monkeypatch.setattr(
        printing, "show_table", lambda out, table: (tables.append(table), show(out, table))
    )
    told = rimfea(name, *ANSWERS[name], "--explain").stdout
    meant = " ".join(told.split("What the words mean")[1].split())
    for table in tables:
        for label in (*table.head, *(row[0] for row in table.rows)):
            if NAMES.match(label):
                continue
            found = headed_by(label)
            assert found, f"{table.title}: {label}"
            for term in found:
                assert f"{term.word}: {term.meaning}" in meant


def test_every_command_that_answers_in_text_can_explain_itself(rimfea):
    for name in {*COMMANDS} - {"new", "page", "report", "explain"}:
        assert "--explain" in rimfea(name, "--help").stdout, name
