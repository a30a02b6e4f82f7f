"""What is found of each rim is kept in a folder, and taken up again."""

from __future__ import annotations

import pytest

from rimfea.ask import choose, compare
from rimfea.vary.sensitivity import sensitivity

RIMS = ("plover", "curlew")


@pytest.fixture
def solved(monkeypatch):
    """The rims that are solved, as they come; that which is called ``stop[0]`` interrupts."""
    names, stop = [], []

    def counted(find):
        def found(sheet, *given, **also):
            if sheet.name in stop:
                raise KeyboardInterrupt
            names.append(sheet.name)
            return find(sheet, *given, **also)

        return found

    monkeypatch.setattr(compare, "measured", counted(compare.measured))
    monkeypatch.setattr(choose, "rides", counted(choose.rides))
    monkeypatch.setattr("rimfea.vary.results.PROCESSES", 1)
    monkeypatch.setattr("rimfea.vary.parallel.PROCESSES", 1)
    return names, stop


def answered(run, words, tmp_path):
    """The text and the picture."""
    picture = tmp_path / "picture.svg"
    done = run(*words, "--details", "--picture", picture, "--overwrite")
    assert done.exit_code == 0
    return done.stdout, picture.read_bytes()


@pytest.mark.long
@pytest.mark.parametrize("command", ["compare", "choose"])
def test_an_interrupted_question_goes_on_and_says_the_same(rimfea, tmp_path, solved, command):
    names, stop = solved
    folder, words = tmp_path / "kept", (command, *RIMS)
    whole = answered(rimfea, words, tmp_path)
    names.clear()
    stop.append("curlew")
    done = rimfea(*words, "--results", folder)
    assert done.exit_code == 130
    assert [path.name[:7] for path in folder.iterdir()] == ["plover-"]
    stop.clear()
    kept = (*words, "--results", folder)
    assert answered(rimfea, kept, tmp_path) == whole
    assert rimfea(*kept, "--json").exit_code == 0
    assert names == ["plover", "curlew"]
    again = rimfea(command, *RIMS, "--results", folder, "--strike", "1500N")
    assert again.exit_code == 0
    assert names == ["plover", "curlew"] * 2


def by_flank(near, _keys, known):
    """Slopes by one length, not by every one."""
    return sensitivity(near, ("flank_mm",), known)


@pytest.mark.long
def test_a_design_asked_again_solves_nothing(rimfea, sheet, tmp_path, monkeypatch):
    """Nor where its details are asked for."""
    monkeypatch.setattr("rimfea.ask.design.sensitivity", by_flank)
    old, folder = sheet(flank_mm="1.0", spoke_tension_N="600"), tmp_path / "kept"
    words = ("design", old, "--keep", "first-yield=500", "--only", "flank_mm", "--results", folder)
    first = rimfea(*words, "--details").stdout
    assert "flank 1.00 → 0.90 mm" in " ".join(first.split())

    def fail(*_, **__):
        raise AssertionError("solved again")

    monkeypatch.setattr("rimfea.study.analysis.solved", fail)
    monkeypatch.setattr("rimfea.vary.datum.solved", fail)
    assert rimfea(*words, "--details").stdout == first


@pytest.mark.long
def test_dents_are_kept_too(rimfea, tmp_path, solved):
    names, _ = solved
    words = ("compare", "curlew", "--results", tmp_path / "kept")
    first, data = (rimfea(*words, *more, dents=True).stdout for more in (["--details"], ["--json"]))
    names.clear()
    assert rimfea(*words, "--details", dents=True).stdout == first
    assert rimfea(*words, "--json", dents=True).stdout == data
    assert '"followed_mm"' in data
    assert names == []


def test_a_spoilt_file_is_told_before_anything_is_solved(rimfea, tmp_path, solved, monkeypatch):
    names, _ = solved
    folder = tmp_path / "kept"
    folder.mkdir()
    file = folder / "curlew-0.json"
    monkeypatch.setattr("rimfea.vary.results.named", lambda *_: "curlew-0")
    file.write_text("{}")
    done = rimfea("choose", *RIMS, "--results", folder)
    assert done.exit_code == 2
    assert "curlew-0.json: is not as rimfea wrote it and is left as it is: delete it, or" in (
        " ".join(done.stderr.split())
    )
    assert (names, file.read_text()) == ([], "{}")


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--results", "nowhere/kept"], "nowhere/kept: cannot be made: No such file"),
        (["--swaps", "--results", "kept"], "--swaps keeps no results; leave --swaps or --results"),
    ],
)
def test_what_cannot_be_kept_ends_with_status_2_and_what_to_do(rimfea, solved, words, told):
    done = rimfea("compare", *RIMS, *words)
    assert done.exit_code == 2
    assert told in " ".join(done.stderr.split())
    assert solved[0] == []
