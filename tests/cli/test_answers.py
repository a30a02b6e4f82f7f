"""What `analyse`, `compare` and `inspect` say, and where they put it."""

from __future__ import annotations

import json
import re

import jsonschema
import pytest

from rimfea.errors import LoadError, SolveError
from rimfea.words.data import schema
from rimfea.words.numbers import CAUTION

SHORTEST = 25  # lines of what is told of a rim
SOLVING = ("analyse", "compare")
REAR = ["analyse", "--wheel", "rear"]
MAGIC = {"png": b"\x89PNG", "pdf": b"%PDF", "svg": b"<?xml"}


@pytest.mark.long
def test_analyse_names_the_governing_wall_with_its_load_and_ends_with_the_caution(rimfea, plover):
    done = rimfea("analyse", plover, "--wheel", "rear", "--details")
    told = " ".join(done.stdout.split())
    assert re.match(r"plover, gravel: clear\. This blow .*? stays in the tyre", told)
    for case in ("strike on both hooks", "strike on one hook", "spoke tension"):
        assert re.search(rf"{case}: the [a-z ]+ yields first, at \d+ N", told)
    assert re.search(r"inflation: the [a-z ]+ yields first, at [\d.]+ bar", told)
    assert re.search(r"lands on 10 mm of rim in effect and is carried by\s+\d+ mm", told)
    assert "computed: the wheel passes all 3; it keeps no set" in told
    assert re.search(
        r"0\.1 mm more (is best spent at the [a-z ]+: permanent|at any one wall: no)", told
    )
    assert re.search(r"Wheel \(32 spokes, 3 crossings, 1100 N\): a spoke goes slack at", told)
    assert re.search(r"radial stiffness +\d+ N per mm", done.stdout)
    assert told.endswith(CAUTION)


@pytest.mark.long
def test_analyse_says_what_a_blow_does_to_both_wheels_and_how_tight_to_build_them(rimfea, plover):
    told = rimfea("analyse", plover, "--details").stdout
    joined = " ".join(told.split())
    assert "Set-up gravel: 95 kg in all, 45 % in front; strikes a rock 60 mm round." in joined
    for end, bar in (("Front", "2.3"), ("Rear", "2.5")):
        assert f"{end}: 12 km/h against a step of 30 mm, " in joined
        assert re.search(rf"{end} tension: .*?\d+ to \d+ N \(\d+ kgf\)", joined)
        assert f"stays in the tyre at {bar} bar; the tyre is flat " in joined
    assert re.search(r"The rear wheel yields first, from a drop of about \d+ mm", joined)
    assert len(re.findall(r"\|[.=o]{40}\|", told)) == 2
    assert (
        re.findall(
            r"(?m)^plover, (front|rear) +(?:the tyre|\w[\w ]+ yields|\w[\w ]+: set|casing)", told
        )
        == ["front"] * 4 + ["rear"] * 4
    )


@pytest.mark.long
def test_analyse_says_what_dent_a_blow_leaves_and_then_how_the_dents_stand_on_the_ladder(
    rimfea, ouzel, tmp_path
):
    picture = tmp_path / "dented.png"
    words = ["--wheel", "rear", "--with", "drop_mm=150", "--picture", picture, "--details"]
    done = rimfea("analyse", ouzel, *words, dents=True)
    told = " ".join(done.stdout.split())
    assert re.search(r"Rear: this blow \(a drop of \d+ mm\) leaves (a|no) dent", told)
    assert re.search(r"; 0\.5 mm takes a drop of \d+ mm\.", told)
    drops = [int(each) for each in re.findall(r"mm dent [\d.]+ N [\d.]+ J (\d+) mm", told)]
    assert len(drops) == 3
    assert drops == sorted(drops)
    assert ": set begins" not in told
    assert "Dents: the metal flows by von Mises" in told
    assert picture.read_bytes()[:4] == MAGIC["png"]


@pytest.mark.long
def test_quick_leaves_dents_out_and_says_what_stands_for_them(rimfea, ouzel):
    told = " ".join(rimfea("analyse", ouzel, "--wheel", "rear").stdout.split())
    assert "mm dent" not in told
    assert "A dent was not followed: set is estimated to begin at" in told


@pytest.mark.long
def test_a_dent_that_cannot_be_followed_leaves_the_rest(rimfea, ouzel, monkeypatch):
    def fails(*_):
        raise SolveError("no rest")

    monkeypatch.setattr("rimfea.study.ride.dent_of", fails)
    done = rimfea("analyse", ouzel, "--wheel", "rear", "--details", dents=True)
    assert done.exit_code == 0
    told = " ".join(done.stdout.split())
    assert "Rear: the dent could not be followed; in its place" in told
    assert ": set begins" in told
    short = " ".join(rimfea("analyse", ouzel, "--wheel", "rear", dents=True).stdout.split())
    assert "A dent could not be followed: set is estimated to begin at" in short


