"""A section over its scan, in its axes, or with the place marked where it was refused."""

from __future__ import annotations

from io import BytesIO

import numpy as np
import pytest

from rimfea.ask.trace import from_drawing, from_scan
from rimfea.errors import SectionError
from rimfea.picture.trace import refused_figure, trace_figure
from rimfea.scanned.scan import Scale, scanned
from rimfea.traced.drawing import Drawing, trail


def saved(figure):
    figure.savefig(BytesIO(), format="png", dpi=50)
    return figure


def test_the_outline_lies_on_the_edges_of_its_scan_whole_and_near(scans):
    grey = scans.scan_of("wheatear", dpi=200, faults=scans.Faults(tilt=3))
    found = from_scan(scanned(grey, Scale(0.127, 0.127)), "scan.png", "as you said")
    whole, near = saved(trace_figure(found)).axes
    for axes in (whole, near):
        (picture,) = axes.images
        column, row = axes.lines[0].get_data()
        level = picture.get_array()[np.round(row).astype(int), np.round(column).astype(int)]
        assert abs(level.mean() - found.scan.levels.threshold) < 25
    left, right = near.get_xlim()
    assert (right - left) * 0.127 == pytest.approx(3.6)


def test_a_drawing_stands_in_its_axes_with_lines_at_seat_and_middle(scans):
    lines = tuple(
        trail(ring.corners, ring.bulge, is_closed=True) for ring in scans.section_of("curlew").rings
    )
    figure = saved(trace_figure(from_drawing(Drawing(lines, "curlew.dxf", "mm", ""))))
    (axes,) = figure.axes
    (metal,) = axes.patches
    assert metal.get_path().vertices[:, 1].max() == pytest.approx(5.7, abs=0.01)
    assert len(axes.lines) == 2


@pytest.mark.parametrize("lines", [[[(0, 0), (20, 0), (20, 9), (0, 0)]], []])
def test_a_place_that_is_refused_is_marked_on_what_was_read(lines):
    error = SectionError("two lines cross", spots=[(20, 9), (3, 1)], source="a.svg", lines=lines)
    figure = saved(refused_figure(error))
    (axes,) = figure.axes
    marked = [line.get_xydata().tolist() for line in axes.lines if line.get_marker() == "o"]
    assert marked == [[[20, 9]], [[3, 1]]]
    assert len(axes.lines) == 4 + len(lines)
    assert figure.get_suptitle().startswith("a.svg: two lines cross")


def test_an_error_without_a_place_is_drawn_too():
    assert saved(refused_figure(SectionError("there is no outline in it"))).axes
