"""Sections as DXF, made by its own library as a drawing program would."""

from __future__ import annotations

import io

import ezdxf
import numpy as np
import pytest
from ezdxf.math import bulge_to_arc

from rimfea.errors import FileError, SectionError
from rimfea.files.outline_dxf import read_outline_dxf, write_outline_dxf
from rimfea.geometry.outline import moments
from rimfea.geometry.ring import signed_area
from rimfea.traced.repair import repaired

SQUARE = [(0, 0), (20, 0), (20, 12), (0, 12)]


@pytest.fixture
def dxf(file):
    """Write what a function draws in model space: ``dxf(lambda space: ..., units=4)``."""

    def write(draw, units=4, prepare=lambda _: None):
        document = ezdxf.new(units=units)
        prepare(document)
        draw(document.modelspace())
        text = io.StringIO()
        document.write(text)
        return file("a.dxf", text.getvalue())

    return write


def square(space, **also):
    space.add_lwpolyline(SQUARE, close=True, **also)


def area(path, unit=None):
    return moments(repaired(read_outline_dxf(path, unit)).outline)[0]


def test_what_is_written_is_read_back_and_arcs_stay_arcs(curlew, tmp_path):
    path = tmp_path / "curlew.dxf"
    write_outline_dxf(path, curlew)
    found = repaired(read_outline_dxf(path)).outline
    assert moments(found) == pytest.approx(moments(curlew), rel=1e-9, abs=1e-6)
    assert len(found.labels) == len(curlew.labels)


@pytest.mark.parametrize(
    ("units", "asked", "factor", "how"),
    [
        (4, None, 1.0, "as the file says"),
        (1, None, 25.4, "as the file says"),
        (0, "mm", 1.0, "as you said"),
        (6, "mm", 1.0, "as you said; the file says m"),
        (5, None, 10.0, "as the file says"),
    ],
)
def test_the_unit_is_the_files_or_what_is_said(dxf, units, asked, factor, how):
    found = read_outline_dxf(dxf(square, units=units), asked)
    assert found.trails[0].corners.max() == pytest.approx(20 * factor)
    assert found.unit_from == how


def test_a_drawing_without_a_unit_asks_for_one(dxf):
    with pytest.raises(FileError, match="in which unit was it drawn"):
        read_outline_dxf(dxf(square, units=0))


def test_lines_arcs_circles_splines_and_ellipses_are_joined(dxf):
    """A square with one corner rounded, half a circle on one side, half an ellipse on another, and
    a round hole in it.
    """

    def draw(space):
        space.add_line((4, 0), (20, 0))
        space.add_arc((20, 6), 6, -90, 90)
        space.add_line((20, 12), (0, 12))
        space.add_ellipse((0, 8), (0, 4), 0.5, 0, np.pi)
        space.add_arc((4, 4), 4, 180, 270)
        space.add_circle((10, 6), 2)

    wanted = 20 * 12 - (1 - np.pi / 4) * 16 + np.pi * 18 + np.pi * 4 - np.pi * 4
    assert area(dxf(draw)) == pytest.approx(wanted, abs=0.02)


def test_a_section_in_loose_lines_and_arcs_comes_together(dxf, curlew):
    """As a drawing program explodes it: in any order, lines in any direction, ends 0.01 mm off."""
    random = np.random.default_rng(4)

    def draw(space):
        edges = [
            (ring.corners[k], ring.corners[(k + 1) % len(ring.bulge)], ring.bulge[k])
            for ring in curlew.rings
            for k in range(len(ring.bulge))
        ]
        for k in random.permutation(len(edges)):
            start, end, bulge = edges[k]
            if bulge:
                centre, low, high, radius = bulge_to_arc(start, end, bulge)
                space.add_arc(centre, radius, np.degrees(low), np.degrees(high))
            else:
                off = random.uniform(-0.007, 0.007, (2, 2))
                ends = np.array([start, end])[:: random.choice([-1, 1])] + off
                space.add_line(*ends)

    found = repaired(read_outline_dxf(dxf(draw)))
    assert moments(found.outline)[0] == pytest.approx(moments(curlew)[0], rel=5e-4)
    assert len(found.outline.labels) >= len(curlew.labels)
    assert "closed a gap of 0.0" in found.done[0]


def test_a_spline_is_followed_within_two_micrometres(dxf):
    angle = np.linspace(0, 2 * np.pi, 41)

    def draw(space):
        space.add_spline([(10 * np.cos(a), 10 * np.sin(a), 0) for a in angle])

    (found,) = read_outline_dxf(dxf(draw)).trails
    assert found.is_closed
    radius = np.linalg.norm(found.corners, axis=1)
    assert radius == pytest.approx(10, abs=0.02)
    assert abs(signed_area(found.ring())) == pytest.approx(np.pi * 100, rel=1e-3)


def test_bulges_of_both_kinds_of_polylines_stay(dxf):
    disc = np.pi * 25
    light = dxf(lambda s: s.add_lwpolyline([(0, 0, 1), (10, 0, 1)], format="xyb", close=True))
    assert area(light) == pytest.approx(disc)
    old = dxf(lambda s: s.add_polyline2d([(0, 0, 1), (10, 0, 1)], format="xyb", close=True))
    assert area(old) == pytest.approx(disc)


