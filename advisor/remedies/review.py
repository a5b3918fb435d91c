"""The codes applied to the case as found: combustion air, vent, terminal, test limits, CO. Findings, not an approval."""

from __future__ import annotations

from dataclasses import replace

from advisor import catalog
from advisor.case.model import Case, Run
from advisor.case.parts import SharedAppliance
from advisor.codes import terminals
from advisor.codes.altitude import check_altitude_derate
from advisor.codes.check import Check
from advisor.codes.co_limits import check_ambient_co, check_flue_co
from advisor.codes.limits import (
    DepressurizationLimit,
    Shared,
    check_draft,
    check_possible_depressurization,
    depressurization_limit,
    spillage_checks,
)
from advisor.codes.unknown import all_where_given
from advisor.codes.vent_common import check_common_vent
from advisor.codes.vent_situations import check_orphaned_heater
from advisor.codes.vent_sizing import check_single_vent
from advisor.codes.vent_types import CommonAppliance, CommonVent, SingleVent
from advisor.facts import burners
from advisor.facts.spillage import limit_for
from advisor.remedies import air_facts, vent_facts
from advisor.remedies.base import Job, Remedy, Sized

AIR_RULES = ("two outdoor openings", "one outdoor opening", "fan-supplied combustion air", "indoor openings")


def review(case: Case) -> tuple[Check, ...]:
    """Return every code check that the case as found allows, in a fixed order.

    Parameters
    ----------
    case : Case
        What was found.

    Returns
    -------
    tuple of Check
        Verdict ``unknown`` where it rests on a number that nobody gave, however usual the value in its place.
    """
    return (*air_checks(case), *vent_checks(case), *terminal_checks(case), *record_checks(case))


def air_checks(case: Case) -> tuple[Check, ...]:
    """Combustion air as found: the method that the zone uses, bedroom rule, fans, altitude."""
    checks = [air_facts.way_in_use(case).check]
    if case.zone.opens_to in ("bedroom", "bathroom") or case.zone.bedroom_or_bath:
        checks.append(air_facts.sleeping_room(case))
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
            vent = vent_facts.corrected_connector(case)
            checks.extend(vent_checks(case, None if case.shared_appliance else vent))
        elif not {"new_type_b_vent", "line_chimney"} & set(ids):
            checks.extend(vent_checks(case))
        if remedy.family != "combustion air" and not any(c.rule.startswith(AIR_RULES) for c in sized.checks):
            checks.extend(air_checks(case))
    elif remedy.id == "fan_assisted" and case.shared_appliance is None:
        vent = vent_facts.single_vent(case)
        # the new heater's outlet is not chosen yet: the old hood's size stands for it
        checks.extend(check_single_vent(replace(vent, appliance="fan-assisted", assumed=vent.assumed | {"hood"})))
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
    # what the record has no key for is left to the quote; the two distances that it asks for are named when missing
    asked = ("terminal to openings of the building", "terminal above grade and snow")
    return tuple(c for c in found if c.verdict != "unknown" or c.rule in asked)


def broken_rules(checks: tuple[Check, ...]) -> tuple[Check, ...]:
    """Return the failed checks that bar an option: vent rules that rest on text that was read or quoted.

    A value from memory never bars, it asks for confirmation; missing combustion air is charged, not barred
    (``catalog/ranking/gate_rules.csv``).
    """
    barred = {row["rule"] for row in catalog.table("gate_rules")}
    return tuple(c for c in checks if c.verdict == "fail" and c.rule in barred and c.status != "memory")


def lacks_air(checks: tuple[Check, ...]) -> bool:
    """Return True when the combustion air as found fails every code method, or would with usual values."""
    rules = {"standard indoor volume", "known-infiltration volume", "one outdoor opening"}
    return any("fail" in (c.verdict, c.usual) and (c.rule in rules or c.rule.startswith("two outdoor")) for c in checks)


def vent_checks(case: Case, vent: SingleVent | None = None) -> tuple[Check, ...]:
    """Vent sizing as found, or of a vent given instead: alone, orphaned, or shared."""
    if case.shared_appliance is not None and vent is None:
        return check_common_vent(common_vent(case), common_appliances(case))
    single = vent or vent_facts.single_vent(case)
    if vent is None:
        return check_orphaned_heater(single, shared_before=case.vent.was_shared)
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
        assumed=single.assumed,
    )


def common_appliances(case: Case) -> tuple[CommonAppliance, CommonAppliance]:
    """Return heater and the appliance that shares its vent as plain numbers."""
    shared = case.shared_appliance
    assert shared is not None
    single = vent_facts.single_vent(case)
    heater = CommonAppliance(
        name="water heater",
        input_btu_h=case.heater.input_btu_h,
        outlet_diameter_in=burners.hood_in(case),
        connector_diameter_in=single.connector_diameter_in or burners.hood_in(case),
        rise_ft=vent_facts.rise_ft(case),
        connector_length_ft=_length_ft(case),
        connector=single.connector,
    )
    other = CommonAppliance(
        name=shared.kind,
        appliance="fan-assisted" if shared.draft == "fan-assisted" else "draft hood",
        input_btu_h=shared.input_btu_h,
        outlet_diameter_in=_outlet_in(shared),
        connector_diameter_in=_outlet_in(shared),
        rise_ft=heater.rise_ft if shared.connector_rise_ft is None else shared.connector_rise_ft,
        connector_length_ft=heater.connector_length_ft,
        connector=single.connector,
        ids="other_",
        assumed=_assumed_of_other(shared),
    )
    return heater, other


