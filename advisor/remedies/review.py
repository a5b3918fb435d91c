"""The codes applied to the case as found: combustion air, vent, terminal, test limits, CO. Findings, not an approval."""

from __future__ import annotations

import math
from dataclasses import replace

from advisor import catalog
from advisor.case.model import Case, Run, listed
from advisor.codes import air_methods as methods
from advisor.codes import combustion_air as air
from advisor.codes import combustion_air_place as place
from advisor.codes import terminals
from advisor.codes.altitude import check_altitude_derate
from advisor.codes.check import Check
from advisor.codes.co_limits import check_ambient_co, check_flue_co
from advisor.codes.limits import (
    Shared,
    check_depressurization,
    check_draft,
    depressurization_limit,
    spillage_checks,
)
from advisor.codes.vent_common import check_common_vent
from advisor.codes.vent_situations import check_orphaned_heater
from advisor.codes.vent_sizing import check_single_vent
from advisor.codes.vent_types import CommonAppliance, CommonVent, SingleVent
from advisor.remedies import vent_facts
from advisor.remedies.base import Job, Remedy, Sized

AIR_RULES = ("two outdoor openings", "one outdoor opening", "fan-supplied combustion air", "indoor openings")
LOUVER = {"metal louver": "metal", "wood louver": "wood"}
JURISDICTION = {"us": "us", "new york city": "nyc", "maker": "manual"}


def review(case: Case) -> tuple[Check, ...]:
    """Return every code check that the case as found allows, in a fixed order.

    Parameters
    ----------
    case : Case
        What was found.

    Returns
    -------
    tuple of Check
        Verdict ``unknown`` where a number is missing.
    """
    return (*air_checks(case), *vent_checks(case), *terminal_checks(case), *record_checks(case))


def zone_inputs(case: Case) -> tuple[float, float]:
    """Input of draft-hood and other non-fan appliances, and of fan-assisted ones, that share the zone's air, Btu/h."""
    other, fan = case.heater.input_btu_h, 0.0
    shared = case.shared_appliance
    if shared is not None:
        if shared.draft == "fan-assisted":
            fan += shared.input_btu_h
        else:
            other += shared.input_btu_h
    for appliance in listed(case.other_appliance):
        if appliance.draft == "fan-assisted":
            fan += appliance.input_btu_h
        elif appliance.draft == "natural" and appliance.kind not in ("fireplace",):
            other += appliance.input_btu_h
    return other, fan


def joined_volume_ft3(case: Case) -> float | None:
    """Volume that counts for the indoor methods: the zone, and what is joined to it without doors."""
    zone = case.zone
    if zone.kind == "open plan" and case.house.volume_ft3 is not None:
        return case.house.volume_ft3
    if zone.volume_ft3 is None:
        return None
    return zone.volume_ft3 + (zone.volume_joined_ft3 or 0.0)


def opening_free_in2(case: Case, position: str) -> float | None:
    """Free area of outdoor openings at a height, in2; None when nobody measured one of them or its state is unknown."""
    found = [o for o in listed(case.opening) if (o.position or "low") == position or o.position == "middle"]
    total = 0.0
    for opening in found:
        if opening.state == "blocked":
            continue
        if opening.state in ("unknown", "partly blocked"):
            return None
        gross = opening.area_in2
        if gross is None and opening.diameter_in is not None:
            gross = math.pi / 4.0 * opening.diameter_in**2
        free = opening.free_area_in2
        if free is None and gross is not None:
            cover = LOUVER.get(opening.cover)
            share = 1.0 if cover is None else air.louver_free_share(cover, "us").share
            free = gross * share
        if free is None:
            return None
        total += free
    return total


def outdoor_path(case: Case) -> air.OpeningPath:
    """Path of the outdoor openings as found; horizontal ducts are the strictest."""
    kinds = {o.kind for o in listed(case.opening)}
    if "horizontal duct" in kinds:
        return "horizontal duct"
    return "vertical duct" if "vertical duct" in kinds else "direct"


def combustion_air_ways(case: Case) -> tuple[methods.AirMethod, ...]:
    """Return every combustion-air method with what it would take here, in trade sizes."""
    other, fan = zone_inputs(case)
    have = bool(listed(case.opening))
    return methods.combustion_air_methods(
        other_input_btu_h=other,
        fan_input_btu_h=fan,
        space_volume_ft3=joined_volume_ft3(case),
        same_story_volume_ft3=case.house.volume_ft3 or 0.0,
        jurisdiction=JURISDICTION[case.settings.louver_rule],
        connector_diameters_in=tuple(
            d for d in (case.vent.connector_diameter_in or vent_facts.hood_in(case), _shared_outlet(case)) if d
        ),
        altitude_ft=case.house.altitude_ft,
        outdoor_high_free_in2=opening_free_in2(case, "high") if have else 0.0,
        outdoor_low_free_in2=opening_free_in2(case, "low") if have else 0.0,
        outdoor_path=outdoor_path(case),
    )


