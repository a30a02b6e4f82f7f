"""Rims side by side in words, as a table and as a picture."""

from __future__ import annotations

import re
from dataclasses import replace
from io import BytesIO

import numpy as np
import pytest
from matplotlib.figure import Figure
from matplotlib.patches import Ellipse

from rimfea.ask.compare import Difference, Measured, differences, ranks
from rimfea.picture.compare import draw_strength
from rimfea.stress.verdict import Verdict
from rimfea.study.answer import Lean
from rimfea.study.outcome import BY_KEY, OUTCOMES
from rimfea.study.setup import End, Setup
from rimfea.vary.datum import datum
from rimfea.vary.doubt import Doubt, Origin, Source
from rimfea.vary.sensitivity import Sensitivity
from rimfea.words.compare import (
    HOLE,
    TOLD,
    again_words,
    against_lines,
    comparison_lines,
    dent_lines,
    difference_words,
    direction_lines,
    hole_words,
    metal_words,
    outcomes_table,
    remedy_words,
)
from rimfea.words.numbers import Units
from rimfea.words.short import opening_lines

MASS, YIELD = BY_KEY["mass_g"], BY_KEY["yield_N"]
KNOWN = [place for place, each in enumerate(OUTCOMES) if not each.dent]
PLACES = [OUTCOMES.index(MASS), OUTCOMES.index(YIELD)]
NEWTON, KILOGRAM_FORCE = Units(), Units(force="kgf")


@pytest.fixture(scope="module")
def ridden(sheet_of):
    setup = Setup.from_values({"name": "fell", "tyre_width_mm": 45})
    return datum(sheet_of(name="snipe"), setup, End.REAR, coarseness=2.0).ride


@pytest.fixture(scope="module")
def rim(ridden):
    """A rim of that name whose mass (g) and first yield (N) are as given, each with its doubts by
    two measurements; all other outcomes are 100, in doubt by 1, but for dents, which are not known
    unless they are given by key.
    """

    def make(name, mass, force, mass_doubts=(1.0, 0.0), force_doubts=(20.0, 5.0), **dents):
        base = np.array([dents.get(each.key, np.nan if each.dent else 100.0) for each in OUTCOMES])
        slope = np.full((2, len(OUTCOMES)), np.sqrt(0.5))
        base[PLACES] = mass, force
        slope[:, PLACES] = np.transpose([mass_doubts, force_doubts])
        sheet = ridden.analysis.sheet.varied(name=name)
        keys = ("sidewall_mm", "hook_lip_mm")
        known = Doubt(tuple(Source(Origin.READING, key, name) for key in keys), np.eye(2))
        return Measured(
            replace(ridden, analysis=replace(ridden.analysis, sheet=sheet)),
            Sensitivity(sheet, keys, base, slope, known),
        )

    return make


@pytest.fixture(scope="module")
def three(rim):
    return [rim("dunlin", 500.0, 1000.0), rim("snipe", 520.0, 1200.0), rim("knot", 560.0, 1030.0)]


SIDEWALL = Source(Origin.READING, "sidewall_mm", "knot")


def difference(percent, expanded, *, would=False, metal=0.0):
    return Difference(YIELD, percent, expanded, 100.0, SIDEWALL, would, metal)


@pytest.mark.parametrize(
    ("percent", "expanded", "told"),
    [
        (12.4, 5.1, "first yield, one hook: better (+12 ± 5 %)"),
        (-12.4, 5.1, "first yield, one hook: worse (-12 ± 5 %)"),
        (4.0, 5.1, "first yield, one hook: not told apart (+4 ± 5 %)"),
        (1.87, 0.31, "first yield, one hook: better (+1.9 ± 0.3 %)"),
    ],
)
def test_a_difference_is_told_with_its_doubt(percent, expanded, told):
    assert difference_words(difference(percent, expanded)) == told


