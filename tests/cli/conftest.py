from __future__ import annotations

import re
import subprocess
import sys
from functools import partial
from pathlib import Path

import pytest
from click.testing import CliRunner

from rimfea.cli.main import commands
from rimfea.mesh.build import mesh_outline
from rimfea.vary import results
from rimfea.vary.parallel import each
from rimfea.vary.sensitivity import sensitivity

PROFILES = Path(__file__).parents[2] / "profiles"
COARSE = 2.2
SMOOTH = 60  # the highest harmonic of a dent, which takes a third of the time then
THICKENED = ("sidewall_mm",)
# Dents take longer than all else: a test that is about them says so by ``dents=True``.
QUICK = frozenset({"analyse", "choose", "compare", "design", "report", "worth"})
DOUBTED = ("sidewall_mm", "flank_mm")
PROGRAM = Path(sys.executable).parent / "rimfea"
SEVEN = {
    "name": '"dotterel"',
    "bead_seat_diameter_mm": "622",
    "inner_width_mm": "25.0",
    "overall_depth_mm": "21.0",
    "bead_hook_mm": "1.9",
    "hook_lip_mm": "2.2",
    "sidewall_mm": "1.3",
    "tyre_well_mm": "1.0",
    "nipple_seat_mm": "1.9",
}


@pytest.fixture
def rimfea(monkeypatch):
    """Run the command line in this process, with coarse triangles: ``rimfea("analyse", sheet)``.

    What is said matters here, not the last per cent of its numbers; nor does every dimension of
    every rim that is compared, nor every wall that might be thicker; nor do dents, but where a
    test asks for ``dents``.
    """
    monkeypatch.setenv("COLUMNS", "110")
    monkeypatch.setattr("rimfea.study.analysis.mesh_outline", partial(_coarse, mesh_outline))
    for asked in ("compare", "choose"):
        monkeypatch.setattr(f"rimfea.ask.{asked}.each_once", partial(_here, results.each_once))
    for asked in ("ask.sweep", "ask.swaps", "vary.trials"):
        monkeypatch.setattr(f"rimfea.{asked}.each", partial(_here, each))
    monkeypatch.setattr("rimfea.study.dented.HIGHEST", SMOOTH)
    monkeypatch.setattr("rimfea.ask.thicker.dimensions", lambda _: THICKENED)
    monkeypatch.setattr("rimfea.ask.compare.sensitivity", partial(sensitivity, keys=DOUBTED))

    def run(*words, dents=False):
        quick = ["--quick"] if QUICK.intersection(words[:1]) and not dents else []
        return CliRunner().invoke(
            commands,
            [*map(str, words), *quick],
            prog_name="rimfea",
            catch_exceptions=False,
        )

    return run


def _here(every, function, items, start, **rest):
    return every(function, items, start, **{**rest, "processes": 1})


def _coarse(mesh, shape, *, coarseness, finer):
    return mesh(shape, coarseness=COARSE * coarseness, finer=finer)


@pytest.fixture
def program():
    """Start the installed program as a user does, in a process of its own."""

    def start(*words, **options):
        streams = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE, "text": True, **options}
        return subprocess.Popen([PROGRAM, *map(str, words)], **streams)

    return start


@pytest.fixture
def plover():
    return PROFILES / "plover.toml"


@pytest.fixture
def wheatear():
    return PROFILES / "wheatear.toml"


@pytest.fixture
def ouzel():
    return PROFILES / "ouzel.toml"


@pytest.fixture
def sheet(tmp_path):
    """Write a short sheet, with some of its lines as given: ``sheet("a.toml", name="'x'")``."""

    def write(file="dotterel.toml", **changed):
        path = tmp_path / file
        lines = {**SEVEN, **changed}
        path.write_text("".join(f"{key} = {value}\n" for key, value in lines.items()))
        return path

    return write


@pytest.fixture
def filled():
    """Fill in a blank sheet as with a text editor: ``filled(path, sidewall_mm="1.3")``."""

    def fill(path, **values):
        text = path.read_text(encoding="utf-8")
        for key, value in values.items():
            text, found = re.subn(rf"(?m)^(# )?{key} =.*$", f"{key} = {value}", text)
            assert found == 1, f"{key} is not on the blank sheet"
        path.write_text(text, encoding="utf-8")

    return fill
