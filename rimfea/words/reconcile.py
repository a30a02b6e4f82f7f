"""What was scaled to agree with scales and ERD, in words and as a table."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from rimfea.ask.reconcile import NOT_MEASURED, Change, Ending, Held, Reconciled
from rimfea.profile.uncertainty import SCALES_G
from rimfea.profile.values import shown
from rimfea.words.numbers import figures, listed
from rimfea.words.tables import Table
from rimfea.words.unsawn import going_on, unsawn_lines

RECONCILE_ASSUMES = (
    f"Scales are taken as good for ±{SCALES_G:g} g; the drawn mass has no valve hole and no weld. "
    "A number that was scaled is a guess that fits, with the ± of a guess, not a measurement."
)
UNCHANGED = "The sheet is not changed."
READ = {"mass": "weighed", "ERD": "measured"}


def reconcile_headline(found: Reconciled) -> str:
    """What was measured of the whole hoop beside the drawing, and what follows, in one sentence."""
    both = (
        f"drawn {each.what} {_amount(each, each.before)}, {READ[each.what]} {_read(each)}"
        for each in found.held
    )
    return f"{'; '.join(both)}: {_ENDINGS[found.ending](found)}"


def reconcile_table(found: Reconciled) -> Table:
    """Every number that differs, the largest change on top, then mass and ERD."""
    changes = sorted(found.changes, key=lambda change: (change.follows, -abs(change.share)))
    rows = [
        (
            each.key,
            f"{each.before_mm:.3f}",
            f"{each.after_mm:.3f}",
            f"{100 * each.share:+.1f} %",
            _origin(found, each),
        )
        for each in changes
    ]
    whole = [
        (
            f"{each.what}, {each.unit}",
            f"{each.before:.0f}",
            f"{each.after:.0f}",
            f"{100 * (each.after / each.before - 1):+.1f} %",
            f"{READ[each.what]} {shown(each.read)} ± {figures(each.open, 2)}",
        )
        for each in found.held
    ]
    head = ("key", "before", "after", "change", "which")
    marked = frozenset(range(len(rows), len(rows) + len(whole)))
    return Table("What is changed", head, (*rows, *whole), marked)


def walls_lines(found: Reconciled) -> Iterator[str]:
    """What scales and tones tell of the walls that nobody measured, and what to do with it."""
    whole, scaled = found.unsawn, found.ending is Ending.SCALED
    if whole.walls and scaled and whole.hears:
        yield f"What is changed fits the {_whole(found)} alone: of these walls the tones tell more."
    if whole.walls and (whole.hears or not scaled):
        yield going_on(whole)
    yield from unsawn_lines(whole)


def _whole(found: Reconciled) -> str:
    return listed(each.what for each in found.held)


def sheet_heading(found: Reconciled) -> str:
    """What a file with the scaled sheet says above all."""
    scaled = (
        f"{each.key}: {shown(each.before_mm)} before, {_origin(found, each)}"
        for each in found.changes
        if not each.follows
    )
    return "\n".join([f"{found.before.name}: {NOT_MEASURED}:", *scaled])


def _agrees(found: Reconciled) -> str:
    return f"within the {_open(found.held)} that the measurements leave open. {UNCHANGED}"


def _nothing_free(found: Reconciled) -> str:
    return (
        f"more than the {_open(_missed(found, before=True))} that the measurements leave open, but "
        "every length that matters was measured. Measure again, or name a number that you distrust "
        f"with --also. {UNCHANGED}"
    )


def _out_of_reach(found: Reconciled) -> str:
    missed = _missed(found, before=False)
    nearest = " and ".join(f"the {each.what} to {_amount(each, each.after)}" for each in missed)
    return (
        f"the best change of {', '.join(found.free)} brings {nearest}, off by more than the "
        f"{_open(missed)} that the measurements leave open. A measured number, the alloy or the "
        f"family is likely wrong{_erd_too(missed)}; name a number that you distrust with --also. "
        f"{UNCHANGED}"
    )


def _scaled(found: Reconciled) -> str:
    own = [change for change in found.changes if not change.follows]
    most = max(own, key=lambda change: abs(change.share))
    return (
        f"{len(own)} numbers are scaled, by the least change for which they agree within the "
        f"{_open(found.held)} that the measurements leave open; most of all {most.key}, by "
        f"{100 * most.share:+.1f} %."
    )


_ENDINGS = {
    Ending.AGREES: _agrees,
    Ending.NOTHING_FREE: _nothing_free,
    Ending.OUT_OF_REACH: _out_of_reach,
    Ending.SCALED: _scaled,
}


def _missed(found: Reconciled, *, before: bool) -> list[Held]:
    return [each for each in found.held if not (each.agreed if before else each.agrees)]


def _erd_too(missed: Iterable[Held]) -> str:
    erd = any(each.what == "ERD" for each in missed)
    return ", or the ERD: measure it again, or take it out of the sheet" if erd else ""


def _open(held: Iterable[Held]) -> str:
    return " and ".join(f"±{figures(each.open, 2)} {each.unit}" for each in held)


def _amount(each: Held, value: float) -> str:
    return f"{value:.0f} {each.unit}"


def _read(each: Held) -> str:
    return f"{shown(each.read)} {each.unit}"


def _origin(found: Reconciled, change: Change) -> str:
    if change.follows:
        return "follows"
    return "was assumed" if change.key in found.before.assumed else "was measured"
