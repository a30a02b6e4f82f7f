"""The sentences of a report, and the caution that ends every one."""

from __future__ import annotations

import math
from collections.abc import Iterator
from contextlib import suppress

from rimfea.ask.thicker import LEAST, Gain
from rimfea.elastic.loads import Strike, WheelLoad
from rimfea.errors import SheetError
from rimfea.profile.erd import diameter_difference
from rimfea.profile.sheet import Sheet
from rimfea.profile.values import shown
from rimfea.profile.walls import Wall
from rimfea.study.analysis import Analysis
from rimfea.study.answer import Answer
from rimfea.study.cases import ALIKE, INFLATION, TENSION
from rimfea.study.window import BUCKLING_SHARE
from rimfea.vary.known import Known, known
from rimfea.vary.scales import Weighed, weighed
from rimfea.words.numbers import Units, figures, listed

CLOSE_CALL = 0.05
FAR_OFF = 10.0  # times the load that a verdict rests on: no such load ever comes
NOTICED_MM, MOST_TOLD = 0.005, 3
AS_DRAWN = 1e-9
NO_GAIN = 0.5  # per cent


def load_words(answer: Answer, utilisation: float, units: Units) -> str:
    """The load at which a wall of that utilisation reaches its limit, with its unit."""
    load = answer.load_at(utilisation)
    if load == float("inf"):
        return "-"
    return units.in_air(load) if answer.is_pressure else units.in_force(load)


def governs(answer: Answer, units: Units) -> str:
    """Which wall gives first under one case, at what load, and what would be next."""
    walls = answer.verdict
    first, second = walls.governing, walls.runner_up
    if first.first_yield == float("inf"):
        return f"{answer.name}: the {first.wall} yields before it."
    load = load_words(answer, first.first_yield, units)
    asked = f" (the test asks {load_words(answer, 1.0, units)})" if answer.case.source else ""
    return (
        f"{answer.name}: the {first.wall} yields first, at {load}{_each(answer)}{asked}; then "
        f"the {second.wall}, {margin_words(walls.margin)}."
    )


def headline(analysis: Analysis, units: Units) -> str:
    """The verdict in one sentence; that of a rim that buckles under its spokes is that it does."""
    if analysis.buckles and analysis.wheel and analysis.lacing:
        return (
            f"The rim buckles sideways from {units.in_force(analysis.wheel.buckling_tension_N)} "
            f"a spoke: at {units.in_force(analysis.lacing.tension_N)} the wheel cannot be built."
        )
    answer = analysis.governing
    wall = answer.verdict.governing
    if wall.first_yield == float("inf"):
        return f"The {wall.wall} yields first, {before_words(analysis)}."
    load = load_words(answer, wall.first_yield, units)
    full = answer.verdict.by_hinge[0]
    hinge = load_words(answer, full.hinge, units)
    where = "" if full.wall == wall.wall else f" at the {full.wall}"
    return (
        f"First to yield under {_called(answer)}{_direction(answer)}: the {wall.wall}, at "
        f"{load}{_each(answer)}; permanent set begins{where} from {hinge}."
    )


def before_words(analysis: Analysis) -> str:
    """When a rim yields that yields before the strike: as it is built and inflated, or not before
    the tyre is flat and bears on the bead seats.
    """
    built = [each for each in analysis.answers if each.name == INFLATION]
    yields = any(each.verdict.governing.first_yield >= 1 for each in built)
    if tyre_of(analysis.governing) and not yields:
        return "as soon as a blow has flattened the tyre"
    return "under spoke tension and tyre pressure alone"


def landing_words(answer: Answer) -> str:
    """Where a load was found to be worst."""
    place, load = answer.landing, answer.case.loads[0]
    spoke = "right" if place.turn % 2 == 0 else "left"
    at = "between two spokes" if place.is_between else f"at a spoke of the {spoke} flange"
    side = ""
    if isinstance(load, Strike) and load.right_share != ALIKE:
        side = f"on the {'right' if load.right_share > ALIKE else 'left'} hook "
    return f"Worst {side}{at} (both hooks were tried, at spokes and between them)."


def tyre_words(answer: Answer, units: Units) -> str:
    """What the flat tyre goes on bearing, and how much the verdict depends on how it spreads."""
    load = tyre_of(answer)
    if load is None or answer.respread is None:
        return ""
    half, twice = (units.in_force(each) for each in answer.respread)
    return (
        f"The flat tyre goes on pressing the bead seats with {units.in_force(load.force_N)}, "
        f"taken to act over {figures(load.patch_mm, 2)} mm of rim (assumed): over half as much "
        f"first yield would be at {half}, over twice as much at {twice}."
    )


