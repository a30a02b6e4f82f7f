from __future__ import annotations

from dataclasses import replace

import meshio
import numpy as np
import pytest
from scipy.spatial import cKDTree

from rimfea.errors import FileError, LoadError
from rimfea.fem.material import von_mises
from rimfea.fem.shape import (
    SIX_POINTS,
    shape_functions,
    shape_slopes,
    side_shape_functions,
    side_shape_slopes,
)
from rimfea.files.mesh_vtu import write_vtu
from rimfea.files.ring_vtu import MOVE_MM, PLACE_MM, STRESS_MPA, angles, write_ring_vtu
from rimfea.study.analysis import analyse, analyse_slice
from rimfea.study.cases import USUAL, usual_lacing

MB = 1e6


@pytest.fixture(scope="module")
def rim(whimbrel):
    return whimbrel


@pytest.fixture(scope="module")
def path(rim, tmp_path_factory):
    path = tmp_path_factory.mktemp("vtu") / "ring.vtu"
    write_ring_vtu(path, rim, rim.governing)
    return path


@pytest.fixture(scope="module")
def grid(path, read_grid):
    """The file as a reader of the published format finds it."""
    return read_grid(path)


@pytest.fixture(scope="module")
def nodes(grid):
    """The nodes (c, 18, 3) of every wedge."""
    return grid.points[grid.connectivity.reshape(-1, 18)].astype(np.float64)


def test_meshio_finds_the_same_as_a_reader_of_the_published_format(path, grid):
    read = meshio.read(path)
    assert [block.type for block in read.cells] == ["wedge18"]
    np.testing.assert_array_equal(read.cells[0].data.ravel(), grid.connectivity)
    np.testing.assert_array_equal(read.points, grid.points)
    assert set(read.point_data) == set(grid.point_data)
    for name, values in read.point_data.items():
        np.testing.assert_array_equal(values, grid.point_data[name])
    np.testing.assert_array_equal(read.cell_data["wall"][0], grid.cell_data["wall"])
    assert read.field_data == grid.field_data


def test_the_file_is_small_enough_to_send(path):
    print(f"{path.stat().st_size / MB:.0f} MB")
    assert path.stat().st_size < 25 * MB


def test_a_wedge_has_the_node_order_of_cell_type_32(grid, nodes):
    """By "VTK File Formats": six corners, the second triangle in the order of the first; the
    middles of the sides 01 12 20 34 45 53 03 14 25; the middles of the faces 0143 1254 2035.
    """
    assert set(grid.types) == {32}
    assert set(np.diff(grid.offsets)) == {18}
    x, y, z = np.moveaxis(nodes, 2, 0)
    section = np.stack([x, np.hypot(y, z)], axis=-1)  # across the rim and from the axle
    around = np.angle((y + 1j * z) / (y + 1j * z)[:, :1])
    sides = np.linalg.norm(section[:, :3] - np.roll(section[:, :3], -1, axis=1), axis=2).min(axis=1)
    assert np.abs(section[:, :3] - section[:, 3:6]).max() < 3 * PLACE_MM
    assert (around[:, 3:6] > 0.01).all()
    pairs = [(0, 1), (1, 2), (2, 0), (3, 4), (4, 5), (5, 3), (0, 3), (1, 4), (2, 5)]
    faces = [(0, 1, 4, 3), (1, 2, 5, 4), (2, 0, 3, 5)]
    for k, corners in enumerate([*pairs, *faces], start=6):
        off = np.linalg.norm(section[:, k] - section[:, corners].mean(axis=1), axis=1)
        assert (off < 0.2 * sides).all(), k
        assert np.abs(around[:, k] - around[:, corners].mean(axis=1)).max() < 1e-5, k


def test_wedges_are_nowhere_turned_inside_out_and_their_volume_is_that_of_pappus(rim, nodes):
    """A section of area A, whose centroid goes round at R: 2πRA."""
    a, b = np.arange(18) % 3 + np.repeat([0, 0, 3, 3, 0, 3], 3), np.repeat([0, 1, 0, 1, 2, 2], 3)
    place, weight = np.polynomial.legendre.leggauss(3)
    N, dN = (each(SIX_POINTS.places)[:, None] for each in (shape_functions, shape_slopes))
    M, dM = (each((place + 1) / 2)[None] for each in (side_shape_functions, side_shape_slopes))
    slopes = np.stack(
        [dN[..., a, 0] * M[..., b], dN[..., a, 1] * M[..., b], N[..., a] * dM[..., b]]
    )
    J = np.einsum("jqpa,eai->eqpij", slopes, nodes, optimize=True)
    det = np.linalg.det(J)
    assert det.min() > 0
    volume = np.einsum("eqp,q,p->", det, SIX_POINTS.weights, weight / 2)
    R = rim.sheet.seat_radius_mm + rim.section.centroid_mm[1]
    expected = 2 * np.pi * R * rim.section.area_mm2
    print(f"volume {volume:.1f} mm³, by Pappus {expected:.1f}: {volume / expected - 1:+.1e}")
    assert volume == pytest.approx(expected, rel=2e-5)


