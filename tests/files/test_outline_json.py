"""Rings as JSON."""

from __future__ import annotations

import json

import pytest

from rimfea.errors import FileError, SectionError
from rimfea.files.outline_json import read_named, read_outline_json, write_outline_json
from rimfea.geometry.outline import moments
from rimfea.traced.repair import repaired

TRIANGLE = [[0, 0], [1.5, 0], [0, 2]]


def test_what_is_written_is_read_back(curlew, tmp_path):
    path = tmp_path / "curlew.json"
    write_outline_json(path, curlew)
    found = repaired(read_outline_json(path)).outline
    assert moments(found) == pytest.approx(moments(curlew), rel=1e-6, abs=1e-4)


@pytest.mark.parametrize(
    ("told", "rings"),
    [
        ({"unit": "mm", "outer": TRIANGLE}, 1),
        ({"units": "mm", "outer": TRIANGLE, "holes": [TRIANGLE]}, 2),
        ({"unit": "mm", "rings": [[*TRIANGLE, TRIANGLE[0]], TRIANGLE]}, 2),
        ({"type": "Polygon", "unit": "mm", "coordinates": [TRIANGLE]}, 1),
    ],
)
def test_rings_are_read_in_any_of_these_forms(file, told, rings):
    found = read_outline_json(file("a.json", json.dumps(told))).trails
    assert len(found) == rings
    assert all(each.corners.tolist() == TRIANGLE for each in found)
    assert found[0].where[2] == "ring 1, point 3"


def test_a_bare_list_needs_a_unit(file):
    for told in (TRIANGLE, [TRIANGLE]):
        path = file("a.json", json.dumps(told))
        with pytest.raises(FileError, match="add --unit mm"):
            read_outline_json(path)
        assert read_outline_json(path, "mm").trails[0].corners.tolist() == TRIANGLE


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ('{"unit": "mm", "outer": [[0, 0], [1, 0], [0, "a"]]}', "ring 1, point 3: is no point"),
        ('{"unit": "mm"}', "there are no rings of points in it"),
        ('{"unit": "mm", "outer": [[0, 0], [1, NaN]]}', "is no JSON: NaN is no number"),
        ("[" * 100_000, "brackets within brackets without end"),
        ('{"unit": "mm", "outer": [[0, 0], [1', "is no JSON"),
        (json.dumps({"unit": "mm", "outer": [[0, 0], [1, 10**400]]}), "a number is too large"),
        ('{"unit": "mm", "outer": [[true, false]]}', "is no point"),
    ],
)
def test_what_cannot_be_read_is_told(file, text, told):
    with pytest.raises(FileError) as caught:
        read_outline_json(file("a.json", text))
    assert told in str(caught.value)


def test_a_single_point_is_refused(file):
    with pytest.raises(SectionError, match="at least two points"):
        read_outline_json(file("a.json", '{"unit": "mm", "rings": [[[0, 0]]]}'))


def test_more_points_than_a_section_needs_are_refused(file):
    told = json.dumps({"unit": "mm", "outer": [[0, 0]] * 100_001})
    with pytest.raises(FileError, match="more than 100000 points"):
        read_outline_json(file("a.json", told))


def test_names_of_walls_are_written_and_read_back(curlew, tmp_path):
    path = tmp_path / "curlew.json"
    write_outline_json(path, curlew)
    found = read_named(path)
    assert found.labels == curlew.labels
    assert moments(found) == pytest.approx(moments(curlew), rel=1e-8, abs=1e-6)


def test_a_ring_without_names_has_none_and_wrong_ones_are_told(file):
    assert read_named(file("a.json", json.dumps({"unit": "mm", "outer": TRIANGLE}))) is None
    for names in ([["flank"]], [["flank", "flank", "knee"]], 3, [["flank"] * 3, ["flank"]]):
        told = {"unit": "mm", "outer": TRIANGLE, "walls": names}
        with pytest.raises(FileError, match=r'names under "walls" do not fit.*a name an edge, of:'):
            read_named(file("b.json", json.dumps(told)))
