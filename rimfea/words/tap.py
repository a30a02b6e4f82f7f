"""The tones of a bare rim in words: how to hear them, whether its sheet agrees, and where to look
where it does not.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rimfea.elastic.modes import Kind
from rimfea.profile.moved import unmeasured_walls
from rimfea.vary.tap import ROUND_SHARE, YOUNGS_SHARE, Hint, Tap, Tone
from rimfea.vary.unsawn import unsawn
from rimfea.words.keys import called
from rimfea.words.numbers import figures, length, listed, no_finer
from rimfea.words.tables import Table
from rimfea.words.unsawn import HIDDEN, next_lines

BARE = (
    "Bare means without tyre, tape, spokes and valve. Tap with a knuckle or a wooden handle. An "
    "app that shows tones on a phone tells the peaks; take those that come again at every tap."
)
TAP_ASSUMES = (
    f"The ± covers caliper and scales, what no drawing shows, ±{100 * YOUNGS_SHARE:g} % of the "
    f"metal's stiffness (Young's modulus) and ±{100 * ROUND_SHARE:g} % for a rim that is not the "
    "same all around; the last two are common practice. Spoke holes and joint are in the tones, "
    "the valve hole is not."
)
FROM = {Kind.SIDEWAYS: "from the side", Kind.IN_PLANE: "towards the axle"}
LOOK = {
    Kind.SIDEWAYS: "flank and tyre well, and for a crack along the rim or an open weld",
    Kind.IN_PLANE: "depth, hook and spoke bed, and for a cracked spoke hole or an open weld",
}
ALLOYS = 0.04  # by which share the stiffness of aluminium alloys differs at most
ALLOYS_ALIKE = "Aluminium alloys differ by 4 % at most"
SEEN = 0.999  # of its ± is left of a number of which tones tell anything
ALIKE, SCATTER = 0.015, 0.03  # shares that differ by no more are one; by more, are many
FAR, CLOSER, FIRST = 0.5, 0.9, 3  # a number worth a look; a ± worth telling; how many
OTHERS = "the mains hum at 50 or 60 Hz and multiples of it, and loose parts rattle"
MOST_PAIRS = 4  # in the headline
TOLD = 3  # of what a recording has besides


def tap_headline(found: Tap) -> str:
    """How to hear the tones, or whether the sheet agrees with those that were heard."""
    name = found.sheet.name
    if not found.heard:
        lowest = sorted(_lowest(found), key=lambda tone: tone.hertz)
        places = listed(dict.fromkeys(f"{apart_cm(found, tone)} cm" for tone in lowest))
        ring = listed(f"{tone_words(tone)} when tapped {FROM[tone.kind]}" for tone in lowest)
        return (
            f"Hang {name} bare on a string through the valve hole and tap it {places} away from "
            f"the string: it should ring at {ring}."
        )
    if not found.pairs:
        heard = listed(hertz(each.hertz) for each in found.heard)
        near = listed(tone_words(each) for each in found.tones[:4])
        return f"{name}: The sheet has no tone near {heard} Hz. Its lowest are {near}."
    verb = "agrees" if found.agrees else "does not agree"
    both = [f"{hertz(heard.hertz)} Hz for {tone_words(tone)}" for heard, tone in found.pairs]
    if len(both) > MOST_PAIRS:
        both[MOST_PAIRS - 1 :] = [f"{len(both) - MOST_PAIRS + 1} more"]
    return f"{name}: The sheet {verb} with what you heard: {listed(both)}."


def tap_check(found: Tap) -> str:
    """The check of a rim's numbers that a reader can do."""
    if found.heard:
        return tap_headline(found)
    return f"A check that you can do. {tap_headline(found)} Then ask: rimfea tap."


def tap_lines(found: Tap) -> Iterator[str]:
    """What comes next: what to do, what a tone that is off means, and what is not sure."""
    if not found.heard:
        yield BARE
        tones = " ".join(hertz(tone.hertz, tone.expanded) for tone in found.tones[:2])
        yield f"Then type what you read: rimfea tap {found.sheet.name} {tones}"
        yield (
            f"Or record a few taps, two seconds apart, as WAV: rimfea tap {found.sheet.name} "
            "taps.wav"
        )
        return
    yield from _meaning(found)
    yield from _recorded(found)
    yield from _unsure(found)
    yield from _twins(found)


