"""Rims side by side in words, tables and a chart, each number with what its measurements leave
open.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from types import MappingProxyType

from rimfea.ask.compare import (
    BETTER,
    UNTOLD,
    WORSE,
    Difference,
    Measured,
    differences,
    ranks,
)
from rimfea.study.outcome import BY_KEY, HALF_MM, OUTCOMES
from rimfea.vary.doubt import Origin, Source
from rimfea.words.analyse import CLOSE_CALL, headline, leaning_words, mass_words, weighing
from rimfea.words.numbers import NO_DOUBT, USUAL, Units, figures, no_finer, plus_minus, set_words
from rimfea.words.outcomes import headed, in_words, scale_of
from rimfea.words.rides import air_words, span_words
from rimfea.words.tables import Table
from rimfea.words.worth import source_words

LEAD = "yield_N"
MASS, DENT, DROP, OWN = "mass_g", "dent_J", "dent_drop_mm", "own_dent_mm"
TOLD = sorted((each.key for each in OUTCOMES if each.told), key=lambda key: key != LEAD)
HOLE = "hole_MPa"
NOTICED = 0.5  # per cent
ROUGHLY = "by a model of the tyre that is good to a factor of about two"


def comparison_lines(rims: Sequence[Measured], base: Measured, units: Units = USUAL) -> list[str]:
    """Which rim dents sooner, where dents are known; for every rim but the base: what is better or
    worse than in the base, what cannot be told, and what to measure again; then whether the order
    depends on the strike's direction, and what the scales say of each that was weighed.
    """
    told = [*dent_lines(rims)]
    told += [line for rim in rims if rim is not base for line in against_lines(rim, base)]
    told += direction_lines([rim for rim in rims if not rim.ride.analysis.buckles], units)
    return [*told, *(scales_words(rim) for rim in rims if weighing(rim.ride.analysis))]


def dent_lines(rims: Sequence[Measured]) -> Iterator[str]:
    """In which order the rims dent, what the set-up's own blow leaves in each, and which may crack
    first; nothing where nobody asked.
    """
    known = [rim for rim in rims if rim.sensitivity.value(DROP) < math.inf]
    known.sort(key=lambda rim: rim.sensitivity.value(DROP))
    if not known:
        return
    if len(known) == 2:
        yield sooner_words(*known)
    elif len(known) > 2:
        first, *others = (f"{rim.name} at a drop of {_drop(rim)}" for rim in known)
        yield f"First to keep a {HALF_MM:g} mm dent: {first}; then {', '.join(others)}."
    if any(rim.sensitivity.value(OWN) for rim in known):
        left = (f"{rim.name} {set_words(rim.sensitivity.value(OWN))}" for rim in known)
        yield f"WARNING: the set-up's own blow leaves a dent: {', '.join(left)} ({ROUGHLY})."
    else:
        yield "The set-up's own blow dents none of them."
    cracks = [(rim.name, rim.ride.dent.cracks_mm) for rim in known if rim.ride.knows_dent]
    soon = [
        f"{name} from {set_words(set_mm)} of set" for name, set_mm in cracks if set_mm < HALF_MM
    ]
    if soon:
        yield f"The metal may crack before a dent is {HALF_MM:g} mm deep: {', '.join(soon)}."
    without = [rim.name for rim in rims if rim not in known]
    if without:
        yield f"No {HALF_MM:g} mm dent was found for {', '.join(without)}."


def sooner_words(weak: Measured, strong: Measured) -> str:
    """Which of two rims dents sooner, if the energy that their hooks take up can tell."""
    energy = next(each for each in differences(strong, weak) if each.outcome.key == DENT)
    drops = f"{HALF_MM:g} mm at a drop of {_drop(weak)} against {_drop(strong)}"
    said = f"energy that the hook of {strong.name} takes up: {doubted_words(energy)}"
    if energy.verdict == BETTER or math.isnan(energy.expanded_percent):
        return f"{weak.name} dents sooner than {strong.name}: {drops} ({said})."
    return f"{weak.name} and {strong.name} dent alike as far as can be told: {drops} ({said})."


def _drop(rim: Measured) -> str:
    return f"{figures(rim.sensitivity.value(DROP), 2)} mm"


def direction_lines(rims: Sequence[Measured], units: Units = USUAL) -> list[str]:
    """The order of first yield for strikes that lean, if it is another than straight in."""
    leads = {rim.name: rim.ride.analysis.governing for rim in rims}
    straight = {rim.name: BY_KEY[LEAD].of(rim.ride) for rim in rims}
    fans = list(zip(*(lead.fan for lead in leads.values()), strict=True))
    if len(rims) < 2 or not fans:
        return []
    told = []
    for leans in fans:
        leant = {name: lean.first_yield_N for name, lean in zip(leads, leans, strict=True)}
        if _is_turned(straight, leant):
            forces = ", ".join(
                f"{name} {in_words(LEAD, leant[name], units, 2)}" for name in _order(leant)
            )
            told.append(f"{leaning_words(leans[0].angle)} first yield ranks {forces}")
    if told:
        return [f"The order depends on where the blow comes from: {'; '.join(told)}."]
    angle = abs(math.degrees(fans[0][0].angle))
    return [f"Strikes that lean {angle:.0f}° in or out rank the rims as a straight one does."]


def _is_turned(straight: Mapping[str, float], leant: Mapping[str, float]) -> bool:
    """Whether a rim that is weaker than another straight in is clearly stronger when it leans."""
    return any(
        straight[one] < straight[other] and leant[one] > (1 + CLOSE_CALL) * leant[other]
        for one in leant
        for other in leant
    )


def _order(forces: Mapping[str, float]) -> list[str]:
    return sorted(forces, key=lambda name: -forces[name])


def scales_words(rim: Measured) -> str:
    """What weighing a rim told of it."""
    lead, analysis = BY_KEY[LEAD], rim.ride.analysis
    drawn = lead.of(rim.ride)
    percent = 100 * (rim.sensitivity.value(LEAD) / drawn - 1) if drawn else 0.0
    moved = f" That moves {lead.title} by {percent:+.0f} %." if abs(percent) >= NOTICED else ""
    return f"{rim.name}: {mass_words(analysis)}{moved}"


def alone_words(rim: Measured, units: Units) -> Iterator[str]:
    """What is said of a rim that nothing stands beside."""
    yield f"{rim.name}: {headline(rim.ride.analysis, units)}"
    yield "Name another rim to compare it with."


def remedy_lines(rims: Sequence[Measured], base: Measured) -> Iterator[str]:
    """That a rim is of another wheel size; and what to measure, where there are but two rims whose
    main difference is not told apart.
    """
    sound = [rim for rim in rims if not rim.ride.analysis.buckles]
    if base not in sound:
        return
    for rim in (each for each in sound if each is not base):
        yield from (f"{rim.name}: {line.strip()}." for line in size_words(rim, base))
        lead = leading({each.outcome.key: each for each in differences(rim, base)})
        if len(rims) == 2 and lead.verdict == UNTOLD and lead.is_known:
            yield again_words(lead)


def rims_table(rims: Sequence[Measured], base: Measured, units: Units = USUAL) -> Table:
    """A row a rim: mass, dent, first yield, air, tension window, and the verdict against the
    base.
    """
    dented = any(math.isfinite(rim.sensitivity.value(DROP)) for rim in rims)
    rows = tuple(
        (rim.name, *_in_short(rim, units, dented=dented), _against(rim, base)) for rim in rims
    )
    head = (
        "rim",
        "mass",
        *([f"{HALF_MM:g} mm dent from"] if dented else ()),
        "first yield",
        "air needed",
        "tension",
        f"against {base.name}",
    )
    setup = base.ride.setup
    return Table(f"{base.ride.end.capitalize()} wheel, {setup.name}", head, rows)


def _in_short(rim: Measured, units: Units, *, dented: bool) -> tuple[str, ...]:
    ride, known = rim.ride, rim.sensitivity
    if ride.analysis.buckles:
        return (f"{figures(known.value(MASS))} g", *("-",) * (2 + dented), "buckles")
    drop = known.value(DROP)
    return (
        f"{figures(known.value(MASS))} g",
        *([_drop(rim) if math.isfinite(drop) else "-"] if dented else ()),
        in_words(LEAD, known.value(LEAD), units),
        air_words(ride.needed_MPa, units),
        span_words(ride.window, units),
    )


def _against(rim: Measured, base: Measured) -> str:
    """The verdict on the main thing."""
    if rim is base:
        return "-"
    lead = leading({each.outcome.key: each for each in differences(rim, base)})
    if rim.ride.analysis.buckles or base.ride.analysis.buckles or not lead.is_known:
        return "not compared"
    said = {BETTER: "later", WORSE: "sooner"}.get(lead.verdict, "alike")
    return f"{'dents' if lead.outcome.key == DENT else 'yields'} {said}"


def against_lines(rim: Measured, base: Measured) -> list[str]:
    """One rim against the base, a line a difference."""
    found = {each.outcome.key: each for each in differences(rim, base)}
    lead = leading(found)
    lines = [f"{rim.name} against {base.name}", *size_words(rim, base)]
    buckled = next((each for each in (rim, base) if each.ride.analysis.buckles), None)
    if buckled:
        return [*lines, f"  {buckled.name} buckles under its spokes: no other number of it counts"]
    told = sorted((found[key] for key in TOLD), key=lambda each: each is not lead)
    lines += [f"  {difference_words(each)}" for each in told if each.is_known]
    lines.append(f"  {hole_words(rim, base, found[HOLE])}")
    lines += [f"  {told}" for told in metal_words(lead)]
    if lead.verdict == UNTOLD:
        lines.append(f"  {again_words(lead)}")
    return lines


def leading(found: Mapping[str, Difference]) -> Difference:
    """What a verdict rests on, of differences by key: the energy of a dent where it is known with
    its ±, else first yield.
    """
    dent = found[DENT]
    return dent if math.isfinite(dent.percent) and dent.expanded_percent >= 0 else found[LEAD]


def size_words(rim: Measured, base: Measured) -> list[str]:
    """That the two are of different wheels, if they are."""
    own, other = (each.ride.analysis.sheet.bead_seat_diameter_mm for each in (rim, base))
    if own == other:
        return []
    return [
        f"  another wheel size, bead seat {own:g} mm, not {other:g}, which changes every number"
    ]


def hole_words(rim: Measured, base: Measured, stress: Difference) -> str:
    """What the mean stress at the spoke holes adds: within one alloy only, as yielding leaves the
    least mean in the weakest metal.
    """
    alloys = [each.ride.analysis.sheet.alloy for each in (rim, base)]
    if alloys[0] != alloys[1]:
        return f"life of the spoke holes: not compared, {alloys[0]} and {alloys[1]} differ"
    return difference_words(stress)


def difference_words(difference: Difference) -> str:
    """Whether the difference is one."""
    if not math.isfinite(difference.percent):
        bears = "the other bears none" if difference.gap else "neither bears any"
        return f"{difference.outcome.title}: {difference.verdict} ({bears})"
    size = doubted_words(difference)
    if math.isnan(difference.expanded_percent):
        return f"{difference.outcome.title}: {size}"
    return f"{difference.outcome.title}: {difference.verdict} ({size})"


def doubted_words(difference: Difference) -> str:
    """A difference with its ±, or that there is none."""
    if math.isnan(difference.expanded_percent):
        return f"{difference.percent:+.0f} %, its ± is not known"
    return percent_words(difference.percent, difference.expanded_percent)


def percent_words(percent: float, expanded: float) -> str:
    """A difference with its ±, no finer than that."""
    digits = 0 if expanded >= NOTICED else 1
    return f"{percent:+.{digits}f} ± {expanded:.{digits}f} %"


def metal_words(difference: Difference) -> Iterator[str]:
    """How much of the ± is the metal's, where that is anything, and what would be told without."""
    if not difference.metal_percent >= NOTICED:
        return
    verdict, rest = difference.of_known_metal
    yield (
        f"Of that ±{difference.expanded_percent:.0f} % on {difference.outcome.title}, the proof "
        f"stress of the metal alone makes ±{difference.metal_percent:.0f} %; with it known: "
        f"{verdict} ({percent_words(difference.percent, rest)})."
    )


