"""From a drawing or a scan to a section in a rim's axes, and what is told of the way."""

from __future__ import annotations

import numpy as np
import pytest

from rimfea.ask.trace import from_drawing, from_scan, looked_at
from rimfea.errors import OutlineError, SectionError
from rimfea.geometry.outline import moments
from rimfea.scanned.scan import Scale, scanned
from rimfea.traced.drawing import Drawing, trail


@pytest.fixture(scope="module")
def drawn(scans):
    return scans.section_of("curlew")


def drawing_of(outline, *, shift=(0.0, 0.0), backwards=False, dropped=()):
    lines = [
        trail(ring.corners + shift, ring.bulge, is_closed=True, where="LWPOLYLINE 2F")
        for ring in outline.rings
    ]
    turned = [each.turned_over() for each in lines] if backwards else lines
    return Drawing(tuple(turned), "curlew.dxf", "mm", "as the file says", dropped)


def test_a_drawing_is_put_into_the_axes_and_all_that_was_done_is_told(drawn):
    found = from_drawing(
        drawing_of(drawn, shift=(100, 40), backwards=True, dropped=("2 centre lines",))
    )
    assert found.outline.outer.corners[:, 1].max() == pytest.approx(
        drawn.outer.corners[:, 1].max(), abs=1e-6
    )
    assert (found.move.x_mm, found.move.y_mm) == pytest.approx((-100, -40), abs=1e-6)
    assert len(found.repaired) == 2
    assert found.dropped == ("2 centre lines",)
    assert found.wall_mm == 0
    assert found.area_mm2 == pytest.approx(moments(drawn)[0])


def test_sizes_and_walls_are_those_of_the_sheet(drawn):
    found = from_drawing(drawing_of(drawn))
    sizes = found.measured()
    assert next(iter(sizes)).endswith("_mm")
    assert sizes["sidewall_mm"] == pytest.approx(1.2, abs=0.1)
    width, depth = found.size_mm
    assert depth == pytest.approx(sizes["overall_depth_mm"])
    assert width > sizes["inner_width_mm"]


def test_a_section_is_looked_at_once_its_diameter_is_known(drawn):
    analysis = looked_at(drawn, name="curlew", bead_seat_diameter_mm=622)
    assert 300 < analysis.hoop.mass_g < 700


def test_a_section_turned_over_is_refused_with_what_was_read(drawn):
    lines = [
        trail(-ring.corners, ring.bulge, is_closed=True, where="LINE 1") for ring in drawn.rings
    ]
    with pytest.raises(SectionError, match=r"over\.svg: .* upside down") as caught:
        from_drawing(Drawing(tuple(lines), "over.svg", "mm", ""))
    assert len(caught.value.lines) == 2


def test_a_channel_without_a_well_stands_on_its_floor():
    block = trail(
        [(-14, -3), (14, -3), (14, 6), (12, 6), (12, 0), (-12, 0), (-12, 6), (-14, 6)],
        is_closed=True,
    )
    found = from_drawing(Drawing((block,), "block.csv", "mm", ""))
    assert found.size_mm == pytest.approx((28, 9))


def test_a_scanned_section_is_looked_at_too(scans, face):
    """Corners where its names change lie on edges that lean: no sliver beside them."""
    analysis = looked_at(
        from_scan(face, "scan.png", "").outline,
        name="wheatear",
        bead_seat_diameter_mm=622,
        spoke_count=36,
    )
    drawn = looked_at(
        scans.section_of("wheatear"), name="drawn", bead_seat_diameter_mm=622, spoke_count=36
    )
    assert analysis.sheet.family == "traced section"
    assert analysis.hoop.mass_g == pytest.approx(drawn.hoop.mass_g, rel=0.01)


@pytest.fixture(scope="module")
def face(scans):
    grey = scans.scan_of("wheatear", dpi=300, faults=scans.Faults(dust=30, burrs=3, noise=2))
    return scanned(grey, Scale(25.4 / 300, 25.4 / 300))


def test_a_scan_tells_its_scale_dust_and_burrs_and_carries_its_doubt(face):
    found = from_scan(face, "scan.png", "as you said")
    assert (found.unit, found.unit_from) == ("300 dpi", "as you said")
    assert found.wall_mm == 2 * face.edge_mm > 0.05
    assert "specks of dust" in found.dropped[0]
    assert found.half == ""


def test_a_half_is_mirrored_on_request_and_not_where_halves_are_unlike(face):
    found = from_scan(face, "scan.png", "", mirror=True)
    assert found.half in ("left", "right")
    moment = moments(found.outline)
    assert abs(moment[1]) < 1e-6 * moment[0]
    unlike = type(face)(**{**vars(face), "mirror": type(face.mirror)(np.zeros(2), 0.0, 0.4)})
    with pytest.raises(SectionError, match=r"too unlike .* by up to 0.40 mm; leave --mirror out"):
        from_scan(unlike, "scan.png", "", mirror=True)


def test_where_no_walls_can_be_told_the_error_is_the_outlines(drawn, monkeypatch):
    def none(*_, **__):
        raise OutlineError("no walls")

    monkeypatch.setattr("rimfea.ask.trace.usually_named", none)
    with pytest.raises(OutlineError, match="no walls"):
        from_drawing(drawing_of(drawn)).measured()
