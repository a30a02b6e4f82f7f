"""Rings as a table of coordinates."""

from __future__ import annotations

import pytest

from rimfea.errors import FileError, SectionError
from rimfea.files.outline_csv import read_outline_csv, write_outline_csv
from rimfea.geometry.outline import moments
from rimfea.traced.repair import repaired


def test_what_is_written_is_read_back(curlew, tmp_path):
    path = tmp_path / "curlew.csv"
    write_outline_csv(path, curlew)
    found = repaired(read_outline_csv(path)).outline
    assert moments(found) == pytest.approx(moments(curlew), rel=1e-6, abs=1e-4)
    with pytest.raises(FileError, match="is already there"):
        write_outline_csv(path, curlew)


@pytest.mark.parametrize(
    "text",
    [
        "x_mm,y_mm\n0,0\n1.5,0\n0,2\n",
        "# unit: mm\n0 0\n1.5 0\n0 2\n0 0\n",
        "y (mm);x (mm)\n0;0\n0;1,5\n2;0\n",
        "# made by hand\nunit = mm\n\n0\t0\n1.5\t0\n0\t2\n\n",
        "ring,x,y,unit\n# units: mm\n1,0,0\n1,1.5,0\n1,0,2\n",
        "\ufeffx [inch],y [inch]\n0,0\n0.0590551181,0\n0,0.0787401575\n",
    ],
)
def test_tables_as_programs_write_them_are_one_triangle(file, text):
    (found,) = read_outline_csv(file("a.csv", text)).trails
    assert found.is_closed
    assert found.corners.ravel() == pytest.approx([0, 0, 1.5, 0, 0, 2])


def test_rings_end_at_an_empty_line_or_where_their_number_changes(file):
    lines = read_outline_csv(file("a.csv", "x_mm,y_mm\n0,0\n1,0\n0,1\n\n\n5,5\n6,5\n5,6\n")).trails
    assert [each.where[0] for each in lines] == ["line 2", "line 7"]
    told = "x_mm,y_mm,ring\n" + "".join(f"{k},{k * k},{k // 3}\n" for k in range(9))
    assert len(read_outline_csv(file("b.csv", told)).trails) == 3


def test_a_unit_that_nobody_tells_is_asked_for(file):
    path = file("a.csv", "x,y\n0,0\n1,0\n0,1\n")
    with pytest.raises(FileError, match="in which unit was it drawn"):
        read_outline_csv(path)
    assert read_outline_csv(path, "inch").trails[0].corners.max() == 25.4


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("x_mm,y_mm\n0,0\n1,zero\n", "line 3: 'zero' is no number; a line is: x, y"),
        ("x_mm,y_mm\n0,0\n1\n", "line 3: a number is missing"),
        ("width,height\n0,0\n", "line 1: neither numbers nor heads x and y: width, height"),
        ("x_mm,y_inch\n0,0\n", "line 1: x and y are in units of their own"),
    ],
)
def test_what_cannot_be_read_is_told_with_its_line(file, text, told):
    with pytest.raises(FileError) as caught:
        read_outline_csv(file("a.csv", text))
    assert told in str(caught.value)


def test_a_number_that_is_none_is_refused(file):
    with pytest.raises(SectionError, match=r"a\.csv, line 3: is not a finite number"):
        read_outline_csv(file("a.csv", "x_mm,y_mm\n0,0\nnan,1\n1,1\n"))


def test_more_points_than_a_section_needs_are_refused(file, monkeypatch):
    monkeypatch.setattr("rimfea.files.outline_csv.MOST_POINTS", 1000)
    with pytest.raises(FileError, match="more than 1000 points"):
        read_outline_csv(file("a.csv", "x_mm,y_mm\n" + "1,2\n" * 1001))


def test_a_table_without_rows_has_no_outline(file):
    assert read_outline_csv(file("a.csv", "x_mm,y_mm\n")).trails == ()
