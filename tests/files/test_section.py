"""Any file of a section, told by its ending."""

from __future__ import annotations

import numpy as np
import pytest
from PIL import Image

from rimfea.errors import FileError, SectionError
from rimfea.files.section import WRITERS, read_section, write_section
from rimfea.geometry.outline import moments


@pytest.mark.parametrize("ending", WRITERS)
def test_a_section_comes_back_from_every_format_to_a_millionth(curlew, tmp_path, ending):
    path = tmp_path / f"curlew{ending}"
    write_section(path, curlew)
    found = read_section(path)
    assert moments(found.outline)[0] == pytest.approx(moments(curlew)[0], rel=1e-6)
    assert found.outline.outer.corners == pytest.approx(curlew.outer.corners, abs=1e-6)
    assert (found.repaired, found.dropped, bool(found.move)) == ((), (), False)
    assert (found.source, found.unit, found.wall_mm) == (str(path), "mm", 0.0)


def test_a_scan_is_read_with_the_doubt_of_its_grey_level(scans, tmp_path):
    path = tmp_path / "scan.png"
    Image.fromarray(scans.scan_of("wheatear", dpi=300)).save(path, dpi=(300, 300))
    found = read_section(path, mirror=True)
    assert moments(found.outline)[0] == pytest.approx(
        moments(scans.section_of("wheatear"))[0], rel=0.005
    )
    assert 0.05 < found.wall_mm < 0.15
    assert found.half in ("left", "right")
    x, _ = found.outline.outer.corners.T
    assert np.sort(x) == pytest.approx(np.sort(-x), abs=1e-6)
    assert found.unit == "300 dpi"


@pytest.mark.parametrize(
    ("name", "given", "told"),
    [
        ("a.csv", {"dpi": 600}, "is a drawing"),
        ("a.csv", {"mirror": True}, "is a drawing"),
        ("a.png", {"unit": "mm"}, "is a scan: its scale goes by --dpi"),
    ],
)
def test_what_is_for_the_other_kind_of_file_is_refused(file, name, given, told):
    path = file(name, b"x_mm,y_mm\n" if name == "a.csv" else b"\x89PNG\r\n\x1a\n")
    with pytest.raises(FileError, match=told):
        read_section(path, **given)


def test_another_ending_is_not_written(curlew, tmp_path):
    with pytest.raises(FileError, match=r"end it in \.csv, \.json, \.dxf, \.svg"):
        write_section(tmp_path / "curlew.stl", curlew)


def test_a_drawing_that_lies_wrong_is_refused_with_its_file(file):
    flat = "x_mm,y_mm\n0,0\n20,0\n20,3\n0,3\n"
    with pytest.raises(SectionError, match=r"a\.csv: .* upside down") as caught:
        read_section(file("a.csv", flat))
    assert caught.value.lines
