from __future__ import annotations

import json
import math
import re
from dataclasses import asdict, replace
from importlib import metadata

import jsonschema
import numpy as np
import pytest

from rimfea.alloys import alloy
from rimfea.profile.fields import BY_KEY
from rimfea.profile.sheet import Sheet
from rimfea.stress.verdict import Verdict
from rimfea.study.analysis import analyse, analyse_slice, inspect
from rimfea.study.cases import Loading
from rimfea.study.outcome import OUTCOMES
from rimfea.study.ride import ride, wheel_of
from rimfea.study.setup import End, Setup
from rimfea.vary.doubt import Doubt, Origin, Source
from rimfea.vary.scales import weighed
from rimfea.vary.sensitivity import Sensitivity
from rimfea.words.data import answers, as_json, schema
from rimfea.words.numbers import CAUTION

DUNLIN = {
    "name": "Dunlin — ‘wet fell’",
    "bead_seat_diameter_mm": 622,
    "inner_width_mm": {"readings": [25.02, 24.98], "tolerance_mm": 0.02},
    "overall_depth_mm": {"readings": [21.0, 21.1]},
    "bead_hook_mm": 1.6,
    "hook_lip_mm": 2.6,
    "sidewall_mm": 1.5,
    "tyre_well_mm": 1.3,
    "nipple_seat_mm": 2.4,
    "weighed_mass_g": 740,
}
WHIMBREL = {
    **DUNLIN,
    "name": "Whimbrel",
    "note": "cargo, rear",
    "family": "single wall",
    "alloy": "6082-T6",
    "joint": "welded",
    "inner_width_mm": 24,
    "overall_depth_mm": 14,
    "washer_mm": 9,
    "weighed_mass_g": None,
}
FELL = Setup.from_values({"name": "fell", "tyre_width_mm": 45})
LOADING = Loading(strike_N=1500, patch_mm=25, angle=math.radians(10), tension_N=900, wheel_N=700)
UNITS = {
    "N_m_rad": "N m per radian",
    "N_mm2": "N mm²",
    "N_mm": "N/mm",
    "km_h": "km/h",
    "m_s": "m/s",
    "kg_m2": "kg m²",
    "kg_m3": "kg/m³",
    "mm2": "mm²",
    "mm4": "mm⁴",
    "mm5": "mm⁵",
    "mm6": "mm⁶",
    "mm": "mm",
    "N": "N",
    "MPa": "MPa",
    "GPa": "GPa",
    "g": "g",
    "deg": "deg",
    "kg": "kg",
    "J": "J",
    "bar": "bar",
    "percent": "per cent",
}

# Every key of form 2 for as long as there is a form 2, by its table; others may join them.
PROMISED = """
answers: schema program caution units loading rims rides doubts
program: name version
units: length force stress mass angle
loading: strike_N patch_mm angle_deg tension_N pressure_MPa tyre_width_mm wheel_N contact_mm
rim: name note family alloy sheet assumed readings section hoop mass erd mesh lacing wheel cases
    governing
alloy: name proof_MPa ultimate_MPa youngs_MPa poisson density_kg_m3 source from_memory
    weld_proof_MPa weld_ultimate_MPa elongation
section: area_mm2 centroid_mm second_moment_radial_mm4 second_moment_lateral_mm4
    product_moment_mm4 third_moment_radial_mm5 torsion_constant_mm4 warping_constant_mm6
    shear_centre_mm principal_moments_mm4 principal_angle_deg
hoop: mass_g joint_g polar_inertia_kg_m2 bending_stiffness_radial_N_mm2
    bending_stiffness_lateral_N_mm2 torsional_stiffness_N_mm2
mass: computed_g weighed_g difference_g open_g agree difference_percent
erd: sheet_mm sheet_expanded_mm drawn_mm drawn_expanded_mm agree
mesh: triangles nodes smallest_angle_deg area_error across
lacing: count tension_N end_mm middle_mm ends_mm crossings flange_mm right_mm left_mm youngs_MPa
wheel: radial_N_mm radial_even_bedding_N_mm lateral_N_mm torsional_N_m_rad tension_N air_change_N
    tension_change_N turn_change_N slack_load_N inflation_loss buckling_tension_N buckling_waves
case: name source load load_unit governing runner_up margin assumes evidence share_of_rim_mm
    walls at_weld landing fan respread
landing: turn mirrored
lean: angle_deg wall first_yield_N
respread: half_N twice_N
evidence: residual reaction error truncation
wall: wall thickness_mm first_yield hinge load_at_first_yield load_at_hinge membrane_MPa
    bending_MPa hoop_MPa peak_MPa growing_MPa reach_mm around_deg cut
at_weld: wall load_at_first_yield
governing: case wall load_at_first_yield_N
ride: rim wheel setup case blow ladder squeeze seat window assumes dents
dents: own_mm folds_at_N folds_from_mm cracks_from_mm followed_mm length_mm each
dented: set_mm hook_N drop_mm work_J swallowed_J
blow: mass_kg weight_N drop_mm energy_J hook_N
ladder: rim_stiffness_N_mm tyre_stiffness_N_mm tyre_travel_mm tyre_pressure_rise step_mm rungs
rung: event set_mm hook_N energy_J drop_mm step_m_s needed_MPa
squeeze: peak_MPa effective_width_mm approach_mm
seat: bearing_MPa shear_MPa bearing shear membrane_MPa bending_MPa edge_MPa mean_MPa
    amplitude_MPa with_mean_MPa
window: lower upper target_N right_N left_N is_placeholder fits
doubt: rim outcomes
outcome: key title unit value expanded mostly_from
bound: tension_N reason
taken: values tolerance_mm
"""


