from __future__ import annotations

import csv

import pytest

from rimfea.errors import FileError
from rimfea.files.tables_csv import write_tables
from rimfea.profile.walls import Wall
from rimfea.words.tables import Table


@pytest.fixture
def written(tmp_path):
    """Rows of the file that tables are written to."""

    def write(*tables):
        path = tmp_path / "tables.csv"
        write_tables(path, tables, overwrite=True)
        with path.open(encoding="utf-8-sig", newline="") as file:
            return [*csv.reader(file)]

    return write


def column(*cells, head="force"):
    return Table("", (head,), tuple((cell,) for cell in cells))


def test_one_table_is_its_headings_and_its_rows(written):
    table = Table("told above", ("wall", "note"), ((Wall.SIDEWALL, 'a, "b"'), (Wall.FLANK, "±")))
    assert written(table) == [["wall", "note"], ["sidewall", 'a, "b"'], ["flank", "±"]]


def test_several_tables_stand_below_each_other_each_under_its_title(written):
    first, second = Table("one", ("a",), (("x",),)), Table("two", ("b", "c"), (("y", "z"),))
    untitled = Table("", ("d",), (("w",),))
    assert written(first, second, untitled) == [
        *(["one"], ["a"], ["x"], []),
        *(["two"], ["b", "c"], ["y", "z"], []),
        *(["d"], ["w"]),
    ]


@pytest.mark.parametrize(
    ("cells", "heading", "bare"),
    [
        (("1040 N", "0 N"), "force, N", ("1040", "0")),
        (("-93.8 MPa", "+7.2 MPa"), "force, MPa", ("-93.8", "+7.2")),
        (("4840 N per mm",), "force, N per mm", ("4840",)),
        (("28.1°",), "force, °", ("28.1",)),
        (("2.0 bar", "not by air", "-"), "force, bar", ("2.0", "not by air", "-")),
    ],
)
def test_a_unit_that_all_numbers_have_is_in_the_heading(written, cells, heading, bare):
    assert written(column(*cells)) == [[heading], *([cell] for cell in bare)]


@pytest.mark.parametrize(
    "cells",
    [
        ("1040", "2.5"),  # no unit, or told in the heading already
        ("109.3 mm²", "-6.28 mm"),
        ("1040 N", "2000"),
        ("787 to 1130 N", "900 N"),
        ("1010 ±89 N",),
        ("3540 N (2 waves)",),
        ("20.00 mm, -4.01, -17 % *", "20.00 mm"),
        ("2e-08 relative",),
        ("25-622 mm",),
        ("curlew", "plover"),
    ],
)
def test_a_column_that_says_more_than_numbers_of_one_unit_stays_as_it_is(written, cells):
    assert written(column(*cells)) == [["force"], *([cell] for cell in cells)]


def test_a_column_without_a_heading_has_the_unit_for_one(written):
    assert written(column("3 g", head="")) == [["g"], ["3"]]


def test_the_file_says_that_it_is_utf_8_and_ends_its_rows_as_the_standard_has_it(tmp_path):
    write_tables(tmp_path / "a.csv", [column("±")])
    assert (tmp_path / "a.csv").read_bytes() == b"\xef\xbb\xbfforce\r\n\xc2\xb1\r\n"


def test_a_file_that_is_there_already_is_not_overwritten(tmp_path):
    (tmp_path / "kept.csv").write_text("mine")
    with pytest.raises(FileError, match="not overwritten"):
        write_tables(tmp_path / "kept.csv", [column("1 N")])
    assert (tmp_path / "kept.csv").read_text() == "mine"
