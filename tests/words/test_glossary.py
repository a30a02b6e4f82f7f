"""Every word has one meaning, and every heading that a reader meets has one."""

from __future__ import annotations

import pytest

from rimfea.errors import UnknownError
from rimfea.profile.fields import BY_KEY
from rimfea.profile.walls import Wall
from rimfea.study.outcome import OUTCOMES
from rimfea.words.glossary import asked, explain, glossary, headed_by, meaning_of, terms_in
from rimfea.words.tables import Table


def test_a_meaning_is_one_line_that_begins_and_ends_without_a_capital_or_a_stop():
    for term in glossary().values():
        assert "\n" not in term.meaning, term.word
        assert 10 < len(term.meaning) < 200, term.word
        assert not term.meaning.endswith("."), term.word
        assert term.word not in term.says, term.word


def test_no_form_means_two_things():
    seen = {}
    for term in glossary().values():
        for form in {term.word, *term.says, *term.heads}:
            assert seen.setdefault(form.lower(), term.word) == term.word, form


@pytest.mark.parametrize("wall", Wall)
def test_every_wall_is_explained(wall):
    assert explain(str(wall)).word == str(wall)


@pytest.mark.parametrize("outcome", OUTCOMES, ids=lambda each: each.key)
def test_every_outcome_is_explained_by_its_title_and_its_short_head(outcome):
    assert headed_by(outcome.title), outcome.title
    assert headed_by(outcome.short or outcome.title), outcome.short


def test_a_key_of_the_sheet_means_what_the_sheet_says_of_it():
    field = BY_KEY["hook_lip_mm"]
    assert explain("hook_lip_mm").meaning == f"{field.meaning} (mm)"


def test_a_word_is_found_in_any_form_and_the_nearest_is_told_of_one_that_is_not_there():
    assert explain(" Folds  OVER ") is explain("fold over")
    assert [term.word for term in asked(["first", "yield"])] == ["first yield"]
    assert [term.word for term in asked(["flank", "dent"])] == ["flank", "dent"]
    assert asked([]) == [*glossary().values()]
    with pytest.raises(UnknownError, match="no word is called 'flnk': did you mean flank"):
        explain("flnk")
    with pytest.raises(UnknownError, match="rimfea explain lists all"):
        explain("zzzz")


def test_the_longer_of_two_forms_counts_and_each_term_once():
    told = terms_in(["Permanent set begins at 900 N, and set is set."], [])
    assert [term.word for term in told] == ["permanent set"]


def test_a_heading_counts_as_a_whole_where_a_sentence_does_not():
    assert [term.word for term in terms_in(["from the rim to the wall"], [])] == []
    table = Table("", ("wall", "to"), (("flank", "3"),))
    assert [term.word for term in terms_in([], [table])] == ["dimension", "tension window", "flank"]


def test_a_label_that_is_a_name_means_nothing():
    assert meaning_of("curlew") == ""
    assert meaning_of("hook lip: set begins").startswith("hook lip: the hook measured the other")
