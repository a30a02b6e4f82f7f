from __future__ import annotations

import os

import pytest

from rimfea.errors import FileError
from rimfea.files.whole_file import write_file


def test_a_file_is_written_as_text_or_bytes_and_nothing_else_is_left(tmp_path):
    write_file(tmp_path / "a.txt", "größer\n")
    write_file(tmp_path / "b.bin", b"\x00\xff")
    assert (tmp_path / "a.txt").read_bytes() == "größer\n".encode()
    assert (tmp_path / "b.bin").read_bytes() == b"\x00\xff"
    assert {path.name for path in tmp_path.iterdir()} == {"a.txt", "b.bin"}


def test_what_is_there_stays_whole_where_writing_fails_half_way(tmp_path, monkeypatch):
    path = tmp_path / "a.txt"
    path.write_text("mine")

    def full(_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(FileError, match=rf"{path}: cannot be written: No space left"):
        write_file(path, "other", overwrite=True)
    assert path.read_text() == "mine"
    assert list(tmp_path.iterdir()) == [path]


def test_a_file_that_is_there_is_not_written_over_unasked(tmp_path):
    path = tmp_path / "a.txt"
    path.write_text("mine")
    with pytest.raises(FileError, match="is already there"):
        write_file(path, "other")
    assert path.read_text() == "mine"


def test_a_link_is_followed_and_a_pipe_stays_a_pipe(tmp_path):
    path, link, pipe = tmp_path / "a.txt", tmp_path / "link", tmp_path / "pipe"
    path.write_text("old")
    link.symlink_to(path)
    write_file(link, "new", overwrite=True)
    assert link.is_symlink()
    assert path.read_text() == "new"
    os.mkfifo(pipe)
    reader = os.open(pipe, os.O_RDONLY | os.O_NONBLOCK)
    write_file(pipe, "through", overwrite=True)
    assert os.read(reader, 20) == b"through"
    os.close(reader)
    assert pipe.is_fifo()
