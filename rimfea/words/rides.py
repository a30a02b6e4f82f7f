"""A set-up's wheels in sentences and tables: ladder, tension window, spoke hole, casing."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from rimfea.strike import blow, tyre
from rimfea.strike.ladder import SPRINGY, Event, Rung
from rimfea.study.outcome import HALF_MM
from rimfea.study.ride import Ride
from rimfea.study.seat import Reinforcement
from rimfea.study.setup import Setup, obstacle
from rimfea.study.window import Bound, Limit, Window
from rimfea.units import to_unit
from rimfea.words.analyse import load_words
from rimfea.words.dents import dent_assumptions, dent_lines, drop_words
from rimfea.words.numbers import USUAL, Units, figures, in_stress, told_apart
from rimfea.words.tables import Table

# Drop heights of the use conditions of ASTM F2043 ("maximum height above the landing surface of
# the lowest spot on the tire"); the heights are from memory.
USE_CONDITIONS = {150: "condition 2", 610: "condition 3", 1220: "condition 4"}
USE_SOURCE = "ASTM F2043, heights not checked against the standard"
BAR_CELLS, MOST_WIDE = 40, 200
NOT_BY_AIR = "not by air"
SAME_SIDES = 0.01  # no builder can tell
TENSION_TEST = "JIS D 9301:2019 5.5.1.3"
LIMITS = {
    Limit.SLACK: "no spoke slack at {:g}× the load",
    Limit.MEAN: f"{{:.0f}} N on average ({TENSION_TEST})",
    Limit.NONE_BELOW: f"none below {{:.0f}} N ({TENSION_TEST})",
    Limit.SEAT_FOLDS: "the nipple seat yields through at {:g}× that",
    Limit.NIPPLE_BEARS: "nipple bears too hard at {:g}× that",
    Limit.NIPPLE_PULLS: "nipple pulls through at {:g}× that",
    Limit.BUCKLING: "{:g} % of the buckling tension",
    Limit.MAKER: "the maker's limit",
}


def ride_lines(rides: Sequence[Ride], units: Units) -> list[str]:
    """What a builder asks first: what dent the blow leaves, where that is known; does it reach
    the rim, at what pressure not, and which wheel dents first.
    """
    told = [setup_words(rides[0].setup), *dent_lines(rides, units)]
    told += [f"{ride.end.capitalize()}: {blow_words(ride, units)}" for ride in rides]
    if len(rides) > 1:
        told.append(first_to_dent(rides))
    return told


def setup_words(setup: Setup) -> str:
    """The set-up in one sentence."""
    mass = setup.rider_kg + setup.bike_kg + setup.luggage_kg
    met = obstacle(setup)
    struck = met.name if met.is_level else f"a {met.name} {setup.radius_mm:g} mm round"
    return (
        f"Set-up {setup.name}: {mass:.0f} kg in all, {100 * setup.front_share:.0f} % in front; "
        f"strikes {struck}."
    )


def blow_words(ride: Ride, units: Units) -> str:
    """The set-up's blow on one wheel, and the pressure that it takes."""
    held = units.given_air(ride.tyre.pressure_MPa)
    if ride.hook_N == 0:
        result = f"stays in the tyre at {held}"
    else:
        result = f"goes through to the rim at {held} with {units.in_force(ride.hook_N)}"
    return f"{how(ride.setup)}{_as_hard(ride)} {result}; {needed_words(ride, units)}."


def needed_words(ride: Ride, units: Units = USUAL) -> str:
    """The air that the set-up's blow needs, so that the tyre does not get flat and the rim not
    yield.
    """
    flat, needed = ride.ladder.pressure_MPa[0], ride.needed_MPa
    most = air_words(ride.tyre.most_MPa, units)
    if math.isinf(needed):
        return f"no air helps, not even the {most} that such a tyre takes"
    if needed and air_words(flat, units) == air_words(needed, units):
        return f"the tyre is flat and the rim yields below {air_words(flat, units)}"
    yields = (
        f"the rim yields below {air_words(needed, units)}" if needed else "the rim needs no air"
    )
    if math.isinf(flat):
        return f"the tyre bottoms out even at the {most} that it takes, {yields}"
    return f"the tyre is flat below {air_words(flat, units)}, {yields}"


