"""Units, loads, set-ups and lacings as a user types them."""

from __future__ import annotations

import json
import re

import pytest

from rimfea.cli.options import AIR_MPA, TENSIONS_N
from rimfea.study.setup import BY_KEY


@pytest.mark.long
def test_forces_and_stresses_are_told_in_the_units_asked_for(rimfea, ouzel):
    """Only tensions, the builder's own, are told in N and kgf at once."""
    hard = ["analyse", ouzel, "--wheel", "rear", "--with", "drop_mm=200"]
    plain = rimfea(*hard, "--json").stdout
    load = json.loads(plain)["rims"][0]["governing"]["load_at_first_yield_N"]
    done = rimfea(*hard, "--details", "--force-unit", "kgf", "--pressure-unit", "psi")
    told = " ".join(done.stdout.split())
    shown = re.search(r"irst to yield under [^:]*: the [a-z ]+, at ([\d.]+) kgf", told)
    assert float(shown[1]) == pytest.approx(load / 9.80665, rel=0.005)
    assert re.search(r"goes through to the rim at 36\.3 psi with \d+ kgf", told)
    assert re.search(r"\d+ MPa", told)  # stress is no air
    assert " bar " not in told
    told_otherwise = ("kgf", "N per mm", "N m", "N on average")
    left = re.findall(r".*\d N\b.*", done.stdout)
    assert [line for line in left if not any(word in line for word in told_otherwise)] == []


def test_a_force_is_read_in_the_unit_it_is_given_in(rimfea, ouzel):
    words = ["analyse", ouzel, "--slice", "--json", "--strike", "200kgf", "--tension", "100 LBF"]
    loading = json.loads(rimfea(*words).stdout)["loading"]
    assert loading["strike_N"] == pytest.approx(1961.33)
    assert loading["tension_N"] == pytest.approx(444.822, rel=1e-5)


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--strike", "-5"], "'-5': give a number with N, kgf, lbf"),
        (["--strike", "0"], "from 1 to 1000000 N"),
        (["--strike", "nan"], "'nan': give a number"),
        (["--strike", "1e400"], "'1e400': give a number"),
        (["--strike", "2,000"], "'2,000': give a number"),
        (["--pressure", "2,5bar"], "from 0.3 to 12 bar; use a point: 2.5"),
        (["--tyre", "47,5"], "'47,5': give a number from 0.1 to 1000 mm; use a point: 47.5"),
        (["--tension", "100kg"], "'100kg': give a number with N, kgf, lbf"),
        (["--tension", "1e-300"], "from 100 to 2500 N"),
        (["--patch", "0"], "'0': give a number from 0.1 to 1000 mm"),
        (["--patch", "nan"], "'nan': give a number from 0.1 to 1000 mm"),
        (["--patch", "3000"], "'3000': give a number from 0.1 to 1000 mm"),
        (["--patch", "wide"], "'wide': give a number from 0.1 to 1000 mm"),
        (["--angle", "90"], "90 deg: allowed -75 to 75"),
        (["--angle", "nan"], "'nan': give a number"),
        (["--tension", "-1000"], "'-1000': give a number with N, kgf, lbf"),
        (["--pressure", "0"], "from 0.3 to 12 bar"),
        (["--pressure", "12.1bar"], "from 0.3 to 12 bar"),
        (["--pressure", "nan"], "'nan': give a number with MPa, bar, kPa, psi"),
        (["--pressure", "2500N"], "'2500N': give a number with MPa, bar, kPa, psi"),
        (["--tyre", "0"], "'0': give a number from 0.1 to 1000 mm"),
        (["--tyre", "inf"], "'inf': give a number from 0.1 to 1000 mm"),
        (["--tyre", "9"], "tyre_width_mm = 9 mm: is out of range; allowed: 15 to 130 mm"),
        (["--with", "rider_kg=900"], "rider_kg = 900 kg: is out of range; allowed: 20 to 250 kg"),
        (["--with", "ridder_kg=90"], "did you mean rider_kg"),
        (["--with", "rider_kg"], "'rider_kg'; write key=value"),
        (["--with", "rider_kg=heavy"], "rider_kg = 'heavy'"),
        (["--setup", "gravl"], "did you mean gravel"),
        (["--setup", "gone.toml"], "gone.toml: there is no such file"),
        (["--wheel", "middle"], "'middle' is not one of 'front', 'rear'"),
        (["--force-unit", "stone"], "'stone' is not one of 'N', 'kgf', 'lbf'"),
    ],
)
def test_a_load_that_cannot_be_is_refused(rimfea, ouzel, words, told):
    done = rimfea("compare", ouzel, *words)
    assert (done.exit_code, done.stdout) == (2, "")
    assert told in done.stderr


@pytest.mark.long
def test_a_strike_twice_as_hard_uses_up_twice_as_much(rimfea, ouzel):
    words = ["analyse", ouzel, "--wheel", "rear", "--json", "--strike"]
    used = [
        json.loads(rimfea(*words, force).stdout)["rims"][0]["cases"][0]["walls"][0]["first_yield"]
        for force in ("1000N", "2000N")
    ]
    assert used[1] == pytest.approx(2 * used[0], rel=1e-9)


