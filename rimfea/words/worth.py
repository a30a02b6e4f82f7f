"""What each dimension is worth: slopes as a table, a sentence, and bars."""

from __future__ import annotations

import math
from collections.abc import Iterator

from rimfea.ask.worth import Worth
from rimfea.profile.uncertainty import COVERAGE
from rimfea.study.outcome import BY_KEY, HALF_MM, OUTCOMES
from rimfea.vary.doubt import Origin, Source
from rimfea.words.numbers import FINEST, USUAL, Units, figures, no_finer, plus_minus
from rimfea.words.outcomes import in_words, scale_of, unit_of
from rimfea.words.tables import Table

SHOWN = {each.key: each.short for each in OUTCOMES if each.short}
SHORT = ("mass_g", "yield_N", "set_N", "dent_J", "most_tension_N")  # where a table is short
LEAST_MPA = 0.1
STRENGTHS = {"set_N": "permanent set", "yield_N": "first yield"}
DENT = "dent_J"


def worth_headline(found: Worth, units: Units = USUAL) -> str:
    """Where the next gram is best spent, and where one may be saved."""
    gain, slopes = found.per_gram(), found.slopes
    if not gain:
        return f"{slopes.sheet.name}: none of these dimensions changes the mass."
    best, least = next(iter(gain)), next(reversed(gain))
    squeeze = -slopes.per_gram(least, "squeeze_MPa")
    also = f", {squeeze:+.1f} MPa to the casing squeeze" if abs(squeeze) > LEAST_MPA else ""
    return (
        f"{slopes.sheet.name}: the next gram is best spent at the {named(best)}, "
        f"{_gram_words(found, best, 1, units)}; a gram less costs least at the "
        f"{named(least)}, {_gram_words(found, least, -1, units)}{also}."
    )


def _gram_words(found: Worth, key: str, grams: int, units: Units) -> str:
    """What a gram more or less at a wall does to both strengths."""
    return " and ".join(
        f"{_signed(grams * found.slopes.per_gram(key, outcome), units)} {units.force} to {told}"
        for outcome, told in STRENGTHS.items()
    )


def _signed(gain_N: float, units: Units) -> str:
    gain = gain_N / units.force_N
    return f"{gain:+.{FINEST[units.force]}f}"


def worth_lines(found: Worth, units: Units = USUAL) -> list[str]:
    """Where a gram is best spent against dents, how well both strengths are known, by which
    measurement least, and what was left out.
    """
    known = [_known_words(found, outcome, told, units) for outcome, told in STRENGTHS.items()]
    if found.has(DENT):
        dent = _known_words(found, DENT, f"{HALF_MM:g} mm dent", units)
        known = [*dent_words(found), *known, dent]
    left_out = found.slopes.left_out.items()
    return [*known, *(f"Left out: {named(key)}: {why}" for key, why in left_out)]


def dent_words(found: Worth) -> Iterator[str]:
    """At which wall a gram has the hook take up most before it is dented by half a millimetre, and
    whether that is where it buys strength.
    """
    gain, base = found.per_gram(DENT), found.slopes.value(DENT)
    if not gain or not base:
        return
    best, stronger = next(iter(gain)), next(iter(found.per_gram()))
    where = "there too" if best == stronger else f"at the {named(best)}"
    yield (
        f"Against dents the next gram is best spent {where}: {figures(gain[best], 2)} J more "
        f"({100 * gain[best] / base:+.1f} %) that the hook takes up before it is dented by "
        f"{HALF_MM:g} mm; the tyre's share of a blow stays."
    )


def _known_words(found: Worth, outcome: str, told: str, units: Units) -> str:
    scale = scale_of(outcome, units)
    value, doubt = scale * found.slopes.value(outcome), scale * found.slopes.expanded(outcome)
    known = f"{no_finer(value, doubt)} ± {figures(doubt, 2)} {unit_of(outcome, units)}"
    return (
        f"{told.capitalize()}: {known} (k = 2, from the "
        f"measurements alone); most of that comes from {source_words(found.slopes.worst(outcome))}."
    )


