"""The combustion air of a case as the plain numbers that the code methods take, and which of them nobody gave."""

from __future__ import annotations

from advisor.case.model import Case, listed
from advisor.codes import air_methods as methods
from advisor.facts import burners, exhaust, openings, space


def assumed_of(case: Case) -> frozenset[str]:
    """Return the ids (``catalog/codes/check_inputs.csv``) of what nobody gave about the air of the zone."""
    found = {*burners.unknown_of_burners(case), *openings.unknown_of_openings(case)}
    if space.joined_volume_ft3(case) is None:
        found.add("zone_volume")
    if space.joined_volume_unknown(case):
        found.add("joined_volume")
    if openings.grilles_in2(case) is None:
        found.add("grilles")
    if case.supply is None:
        found.add("supply")
    if not exhaust.zone_cfm_given(case):
        found.add("zone_exhaust")
    return frozenset(found)


def _usual_ways(case: Case) -> tuple[methods.AirMethod, ...]:
    heat = burners.space_input(case)
    indoor = 0.0 if space.no_grille(case) and case.zone.door in ("none", *space.SHUT_DOORS) else None
    return methods.combustion_air_methods(
        other_input_btu_h=heat.other_btu_h,
        fan_input_btu_h=heat.fan_btu_h,
        space_volume_ft3=space.joined_volume_ft3(case),
        same_story_volume_ft3=case.house.volume_ft3,
        jurisdiction=openings.louver_rule(case),
        connector_diameters_in=burners.connectors_in(case),
        altitude_ft=case.house.altitude_ft,
        indoor_high_free_in2=indoor,
        indoor_low_free_in2=indoor,
        outdoor_high_free_in2=openings.free_at_in2(case, "high"),
        outdoor_low_free_in2=openings.free_at_in2(case, "low"),
        outdoor_path=openings.outdoor_path(case),
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
    return ways["two_outdoor_" + openings.outdoor_path(case).split()[0]]