def _shared_outlet(case: Case) -> float | None:
    return None if case.shared_appliance is None else case.shared_appliance.outlet_diameter_in


def air_checks(case: Case) -> tuple[Check, ...]:
    """Combustion air as found: the method that the zone uses, bedroom rule, fans, altitude."""
    ways = combustion_air_ways(case)
    checks: list[Check] = []
    complying = [w for w in ways if w.complies_now]
    if complying:
        checks.append(complying[0].check)
    elif listed(case.opening):
        key = {"direct": "two_outdoor_direct", "vertical duct": "two_outdoor_vertical"}.get(
            outdoor_path(case), "two_outdoor_horizontal"
        )
        wanted = "one_outdoor" if len(listed(case.opening)) == 1 else key
        checks.append(next(w.check for w in ways if w.key == wanted))
    else:
        checks.append(next(w.check for w in ways if w.key == "standard_volume"))
    if case.zone.opens_to in ("bedroom", "bathroom") or case.zone.bedroom_or_bath:
        door = None if case.zone.door is None else case.zone.door == "weatherstripped"
        closet: place.Place = "closet of a bedroom or bathroom" if case.zone.kind == "closet" else "bedroom"
        outdoors = bool(listed(case.opening)) and case.zone.grille_free_area_in2 == 0.0
        checks.append(place.check_sleeping_room(closet, all_air_from_outdoors=outdoors, self_closing_tight_door=door))
    if case.house.altitude_ft > 0.0:
        checks.append(check_altitude_derate(case.heater.input_btu_h, case.house.altitude_ft, None))
    return tuple(checks)


def option_checks(job: Job, remedy: Remedy, sized: Sized) -> tuple[Check, ...]:
    """Return the code checks of an option: those of its own parts, and of the vent, air and terminal it ends up with.

    Parameters
    ----------
    job : Job
        The case with its prices.
    remedy : Remedy
        What is done.
    sized : Sized
        Its sized parts with their checks.
    """
    case = job.case
    checks = list(sized.checks)
    if remedy.keeps_heater or remedy.id == "like_for_like":
        ids = remedy.id.split("+")
        if "correct_connector" in ids and not {"new_type_b_vent", "line_chimney"} & set(ids):
            vent = vent_facts.single_vent(case, elbows=2)
            checks.extend(vent_checks(case, None if case.shared_appliance else replace(vent, connector="type B")))
        elif not {"new_type_b_vent", "line_chimney"} & set(ids):
            checks.extend(vent_checks(case))
        if remedy.family != "combustion air" and not any(c.rule.startswith(AIR_RULES) for c in sized.checks):
            checks.extend(air_checks(case))
    elif remedy.id == "fan_assisted" and case.shared_appliance is None:
        checks.extend(check_single_vent(replace(vent_facts.single_vent(case), appliance="fan-assisted")))
    elif remedy.appliance_terminal is not None:
        checks.extend(wall_terminal_checks(case, remedy.appliance_terminal))
    return tuple(checks)


def wall_terminal_checks(case: Case, scheme: str) -> tuple[Check, ...]:
    """Return the clearances of a terminal through the wall, as far as the case gives distances."""
    services = case.services
    found = terminals.check_sidewall_terminal(
        scheme,
        case.heater.input_btu_h,
        opening_ft=services.wall_opening_distance_ft,
        grade_in=services.terminal_height_in,
    )
    return tuple(c for c in found if c.verdict != "unknown")


def broken_rules(checks: tuple[Check, ...]) -> tuple[Check, ...]:
    """Return the failed checks that bar an option: vent rules that rest on text that was read or quoted.

    A value from memory never bars, it asks for confirmation; missing combustion air is charged, not barred
    (``catalog/gate_rules.csv``).
    """
    barred = {row["rule"] for row in catalog.table("gate_rules")}
    return tuple(c for c in checks if c.verdict == "fail" and c.rule in barred and c.status != "memory")


def lacks_air(checks: tuple[Check, ...]) -> bool:
    """Return True when the combustion air as found fails every code method."""
    rules = {"standard indoor volume", "known-infiltration volume", "one outdoor opening"}
    return any(c.verdict == "fail" and (c.rule in rules or c.rule.startswith("two outdoor")) for c in checks)


def vent_checks(case: Case, vent: SingleVent | None = None) -> tuple[Check, ...]:
    """Vent sizing as found, or of a vent given instead: alone, orphaned, or shared."""
    if case.shared_appliance is not None and vent is None:
        return check_common_vent(common_vent(case), common_appliances(case))
    single = vent or vent_facts.single_vent(case)
    if case.vent.was_shared and vent is None:
        return check_orphaned_heater(single)
    return check_single_vent(single)


