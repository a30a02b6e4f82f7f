"""The rides as plain data, beside the answers of their rims."""

from __future__ import annotations

import math
from dataclasses import asdict

from rimfea.study.ride import Ride
from rimfea.study.window import Bound, Window
from rimfea.words.rides import assumptions, event_words


def ride_data(ride: Ride) -> dict[str, object]:
    """One wheel of a set-up as dicts, lists, texts and finite numbers; infinite ones are None."""
    squeeze = asdict(ride.squeeze)
    squeeze.pop("pressure_MPa")
    return {
        "rim": ride.analysis.sheet.name,
        "wheel": str(ride.end),
        "setup": asdict(ride.setup),
        "case": ride.answer.name,
        "blow": {
            "mass_kg": ride.blow.mass_kg,
            "drop_mm": ride.blow.drop_mm,
            "energy_J": ride.blow.energy_J,
            "hook_N": ride.hook_N,
        },
        "ladder": _ladder(ride),
        "squeeze": squeeze,
        "seat": _finite(asdict(ride.seat)),
        "window": _window(ride.window),
        "assumes": list(assumptions()),
    }


def _ladder(ride: Ride) -> dict[str, object]:
    ladder = ride.ladder
    soft = ladder.cushion
    return {
        "rim_stiffness_N_mm": ladder.stiffness_N_mm,
        "tyre_stiffness_N_mm": soft.stiffness_N_mm,
        "tyre_travel_mm": soft.travel_mm,
        "tyre_pressure_rise": soft.pressure_rise,
        "step_mm": ladder.step_mm,
        "rungs": [
            {
                "event": event_words(rung, ride.setup),
                "hook_N": rung.hook_N,
                "energy_J": rung.energy_J,
                "drop_mm": rung.drop_mm,
                "step_m_s": rung.step_m_s,
                "needed_MPa": pressure,
            }
            for rung, pressure in zip(ladder.rungs, ride.pressure_MPa, strict=True)
        ],
    }


def _window(window: Window) -> dict[str, object]:
    return {
        "lower": [_bound(bound) for bound in window.lower],
        "upper": [_bound(bound) for bound in window.upper],
        "target_N": window.target_N,
        "fits": window.fits,
    }


def _bound(bound: Bound) -> dict[str, object]:
    return dict(_finite(asdict(bound)))


def _finite(values: dict[str, object]) -> dict[str, object]:
    """The same with None for what is not finite."""
    return {
        key: None if isinstance(value, float) and not math.isfinite(value) else _listed(value)
        for key, value in values.items()
    }


def _listed(value: object) -> object:
    return list(value) if isinstance(value, tuple) else value
