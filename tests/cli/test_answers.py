"""What `analyse`, `compare` and `inspect` say, and where they put it."""

from __future__ import annotations

import json
import re

import jsonschema
import pytest

from rimfea.report.answers import schema
from rimfea.report.words import CAUTION

MAGIC = {"png": b"\x89PNG", "pdf": b"%PDF", "svg": b"<?xml"}


def test_analyse_names_the_governing_wall_with_its_load_and_ends_with_the_caution(rimfea, plover):
    done = rimfea("analyse", plover)
    told = " ".join(done.stdout.split())
    assert re.match(
        r"plover: The [a-z ]+ governs: under a strike on both hooks it yields first, at \d+ N; ",
        told,
    )
    for case in ("strike on both hooks", "strike on one hook", "spoke tension"):
        assert re.search(rf"{case}: the [a-z ]+ governs, first yield at \d+ N", told)
    assert re.search(r"0\.1 mm more at the [a-z ]+: first yield at \d+ % more load, \+\d+ g", told)
    assert told.endswith(CAUTION)


def test_compare_names_the_governing_wall_of_every_rim_and_ends_with_the_caution(
    rimfea, plover, merlin
):
    told = " ".join(rimfea("compare", plover, merlin).stdout.split())
    for name in ("plover", "merlin"):
        assert re.search(rf"{name}: The [a-z ]+ governs: .*? yields first, at \d+ N;", told)
        assert re.search(rf"│ {name} │ [a-z ]+ \d+ N │ [a-z ]+ \d+ N │ [a-z ]+ \d+ N │", told)
    assert told.endswith(CAUTION)


def test_compare_without_a_sheet_takes_the_invented_rims(rimfea):
    done = rimfea("compare", "--json")
    names = [rim["name"] for rim in json.loads(done.stdout)["rims"]]
    assert names == ["curlew", "grouse", "lapwing", "merlin", "plover", "wheatear"]


def test_inspect_says_where_every_number_comes_from_and_what_the_scales_say(rimfea, plover):
    told = " ".join(rimfea("inspect", plover).stdout.split())
    assert "plover: hooked double wall" in told
    assert re.search(r"Computed mass \d+ g, weighed 628 g: [-+]\d+ g", told)
    assert "│ sidewall_mm │ 1.45 mm │ sheet │" in told
    assert "│ spoke_bed_mm │ 1.8 mm │ assumed: as the nipple seat" in told
    assert told.endswith(CAUTION)


@pytest.mark.parametrize("command", ["analyse", "compare", "inspect"])
def test_json_is_nothing_but_json_in_the_published_form(rimfea, plover, command):
    done = rimfea(command, plover, "--json")
    data = json.loads(done.stdout)
    jsonschema.validate(data, schema())
    assert data["caution"] == CAUTION
    governing = data["rims"][0]["governing"]
    assert (governing is None) == (command == "inspect")


@pytest.mark.parametrize(
    ("command", "ending"),
    [
        ("analyse", "png"), ("analyse", "pdf"), ("analyse", "svg"),
        ("compare", "png"), ("inspect", "png"),
    ],
)  # fmt: skip
def test_a_picture_is_drawn_in_the_kind_that_its_ending_says(
    rimfea, merlin, tmp_path, command, ending
):
    picture = tmp_path / f"rim.{ending}"
    done = rimfea(command, merlin, "--picture", picture)
    assert done.exit_code == 0
    assert done.stderr == f"Picture: {picture}\n"
    assert picture.read_bytes().startswith(MAGIC[ending])


def test_a_picture_beside_json_leaves_the_json_alone(rimfea, merlin, tmp_path):
    done = rimfea("inspect", merlin, "--json", "--picture", tmp_path / "rim.svg")
    assert json.loads(done.stdout)["rims"][0]["name"] == "merlin"


def test_the_mesh_is_written_on_demand(rimfea, merlin, tmp_path):
    mesh = tmp_path / "rim.vtu"
    done = rimfea("analyse", merlin, "--mesh", mesh)
    assert done.stderr == f"Mesh: {mesh}\n"
    assert "von_mises_MPa" in mesh.read_text()


@pytest.mark.parametrize(
    ("option", "file"), [("--picture", "rim.png"), ("--picture", "rim.PDF"), ("--mesh", "rim.vtu")]
)
def test_a_file_that_is_there_is_replaced_only_when_asked(rimfea, merlin, tmp_path, option, file):
    path = tmp_path / file
    path.write_text("dear to me")
    done = rimfea("analyse", merlin, option, path)
    assert (done.exit_code, done.stdout) == (2, "")
    assert "already there; add --overwrite" in done.stderr
    assert path.read_text() == "dear to me"
    assert rimfea("analyse", merlin, option, path, "--overwrite").exit_code == 0
    assert path.read_bytes()[:10] != b"dear to me"


@pytest.mark.parametrize(
    ("option", "file", "told"),
    [
        ("--picture", "rim.jpg", "end it in .png or .pdf or .svg"),
        ("--picture", "rim", "end it in .png or .pdf or .svg"),
        ("--mesh", "rim.txt", "end it in .vtu"),
        ("--picture", "nowhere/rim.png", "there is no folder"),
        ("--mesh", "nowhere/rim.vtu", "there is no folder"),
    ],
)
def test_a_file_that_cannot_be_is_refused_before_any_work(
    rimfea, merlin, tmp_path, option, file, told
):
    done = rimfea("analyse", merlin, option, tmp_path / file)
    assert (done.exit_code, done.stdout) == (2, "")
    assert told in done.stderr