def grams_table(found: Worth, units: Units = USUAL) -> Table:
    """The walls that weigh something, the one at which a gram buys most on top."""
    gain = found.per_gram()
    shown = {key: _headed(key, units) for key in SHORT if found.has(key)}
    bought = [key for key in (*STRENGTHS, DENT) if key in shown]
    rows = tuple(
        (
            named(key),
            *(_tenth(found, key, outcome, units) for outcome in shown),
            *(_by_gram(found, key, outcome, units) for outcome in bought),
        )
        for key in gain
    )
    head = ("wall", *shown.values(), *(f"{shown[outcome]}/g" for outcome in bought))
    return Table("What 0.1 mm more buys and weighs, and what a gram buys", head, rows)


def worth_table(found: Worth, units: Units = USUAL) -> Table:
    """A row a dimension: what 0.1 mm more does to the main outcomes, and a gram to strength."""
    gain = found.per_gram()
    shown = {key: _headed(key, units) for key in SHOWN if found.has(key)}
    spent = [key for key in (*STRENGTHS, DENT) if key in shown]
    rows = tuple(
        (
            named(key),
            f"±{figures(COVERAGE * doubt, 2)} mm",
            *(_tenth(found, key, outcome, units) for outcome in shown),
            *(_by_gram(found, key, outcome, units) if key in gain else "-" for outcome in spent),
        )
        for key, doubt in zip(found.slopes.keys, found.slopes.lengths.standard, strict=True)
    )
    title = "What 0.1 mm more does (yield and set: strike on one hook; tension: the highest)"
    per_gram = (f"{shown[outcome]}/g" for outcome in spent)
    return Table(title, ("dimension", "k = 2", *shown.values(), *per_gram), rows)


def doubts_table(found: Worth, units: Units = USUAL) -> Table:
    """Every outcome that is known with its expanded uncertainty, by slopes and by trials, and what
    leaves most of it.
    """
    rows, slopes, trials = [], found.slopes, found.trials
    for place, outcome in enumerate(OUTCOMES):
        if math.isnan(slopes.base[place]):
            continue
        scale = scale_of(outcome.key, units)
        row = [
            outcome.title,
            in_words(outcome.key, float(slopes.base[place]), units),
            plus_minus(scale * slopes.expanded(outcome.key), rough=outcome.rough) or "-",
            _mostly_from(found, outcome.key),
        ]
        if trials:
            doubt = scale * COVERAGE * float(trials.standard[place])
            row.append(plus_minus(doubt, rough=outcome.rough) or "-")
        rows.append(tuple(row))
    head = ["", "is", "k = 2", "most of it from"] + (["k = 2, by trial"] if trials else [])
    return Table("How well the measurements pin it down", tuple(head), tuple(rows))


def source_words(source: Source) -> str:
    """What is in error, with its article."""
    match source.origin:
        case Origin.METAL:
            return "the proof stress of the metal"
        case Origin.SCALES:
            return "the scales"
        case Origin.TONES:
            return "the tones"
        case Origin.DRAWING:
            return source.what
        case Origin.INSTRUMENT:
            return f"the {source.what.partition(' ±')[0]}"
        case _:
            return f"the {named(source.what)}"


def named(key: str) -> str:
    """A dimension in words."""
    return key.removesuffix("_mm").replace("_", " ")


def _mostly_from(found: Worth, outcome: str) -> str:
    if math.isnan(found.slopes.expanded(outcome)):
        return "-"
    return source_words(found.slopes.worst(outcome)).removeprefix("the ")


def _headed(key: str, units: Units) -> str:
    """The head of an outcome's column."""
    return SHOWN[key].replace(BY_KEY[key].unit, unit_of(key, units))


def _by_gram(found: Worth, key: str, outcome: str, units: Units) -> str:
    gain = scale_of(outcome, units) * found.slopes.per_gram(key, outcome)
    return f"{gain:+.1f}" if outcome in STRENGTHS and units.force == "N" else f"{gain:+.2f}"


def _tenth(found: Worth, key: str, outcome: str, units: Units) -> str:
    scale = scale_of(outcome, units)
    change = scale * found.per_tenth(key, outcome)
    small = abs(change) < 5e-4 * abs(scale * found.slopes.value(outcome))
    return "0" if small else f"{'+' if change > 0 else ''}{figures(change, 2)}"
