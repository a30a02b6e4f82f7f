"""rimfea explain, and --explain."""

from __future__ import annotations

from rimfea.cli.main import COMMANDS


def test_a_word_is_explained_in_one_line(rimfea):
    assert rimfea("explain", "fold", "over").stdout.startswith("folds over: the greatest force")
    assert len(rimfea("explain").stdout.splitlines()) > 100
    assert "did you mean flank" in rimfea("explain", "flnk").stderr


def test_every_command_that_answers_in_text_can_explain_itself(rimfea):
    for name in {*COMMANDS} - {"new", "page", "report", "explain"}:
        assert "--explain" in rimfea(name, "--help").stdout, name