@pytest.fixture(scope="module")
def rims():
    sheets = [Sheet(values) for values in (DUNLIN, WHIMBREL)]
    return tuple(analyse(sheet, loading=LOADING, coarseness=1.6) for sheet in sheets)


@pytest.fixture(scope="module")
def data(rims):
    return answers(rims)


@pytest.fixture(scope="module")
def only_looked_at():
    return inspect(Sheet(DUNLIN), coarseness=1.6)


def parts(node):
    """Every schema inside a schema, itself included."""
    if isinstance(node, dict):
        yield node
        for child in node.values():
            yield from parts(child)
    elif isinstance(node, list):
        for child in node:
            yield from parts(child)


def types(part):
    found = part.get("type", [])
    return {found} if isinstance(found, str) else {*found}


def properties():
    for part in parts(schema()):
        for where in ("properties", "patternProperties"):
            yield from part.get(where, {}).items()


def validate(value):
    jsonschema.validate(value, schema(), cls=jsonschema.Draft202012Validator)


def test_the_answers_of_two_loaded_rims_have_the_promised_form(data):
    validate(data)
    assert [len(rim["cases"]) for rim in data["rims"]] == [7, 7]


def test_rims_that_were_only_looked_at_have_the_promised_form_and_tell_of_no_load(only_looked_at):
    looked = answers([only_looked_at])
    validate(looked)
    assert "loading" not in looked
    assert looked["rims"][0]["cases"] == []
    assert looked["rims"][0]["governing"] is None


def test_no_rims_are_an_empty_list():
    validate(answers([]))
    assert answers([])["rims"] == []