def _length_ft(case: Case) -> float:
    length = case.vent.connector_length_ft
    return vent_facts.rise_ft(case) + vent_facts.lateral_ft(case) if length is None else length


def _outlet_in(shared: SharedAppliance) -> float:
    return burners.outlet_in(shared)


def _assumed_of_other(shared: SharedAppliance) -> frozenset[str]:
    """Return what nobody gave of the other appliance on the vent; the case file has no key for its connector."""
    given = {
        "other_input": "input_btu_h" in shared.model_fields_set,
        "other_draft": "draft" in shared.model_fields_set,
        "other_outlet": shared.outlet_diameter_in is not None,
        "other_rise": shared.connector_rise_ft is not None,
    }
    unasked = ("other_connector_diameter", "other_connector_material", "other_connector_length")
    return frozenset((*unasked, *(name for name, known in given.items() if not known)))


def terminal_checks(case: Case) -> tuple[Check, ...]:
    """Height of the vent top above the roof, and forced-air inlets near it."""
    top, vent = case.terminal, case.vent
    if vent.vertical == "masonry":
        checks = [
            terminals.check_chimney_height(
                above_hood_ft=vent.height_ft,
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
                diameter_in=vent.diameter_in,
                above_obstacles_within_10_ft=top.above_obstacles_ft,
                listed_cap=None if vent.cap is None else vent.cap == "listed",
            )
        ]
    if top.forced_air_inlet_distance_ft is not None:
        checks.append(terminals.check_forced_air_inlet(top.above_forced_air_inlet_ft, top.forced_air_inlet_distance_ft))
    return all_where_given(checks, _unknown_at_the_top(case))


def _unknown_at_the_top(case: Case) -> frozenset[str]:
    top, vent = case.terminal, case.vent
    values = {
        "height": vent.height_ft,
        "vent_material": vent.vertical,
        "vent_diameter": vent.diameter_in,
        "cap": vent.cap,
        "roof_pitch": top.roof_pitch_rise_per_12,
        "above_roof": top.height_above_roof_ft,
        "wall_distance": top.wall_distance_ft,
        "obstacles": top.above_obstacles_ft,
        "above_inlet": top.above_forced_air_inlet_ft,
        "inlet_distance": top.forced_air_inlet_distance_ft,
    }
    return frozenset(name for name, value in values.items() if value is None)


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
        net = run.zone_depressurization_pa - run.baseline_depressurization_pa
        checks.append(check_possible_depressurization(net, *pressure_limits(case)))
    if run.draft_pa is not None and run.outdoor_temp_f is not None:
        checks.append(check_draft(run.draft_pa, run.outdoor_temp_f))
    if run.seconds_to_draft is not None or run.seen in ("spilling", "reversed"):
        stopped = run.seconds_to_draft if run.seen == "drafting" else None
        line = limit_for(case, run.vent_cold_at_start)
        checks.extend(spillage_checks(stopped, line.key, watched_s=run.seconds_after_lit))
    if run.flue_co_ppm is not None:
        checks.append(check_flue_co(run.flue_co_ppm, oxygen_pct=run.flue_o2_pct))
    if run.ambient_co_ppm is not None:
        checks.append(check_ambient_co(run.ambient_co_ppm))
    return tuple(replace(c, run=run.label) for c in checks)


def pressure_limits(case: Case) -> tuple[tuple[DepressurizationLimit, ...], tuple[str, ...]]:
    """Return every depressurization limit that may hold here, and what one would have to know to tell them apart."""
    vent, appliance = case.vent, case.shared_appliance
    if appliance is not None:
        word: Shared = "induced draft" if appliance.draft == "fan-assisted" else "furnace"
        # how it vents decides between two limits, and natural draft is only what the case file fills in
        words: tuple[Shared, ...] = (word,) if "draft" in appliance.model_fields_set else ("furnace", "induced draft")
        limits = tuple(depressurization_limit(orphan=False, masonry_or_exterior=False, shared=w) for w in words)
        return limits, ("other_draft",) if len(words) > 1 else ()
    answers = {
        "shared": vent.shared,
        "was_shared": vent.was_shared,
        "vent_material": None if vent.vertical is None else vent.vertical == "masonry",
        "exposure": vent.exterior,
    }
    missing = tuple(name for name, answer in answers.items() if answer is None or (name == "shared" and answer))
    strict = depressurization_limit(orphan=True, masonry_or_exterior=False)
    lax = depressurization_limit(orphan=False, masonry_or_exterior=False)
    cold = any(answers[name] for name in ("was_shared", "vent_material", "exposure"))
    if cold and "shared" not in missing:
        return (strict,), ()
    return ((strict, lax), missing) if missing else ((lax,), ())