def test_a_rim_that_bears_a_strike_is_better_than_one_that_yields_before_it(rim):
    """Nothing is so many per cent more than nothing, and no dimension makes more of it."""
    none, some = rim("dunlin", 500.0, 0.0, force_doubts=(0.0, 0.0)), rim("snipe", 520.0, 1200.0)
    place = OUTCOMES.index(YIELD)
    told = [
        difference_words(differences(*pair)[place])
        for pair in ((some, none), (none, some), (none, none))
    ]
    assert told == [
        "first yield, one hook: better (the other bears none)",
        "first yield, one hook: worse (-100 ± 3 %)",
        "first yield, one hook: not told apart (neither bears any)",
    ]
    rows = {first: cells for first, *cells in outcomes_table([none, some], none).rows}
    assert rows["first yield, one hook, N"] == ["0 (2)", "1200 ±41 + (1)"]


def test_what_yields_before_any_strike_is_warned_of_first(rim):
    none, some = rim("dunlin", 500.0, 0.0), rim("snipe", 520.0, 1200.0)
    answers = none.ride.analysis.answers
    judged = answers[0].verdict
    walls = (replace(judged.walls[0], first_yield=np.inf), *judged.walls[1:])
    first = replace(answers[0], verdict=replace(judged, walls=walls))
    analysis = replace(none.ride.analysis, answers=(first, *answers[1:]))
    none = replace(none, ride=replace(none.ride, analysis=analysis, answer=first))
    warning, *others = opening_lines([some, none], some, NEWTON)
    assert re.match(r"WARNING dunlin: the .* yields first, as soon as .* less air\.", warning)
    assert not any("WARNING" in line for line in others)


@pytest.mark.parametrize(
    ("would", "hope"),
    [
        (True, "that may tell them apart"),
        (False, "but that alone will not tell them apart"),
    ],
)
def test_what_to_measure_again_is_named_with_its_rim_and_what_it_would_do(would, hope):
    assert again_words(difference(4.0, 5.0, would=would)) == (
        f"To tell first yield, one hook, measure the sidewall of knot again; {hope}."
    )


@pytest.mark.parametrize(
    ("source", "told"),
    [
        (Source(Origin.GUESS, "flank_mm", "knot"), "measure the flank of knot, which is assumed"),
        (
            Source(Origin.INSTRUMENT, "usual caliper ±0.03 mm"),
            "check the usual caliper on gauge blocks",
        ),
        (Source(Origin.DRAWING, "what no drawing shows", "knot"), "weigh knot"),
        (Source(Origin.SCALES, "weighed_mass_g", "knot"), "weigh knot on finer scales"),
        (Source(Origin.TONES, "tone 1", "knot"), "tap knot again and give more of its tones"),
        (
            Source(Origin.METAL, "proof_MPa", "knot"),
            "have the proof stress of both rims tested (proof_MPa), or name the batch (batch)",
        ),
    ],
)
def test_every_error_has_its_own_remedy(source, told):
    assert remedy_words(source) == told


def test_how_much_is_the_metals_is_told_with_what_would_be_told_without():
    (told,) = metal_words(difference(12.0, 15.0, metal=12.0))
    assert told == (
        "Of that ±15 % on first yield, one hook, the proof stress of the metal alone makes ±12 %; "
        "with it known: better (+12 ± 9 %)."
    )
    assert not [*metal_words(difference(12.0, 15.0, metal=0.2))]


def test_what_the_scales_say_of_a_rim_stands_at_the_end(ridden, three):
    sheet, mass = ridden.analysis.sheet, ridden.analysis.hoop.mass_g
    assert comparison_lines(three, three[0]) == [
        *(line for rim in three[1:] for line in against_lines(rim, three[0])),
        *direction_lines(three),
    ]
    heavy = sheet.varied(name="knot", weighed_mass_g=mass + 10)
    rim = replace(ridden, analysis=replace(ridden.analysis, sheet=heavy))
    told = comparison_lines([three[0], Measured(rim, three[2].sensitivity)], three[0])[-1]
    assert told.startswith(f"knot: Computed mass {mass:.0f} g, weighed {mass + 10:.0f} g: -10 g")
    assert "which agree within the ±" in told
    assert re.search(r"in comparisons the scales move the .* \+0\.\d\d mm", told)
    assert re.search(r"That moves first yield, one hook by [+-]\d+ %\.$", told)


