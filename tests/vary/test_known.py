"""Caliper, scales and tones together."""

from __future__ import annotations

import numpy as np
import pytest

from rimfea.vary import tap as rings
from rimfea.vary.known import known
from rimfea.vary.scales import drawn_mass_g, weighed

HEARD = (0, 1, 3)


@pytest.fixture(scope="module", autouse=True)
def coarse():
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(rings, "COARSE", 2.5)
        yield
    rings._rung.cache_clear()


@pytest.fixture(scope="module")
def sheet(sheet_of):
    plain = sheet_of(name="dunlin")
    return plain.varied(weighed_mass_g=drawn_mass_g(plain) + 5)


@pytest.fixture(scope="module")
def expected(sheet):
    return rings.tap(sheet).hertz[list(HEARD)]


def heard(sheet, hertz, **changes):
    return known(sheet.varied(tones_Hz=[*map(float, hertz)], **changes))


def test_without_tones_it_is_the_scales(sheet):
    sure, scales = known(sheet), weighed(sheet)
    ours, theirs = (each.conditioned(each.lengths) for each in (sure.weighed, scales))
    np.testing.assert_array_equal(ours[0].shares, theirs[0].shares)
    np.testing.assert_array_equal(sure.conditioned(scales.lengths)[1], theirs[1])
    assert not sure.hears


def test_tones_as_expected_move_nothing_more_and_leave_less_doubt(sheet, expected):
    scales, sure = weighed(sheet), heard(sheet, expected)
    left, moved = sure.conditioned(scales.lengths)
    before, by_scales = scales.conditioned(scales.lengths)
    assert sure.hears
    np.testing.assert_allclose(moved, by_scales, atol=1e-6)
    assert (left.standard <= before.standard * (1 + 1e-9)).all()
    assert sure.standard_mm("flank_mm") < 0.9 * scales.standard_mm("flank_mm")


def test_tones_that_do_not_agree_move_nothing(sheet, expected):
    scales, sure = weighed(sheet), heard(sheet, 0.88 * expected)
    assert not sure.hears
    left, moved = sure.conditioned(scales.lengths)
    before, by_scales = scales.conditioned(scales.lengths)
    np.testing.assert_array_equal(moved, by_scales)
    np.testing.assert_array_equal(left.standard, before.standard)


def test_where_the_scales_do_not_agree_the_tones_are_not_asked(sheet, expected):
    sure = heard(sheet, expected, weighed_mass_g=sheet.weighed_mass_g + 200)
    assert sure.tap is not None
    assert not sure.hears


def test_tones_tell_of_a_rim_that_nobody_weighed(sheet, expected):
    sure = heard(sheet, expected, weighed_mass_g=None)
    assert sure.hears
    assert sure.standard_mm("flank_mm") < weighed(sheet.varied(weighed_mass_g=None)).standard_mm(
        "flank_mm"
    )
