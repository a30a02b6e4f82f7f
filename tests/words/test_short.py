from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest

from rimfea.ask.compare import Measured
from rimfea.study.outcome import OUTCOMES
from rimfea.vary.doubt import Doubt, Origin, Source
from rimfea.vary.sensitivity import Sensitivity
from rimfea.words.numbers import Units
from rimfea.words.short import LONGEST, short_lines, short_words

NEWTON, KILOGRAM_FORCE = Units(), Units(force="kgf")
DOUBTS = {"dent_J": 0.05, "yield_N": 40.0, "most_tension_N": 30.0, "mass_g": 0.5}


def made(name, *, buckles=False, **outcomes):
    """A rim whose outcomes are 100, but for those given; dents are not known unless given."""
    known = {"mass_g": 500.0, "yield_N": 1000.0, "most_tension_N": 1100.0, **outcomes}
    base = np.array([known.get(each.key, np.nan if each.dent else 100.0) for each in OUTCOMES])
    slope = np.array([[DOUBTS.get(each.key, 1.0) for each in OUTCOMES]])
    source = Source(Origin.READING, "sidewall_mm", name)
    sensitivity = Sensitivity(None, ("sidewall_mm",), base, slope, Doubt((source,), np.eye(1)))
    rim = SimpleNamespace(sheet=SimpleNamespace(name=name), buckles=buckles)
    return Measured(SimpleNamespace(analysis=rim), sensitivity)


BASE = made("plover", dent_J=2.0)


def words(units=NEWTON, name="curlew", **outcomes):
    return short_words(made(name, **{"dent_J": 2.0, **outcomes}), BASE, units)


def test_dent_tension_and_mass_are_told_in_this_order_with_what_is_beyond_its_doubt():
    """2 √2 of each ±: 7 % of the energy, 85 N, 1.4 g."""
    told = words(dent_J=1.7, most_tension_N=1273.0, mass_g=471.7)
    assert told == (
        "curlew takes 15 % less to dent than plover (±7), bears 170 N more tension and is 28 g "
        "lighter; the rest is a tie."
    )
    assert words(dent_J=2.6).startswith("curlew takes 30 % more to dent than plover (±7), ")


def test_what_cannot_be_told_is_as_good():
    assert words(most_tension_N=1180.0, mass_g=501.0) == (
        "curlew dents as late as plover (±7 %), bears as much tension and weighs the same; "
        "the rest is a tie."
    )


def test_without_dents_first_yield_and_then_set_are_told():
    told = short_words(made("curlew", yield_N=1300.0, set_N=90.0), made("plover"), NEWTON)
    assert told.startswith("curlew yields 30 % later than plover (±11), ")
    assert "takes a set 10 % sooner" in told
    assert "set" not in words(set_N=90.0)


def test_a_rim_that_yields_before_the_hook_is_hit_is_told_so_whichever_is_the_base():
    none, some = made("curlew", yield_N=0.0, set_N=0.0), made("plover")
    told = [short_words(*pair, NEWTON) for pair in ((none, some), (some, none), (none, none))]
    assert [each.split(", bears")[0] for each in told] == [
        "curlew yields sooner than plover (before the hook is hit)",
        "plover yields later than curlew (which does before the hook is hit)",
        "curlew yields before the hook is hit (as does curlew)",
    ]
    assert not any("nan" in each for each in told)


def test_what_else_is_beyond_its_doubt_is_told_as_far_as_there_is_room():
    told = words(squeeze_MPa=80.0, radial_N_mm=104.0)
    assert told.endswith("weighs the same, squeezes the casing 20 % less and is 4 % stiffer; "
                         "the rest is a tie.")  # fmt: skip
    full = words(squeeze_MPa=80.0, hole_amplitude_MPa=120.0, radial_N_mm=104.0, dent_J=1.7)
    assert full.endswith("; more in the tables.")
    assert "is 4 % stiffer" not in full
    assert len(full) <= LONGEST


def test_forces_are_told_in_the_unit_asked_for():
    assert "bears 17 kgf more tension" in words(KILOGRAM_FORCE, most_tension_N=1270.0)


@pytest.mark.parametrize("name", ["curlew", "c" * 60, "c" * 400])
def test_no_sentence_is_longer_than_a_message(name):
    told = words(name=name, dent_J=1.7, most_tension_N=1273.0, mass_g=471.7)
    assert len(told) <= LONGEST
    assert told.startswith(name[:100])


def test_a_rim_that_buckles_is_told_to_and_nothing_else():
    told = "curlew buckles under its spokes: no other number of it counts."
    assert short_words(made("curlew", buckles=True), BASE, NEWTON) == told
    assert short_words(BASE, made("curlew", buckles=True), NEWTON) == told


def test_every_rim_but_the_base_has_a_sentence():
    rims = [made("curlew", dent_J=1.7), BASE, made("ouzel", dent_J=2.6)]
    told = list(short_lines(rims, BASE, NEWTON))
    assert [line.split()[0] for line in told] == ["curlew", "ouzel"]
