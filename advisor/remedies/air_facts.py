"""The combustion air of a case as the plain numbers that the code methods take, and which of them nobody gave."""

from __future__ import annotations

import math
from collections.abc import Iterator

from advisor.case.model import Case, listed
from advisor.case.parts import Opening
from advisor.codes import air_methods as methods
from advisor.codes import combustion_air as air
from advisor.codes import combustion_air_place as place
from advisor.codes.check import Check
from advisor.codes.unknown import where_given
from advisor.facts import burners, exhaust, space

LOUVER = {"metal louver": "metal", "wood louver": "wood"}
JURISDICTION = {"us": "us", "new york city": "nyc", "maker": "manual"}


def opening_free_in2(case: Case, position: str) -> float | None:
    """Free area of outdoor openings at a height, in2; None when something about one of them is not known."""
    if case.opening is None:
        return None
    total = 0.0
    for opening in case.opening:
        if opening.state == "blocked":
            continue
        free = free_area_in2(opening)
        here = opening.position in (position, "middle")
        if opening.position is None or (here and free is None):
            return None
        total += (free or 0.0) if here else 0.0
    return total


def free_area_in2(opening: Opening) -> float | None:
    """Free area of an opening, in2; None when its size, its cover or its state is not known."""
    if opening.state != "open":
        return 0.0 if opening.state == "blocked" else None
    if opening.free_area_in2 is not None:
        return opening.free_area_in2
    gross = opening.area_in2
    if gross is None and opening.diameter_in is not None:
        gross = math.pi / 4.0 * opening.diameter_in**2
    if gross is None or "cover" not in opening.model_fields_set:
        return None
    cover = LOUVER.get(opening.cover)
    return gross * (1.0 if cover is None else air.louver_free_share(cover, "us").share)


def outdoor_path(case: Case) -> air.OpeningPath:
    """Path of the outdoor openings as found; horizontal ducts are the strictest."""
    kinds = {o.kind for o in listed(case.opening)}
    if "horizontal duct" in kinds:
        return "horizontal duct"
    return "vertical duct" if "vertical duct" in kinds else "direct"


def _unknown_of_openings(case: Case) -> Iterator[str]:
    if case.opening is None:
        yield "openings"
    for opening in listed(case.opening):
        if opening.state == "blocked":
            continue
        if "kind" not in opening.model_fields_set:
            yield "opening_kind"
        if opening.position is None:
            yield "opening_position"
        if opening.state != "open":
            yield "opening_state"
        if opening.free_area_in2 is None:
            if "cover" not in opening.model_fields_set:
                yield "opening_cover"
            if opening.area_in2 is None and opening.diameter_in is None:
                yield "opening_area"


def assumed_of(case: Case) -> frozenset[str]:
    """Return the ids (``catalog/codes/check_inputs.csv``) of what nobody gave about the air of the zone."""
    zone = case.zone
    found = {*burners.unknown_of_burners(case), *_unknown_of_openings(case)}
    if space.joined_volume_ft3(case) is None:
        found.add("zone_volume")
    if space.joined_volume_unknown(case):
        found.add("joined_volume")
    if zone.grille_free_area_in2 is None:
        found.add("grilles")
    if case.supply is None:
        found.add("supply")
    if not exhaust.zone_cfm_given(case):
        found.add("zone_exhaust")
    if zone.door is None or zone.door == "weatherstripped":
        found.add("tight_door")  # nobody is asked whether it closes by itself
    return frozenset(found)


def _usual_ways(case: Case) -> tuple[methods.AirMethod, ...]:
    heat = burners.space_input(case)
    indoor = 0.0 if space.no_grille(case) and case.zone.door in ("none", *space.SHUT_DOORS) else None
    return methods.combustion_air_methods(
        other_input_btu_h=heat.other_btu_h,
        fan_input_btu_h=heat.fan_btu_h,
        space_volume_ft3=space.joined_volume_ft3(case),
        same_story_volume_ft3=case.house.volume_ft3,
        jurisdiction=JURISDICTION[case.settings.louver_rule],
        connector_diameters_in=burners.connectors_in(case),
        altitude_ft=case.house.altitude_ft,
        indoor_high_free_in2=indoor,
        indoor_low_free_in2=indoor,
        outdoor_high_free_in2=opening_free_in2(case, "high"),
        outdoor_low_free_in2=opening_free_in2(case, "low"),
        outdoor_path=outdoor_path(case),
        supply_cfm=None if case.supply is None else 0.0,
        exhaust_cfm=exhaust.zone_cfm(case),
    )


def combustion_air_ways(case: Case) -> tuple[methods.AirMethod, ...]:
    """Return every combustion-air method with what it would take here, in trade sizes.

    A method that rests on a number nobody gave neither complies nor fails: it is not known.
    """
    assumed = assumed_of(case)
    return tuple(methods.method_where_given(way, assumed) for way in _usual_ways(case))


def way_in_use(case: Case) -> methods.AirMethod:
    """Return the method that the zone uses: the first that complies, else the one that its openings are meant for."""
    ways = {way.key: way for way in combustion_air_ways(case)}
    # what complies leads, then what would with usual values: it stands there as not known, with what to measure
    for found in (ways.values(), _usual_ways(case)):
        complying = next((way.key for way in found if way.complies_now), None)
        if complying is not None:
            return ways[complying]
    if not listed(case.opening):
        return ways["standard_volume"]
    if len(listed(case.opening)) == 1:
        return ways["one_outdoor"]
    return ways["two_outdoor_" + outdoor_path(case).split()[0]]


def sleeping_room(case: Case) -> Check:
    """Return the check of a heater in, or opening into, a bedroom or bathroom."""
    zone = case.zone
    # whether a weatherstripped door closes by itself is asked nowhere, so it stays unknown
    door = None if zone.door in (None, "weatherstripped") else False
    room: place.Place = "closet of a bedroom or bathroom" if zone.kind == "closet" else "bedroom"
    check = place.check_sleeping_room(
        room, all_air_from_outdoors=_air_from_outdoors(case), self_closing_tight_door=door
    )
    return where_given(check, assumed_of(case))


def _air_from_outdoors(case: Case) -> bool | None:
    grille = case.zone.grille_free_area_in2
    if (case.opening is not None and not case.opening) or (grille or 0.0) > 0.0:
        return False
    return None if case.opening is None or grille is None else True
