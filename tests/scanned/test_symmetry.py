"""The middle line of a face, with burrs and without."""

from __future__ import annotations

import numpy as np
import pytest
from shapely import affinity

from rimfea.geometry.outline import polygon
from rimfea.scanned.symmetry import in_mirror, mirror, straightened, tilted


@pytest.fixture(scope="module")
def face(scans):
    return polygon(scans.section_of("curlew"))


@pytest.mark.parametrize("lean", [-7.0, 0.0, 3.3])
def test_the_middle_line_of_a_tilted_section_is_found(face, lean):
    turned = affinity.translate(affinity.rotate(face, -lean, origin=(0, 0)), 17.0, 5.0)
    found = mirror(turned)
    assert np.degrees(found.lean) == pytest.approx(lean, abs=0.01)
    assert found.unlike_mm < 0.01
    assert found.is_trusted
    upright = straightened(np.array(turned.exterior.coords), found)
    assert abs(upright[:, 0].min() + upright[:, 0].max()) < 0.005
    assert tilted(upright, found) == pytest.approx(np.array(turned.exterior.coords))
    assert in_mirror(turned, found).symmetric_difference(turned).area < 0.2


def test_a_burr_turns_nothing(face):
    found = mirror(face.union(face.exterior.interpolate(0.2, normalized=True).buffer(0.4)))
    assert np.degrees(found.lean) == pytest.approx(0, abs=0.02)


def test_a_face_whose_halves_are_unlike_is_not_trusted(face):
    lopsided = affinity.skew(face, xs=12, origin=(0, 0))
    assert not mirror(lopsided).is_trusted