def air_words(pressure_MPa: float, units: Units = USUAL) -> str:
    """A tyre's pressure as far as its model can tell; infinite: more than a tyre takes."""
    if math.isinf(pressure_MPa):
        return NOT_BY_AIR
    return units.in_air(pressure_MPa)


def speed_words(speed_m_s: float) -> str:
    """A speed against the step."""
    if math.isinf(speed_m_s):
        return "never"
    return f"{3.6 * speed_m_s:.0f} km/h" if speed_m_s else "any speed"


def how(setup: Setup) -> str:
    """The set-up's blow in words."""
    if obstacle(setup).is_level or setup.speed_km_h == 0:
        return f"a drop of {setup.drop_mm:g} mm"
    rolled = f"{setup.speed_km_h:g} km/h against a step of {setup.step_mm:g} mm"
    return f"{rolled} or a drop of {setup.drop_mm:g} mm" if setup.drop_mm else rolled


def weaker(rides: Sequence[Ride]) -> Ride:
    """The wheel whose rim dents, or where that is not known yields, at the lower drop."""
    known = all(ride.knows_dent for ride in rides)
    return min(rides, key=lambda ride: ride.dented(HALF_MM).drop_mm if known else _yield_drop(ride))


def first_to_dent(rides: Sequence[Ride]) -> str:
    """Which wheel's rim is dented at the lower drop of its own load; where a dent is not known,
    which yields.
    """
    if not all(ride.knows_dent for ride in rides):
        return _first_to_yield(rides)
    drops = {ride.end: ride.dented(HALF_MM).drop_mm for ride in rides}
    weak, strong = sorted(drops, key=lambda end: drops[end])
    if drop_words(drops[weak]) == drop_words(drops[strong]):
        return f"Both rims keep a {HALF_MM:g} mm dent from the same drop."
    return (
        f"The {weak} wheel dents first: its rim keeps a {HALF_MM:g} mm dent from a drop of about "
        f"{drop_words(drops[weak])}, the {strong} wheel's from {drop_words(drops[strong])}."
    )


def _first_to_yield(rides: Sequence[Ride]) -> str:
    drops = {ride.end: _yield_drop(ride) for ride in rides}
    weak, strong = sorted(drops, key=lambda end: drops[end])
    if drops[weak] == drops[strong]:
        return "Both rims yield at the same drop."
    return (
        f"The {weak} wheel yields first, from a drop of about {drops[weak]:.0f} mm, the {strong} "
        f"wheel from {drops[strong]:.0f} mm."
    )


def weld_lines(rides: Sequence[Ride], units: Units) -> list[str]:
    """What a blow beside the weld of a welded hoop does, where it is known to be one."""
    lines = []
    for ride in rides:
        weld, answer = ride.answer.at_weld, ride.answer
        if weld:
            wall = weld.governing
            load = load_words(answer, wall.first_yield, units)
            lines.append(
                f"{ride.end.capitalize()}, struck at the weld: the {wall.wall} yields from {load}, "
                "because welding softens the metal beside it."
            )
    return lines


def tension_line(ride: Ride) -> str:
    """How tight to build a wheel."""
    return f"{ride.end.capitalize()} tension: {window_words(ride.window)}"


def tension_bars(rides: Sequence[Ride], units: Units, width: int = MOST_WIDE) -> list[str]:
    """The windows as lines of signs to one scale, for a terminal of that width."""
    cells = min(BAR_CELLS, width - 4)
    most = 1.1 * max(largest_tension(ride.window) for ride in rides)
    scale = f"0 to {units.in_force(most)}, = allowed, o the target"
    return [f"{window_bar(each.window, most, cells)}  {each.end}: {scale}" for each in rides]


