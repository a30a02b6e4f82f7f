from __future__ import annotations

import json
import os
import resource
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from rimfea.cli.main import COMMANDS
from rimfea.errors import LoadError
from rimfea.words.data import schema

HEAVY = ("numpy", "scipy", "matplotlib", "rich", "shapely", "meshio")
FULL = Path("/dev/full")


@pytest.mark.parametrize("words", [["--help"], ["analyse", "--help"], ["new", "--help"]])
def test_help_does_not_wait_for_heavy_libraries(words):
    code = (
        "import json, sys\n"
        "from rimfea.cli.main import commands\n"
        f"commands({words!r}, standalone_mode=False)\n"
        f"print(json.dumps([name for name in {HEAVY!r} if name in sys.modules]))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert "Usage:" in done.stdout
    assert json.loads(done.stdout.splitlines()[-1]) == []


def test_help_lists_every_command_with_what_it_does_and_ends_with_the_caution(rimfea):
    told = " ".join(rimfea("--help").stdout.split())
    for name, what in COMMANDS.items():
        assert f" {name} {what}" in told
    assert told.endswith("local codes and licensed practice come first.")


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_has_a_help_of_its_own(rimfea, name):
    done = rimfea(name, "--help")
    assert done.exit_code == 0
    assert done.stdout.startswith(f"Usage: rimfea {name}")


def test_without_a_command_the_help_is_shown(rimfea):
    done = rimfea()
    assert done.exit_code == 2
    assert "Start with:" in done.output


def test_the_schema_of_the_answers_is_printed_without_a_command(rimfea):
    done = rimfea("--schema")
    assert done.exit_code == 0
    assert json.loads(done.stdout) == schema()


def test_the_version_is_told(rimfea):
    assert rimfea("--version").stdout.startswith("rimfea 0.")


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        (["analise"], "No such command 'analise'. Did you mean 'analyse'?"),
        (["compair"], "Did you mean 'compare'?"),
        (["torque"], "There are: new, inspect, analyse, compare, "),
        (["compare", "--pictur", "x.png"], "Did you mean '--picture'?"),
        (["analyse", "x.toml", "--strik", "9"], "No such option '--strik'"),
    ],
)
def test_a_mistyped_word_is_answered_with_the_one_meant(rimfea, typed, told):
    done = rimfea(*typed)
    assert done.exit_code == 2
    assert told in done.stderr


def test_a_fault_of_the_input_ends_the_program_with_status_2_and_no_traceback(program, tmp_path):
    done = program("analyse", tmp_path / "nothing.toml")
    out, err = done.communicate()
    assert (done.returncode, out) == (2, "")
    assert err.strip().endswith("nothing.toml: there is no such file")


@pytest.mark.long
def test_a_reader_who_has_read_enough_sees_no_traceback(program, ouzel):
    done = program("analyse", ouzel, "--wheel", "rear", "--details", "--quick")
    first = done.stdout.readline()
    done.stdout.close()
    err = done.stderr.read()
    done.stderr.close()
    done.wait()
    assert first.startswith("ouzel, gravel: clear. ")
    assert "Traceback" not in err
    assert "Exception" not in err


@pytest.mark.parametrize(
    "words",
    [["--help"], ["inspect"], pytest.param(["inspect", "--json"], marks=pytest.mark.long)],
)
def test_without_any_reader_the_program_ends_quietly(program, ouzel, words):
    done = program(*words, *[ouzel] * (words[0] == "inspect"))
    done.stdout.close()
    err = done.stderr.read()
    done.stderr.close()
    assert done.wait() == 1
    assert err == ""


@pytest.mark.long
@pytest.mark.skipif(not FULL.exists(), reason="no device that is always full")
def test_a_full_disk_is_told_without_a_traceback(program, ouzel):
    with FULL.open("w") as full:
        done = program("inspect", ouzel, "--json", stdout=full)
        _, err = done.communicate()
    assert done.returncode == 2
    assert err == "the output cannot be written: No space left on device\n"


def test_a_file_that_finds_no_room_is_told_by_name_and_not_left_half(program, tmp_path):
    path = tmp_path / "dotterel.toml"
    done = program("new", path, preexec_fn=_no_room)
    _, err = done.communicate()
    assert done.returncode == 2
    assert err == f"{path}: cannot be written: File too large\n"
    assert list(tmp_path.iterdir()) == []


def _no_room():
    resource.setrlimit(resource.RLIMIT_FSIZE, (100, 100))


@pytest.mark.long
def test_what_is_asked_for_beside_text_is_written_without_a_reader_too(program, ouzel, tmp_path):
    picture, table = tmp_path / "drawn.png", tmp_path / "told.csv"
    done = program("inspect", ouzel, "--picture", picture, "--table", table)
    done.stdout.close()
    err = done.stderr.read()
    done.stderr.close()
    assert done.wait() == 1
    assert err.splitlines() == [f"Table: {table}", f"Picture: {picture}"]
    assert picture.stat().st_size > 1000
    assert table.stat().st_size > 100