def test_a_picture_that_cannot_be_written_is_told(rimfea, merlin, tmp_path):
    picture = tmp_path / "rim.png"
    picture.mkdir()
    done = rimfea("inspect", merlin, "--picture", picture, "--overwrite")
    assert done.exit_code == 2
    assert f"{picture}: cannot be written: Is a directory" in done.stderr


def test_forces_and_stresses_are_told_in_the_units_asked_for(rimfea, merlin):
    plain = rimfea("analyse", merlin, "--json").stdout
    load = json.loads(plain)["rims"][0]["governing"]["load_at_first_yield_N"]
    done = rimfea("analyse", merlin, "--force-unit", "kgf", "--pressure-unit", "bar")
    shown = re.search(r"it yields first, at (\d+) kgf", " ".join(done.stdout.split()))
    assert float(shown[1]) == pytest.approx(load / 9.80665, rel=0.005)
    assert " bar " in done.stdout
    assert not re.search(r"\d (N|MPa)\b(?! m²)", done.stdout)


def test_a_force_is_read_in_the_unit_it_is_given_in(rimfea, merlin):
    done = rimfea("compare", merlin, "--json", "--strike", "200kgf", "--tension", "100 LBF")
    loading = json.loads(done.stdout)["loading"]
    assert loading["strike_N"] == pytest.approx(1961.33)
    assert loading["tension_N"] == pytest.approx(444.822, rel=1e-5)


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--strike", "-5"], "'-5': give a number with N, kgf, lbf"),
        (["--strike", "0"], "from 1 to 1000000 N"),
        (["--strike", "nan"], "'nan': give a number"),
        (["--strike", "1e400"], "'1e400': give a number"),
        (["--strike", "2,000"], "'2,000': give a number"),
        (["--tension", "100kg"], "'100kg': give a number with N, kgf, lbf"),
        (["--tension", "1e-300"], "from 1 to 1000000 N"),
        (["--patch", "0"], "0: allowed 0.1 to 1000 mm of rim"),
        (["--patch", "nan"], "nan: allowed 0.1 to 1000 mm of rim"),
        (["--patch", "wide"], "'wide' is not a valid float"),
        (["--angle", "90"], "90 deg: allowed -75 to 75"),
        (["--angle", "nan"], "nan deg: allowed -75 to 75"),
        (["--force-unit", "stone"], "'stone' is not one of 'N', 'kgf', 'lbf'"),
    ],
)
def test_a_load_that_cannot_be_is_refused(rimfea, merlin, words, told):
    done = rimfea("compare", merlin, *words)
    assert (done.exit_code, done.stdout) == (2, "")
    assert told in done.stderr


def test_a_strike_twice_as_hard_uses_up_twice_as_much(rimfea, merlin):
    used = [
        json.loads(rimfea("compare", merlin, "--json", "--strike", force).stdout)["rims"][0][
            "cases"
        ][0]["walls"][0]["first_yield"]
        for force in ("1000N", "2000N")
    ]
    assert used[1] == pytest.approx(2 * used[0], rel=1e-9)


def test_two_mistakes_on_a_sheet_are_both_told_with_line_value_and_remedy(rimfea, sheet):
    path = sheet(sidewal_mm="1.2", tyre_well_mm="10")
    done = rimfea("analyse", path)
    assert (done.exit_code, done.stdout) == (2, "")
    lines = done.stderr.splitlines()
    assert f"{path}, line 8: tyre_well_mm = 10 mm: is out of range; allowed: 0.5 to 6 mm" in lines
    assert any(
        line.startswith(f"{path}, line 10: sidewal_mm") and "did you mean sidewall_mm?" in line
        for line in lines
    )
    assert "Traceback" not in done.output


def test_the_faults_of_all_sheets_are_told_at_once(rimfea, sheet, plover):
    first = sheet("first.toml", sidewall_mm="13")
    second = sheet("second.toml", alloy='"6061-T9"')
    done = rimfea("compare", first, plover, second)
    assert (done.exit_code, done.stdout) == (2, "")
    one, two = done.stderr.splitlines()
    assert one.startswith(f"{first}, line 7: sidewall_mm = 13 mm")
    assert two.startswith(f"{second}, line 10: alloy = '6061-T9'")
    assert "did you mean 6061-T6" in two


@pytest.mark.parametrize("command", ["analyse", "inspect", "compare"])
def test_a_missing_file_is_told(rimfea, tmp_path, command):
    done = rimfea(command, tmp_path / "gone.toml")
    assert (done.exit_code, done.stdout) == (2, "")
    assert done.stderr == f"{tmp_path / 'gone.toml'}: there is no such file\n"


def test_a_folder_without_sheets_is_told(rimfea, tmp_path):
    done = rimfea("compare", tmp_path)
    assert done.exit_code == 2
    assert f"{tmp_path}: there is no sheet (*.toml) in this folder" in done.stderr


def test_a_folder_is_no_sheet(rimfea, tmp_path):
    done = rimfea("analyse", tmp_path)
    assert done.exit_code == 2
    assert "is a directory, not a caliper sheet" in done.stderr


def test_a_name_is_printed_as_it_was_written(rimfea, sheet):
    path = sheet(name="'[/bold] fell [red] :snowman:'")
    for command in ("analyse", "compare", "inspect"):
        assert rimfea(command, path).stdout.startswith("[/bold] fell [red] :snowman:: ")