def test_a_rim_is_told_against_the_base_with_all_that_counts_a_line_each(three):
    base, strong, alike = three
    told = against_lines(strong, base)
    assert told[0] == "snipe against dunlin"
    assert "  first yield, one hook: better (+20 ± 6 %)" in told
    assert "  mass: heavier (+4 ± 1 %)" in told
    for key in (key for key in TOLD if not BY_KEY[key].dent):
        assert any(line.startswith(f"  {BY_KEY[key].title}: ") for line in told)
    assert not any("measure" in line for line in told)
    doubtful = against_lines(alike, base)
    assert "  first yield, one hook: not told apart (+3 ± 6 %)" in doubtful
    assert re.search(r"measure the sidewall of (knot|dunlin) again", doubtful[-1])


def test_every_rim_but_the_base_is_told_whichever_is_the_base(three):
    for base in three:
        others = [f"{rim.name} against {base.name}" for rim in three if rim is not base]
        told = comparison_lines(three, base)
        assert [line for line in told if " against " in line] == others


def test_a_rim_of_another_wheel_size_is_said_to_be_one(three):
    base, other = three[:2]
    assert not any("wheel size" in line for line in comparison_lines(three, base))
    analysis = other.ride.analysis
    sheet = analysis.sheet.varied(bead_seat_diameter_mm=406)
    small = replace(other, ride=replace(other.ride, analysis=replace(analysis, sheet=sheet)))
    told = against_lines(small, base)
    assert told[1] == (
        "  another wheel size, bead seat 406 mm, not 622, which changes every number"
    )


def test_lives_of_spoke_holes_are_not_compared_across_alloys(three):
    stress = Difference(BY_KEY[HOLE], -10.0, 2.0, 100.0, SIDEWALL, would=False)
    alike = hole_words(three[1], three[0], stress)
    assert alike == "√(σ_max σ_a) at the spoke hole: better (-10 ± 2 %)"
    analysis = three[1].ride.analysis
    other = replace(analysis, sheet=analysis.sheet.varied(alloy="6063-T5"))
    soft = replace(three[1], ride=replace(three[1].ride, analysis=other))
    assert hole_words(soft, three[0], stress) == (
        "life of the spoke holes: not compared, 6063-T5 and 6061-T6 differ"
    )


def test_the_table_has_every_outcome_of_every_rim_with_doubt_sign_and_rank(three):
    base = three[0]
    table = outcomes_table(three, base)
    assert table.head == ("", "dunlin", "snipe", "knot")
    known = [each for each in OUTCOMES if not each.dent]
    assert [row[0].partition(",")[0] for row in table.rows] == [
        each.title.partition(",")[0] for each in known
    ]
    assert "not told apart from dunlin" in table.title
    mass, force = (table.rows[place] for place in PLACES)
    assert mass == ("mass, g", "500 ±2.0 (1)", "520 ±2.0 - (2)", "560 ±2.0 - (3)")
    assert force[0] == "first yield, one hook, N"
    assert force[1:] == ("1000 ±41 (3)", "1200 ±41 + (1)", "1030 ±41 = (2)")


def test_what_rests_on_a_model_that_is_a_factor_off_has_no_doubt_of_measurements_alone(three):
    table = outcomes_table(three, three[0])
    (drop,) = (row[1:] for row in table.rows if row[0] == "drop at first yield, mm")
    assert drop == ("100 (1)", "100 = (1)", "100 = (1)")
    assert "none where the model itself is a factor off" in table.title


def test_signs_and_ranks_of_the_table_are_those_of_the_comparison(three):
    base, rows = three[1], outcomes_table(three, three[1]).rows
    for place, row in zip(KNOWN, rows, strict=True):
        told = [re.search(r" (?:([-+=]) )?\((\d)\)$", cell).groups() for cell in row[1:]]
        assert [int(rank) for _, rank in told] == list(ranks(three, OUTCOMES[place]))
        for rim, (sign, _) in zip(three, told, strict=True):
            if rim is base:
                assert sign is None
                continue
            better = differences(rim, base)[place].is_better
            assert sign == ("=" if better is None else "+" if better else "-")


