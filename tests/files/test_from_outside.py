"""Files that lie, that are too large, that never end: each an error that says what to do."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from rimfea.errors import FileError
from rimfea.files.from_outside import Kind, content, kind_of, millimetres, text_of

PNG = b"\x89PNG\r\n\x1a\n" + bytes(40)
DXF = b"  0\nSECTION\n  2\nHEADER\n"
GOOD = {
    "a.dxf": DXF,
    "b.DXF": b"999\nmade by hand\n" + DXF,
    "a.svg": b"<?xml version='1.0'?>\n<!-- a rim -->\n<svg xmlns='x'/>",
    "a.csv": b"x,y\n1,2\n",
    "a.json": b"\xef\xbb\xbf {}",
    "a.png": PNG,
    "a.tif": b"II*\x00" + bytes(20),
    "a.JPG": b"\xff\xd8\xff\xe0" + bytes(20),
}


@pytest.mark.parametrize("name", GOOD)
def test_a_file_is_told_by_its_ending_and_by_what_it_begins_with(file, name):
    found = kind_of(file(name, GOOD[name]))
    assert Path(name).suffix.lower() in found.endings
    assert found.is_image == (name.lower()[2:] in ("png", "tif", "jpg"))


@pytest.mark.parametrize(
    ("name", "begins", "told"),
    [
        ("a.csv", b"", "is empty (0 bytes)"),
        ("a.dxf", PNG, "is called .dxf, but it is a PNG inside"),
        ("a.png", DXF, "is called .png, but it is a DXF inside"),
        ("a.svg", b"x,y\n1,2\n", "is called .svg, but it is a CSV inside"),
        ("a.csv", b"\x01\x02\x00\x04", "is called .csv, but it is no CSV inside"),
        ("a.dxf", b"AC1032" + bytes(30), "is a DWG; save it as DXF"),
        ("a.svg", b"\x1f\x8b\x08", "is compressed (gzip); unpack it first"),
        ("a.pdf", b"%PDF-1.7", "is a PDF; save it as SVG or DXF"),
        ("a.zip", b"PK\x03\x04", "is a packed folder (zip)"),
        ("a.heic", b"\x00\x00\x00\x18ftypheic", "is a HEIC picture"),
        ("a.txt", b"<svg/>", "is called .txt, but it is a SVG inside"),
        ("a.scan", PNG, "the ending .scan is not known; save it as PNG with the ending .png"),
        ("rim", b"x,y", "the ending (none) is not known"),
    ],
)
def test_a_file_that_is_not_what_it_is_called_is_refused(file, name, begins, told):
    with pytest.raises(FileError) as caught:
        kind_of(file(name, begins))
    assert told in str(caught.value)
    assert name in str(caught.value)


def test_a_folder_a_pipe_and_a_missing_file_are_refused_without_waiting(tmp_path):
    os.mkfifo(tmp_path / "pipe.csv")
    (tmp_path / "folder.csv").mkdir()
    for name, told in (
        ("pipe.csv", "is no plain file"),
        ("folder.csv", "is a folder"),
        ("none.csv", "there is no such file"),
    ):
        with pytest.raises(FileError, match=told):
            kind_of(tmp_path / name)


@pytest.mark.parametrize("kind", Kind)
def test_a_gigabyte_is_refused_before_it_is_read(file, kind):
    begins = next(raw for name, raw in GOOD.items() if Path(name).suffix.lower() in kind.endings)
    path = file(f"large{kind.endings[0]}", begins.ljust(5000))
    with path.open("r+b") as hollow:  # takes no room on the disk
        hollow.truncate(1 << 30)
    with pytest.raises(FileError, match=rf"larger than \d+ MB, which no {kind.title}"):
        content(path, kind)


def test_text_is_read_whatever_its_encoding_or_refused_with_the_line(file):
    assert text_of(file("a.csv", "x,y\n".encode("utf-16")), Kind.CSV) == "x,y\n"
    with pytest.raises(FileError, match="line 2: is no UTF-8 text"):
        text_of(file("b.csv", b"x,y\n\xe41,2\n"), Kind.CSV)


def test_a_unit_that_the_file_does_not_tell_is_asked_for():
    known = {"mm": 1.0, "inch": 25.4}
    assert millimetres(known, "inch", None, "a.csv") == (25.4, "inch", "as the file says")
    assert millimetres(known, "", "mm", "a.csv") == (1.0, "mm", "as you said")
    assert millimetres(known, "inch", "mm", "a.csv")[2] == "as you said; the file says inch"
    for told in ("", "furlong"):
        with pytest.raises(FileError, match="add --unit mm or --unit inch"):
            millimetres(known, told, None, "a.csv")
    with pytest.raises(FileError, match="write mm or inch"):
        millimetres(known, "", "cm", "a.csv")
