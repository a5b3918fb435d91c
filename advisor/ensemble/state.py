"""The state of house, zone and vent as it might be: one frozen struct of arrays, the samples in the last axis.

Every array has shape (n,) unless stated; SI units. A remedy returns a changed copy (`dataclasses.replace`).
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Index = NDArray[np.intp]

ApplianceKind = Literal["natural draft", "fan-assisted", "power vent", "sealed", "none"]


@dataclass(frozen=True, slots=True)
class Device:
    """What does not vary between samples about one exhaust device."""

    name: str
    kind: str
    in_zone: bool
    ducted_outdoors: bool
    fuel: str
    counts_in_worst_case: bool
    assumed: bool = False  # nobody listed it: the usual device of such a house


@dataclass(frozen=True, slots=True)
class State:
    """One ensemble of situations.

    Static parts are ``devices``, ``appliance`` and the flags; all else are arrays of samples.
    """

    devices: tuple[Device, ...]
    appliance: ApplianceKind
    draws_room_air: bool
    zone_isolated: bool
    has_door: bool
    shared_draft: Literal["none", "natural", "fan-assisted"]
    fuel: str
    # weights and air
    log_weight: Array
    room_k: Array
    room_summer_k: Array  # what the room stays at in hot weather, cooled or floating
    zone_k_share: Array  # 0: room temperature, 1: outdoors
    pressure_pa: Array
    # house
    leak_m3_s: Array
    exponent: Array
    floor_share: Array
    ceiling_share: Array
    house_height_m: Array
    interior_doors_factor: Array
    device_m3_s: Array  # (devices, n)
    stall_pa: Array
    supply_m3_s: Array
    supply_exhaust_m3_s: Array
    supply_leak_m3_s: Array
    return_leak_m3_s: Array
    relief_house_m2: Array  # passive make-up opening that follows the exhaust devices
    makeup_share: Array  # share of the running exhaust that a powered make-up fan replaces
    # zone
    zone_leak_m3_s: Array
    zone_height_m: Array
    zone_volume_m3: Array
    house_volume_m3: Array
    link_closed_m2: Array
    link_open_m2: Array
    opening_high_m2: Array
    opening_low_m2: Array
    intake_blocked: Array
    zone_supply_m3_s: Array  # mechanical combustion air, runs with the burner
    discharge: Array
    # wind
    wind_factor: Array
    zone_cp: Array
    roof_cp: Array
    terminal_cp: Array
    gust_cp: Array
    # burner
    input_w: Array
    products_kg_s: Array
    products_k: Array
    excess_air: Array
    co_air_free_ppm: Array
    plume_pa: Array
    prompt_share: Array
    lag_s: Array
    own_draw_m3_s: Array
    idle_heat_w: Array  # what pilot and hot tank send up the flue
    # vent
    connector_area_m2: Array
    vertical_area_m2: Array
    vertical_perimeter_m: Array
    connector_length_m: Array
    connector_rise_m: Array
    connector_elbows: Array
    connector_elbows_45: Array
    height_m: Array  # hood to top
    hood_height_m: Array
    hood_k: Array
    elbow_k: Array
    elbow_45_k: Array
    cap_k: Array
    friction: Array
    corrugation: Array  # multiplies friction: 1 for smooth pipe
    vent_blocked: Array
    connector_u: Array
    vertical_u: Array
    connector_capacity: Array
    vertical_capacity: Array
    film: Array
    exterior_share: Array
    dilution_ratio: Array
    shared_gain_k: Array
    inducer_pa: Array  # suction of a listed draft inducer while firing
    # what the model does not know: the same in every run and after every remedy that keeps a draft hood
    draft_offset_pa: Array  # pressure at the vent's top that nothing else explains, positive against the draft
    starts_reversed: Array  # 1: where both idle states are stable, a cold start finds the vent reversed
    unlisted_m3_s: Array  # exhaust that nobody listed; runs with "all"
    # who errs, the same in all runs, as uniform numbers: below the chance of an error it is there
    tester_luck: Array
    model_luck: Array

    @property
    def samples(self) -> int:
        """Number of samples."""
        return int(self.room_k.shape[-1])

    def room_at_k(self, outdoor_k: Array | float) -> Array:
        """Room temperature at an outdoor temperature, K, (n,).

        Once it is warmer outdoors than the room usually is, the room follows, up to where hot weather leaves it.
        """
        return np.maximum(self.room_k, np.minimum(outdoor_k, self.room_summer_k))

    def take(self, index: Index) -> State:
        """Return the same state for a choice of samples."""
        changes = {
            f.name: value[..., index] for f in fields(self) if isinstance(value := getattr(self, f.name), np.ndarray)
        }
        return replace(self, **changes)  # type: ignore[arg-type]

    def device_index(self, name: str) -> int:
        """Position of a device by name."""
        return [d.name for d in self.devices].index(name)


def blend(choose: NDArray[np.bool_], first: State, second: State) -> State:
    """Return ``first`` where ``choose`` is true, else ``second``, sample by sample."""
    changes = {
        f.name: np.where(choose, value, getattr(second, f.name))
        for f in fields(first)
        if isinstance(value := getattr(first, f.name), np.ndarray)
    }
    return replace(second, **changes)  # type: ignore[arg-type]


@dataclass(frozen=True, slots=True)
class Condition:
    """What runs, what stands open, and the weather.

    ``outdoor_k`` may be one temperature a sample; ``zone_k`` None leaves it to the sample's own value.
    ``zone_door``: 'worse' takes, sample by sample, the position that lowers the zone pressure. ``net_supply_off``: of
    supply and balanced ventilation only what takes out more than it brings in keeps running.
    """

    name: str
    devices_on: tuple[bool, ...]
    supply_on: bool = True
    window_m2: float = 0.0
    window_height_m: float | None = None  # its middle above the zone's floor; None: on the heater's own storey
    zone_window_m2: float = 0.0
    zone_door: Literal["closed", "open", "worse"] = "closed"
    interior_doors_shut: bool = False
    air_handler: Literal["off", "on", "worse"] = "off"
    shared_firing: bool = False
    intake: Literal["as found", "cleared", "covered"] = "as found"
    outdoor_k: float | Array = 288.15
    zone_k: float | None = None
    wind_m_s: float = 0.0
    gusty: bool = False
    leakage_factor: float = 1.0
    extra_exhaust_m3_s: float = 0.0
    vent_warm: bool = False
    unlisted_on: bool = False
    net_supply_off: bool = False