def window_words(window: Window) -> str:
    """Both ends of the window, what sets them, and whether the target lies between."""
    low, high = window.lowest, window.highest
    why = f"Not below: {bound_words(low)}; not above: {bound_words(high)}."
    target = f"the {target_words(window)},"
    if not window.is_open:
        least, most = told_apart(low.tension_N, high.tension_N)
        most = f"{in_both(high.tension_N, most)}{where_words(window)}"
        span = f"{in_both(low.tension_N, least)} and at most {most}"
        return f"WARNING: no tension is at least {span}. {why}"
    from_N = f"{figures(low.tension_N)} to "
    alike = figures(low.tension_N) == figures(high.tension_N)
    span = f"{'' if alike else from_N}{in_both(high.tension_N)}{where_words(window)}"
    if window.fits:
        return f"{span}; {target} fits. {why}"
    side = "below" if window.target_N < low.tension_N else "above"
    return f"WARNING: {target} is {side} the window, {span}. {why}"


def target_words(window: Window) -> str:
    """The tension to build to, on both sides where they differ, and whether anybody gave it."""
    sides = (f"{in_both(window.right_N)} right", f"{figures(window.left_N)} N left")
    told = " and ".join(sides) if where_words(window) else in_both(window.target_N)
    if window.is_placeholder:
        return f"assumed target, {told} until you give one"
    return f"target, {told}"


def where_words(window: Window) -> str:
    """Whose tension a window is told in, where the sides differ."""
    right, left = window.sides
    if math.isclose(right, left, rel_tol=SAME_SIDES):
        return ""
    return f" on the {'right' if right > left else 'left'}"


def bound_words(bound: Bound) -> str:
    """What sets one end of a window."""
    return LIMITS[bound.limit].format(bound.value)


def window_bar(window: Window, most_N: float, count: int = BAR_CELLS) -> str:
    """The window as a line of signs from 0 to ``most_N``: = allowed, o the target."""
    cells = ["."] * count
    place = [
        min(int(count * force / most_N), count - 1)
        for force in (window.lowest.tension_N, window.highest.tension_N, window.target_N)
    ]
    for k in range(place[0], place[1] + 1) if window.is_open else ():
        cells[k] = "="
    cells[place[2]] = "o"
    return "|" + "".join(cells) + "|"


def largest_tension(window: Window) -> float:
    """The largest tension that is told of a window, N: a picture of it goes that far."""
    return max(window.highest.tension_N, window.lowest.tension_N, window.target_N)


def in_both(force_N: float, newtons: str = "") -> str:
    """A tension in N and kgf."""
    return f"{newtons or figures(force_N)} N ({figures(to_unit(force_N, 'kgf'))} kgf)"


def climbed(ride: Ride, units: Units) -> Iterator[tuple[Rung, tuple[str, str, str]]]:
    """Every rung of a wheel with the drop and the speed that bring it, none over level ground, and
    the air from which the blow stays below it.
    """
    ladder, level = ride.full_ladder, obstacle(ride.setup).is_level
    found = zip(ladder.rungs, ladder.speed_m_s, ladder.pressure_MPa, strict=True)
    for rung, speed, pressure in found:
        told = "-" if level else speed_words(speed)
        yield rung, (f"{rung.drop_mm:.0f} mm", told, air_words(pressure, units))


def ladder_table(rides: Sequence[Ride], units: Units) -> Table:
    """Every rung of every wheel."""
    rows = [
        (
            ride.name,
            event_words(rung, ride.setup),
            units.in_force(rung.hook_N),
            f"{rung.energy_J:.1f} J",
            *reached,
        )
        for ride in rides
        for rung, reached in climbed(ride, units)
    ]
    setup = rides[0].setup
    head = (
        "wheel",
        "what happens",
        "on the hook",
        "energy",
        "drop",
        f"{setup.step_mm:g} mm step",
        "air needed",
    )
    title = f"Ladder: {setup.name}, {setup.obstacle}; air needed for {how(setup)}"
    return Table(title, head, tuple(rows))


def event_words(rung: Rung, setup: Setup) -> str:
    """What happens at a rung of the ladder."""
    told = {
        Event.FLAT: "the tyre is flat",
        Event.YIELD: f"{rung.wall} first yields",
        Event.SET: f"{rung.wall}: set begins",
        Event.CASING: f"casing at {setup.squeeze_limit_MPa:g} MPa",
        Event.DENT: f"{rung.set_mm:g} mm dent",
    }
    return told[rung.event]


