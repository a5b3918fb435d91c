"""The heater's space as a part of the house: whether it belongs to it, is heated, has a door, and its volume."""

from __future__ import annotations

from advisor.case.model import Case
from advisor.facts.openings import grilles_in2

APART = ("garage", "attic", "crawl space", "outdoors")
"""Kinds of space outside the rooms of the house: their leaks are their own, and nobody heats them unless somebody says so."""
DOORED = ("closet", "utility room", "garage", "bedroom", "bathroom")
"""Kinds of space that usually have a door, where nobody wrote it down."""
OPEN_KINDS = ("kitchen", "open plan", "basement")
"""Kinds of space that usually stand open to the house, where nobody wrote down a door."""
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
