"""What a new appliance finds at the house: power, the way to an outside wall, room and neighbours.

A yes or a no stays one: it never becomes a distance or amperes. None where nobody looked.
"""

from __future__ import annotations

from typing import Literal

from advisor.case.model import Case
from advisor.facts import burners


def outlet_near(case: Case) -> bool | None:
    """Return whether a 120 V receptacle is near the heater; its distance and its circuit are not known."""
    return case.services.receptacle_120v


def circuit_240_v(case: Case) -> bool | None:
    """Return whether a 240 V circuit ends at the heater; nobody reads its breaker for this record."""
    return case.services.circuit_240v


def panel_room(case: Case) -> bool | None:
    """Return whether the panel has room for a circuit; what it can carry is not known."""
    return case.services.panel_room


def no_power(case: Case) -> bool:
    """Return whether the record shows that nothing electric can be added: no receptacle, and no room for a circuit."""
    return outlet_near(case) is False and panel_room(case) is False


def wall_route(case: Case) -> tuple[float | None, float | None, float | None]:
    """Return the way to the nearest outside wall: length in ft, elbows of 90 and of 45 degrees.

    The elbows are asked in one number: all of them count as 90 degrees, the longer ones.
    """
    services = case.services
    elbows = None if services.outside_wall_elbows is None else float(services.outside_wall_elbows)
    return services.outside_wall_distance_ft, elbows, None if elbows is None else 0.0


def wall_ft(case: Case) -> float | None:
    """Return the distance to the nearest outside wall along the vent's route, ft."""
    return wall_route(case)[0]


def heat_pump_air_ft3(case: Case) -> float | None:
    """Return the air around a heat pump, ft3: what was given for it, else the heater's space."""
    return case.services.heat_pump_room_volume_ft3 or case.zone.volume_ft3


def next_to_bedroom(case: Case) -> bool | None:
    """Return whether noise at the heater reaches a bedroom."""
    zone = case.zone
    return True if "bedroom" in (zone.kind, zone.opens_to) else case.services.next_to_bedroom


def shares_vent(case: Case) -> bool | None:
    """Return whether another appliance uses the heater's vent."""
    return True if burners.on_the_vent(case) else case.vent.shared


def chimney(case: Case) -> Literal["masonry", "lined", "type b"] | None:
    """Return what the vent is; a liner counts as sized for the heater only where nothing else ever used it."""
    if case.vent.vertical == "masonry":
        return "masonry"
    if case.vent.vertical == "lined masonry":
        return "lined" if case.vent.was_shared is False else None
    return "type b" if case.vent.vertical == "type b" else None
