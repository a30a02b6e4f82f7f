"""The standard set of cases: what every rim is asked."""

from __future__ import annotations

from dataclasses import dataclass

from rimfea.elastic.loads import Case, SpokeTension, Strike
from rimfea.profile.sheet import Sheet

ONE_HOOK = "strike on one hook"
BOTH_HOOKS = "strike on both hooks"
TENSION = "spoke tension"


@dataclass(frozen=True)
class Loading:
    """How hard the standard cases press: a strike of ``strike_N`` over ``patch_mm`` of rim,
    leaning by ``angle`` radians from straight inward, and ``tension_N`` in every spoke.

    The defaults are round numbers for comparing rims, not limits of anything.
    """

    strike_N: float = 2000.0
    patch_mm: float = 20.0
    angle: float = 0.0
    tension_N: float = 1000.0


USUAL = Loading()


def standard_cases(sheet: Sheet, loading: Loading) -> tuple[Case, ...]:
    """A strike shared by both hooks, the same strike on one, and spoke tension, each alone.

    The first is the one a verdict rests on: a strike on one hook racks the whole section, which
    a slice, without the rim beside it, has to bear alone and so exaggerates.
    Raises :class:`~rimfea.errors.LoadError` for a loading that cannot be.
    """
    one = Strike(loading.strike_N, loading.patch_mm, right_share=1.0, angle=loading.angle)
    both = Strike(loading.strike_N, loading.patch_mm, right_share=0.5, angle=loading.angle)
    tension = SpokeTension(
        loading.tension_N, sheet.spoke_count, sheet.spoke_hole_mm, sheet.bearing_diameter_mm
    )
    return Case(BOTH_HOOKS, (both,)), Case(ONE_HOOK, (one,)), Case(TENSION, (tension,))