@pytest.mark.long
def test_one_wheel_alone_is_told_and_drawn_alone(rimfea, ouzel):
    told = rimfea("analyse", ouzel, "--wheel", "front").stdout
    assert "Build: front" in told
    assert "rear" not in told
    assert len(told.splitlines()) <= SHORTEST


@pytest.mark.long
def test_compare_names_the_governing_wall_of_every_rim_and_ends_with_the_caution(
    rimfea, plover, ouzel
):
    told = " ".join(rimfea("compare", plover, ouzel, "--details").stdout.split())
    assert told.startswith("ouzel yields ")
    assert re.search(
        r"first yield, one hook: (better|worse|not told apart) \([+-]\d+ ± \d+ %\)", told
    )
    assert re.search(r"the proof stress of the metal alone makes ±\d+ %; with it known: ", told)
    for name in ("plover", "ouzel"):
        assert re.search(rf"{name}: First to yield under .*?: the [a-z ]+, at \d+ N;", told)
        assert re.search(rf"{name} [a-z ]+ \d+ N [a-z ]+ \d+ N [a-z ]+ \d+ N ", told)
        assert re.search(rf"{name}, rear \d+ mm \d+ mm \d+ mm \d+ mm ", told)
    assert re.search(r"mass, g \d+ ±[\d.]+ \(2\) \d+ ±[\d.]+ \+ \(1\) ", told)
    assert told.endswith(CAUTION)


@pytest.mark.long
def test_rims_are_held_against_the_base_that_is_named(rimfea, plover, ouzel):
    words = ["compare", plover, ouzel, "--base", "ouzel", "--wheel", "front"]
    short = rimfea(*words).stdout
    assert len(short.splitlines()) <= 30
    assert short.startswith("plover yields ")
    assert "Front wheel, gravel" in short
    assert "against ouzel" in short


def test_a_base_that_is_not_among_the_rims_is_refused_before_any_work(
    rimfea, plover, ouzel, monkeypatch
):
    monkeypatch.delattr("rimfea.ask.compare.measured")
    done = rimfea("compare", plover, ouzel, "--base", "pluver")
    assert (done.exit_code, done.stdout) == (2, "")
    assert "pluver: no rim here is called so; there are plover, ouzel" in done.stderr


def test_compare_without_a_sheet_takes_the_invented_rims(rimfea, monkeypatch):
    asked = []

    def remembered(sheets, *_, **__):
        asked.extend(sheet.name for sheet in sheets)
        raise LoadError("enough")

    monkeypatch.setattr("rimfea.ask.compare.compare", remembered)
    assert rimfea("compare").exit_code == 2
    assert asked == ["curlew", "grouse", "lapwing", "ouzel", "plover", "wheatear"]


def test_inspect_says_where_every_number_comes_from_and_what_the_scales_say(rimfea, plover):
    told = " ".join(rimfea("inspect", plover, "--details").stdout.split())
    assert "plover: hooked double wall" in told
    assert re.search(r"Computed mass \d+ g, weighed 694 g: [-+]\d+ g", told)
    assert "which agree within the ±" in told
    assert "What the scales tell of the lengths" in told
    assert "6061-T6: proof stress 240 ± 12 MPa (k = 2), assumed" in told
    assert " sidewall_mm 1.45 mm 0.053 mm sheet " in told
    assert " spoke_bed_mm 2.7 mm 0.47 mm assumed: as the nipple seat" in told
    assert told.endswith(CAUTION)


@pytest.mark.parametrize(
    "command", [*(pytest.param(each, marks=pytest.mark.long) for each in SOLVING), "inspect"]
)
def test_json_is_nothing_but_json_in_the_published_form(rimfea, plover, command):
    done = rimfea(command, plover, "--json")
    assert done.stderr == ""
    data = json.loads(done.stdout)
    jsonschema.validate(data, schema())
    assert data["caution"] == CAUTION
    governing = data["rims"][0]["governing"]
    assert (governing is None) == (command == "inspect")
    wheels = {"analyse": ["front", "rear"], "compare": ["rear"], "inspect": []}
    assert [ride["wheel"] for ride in data.get("rides", [])] == wheels[command]


@pytest.mark.parametrize(
    ("command", "ending"),
    [
        ("inspect", "png"),
        pytest.param("inspect", "svg", marks=pytest.mark.long),
        pytest.param("analyse", "pdf", marks=pytest.mark.long),
        pytest.param("compare", "png", marks=pytest.mark.long),
    ],
)
def test_a_picture_is_drawn_in_the_kind_that_its_ending_says(
    rimfea, ouzel, tmp_path, command, ending
):
    picture = tmp_path / f"rim.{ending}"
    wheel = [] if command == "inspect" or ending == "png" else ["--wheel", "rear"]
    done = rimfea(command, ouzel, "--picture", picture, *wheel)
    assert done.exit_code == 0
    assert done.stderr == f"Picture: {picture}\n"
    assert picture.read_bytes().startswith(MAGIC[ending])


