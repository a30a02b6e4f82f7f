"""Grey levels of metal and ground, found where the light is uneven."""

from __future__ import annotations

import numpy as np
import pytest

from rimfea.errors import SectionError
from rimfea.scanned.levels import otsu, share_of_metal, standing_out


def disc(metal, ground, noise=0.0, size=160):
    """A disc of one grey level on another, its edge two pixels wide."""
    row, column = np.mgrid[:size, :size] - size / 2
    share = np.clip((size / 3 - np.hypot(row, column)) / 2 + 0.5, 0, 1)
    grey = ground + (metal - ground) * share
    grey = grey + np.random.default_rng(2).normal(0, noise, grey.shape)
    return share, np.clip(np.round(grey), 0, 255).astype(np.uint8)


def test_otsu_cuts_between_two_levels():
    _, grey = disc(40, 220, noise=12)
    assert 90 < otsu(grey) < 175


@pytest.mark.parametrize(("metal", "ground"), [(40, 220), (220, 40)])
def test_a_face_stands_out_dark_or_bright(metal, ground):
    share, grey = disc(metal, ground, noise=8)
    seen, is_dark = standing_out(grey)
    assert is_dark == (metal < ground)
    assert (seen == (share > 0.5)).mean() > 0.99


def test_a_face_of_a_thousandth_of_the_picture_stands_out_of_uneven_light():
    """The light changes by more than the histogram of so small a face could show."""
    page = np.tile(np.linspace(240, 150, 1500), (1500, 1))
    page[700:745, 300:350] = 40
    page += np.random.default_rng(3).normal(0, 5, page.shape)
    seen, is_dark = standing_out(np.clip(page, 0, 255).astype(np.uint8))
    assert is_dark
    assert seen.sum() == pytest.approx(45 * 50, rel=0.02)


def test_a_picture_of_one_grey_has_nothing_that_stands_out():
    with pytest.raises(SectionError, match="can hardly be told"):
        standing_out(np.full((90, 90), 200, dtype=np.uint8))


def test_the_share_of_metal_and_its_levels_are_those_that_were_drawn():
    share, grey = disc(50, 210, noise=2)
    found, levels = share_of_metal(grey)
    assert found == pytest.approx(share, abs=0.08)
    assert (levels.metal, levels.ground) == pytest.approx((50, 210), abs=1)
    assert levels.threshold == pytest.approx(130, abs=1)
    assert 1.5 < levels.noise < 3


def test_uneven_light_is_evened_out():
    """A third of the light is lost from left to right: one threshold would lie 30 levels off."""
    share, grey = disc(60, 240)
    light = 1 - np.linspace(0, 0.33, grey.shape[1]) ** 1.0
    found, levels = share_of_metal(np.round(grey * light).astype(np.uint8))
    assert np.abs(found - share).max() < 0.03
    assert levels.uneven == pytest.approx(0.33 * 240, rel=0.1)


def test_a_face_that_can_hardly_be_seen_is_refused():
    _, faint = disc(200, 222, noise=2)
    with pytest.raises(SectionError, match="can hardly be told from the ground"):
        share_of_metal(faint)
    with pytest.raises(SectionError, match="blacken the sawn face"):
        share_of_metal(np.full((50, 50), 200, dtype=np.uint8))