def test_the_schema_is_itself_a_json_schema_of_2020_12():
    assert schema()["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    jsonschema.Draft202012Validator.check_schema(schema())


def test_every_property_is_described_with_the_unit_its_name_ends_in():
    found = list(properties())
    assert len(found) > 100
    for name, part in found:
        assert part.get("description"), name
        unit = next((UNITS[end] for end in UNITS if name.endswith(f"_{end}")), None)
        assert unit is None or re.search(rf"(?<!\w){unit}(?!\w)", part["description"]), name


def test_every_number_without_a_unit_in_its_name_says_that_it_has_none_or_counts():
    for name, part in properties():
        numeric = {"number", "integer"} & types(part)
        if numeric and not any(name.endswith(f"_{end}") for end in UNITS):
            told = part["description"]
            assert any(what in told for what in ("No unit", "a count", "in load_unit")), name


def test_no_object_may_hold_a_key_that_the_schema_does_not_describe():
    objects = [part for part in parts(schema()) if "object" in types(part)]
    assert len(objects) > 10
    assert all(part["additionalProperties"] is False for part in objects)


def test_no_key_of_the_form_goes_or_is_renamed_while_its_number_stays():
    tables = {**schema()["$defs"], "answers": schema()}
    promised = re.sub(r"\n +", " ", PROMISED).strip().splitlines()
    assert len(promised) > 20
    for name, keys in (line.split(": ") for line in promised):
        assert set(keys.split()) <= tables[name]["properties"].keys(), name


def test_the_schema_describes_each_key_of_the_sheet_as_the_sheet_does():
    described = schema()["$defs"]["rim"]["properties"]["sheet"]["properties"]
    assert list(described) == list(BY_KEY)
    for key, field in BY_KEY.items():
        assert described[key]["description"].startswith(field.meaning), key


def test_the_heading_says_the_form_the_program_its_version_the_units_and_the_caution(data):
    assert data["schema"] == "rimfea answers 3"
    assert data["program"] == {"name": "rimfea", "version": metadata.version("rimfea")}
    assert data["caution"] == CAUTION
    assert data["units"]["stress"] == "MPa"


def test_the_loading_is_told_with_its_angle_in_degrees(data):
    assert data["loading"] == {
        "strike_N": 1500,
        "patch_mm": 25,
        "angle_deg": pytest.approx(10, rel=1e-15),
        "tension_N": 900,
        "pressure_MPa": 0.25,
        "tyre_width_mm": None,
        "wheel_N": 700,
        "contact_mm": 80,
    }


def test_each_sheet_can_be_made_again_from_what_is_told_of_it(rims, data):
    for analysis, rim in zip(rims, data["rims"], strict=True):
        given = {key: value for key, value in rim["sheet"].items() if key not in rim["assumed"]}
        taken = {
            key: {"readings": each["values"], "tolerance_mm": each["tolerance_mm"]}
            for key, each in rim["readings"].items()
        }
        assert Sheet({**given, **taken}) == analysis.sheet


def test_the_rim_is_told_by_name_note_family_and_alloy_with_the_source_of_its_strength(data):
    rim = data["rims"][1]
    assert (rim["name"], rim["note"], rim["family"]) == ("Whimbrel", "cargo, rear", "single wall")
    assert rim["alloy"] == asdict(alloy("6082-T6"))
    assert rim["alloy"]["proof_MPa"] == 250
    assert rim["alloy"]["from_memory"] is True
    assert "not checked against the standard" in rim["alloy"]["source"]


def test_section_hoop_and_mesh_are_those_of_the_analysis(rims, data):
    for analysis, rim in zip(rims, data["rims"], strict=True):
        section = dict(rim["section"])
        assert section.pop("principal_moments_mm4") == [*analysis.section.principal_moments_mm4]
        angle = math.radians(section.pop("principal_angle_deg"))
        assert angle == pytest.approx(analysis.section.principal_angle, rel=1e-15)
        places = {key: tuple(section[key]) for key in ("centroid_mm", "shear_centre_mm")}
        assert {**section, **places} == asdict(analysis.section)
        assert rim["hoop"] == asdict(analysis.hoop)
        assert rim["mesh"] == asdict(analysis.mesh.quality)


def test_a_weighed_rim_tells_the_difference_and_one_not_weighed_tells_null(rims, data):
    computed = rims[0].hoop.mass_g
    assert data["rims"][0]["mass"] == {
        "computed_g": computed,
        "weighed_g": 740,
        "difference_g": computed - 740,
        "open_g": pytest.approx(weighed(rims[0].sheet).open_g),
        "agree": abs(computed - 740) <= weighed(rims[0].sheet).open_g,
        "difference_percent": 100 * (computed - 740) / 740,
    }
    assert [*data["rims"][1]["mass"].values()] == [rims[1].hoop.mass_g, *[None] * 5]


def test_a_measured_erd_is_told_beside_the_drawn_one_and_none_as_null(data):
    assert data["rims"][0]["erd"] is None
    told = answers([inspect(Sheet({**DUNLIN, "erd_mm": 604}), coarseness=2.5)])
    validate(told)
    erd = told["rims"][0]["erd"]
    assert (erd["sheet_mm"], erd["agree"]) == (604, False)
    assert erd["drawn_mm"] == pytest.approx(622 + 2 * (6 - 21.05 + 2.4))
    assert erd["drawn_expanded_mm"] > 2.3


def test_each_case_tells_its_load_verdict_and_evidence(rims, data):
    for analysis, rim in zip(rims, data["rims"], strict=True):
        for answer, case in zip(analysis.answers, rim["cases"], strict=True):
            verdict = answer.verdict
            assert (case["name"], case["load"]) == (answer.name, answer.load)
            assert case["load_unit"] == ("MPa" if answer.name == "inflation" else "N")
            assert case["source"] == answer.case.source
            assert case["share_of_rim_mm"] == answer.share_of_rim_mm
            assert case["governing"] == case["walls"][0]["wall"] == verdict.governing.wall
            assert case["runner_up"] == case["walls"][1]["wall"] == verdict.runner_up.wall
            assert case["margin"] == verdict.margin
            assert case["assumes"] == answer.field.assumes
            assert case["evidence"] == asdict(answer.evidence)


def test_each_wall_tells_its_stress_its_cut_and_the_loads_at_which_it_gives(rims, data):
    for analysis, rim in zip(rims, data["rims"], strict=True):
        for answer, case in zip(analysis.answers, rim["cases"], strict=True):
            for wall, told in zip(answer.verdict.walls, case["walls"], strict=True):
                expected = asdict(wall)
                assert told["cut"] == [[*expected.pop("start")], [*expected.pop("end")]]
                assert math.radians(told["around_deg"]) == pytest.approx(expected.pop("theta"))
                assert {key: told[key] for key in expected} == expected
                assert told["load_at_first_yield"] == answer.load_at(wall.first_yield)
                assert told["load_at_hinge"] == answer.load_at(wall.hinge)


@pytest.mark.long
def test_the_dents_of_a_ride_are_told_once_they_are_known(sheet_of, dented_by_hand):
    bare = ride(wheel_of(sheet_of(), FELL, End.REAR, coarseness=1.8), FELL, End.REAR)
    known = dented_by_hand(bare)
    told = answers([bare.analysis], [bare, known])
    jsonschema.validate(told, schema())
    without, dents = (each["dents"] for each in told["rides"])
    assert without is None
    assert dents["own_mm"] == known.own_dent_mm
    assert dents["folds_at_N"] == known.dent.free.fold_N
    assert [each["drop_mm"] for each in dents["each"]] == [d.drop_mm for d in known.dents]
    rungs = told["rides"][1]["ladder"]["rungs"]
    assert [each["set_mm"] for each in rungs if each["set_mm"]] == [0.1, 0.5, 1.0]
    assert not any(each["set_mm"] for each in told["rides"][0]["ladder"]["rungs"])


def test_a_rim_of_a_joint_that_is_not_known_tells_nothing_of_a_weld(data):
    assert {case["at_weld"] for case in data["rims"][0]["cases"]} == {None}


def test_a_welded_rim_tells_the_wall_and_load_that_are_its_verdict_at_the_weld(rims, data):
    for answer, case in zip(rims[1].answers, data["rims"][1]["cases"], strict=True):
        first = answer.at_weld.governing
        load = answer.load_at(first.first_yield)
        assert case["at_weld"] == {"wall": first.wall, "load_at_first_yield": load}


def test_a_case_tells_where_it_is_worst_and_what_its_verdict_hangs_on(rims, data):
    for analysis, rim in zip(rims, data["rims"], strict=True):
        for answer, case in zip(analysis.answers, rim["cases"], strict=True):
            place = answer.landing
            assert case["landing"] == {"turn": place.turn, "mirrored": place.mirrored}
            assert [lean["first_yield_N"] for lean in case["fan"]] == [
                lean.first_yield_N for lean in answer.fan
            ]
            assert case["respread"] is None  # no obstacle was said to have flattened the tyre
        assert [round(lean["angle_deg"]) for lean in rim["cases"][0]["fan"]] == [-20, 20]


def test_the_rims_verdict_is_that_of_its_governing_case(rims, data):
    for analysis, rim in zip(rims, data["rims"], strict=True):
        case = next(each for each in rim["cases"] if each["name"] == analysis.governing.name)
        assert rim["governing"] == {
            "case": case["name"],
            "wall": case["governing"],
            "load_at_first_yield_N": case["walls"][0]["load_at_first_yield"],
        }


def test_what_would_be_infinite_is_null(rims):
    answer = rims[0].answers[0]
    idle = replace(answer.verdict.runner_up, first_yield=0.0, hinge=0.0)
    verdict = Verdict((answer.verdict.governing, idle))
    told = answers([replace(rims[0], answers=(replace(answer, verdict=verdict),))])
    validate(told)
    case = told["rims"][0]["cases"][0]
    assert case["margin"] is None
    assert case["walls"][1]["load_at_first_yield"] is None
    assert case["walls"][1]["load_at_hinge"] is None


def test_a_wall_that_yields_before_the_load_has_no_share_and_bears_nothing(rims):
    answer = rims[0].answers[0]
    spent = replace(answer.verdict.governing, first_yield=math.inf, hinge=math.inf)
    verdict = Verdict((spent, answer.verdict.runner_up))
    told = answers([replace(rims[0], answers=(replace(answer, verdict=verdict),))])
    validate(told)
    case = told["rims"][0]["cases"][0]
    assert case["margin"] is None
    assert (case["walls"][0]["first_yield"], case["walls"][0]["hinge"]) == (None, None)
    assert case["walls"][0]["load_at_first_yield"] == case["walls"][0]["load_at_hinge"] == 0
    assert told["rims"][0]["governing"]["load_at_first_yield_N"] == 0


def test_the_built_wheel_is_told_with_its_lacing(rims, data):
    for analysis, rim in zip(rims, data["rims"], strict=True):
        assert rim["lacing"] == asdict(analysis.lacing)
        built = asdict(analysis.wheel)
        built["radial_even_bedding_N_mm"] = built.pop("radial_smeared_N_mm")
        lists = {key: [*value] for key, value in built.items() if isinstance(value, np.ndarray)}
        assert rim["wheel"] == {**built, **lists}


def test_a_wheel_that_never_goes_slack_nor_buckles_tells_null(rims):
    sound = replace(rims[0].wheel, slack_load_N=math.inf, buckling_tension_N=math.inf)
    told = answers([replace(rims[0], wheel=sound)])
    validate(told)
    wheel = told["rims"][0]["wheel"]
    assert (wheel["slack_load_N"], wheel["buckling_tension_N"]) == (None, None)


def test_a_slice_has_the_same_form_without_a_wheel():
    told = answers([analyse_slice(Sheet(WHIMBREL), loading=LOADING)])
    validate(told)
    assert (told["rims"][0]["lacing"], told["rims"][0]["wheel"]) == (None, None)
    assert [case["share_of_rim_mm"] for case in told["rims"][0]["cases"]] == [None] * 3


def test_the_text_reads_back_as_the_same_data_with_letters_as_they_are(rims, data):
    text = as_json(rims)
    assert json.loads(text) == data
    assert "Dunlin — ‘wet fell’" in text


def test_a_number_that_json_has_no_word_for_is_refused_rather_than_written(only_looked_at):
    broken = replace(only_looked_at, hoop=replace(only_looked_at.hoop, mass_g=math.nan))
    with pytest.raises(ValueError, match="JSON compliant"):
        as_json([broken])


@pytest.mark.long
def test_rims_under_different_loadings_are_not_put_side_by_side(rims):
    other = analyse(rims[0].sheet, coarseness=1.6)
    with pytest.raises(ValueError, match="same loading"):
        answers([rims[0], other])


def test_a_rim_only_looked_at_may_stand_beside_a_loaded_one(rims, only_looked_at):
    told = answers([only_looked_at, rims[0]])
    validate(told)
    assert told["loading"]["strike_N"] == 1500


def test_doubts_of_rims_side_by_side_have_the_promised_form(rims):
    count = len(OUTCOMES)
    read = Doubt((Source(Origin.READING, "flank_mm", "own"),), np.full((1, 1), 0.5))
    base, slope = np.full(count, 9.0), np.full((1, count), 2.0)
    known = Sensitivity(rims[0].sheet, ("flank_mm",), base, slope, read)
    told = answers(rims, doubts=[known])
    validate(told)
    first = told["doubts"][0]["outcomes"][0]
    assert (first["key"], first["value"], first["expanded"]) == ("mass_g", 9.0, 2.0)
    assert first["mostly_from"] == "flank_mm"
    drop = next(each for each in told["doubts"][0]["outcomes"] if each["key"] == "drop_mm")
    assert (drop["value"], drop["expanded"]) == (9.0, None)
    assert "doubts" not in answers(rims)
