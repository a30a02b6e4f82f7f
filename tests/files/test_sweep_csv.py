"""Sweeps in files: written point by point, read back, gone on with."""

from __future__ import annotations

import csv
import math
from dataclasses import replace
from pathlib import Path

import pytest

from rimfea.ask.sweep import DECIDED, Point, Sweep
from rimfea.errors import FileError
from rimfea.files.setup_toml import read_setup
from rimfea.files.sheet_toml import read_sheet
from rimfea.files.sweep_csv import read_points, recorded
from rimfea.study.outcome import OUTCOMES
from rimfea.study.setup import End
from rimfea.vary.axis import axes

CURLEW = Path(__file__).parents[2] / "profiles" / "curlew.toml"


@pytest.fixture(scope="module")
def sweep():
    across = axes(["sidewall_mm=1.0:1.4:4", "hook_lip_mm=2.0:2.2:2"])
    return Sweep(read_sheet(CURLEW), read_setup("gravel"), End.REAR, across)


@pytest.fixture(scope="module")
def made_up(sweep):
    """Points with numbers that no rounding keeps by luck, a gap and a fresh mesh among them."""
    values = {each.key: math.pi * 10**k / 7 for k, each in enumerate(OUTCOMES, start=-3)}
    values["drop_mm"] = math.inf
    walls = dict.fromkeys(DECIDED, "hook lip")
    found = [Point(place, values, walls) for place in sweep.places]
    found[1] = replace(found[1], remeshed='an angle of 12.3°, a "comma", too')
    found[2] = Point(sweep.places[2], gap="a clash, with a comma / and a second fault")
    return found


@pytest.fixture
def path(tmp_path):
    return tmp_path / "sweep.csv"


def write(path, sweep, points, **options):
    assert list(recorded(path, sweep, points, **options)) == list(points)


def test_what_is_written_is_read_back_to_the_last_bit(path, sweep, made_up):
    write(path, sweep, made_up)
    assert read_points(path, sweep) == {point.place: point for point in made_up}


def test_a_point_stands_in_the_file_before_the_next_is_asked_for(path, sweep, made_up):
    coming = recorded(path, sweep, made_up)
    for count in range(1, len(made_up) + 1):
        next(coming)
        assert len(read_points(path, sweep)) == count


def test_a_sweep_gone_on_with_makes_the_same_file_as_one_in_one_go(path, sweep, made_up, tmp_path):
    whole = tmp_path / "whole.csv"
    write(whole, sweep, made_up)
    write(path, sweep, made_up[:3])
    write(path, sweep, made_up[3:])
    assert path.read_bytes() == whole.read_bytes()


@pytest.mark.parametrize("torn", [1, 10, 60])
def test_a_last_line_that_was_torn_off_does_not_count_and_is_replaced(path, sweep, made_up, torn):
    write(path, sweep, made_up)
    whole = path.read_bytes()
    path.write_bytes(whole[:-torn])
    assert list(read_points(path, sweep)) == [point.place for point in made_up[:-1]]
    write(path, sweep, made_up[-1:])
    assert path.read_bytes() == whole


def test_no_file_has_no_points_and_so_has_one_torn_off_in_its_first_line(path, sweep, made_up):
    assert read_points(path, sweep) == {}
    path.write_text("# rimf")
    assert read_points(path, sweep) == {}
    write(path, sweep, made_up)
    assert len(read_points(path, sweep)) == len(made_up)


def test_any_program_that_reads_such_files_finds_a_row_a_point(path, sweep, made_up):
    write(path, sweep, made_up)
    lines = path.read_text(encoding="utf-8").splitlines()
    rows = list(csv.DictReader(line for line in lines if not line.startswith("#")))
    assert [float(row["sidewall_mm"]) for row in rows] == [point.place[0] for point in made_up]
    assert (rows[0]["yield_N_wall"], rows[2]["yield_N"]) == ("hook lip", "")
    assert rows[2]["gap"] == made_up[2].gap
    assert lines[1].startswith("# curlew: sidewall_mm 1 to 1.4 in 4, hook_lip_mm 2 to 2.2 in 2")


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("a,b\n1,2\n", "does not hold a sweep and is left as it is: write to another file"),
        ("no line end", "does not hold a sweep"),
        ("# rimfea sweep 1\n# dunlin: flank_mm\n# digest: 0\n", "holds another sweep (dunlin"),
        ("# rimfea sweep 1\n", "holds another sweep"),
    ],
)
def test_a_file_of_something_else_is_left_alone_unless_it_may_be_overwritten(
    path, sweep, made_up, text, told
):
    path.write_text(text)
    for attempt in (lambda: read_points(path, sweep), lambda: write(path, sweep, made_up)):
        with pytest.raises(FileError) as caught:
            attempt()
        assert told in str(caught.value)
        assert "--overwrite" in str(caught.value)
        assert path.read_text() == text
    write(path, sweep, made_up, overwrite=True)
    assert len(read_points(path, sweep)) == len(made_up)


def test_the_sweep_of_another_set_up_is_another_sweep(path, sweep, made_up):
    write(path, sweep, made_up)
    other = replace(sweep, setup=sweep.setup.varied(rider_kg=81))
    with pytest.raises(FileError, match="holds another sweep"):
        read_points(path, other)


@pytest.mark.parametrize(
    "spoilt",
    [
        lambda line: line.replace(",", ";"),
        lambda line: line.split(",")[0],
        lambda line: ",".join(line.split(",")[:-1]),
        lambda line: "x" + line,
    ],
)
def test_a_line_that_cannot_be_read_is_told_by_its_number(path, sweep, made_up, spoilt):
    write(path, sweep, made_up)
    lines = path.read_text(encoding="utf-8").splitlines()
    lines[6] = spoilt(lines[5])
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    with pytest.raises(FileError, match=r"sweep\.csv, line 7: cannot be read: delete the line"):
        read_points(path, sweep)


def test_a_file_that_is_no_text_or_a_folder_is_refused(path, sweep, made_up):
    path.write_bytes(b"\xff\xfe\x00")
    with pytest.raises(FileError, match="it is not text"):
        read_points(path, sweep)
    with pytest.raises(FileError, match="cannot be written"):
        write(path.parent / "none" / "a.csv", sweep, made_up)
    with pytest.raises(FileError, match="cannot be read"):
        write(path.parent, sweep, made_up)


def test_dents_that_nobody_asked_for_are_empty_and_not_read(path, sweep, made_up):
    dents = [each.key for each in OUTCOMES if each.dent]
    whole = made_up[0]
    without = {key: value for key, value in whole.outcomes.items() if key not in dents}
    points = [replace(whole, outcomes=without), *made_up[1:]]
    write(path, sweep, points)
    lines = [line for line in path.read_text().splitlines() if not line.startswith("#")]
    first = next(csv.DictReader(lines))
    assert {first[key] for key in dents} == {""}
    assert read_points(path, sweep)[whole.place].outcomes == without


def test_a_sweep_with_dents_is_another_than_one_without(sweep):
    assert replace(sweep, dents=True).digest != sweep.digest
