"""Axes of a sweep as a builder types them."""

from __future__ import annotations

import math

import pytest

from rimfea.errors import SheetError
from rimfea.vary.axis import MOST_POINTS, Axis, axes


def test_an_axis_has_so_many_places_evenly_from_one_end_to_the_other():
    (axis,) = axes(["sidewall_mm = 1.0:1.6:7"])
    assert axis == Axis("sidewall_mm", 1.0, 1.6, 7)
    assert axis.values == (1.0, 1.1, 1.2, 1.3, 1.4, 1.5, 1.6)


@pytest.mark.parametrize("name", ["hook lip", "hook_lip", "Hook lip", "hook_lip_mm"])
def test_a_wall_is_named_as_the_trade_does_or_by_its_key(name):
    (axis,) = axes([f"{name}=2:2.4:3"])
    assert axis.key == "hook_lip_mm"


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("sidewall_mm", "cannot be read: 'sidewall_mm'; write KEY=FROM:TO:COUNT, such as"),
        ("sidewall_mm=1.0-1.6", "write KEY=FROM:TO:COUNT"),
        ("sidewall_mm=1.0:1.6", "write KEY=FROM:TO:COUNT"),
        ("sidewall_mm=1.0:1.6:x", "write KEY=FROM:TO:COUNT"),
        ("sidewall_mm=1.0:1.6:2.5", "write KEY=FROM:TO:COUNT"),
        ("=1:2:3", "'' is not a key of a sheet"),
        ("sidewal_mm=1.0:1.6:7", "'sidewal_mm' is not a key of a sheet; did you mean sidewall_mm"),
        ("spoke_count=20:36:8", "spoke_count: is not a length; sweep a key that ends in _mm"),
        ("family=1:2:3", "family: is not a length"),
        ("sidewall_mm=0.1:1.6:7", "sidewall_mm = 0.1 mm: is out of range; allowed: 0.5 to 6 mm"),
        ("sidewall_mm=nan:1.6:7", "sidewall_mm = nan mm: is out of range"),
        ("sidewall_mm=1.0:inf:7", "sidewall_mm = inf mm: is out of range"),
        ("sidewall_mm=1.6:1.0:7", "1.6:1 mm: must rise; the smaller number comes first"),
        ("sidewall_mm=1.0:1.0:7", "must rise"),
        ("sidewall_mm=1.0:1.6:0", "sidewall_mm = 0: cannot have so many points; allowed: 2 to 400"),
        ("sidewall_mm=1.0:1.6:1", "allowed: 2 to 400"),
        ("sidewall_mm=1.0:1.6:-3", "allowed: 2 to 400"),
        ("sidewall_mm=1.0:1.6:401", "allowed: 2 to 400"),
        ("sidewall_mm=1.0:1.6:99999999999999999999", "allowed: 2 to 400"),
    ],
)
def test_what_is_no_axis_is_refused_with_what_to_do(text, told):
    with pytest.raises(SheetError) as caught:
        axes([text])
    assert told in str(caught.value)
    assert str(caught.value).startswith("axis: ")


def test_all_faults_of_all_axes_are_told_at_once():
    with pytest.raises(SheetError) as caught:
        axes(["sidewall_mm=9:8:0", "sidewall_mm=1.0:1.6:7", "hook"])
    assert [fault.field for fault in caught.value.faults] == ["sidewall_mm"] * 4 + [""]


def test_the_most_points_are_few_enough_to_wait_for():
    assert Axis("sidewall_mm", 1, 2, MOST_POINTS).values[-1] == 2
    assert math.isclose(Axis("sidewall_mm", 1, 2, MOST_POINTS).values[1], 1 + 1 / 399)