def tones_table(found: Tap) -> Table:
    """A row a tone: where it lies, how the rim moves, where to tap, and what was heard of it."""
    head = ("tone", "rings at", "±", "the rim moves", "waves", "tap it", "from the string")
    heard = [_heard_of(found, tone) for tone in found.tones]
    own = [
        (
            str(k),
            f"{hertz(tone.hertz, tone.expanded)} Hz",
            f"{open_words(tone)} Hz",
            str(tone.kind),
            str(tone.waves),
            FROM[tone.kind],
            f"{apart_cm(found, tone)} cm",
        )
        for k, tone in enumerate(found.tones, 1)
    ]
    if not found.heard:
        return Table("The tones of the bare rim", head, tuple(own))
    rows = tuple((*row, *cells) for row, cells in zip(own, heard, strict=True))
    marked = frozenset(k for k, cells in enumerate(heard) if any(cells))
    return Table("The tones of the bare rim", (*head, "heard", "off"), rows, marked)


def hints_table(found: Tap) -> Table:
    """What the tones tell of the numbers of the sheet, the one they move farthest on top."""
    rows = tuple(
        (
            hint.key,
            _as_written(found, hint),
            no_finer(hint.sheet + hint.moved, hint.after),
            figures(hint.before, 2),
            figures(hint.after, 2),
        )
        for hint in found.hints
        if hint.after < SEEN * hint.before
    )
    head = ("key", "in the sheet", "by the tones", "± before", "± after")
    return Table("What the tones tell of the sheet's numbers", head, rows)


def tone_words(tone: Tone) -> str:
    """A tone with its ±, no finer than that."""
    return f"{hertz(tone.hertz, tone.expanded)} ± {open_words(tone)} Hz"


def open_words(tone: Tone) -> str:
    """The ± of a tone, Hz."""
    return figures(tone.expanded, 1 if tone.expanded < 10 else 2)


def hertz(value: float, doubt: float = 0.0) -> str:
    """A tone as it was read, or no finer than its ±."""
    return no_finer(value, doubt) if doubt else f"{value:.6g}"


def apart_cm(found: Tap, tone: Tone) -> str:
    """How far from the string to tap, along the rim, so that the string holds what stays still."""
    return f"{found.sheet.seat_radius_mm * tone.aside / 10:.0f}"


def _lowest(found: Tap) -> list[Tone]:
    return [next(tone for tone in found.tones if tone.kind is kind) for kind in Kind]


def _heard_of(found: Tap, tone: Tone) -> tuple[str, str]:
    own = [heard.hertz for heard, each in found.pairs if each is tone]
    if not own:
        return "", ""
    off = 100 * (sum(own) / len(own) / tone.hertz - 1)
    return f"{' and '.join(map(hertz, own))} Hz", f"{off:+.1f} %"


def _meaning(found: Tap) -> Iterator[str]:
    if not found.pairs:
        yield (
            "Check that the rim is bare and hangs free, that its name is right, and tap it again; "
            "give tones lower than 2000 Hz."
        )
    elif found.agrees:
        hidden = unmeasured_walls(found.sheet)
        yield from _learnt([each for each in found.hints if each.key in hidden] or found.hints)
        if not found.sheet.tones_Hz:
            tones = ", ".join(hertz(heard.hertz) for heard, _ in found.pairs)
            yield f"Write tones_Hz = [{tones}] into the sheet: then every question uses them."
        yield from _hidden(found)
    else:
        yield _family(found)
        if not _scattered(found):
            yield from _first(found)


def _learnt(hints: Sequence[Hint]) -> Iterator[str]:
    """What agreeing tones are worth."""
    best = min(hints, key=lambda hint: hint.after / hint.before)
    if best.after < CLOSER * best.before:
        yield (
            f"With these tones the {called(best.key)} is known to ±{figures(best.after, 2)} mm, "
            f"without them to ±{figures(best.before, 2)} mm."
        )


def _hidden(found: Tap) -> Iterator[str]:
    """What to ask next where walls are hidden."""
    if not unmeasured_walls(found.sheet):
        return
    if found.sheet.weighed_mass_g is None:
        heard = [heard.hertz for heard, _ in found.pairs]
        yield from next_lines(unsawn(found.sheet.varied(tones_Hz=heard)))
        yield f"With the weighed mass in the sheet, rimfea reconcile tells more of {HIDDEN}."
    else:
        yield f"Next, rimfea reconcile tells what scales and tones say of {HIDDEN}."


def _first(found: Tap) -> Iterator[str]:
    """Where to look where they do not."""
    wrong = [
        f"the {called(hint.key)} ({'less' if hint.moved < 0 else 'more'} than "
        f"{_as_written(found, hint)})"
        for hint in found.hints[:FIRST]
        if abs(hint.far) > FAR
    ]
    if wrong:
        yield f"Of the sheet's numbers, measure again first: {listed(wrong)}."