def strength(rims, units=NEWTON):
    figure = Figure()
    axes = figure.subplots()
    draw_strength(axes, rims, units)
    sink = BytesIO()
    figure.savefig(sink, format="png", dpi=40)
    assert sink.getvalue().startswith(b"\x89PNG")
    return axes


def test_every_rim_is_drawn_at_its_mass_and_strength_with_its_doubts_about_it(three):
    axes = strength(three)
    ellipses = [patch for patch in axes.patches if isinstance(patch, Ellipse)]
    assert [each.get_center() for each in ellipses] == [(500, 1000), (520, 1200), (560, 1030)]
    assert [text.get_text() for text in axes.texts] == ["dunlin", "snipe", "knot"]
    for each, rim in zip(ellipses, three, strict=True):
        box = each.get_path().transformed(each.get_patch_transform()).get_extents()
        expanded = [rim.sensitivity.expanded(outcome.key) for outcome in (MASS, YIELD)]
        assert [box.width, box.height] == pytest.approx([2 * U for U in expanded], rel=0.01)


def test_an_ellipse_leans_the_way_in_which_both_doubts_go_together(rim):
    together = rim("a", 500.0, 1000.0, (3.0, 0.0), (30.0, 1.0))
    against = rim("b", 500.0, 1000.0, (3.0, 0.0), (-30.0, 1.0))
    slopes = [np.tan(np.radians(each.angle)) for each in strength([together, against]).patches]
    assert slopes[0] == pytest.approx(10.0, rel=0.02)
    assert slopes[1] == pytest.approx(-10.0, rel=0.02)


def test_a_measurement_that_leaves_no_doubt_still_draws(rim):
    (ellipse,) = strength([rim("a", 500.0, 1000.0, (0.0, 0.0), (0.0, 0.0))]).patches
    assert (ellipse.width, ellipse.height) == (0, 0)


def test_the_line_goes_through_the_rims_that_no_other_beats(three):
    line = next(each for each in strength(three).lines if each.get_label() == "not beaten")
    np.testing.assert_array_equal(line.get_xydata(), [[500, 1000], [520, 1200]])


def test_strength_is_drawn_in_the_unit_asked_for(three):
    plain, scaled = strength(three), strength(three, KILOGRAM_FORCE)
    assert plain.get_ylabel() == "first yield, one hook, N"
    assert scaled.get_ylabel() == "first yield, one hook, kgf"
    for one, other in zip(plain.patches, scaled.patches, strict=True):
        assert other.get_center()[0] == one.get_center()[0]
        assert other.get_center()[1] == pytest.approx(one.get_center()[1] / 9.80665)


def leaning(rim, straight, *leans):
    """The rim with that force at first yield, and those of strikes leaning in and out."""
    analysis = rim.ride.analysis
    lead = analysis.governing
    first = replace(lead.verdict.governing, first_yield=lead.load / straight)
    walls = (first, *lead.verdict.walls[1:])
    fan = tuple(
        Lean(angle, "flank", force) for angle, force in zip((-0.35, 0.35), leans, strict=True)
    )
    lead = replace(lead, verdict=Verdict(walls), fan=fan)
    answers = (lead, *analysis.answers[1:])
    return replace(rim, ride=replace(rim.ride, analysis=replace(analysis, answers=answers)))


def test_an_order_that_hangs_on_the_direction_is_told(three):
    dunlin, snipe, _ = three
    first, second = leaning(dunlin, 1340.0, 586.0, 1200.0), leaning(snipe, 1140.0, 1038.0, 900.0)
    assert direction_lines([first, second]) == [
        (
            "The order depends on where the blow comes from: leaning 20° inward first yield ranks "
            "snipe 1000 N, dunlin 590 N."
        )
    ]
    assert direction_lines([first, leaning(snipe, 1140.0, 500.0, 900.0)]) == [
        "Strikes that lean 20° in or out rank the rims as a straight one does."
    ]
    assert direction_lines([first]) == []