def test_an_arc_seen_from_behind_lies_mirrored(dxf):
    behind = {"extrusion": (0, 0, -1)}
    path = dxf(lambda s: s.add_lwpolyline([(3, 0, 0.3), (23, 0), (23, 9)], format="xyb", close=True,
                                          dxfattribs=behind))  # fmt: skip
    (found,) = read_outline_dxf(path).trails
    assert found.corners[:, 0].tolist() == [-3, -23, -23]
    assert found.bulge.tolist() == [-0.3, 0, 0]


def test_blocks_are_taken_apart_where_they_are_put(dxf):
    def prepare(document):
        square(document.blocks.new("rim"))
        document.blocks.new("twice").add_blockref("rim", (5, 0))

    def draw(space):
        space.add_blockref("twice", (100, 50), dxfattribs={"xscale": 2, "yscale": 2})

    (found,) = read_outline_dxf(dxf(draw, prepare=prepare)).trails
    assert found.corners.min(axis=0) == pytest.approx([110, 50])
    assert np.ptp(found.corners, axis=0) == pytest.approx([40, 24])


def test_blocks_of_blocks_without_end_are_refused_at_once(dxf, monkeypatch):
    monkeypatch.setattr("rimfea.files.outline_dxf.MOST_ENTITIES", 500)

    def prepare(document):
        square(document.blocks.new("b0"))
        for k in range(1, 8):
            block = document.blocks.new(f"b{k}")
            for _ in range(10):
                block.add_blockref(f"b{k - 1}", (0, 0))

    bomb = dxf(lambda s: s.add_blockref("b7", (0, 0)), prepare=prepare)
    with pytest.raises(FileError, match="more than 500 lines"):
        read_outline_dxf(bomb)
    rows = {"column_count": 300, "row_count": 300, "column_spacing": 1, "row_spacing": 1}
    many = dxf(lambda s: s.add_blockref("b0", (0, 0), dxfattribs=rows), prepare=prepare)
    with pytest.raises(FileError, match="more than 500 lines"):
        read_outline_dxf(many)


def test_a_block_that_holds_itself_is_refused(dxf):
    def prepare(document):
        block = document.blocks.new("b")
        block.add_blockref("b", (1, 0))

    with pytest.raises(FileError, match="blocks within blocks, 8 deep"):
        read_outline_dxf(dxf(lambda s: s.add_blockref("b", (0, 0)), prepare=prepare))


def test_what_is_no_line_of_the_outline_is_left_out_and_told(dxf):
    def prepare(document):
        document.layers.add("OFF").off()
        document.linetypes.add("CENTER", [1.0, 0.5, -0.5])
        document.layers.add("MIDDLE", linetype="CENTER")

    def draw(space):
        square(space)
        space.add_text("curlew")
        space.add_point((0, 0))
        space.add_line((0, 0), (1, 1), dxfattribs={"layer": "OFF"})
        space.add_line((10, -5), (10, 20), dxfattribs={"layer": "MIDDLE"})
        space.add_line((-5, 6), (30, 6), dxfattribs={"linetype": "CENTER"})

    found = read_outline_dxf(dxf(draw, prepare=prepare))
    assert len(found.trails) == 1
    assert found.dropped == (
        "1 POINT",
        "1 TEXT",
        "2 centre lines and dashed lines",
        "1 lines on layers that are off",
    )


@pytest.mark.parametrize(
    "draw",
    [
        lambda s: s.add_line((0, 0, 0), (1, 0, 5)),
        lambda s: s.add_polyline3d([(0, 0, 0), (9, 0, 2), (0, 9, 0)], close=True),
        lambda s: s.add_circle((0, 0), 9, dxfattribs={"extrusion": (1, 0, 0)}),
        lambda s: s.add_polyface().append_faces([[(0, 0, 0), (1, 0, 0), (0, 1, 0)]]),
    ],
)
def test_what_is_not_drawn_in_the_plane_is_refused_with_its_handle(dxf, draw):
    with pytest.raises(SectionError, match=r"a\.dxf, (LINE|POLYLINE|CIRCLE) [0-9A-F]+: "):
        read_outline_dxf(dxf(draw))


@pytest.mark.parametrize(
    "text",
    [
        "0\nSECTION\n2\nENTITIES\n0\nLINE\n10\nabc\n",
        "0\nSECTION\n",
        "0\nSECTION\n2\nENTITIES\n0\nCIRCLE\n10\nnan\n20\n0\n40\n-1\n0\nENDSEC\n0\nEOF\n",
        "0\nSECTION\n2\nENTITIES\n0\nSPLINE\n71\n3\n73\n9\n0\nENDSEC\n0\nEOF\n",
    ],
)
def test_a_broken_file_ends_in_an_error_of_the_input(file, text):
    with pytest.raises((FileError, SectionError)):
        repaired(read_outline_dxf(file("a.dxf", text), "mm"))


def test_a_binary_dxf_is_refused(file):
    with pytest.raises(FileError, match="is a binary DXF; save it as DXF in text"):
        read_outline_dxf(file("a.dxf", b"AutoCAD Binary DXF\r\n\x1a\x00"))
