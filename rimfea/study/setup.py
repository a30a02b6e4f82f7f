"""A set-up: rider, bicycle, tyres, hubs and ground, from which each wheel's loading follows."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from enum import StrEnum
from types import MappingProxyType
from typing import Any, Self

from rimfea.brief import brief
from rimfea.elastic.spokes import Lacing
from rimfea.errors import Fault, SheetError
from rimfea.profile.field import Field, Kind
from rimfea.profile.sheet import Sheet
from rimfea.profile.values import checked, nearest
from rimfea.strike.blow import Blow
from rimfea.strike.rolling import Step
from rimfea.strike.tyre import (
    OBSTACLES,
    Obstacle,
    Tyre,
    flat_ground,
    stiffness_per_MPa,
    wheel_radius,
)
from rimfea.study.cases import USUAL, Loading, usual_lacing
from rimfea.units import STANDARD_GRAVITY, from_unit


class End(StrEnum):
    """Which wheel of a bicycle."""

    FRONT = "front"
    REAR = "rear"


def _number(
    key: str, unit: str, low: float, high: float, meaning: str, default: float | None = None
) -> Field:
    return Field(key, unit, low, high, meaning, default)


FIELDS: tuple[Field, ...] = (
    Field("name", "", 0, 0, "what you call this set-up", required=True, kind=Kind.TEXT),
    Field("note", "", 0, 0, "anything worth remembering", "", kind=Kind.TEXT),
    _number("rider_kg", "kg", 20, 250, "the rider, dressed", 80.0),
    _number("bike_kg", "kg", 3, 150, "the bicycle", 12.0),
    _number("luggage_kg", "kg", 0, 300, "bags, bottles, freight", 0.0),
    _number("front_share", "", 0.05, 0.95, "the front wheel's share of all that", 0.45),
    _number(
        "rigid_share",
        "",
        0,
        1,
        "how much of the rider meets a blow rigidly; legs and arms take the rest. Assumed: 1 is "
        "a sack of sand",
        0.3,
    ),
    _number("tyre_width_mm", "mm", 15, 130, "width of the tyre; else one that suits the rim"),
    _number("tyre_height_mm", "mm", 10, 130, "its height above the bead seat; else as its width"),
    _number("casing_mm", "mm", 0.3, 8, "thickness of its casing with rubber", 1.5),
    _number("front_pressure_bar", "bar", 0.3, 12, "air in the front tyre", 2.5),
    _number("rear_pressure_bar", "bar", 0.3, 12, "air in the rear tyre", 2.5),
    _number("front_tension_N", "N", 100, 2500, "front spokes' tension; else the sheet's"),
    _number("rear_tension_N", "N", 100, 2500, "tension of the tighter rear side; else the sheet's"),
    Field("obstacle", "", 0, 0, "what is struck: " + ", ".join(OBSTACLES), "rock", kind=Kind.TEXT),
    _number("radius_mm", "mm", 1, 2000, "how round the rock or the kerb's edge is", 60.0),
    _number("drop_mm", "mm", 0, 5000, "height from which the wheel drops", 0.0),
    _number("step_mm", "mm", 1, 100, "height of the step that the wheel rolls against", 30.0),
    _number("speed_km_h", "km/h", 0, 120, "speed against that step", 12.0),
    _number("squeeze_limit_MPa", "MPa", 1, 1000, "pressure that the casing bears uncut", 60.0),
    _number("jolt_factor", "", 1, 10, "no spoke goes slack at so many times the still load", 2.0),
    _number(
        "seat_margin",
        "",
        1,
        10,
        "margin of the nipple seat before its whole thickness yields",
        1.15,
    ),
    _number("front_right_mm", "mm", 5, 120, "front hub: right flange from the rim's middle", 35.0),
    _number("front_left_mm", "mm", 5, 120, "front hub: left flange from the rim's middle", 35.0),
    _number(
        "rear_right_mm",
        "mm",
        5,
        120,
        "rear hub: right flange from the rim's middle; the sprockets take the room",
        20.0,
    ),
    _number("rear_left_mm", "mm", 5, 120, "rear hub: left flange from the rim's middle", 35.0),
)
"""Every key of a set-up, in order; all but the name may be left out."""

BY_KEY: Mapping[str, Field] = MappingProxyType({field.key: field for field in FIELDS})
"""The same table by key."""


@dataclass(frozen=True, kw_only=True)
class Setup:
    """Who rides what over what. Masses in kg, pressures in bar, lengths in mm: the builder's own
    units, as in the file. Make one with :meth:`from_values`.
    """

    name: str
    note: str
    rider_kg: float
    bike_kg: float
    luggage_kg: float
    front_share: float
    rigid_share: float
    tyre_width_mm: float | None
    tyre_height_mm: float | None
    casing_mm: float
    front_pressure_bar: float
    rear_pressure_bar: float
    front_tension_N: float | None
    rear_tension_N: float | None
    obstacle: str
    radius_mm: float
    drop_mm: float
    step_mm: float
    speed_km_h: float
    squeeze_limit_MPa: float
    jolt_factor: float
    seat_margin: float
    front_right_mm: float
    front_left_mm: float
    rear_right_mm: float
    rear_left_mm: float

    __repr__ = brief

    @classmethod
    def from_values(cls, values: Mapping[str, object]) -> Self:
        """A set-up from numbers and texts by key; what is left out takes its default.

        Raises :class:`~rimfea.errors.SheetError` with all faults.
        """
        faults = [
            Fault(key, "no such key in a set-up", remedy=nearest(key, BY_KEY))
            for key in values
            if key not in BY_KEY
        ]
        held: dict[str, Any] = {}
        for field in FIELDS:
            raw = values.get(field.key)
            if raw is None:
                held[field.key] = field.default
                if field.required:
                    faults.append(Fault(field.key, f"is missing: {field.meaning}"))
                continue
            result = checked(field, raw)
            held[field.key] = result.value
            faults += result.faults
        told = held["obstacle"]
        if isinstance(told, str) and told.lower() not in OBSTACLES:
            allowed = ", ".join(OBSTACLES)
            faults.append(
                Fault(
                    "obstacle",
                    "no such obstacle",
                    repr(told),
                    "",
                    allowed,
                    nearest(told, OBSTACLES),
                )
            )
        if faults:
            raise SheetError(faults, str(values.get("name") or "set-up"))
        return cls(**{**held, "obstacle": str(told).lower()})

    def varied(self, **changes: object) -> Self:
        """A checked copy with other values for some keys."""
        own = {each.name: getattr(self, each.name) for each in fields(self)}
        return type(self).from_values({**own, **changes})

    def of(self, end: End, what: str) -> Any:  # noqa: ANN401 -- a number, or None where not given
        """One of the keys that each wheel has for itself, such as ``pressure_bar``."""
        return getattr(self, f"{end}_{what}")

    def share(self, end: End) -> float:
        """A wheel's share of the weight."""
        return self.front_share if end is End.FRONT else 1 - self.front_share

    def wheel_N(self, end: End) -> float:
        """Weight on a wheel that stands still, N."""
        return self.share(end) * (self.rider_kg + self.bike_kg + self.luggage_kg) * STANDARD_GRAVITY

    def rigid_kg(self, end: End) -> float:
        """The mass behind a blow on one wheel."""
        rigid = self.rigid_share * self.rider_kg + self.bike_kg + self.luggage_kg
        return self.share(end) * rigid


