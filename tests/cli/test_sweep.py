"""What `rimfea sweep` says and writes, and what it refuses."""

from __future__ import annotations

import json
import os
import re
import signal
import time
from pathlib import Path

import pytest

from rimfea.ask.sweep import DECIDED, Point
from rimfea.study.outcome import BY_KEY
from rimfea.words.numbers import CAUTION

PROFILES = Path(__file__).parents[2] / "profiles"
ALONG = "sidewall_mm=1.1:1.3:3"


@pytest.fixture
def curlew():
    return PROFILES / "curlew.toml"


@pytest.fixture
def asked(monkeypatch):
    """Numbers that are made up instead of computed; the places asked for, as they come."""
    places = []

    def points(_, missing, *, processes):
        assert processes == 2
        for place in missing:
            places.append(place)
            values = {key: 100.0 * place[0] + len(key) for key in BY_KEY}
            yield Point(place, values, dict.fromkeys(DECIDED, "hook lip"))

    monkeypatch.setattr("rimfea.ask.sweep.points", points)
    return places


@pytest.mark.long
def test_a_rim_is_swept_and_the_first_line_is_the_answer(rimfea, curlew, tmp_path):
    picture, out = tmp_path / "sweep.svg", tmp_path / "sweep.csv"
    words = ("sweep", curlew, "sidewall_mm=1.2:1.25:2", "--patch", "80", "--csv", out)
    done = rimfea(*words, "--picture", picture, "--processes", "1")
    assert done.exit_code == 0
    first = " ".join(done.stdout.split()).partition(" The rim itself")[0]
    found = re.fullmatch(
        r"curlew: each 0\.1 mm of sidewall adds (\d+) N \((\d\.\d) %\) to permanent set on one "
        r"hook, adds [\d.]+ N \(\d\.\d %\) to first yield on one hook, and (\d\.\d) g",
        first,
    )
    assert found
    assert 10 < int(found[1]) < 200
    assert 3 < float(found[3]) < 5
    told = " ".join(done.stdout.split())
    assert "The rim itself: sidewall 1.22 ± 0.03 mm; permanent set on one hook" in told
    assert told.endswith(CAUTION)
    assert picture.read_bytes().startswith(b"<?xml")
    assert len(out.read_text(encoding="utf-8").splitlines()) == 4 + 1 + 3
    again = rimfea(*words, "--processes", "1")
    assert again.stdout == done.stdout


def test_it_goes_on_where_it_stopped(rimfea, curlew, tmp_path, asked):
    out = tmp_path / "sweep.csv"
    whole = rimfea("sweep", curlew, ALONG, "--csv", out)
    assert asked == [(1.22,), (1.1,), (1.2,), (1.3,)]
    text = out.read_text(encoding="utf-8")
    out.write_text(text[: text.index("\n1.2,") + 1], encoding="utf-8")
    asked.clear()
    rest = rimfea("sweep", curlew, ALONG, "--csv", out)
    assert asked == [(1.2,), (1.3,)]
    assert rest.stdout == whole.stdout
    assert out.read_text(encoding="utf-8") == text


def test_a_file_of_another_sweep_is_left_alone_unless_it_may_be_overwritten(
    rimfea, curlew, tmp_path, asked
):
    out = tmp_path / "sweep.csv"
    rimfea("sweep", curlew, ALONG, "--csv", out)
    text = out.read_text(encoding="utf-8")
    asked.clear()
    for other in (["--with", "rider_kg=95"], ["--wheel", "front"], ["--strike", "3000N"]):
        done = rimfea("sweep", curlew, ALONG, "--csv", out, *other)
        assert done.exit_code == 2
        assert "holds another sweep (curlew: sidewall_mm 1.1 to 1.3 in 3; gravel, rear wheel)" in (
            done.stderr
        )
    assert asked == []
    assert out.read_text(encoding="utf-8") == text
    done = rimfea("sweep", curlew, ALONG, "--csv", out, "--wheel", "front", "--overwrite")
    assert done.exit_code == 0
    assert len(asked) == 4
    assert out.read_text(encoding="utf-8") != text


def test_two_axes_and_another_outcome_as_data_and_as_a_picture(rimfea, curlew, tmp_path, asked):
    picture = tmp_path / "sweep.png"
    words = ("sweep", curlew, ALONG, "hook_lip_mm=2.0:2.2:3", "--of", "drop_mm")
    done = rimfea(*words, "--json", "--picture", picture)
    data = json.loads(done.stdout)
    assert [axis["key"] for axis in data["axes"]] == ["sidewall_mm", "hook_lip_mm"]
    assert len(data["grid"]) == 9
    assert len(asked) == 10
    assert picture.read_bytes().startswith(b"\x89PNG")
    assert "of sidewall adds 10 mm" in rimfea(*words).stdout


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ([], "Missing argument"),
        (["sidewall_mm=1.0-1.6"], "axis: cannot be read: 'sidewall_mm=1.0-1.6'; write KEY=FROM"),
        (["sidewall_mm=1:nan:3"], "axis: sidewall_mm = nan mm: is out of range; allowed: 0.5 to 6"),
        (["sidewall_mm=1:1.6:0"], "cannot have so many points; allowed: 2 to 400"),
        (["sidewal=1:1.6:3"], "'sidewal' is not a key of a sheet; did you mean sidewall_mm"),
        (["washer_mm=8:12:3"], "sweep: washer_mm: cannot be swept in a hooked double wall rim"),
        ([ALONG, ALONG], "sidewall_mm: is on two axes; sweep two lengths, or one"),
        ([ALONG, "--of", "yeld_N"], "no outcome is called 'yeld_N': did you mean yield_N"),
        ([ALONG, "--csv", "sweep.txt"], "sweep.txt: end it in .csv"),
        ([ALONG, "--csv", "nowhere/sweep.csv"], "there is no folder nowhere"),
        ([ALONG, "--processes", "0"], "give a whole number from 1 to 64"),
        ([ALONG, "--setup", "moon"], "no set-up is called moon"),
    ],
)
def test_bad_input_ends_with_status_2_and_what_to_do(rimfea, curlew, asked, words, told):
    done = rimfea("sweep", curlew, *words)
    assert done.exit_code == 2
    assert told in " ".join(done.stderr.split())
    assert asked == []


@pytest.mark.long
def test_an_interrupt_ends_all_processes_without_a_word_too_many_and_keeps_what_was_found(
    program, curlew, tmp_path
):
    out = tmp_path / "sweep.csv"
    running = program(
        *("sweep", curlew, "sidewall_mm=1.0:1.4:99", "--csv", out), start_new_session=True
    )
    while running.poll() is None and not (out.exists() and out.read_text().count("\n") > 5):
        time.sleep(0.05)
    os.killpg(running.pid, signal.SIGINT)
    stdout, stderr = running.communicate(timeout=30)  # until nobody holds its streams any more
    assert (running.returncode, stdout, stderr.strip()) == (130, "", "Interrupted")
    assert out.read_text(encoding="utf-8").endswith("\n")
