"""The metal of a rim: an alloy of the table, or one whose numbers the builder knows better."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import replace
from typing import Any

from rimfea.alloys import Alloy, alloy, listed_alloy, unknown_alloy, unlisted_alloy
from rimfea.errors import Fault
from rimfea.profile.clash import Clash
from rimfea.profile.clashes import clash_faults
from rimfea.profile.proportions import Known

_MPA_PER_GPA = 1000.0
_NEEDED = frozenset({"proof_MPa", "ultimate_MPa"})
_WORDS = {
    "proof_MPa": "proof stress",
    "ultimate_MPa": "ultimate strength",
    "youngs_GPa": "Young's modulus",
    "poisson": "Poisson's ratio",
    "density_kg_m3": "density",
}


def metal(name: str, numbers: Mapping[str, float]) -> Alloy:
    """The alloy of that name, with the numbers of a sheet in place of the table's.

    A name that is not in the table needs ``proof_MPa`` and ``ultimate_MPa``; raises
    :class:`~rimfea.errors.SheetError` without them, and for a laminate. Metal beside a weld is
    never taken to be stronger than the rest.
    """
    own = {key: numbers[key] for key in _WORDS if key in numbers}
    base = _base(name, own)
    changes: dict[str, Any] = dict(own)
    if "youngs_GPa" in own:
        changes["youngs_MPa"] = _MPA_PER_GPA * changes.pop("youngs_GPa")
    if told := [word for key, word in _WORDS.items() if key in own]:
        changes["source"] = f"{', '.join(told)} from the sheet; the rest: {base.source}"
    if own.keys() >= _NEEDED:
        changes["from_memory"] = False
    return _no_stronger_weld(replace(base, **changes))


def metal_faults(name: str | None, known: Known, written: Collection[str]) -> Iterator[Fault]:
    """What is wrong with the alloy of a sheet: a name (None: itself at fault) that is not in the
    table and comes without strengths, or strengths that contradict one another.

    ``known`` are the numbers that are usable, ``written`` all keys that were written.
    """
    listed = listed_alloy(name) if name is not None else None
    if name is not None and listed is None and not set(written) >= _NEEDED:
        yield unknown_alloy(name)
    table = {"proof_MPa": listed.proof_MPa, "ultimate_MPa": listed.ultimate_MPa} if listed else {}
    missing = {key: value for key, value in table.items() if key not in written}
    yield from clash_faults((_ultimate,), known.with_assumed(missing))


def _base(name: str, own: Mapping[str, float]) -> Alloy:
    if own.keys() >= _NEEDED and listed_alloy(name) is None:
        return unlisted_alloy(name, own["proof_MPa"], own["ultimate_MPa"])
    return alloy(name)


def _no_stronger_weld(base: Alloy) -> Alloy:
    if base.weld_proof_MPa is None or base.weld_ultimate_MPa is None:
        return base
    return replace(
        base,
        weld_proof_MPa=min(base.weld_proof_MPa, base.proof_MPa),
        weld_ultimate_MPa=min(base.weld_ultimate_MPa, base.ultimate_MPa),
    )


def _ultimate(known: Known) -> Iterator[Clash]:
    if known["ultimate_MPa"] < known["proof_MPa"]:
        because = "a metal yields before it breaks"
        yield Clash("ultimate_MPa", "proof_MPa", because, "give both, of the same temper")
