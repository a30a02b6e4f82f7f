from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from PIL import Image

from rimfea.files.section import read_section, write_section
from rimfea.files.sheet_toml import read_sheet
from rimfea.traced.place import Move, moved
from rimfea.words.numbers import CAUTION


@pytest.fixture
def scan(scans, tmp_path):
    path = tmp_path / "scan.png"
    faults = scans.Faults(light=0.2, tilt=2, dust=20, burrs=5)
    Image.fromarray(scans.scan_of("curlew", dpi=300, faults=faults)).save(path, dpi=(300, 300))
    return path


@pytest.fixture
def drawn(scans, tmp_path):
    path = tmp_path / "drawn.dxf"
    write_section(path, moved(scans.section_of("curlew"), Move(20.0, 9.0)))
    return path


def test_a_scan_is_told_in_25_lines_what_to_check_first(rimfea, scan, tmp_path):
    picture, outline = tmp_path / "seen.png", tmp_path / "mine.csv"
    done = rimfea("trace", scan, "--picture", picture, "--outline", outline,
                  "--bead-seat-diameter", "622", "--mirror")  # fmt: skip
    assert done.exit_code == 0, done.stderr
    lines = done.stdout.splitlines()
    assert len(lines) <= 25
    assert lines[0].startswith("scan.png: Check with the caliper: the section is 28.2")
    assert " ".join(done.stdout.split()).endswith(CAUTION)
    assert picture.exists()
    assert read_section(outline).area_mm2 == pytest.approx(109, abs=1)


def test_a_drawing_is_moved_and_written_in_another_format(rimfea, drawn, tmp_path):
    outline = tmp_path / "mine.svg"
    done = rimfea("trace", drawn, "--outline", outline)
    assert "moved 20.00 mm to the left and moved 9.00 mm inward" in done.stdout
    assert not read_section(outline).move
    again = rimfea("trace", drawn, "--outline", outline)
    assert (again.exit_code, "already there" in again.stderr) == (2, True)


def test_data_are_json(rimfea, drawn):
    told = json.loads(rimfea("trace", drawn, "--json").stdout)
    assert told["moved"] == {"x_mm": pytest.approx(-20), "y_mm": pytest.approx(-9), "turn_deg": 0}


def test_what_is_refused_is_drawn_with_its_place_and_ends_with_status_2(rimfea, drawn, tmp_path):
    picture, over = tmp_path / "why.png", tmp_path / "over.csv"
    write_section(over, moved(read_section(drawn).outline, Move(turn=3.14159)))
    done = rimfea("trace", over, "--picture", picture)
    assert done.exit_code == 2
    assert done.stderr.splitlines()[-1].startswith(f"{over}: the section lies upside down")
    assert "turn it until the hooks are up" in done.stderr
    assert picture.exists()


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--known", "depth=2cm"), "write depth=21.0 or width=28.4"),
        (("--between", "1,2,3=4"), "such as 120,40,1302,40=50"),
        (("--outline", "a.stl"), "end it in .csv or .json or .dxf or .svg"),
        (("--dpi", "600"), "is a drawing"),
        (("--known", "depth=21.0mm"), "is a drawing"),
        (("--between", "1,2,300,4=50"), "is a drawing"),
    ],
)
def test_a_word_that_cannot_be_meant_is_told(rimfea, drawn, words, told):
    done = rimfea("trace", drawn, *words)
    assert done.exit_code == 2
    assert told in " ".join(done.stderr.split())


def test_a_missing_file_is_told(rimfea):
    assert "there is no such file" in rimfea("trace", Path("none.dxf")).stderr


def test_a_sheet_and_a_verdict_need_the_size_of_the_wheel(rimfea, scan, tmp_path):
    done = rimfea("trace", scan, "--sheet", tmp_path / "own.toml")
    assert done.exit_code == 2
    assert "needs --bead-seat-diameter" in done.stderr


@pytest.mark.long
def test_a_scan_becomes_a_sheet_and_a_verdict_in_one_command(rimfea, scans, tmp_path):
    path, own = tmp_path / "face.png", tmp_path / "own.toml"
    Image.fromarray(scans.scan_of("wheatear")).save(path, dpi=(600, 600))
    done = rimfea("trace", path, "--bead-seat-diameter", "622", "--sheet", own, "--verdict")
    assert done.exit_code == 0, done.stderr
    told = re.match(r"First to yield: the (.+), at (\d+) ± (\d+) N on one hook", done.stdout)
    assert told[1] in {"bead hook", "hook lip"}
    assert 0.03 < float(told[3]) / float(told[2]) < 0.4
    assert read_sheet(own).sidewall_mm == pytest.approx(1.8, abs=0.02)
    assert own.read_text().startswith("# From the scan face.png.\n# As a sheet it is a single wall")
    assert rimfea("inspect", own).exit_code == 0


@pytest.mark.long
def test_an_outline_is_kept_on_request_with_the_walls_that_a_builder_says(rimfea, drawn, tmp_path):
    sheet, boxes = tmp_path / "own.toml", tmp_path / "walls.toml"
    boxes.write_text("bead_seat = [[-14.2, -8, -12, -1.5], [12, -8, 14.2, -1.5]]\n")
    done = rimfea("trace", drawn, "--bead-seat-diameter", "622", "--sheet", sheet,
                  "--walls", boxes)  # fmt: skip
    assert done.exit_code == 0, done.stderr
    assert "It is kept as it was traced; a hooked double wall would be drawn within" in " ".join(
        done.stdout.split()
    )
    assert "Which wall is which" in done.stdout
    kept = read_sheet(sheet)
    assert (tmp_path / "own-section.json").exists()
    assert kept.section is not None
    assert kept.flank_mm == pytest.approx(read_sheet("curlew").flank_mm, abs=0.01)
    again = rimfea("trace", drawn, "--bead-seat-diameter", "622", "--sheet", sheet, "--as-traced")
    assert (again.exit_code, "already there" in again.stderr) == (2, True)
    wrong = rimfea("trace", drawn, "--as-traced")
    assert (wrong.exit_code, "needs --bead-seat-diameter" in wrong.stderr) == (2, True)
