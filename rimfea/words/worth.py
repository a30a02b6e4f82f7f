"""What each dimension is worth: slopes as a table, a sentence, and bars."""

from __future__ import annotations

import math

from rimfea.profile.uncertainty import COVERAGE
from rimfea.profile.walls import Wall
from rimfea.study.outcome import BY_KEY, OUTCOMES
from rimfea.vary.sensitivity import Sensitivity
from rimfea.vary.trials import MonteCarlo
from rimfea.words.numbers import figures
from rimfea.words.tables import Table

TENTH = 0.1
SHOWN = {
    "mass_g": "mass g",
    "yield_N": "yield N",
    "dent_N": "dent N",
    "squeeze_MPa": "squeeze MPa",
    "seat_fatigue": "fatigue",
    "most_tension_N": "tension N",
}
LEAST_MPA = 0.1
LEAST_GRAM = 0.05  # a tenth of a millimetre that weighs less is no place to put metal


def worth_headline(found: Sensitivity) -> str:
    """Where the next gram is best spent, and where one may be saved."""
    gain = gain_per_gram(found, "yield_N")
    walls = [key for key in found.keys if not math.isnan(gain[key])]
    if not walls:
        return f"{found.sheet.name}: none of these dimensions changes the mass."
    best, least = max(walls, key=lambda key: gain[key]), min(walls, key=lambda key: gain[key])
    squeeze = -found.per_gram(least, "squeeze_MPa")
    also = f", {squeeze:+.1f} MPa to the casing squeeze" if abs(squeeze) > LEAST_MPA else ""
    return (
        f"{found.sheet.name}: the next gram is best spent at the {named(best)}, "
        f"{gain[best]:+.0f} N to first yield; one less at the {named(least)} costs least: "
        f"{-gain[least]:+.1f} N{also}."
    )


def doubt_words(found: Sensitivity) -> str:
    """How well first yield is known, and by which measurement least."""
    outcome = BY_KEY["yield_N"]
    value, doubt = found.value(outcome.key), found.expanded(outcome.key)
    return (
        f"First yield is {figures(value)} ± {figures(doubt, 2)} N (k = 2, from the measurements "
        f"alone); most of that comes from the {named(found.worst(outcome.key))}."
    )


def worth_table(found: Sensitivity) -> Table:
    """A row a dimension: what 0.1 mm more does to the main outcomes, and a gram to strength."""
    gain = gain_per_gram(found, "yield_N")
    rows = tuple(
        (
            named(key),
            f"±{figures(COVERAGE * doubt, 2)} mm",
            *(_tenth(found, key, outcome) for outcome in SHOWN),
            "-" if math.isnan(gain[key]) else f"{gain[key]:+.1f}",
        )
        for key, doubt in zip(found.keys, found.standard_mm, strict=True)
    )
    title = "What 0.1 mm more does (yield and dent: strike on one hook; tension: the highest)"
    return Table(title, ("dimension", "k = 2", *SHOWN.values(), "yield N/g"), rows)


def doubts_table(found: Sensitivity, trials: MonteCarlo | None = None) -> Table:
    """Every outcome with its expanded uncertainty, by slopes and by trials, and what leaves most
    of it.
    """
    rows = []
    for place, outcome in enumerate(OUTCOMES):
        row = [
            outcome.title,
            f"{figures(float(found.base[place]))} {outcome.unit}".rstrip(),
            f"±{figures(found.expanded(outcome.key), 2)}",
            named(found.worst(outcome.key)),
        ]
        if trials:
            row.append(f"±{figures(COVERAGE * float(trials.standard[place]), 2)}")
        rows.append(tuple(row))
    head = ["", "is", "k = 2", "most of it from"] + (["k = 2, by trial"] if trials else [])
    return Table("How well the measurements pin it down", tuple(head), tuple(rows))


def named(key: str) -> str:
    """A dimension in words."""
    return key.removesuffix("_mm").replace("_", " ")


def gain_per_gram(found: Sensitivity, outcome: str) -> dict[str, float]:
    """What a gram more at each wall adds to an outcome; NaN where no metal is put."""
    return {
        key: found.per_gram(key, outcome)
        if abs(TENTH * found.per_mm(key, "mass_g")) > LEAST_GRAM and named(key) in tuple(Wall)
        else float("nan")
        for key in found.keys
    }


def _tenth(found: Sensitivity, key: str, outcome: str) -> str:
    change = TENTH * found.per_mm(key, outcome)
    small = abs(change) < 5e-4 * abs(found.value(outcome))
    return "0" if small else f"{'+' if change > 0 else ''}{figures(change, 2)}"