def test_a_picture_beside_json_leaves_the_json_alone(rimfea, ouzel, tmp_path):
    done = rimfea("inspect", ouzel, "--json", "--picture", tmp_path / "rim.svg")
    assert json.loads(done.stdout)["rims"][0]["name"] == "ouzel"


@pytest.mark.long
def test_section_and_ring_are_written_on_demand(rimfea, ouzel, tmp_path):
    mesh, ring = tmp_path / "rim.vtu", tmp_path / "ring.vtu"
    done = rimfea("analyse", ouzel, "--wheel", "rear", "--mesh", mesh, "--ring", ring)
    assert done.stderr == f"Mesh: {mesh}\nRing: {ring}\n"
    for path in (mesh, ring):
        assert "von_mises_MPa" in path.read_text()


def test_a_slice_has_no_ring_to_write(rimfea, ouzel, tmp_path):
    done = rimfea("analyse", ouzel, "--slice", "--ring", tmp_path / "ring.vtu")
    assert (done.exit_code, done.stdout) == (2, "")
    assert "leave one out" in done.stderr


@pytest.mark.parametrize(
    ("command", "option", "file"),
    [
        (["inspect"], "--picture", "rim.png"),
        (["inspect"], "--table", "rim.csv"),
        pytest.param(REAR, "--mesh", "rim.vtu", marks=pytest.mark.long),
        pytest.param(REAR, "--picture", "rim.PDF", marks=pytest.mark.long),
    ],
)
def test_a_file_that_is_there_is_replaced_only_when_asked(
    rimfea, ouzel, tmp_path, command, option, file
):
    path = tmp_path / file
    path.write_text("dear to me")
    words = [*command, ouzel, option, path]
    done = rimfea(*words)
    assert (done.exit_code, done.stdout) == (2, "")
    assert "already there; add --overwrite" in done.stderr
    assert path.read_text() == "dear to me"
    assert rimfea(*words, "--overwrite").exit_code == 0
    assert path.read_bytes()[:10] != b"dear to me"


@pytest.mark.parametrize(
    ("option", "file", "told"),
    [
        ("--picture", "rim.jpg", "end it in .png or .pdf or .svg"),
        ("--picture", "rim", "end it in .png or .pdf or .svg"),
        ("--mesh", "rim.txt", "end it in .vtu"),
        ("--picture", "nowhere/rim.png", "there is no folder"),
        ("--mesh", "nowhere/rim.vtu", "there is no folder"),
        ("--table", "rim.txt", "end it in .csv"),
        ("--table", "nowhere/rim.csv", "there is no folder"),
        ("--ring", "rim.txt", "end it in .vtu"),
        ("--ring", "nowhere/rim.vtu", "there is no folder"),
    ],
)
def test_a_file_that_cannot_be_is_refused_before_any_work(
    rimfea, ouzel, tmp_path, option, file, told
):
    done = rimfea("analyse", ouzel, option, tmp_path / file)
    assert (done.exit_code, done.stdout) == (2, "")
    assert told in done.stderr


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["inspect", "curlew", "--json"], "leave --json or --table out"),
        (["inspect", "curlew", "--overwrite", "--json"], "leave --json or --table out"),
        (["compare", "curlew", "plover", "--short"], "leave --short or --table out"),
        (["sweep", "curlew", "sidewall=1:2:2", "--csv", "a.csv"], "give each a file of its own"),
    ],
)
def test_a_table_that_cannot_be_is_refused_before_any_work(
    rimfea, tmp_path, monkeypatch, words, told
):
    monkeypatch.chdir(tmp_path)
    done = rimfea(*words, "--table", "a.csv")
    assert (done.exit_code, done.stdout) == (2, "")
    assert told in done.stderr
    assert not (tmp_path / "a.csv").exists()


def test_the_table_is_told_and_where_there_is_none_that_too(rimfea, plover, tmp_path):
    path = tmp_path / "a.csv"
    done = rimfea("inspect", "curlew", "--table", path)
    assert done.stderr == f"Table: {path}\n"
    done = rimfea("reconcile", plover, "--table", path, "--overwrite")
    assert done.exit_code == 0
    assert done.stderr == f"{path}: not written, this answer has no table\n"


def test_a_picture_that_cannot_be_written_is_told(rimfea, ouzel, tmp_path):
    picture = tmp_path / "rim.png"
    picture.mkdir()
    done = rimfea("inspect", ouzel, "--picture", picture, "--overwrite")
    assert done.exit_code == 2
    assert f"{picture}: cannot be written: Is a directory" in done.stderr