def test_the_section_at_the_worst_place_moves_and_bears_as_its_own_file_says(
    rim, grid, read_grid, tmp_path
):
    write_vtu(tmp_path / "section.vtu", rim, rim.governing)
    section = read_grid(tmp_path / "section.vtu")
    theta, radius = rim.governing.verdict.governing.theta, rim.governing.field.ring.radius
    turn = np.array(
        [[1, 0, 0], [0, np.cos(theta), np.sin(theta)], [0, -np.sin(theta), np.cos(theta)]]
    )
    apart, here = cKDTree(grid.points).query((section.points + np.array([0, radius, 0])) @ turn)
    assert apart.max() < 2 * PLACE_MM
    expected = section.point_data["displacement_mm"] @ turn
    gap = np.abs(grid.point_data["displacement_mm"][here] - expected)
    print(f"displacement up to {np.abs(expected).max():.3f} mm, {gap.max():.1e} mm apart")
    assert gap.max() < 0.51 * MOVE_MM
    for name in set(section.point_data) - {"displacement_mm"}:
        gap = np.abs(grid.point_data[name][here] - section.point_data[name])
        assert gap.max() < 0.51 * STRESS_MPA, name


def test_every_place_has_the_stress_and_displacement_of_the_field_there(rim, grid):
    n, answer = len(rim.mesh.nodes), rim.governing
    layers = grid.points.reshape(-1, n, 3)
    for k in (0, 7, len(layers) // 2 + 1):
        _, y, z = layers[k, 0]
        theta = float(np.arctan2(z, y))
        own, stood = answer.field, answer.standing
        stress = own.stress_at(theta) + stood.stress_at(theta)
        found = grid.point_data["von_mises_MPa"].reshape(-1, n)[k]
        assert np.abs(found - von_mises(stress)).max() < 0.02
        x, out, along = own.displacement_at(theta).T
        turned = np.exp(1j * theta) * (out + 1j * along)
        moved = grid.point_data["displacement_mm"].reshape(-1, n, 3)[k]
        np.testing.assert_allclose(moved, np.stack([x, turned.real, turned.imag], 1), atol=2e-5)


def test_the_wall_of_each_wedge_is_found_by_the_number_under_its_name(rim, grid):
    name_of = {int(number): name for name, (number,) in grid.field_data.items()}
    found = grid.cell_data["wall"].reshape(-1, len(rim.mesh.triangles))
    assert (found == rim.mesh.triangle_label).all()
    assert [name_of[k] for k in range(len(name_of))] == [*rim.mesh.names]


def test_nothing_else_is_in_the_file_and_every_array_ends_in_its_unit(grid):
    assert [*grid.cell_data] == ["wall"]
    assert len(grid.point_data) == 8
    assert all(name.endswith(("_mm", "_MPa")) for name in grid.point_data)


def test_wedges_meet_at_the_load_at_the_worst_place_and_at_spokes_and_are_short_near_the_load(rim):
    for answer in rim.answers:
        theta, ring = angles(answer, answer.field), answer.field.ring
        round_once = np.exp(1j * theta)
        wanted = [0.0, answer.verdict.governing.theta, *ring.spokes.angle]
        apart = np.abs(np.exp(1j * np.array(wanted))[:, None] - round_once).min(axis=1)
        assert apart[:2].max() < 1e-9
        assert apart.max() * ring.radius < 1.0
        length = np.diff(np.append(theta, theta[0] + 2 * np.pi)) * ring.radius
        gap = 2 * np.pi * ring.radius / len(ring.spokes.angle)
        assert length.min() > 0.5
        assert length.max() < 1.01 * gap
        if answer is rim.governing:
            near = np.abs(theta) * ring.radius < 10
            assert length[near].max() < 0.25 * answer.case.loads[0].patches_mm[0]
            assert length[np.abs(theta) > 2].min() > 0.4 * gap


@pytest.mark.long
def test_a_strike_at_a_spoke_of_a_radial_wheel_is_the_same_before_and_behind(
    rim, read_grid, tmp_path
):
    radial = replace(usual_lacing(rim.sheet, USUAL), crossings=0)
    straight = analyse(rim.sheet, lacing=radial, coarseness=2.5)
    assert straight.governing.landing.turn in (0.0, 1.0)  # at a spoke, not between two
    write_ring_vtu(tmp_path / "radial.vtu", straight, straight.governing)
    grid = read_grid(tmp_path / "radial.vtu")
    mirror = np.array([1, 1, -1])
    apart, other = cKDTree(grid.points).query(grid.points * mirror)
    assert apart.max() < 4 * PLACE_MM
    moved = grid.point_data["displacement_mm"]
    assert np.abs(moved[other] - moved * mirror).max() < 2 * MOVE_MM
    for name, values in grid.point_data.items():
        if name.endswith("_MPa"):  # zx and yz turn round with z
            sign = -1 if "z_" in name.replace("zz", "") or "_zx" in name else 1
            assert np.abs(values[other] - sign * values).max() < 0.05, name


def test_a_file_that_is_there_already_is_not_overwritten(rim, tmp_path, monkeypatch):
    monkeypatch.setattr("rimfea.files.ring_vtu._grid", lambda *_: None)
    monkeypatch.setattr("rimfea.files.ring_vtu.vtu_text", lambda *_: "ours")
    path = tmp_path / "kept.vtu"
    path.write_text("mine")
    with pytest.raises(FileError, match="not overwritten"):
        write_ring_vtu(path, rim, rim.governing)
    assert path.read_text() == "mine"
    write_ring_vtu(path, rim, rim.governing, overwrite=True)
    assert path.read_text() == "ours"


def test_a_slice_has_no_ring(rim, tmp_path):
    sliced = analyse_slice(rim.sheet)
    with pytest.raises(LoadError, match="no ring"):
        write_ring_vtu(tmp_path / "slice.vtu", sliced, sliced.governing)


def test_an_answer_of_another_rim_is_refused_before_any_file_is_made(rim, tmp_path):
    with pytest.raises(ValueError, match="another rim"):
        write_ring_vtu(tmp_path / "stranger.vtu", rim, replace(rim.governing))
    assert not (tmp_path / "stranger.vtu").exists()
