"""What the words and numbers of an answer mean, in one line each, from one table."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib import resources

from rimfea.errors import UnknownError
from rimfea.profile.field import Field
from rimfea.profile.fields import FIELDS
from rimfea.profile.values import nearest
from rimfea.study.setup import FIELDS as SETUP_FIELDS
from rimfea.words.tables import Table


@dataclass(frozen=True)
class Term:
    """A word and what it means; ``says`` are the forms in which a text has it, ``heads`` those
    that count only as a heading by themselves.
    """

    word: str
    meaning: str
    says: tuple[str, ...] = ()
    heads: tuple[str, ...] = ()

    def __str__(self) -> str:
        return f"{self.word}: {self.meaning}"


@cache
def glossary() -> Mapping[str, Term]:
    """Every term by its word: those of ``glossary.toml``, then the keys of sheets and set-ups that
    nobody would take for plain words.
    """
    text = (resources.files("rimfea.words") / "glossary.toml").read_text(encoding="utf-8")
    terms = {
        word: Term(word, row["meaning"], tuple(row.get("says", ())), tuple(row.get("heads", ())))
        for word, row in tomllib.loads(text).items()
    }
    words = {word.lower() for word in terms}
    for field in (each for each in (*SETUP_FIELDS, *FIELDS) if "_" in each.key):
        plain = _plain(field)
        heads = (plain,) if field in FIELDS and plain not in words else ()
        terms[field.key] = Term(field.key, _of_field(field.meaning, field.unit), heads=heads)
    return terms


def explain(word: str) -> Term:
    """The term of that word, in whatever form; raises :class:`~rimfea.errors.UnknownError` with the
    nearest ones if there is none.
    """
    found = _heads().get(" ".join(word.lower().split()))
    if found is None:
        near = nearest(word, _heads()) or "rimfea explain lists all"
        raise UnknownError(f"no word is called '{word}': {near}")
    return found


def asked(words: Sequence[str]) -> list[Term]:
    """The terms of these words, typed each by itself or as one: first yield; without any, all."""
    if not words:
        return [*glossary().values()]
    whole = " ".join(words)
    return [explain(whole)] if whole.lower() in _heads() else [explain(word) for word in words]


def terms_in(sentences: Iterable[str], tables: Iterable[Table]) -> list[Term]:
    """The terms of an answer: of its sentences, then of the headings and first cells of tables."""
    found = [term for line in sentences for term in said_in(line)]
    for table in tables:
        found += said_in(table.title)
        for label in (*table.head, *(row[0] for row in table.rows)):
            found += headed_by(label)
    return list(dict.fromkeys(found))


def said_in(text: str) -> Iterator[Term]:
    """The terms that a text has, longer forms first where two overlap."""
    for match in _any_form().finditer(text.lower()):
        yield _by_form()[match[0]]


def meaning_of(label: str) -> str:
    """A heading's terms as one text; empty if it has none."""
    return "; ".join(map(str, headed_by(label)))


def headed_by(label: str) -> list[Term]:
    """The terms of a heading: the one that it is, else those that it has, else that of its first
    word, as in "against curlew".
    """
    told = label.strip().lower()
    whole = _heads().get(told)
    if whole:
        return [whole]
    begun = _heads().get(told.partition(" ")[0])
    return [*said_in(label)] or ([begun] if begun else [])


@cache
def _by_form() -> Mapping[str, Term]:
    """Terms by every form that a sentence may have."""
    found: dict[str, Term] = {}
    for term in glossary().values():
        own = () if term.word.lower() in term.heads else (term.word,)
        for form in (*own, *term.says):
            found.setdefault(form.lower(), term)
    return found


@cache
def _heads() -> Mapping[str, Term]:
    """Terms by what a heading may be as a whole."""
    heads = {head: term for term in glossary().values() for head in term.heads}
    return {**heads, **_by_form()}


@cache
def _any_form() -> re.Pattern[str]:
    forms = sorted(_by_form(), key=len, reverse=True)
    return re.compile(rf"(?<!\w)(?:{'|'.join(map(re.escape, forms))})(?!\w)")


def _plain(field: Field) -> str:
    """The key as tables of dimensions have it."""
    return field.key.removesuffix(f"_{field.unit}").replace("_", " ")


def _of_field(meaning: str, unit: str) -> str:
    return f"{meaning} ({unit})" if unit else meaning
