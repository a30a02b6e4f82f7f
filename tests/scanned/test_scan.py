"""Scans drawn from the demo rims' sections: walls within 25 micrometres, area within half a per
cent, whatever a scan suffers from.
"""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from shapely import affinity, box

from rimfea.ask.trace import from_scan
from rimfea.errors import SectionError
from rimfea.geometry.chords import cast, chords, faces
from rimfea.geometry.outline import moments, polygon
from rimfea.scanned.scan import Known, Scale, mirrored_half, scanned

DPI = 600
AT_600 = Scale(25.4 / DPI, 25.4 / DPI)
WALL_MM, AREA = 0.025, 0.005
SUFFERED = {
    "clean": {"blur": 0.6},
    "blurred": {"blur": 1.6},
    "noisy": {"noise": 10},
    "unevenly lit": {"light": 0.3},
    "tilted": {"tilt": 4},
    "burred": {"burrs": 6},
    "dusty": {"dust": 40},
    "all at once": {"blur": 1.2, "noise": 6, "light": 0.25, "tilt": -3, "burrs": 5, "dust": 30},
}
USUAL = ("burred", "all at once")


def off_by(drawn, outline):
    """By how much each wall is thicker than drawn, on the lines on which the drawn one is gripped
    between parallel faces: mm.
    """
    gripped, onto = chords(drawn, 0.2), faces(outline)
    middle, along = (gripped.start + gripped.end) / 2, gripped.end - gripped.start
    along /= gripped.lengths[:, None]
    more = cast(middle, along, onto)[0] + cast(middle, -along, onto)[0] - gripped.lengths
    flat = gripped.lean < np.radians(1)
    here = {name: gripped.of(name) & flat for name in gripped.names}
    return {name: np.median(more[which]) for name, which in here.items() if which.any()}


@pytest.fixture(scope="module")
def faulty(scans):
    """A demo rim as drawn, and read from a scan with some faults: ``faulty("curlew", blur=2)``."""

    def make(name, **faults):
        drawn = scans.section_of(name)
        grey = scans.drawn_scan(polygon(drawn), dpi=DPI, faults=scans.Faults(**faults))
        return drawn, from_scan(scanned(grey, AT_600), "scan.png", "as the file says")

    return make


def holds(drawn, found):
    walls = off_by(drawn, found.outline)
    assert len(walls) >= 6
    assert max(map(abs, walls.values())) < min(WALL_MM, found.wall_mm), walls
    assert moments(found.outline)[0] == pytest.approx(moments(drawn)[0], rel=AREA)


@pytest.mark.parametrize(
    "faults",
    [
        pytest.param(faults, id=name, marks=[] if name in USUAL else pytest.mark.long)
        for name, faults in SUFFERED.items()
    ],
)
def test_walls_are_within_25_micrometres_and_the_area_within_half_a_per_cent(faulty, faults):
    drawn, found = faulty("curlew", **faults)
    holds(drawn, found)
    face = found.scan
    assert np.degrees(face.mirror.lean) == pytest.approx(faults.get("tilt", 0), abs=0.02)
    assert len(face.burrs) >= faults.get("burrs", 0)
    assert (face.specks > 10) == ("dust" in faults)


@pytest.mark.long
@pytest.mark.parametrize("name", ["grouse", "lapwing", "ouzel", "plover", "wheatear"])
def test_so_are_those_of_every_demo_rim(faulty, name):
    holds(*faulty(name, **SUFFERED["all at once"]))


@pytest.mark.long
def test_a_deep_rim_whose_spoke_bed_lies_aside_is_straightened_by_its_bead_seats(scans):
    face = polygon(scans.section_of("grouse"))
    low = face.bounds[1]

    def aside(places):
        share = np.clip((-1.5 - places[:, 1:]) / (-1.5 - low), 0, 1)
        return places + share * [2.5, -12.0]

    deep = shapely.transform(face, aside)
    grey = scans.drawn_scan(deep, faults=scans.Faults(blur=1.2, noise=6, tilt=3))
    found = from_scan(scanned(grey, AT_600), "scan.png", "")
    assert not found.scan.mirror.is_trusted
    assert np.degrees(found.move.turn) == pytest.approx(3, abs=0.02)
    corners = np.vstack([ring.corners for ring in found.outline.rings])
    assert shapely.distance(shapely.points(corners), deep.boundary).max() < 0.025
    assert found.area_mm2 == pytest.approx(deep.area, rel=1e-3)


def test_the_contour_lies_on_the_faces_and_over_the_picture(faulty):
    drawn, found = faulty("curlew", blur=1.0, noise=4, tilt=2)
    face, corners = polygon(drawn), np.vstack([ring.corners for ring in found.outline.rings])
    beside = shapely.distance(shapely.points(corners), face.boundary)
    assert np.quantile(beside, 0.95) < 0.012
    column, row = found.scan.in_picture(found.scan.rings[0]).T
    level = found.scan.picture[np.round(row).astype(int), np.round(column).astype(int)]
    levels = found.scan.levels
    assert abs(level.mean() - levels.threshold) < 0.1 * (levels.ground - levels.metal)


