"""A rim's tones with their ±, and whether a sheet agrees with those that were heard."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from rimfea.ask.trace import looked_at
from rimfea.elastic.modes import Kind
from rimfea.errors import LoadError, MeshError
from rimfea.files.sheet_toml import read_sheet
from rimfea.geometry.outline import from_rings
from rimfea.profile.moved import moved
from rimfea.study.analysis import inspect
from rimfea.study.tones import ringing
from rimfea.vary import tap as rings
from rimfea.vary.doubt import Origin
from rimfea.vary.tap import Hearing, tap
from tests.numbers import COARSE_TONES

PROFILES = Path(__file__).parents[2] / "profiles"
CURLEW = read_sheet(PROFILES / "curlew.toml")
pytestmark = pytest.mark.usefixtures("coarse_tones")


@pytest.fixture(scope="module")
def found():
    return tap(CURLEW)


@pytest.fixture(scope="module")
def unweighed():
    return tap(CURLEW.varied(weighed_mass_g=None))


def test_every_tone_has_a_doubt_and_the_lowest_comes_first(found):
    assert [tone.hertz for tone in found.tones] == sorted(found.hertz)
    assert len(found.tones) == len(found.modes) == 10
    low = found.tones[0]
    assert (low.waves, low.kind) == (2, Kind.SIDEWAYS)
    assert 1.0 < low.expanded < 5.0
    assert low.aside == pytest.approx(math.pi / 4)


def test_tones_move_with_the_sheet_as_rims_solved_anew_do(unweighed):
    """The slope behind the ± of a wall, by the numbers' own source."""
    wall, by = "flank_mm", 0.05
    thick, thin = (
        ringing(inspect(moved(CURLEW, {wall: step}), coarseness=COARSE_TONES), (2, 3, 4))
        for step in (by, -by)
    )
    (row,) = [k for k, source in enumerate(unweighed.doubt.sources) if source.what == wall]
    scales = unweighed.weighed
    standard = scales.lengths.shares[row, scales.keys.index(wall)]
    slope = unweighed.doubt.shares[row] / standard
    change = (thick.hertz - thin.hertz) / (2 * by)
    np.testing.assert_allclose(slope[[0, 2, 4]], change[[0, 2, 4]], rtol=0.03)


def test_all_that_was_named_is_in_the_doubt(unweighed):
    origins = {source.origin for source in unweighed.doubt.sources}
    assert origins == {Origin.READING, Origin.GUESS, Origin.INSTRUMENT, Origin.DRAWING}
    assert [source.origin for source in unweighed.errors] == [Origin.TONES] * 11
    stiff, *alone = unweighed.own / unweighed.hertz
    np.testing.assert_allclose(stiff, 0.015 / math.sqrt(3) / 2)
    np.testing.assert_allclose(alone, 0.005 / math.sqrt(3) * np.eye(10), atol=1e-12)
    whole = [tone.expanded**2 / 4 for tone in unweighed.tones]
    np.testing.assert_allclose(whole, unweighed.doubt.standard**2 + (unweighed.own**2).sum(axis=0))


def test_the_scales_move_the_tones_and_leave_them_in_less_doubt(found, unweighed):
    """Curlew weighs 6 g less than it is drawn: it rings higher."""
    for k, tone in enumerate(found.tones[:4]):
        if tone.kind is Kind.IN_PLANE:
            assert found.hertz[k] > 1.002 * unweighed.hertz[k]
    assert (found.doubt.standard[:4] < unweighed.doubt.standard[:4]).all()


def test_what_is_heard_within_the_doubt_agrees(found):
    heard = found.hearing([128.0, 151.0, 424.0])
    assert [each.place for each in heard.heard] == [0, 1, 3]
    assert heard.misfit < 1
    assert heard.agrees


def test_what_is_heard_low_by_one_share_does_not(found):
    heard = found.hearing(0.92 * found.hertz[:4])
    assert not heard.agrees
    assert heard.misfit > 3
    for kind in Kind:
        assert heard.share(kind) == pytest.approx(-0.08)
        assert len(heard.shares(kind)) == 2


def test_the_limit_is_that_of_k_2(found):
    """One tone, off by twice what it and its reading are in doubt by."""
    off = 2 * math.hypot(found.tones[1].expanded / 2, rings.HEARD_STANDARD)
    for share, agrees in ((0.99, True), (1.01, False)):
        one = replace(found, heard=(Hearing(found.tones[1].hertz + share * off, 1, ()),))
        assert one.misfit == pytest.approx(share**2, rel=1e-3)
        assert one.agrees == agrees


