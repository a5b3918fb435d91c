"""The heater's space as a part of the house: whether it belongs to it, is heated, has a door, and its volume."""

from __future__ import annotations

import math

from advisor import catalog
from advisor.case.model import Case, listed
from advisor.facts import services
from advisor.facts.openings import grilles_in2

APART = ("garage", "attic", "crawl space", "outdoors")
"""Kinds of space outside the rooms of the house: their leaks are their own, and nobody heats them unless somebody says so."""
DOORED = ("closet", "utility room", "garage", "bedroom", "bathroom")
"""Kinds of space that usually have a door, where nobody wrote it down."""
OPEN_KINDS = ("kitchen", "open plan", "basement")
"""Kinds of space that usually stand open to the house, where nobody wrote down a door."""
OUTER_KINDS = ("basement", "garage", "attic", "crawl space")
"""Kinds of space that usually have a wall to outdoors of their own."""
SHUT_DOORS = ("solid", "weatherstripped")


def apart(case: Case) -> bool:
    """Return whether the heater's space lies outside the rooms of the house."""
    return case.zone.kind in APART


def opens_outdoors(case: Case) -> bool:
    """Return whether only the yard reaches the heater's space."""
    return "outdoors" in (case.zone.kind, case.zone.opens_to)


def heated(case: Case) -> bool:
    """Return whether the heater's space is heated; a garage only where somebody wrote it down, an attic never, nor outdoors."""
    zone = case.zone
    if zone.kind in ("attic", "crawl space", "outdoors"):
        return False
    return zone.heated and (zone.kind != "garage" or "heated" in zone.model_fields_set)


def has_door(case: Case) -> bool | None:
    """Return whether there is a door between the zone and the house; None when that is not known."""
    if case.zone.door is not None:
        return case.zone.door != "none"
    return False if case.zone.kind == "open plan" else None


def usually_has_door(case: Case) -> bool:
    """Return whether there is a door between the zone and the house: as known, else as usual for its kind."""
    known = has_door(case)
    return case.zone.kind in DOORED if known is None else known


def open_to_house(case: Case) -> bool:
    """Return whether the zone stands open to the house: no door, or none is known and its kind usually has none."""
    if apart(case):
        return False
    return case.zone.door == "none" or (case.zone.door is None and case.zone.kind in OPEN_KINDS)


def shut_off(case: Case) -> bool:
    """Return whether the record shows that the zone is joined to no other room: a plain door, and no grille."""
    return case.zone.door in SHUT_DOORS and no_grille(case)


def no_grille(case: Case) -> bool:
    """Return whether the record shows that no grille leads to the house."""
    return grilles_in2(case) == 0.0


def joined_volume_ft3(case: Case) -> float | None:
    """Return the volume that counts for the indoor methods, ft3: the zone, and what is joined to it without doors.

    None where nobody measured the zone. An open plan is the house.
    """
    zone = case.zone
    if zone.kind == "open plan" and case.house.volume_ft3 is not None:
        return case.house.volume_ft3
    return None if zone.volume_ft3 is None else zone.volume_ft3 + (zone.volume_joined_ft3 or 0.0)


def joined_volume_unknown(case: Case) -> bool:
    """Return whether nobody said what is joined to the zone, and the record does not show that nothing is."""
    return case.zone.volume_joined_ft3 is None and case.zone.kind != "open plan" and not shut_off(case)


def outside_wall(case: Case) -> bool | None:
    """Return whether the zone has a wall to outdoors of its own; None where the record does not show it.

    A hole that is known to lead straight outdoors shows one. A way to the nearest outside wall that is longer than such a room is
    shows that there is none: its length follows from the floor area and ``longest_room_ratio`` (``air_routes``).
    """
    if case.zone.outside_wall is not None:
        return case.zone.outside_wall
    if any(o.kind == "direct" and o.ends_in == "outdoors" for o in listed(case.opening)):
        return True
    way_ft = services.wall_ft(case)
    return False if way_ft is not None and way_ft > _longest_ft(case) else None


def usually_outside_wall(case: Case) -> bool | None:
    """Return whether the zone has a wall to outdoors: as known, else by a hole without a duct, else as usual for its kind."""
    known = outside_wall(case)
    if known is not None:
        return known
    # a hole with no duct leads outdoors, or into an attic or crawl space, where somebody says so
    hole = any(o.kind == "direct" and "kind" in o.model_fields_set and o.ends_in is None for o in listed(case.opening))
    return True if hole or case.zone.kind in OUTER_KINDS else None


def below_grade(case: Case) -> bool:
    """Return whether the zone's floor lies below grade: a hole near it would lead into the ground."""
    return case.zone.kind == "basement" or case.zone.level == "basement"


def ceiling_ft(case: Case) -> float:
    """Return the height of the zone's ceiling, ft: measured, else usual."""
    return case.zone.ceiling_height_ft or catalog.number("priors", "ceiling_height_ft")


def _longest_ft(case: Case) -> float:
    """Return how long the zone may be at most, ft, by its volume or by the largest usual one of its kind."""
    usual = catalog.parameter("priors", f"zone_volume_ft3_{case.zone.kind.replace(' ', '_')}").high
    floor_ft2 = (case.zone.volume_ft3 or usual) / ceiling_ft(case)
    return math.sqrt(catalog.number("air_routes", "longest_room_ratio") * floor_ft2)