def common_vent(case: Case) -> CommonVent:
    """Return the shared vertical vent as plain numbers."""
    single = vent_facts.single_vent(case)
    return CommonVent(
        height_ft=single.height_ft,
        vent=single.vent,
        diameter_in=single.vent_diameter_in,
        chimney_area_in2=single.chimney_area_in2,
        altitude_ft=case.house.altitude_ft,
    )


def common_appliances(case: Case) -> tuple[CommonAppliance, CommonAppliance]:
    """Return heater and the appliance that shares its vent as plain numbers."""
    shared = case.shared_appliance
    assert shared is not None
    single = vent_facts.single_vent(case)
    heater = CommonAppliance(
        name="water heater",
        input_btu_h=case.heater.input_btu_h,
        outlet_diameter_in=vent_facts.hood_in(case),
        connector_diameter_in=single.connector_diameter_in or vent_facts.hood_in(case),
        rise_ft=vent_facts.rise_ft(case),
        connector_length_ft=case.vent.connector_length_ft or vent_facts.rise_ft(case) + vent_facts.lateral_ft(case),
        connector=single.connector,
    )
    from advisor.ensemble.vent_draw import default_hood_in

    outlet = shared.outlet_diameter_in or default_hood_in(shared.input_btu_h)
    other = CommonAppliance(
        name=shared.kind,
        appliance="fan-assisted" if shared.draft == "fan-assisted" else "draft hood",
        input_btu_h=shared.input_btu_h,
        outlet_diameter_in=outlet,
        connector_diameter_in=outlet,
        rise_ft=shared.connector_rise_ft or heater.rise_ft,
        connector_length_ft=heater.connector_length_ft,
        connector=single.connector,
    )
    return heater, other


def terminal_checks(case: Case) -> tuple[Check, ...]:
    """Height of the vent top above the roof, and forced-air inlets near it."""
    top = case.terminal
    if case.vent.vertical == "masonry":
        hood = None if case.vent.height_ft is None else case.vent.height_ft
        checks = [
            terminals.check_chimney_height(
                above_hood_ft=hood,
                above_roof_ft=top.height_above_roof_ft,
                above_obstacles_within_10_ft=top.above_obstacles_ft,
            )
        ]
    else:
        checks = [
            terminals.check_roof_height(
                pitch_rise_per_12=top.roof_pitch_rise_per_12,
                height_above_roof_ft=top.height_above_roof_ft,
                wall_distance_ft=top.wall_distance_ft,
                diameter_in=case.vent.diameter_in,
                above_obstacles_within_10_ft=top.above_obstacles_ft,
            )
        ]
    if top.forced_air_inlet_distance_ft is not None:
        checks.append(terminals.check_forced_air_inlet(top.above_forced_air_inlet_ft, top.forced_air_inlet_distance_ft))
    return tuple(checks)


def record_checks(case: Case) -> tuple[Check, ...]:
    """The published test limits, held against every run made before any work."""
    checks: list[Check] = []
    for run in case.run:
        checks.extend(run_checks(case, run))
    return tuple(checks)


def run_checks(case: Case, run: Run) -> tuple[Check, ...]:
    """Pressure, draft, spillage time and CO of one run against their published lines."""
    checks: list[Check] = []
    if run.zone_depressurization_pa is not None and run.baseline_depressurization_pa is not None:
        limit = depressurization_limit(
            orphan=case.vent.was_shared is True,
            masonry_or_exterior=case.vent.vertical == "masonry" or bool(case.vent.exterior),
            shared=_shared_word(case),
        )
        checks.append(check_depressurization(run.zone_depressurization_pa - run.baseline_depressurization_pa, limit))
    if run.draft_pa is not None and run.outdoor_temp_f is not None:
        checks.append(check_draft(run.draft_pa, run.outdoor_temp_f))
    if run.seconds_to_draft is not None or run.seen in ("spilling", "reversed"):
        stopped = run.seconds_to_draft if run.seen == "drafting" else None
        checks.extend(spillage_checks(stopped, watched_s=run.seconds_after_lit))
    if run.flue_co_ppm is not None:
        checks.append(check_flue_co(run.flue_co_ppm, oxygen_pct=run.flue_o2_pct))
    if run.ambient_co_ppm is not None:
        checks.append(check_ambient_co(run.ambient_co_ppm))
    return tuple(replace(c, rule=f"{c.rule} (run '{run.label}')") for c in checks)


def _shared_word(case: Case) -> Shared:
    shared = case.shared_appliance
    if shared is None:
        return "none"
    return "induced draft" if shared.draft == "fan-assisted" else "furnace"