def test_a_heavier_sleeve_rings_lower():
    sleeved = tap(CURLEW.varied(joint="sleeved", weighed_mass_g=None))
    (row,) = [k for k, each in enumerate(sleeved.doubt.sources) if each.what == "joint_mass_g"]
    off = sleeved.weighed.lengths.shares[row, sleeved.weighed.keys.index("joint_mass_g")]
    slope = sleeved.doubt.shares[row] / off
    np.testing.assert_allclose(slope / sleeved.hertz, -0.5 / 572, rtol=0.01)


def test_tones_leave_walls_in_less_doubt_and_move_them_where_they_want_them(found):
    """A rim with a thinner flank is heard: the flank is what moves."""
    there = CURLEW.varied(flank_mm=CURLEW.flank_mm - 0.1)
    rung = ringing(inspect(there, coarseness=COARSE_TONES))
    heard = found.hearing(rung.hertz[:6])
    first = heard.hints[0]
    assert first.key == "flank_mm"
    assert first.moved < -0.03
    assert first.after < first.before
    assert first.far == pytest.approx(first.moved / first.before)
    assert all(hint.after <= hint.before * (1 + 1e-12) for hint in heard.hints)


def test_what_tones_leave_is_what_the_books_have(found):
    """Gauss and Markov in one step: U − U J' (J U J' + R)⁻¹ J U."""
    heard = found.hearing([128.0, 151.0, 424.0])
    lengths, _ = found.weighed.conditioned(found.weighed.lengths)
    left, moved = heard.conditioned(lengths)
    at = [0, 1, 3]
    seen = found.doubt.shares[:, at]
    R = found.own[:, at].T @ found.own[:, at] + rings.HEARD_STANDARD**2 * np.eye(3)
    gain = lengths.shares.T @ seen @ np.linalg.inv(seen.T @ seen + R)
    gap = np.array([128.0, 151.0, 424.0]) - found.hertz[at]
    np.testing.assert_allclose(moved, gain @ gap, atol=1e-12)
    expected = lengths.covariance - gain @ (seen.T @ lengths.shares)
    np.testing.assert_allclose(left.covariance, expected, atol=1e-9)


def test_nothing_that_is_expected_is_neither_agreed_nor_told(found):
    stray = found.hearing([50.0, 260.0])
    assert not stray.pairs
    assert math.isnan(stray.misfit)
    assert not stray.agrees
    assert stray.hints == ()
    assert math.isnan(stray.share(Kind.SIDEWAYS))


def test_nobody_needs_to_hear_in_order(found):
    assert [each.hertz for each in found.hearing([151, 128]).heard] == [128, 151]


@pytest.mark.parametrize(
    ("heard", "told"),
    [([5.0], "no rim rings at 5 Hz"), ([math.nan], "nan"), ([100.0 + k for k in range(13)], "12")],
)
def test_what_no_rim_does_is_refused(found, heard, told):
    with pytest.raises(LoadError, match=told):
        found.hearing(heard)


def test_a_length_that_no_mesh_follows_is_told(monkeypatch):
    def stuck(*_):
        raise MeshError("edges came or went")

    monkeypatch.setattr("rimfea.vary.tap.Mover.moved", stuck)
    found = tap(CURLEW.varied(note="stuck"))
    assert "flank_mm" in found.left_out
    assert found.tones[0].expanded > 0


def test_a_traced_section_rings_too():
    right = [(5, -15), (14, -2), (14, 6), (11, 6), (11, 4.4), (12.6, 3.8), (12.6, 0), (9, 0),
             (8, -3.5)]  # fmt: skip
    hollow = [(5.2, -12.6), (12.9, -1.4), (10.1, -1.4), (9, -4.7)]
    rings_of = ([*half, *((-x, y) for x, y in reversed(half))] for half in (right, hollow))
    outer, chamber = rings_of
    plain = from_rings(outer, [chamber])
    found = tap(looked_at(plain, name="own", bead_seat_diameter_mm=622).sheet)
    assert found.left_out == {}
    assert found.tones[0].hertz == pytest.approx(118, abs=2)
    assert 0.5 < found.tones[0].expanded < 10
