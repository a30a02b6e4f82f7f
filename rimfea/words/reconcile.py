"""What was scaled to meet the scales, in words and as a table."""

from __future__ import annotations

from rimfea.ask.reconcile import (
    LARGEST_RATIO,
    LEAST_RATIO,
    NOT_MEASURED,
    Change,
    Ending,
    Reconciled,
)
from rimfea.profile.uncertainty import SCALES_G
from rimfea.profile.values import shown
from rimfea.words.tables import Table

RECONCILE_ASSUMES = (
    f"Scales are taken as good for ±{SCALES_G:g} g. The drawn mass has no valve hole, and no "
    "sleeve, pins or weld of the joint: take those off what the scales say. A number that was "
    "scaled is a guess that fits, not a measurement."
)
UNCHANGED = "The sheet is not changed."


def reconcile_headline(found: Reconciled) -> str:
    """Both masses, and what follows from them, in one sentence."""
    masses = f"drawn mass {found.computed_g:.1f} g, weighed {found.weighed_g:.1f} g"
    return f"{masses}: {_ENDINGS[found.ending](found)}"


def reconcile_table(found: Reconciled) -> Table:
    """Every number that differs, the largest change on top, then both masses."""
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
    share = found.reached_g / found.computed_g - 1
    masses = (f"{found.computed_g:.1f}", f"{found.reached_g:.1f}", f"{100 * share:+.1f} %")
    mass = ("mass, g", *masses, f"weighed {found.weighed_g:.1f}")
    head = ("key", "before", "after", "change", "which")
    return Table("What is changed", head, (*rows, mass), frozenset({len(rows)}))


def sheet_heading(found: Reconciled) -> str:
    """What a file with the scaled sheet says above all."""
    scaled = (
        f"{each.key}: {shown(each.before_mm)} before, {_origin(found, each)}"
        for each in found.changes
        if not each.follows
    )
    return "\n".join([f"{found.before.name}: {NOT_MEASURED}:", *scaled])


def _agrees(found: Reconciled) -> str:
    return (
        f"within the ±{found.open_g:.0f} g that caliper, joint and scales leave open. {UNCHANGED}"
    )


def _nothing_free(found: Reconciled) -> str:
    return (
        f"more than the ±{found.open_g:.0f} g that caliper, joint and scales leave open, but every "
        "length that matters was measured. Measure again, or name a number that you distrust with "
        f"--also. {UNCHANGED}"
    )


def _out_of_reach(found: Reconciled) -> str:
    return (
        f"no scaling of {_names(found)} by {LEAST_RATIO:g} to {LARGEST_RATIO:g} that makes a "
        f"section comes nearer than {found.reached_g:.1f} g. A measured number, the alloy or the "
        f"family is likely wrong; name a number that you distrust with --also. {UNCHANGED}"
    )


def _scaled(found: Reconciled) -> str:
    own = [change for change in found.changes if not change.follows]
    most = max(own, key=lambda change: abs(change.share))
    return (
        f"{len(own)} numbers are scaled, by the least change that meets it; most of all "
        f"{most.key}, by {100 * most.share:+.1f} %."
    )


_ENDINGS = {
    Ending.AGREES: _agrees,
    Ending.NOTHING_FREE: _nothing_free,
    Ending.OUT_OF_REACH: _out_of_reach,
    Ending.SCALED: _scaled,
}


def _names(found: Reconciled) -> str:
    return ", ".join(found.free)


def _origin(found: Reconciled, change: Change) -> str:
    if change.follows:
        return "follows"
    return "was assumed" if change.key in found.before.assumed else "was measured"
