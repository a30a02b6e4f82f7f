"""Boxes of walls as a builder writes them."""

from __future__ import annotations

import pytest

from rimfea.errors import FileError, SheetError
from rimfea.files.boxes_toml import read_boxes
from rimfea.profile.walls import Wall


def test_walls_are_read_by_their_word_or_key(tmp_path):
    path = tmp_path / "walls.toml"
    path.write_text("bead_hook = [[1, 2, 3, 4.5]]\nflank_mm = [[0, -9, 2, -3], [-2, -9, 0, -3]]\n")
    assert read_boxes(path) == {
        Wall.BEAD_HOOK: [(1.0, 2.0, 3.0, 4.5)],
        Wall.FLANK: [(0.0, -9.0, 2.0, -3.0), (-2.0, -9.0, 0.0, -3.0)],
    }


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("flnk = [[0, 0, 1, 1]]", "flnk: is not a wall; did you mean flank"),
        ("flank = [0, 0, 1, 1]", r"flank = \[0, 0, 1, 1\]: is not a list of boxes"),
        (
            "flank = [[1, 0, 0, 1]]",
            r"flank = \[1, 0, 0, 1\]: is not a box.*write low x, low y, high x, high y",
        ),
        ("flank = 3", "is not a list of boxes"),
        ("flank = [[0, 0, nan, 1]]", "is not a box"),
        ("", "names no wall"),
        (f"flank = [[0, 0, 1, 1{'0' * 400}]]", "is not a box"),
    ],
)
def test_what_is_no_box_is_told(tmp_path, text, told):
    path = tmp_path / "walls.toml"
    path.write_text(text)
    with pytest.raises(SheetError, match=told):
        read_boxes(path)


def test_all_faults_are_told_at_once_and_what_is_no_toml_too(tmp_path):
    path = tmp_path / "walls.toml"
    path.write_text("flank = 3\nhook = 4\n")
    with pytest.raises(SheetError) as refused:
        read_boxes(path)
    assert len(refused.value.faults) == 2
    path.write_text("flank = [[")
    with pytest.raises(FileError, match="cannot be read as TOML"):
        read_boxes(path)
    with pytest.raises(FileError):
        read_boxes(tmp_path / "none.toml")
