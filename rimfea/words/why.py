"""Why a rim bears what it bears, in sentences and one table."""

from __future__ import annotations

from collections.abc import Iterator

from rimfea.ask.why import Step, Why, Work
from rimfea.profile.pieces import Piece
from rimfea.profile.walls import Wall
from rimfea.words.analyse import headline, wall_load
from rimfea.words.numbers import Units, figures
from rimfea.words.tables import Table

LEAST = 0.05  # of the blow: of less it is not told over how much rim it is spread
DOES = {
    Work.PRESSED: "presses it",
    Work.PULLED: "pulls it",
    Work.BENT: "bends it",
    Work.ALONG: "bends it along the rim",
}


def why_headline(found: Why) -> str:
    """Which wall carries most of the blow."""
    step = found.carrier
    return (
        f"{found.analysis.sheet.name}: The {step.piece} carries most of the blow: "
        f"{_percent(step.carries)} of it goes along the rim there."
    )


def why_lines(found: Why, units: Units) -> Iterator[str]:
    """How the blow spreads on its way in, what the spokes lose, and what gives first."""
    answer, steps = found.answer, {step.piece: step for step in found.steps}
    seat, bed = steps[Piece.BEAD_SEAT], steps[Piece.SPOKE_BED]
    yield (
        f"The blow of {units.in_force(answer.load)} on one hook lands on "
        f"{steps[Piece.HOOK].length_mm:.0f} mm of rim in effect. {_percent(seat.enters)} of it "
        f"comes through the foot of the sidewall, on {seat.length_mm:.0f} mm; "
        f"{_percent(bed.enters)} reaches the spoke bed"
        + (f", on {figures(bed.length_mm, 2)} mm." if bed.enters >= LEAST else ".")
    )
    if found.spokes_N:
        lost = ", ".join(units.in_force(each) for each in found.spokes_N)
        yield f"The spokes nearest the blow lose {lost} of tension."
    weak = answer.verdict.governing
    step = next(step for step in found.steps if weak.wall in step.piece.walls)
    yield f"{headline(found.analysis, units)} The blow {DOES[step.work]}."


def why_table(found: Why, units: Units) -> Table:
    """A row a wall, from the crown down to the spoke bed."""
    rows = tuple(_row(found, step, units) for step in found.steps)
    head = ("wall", "blow comes in", "goes along the rim", "on", "the blow", "yields at")
    marked = frozenset({found.steps.index(found.carrier)})
    return Table("What carries the blow, from the crown to the spokes", head, rows, marked)


def _row(found: Why, step: Step, units: Units) -> tuple[str, ...]:
    has_web = step.piece is Piece.FLANK and Wall.WEB in found.analysis.sheet.walls
    return (
        f"{step.piece} and {Wall.WEB}" if has_web else str(step.piece),
        _percent(step.enters),
        _percent(step.carries),
        f"{figures(step.length_mm, 2)} mm" if step.enters >= LEAST else "-",
        DOES[step.work],
        wall_load(found.answer, step.weakest.first_yield, units),
    )


def _percent(share: float) -> str:
    return f"{100 * share:.0f} %"
