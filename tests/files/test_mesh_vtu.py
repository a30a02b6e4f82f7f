from __future__ import annotations

from dataclasses import replace
from xml.etree import ElementTree as ET

import meshio
import numpy as np
import pytest

from rimfea.errors import FileError
from rimfea.fem.material import von_mises
from rimfea.files.mesh_vtu import write_vtu
from rimfea.study.analysis import analyse_slice


@pytest.fixture(scope="module")
def rim(whimbrel):
    return whimbrel


@pytest.fixture(scope="module")
def path(rim, tmp_path_factory):
    path = tmp_path_factory.mktemp("vtu") / "ouzel.vtu"
    write_vtu(path, rim, rim.answers[0])
    return path


@pytest.fixture(scope="module")
def read(path):
    return meshio.read(path)


def test_the_triangles_and_their_nodes_read_back_exactly(rim, read):
    assert [block.type for block in read.cells] == ["triangle6"]
    np.testing.assert_array_equal(read.cells[0].data, rim.mesh.triangles)
    np.testing.assert_array_equal(read.points[:, :2], rim.mesh.nodes)
    np.testing.assert_array_equal(read.points[:, 2], 0)


def test_a_reader_of_the_published_format_finds_the_same(rim, path, read_grid):
    """Cell type 22 is the quadratic triangle: three corners, then the middle of each side."""
    grid, answer = read_grid(path), rim.answers[0]
    assert set(grid.types) == {22}
    assert set(np.diff(grid.offsets)) == {6}
    nodes = grid.points[grid.connectivity.reshape(-1, 6)]
    np.testing.assert_array_equal(nodes[..., :2], rim.mesh.nodes[rim.mesh.triangles])
    corners = nodes[:, :3, :2]
    first, second = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    assert (first[:, 0] * second[:, 1] > first[:, 1] * second[:, 0]).all()
    sides = np.linalg.norm(corners - np.roll(corners, -1, axis=1), axis=-1)
    middles = (corners + np.roll(corners, -1, axis=1)) / 2
    assert (np.linalg.norm(nodes[:, 3:, :2] - middles, axis=-1) < 0.2 * sides).all()
    np.testing.assert_array_equal(grid.point_data["displacement_mm"], answer.displacement())
    np.testing.assert_array_equal(grid.point_data["von_mises_MPa"], von_mises(answer.stress()))
    np.testing.assert_array_equal(grid.cell_data["wall"], rim.mesh.triangle_label)
    assert [rim.mesh.names[int(k)] for (k,) in grid.field_data.values()] == [*grid.field_data]


def test_the_displacement_reads_back_exactly_in_three_components(rim, read):
    moved = read.point_data["displacement_mm"]
    assert moved.shape == (len(rim.mesh.nodes), 3)
    np.testing.assert_array_equal(moved, rim.answers[0].displacement())


def test_a_slice_moves_nowhere_along_the_rim(rim, tmp_path):
    sliced = analyse_slice(rim.sheet)
    write_vtu(tmp_path / "slice.vtu", sliced, sliced.governing)
    moved = meshio.read(tmp_path / "slice.vtu").point_data["displacement_mm"]
    np.testing.assert_array_equal(moved[:, :2], sliced.governing.field.displacement)
    np.testing.assert_array_equal(moved[:, 2], 0)


@pytest.mark.parametrize(
    ("k", "component"), [(0, "xx"), (1, "yy"), (2, "zz"), (3, "yz"), (4, "zx"), (5, "xy")]
)
def test_each_stress_component_reads_back_exactly_under_its_own_name(rim, read, k, component):
    written = rim.answers[0].stress()[:, k]
    np.testing.assert_array_equal(read.point_data[f"stress_{component}_MPa"], written)


def test_the_von_mises_stress_is_that_of_the_six_components(rim, read):
    expected = von_mises(rim.answers[0].stress())
    np.testing.assert_array_equal(read.point_data["von_mises_MPa"], expected)


def test_nothing_else_is_on_the_nodes_and_every_array_ends_in_its_unit(read):
    assert len(read.point_data) == 8
    assert all(name.endswith(("_mm", "_MPa")) for name in read.point_data)


def test_the_wall_of_each_triangle_is_found_by_the_number_under_its_name(rim, read):
    name_of = {int(number): name for name, (number,) in read.field_data.items()}
    found = [name_of[number] for number in read.cell_data["wall"][0].tolist()]
    assert found == [rim.mesh.names[label] for label in rim.mesh.triangle_label]
    assert len(name_of) == len(rim.mesh.names)


def test_the_names_stand_before_the_piece_as_the_format_orders_them(path):
    grid = ET.parse(path).getroot()[0]  # noqa: S314 - written a moment ago
    assert [child.tag for child in grid] == ["FieldData", "Piece"]


def test_each_case_writes_its_own_field(rim, tmp_path):
    for count, answer in enumerate(rim.answers):
        write_vtu(tmp_path / f"{count}.vtu", rim, answer)
        found = meshio.read(tmp_path / f"{count}.vtu").point_data["stress_yy_MPa"]
        np.testing.assert_array_equal(found, answer.stress()[:, 1])


def test_a_wall_of_a_traced_section_may_have_any_name(rim, tmp_path):
    odd = ('<"left" & right>', *rim.mesh.names[1:])
    renamed = replace(rim, mesh=replace(rim.mesh, names=odd))
    write_vtu(tmp_path / "odd.vtu", renamed, rim.answers[0])
    assert tuple(meshio.read(tmp_path / "odd.vtu").field_data) == odd


def test_a_file_that_is_there_already_is_not_overwritten(rim, tmp_path):
    path = tmp_path / "kept.vtu"
    path.write_text("mine")
    with pytest.raises(FileError, match="not overwritten"):
        write_vtu(path, rim, rim.answers[0])
    assert path.read_text() == "mine"


def test_a_file_is_overwritten_when_that_is_asked_for(rim, path, tmp_path):
    again = tmp_path / "again.vtu"
    again.write_text("old " * 1_000_000)
    write_vtu(again, rim, rim.answers[0], overwrite=True)
    assert again.read_bytes() == path.read_bytes()


@pytest.mark.parametrize("overwrite", [False, True])
def test_a_place_that_cannot_be_written_is_told_so(rim, tmp_path, overwrite):
    with pytest.raises(FileError, match="cannot be written"):
        write_vtu(tmp_path / "none" / "ouzel.vtu", rim, rim.answers[0], overwrite=overwrite)


def test_an_answer_of_another_rim_is_refused_before_any_file_is_made(rim, tmp_path):
    stranger = replace(rim.answers[0])
    with pytest.raises(ValueError, match="another rim"):
        write_vtu(tmp_path / "stranger.vtu", rim, stranger)
    assert not (tmp_path / "stranger.vtu").exists()
