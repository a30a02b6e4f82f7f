"""What is handed on: wheel and source archive, built twice alike, and used without the checkout."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tarfile
from pathlib import Path

import pytest

pytestmark = pytest.mark.long
ROOT = Path(__file__).parents[1]
BUILD = [sys.executable, "-m", "hatchling", "build", "-d"]
RIMFEA = "from rimfea.cli.main import main; main()"
READ_PAGE = """
from importlib import resources
from rimfea.web.app import FILES
static = resources.files("rimfea.web") / "static"
print(sum(len((static / name).read_bytes()) for name, _ in FILES.values()))
"""


def built(source, out):
    subprocess.run([*BUILD, out], cwd=source, check=True, capture_output=True)
    (wheel,), (archive,) = out.glob("*.whl"), out.glob("*.tar.gz")
    return wheel, archive


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    return built(ROOT, tmp_path_factory.mktemp("made"))


@pytest.fixture(scope="module")
def alone(made, tmp_path_factory):
    """Runs Python with the wheel's rimfea, from a folder where nothing of the checkout is."""
    site, here = tmp_path_factory.mktemp("site"), tmp_path_factory.mktemp("here")
    shutil.unpack_archive(made[0], site, "zip")

    def run(code, *words):
        command = [sys.executable, "-W", "error", "-c", code, *words]
        known = {**os.environ, "PYTHONPATH": str(site)}
        return subprocess.run(
            command, cwd=here, env=known, capture_output=True, text=True, check=True
        )

    where = Path(run("import rimfea; print(rimfea.__file__)").stdout.strip())
    assert where.is_relative_to(site)
    return run


def test_both_are_built_alike_twice_and_the_wheel_also_from_the_archive(made, tmp_path):
    """To the byte: nothing in them tells when or where they were built."""
    again = built(ROOT, tmp_path / "again")
    assert [each.read_bytes() for each in again] == [each.read_bytes() for each in made]
    with tarfile.open(made[1]) as archive:
        archive.extractall(tmp_path / "source", filter="data")
    (source,) = (tmp_path / "source").iterdir()
    assert built(source, tmp_path / "from-source")[0].read_bytes() == made[0].read_bytes()


def test_the_archive_has_all_that_a_packager_needs(made):
    with tarfile.open(made[1]) as archive:
        there = {name.partition("/")[2] for name in archive.getnames()}
    kept = ("README.md", "DEVELOPERS.md", "pyproject.toml", "profiles/curlew.toml", ".ci/run",
            "tests/conftest.py", "rimfea/docs/conf.py", "rimfea/web/static/page.html")  # fmt: skip
    assert not [name for name in kept if name not in there]
    assert not [name for name in there if ".venv" in name or "__pycache__" in name]


def test_the_wheel_answers_without_the_checkout(alone):
    """With its invented rims, its words, and its page."""
    assert alone(RIMFEA, "inspect", "curlew").stdout.startswith("curlew")
    assert "hook" in alone(RIMFEA, "explain", "bead hook").stdout
    assert int(alone(READ_PAGE).stdout) > 50_000
    assert "first" in alone(RIMFEA, "analyse", "curlew", "--slice").stdout.lower()
