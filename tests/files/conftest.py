"""Files as others may send them."""

from __future__ import annotations

from pathlib import Path

import pytest

from rimfea.files.sheet_toml import read_sheet
from rimfea.profile.build import outline

PROFILES = Path(__file__).parents[2] / "profiles"


@pytest.fixture
def curlew():
    """The drawn section of a demo rim."""
    return outline(read_sheet(PROFILES / "curlew.toml"))


@pytest.fixture
def file(tmp_path):
    """Write a file: ``file("a.csv", "x,y\\n...")``."""

    def write(name, content):
        path = tmp_path / name
        path.write_bytes(content if isinstance(content, bytes) else content.encode())
        return path

    return write