def fan_words(answer: Answer, units: Units) -> str:
    """What a strike that leans would do."""
    told = [
        f"{leaning_words(lean.angle)} it yields from {units.in_force(lean.first_yield_N)} "
        f"({lean.wall})"
        for lean in answer.fan
    ]
    return f"Another direction: {', '.join(told)}." if told else ""


def leaning_words(angle: float) -> str:
    """From where a strike comes that leans by so much (radians)."""
    return f"leaning {abs(math.degrees(angle)):.0f}° {'out' if angle > 0 else 'in'}ward"


def tyre_of(answer: Answer) -> WheelLoad | None:
    """The force of the flat tyre that acts already, if one does."""
    found = (load for load in answer.case.standing if isinstance(load, WheelLoad))
    return next(found, None)


def spread_words(answer: Answer) -> str:
    """How far around the rim a strike reaches, and how much rim carries it."""
    wall = answer.verdict.governing
    reach = f"the {wall.wall} stays above half of its worst over {wall.reach_mm:.0f} mm of rim"
    if answer.share_of_rim_mm is None:
        return f"Under the load {reach}."
    return (
        f"The blow lands on {answer.landing_mm:.0f} mm of rim in effect and is carried by "
        f"{answer.share_of_rim_mm:.0f} mm at the foot of the sidewall; {reach}."
    )


def wheel_words(analysis: Analysis, units: Units) -> list[str]:
    """What the built wheel does, and plain warnings where it comes near a limit."""
    wheel, lacing = analysis.wheel, analysis.lacing
    if wheel is None or lacing is None:
        return []
    laced = f"{lacing.count} spokes, {lacing.crossings} crossings"
    lost = f"inflation takes {100 * wheel.inflation_loss:.0f} % of the tension"
    built = f"Wheel ({laced}, {units.in_force(lacing.tension_N)})"
    slack = units.in_force(wheel.slack_load_N)
    told = f"{built}: a spoke goes slack at a wheel load of {slack}; {lost}."
    return [told, *(f"WARNING: {warning}" for warning in wheel_warnings(analysis, units))]


def wheel_warnings(analysis: Analysis, units: Units) -> Iterator[str]:
    """Where the built wheel comes near a limit, and what to do."""
    wheel, lacing = analysis.wheel, analysis.lacing
    if wheel is None or lacing is None:
        return
    most = wheel.buckling_tension_N
    if analysis.loading.wheel_N >= wheel.slack_load_N:
        yield "a spoke goes slack under the wheel load. Take more tension or more spokes."
    if BUCKLING_SHARE * most <= lacing.tension_N and not analysis.buckles:
        yield (
            f"the rim buckles sideways at {units.in_force(most)} a spoke; from about half "
            "of that the run-out grows. Take less tension, or a rim stiffer against twist."
        )


def wall_load(answer: Answer, utilisation: float, units: Units) -> str:
    """The load at which a wall reaches a limit; none that is beyond all that comes to the rim."""
    worst = answer.verdict.governing.first_yield
    if math.isfinite(worst) and utilisation * FAR_OFF < worst:
        return "-"
    return load_words(answer, utilisation, units)


def margin_words(margin: float) -> str:
    """How far behind the runner-up is."""
    if margin == float("inf"):
        return "which carries nearly nothing"
    close = " (too close to call)" if margin < CLOSE_CALL else ""
    return f"{100 * margin:.0f} % later{close}"


def gain_words(gain: Gain) -> str:
    """Where a little more metal helps most, what it buys and costs."""
    if gain.strength < LEAST:
        return f"{shown(gain.step_mm)} mm more at any one wall buys nothing."
    first, full = (100 * share for share in (gain.first_yield, gain.set))
    told = " and ".join(
        f"{what} at {change:.0f} % more load"
        if change >= NO_GAIN
        else f"{what} as before"
        if change > -NO_GAIN
        else f"{what} at {-change:.0f} % less load"
        for what, change in (("permanent set", full), ("first yield", first))
    )
    return (
        f"{shown(gain.step_mm)} mm more is best spent at the {gain.wall}: {told}, "
        f"{gain.mass_g:+.0f} g a rim."
    )