def again_words(difference: Difference) -> str:
    """What to measure, or measure again, to tell the two apart."""
    hope = (
        "that may tell them apart"
        if difference.would
        else "but that alone will not tell them apart"
    )
    return f"To tell {difference.outcome.title}, {remedy_words(difference.repeat)}; {hope}."


AS_A_WHOLE: Mapping[Origin, str] = MappingProxyType(
    {
        Origin.DRAWING: "weigh {}",
        Origin.SCALES: "weigh {} on finer scales",
        Origin.TONES: "tap {} again and give more of its tones",
    }
)
"""What takes an error away that is of the whole rim."""


def remedy_words(source: Source) -> str:
    """What takes an error away."""
    what, whose = source_words(source), f" of {source.rim}" if source.rim else ""
    match source.origin:
        case Origin.READING:
            return f"measure {what}{whose} again"
        case Origin.GUESS:
            return f"measure {what}{whose}, which is assumed"
        case Origin.INSTRUMENT:
            return f"check {what}{whose} on gauge blocks"
        case Origin.METAL:
            return (
                "have the proof stress of both rims tested (proof_MPa), or name the batch (batch)"
            )
        case _:
            return AS_A_WHOLE[source.origin].format(source.rim)


def outcomes_table(rims: Sequence[Measured], base: Measured, units: Units = USUAL) -> Table:
    """Every outcome that is known of any rim, ± k = 2, and how it stands against the base."""
    rows = []
    for place, outcome in enumerate(OUTCOMES):
        if all(math.isnan(rim.sensitivity.base[place]) for rim in rims):
            continue
        ranked = ranks(rims, outcome)
        cells = (
            _cell(rim, base, place, rank, units) for rim, rank in zip(rims, ranked, strict=True)
        )
        rows.append((headed(outcome, units), *cells))
    title = (
        f"± is k = 2 of the measurements, {NO_DOUBT}; + better, - worse, = not told apart from "
        f"{base.name}; (1) the best of all"
    )
    return Table(title, ("", *(rim.name for rim in rims)), tuple(rows))


def _cell(rim: Measured, base: Measured, place: int, rank: int, units: Units) -> str:
    outcome, sensitivity = OUTCOMES[place], rim.sensitivity
    scale = scale_of(outcome.key, units)
    sure = outcome.rough or not sensitivity.base[place]  # no dimension makes more of nothing
    open_by = math.nan if sure else scale * sensitivity.expanded(outcome.key)
    doubt = plus_minus(open_by)
    if math.isnan(sensitivity.base[place]):
        return "-"
    told = no_finer(scale * float(sensitivity.base[place]), open_by, 2 if outcome.dent else 3)
    value = f"{told} {doubt}".rstrip()
    if rim is base:
        return f"{value} ({rank})"
    found = differences(rim, base)[place]
    if math.isnan(found.expanded):
        return f"{value} ({rank})"
    better = found.is_better
    return f"{value} {'=' if better is None else '+' if better else '-'} ({rank})"