def test_tyre_pressure_and_width_are_read_in_the_units_they_are_given_in(rimfea, ouzel):
    words = ["analyse", ouzel, "--slice", "--json"]
    told = rimfea(*words, "--pressure", "36psi", "--tyre", "47").stdout
    loading = json.loads(told)["loading"]
    assert loading["pressure_MPa"] == pytest.approx(0.248211, rel=1e-5)
    assert loading["tyre_width_mm"] == 47
    for bar in ("2.5bar", "0.3", "12"):  # all that a set-up allows; a bare number is in bar
        told = rimfea(*words, "--pressure", bar).stdout
        size = float(bar.removesuffix("bar")) / 10
        assert json.loads(told)["loading"]["pressure_MPa"] == pytest.approx(size, rel=1e-12)


def test_options_allow_what_a_set_up_allows():
    for limits, key, inside in (
        (TENSIONS_N, "rear_tension_N", 1.0), (AIR_MPA, "front_pressure_bar", 10.0),
    ):  # fmt: skip
        field = BY_KEY[key]
        assert [inside * each for each in limits] == pytest.approx([field.low, field.high])


@pytest.mark.parametrize(("end", "share"), [("front", 0.35), ("rear", 0.65)])
def test_a_wheel_bears_its_share_of_the_set_up_as_changed(rimfea, ouzel, end, share):
    words = ["analyse", ouzel, "--slice", "--json", "--wheel", end, "--setup", "cargo"]
    loading = json.loads(rimfea(*words, "--with", "rider_kg=60").stdout)["loading"]
    assert loading["wheel_N"] == pytest.approx(share * (60 + 35 + 80) * 9.80665)
    assert loading["tyre_width_mm"] == 55


@pytest.mark.long
def test_a_set_up_may_be_a_file_of_ones_own_and_options_come_before_it(rimfea, ouzel, tmp_path):
    own = tmp_path / "bog.toml"
    own.write_text("name = 'bog'\nrider_kg = 70\nrear_pressure_bar = 1.9\nluggage_kg = 3\n")
    words = ["analyse", ouzel, "--wheel", "rear", "--json", "--setup", own]
    data = json.loads(rimfea(*words, "--with", "luggage_kg=9", "--with", "drop_mm=40").stdout)
    (ride,) = data["rides"]
    setup = ride["setup"]
    assert (setup["name"], setup["rider_kg"], setup["luggage_kg"]) == ("bog", 70, 9)
    assert (setup["drop_mm"], setup["rear_pressure_bar"]) == (40, 1.9)
    stronger = json.loads(rimfea(*words, "--pressure", "3bar").stdout)["rides"][0]["setup"]
    assert stronger["rear_pressure_bar"] == pytest.approx(3.0)


@pytest.mark.long
def test_the_wheel_is_built_as_told(rimfea, ouzel):
    told = {"crossings": 1, "end_mm": 2.3, "middle_mm": 2.0, "flange_mm": 45.0,
            "right_mm": 18.0, "left_mm": 37.5, "tension_N": 1200.0, "count": 28}  # fmt: skip
    words = ["--crossings", "1", "--spoke-end", "2.3", "--spoke-middle", "2.0", "--flange", "45"]
    words += ["--right", "18", "--left", "37.5", "--tension", "1200N"]
    words += ["--wheel", "rear"]
    rim = json.loads(rimfea("analyse", ouzel, "--json", *words).stdout)["rims"][0]
    assert {key: rim["lacing"][key] for key in told} == told


@pytest.mark.long
def test_a_dished_wheel_is_softer_sideways_than_an_even_one(rimfea, ouzel):
    """Dished by an option, and as the set-up's hub is."""
    words = ["analyse", ouzel, "--wheel", "rear", "--json", "--left", "35"]
    even, dished, hub = (
        json.loads(rimfea(*words, *more).stdout)["rims"][0]["wheel"]["lateral_N_mm"]
        for more in (["--right", "35"], ["--right", "18"], ["--with", "rear_right_mm=18"])
    )
    assert dished < 0.9 * even
    assert hub == pytest.approx(dished)


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--crossings", "8"], "8 crossings with 28 spokes would lead past the hub"),
        (["--crossings", "-1"], "crossings = -1"),
        (["--crossings", "1.5"], "'1.5': give a whole number"),
        (["--spoke-end", "0"], "'0': give a number from 0.1 to 1000 mm"),
        (["--spoke-end", "-2"], "'-2': give a number from 0.1 to 1000 mm"),
        (["--spoke-middle", "nan"], "'nan': give a number from 0.1 to 1000 mm"),
        (["--flange", "0"], "'0': give a number from 0.1 to 1000 mm"),
        (["--flange", "700"], "the hub's flange (700 mm) is wider than the circle of nipple seats"),
        (["--right", "-35"], "'-35': give a number from 0.1 to 1000 mm"),
        (["--left", "0"], "'0': give a number from 0.1 to 1000 mm"),
    ],
)
def test_a_wheel_that_cannot_be_is_refused(rimfea, ouzel, words, told):
    done = rimfea("analyse", ouzel, *words)
    assert (done.exit_code, done.stdout) == (2, "")
    assert told in done.stderr


@pytest.mark.long
@pytest.mark.parametrize("count", [30, 10])
def test_a_count_that_allows_no_crossings_is_laced_radially_or_refused(rimfea, sheet, count):
    path = sheet(spoke_count=str(count))
    done = rimfea("analyse", path, "--wheel", "rear", "--json")
    assert json.loads(done.stdout)["rims"][0]["lacing"]["crossings"] == 0
    done = rimfea("analyse", path, "--crossings", "1")
    assert (done.exit_code, done.stdout) == (2, "")
    assert f"{count} spokes can only be laced radially (crossings 0)" in done.stderr