def _as_written(found: Tap, hint: Hint) -> str:
    """A guess as it was guessed; what was read no finer than it is known."""
    return length(hint.sheet, 0.0 if hint.key in found.sheet.guessed else hint.before)


def _family(found: Tap) -> str:
    """What it means that all tones are off alike, or one family only."""
    shares = {kind: found.share(kind) for kind in Kind if found.shares(kind)}
    if _scattered(found):
        return (
            "The tones are off by different shares, as no single number of the sheet would have "
            "it. Tap again and take the tones that come at every tap; if they stay, look for a "
            "crack."
        )
    worst = max(shares, key=lambda kind: abs(shares[kind]))
    other = next(kind for kind in Kind if kind is not worst)
    if other not in shares:
        return (
            f"{_off(shares[worst], f'The tones {FROM[worst]} are')}. Tap {FROM[other]} as well: "
            "whether those tones are off too tells where to look."
        )
    if abs(shares[worst] - shares[other]) <= ALIKE:
        return _all_off(found, sum(shares.values()) / len(shares))
    if abs(shares[other]) <= ALIKE:
        told = _off(shares[worst], f"Only the tones {FROM[worst]} are")
        return f"{told}. Look at {LOOK[worst]}."
    both = (_off(shares[kind], f"the tones {FROM[kind]} are") for kind in (worst, other))
    told = " and ".join(both)
    return f"{told[0].upper()}{told[1:]}. Look at {LOOK[worst]}."


def _scattered(found: Tap) -> bool:
    """Whether tones of one family are off by different shares."""
    return any(max(own) - min(own) > SCATTER for kind in Kind if (own := found.shares(kind)))


def _all_off(found: Tap, share: float) -> str:
    """Stiffness by mass goes with the square of a tone."""
    stiff = abs((1 + share) ** 2 - 1)
    told = f"{_off(share, 'All tones are')}: for its mass the rim is {100 * stiff:.0f} % "
    told += "stiffer than its sheet says. " if share > 0 else "softer than its sheet says. "
    if stiff <= ALLOYS:
        told += f"The metal may be {'stiffer' if share > 0 else 'softer'}. "
    elif share > 0:
        told += f"{ALLOYS_ALIKE}: the rim is deeper or wider than in the sheet. "
    else:
        told += f"{ALLOYS_ALIKE}: the rim is less deep or less wide, or something is left on it. "
    scales = found.weighed
    if scales.weighed_g is None:
        return f"{told}Weigh the bare rim: the scales tell which."
    if scales.agrees:
        return f"{told}The scales agree with the drawing, so that the mass is not the reason."
    return f"{told}The scales do not agree with the drawing either: rimfea reconcile tells more."


def _recorded(found: Tap) -> Iterator[str]:
    """What was found in the recording, and what of it was left out."""
    if (heard := found.recorded) is None:
        return
    count, others = (
        len(heard.taps),
        [f"{each.hertz:.0f} Hz {each.reason}" for each in heard.left_out],
    )
    told = f"Tones are those of {count} tap{'s' if count > 1 else ''} in the recording."
    more = "" if len(others) <= TOLD else f"; and {len(others) - TOLD} more"
    yield f"{told} Left out: {'; '.join(others[:TOLD])}{more}." if others else told


def _unsure(found: Tap) -> Iterator[str]:
    strays = [hertz(heard.hertz) for heard in found.heard if heard.place is None]
    if strays and found.pairs:
        are = "is" if len(strays) == 1 else "are"
        yield f"{listed(strays)} Hz {are} none of the tones expected: {OTHERS}."
    for heard in found.heard:
        other = [found.tones[place] for place in heard.others if place is not None]
        if other:
            told = listed(f"the tone of {tone_words(tone)} {FROM[tone.kind]}" for tone in other)
            yield (
                f"{hertz(heard.hertz)} Hz may also be {told}: tap {FROM[Kind.SIDEWAYS]} alone, "
                f"then {FROM[Kind.IN_PLANE]} alone, and listen which is louder."
            )


def _twins(found: Tap) -> Iterator[str]:
    heard = [
        [hertz(heard.hertz) for heard, each in found.pairs if each is tone] for tone in found.tones
    ]
    twice = [f"{' beside '.join(own)} Hz" for own in heard if len(own) > 1]
    if twice:
        are = "is one tone twice" if len(twice) == 1 else "are one tone twice each"
        yield (
            f"{listed(twice)} {are}: the rim is not the same all around. A weld, a sleeve and the "
            "valve hole do that; so does a crack."
        )


def _off(share: float, what: str) -> str:
    return f"{what} {abs(100 * share):.0f} % {'low' if share < 0 else 'high'}"