@pytest.mark.long
def test_a_tension_beyond_buckling_is_told_instead_of_a_verdict(rimfea, wheatear):
    words = [wheatear, "--tension", "2000", "--wheel", "rear"]
    told = " ".join(rimfea("analyse", *words).stdout.split())
    assert re.match(
        r"WARNING wheatear: the rim buckles sideways from \d+ N a spoke: at 2000 N", told
    )
    for never in ("First to yield", "as the drop grows", "Build:", "0.1 mm more"):
        assert never not in told
    assert told.endswith(CAUTION)
    side = " ".join(rimfea("compare", *words, "--details").stdout.split())
    assert "wheatear the rim buckles the rim buckles the rim buckles" in side


@pytest.mark.long
def test_a_rim_near_buckling_and_slack_spokes_are_warned_of(rimfea, wheatear):
    words = ["analyse", wheatear, "--wheel", "rear"]
    tight = " ".join(rimfea(*words).stdout.split())
    assert "WARNING wheatear, rear: the rim buckles sideways at" in tight
    assert re.match(
        r"WARNING wheatear, rear: no tension works. The spokes need at least \d+ N .* bears at "
        r"most \d+ N .* on the right",
        tight,
    )
    loose = " ".join(rimfea(*words, "--tension", "150", "--with", "rider_kg=150").stdout.split())
    assert "WARNING wheatear, rear: a spoke goes slack under the wheel load" in loose
    assert "the rim buckles" not in loose


@pytest.mark.long
def test_where_tension_and_air_are_too_much_alone_no_strike_is_named(rimfea, wheatear):
    words = ["analyse", wheatear, "--pressure", "12bar", "--wheel", "rear"]
    told = " ".join(rimfea(*words).stdout.split())
    assert re.search(r"WARNING .*? yields first, under spoke tension and tyre pressure alone", told)
    assert "nan" not in told
    data = json.loads(rimfea(*words, "--json").stdout)
    jsonschema.validate(data, schema())
    assert data["rims"][0]["governing"]["load_at_first_yield_N"] == 0
    assert data["rims"][0]["cases"][0]["walls"][0]["first_yield"] is None


@pytest.mark.long
def test_every_wall_under_every_case_is_shown_when_asked(rimfea, ouzel):
    plain, details = (
        rimfea("analyse", ouzel, "--wheel", "rear", *words).stdout for words in ([], ["--details"])
    )
    for title in ("spoke tension, 1000 N in each spoke", "inflation, 2.5 bar in a tyre"):
        assert title not in plain
        assert title in details
    assert (plain.count("reaches mm"), details.count("reaches mm")) == (0, 7)
    for title in ("Spokes and casing", "What would spare the spoke holes", "Section", "Evidence"):
        assert title not in plain
        assert title in details


def test_a_slice_has_strikes_and_tension_but_no_wheel(rimfea, ouzel):
    done = rimfea("analyse", ouzel, "--slice")
    told = " ".join(done.stdout.split())
    assert re.match(
        r"ouzel, a plane slice and not the wheel: first to yield under a strike on both hooks", told
    )
    assert "Plane slice: a strike counts as its force per millimetre" in told
    assert "Wheel" not in told
    data = json.loads(rimfea("analyse", ouzel, "--slice", "--json").stdout)
    jsonschema.validate(data, schema())
    assert [case["name"] for case in data["rims"][0]["cases"]] == [
        "strike on both hooks", "strike on one hook", "spoke tension",
    ]  # fmt: skip


def test_a_slice_can_be_drawn(rimfea, ouzel, tmp_path):
    picture = tmp_path / "slice.png"
    assert rimfea("analyse", ouzel, "--slice", "--picture", picture).exit_code == 0
    assert picture.read_bytes().startswith(MAGIC["png"])


def test_two_mistakes_on_a_sheet_are_both_told_with_line_value_and_remedy(rimfea, sheet):
    path = sheet(sidewal_mm="1.2", tyre_well_mm="10")
    done = rimfea("analyse", path)
    assert (done.exit_code, done.stdout) == (2, "")
    lines = done.stderr.splitlines()
    assert f"{path}, line 8: tyre_well_mm = 10 mm: is out of range; allowed: 0.5 to 6 mm" in lines
    assert any(
        line.startswith(f"{path}, line 10: sidewal_mm") and "did you mean sidewall_mm" in line
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
    assert "is a directory, not a sheet" in done.stderr


@pytest.mark.long
def test_a_name_is_printed_as_it_was_written(rimfea, sheet):
    name = "[/bold] fell [red] :snowman:"
    path = sheet(name=f"'{name}'")
    for words in (["analyse", "--wheel", "rear"], ["compare"], ["inspect"]):
        assert name in rimfea(*words, path).stdout.splitlines()[0]
