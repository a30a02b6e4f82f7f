"""The walls that nobody measured in words: what scales and tones tell of them, and what to measure
next.
"""

from __future__ import annotations

from collections.abc import Iterator

from rimfea.profile.walls import Wall
from rimfea.vary.tap import Hint
from rimfea.vary.unsawn import MASS, TONES, Gain, Unsawn
from rimfea.words.keys import called
from rimfea.words.numbers import figures, length, listed
from rimfea.words.tables import Table

NOTHING, LITTLE = 0.95, 0.9  # of a ± that is left
NOTICED = 0.2  # of a ±, that a wall is moved by
HIDDEN = "the walls that nobody measured"
TITLE = "Walls that nobody measured"


def walls_table(found: Unsawn) -> Table:
    """A row a wall: the guess, what scales and tones make of it, its ± without and with them."""
    rows = tuple(
        (
            called(each.key),
            f"{length(each.sheet)} mm",
            f"{_told(each)} mm",
            f"{open_mm(each.before)} mm",
            f"{open_mm(each.after)} mm",
        )
        for each in found.walls
    )
    return Table(TITLE, ("wall", "in the sheet", f"by {_by(found)}", "± before", "± after"), rows)


def unsawn_lines(found: Unsawn) -> Iterator[str]:
    """What to measure next, and what stays unknown; nothing where all walls were measured."""
    if not found.keys:
        return
    if not found.walls:
        yield _apart(found)
        return
    if found.known.tap is not None and not found.hears:
        yield f"The tones do not agree with the sheet (rimfea tap) and tell nothing of {HIDDEN}."
    yield from next_lines(found)
    yield from _unknown(found)


def going_on(found: Unsawn) -> str:
    """How to work with what was found."""
    if all(abs(each.moved) < NOTICED * each.after for each in found.walls):
        return f"The sheet has these walls as near as {_by(found)} can tell."
    walls = ", ".join(f"{each.key} = {_told(each)}" for each in found.walls)
    return f"To go on with these walls, write {walls} into the sheet and leave them in guessed."


def next_lines(found: Unsawn) -> Iterator[str]:
    """Which reading would help most, and what it would do; scales and tones in any case if there
    are none yet and they would help.
    """
    helping = [gain for gain in found.gains if gain.share <= NOTHING]
    if not helping:
        yield f"No other reading tells much more of {HIDDEN}: that takes a saw."
    for k, gain in enumerate(helping):
        if k == 0 or gain.key in (MASS, TONES):
            yield f"{_do(found, gain, 'as well' if k else 'next')}: {_then(found, gain)}"


def open_mm(value: float) -> str:
    """The ± of a wall, no finer than a caliper reads."""
    return figures(value, 2, finest=2)


def _told(wall: Hint) -> str:
    return f"{wall.sheet + wall.moved:.2f}"


def _by(found: Unsawn) -> str:
    return listed(
        word for word, tells in (("scales", found.weighs), ("tones", found.hears)) if tells
    )


def _apart(found: Unsawn) -> str:
    scales = found.known.weighed
    return (
        f"Of {HIDDEN} ({listed(map(called, found.keys))}) nothing is told: scales and drawing lie "
        f"{abs(scales.apart_g):.0f} g apart, and no guesses within their ± explain more than "
        f"{scales.reach_g:.0f} g. Weigh again; if the mass stays, guess "
        f"{'thinner' if scales.apart_g < 0 else 'thicker'} walls and ask again."
    )


def _gaining(found: Unsawn, gain: Gain) -> int:
    """The wall that a reading helps most, another than that which is read if there is one."""
    left = gain.after / gain.now
    others = [k for k, key in enumerate(found.keys) if key != gain.key and left[k] < NOTHING]
    return min(others or range(len(found.keys)), key=lambda k: float(left[k]))


def _do(found: Unsawn, gain: Gain, when: str) -> str:
    if gain.key == MASS:
        return f"Weigh the bare rim {when}"
    if gain.key == TONES:
        return f"Tap the rim {when} (rimfea tap {found.sheet.name})"
    where = ", through the valve hole" if gain.key == Wall.TYRE_WELL.key_mm else ""
    return f"Measure the {called(gain.key)} {when}{where}"


def _then(found: Unsawn, gain: Gain) -> str:
    place = _gaining(found, gain)
    known = f"known to ±{open_mm(gain.after[place])} mm"
    if found.keys[place] == gain.key:
        return f"then it would be {known}."
    wall = called(found.keys[place])
    return f"then the {wall} would be {known}, not ±{open_mm(gain.now[place])} mm."


def _unknown(found: Unsawn) -> Iterator[str]:
    """What scales and tones cannot tell."""
    by = _by(found)
    both = by.capitalize() if found.weighs and found.hears else f"The {by}"
    pairs = " or ".join(f"the {called(one)} from the {called(other)}" for one, other in found.alike)
    if pairs:
        yield (
            f"{both} hardly tell {pairs}: where one is thicker than in the table, the "
            "other is thinner."
        )
    dark = [called(each.key) for each in found.walls if each.after > LITTLE * each.before]
    if dark:
        yield f"{both} tell next to nothing of the {listed(dark)}."
