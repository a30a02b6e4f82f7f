"""Published static wheel tests in words: what a wheel would keep, and whether that is allowed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import isnan

from rimfea.study.ride import Ride
from rimfea.study.wheel_tests import WheelTest
from rimfea.words.dents import depth_words
from rimfea.words.numbers import Units
from rimfea.words.tables import Table

STANDARDS = "JIS D 9301 and D 9302"


def wheel_test_words(ride: Ride, units: Units) -> str:
    """What the published tests would leave of a wheel, the worst first."""
    tests, where = ride.known_tests, f"{ride.end.capitalize()}, published static wheel tests"
    where = f"{where} ({STANDARDS}), computed:"
    failed = [each for each in tests if each.fails]
    if failed:
        return f"WARNING: {where} {_kept(failed, units)}."
    unknown = [each for each in tests if not each.is_known]
    if unknown:
        return f"{where} not all can be judged. {_kept(unknown, units)}."
    most = max(each.set_mm for each in tests)
    least = min(each.allowed_mm for each in tests)
    return (
        f"{where} the wheel passes all {len(tests)}; it keeps "
        f"{f'{depth_words(most)} of set' if most else 'no set'}; the tests allow {least:g} mm."
    )


def _kept(tests: Sequence[WheelTest], units: Units) -> str:
    return "; ".join(f"{_asked(each, units)}: {kept_words(each)}" for each in tests)


def kept_words(tested: WheelTest) -> str:
    """What one test would leave, and whether that passes."""
    if isnan(tested.set_mm):
        return "metal flows; how much set stays was not followed"
    kept = f"keeps {'at least ' if tested.at_least else ''}{_depth(tested.set_mm)}"
    if not tested.is_known:
        return f"{kept}, so whether it passes is open"
    return f"{kept}, passes" if tested.passes else f"{kept}, fails"


def wheel_tests_table(rims: Mapping[str, Sequence[WheelTest]], units: Units) -> Table:
    """What published static wheel tests would leave, a row a rim."""
    first: Sequence[WheelTest] = next(filter(None, rims.values()), ())
    heads = [f"{_asked(each, units)}; {each.allowed_mm:g} mm allowed" for each in first]
    buckles = ("the rim buckles",) * len(first)
    rows = tuple(
        (name, *(map(kept_words, tests) if tests else buckles)) for name, tests in rims.items()
    )
    sources = dict.fromkeys(each.answer.case.source for each in first)
    return Table(f"Set after published tests ({'; '.join(sources)})", ("rim", *heads), rows)


def _asked(tested: WheelTest, units: Units) -> str:
    return f"{tested.answer.name}, {units.in_force(tested.answer.load)}"


def _depth(set_mm: float) -> str:
    return depth_words(set_mm) if set_mm else "no set"