def mass_words(analysis: Analysis) -> str:
    """The computed mass, and beside it the weighed one: whether they agree, and what the scales
    tell of the walls.
    """
    computed = f"Computed mass {analysis.hoop.mass_g:.0f} g{joint_words(analysis)}"
    check, scales = analysis.mass_difference, weighing(analysis)
    if check is None:
        return f"{computed}; weigh the bare hoop to check it."
    both = (
        f"{computed}, weighed {check.weighed_g:.0f} g: {check.absolute_g:+.0f} g "
        f"({check.percent:+.1f} %)"
    )
    if scales is None:
        return f"{both}."
    apart = f"the ±{figures(scales.open_g, 2)} g that caliper, guesses and joint leave open"
    if scales.agrees:
        return f"{both}, which agree within {apart}{_moved_words(known(analysis.sheet))}."
    return (
        f"{both}, which do not agree: that is more than {apart}. Some number is likely "
        "wrong (rimfea reconcile finds it); until then all but the mass is as drawn."
    )


def weighing(analysis: Analysis) -> Weighed | None:
    """The rim's sheet beside the scales; None where nobody weighed it, and for a section that was
    not drawn from its sheet.
    """
    if analysis.sheet.weighed_mass_g is None:
        return None
    with suppress(SheetError):
        scales = weighed(analysis.sheet)
        if math.isclose(scales.drawn_g, analysis.hoop.mass_g, rel_tol=AS_DRAWN):
            return scales
    return None


def tones_words(sheet: Sheet) -> list[str]:
    """Whether the tones that were heard agree with the sheet, if it was tapped."""
    sure = known(sheet)
    if sure.tap is None:
        return []
    heard = listed(f"{each.hertz:.6g}" for each in sure.tap.heard)
    told = f"Tones heard, {heard} Hz: "
    if not sure.tap.agrees:
        return [f"{told}the sheet does not agree with them (rimfea tap tells where to look)."]
    if not sure.hears:
        return [f"{told}the sheet agrees, but it is not used before the scales agree too."]
    return [f"{told}the sheet agrees, and every question uses what they tell of the walls."]


def moves_mm(sure: Known) -> dict[str, float]:
    """What scales and tones move every length by, the largest first."""
    moved = sure.conditioned(sure.weighed.lengths)[1].tolist()
    pairs = zip(sure.weighed.keys, moved, strict=True)
    return dict(sorted(pairs, key=lambda pair: -abs(pair[1])))


def _moved_words(sure: Known) -> str:
    by = "the scales and the tones" if sure.hears else "the scales"
    walls = {wall.key_mm: str(wall) for wall in Wall}
    told = [
        f"the {walls[key]} {more:+.2f} mm"
        for key, more in moves_mm(sure).items()
        if key in walls and abs(more) >= NOTICED_MM
    ]
    if not told:
        return f", and {by} move no wall by a hundredth"
    return f"; in comparisons {by} move {', '.join(told[:MOST_TOLD])}"


def diameter_words(sheet: Sheet) -> list[str]:
    """The measured ERD beside the drawn one, if it was measured."""
    check = diameter_difference(sheet)
    if check is None:
        return []
    verdict = (
        "they agree."
        if check.agree
        else "they do not agree. Measure the ERD, the depth and the hook height again."
    )
    doubt = figures(check.drawn_expanded_mm, 2)
    return [
        f"ERD in the sheet {sheet.erd_mm:.0f} mm, drawn {check.drawn_mm:.0f} ± {doubt}: {verdict}"
    ]


def joint_words(analysis: Analysis) -> str:
    """What of the mass is not the section's."""
    if not analysis.hoop.joint_g:
        return ""
    assumed = ", assumed" if "joint_mass_g" in analysis.sheet.assumed else ""
    return f" ({analysis.hoop.joint_g:.0f} g of it in the joint{assumed})"


def _direction(answer: Answer) -> str:
    """Where a strike comes from."""
    load = answer.case.loads[0]
    if not isinstance(load, Strike):
        return ""
    lean = math.degrees(load.mirrored().angle if answer.landing.mirrored else load.angle)
    return f", {abs(lean):.0f}° leaning" if round(lean) else ", straight in"


def _called(answer: Answer) -> str:
    return answer.name if answer.name == TENSION else f"a {answer.name}"


def _each(answer: Answer) -> str:
    return " in every spoke" if answer.name == TENSION else ""
