"""Files that something has gone wrong with: each is read, or refused by its name in good time."""

from __future__ import annotations

import time
import wave
from pathlib import Path
from random import Random

import pytest
from PIL import Image

from rimfea.errors import RimfeaError, SheetError
from rimfea.files.boxes_toml import read_boxes
from rimfea.files.recording_wav import read_recording
from rimfea.files.scan import read_scan
from rimfea.files.section import WRITERS, read_section, write_section
from rimfea.files.setup_toml import read_setup
from rimfea.files.sheet_toml import parse_sheet, read_sheet
from rimfea.profile.build import outline

PROFILES = Path(__file__).parents[2] / "profiles"
SHEET, SETUP = PROFILES / "curlew.toml", PROFILES / "set-ups" / "trail.toml"
BOXES = b"[flank_mm]\nlow = [1, 2]\nhigh = [3, 4]\n"
FEW, MANY = 4, 40
LONGEST_S = 2.0  # of work on a file of some kB
LONG = 20_000
ODD = (b"\0", b"\xff\xfe", b"nan", b"1e999", b"-", b'"', b"[", b"]", b"{", b"<", b"&", b"\n", b",")


def spoilt(content: bytes, seed: int) -> bytes:
    """A file cut off, with a piece gone, twice or elsewhere, or with odd letters in it."""
    random, spoilt_ = Random(seed), bytearray(content)
    for _ in range(random.randint(1, 4)):
        start = random.randrange(len(spoilt_) or 1)
        end = min(len(spoilt_), start + random.choice((1, 1, 8, 200)))
        piece = bytes(spoilt_[start:end])
        match random.randrange(6):
            case 0:
                del spoilt_[start:]
            case 1:
                del spoilt_[start:end]
            case 2:
                spoilt_[start:start] = piece
            case 3:
                spoilt_[start:end] = random.randbytes(len(piece))
            case 4:
                spoilt_[start:start] = random.choice(ODD)
            case _:
                spoilt_[start:end] = piece[::-1]
    return bytes(spoilt_)


@pytest.fixture(scope="module")
def whole(tmp_path_factory, scans):
    """Of each kind of file one that is whole, the end of its name, and what reads it."""
    folder = tmp_path_factory.mktemp("whole")
    drawn = outline(read_sheet(SHEET))
    for ending in WRITERS:
        write_section(folder / f"curlew{ending}", drawn)
    Image.fromarray(scans.scan_of("curlew", dpi=300)).save(folder / "curlew.png", dpi=(300, 300))
    with wave.open(str(folder / "taps.wav"), "wb") as file:
        file.setparams((1, 2, 8000, 0, "NONE", ""))
        file.writeframes(Random(1).randbytes(32_000))
    drawings = {
        ending: ((folder / f"curlew{ending}").read_bytes(), ending, read_section)
        for ending in WRITERS
    }
    return {
        "sheet": (SHEET.read_bytes(), ".toml", read_sheet),
        "set-up": (SETUP.read_bytes(), ".toml", read_setup),
        "boxes": (BOXES, ".toml", read_boxes),
        "scan": ((folder / "curlew.png").read_bytes(), ".png", read_scan),
        "recording": ((folder / "taps.wav").read_bytes(), ".wav", read_recording),
    } | drawings


def is_read_or_refused(kind, whole, folder: Path, seed: int) -> None:
    """Whatever was done to it, by name and in good time."""
    content, ending, read = whole[kind]
    path = folder / f"spoilt{ending}"
    path.write_bytes(spoilt(content, seed))
    began, told = time.process_time(), str(path)
    try:
        read(path)
    except RimfeaError as error:
        told = str(error)
    assert str(path) in told, (kind, seed)
    assert len(told) < 20_000, (kind, seed)
    assert time.process_time() - began < LONGEST_S, (kind, seed)


KINDS = ("sheet", "set-up", "boxes", "scan", "recording", *WRITERS)


@pytest.mark.parametrize("kind", [kind for kind in KINDS if kind != "scan"])
def test_a_spoilt_file_is_read_or_refused_by_name(kind, whole, tmp_path):
    for seed in range(FEW):
        is_read_or_refused(kind, whole, tmp_path, seed)


@pytest.mark.long
@pytest.mark.parametrize("kind", KINDS)
def test_many_a_spoilt_file_is_read_or_refused_by_name(kind, whole, tmp_path):
    for seed in range(FEW if kind == "scan" else MANY):
        is_read_or_refused(kind, whole, tmp_path, seed)


TEDIOUS = {
    "a bracket and blanks": lambda size: "[" + " " * size,
    "a bracket in a value and blanks": lambda size: "a = [" + " " * size,
    "brackets": lambda size: "a = " + "[" * size,
    "a bracket on every line": lambda size: "a = [\n" * (size // 20),
    "quotes": lambda size: '"' * size,
    "escapes": lambda size: 'a = "' + '\\"' * (size // 2),
    "texts that do not end": lambda size: '"""\n' + '\\"""\n' * (size // 20),
    "points": lambda size: "a" + ".a" * (size // 2) + " = 1",
    "digits": lambda size: "sidewall_mm = " + "9" * size,
    "letters": lambda size: ("x" * 100 + "\n") * (size // 100),
    "blanks before a unit": lambda size: "sidewall_mm = 1" + " " * size + "mm",
    "commas": lambda size: "inner_width_mm = { readings = [" + "1,5 " * (size // 4) + "] }",
    "guesses": lambda size: "guessed = [" + '"flank",' * (size // 8) + "]",
}


@pytest.mark.parametrize("kind", TEDIOUS)
def test_a_sheet_is_refused_in_a_time_that_grows_as_its_length(kind):
    """Four times as long takes at most some eight times as much; a square would take sixteen."""

    def work_s(size: int) -> float:
        text = TEDIOUS[kind](size)
        began = time.process_time()
        with pytest.raises(SheetError) as raised:
            parse_sheet(text, "sheet")
        assert len(str(raised.value)) < 20_000
        return time.process_time() - began

    assert work_s(4 * LONG) < 8 * work_s(LONG) + 0.2


def test_lines_that_are_neither_are_told_each_for_itself():
    with pytest.raises(SheetError) as raised:
        parse_sheet("what is this\nand this\n", "sheet")
    unread = [fault.line for fault in raised.value.faults if "cannot be read" in fault.problem]
    assert unread == [1, 2]
    assert "twice" not in str(raised.value)
