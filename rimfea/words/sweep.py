"""A sweep in sentences, as tables and as plain data."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import groupby, pairwise

from rimfea.ask.sweep import DECIDED, Place, Point, Swept
from rimfea.profile.uncertainty import COVERAGE
from rimfea.profile.values import shown
from rimfea.study.outcome import BY_KEY
from rimfea.vary.known import known as known_of
from rimfea.words.numbers import Units
from rimfea.words.outcomes import in_words, outcomes_data, titled
from rimfea.words.plain import as_text, heading, known
from rimfea.words.tables import Table
from rimfea.words.worth import STRENGTHS, named

SCHEMA = "rimfea sweep 1"
STEP_MM = 0.1
LEAST_G = 0.05
AS_IT_IS = 5e-4  # share of an outcome that nobody cares for
ANEW = "A jump of some per cent may be that of a fresh mesh, at"
USUAL_COLUMNS = ("mass_g", "yield_N", "set_N", "drop_mm")


def sweep_headline(swept: Swept, of: str, units: Units) -> str:
    """What a little more of each swept length does to an outcome, a strength with the other
    beside it, and to the mass.
    """
    together = [of, *(key for key in STRENGTHS if key != of and of in STRENGTHS)]
    told = []
    for k, key in enumerate(swept.sweep.keys):
        known = together if math.isfinite(swept.per_mm(of)[k]) else [of]
        steps = {each: STEP_MM * swept.per_mm(each)[k] for each in known}
        does = ",".join(_step_words(swept, each, step, units) for each, step in steps.items())
        mass = _mass_words(steps[of], swept.per_mm("mass_g")[k], of)
        told.append(f"each {STEP_MM:g} mm of {named(key)}{does}{mass}")
    return "; ".join(told)


def sweep_lines(swept: Swept, of: str, units: Units) -> Iterator[str]:
    """The rim itself, which wall decides where, gaps, and points that were meshed anew."""
    yield f"The rim itself: {_own_words(swept, of, units)}."
    beside = [
        named(axis.key)
        for axis, own in zip(swept.sweep.axes, swept.sweep.own, strict=True)
        if not axis.start_mm <= own <= axis.end_mm
    ]
    if beside:
        yield f"Its {' and '.join(beside)} lies beside the grid: the first line is of the end near."
    if of in DECIDED:
        yield walls_words(swept, of)
    points = swept.points.values()
    yield from _reasons("No answer at", [point.gap for point in points])
    yield from _reasons(ANEW, [point.remeshed for point in points])


def walls_words(swept: Swept, of: str) -> str:
    """Which wall decides an outcome where on the grid."""
    if len(swept.sweep.axes) == 1:
        along = [f"from {shown(start)} mm the {wall}" for wall, start in stretches(swept, of)]
        return f"What decides {titled(of)}: {', '.join(along) or 'nothing'}."
    names = [str(wall) for wall in swept.walls(of).ravel() if wall]
    shares = sorted(set(names), key=lambda wall: -names.count(wall))
    told = ", ".join(f"the {wall} at {names.count(wall)}" for wall in shares) or "nothing"
    return f"What decides {titled(of)}: of {math.prod(swept.sweep.shape)} points {told}."


def stretches(swept: Swept, of: str) -> list[tuple[str, float]]:
    """On one axis: each wall that decides an outcome, and from where on (mm), half way between
    the points on either side.
    """
    known = [point for point in swept.grid if point.walls.get(of)]
    apart = [list(points) for _, points in groupby(known, key=lambda point: point.walls[of])]
    starts = [known[0].place[0]] if known else []
    starts += [(before[-1].place[0] + after[0].place[0]) / 2 for before, after in pairwise(apart)]
    return [(points[0].walls[of], at) for points, at in zip(apart, starts, strict=True)]


def sweep_table(swept: Swept, of: str, units: Units) -> Table:
    """On one axis a row a point, the rim's own marked; on two the outcome on the grid."""
    return _line_table(swept, of, units) if len(swept.sweep.axes) == 1 else _grid(swept, of, units)


def sweep_json(swept: Swept) -> str:
    """All points as JSON text, in mm, N, MPa and g; what would be infinite is null."""
    sweep = swept.sweep
    data = {
        **heading(SCHEMA),
        "rim": sweep.sheet.name,
        "wheel": sweep.end,
        "setup": sweep.setup,
        "digest": sweep.digest,
        "axes": sweep.axes,
        "outcomes": outcomes_data(),
        "own": _point_data(swept.own),
        "own_expanded_uncertainty_mm": own_doubt_mm(swept),
        "grid": [_point_data(point) for point in swept.grid],
        "per_mm": {key: [*map(known, swept.per_mm(key))] for key in BY_KEY},
    }
    return as_text(data)