def loading(setup: Setup, end: End, like: Loading = USUAL) -> Loading:
    """The loading of one wheel; force, patch and angle of the strike as in ``like``."""
    return replace(
        like,
        right_share=obstacle(setup).right_share,
        tension_N=setup.of(end, "tension_N"),
        pressure_MPa=from_unit(setup.of(end, "pressure_bar"), "bar"),
        tyre_width_mm=setup.tyre_width_mm,
        wheel_N=setup.wheel_N(end),
        obstacle=obstacle(setup),
        tyre_height_mm=setup.tyre_height_mm,
        casing_mm=setup.casing_mm,
    )


def lacing(setup: Setup, end: End, sheet: Sheet) -> Lacing:
    """The wheel as usually laced for this rim, on the set-up's hub."""
    usual = usual_lacing(sheet, loading(setup, end))
    return replace(usual, right_mm=setup.of(end, "right_mm"), left_mm=setup.of(end, "left_mm"))


def obstacle(setup: Setup) -> Obstacle:
    """What the set-up's wheels strike."""
    return OBSTACLES[setup.obstacle](setup.radius_mm)


def blow(setup: Setup, end: End, on: Tyre, seat_radius_mm: float) -> Blow:
    """The set-up's blow on one wheel: its drop, and its speed against the step if there is one."""
    return Blow(
        mass_kg=setup.rigid_kg(end),
        weight_N=setup.wheel_N(end),
        drop_mm=setup.drop_mm,
        speed_m_s=setup.speed_km_h / 3.6,
        step=_step(setup, on, seat_radius_mm),
    )


def _step(setup: Setup, on: Tyre, seat_radius_mm: float) -> Step | None:
    met = obstacle(setup)
    if met.is_level:
        return None
    return Step(
        height_mm=setup.step_mm,
        edge_mm=met.along_mm,
        wheel_radius_mm=wheel_radius(on, seat_radius_mm),
        ground_per_MPa=stiffness_per_MPa(on, flat_ground(), seat_radius_mm),
    )
