"""The state of house, zone and vent as it might be: frozen structs of arrays, the samples in the last axis.

A remedy returns a changed copy: ``replace(state, zone=replace(state.zone, ...))``.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from advisor.ensemble.parts import (
    AirState,
    Array,
    BurnerState,
    Chance,
    Combine,
    Flags,
    HouseState,
    Index,
    VentState,
    ZoneState,
    arrays,
    combine,
)

__all__ = [
    "AirState",
    "ApplianceKind",
    "Array",
    "BurnerState",
    "Chance",
    "Condition",
    "Device",
    "Flags",
    "HouseState",
    "Index",
    "State",
    "VentState",
    "ZoneState",
    "blend",
    "combined",
    "differs",
]

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

    Parameters
    ----------
    devices : tuple of Device
        The exhaust devices, in the order of ``house.device_m3_s``.
    appliance : ApplianceKind
        How the heater vents; "none" has nothing to spill.
    zone_isolated : bool
        Is the heater's space weatherstripped from the house, with air of its own?
    has_door : bool
        Is there a door between the heater's space and the house?
    fuel : str
        Key of `properties.fuel`.
    air, house, zone, burner, vent, chance
        Arrays of the samples; see `advisor.ensemble.parts`.
    """

    devices: tuple[Device, ...]
    appliance: ApplianceKind
    zone_isolated: bool
    has_door: bool
    fuel: str
    air: AirState
    house: HouseState
    zone: ZoneState
    burner: BurnerState
    vent: VentState
    chance: Chance

    @property
    def samples(self) -> int:
        """Number of samples."""
        return int(self.air.room_k.shape[-1])

    def room_at_k(self, outdoor_k: Array | float) -> Array:
        """Room temperature at an outdoor temperature, K, (n,).

        Once it is warmer outdoors than the room usually is, the room follows, up to where hot weather leaves it.
        """
        return np.maximum(self.air.room_k, np.minimum(outdoor_k, self.air.room_summer_k))

    def take(self, index: Index) -> State:
        """Return the same state for a choice of samples."""
        return combined((self,), lambda each: each[0][..., index])

    def arrays(self) -> dict[str, Array]:
        """Return all arrays by part and name (``zone.leak_m3_s``)."""
        return {
            f"{name}.{key}": value
            for name, part in (
                ("air", arrays(self.air)),
                ("house", arrays(self.house)),
                ("zone", arrays(self.zone)),
                ("burner", arrays(self.burner)),
                ("vent", arrays(self.vent)),
                ("chance", arrays(self.chance)),
            )
            for key, value in part.items()
        }

    def device_index(self, name: str) -> int:
        """Position of a device by name."""
        return [d.name for d in self.devices].index(name)


def combined(states: Sequence[State], how: Combine) -> State:
    """Return one state, each array of it made of the same array of every given one; the rest is that of the last.

    Parameters
    ----------
    states : sequence of State
        Of the same build, at least one.
    how : callable
        From the arrays of the states, in their order, to the new one.
    """
    return replace(
        states[-1],
        air=combine([state.air for state in states], how),
        house=combine([state.house for state in states], how),
        zone=combine([state.zone for state in states], how),
        burner=combine([state.burner for state in states], how),
        vent=combine([state.vent for state in states], how),
        chance=combine([state.chance for state in states], how),
    )


def blend(choose: Flags, first: State, second: State) -> State:
    """Return ``first`` where ``choose`` is true, else ``second``, sample by sample."""
    return combined((first, second), lambda each: np.where(choose, *each))


def differs(before: State, after: State) -> Flags:
    """Return the samples in which any array of two states differs, (n,)."""
    found = np.zeros(before.samples, dtype=bool)
    new = after.arrays()
    for name, old in before.arrays().items():
        if old is not new[name]:
            found |= np.any(np.atleast_2d(old != new[name]), axis=0)
    return found


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
