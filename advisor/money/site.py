"""What is known about the place of a new heater, and the answer to one need."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Literal, TypedDict

from advisor.findings import Finding, Words
from advisor.money.amount import require

Verdict = Literal["ok", "unmet", "unknown"]

_NEED = "fit.need."


class Basis(TypedDict):
    """Status and source of the limit that a verdict rests on."""

    status: str
    source: str


@dataclass(frozen=True, slots=True)
class Fit:
    """One need of a replacement, held against the place.

    Parameters
    ----------
    need : Finding
        What the class needs: ``fit.need.<id>``.
    verdict : {"ok", "unmet", "unknown"}
        ``unknown`` when nobody looked.
    words : Finding
        What was found, with the numbers.
    measure_id : str or None
        Priced part to put on the bill: it meets an unmet need, is assumed for an unknown one, or is part of doing it
        (a condensate line) where the verdict is ok.
    quantity : float
        How many units of that part.
    blocking : bool
        True only when the place is known not to fit and no part can mend it.
    assumed : bool
        True when the part is there only because nobody looked.
    perhaps : bool
        True when something is there and may serve: the part is priced from nothing up to its whole cost.
    status, source : str
        Status and source of the limit used.
    """

    need: Finding
    verdict: Verdict
    words: Words
    measure_id: str | None = None
    quantity: float = 0.0
    blocking: bool = False
    assumed: bool = False
    perhaps: bool = False
    status: str = "common practice"
    source: str = "trade-practice"

    @property
    def id(self) -> str:
        """Return which need it is."""
        return self.need.id.removeprefix(_NEED)


@dataclass(frozen=True, slots=True)
class Unit:
    """The heater proposed; None takes the catalog's typical unit of the class.

    `first_hour_gal` and `flow_gpm` are label values and go before anything estimated; `vent_limit_ft` is the maximum
    equivalent vent length from its manual at `vent_diameter_in`.
    """

    tank_gal: float | None = None
    input_btu_h: float | None = None
    first_hour_gal: float | None = None
    flow_gpm: float | None = None
    uef: float | None = None
    rated_volume_gal: float | None = None
    vent_diameter_in: float | None = None
    vent_limit_ft: float | None = None
    dry_weight_lb: float | None = None
    diameter_in: float | None = None
    height_in: float | None = None
    shape: Literal["tall", "short", "lowboy"] | None = None


@dataclass(frozen=True, slots=True)
class SiteFacts:
    """What somebody found at the house; None means nobody looked.

    Parameters
    ----------
    peak_uses : mapping of str to float, optional
        Uses in the busiest hour, names of the chosen worksheet; `peak_hour_gal` and `peak_flow_gpm` are typed totals.
    showers_at_once : float, optional
        For the flow of a tankless heater where `peak_flow_gpm` is not known.
    vent_straight_ft, vent_elbows_90, vent_elbows_45 : float, optional
        Route of a plastic vent to its terminal.
    terminal_place : bool, optional
        A place on a wall or roof that keeps the terminal clearances exists.
    outside_wall_ft : float, optional
        Distance from the heater to an outside wall.
    receptacle_ft : float, optional
        Measured distance to a 120 V receptacle; `receptacle_dedicated`: its circuit feeds nothing else.
    receptacle_near : bool, optional
        Yes or no to whether one is near: never a distance.
    circuit_240_v : bool, optional
        A 240 V circuit ends at the heater.
    circuit_240_amp : float, optional
        Its size as read on the breaker.
    panel_spare_amp, panel_amp : float, optional
        Capacity left by a load calculation, and the size of the panel.
    panel_room : bool, optional
        Yes or no to whether the panel has room for a circuit: never amperes.
    gas_pipe_in, gas_pipe_run_ft, gas_pipe_elbows : float, optional
        Nominal size, length from the meter and fittings of the gas pipe to the heater.
    other_gas_on_pipe_btu_h, other_gas_btu_h : float, optional
        Other appliances on that pipe, and all other appliances of the house.
    existing_tank_gal, existing_input_btu_h : float, optional
        Tank and input of the heater there now, from its plate.
    meter_cfh : float, optional
        Capacity on the meter's plate.
    drain_height_in : float, optional
        Height of a drain above the floor; `drain` False: there is none within reach.
    neutralizer_needed : bool, optional
        Acid condensate meets cast iron or a septic tank, or the local code asks for it.
    room_volume_ft3, room_opened, room_door, room_apart, room_low_f, room_high_f : optional
        Room of the heater: volume, whether it is opened to more space, whether it has a door, whether it lies
        outside the rooms (garage, attic), coldest and hottest air.
    room_usual_f, room_heated : optional
        Its usual temperature, and whether it is heated.
    people_counted : float, optional
        People in the house.
    next_to_bedroom : bool, optional
    floor : {"slab", "framed"}, optional
    floor_capacity_lb, space_width_in, space_height_in : float, optional
        What the floor carries; free width and height of the place.
    shares_vent : bool, optional
        Another draft-hood or fan-assisted appliance uses the same vent.
    chimney : {"masonry", "lined", "type b"}, optional
        What the vent is; ``lined`` means a liner sized for what stays on it.
    other_left_vent : bool, optional
        The furnace or boiler has left or will leave the shared vent.
    heater_alone, left_on_vent : {"fail", "unknown", "pass"}, optional
        What the vent tables say of the old vent for the heater alone on it, and for what stays on it without the heater:
        it does not suit, nobody can say, it suits.
    natural_draft_remains : bool, optional
        Another natural-draft appliance stays in the house, on any vent.
    """

    peak_uses: Mapping[str, float] | None = None
    peak_hour_gal: float | None = None
    peak_flow_gpm: float | None = None
    showers_at_once: float | None = None
    temperature_rise_f: float | None = None
    vent_straight_ft: float | None = None
    vent_elbows_90: float | None = None
    vent_elbows_45: float | None = None
    terminal_place: bool | None = None
    outside_wall_ft: float | None = None
    receptacle_ft: float | None = None
    receptacle_near: bool | None = None
    receptacle_dedicated: bool | None = None
    circuit_240_v: bool | None = None
    circuit_240_amp: float | None = None
    panel_room: bool | None = None
    panel_spare_amp: float | None = None
    panel_amp: float | None = None
    gas_pipe_in: float | None = None
    gas_pipe_run_ft: float | None = None
    gas_pipe_elbows: float | None = None
    gas_pressure_drop_in_wc: float | None = None
    gas_heat_content_btu_ft3: float | None = None
    other_gas_on_pipe_btu_h: float | None = None
    other_gas_btu_h: float | None = None
    existing_tank_gal: float | None = None
    existing_input_btu_h: float | None = None
    meter_cfh: float | None = None
    drain: bool | None = None
    drain_height_in: float | None = None
    neutralizer_needed: bool | None = None
    room_volume_ft3: float | None = None
    room_opened: bool | None = None
    room_door: bool | None = None
    room_apart: bool = False
    room_low_f: float | None = None
    room_high_f: float | None = None
    room_usual_f: float | None = None
    room_heated: bool | None = None
    people_counted: float | None = None
    next_to_bedroom: bool | None = None
    floor: Literal["slab", "framed"] | None = None
    floor_capacity_lb: float | None = None
    space_width_in: float | None = None
    space_height_in: float | None = None
    shares_vent: bool | None = None
    chimney: Literal["masonry", "lined", "type b"] | None = None
    other_left_vent: bool | None = None
    heater_alone: Literal["fail", "unknown", "pass"] | None = None
    left_on_vent: Literal["fail", "unknown", "pass"] | None = None
    natural_draft_remains: bool | None = None

    def __post_init__(self) -> None:
        """Check every number: finite, and not negative unless it is a temperature."""
        for item in fields(self):
            value = getattr(self, item.name)
            if isinstance(value, bool) or not isinstance(value, int | float):
                continue
            low = -60.0 if item.name in ("room_low_f", "room_high_f", "room_usual_f") else 0.0
            require(item.name, float(value), low)