WEAK, STRONG = (
    {"dent_N": 2300.0, "dent_J": 2.1, "dent_drop_mm": 81.7, "own_dent_mm": 0.333},
    {"dent_N": 2600.0, "dent_J": 3.0, "dent_drop_mm": 95.4, "own_dent_mm": 0.0},
)
ENERGY = OUTCOMES.index(BY_KEY["dent_J"])


@pytest.fixture
def pair(rim):
    """Two rims whose dents are known, their energies by two measurements to 0.1 J each."""
    rims = rim("curlew", 500.0, 1000.0, **WEAK), rim("plover", 600.0, 1030.0, **STRONG)
    for each in rims:
        each.sensitivity.slope[:, ENERGY] = 0.1
    return rims


def test_the_first_line_says_which_rim_dents_sooner_by_the_energy_with_its_doubt(pair):
    first, blow, *_ = comparison_lines(pair, pair[0])
    assert first == (
        "curlew dents sooner than plover: 0.5 mm at a drop of 82 mm against 95 mm (energy that "
        "the hook of plover takes up: +43 ± 19 %)."
    )
    assert blow == (
        "WARNING: the set-up's own blow leaves a dent: curlew about 0.3 mm, plover none (by a "
        "model of the tyre that is good to a factor of about two)."
    )
    assert comparison_lines(pair, pair[1])[0] == first


def test_two_rims_whose_energies_the_doubt_covers_dent_alike(pair):
    pair[1].sensitivity.slope[:, ENERGY] = 1.0
    assert comparison_lines(pair, pair[0])[0] == (
        "curlew and plover dent alike as far as can be told: 0.5 mm at a drop of 82 mm against "
        "95 mm (energy that the hook of plover takes up: +43 ± 135 %)."
    )


def test_the_verdict_rests_on_the_dents_energy_where_it_has_its_doubt_else_on_first_yield(pair):
    told = against_lines(pair[1], pair[0])
    assert told[1] == "  energy of a 0.5 mm dent: better (+43 ± 19 %)"
    assert not any("measure" in line for line in told)
    unknown = pair[1].sensitivity.slope.copy()
    unknown[:, ENERGY] = np.nan
    strong = replace(pair[1], sensitivity=replace(pair[1].sensitivity, slope=unknown))
    unsure = against_lines(strong, pair[0])
    assert unsure[1].startswith("  first yield, one hook: not told apart")
    assert "  energy of a 0.5 mm dent: +43 %, its ± is not known" in unsure
    assert "measure the" in unsure[-1]


def test_a_dent_that_only_one_rim_knows_is_no_difference_and_said_to_be_missing(pair, rim):
    other = rim("knot", 550.0, 1100.0)
    told = comparison_lines([*pair, other], pair[0])
    assert "No 0.5 mm dent was found for knot." in told
    assert not any("dent" in line for line in against_lines(other, pair[0]))
    cells = {row[0]: row[1:] for row in outcomes_table([*pair, other], pair[0]).rows}
    assert cells["drop of a 0.5 mm dent, mm"] == ("82 (2)", "95 + (1)", "-")
    assert cells["energy of a 0.5 mm dent, J"][2] == "-"


def test_more_than_two_rims_come_in_the_order_of_their_drops(pair, rim):
    middle = rim("knot", 550.0, 1100.0, **{**WEAK, "dent_drop_mm": 88.0})
    assert next(dent_lines([pair[1], middle, pair[0]])) == (
        "First to keep a 0.5 mm dent: curlew at a drop of 82 mm; then knot at a drop of 88 mm, "
        "plover at a drop of 95 mm."
    )


def test_metal_that_may_crack_before_the_dent_is_told(pair, dented):
    weak = replace(pair[0], ride=dented(pair[0].ride, cracks_mm=0.21))
    late = replace(pair[1], ride=dented(pair[1].ride, cracks_mm=0.7))
    told = [line for line in dent_lines([weak, late]) if "crack" in line]
    assert told == [
        "The metal may crack before a dent is 0.5 mm deep: curlew from about 0.2 mm of set."
    ]
    assert [*dent_lines([])] == []