def wheels_table(rides: Sequence[Ride], units: Units) -> Table:
    """Tension window, spoke hole and casing, a row a wheel."""
    rows = tuple(
        (
            ride.name,
            units.in_force(ride.window.lowest.tension_N),
            units.in_force(ride.window.highest.tension_N),
            units.in_force(ride.window.target_N),
            in_stress(ride.seat.edge_MPa),
            in_stress(ride.seat.amplitude_MPa),
            in_stress(ride.squeeze.peak_MPa),
            f"{ride.squeeze.effective_width_mm:.1f} mm",
        )
        for ride in rides
    )
    head = (
        "wheel",
        "tension from",
        "to",
        "target",
        "edge of spoke hole",
        "amplitude a turn",
        "casing squeeze",
        "lip bears on",
    )
    return Table("Spokes and casing", head, rows)


def reinforcement_table(found: Sequence[Reinforcement]) -> Table:
    """What a thicker seat or a washer buys at the spoke hole, and what it weighs."""
    rows = tuple(
        (
            each.what,
            f"{each.mass_g:+.1f} g",
            " to ".join(in_stress(seat.amplitude_MPa) for seat in (each.before, each.after)),
            f"{in_stress(each.edge_MPa_per_g)}/g",
        )
        for each in found
    )
    head = ("remedy", "a rim", "stress amplitude a turn", "off the edge stress")
    return Table("What would spare the spoke holes", head, rows)


def ladders_table(rides: Sequence[Ride], units: Units = USUAL) -> Table:
    """Rims side by side: the drop of each rung and, where it is known, of a dent; the pressure
    that the blow needs.
    """
    known = any(ride.knows_dent for ride in rides)
    rows = tuple(
        (
            ride.name,
            *(f"{drop:.0f} mm" if drop < float("inf") else "-" for drop in _by_event(ride)),
            *([_dent_drop(ride)] if known else ()),
            air_words(ride.needed_MPa, units),
            span_words(ride.window, units),
            in_stress(ride.seat.amplitude_MPa),
        )
        for ride in rides
    )
    setup = rides[0].setup
    head = (
        "wheel",
        *SPRINGY,
        *([f"{HALF_MM:g} mm dent"] if known else ()),
        "air needed",
        "tension window",
        "amplitude",
    )
    return Table(f"Drops that bring it: {setup.name}, {setup.obstacle}", head, rows)


def assumptions(rides: Sequence[Ride] = ()) -> tuple[str, ...]:
    """What the numbers of rides rest on."""
    return (*dent_assumptions(rides), tyre.ASSUMES, blow.ASSUMES)


def _as_hard(ride: Ride) -> str:
    """The mass behind a blow, and for a roll the drop that is as hard."""
    mass, drop = ride.blow.mass_kg, ride.drop_mm
    if not ride.blow.rolls:
        return f" with {mass:.0f} kg"
    if drop == 0:
        return f", softer than any drop of {mass:.0f} kg,"
    told = figures(drop, 2) if drop >= 10 else f"{drop:.0f}"
    return f", as hard as {mass:.0f} kg dropped about {told} mm,"


def _by_event(ride: Ride) -> list[float]:
    """The drop of every event, whatever their order on the ladder."""
    return [ride.ladder.drop_mm(event) for event in SPRINGY]


def span_words(window: Window, units: Units) -> str:
    """Both ends of a window, or that nothing lies between them."""
    low, high = (each.tension_N / units.force_N for each in (window.lowest, window.highest))
    if window.is_open:
        least, most = figures(low), figures(high)
        return f"{least} to {most} {units.force}" if least != most else f"{most} {units.force}"
    return f"none: {' > '.join(told_apart(low, high))} {units.force}"


def _dent_drop(ride: Ride) -> str:
    """The drop of the main dent; of a wheel whose dent nobody asked for nothing is told."""
    return drop_words(ride.dented(HALF_MM).drop_mm) if ride.knows_dent else "-"


def _yield_drop(ride: Ride) -> float:
    return ride.ladder.drop_mm(Event.YIELD)