def own_doubt_mm(swept: Swept) -> Place:
    """Expanded uncertainty (k = 2) of the rim's own number on each axis."""
    sure = known_of(swept.sweep.sheet)
    return tuple(COVERAGE * sure.standard_mm(key) for key in swept.sweep.keys)


def _own_words(swept: Swept, of: str, units: Units) -> str:
    sizes = ", ".join(
        f"{named(key)} {own:.2f} ± {doubt:.2f} mm"
        for key, own, doubt in zip(
            swept.sweep.keys, swept.sweep.own, own_doubt_mm(swept), strict=True
        )
    )
    if swept.own.gap:
        return f"{sizes}; {swept.own.gap}"
    value = in_words(of, swept.own.outcomes.get(of, math.nan), units)
    wall = f" ({swept.own.walls[of]})" if of in DECIDED else ""
    mass = "" if of == "mass_g" else f", {in_words('mass_g', swept.own.outcomes['mass_g'], units)}"
    return f"{sizes}; {titled(of)} {value}{wall}{mass}"


def _step_words(swept: Swept, of: str, change: float, units: Units) -> str:
    """What a step does to an outcome; next to a gap it is not known."""
    base = swept.own.outcomes.get(of, math.nan)
    if math.isnan(base) and not swept.own.gap:
        return f": {titled(of)} is not known"
    if math.isnan(change):
        return ": no answer, the rim is next to a gap"
    if of in STRENGTHS and not base and not change:
        return f": {titled(of)} stays nothing, for the rim yields before any strike"
    if abs(change) <= AS_IT_IS * abs(base):
        return f" leaves {titled(of)} as it is"
    verb, towards = ("adds", "to") if change > 0 else ("takes", "from")
    share = f" ({100 * abs(change / base):.1f} %)" if base and math.isfinite(base) else ""
    return f" {verb} {in_words(of, abs(change), units, 2)}{share} {towards} {titled(of)}"


def _mass_words(change: float, per_mm_g: float, of: str) -> str:
    """What it weighs, beside what it does; nothing if it is the mass that was asked for."""
    mass_g = STEP_MM * per_mm_g
    if of == "mass_g" or math.isnan(change) or not abs(mass_g) >= LEAST_G:
        return ""
    verb = "" if change * mass_g > 0 else "adds " if mass_g > 0 else "takes "
    return f", and {verb}{abs(mass_g):.1f} g"


def _line_table(swept: Swept, of: str, units: Units) -> Table:
    points = sorted(swept.points.values(), key=lambda point: point.place)
    keys = dict.fromkeys([*USUAL_COLUMNS, of])
    head = [f"{named(swept.sweep.keys[0])} mm"]
    for key in keys:
        head += [BY_KEY[key].title, "decided by"] if key in DECIDED else [BY_KEY[key].title]
    rows = []
    for point in points:
        row = [shown(point.place[0])]
        for key in keys:
            value = in_words(key, point.outcomes.get(key, math.nan), units)
            row += [value, point.walls.get(key, "-")] if key in DECIDED else [value]
        note = "no answer" if point.gap else "meshed anew" if point.remeshed else ""
        rows.append((*row, note))
    own = points.index(swept.own)
    title = f"{_whose(swept)}; the rim itself in bold"
    return Table(title, (*head, ""), tuple(rows), frozenset({own}))


def _grid(swept: Swept, of: str, units: Units) -> Table:
    down, across = swept.sweep.axes
    head = (
        f"{named(down.key)} mm, {named(across.key)} →",
        *(shown(value) for value in across.values),
    )
    rows = tuple(
        (shown(place), *(in_words(of, value, units) for value in values))
        for place, values in zip(down.values, swept.values(of).tolist(), strict=True)
    )
    return Table(f"{BY_KEY[of].title}, {_whose(swept)}", head, rows)


def _whose(swept: Swept) -> str:
    sweep = swept.sweep
    return f"{sweep.sheet.name}, {sweep.end}, {sweep.setup.name}"


def _point_data(point: Point) -> dict[str, object]:
    return {
        "place_mm": point.place,
        "outcomes": {key: known(value) for key, value in point.outcomes.items()},
        "walls": point.walls,
        "remeshed": point.remeshed,
        "gap": point.gap,
    }


def _reasons(told: str, reasons: Sequence[str]) -> Iterator[str]:
    """At how many points, and the first reason."""
    given = [reason for reason in reasons if reason]
    if given:
        points = "one point" if len(given) == 1 else f"{len(given)} points, at the first"
        yield f"{told} {points}: {given[0]}"
