"""The combustion air of a case as the plain numbers that the code methods take, and which of them nobody gave."""

from __future__ import annotations

from dataclasses import replace

from advisor.case.model import Case, listed
from advisor.codes import air_methods as methods
from advisor.codes import combustion_air as code
from advisor.codes.air_change_rate import check_rate_shown
from advisor.codes.check import Check
from advisor.facts import air_changes, air_source, burners, exhaust, openings, space
from advisor.facts.place import takes_private_air
from advisor.findings import finding


def assumed_of(case: Case) -> frozenset[str]:
    """Return the ids (``catalog/codes/check_inputs.csv``) of what nobody gave about the air of the zone."""
    found = {
        *burners.unknown_of_burners(case),
        *openings.unknown_of_openings(case),
        *air_changes.unknown_of_rate(case),
    }
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
    heat, known = burners.space_input(case), air_changes.known(case)
    indoor = 0.0 if space.no_grille(case) and case.zone.door in ("none", *space.SHUT_DOORS) else None
    return methods.combustion_air_methods(
        other_input_btu_h=heat.other_btu_h,
        fan_input_btu_h=heat.fan_btu_h,
        space_volume_ft3=space.joined_volume_ft3(case),
        same_story_volume_ft3=case.house.volume_ft3,
        ach=None if known is None else known.ach,
        ach_by_state=None if known is None else known.row,
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
    return tuple(_as_built_here(case, methods.method_where_given(way, assumed)) for way in _usual_ways(case))


def _as_built_here(case: Case, way: methods.AirMethod) -> methods.AirMethod:
    """Return a method that names what bars it here, or on what it rests."""
    name = _bar(case, way.key)
    if name is None or way.complies_now:
        return way
    return replace(way, here=finding(f"codes_air.note_{name}"), barred=name != "open_attic_or_crawl")


def _bar(case: Case, key: str) -> str | None:
    zone = case.zone
    if key.startswith("indoor_"):
        return "garage" if zone.kind == "garage" else "bedroom" if takes_private_air(case) else None
    if key == "two_outdoor_direct" and space.outside_wall(case) is False:
        return "no_outside_wall"
    if key == "two_outdoor_vertical" and not air_source.above_or_below(case):
        return "open_attic_or_crawl"
    return None


def indoor_volume(case: Case, volume_ft3: float | None) -> Check:
    """Return the check that a volume of indoor space is enough for the burners: by the known rate, else by the standard."""
    heat, known = burners.space_input(case), air_changes.known(case)
    if known is None:
        return code.check_standard_volume(heat.total_btu_h, volume_ft3)
    return code.check_known_rate_volume(heat.other_btu_h, heat.fan_btu_h, volume_ft3, known.ach, known.row)


def rate_shown(case: Case) -> Check | None:
    """Return what points to a low air-change rate that nobody measured; None where nothing does."""
    shown = air_changes.shown(case)
    if shown is None or "air_change_rate" not in assumed_of(case):
        return None
    return check_rate_shown(shown.ach, shown.how, shown.basis)


def way_in_use(case: Case) -> methods.AirMethod:
    """Return the method that the zone uses: the first that complies, else the one that its openings are meant for."""
    ways = {way.key: way for way in combustion_air_ways(case)}
    # what complies leads, then what would with usual values: it stands there as not known, with what to measure
    for found in (ways.values(), _usual_ways(case)):
        complying = next((way.key for way in found if way.complies_now), None)
        if complying is not None:
            return ways[complying]
    if not listed(case.opening):
        return ways["standard_volume" if air_changes.known(case) is None else "known_rate_volume"]
    if len(listed(case.opening)) == 1:
        return ways["one_outdoor"]
    return ways["two_outdoor_" + openings.outdoor_path(case).split()[0]]