def test_the_doubt_in_the_grey_level_grows_with_the_blur(faulty):
    """A scanner that writes brightness by a power of 2.2 has half the light at 0.7 of the step."""
    sharp, soft = (faulty("wheatear", blur=blur)[1].wall_mm for blur in (0.5, 2.0))
    assert 0.02 < sharp < 0.06
    assert soft > 1.5 * sharp


def test_brightness_written_by_a_power_law_lies_within_the_doubt(scans):
    drawn = scans.section_of("wheatear")
    light = scans.drawn_scan(polygon(drawn), faults=scans.Faults(blur=1.2), metal=5, ground=220)
    grey = np.round(255 * (light / 255) ** (1 / 2.2)).astype(np.uint8)
    found = from_scan(scanned(grey, AT_600), "scan.png", "")
    off = off_by(drawn, found.outline).values()
    assert min(off) < -0.02
    assert max(map(abs, off)) < found.wall_mm


def test_dust_at_an_edge_leaves_no_corner_that_no_mesh_could_have(scans):
    face = polygon(scans.section_of("wheatear"))
    dust = shapely.Polygon([(11.6, 2.1), (13.0, 1.98), (13.0, 2.22)])
    grey = scans.drawn_scan(face.difference(dust), faults=scans.Faults(blur=0.5))
    ring = scanned(grey, AT_600).rings[0]
    back, on = np.roll(ring, 1, axis=0) - ring, np.roll(ring, -1, axis=0) - ring
    lengths = np.linalg.norm(back, axis=1) * np.linalg.norm(on, axis=1)
    assert np.degrees(np.arccos((back * on).sum(axis=1) / lengths)).min() > 80


@pytest.mark.parametrize("known", [Known("depth", 20.0), Known("width", 28.0)])
def test_a_known_dimension_gives_the_scale(scans, known):
    face = polygon(scans.section_of("wheatear"))
    low_x, low_y, high_x, high_y = face.bounds
    mm = high_y - low_y if known.what == "depth" else high_x - low_x
    grey = scans.drawn_scan(face, dpi=300, faults=scans.Faults(tilt=3))
    found = scanned(grey, Scale(1.0, 1.0), Known(known.what, mm))
    assert found.scale.dpi == pytest.approx(300, rel=1e-3)


def test_a_bright_face_on_dark_ground_is_the_same(scans):
    grey = scans.scan_of("wheatear", dpi=300)
    scale = Scale(25.4 / 300, 25.4 / 300)
    dark, bright = scanned(grey, scale), scanned(255 - grey, scale)
    assert bright.rings[0] == pytest.approx(dark.rings[0], abs=1e-3)


def test_a_very_fine_scan_is_read_coarser_in_bounded_memory(scans, monkeypatch):
    grey = scans.scan_of("wheatear", dpi=600)
    monkeypatch.setattr("rimfea.scanned.scan.MOST_PIXELS", 100_000)
    found = scanned(grey, AT_600)
    assert found.picture.size < 100_000
    area = shapely.Polygon(found.rings[0]).area
    assert area == pytest.approx(polygon(scans.section_of("wheatear")).area, rel=AREA)


def test_the_calmer_half_is_mirrored(faulty):
    drawn, found = faulty("curlew", noise=2)
    rough = found.scan.rings[0].copy()
    rough[rough[:, 0] > 0] += np.random.default_rng(1).normal(0, 0.006, (sum(rough[:, 0] > 0), 2))
    rings, half = mirrored_half((rough, *found.scan.rings[1:]))
    assert half == "left"
    whole = shapely.Polygon(rings[0], rings[1:])
    assert whole.area == pytest.approx(moments(drawn)[0], rel=AREA)
    flipped = affinity.scale(whole, -1, 1, origin=(0, 0))
    assert whole.symmetric_difference(flipped).area < 1e-6


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (lambda face: face.union(box(30, 0, 40, 10)), "two bodies"),
        (lambda face: affinity.rotate(face, 180), "upside down"),
    ],
)
def test_what_is_no_section_is_refused(scans, change, told):
    grey = scans.drawn_scan(change(polygon(scans.section_of("wheatear"))), dpi=200)
    with pytest.raises(SectionError, match=told):
        from_scan(scanned(grey, Scale(0.127, 0.127)), "scan.png", "")


def test_a_face_cut_off_by_the_picture_is_refused(scans):
    grey = scans.scan_of("wheatear", dpi=200)
    with pytest.raises(SectionError, match="reaches the edge of the picture") as caught:
        scanned(grey[:, : grey.shape[1] * 2 // 3], Scale(0.127, 0.127))
    body, whole = (np.array(line) for line in caught.value.lines)
    assert body.max(axis=0)[0] == pytest.approx(whole.max(axis=0)[0])
    assert (body.min(axis=0) > whole.min(axis=0) + 1).all()