def test_a_fault_of_the_program_itself_is_not_hidden(rimfea, ouzel, monkeypatch):
    def broken(*_, **__):
        raise ZeroDivisionError

    monkeypatch.setattr("rimfea.study.analysis.analyse", broken)
    with pytest.raises(ZeroDivisionError):
        rimfea("analyse", ouzel)


@pytest.mark.long
@pytest.mark.parametrize("share", [0.7, 1.2, 2, 4])
def test_control_c_ends_the_work_at_any_moment_with_a_word(ouzel, share):
    """At shares of the time that the program takes to begin, so on slow machines too."""
    run = [sys.executable, "-c", "from rimfea.cli.start import main; main()"]
    began = time.monotonic()
    subprocess.run([*run, "--version"], check=True, capture_output=True)
    loading = time.monotonic() - began
    streams = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE, "text": True}
    with subprocess.Popen(
        [*run, "compare", ouzel],
        preexec_fn=_heed_control_c,  # noqa: PLW1509 -- no thread holds a lock it needs
        start_new_session=True,
        **streams,
    ) as done:
        time.sleep(share * loading)
        os.killpg(done.pid, signal.SIGINT)
        out, err = done.communicate(timeout=60)
    assert (done.returncode, out, err) == (130, "", "Interrupted\n")


def test_control_c_is_heeded_while_the_program_loads():
    """What it loads is stood in for by something that takes long, in naps: a signal that comes
    between two of them is heeded at the next.
    """
    code = (
        "import sys, time, types\n"
        "class Slow(types.ModuleType):\n"
        "    def __getattr__(self, name):\n"
        "        print('loading', flush=True)\n"
        "        [time.sleep(0.1) for _ in range(600)]\n"
        "sys.modules['rimfea.cli.main'] = Slow('main')\n"
        "from rimfea.cli.start import main\n"
        "main()\n"
    )
    streams = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE, "text": True}
    with subprocess.Popen(
        [sys.executable, "-c", code],
        preexec_fn=_heed_control_c,  # noqa: PLW1509 -- no thread holds a lock it needs
        **streams,
    ) as done:
        assert done.stdout.readline() == "loading\n"
        done.send_signal(signal.SIGINT)
        _, err = done.communicate(timeout=60)
    assert (done.returncode, err) == (130, "Interrupted\n")


def test_what_is_ended_from_outside_leaves_no_half_of_a_file(tmp_path):
    """In the middle of writing, which is made to take long."""
    code = (
        "import os, sys, time\n"
        "naps = (lambda: [time.sleep(0.1) for _ in range(600)])\n"
        "os.fsync = lambda _: (print('writing', flush=True), naps())\n"
        f"sys.argv = ['rimfea', 'new', {str(tmp_path / 'rim.toml')!r}]\n"
        "from rimfea.cli.start import main\n"
        "main()\n"
    )
    streams = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE, "text": True}
    with subprocess.Popen([sys.executable, "-c", code], **streams) as done:
        assert done.stdout.readline() == "writing\n"
        assert list(tmp_path.iterdir())
        done.terminate()
        _, err = done.communicate(timeout=60)
    assert (done.returncode, err) == (130, "Interrupted\n")
    assert not list(tmp_path.iterdir())


def _heed_control_c():
    """What a shell starts in the background is deaf to it, and so are the programs it starts."""
    signal.signal(signal.SIGINT, signal.default_int_handler)


def test_what_is_wrong_with_a_rim_is_told_with_its_file_and_what_was_typed_is_not(rimfea, sheet):
    path = sheet()
    done = rimfea("reconcile", path)
    assert done.exit_code == 2
    assert done.stderr.startswith(f"{path}: dotterel: weighed_mass_g: is missing")
    wide = rimfea("wear", path, "--pressure", "4bar", "--tyre", "18")
    assert wide.stderr.startswith(f"{path}: a tyre 18 mm wide is too narrow")
    typed = rimfea("analyse", path, "--with", "ridder_kg=90")
    assert typed.stderr.startswith("--with: ridder_kg: no such key")


def test_a_blank_sheet_in_a_folder_is_left_out_with_one_line(rimfea, sheet, monkeypatch, tmp_path):
    def no_further(sheets, *_, **__):
        raise LoadError(", ".join(each.name for each in sheets))

    monkeypatch.setattr("rimfea.ask.compare.compare", no_further)
    sheet("a.toml")
    sheet("b.toml")
    rimfea("new", tmp_path / "later.toml")
    done = rimfea("compare", tmp_path)
    left, names = done.stderr.splitlines()
    assert left == f"{tmp_path / 'later.toml'}: left out: nobody has filled it in yet"
    assert names == "dotterel (a), dotterel (b)"


def test_a_want_of_memory_is_told_without_a_traceback(rimfea, ouzel, monkeypatch):
    def too_much(*_, **__):
        raise MemoryError

    monkeypatch.setattr("rimfea.study.analysis.inspect", too_much)
    done = rimfea("inspect", ouzel)
    assert done.exit_code == 2
    assert done.stderr.startswith("there is not enough memory for this")
