"""The checks of an option: of its own parts, and of the vent, air and terminal it ends up with."""

from __future__ import annotations

from advisor import catalog
from advisor.case.model import Case
from advisor.codes import terminals
from advisor.codes.check import Check
from advisor.codes.combustion_air import PATHS
from advisor.codes.places import RULES as PLACE_RULES
from advisor.codes.vent_sizing import check_single_vent
from advisor.facts import burners
from advisor.facts.place import Burns, place_checks, work_of
from advisor.findings import Finding, finding
from advisor.remedies import vent_facts
from advisor.remedies.base import Job, Remedy, Sized
from advisor.remedies.left_on_vent import left_checks
from advisor.remedies.replacement import new_input_btu_h
from advisor.remedies.shared_vent import new_vent, not_covered
from advisor.remedies.venting import NEW_VENTS, corrected
from advisor.review.case import air_checks
from advisor.review.exhaust import option_makeup_checks
from advisor.review.vent import job_checks, later_checks, vent_checks, with_a_fan

TWO_OUTDOOR = tuple(f"two_outdoor_openings_{path.replace(' ', '_')}" for path in PATHS)
OUTDOOR_OPENINGS = (*TWO_OUTDOOR, "one_outdoor_opening")
AIR_RULES = (*OUTDOOR_OPENINGS, "openings_to_rooms_on_the_same_story", "fan_supplied_combustion_air")
"""Rules that say how an option brings its combustion air; the air as found is then of no account."""
LACKING = (*TWO_OUTDOOR, "one_outdoor_opening", "standard_indoor_volume", "known_infiltration_volume")
"""Rules of a method that the room as found may use: to fail it is to lack air."""
ASKED = ("terminal_to_openings_of_the_building", "terminal_above_grade_and_snow")
"""Clearances for which the case file has a key; what it has none for is left to the quote."""


def option_checks(job: Job, remedy: Remedy, sized: Sized) -> tuple[Check, ...]:
    """Return the code checks of an option: its place, its own parts, and the vent, air and terminal it ends up with.

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
    checks = [*place_checks(case, burns_after(remedy.id, sized)), *sized.checks]
    if remedy.keeps_heater or remedy.id == "like_for_like":
        checks.extend(_vent_of_kept(case, remedy))
        if remedy.family != "combustion air" and not any(c.rule in AIR_RULES for c in sized.checks):
            checks.extend(air_checks(case))
    elif remedy.id == "fan_assisted":
        checks.extend(with_a_fan(case))
    else:
        if remedy.appliance_terminal is not None:
            checks.extend(wall_terminal_checks(case, remedy.appliance_terminal, new_input_btu_h(case, remedy.class_id)))
        checks.extend(left_checks(case))
    checks.extend(option_makeup_checks(job, remedy))
    return tuple(checks)


def _vent_of_kept(case: Case, remedy: Remedy) -> tuple[Check, ...]:
    """Return the checks of the vent that a kept heater ends up with, where the option's own parts do not bring them."""
    ids = set(remedy.id.split("+"))
    new = [material for name, material in NEW_VENTS.items() if name in ids]
    if new:
        # the remedy brings the checks of the vent it is sized for
        shared = burners.on_the_vent(case) and not not_covered(case)
        return later_checks(case, new_vent(case, new[0])) if shared else ()
    if "correct_connector" in ids:
        if not burners.on_the_vent(case):
            return check_single_vent(vent_facts.corrected_connector(case))
        if not not_covered(case):
            return job_checks(case, corrected(case))
    return vent_checks(case)


def burns_after(option_id: str, sized: Sized) -> Burns:
    """Return what an option burns on after the work, as the rules of the place ask."""
    work = work_of(option_id)
    found = {c.verdict for c in sized.checks if c.rule in OUTDOOR_OPENINGS}
    enough = True if "pass" in found else False if "fail" in found and "unknown" not in found else None
    return Burns(work.air_from, new_unit=not work.keeps_heater, outdoor_air=enough)


def place_notes(checks: tuple[Check, ...]) -> tuple[Finding, ...]:
    """Return what the client should know of the place: failed rules that were not read, and what is still to be looked at."""
    barring = {row["rule"] for row in catalog.table("gate_rules")}
    found = []
    for check in checks:
        if check.rule in PLACE_RULES and check.rule in barring:
            values = {"clause": check.clause, "client": check.client}
            if check.verdict == "fail" and check.status == "memory":
                found.append(finding("ranking.place_to_confirm", **values))
            elif check.verdict == "unknown":
                unread = "_memory" if check.status == "memory" else ""
                found.append(finding(f"ranking.place_unknown{unread}", **values))
    return tuple(found)


def wall_terminal_checks(case: Case, scheme: str, input_btu_h: float) -> tuple[Check, ...]:
    """Return the clearances of the new heater's terminal through the wall, as far as the case gives distances."""
    services = case.services
    found = terminals.check_sidewall_terminal(
        scheme,
        input_btu_h,
        opening_ft=services.wall_opening_distance_ft,
        grade_in=services.terminal_height_in,
    )
    return tuple(c for c in found if c.verdict != "unknown" or c.rule in ASKED)


def broken_rules(checks: tuple[Check, ...]) -> tuple[Check, ...]:
    """Return the failed checks that bar an option: vent rules that rest on text that was read or quoted.

    A value from memory never bars, it asks for confirmation; missing combustion air is charged, not barred
    (``catalog/ranking/gate_rules.csv``).
    """
    barred = {(row["rule"], row["about"]) for row in catalog.table("gate_rules")}
    return tuple(c for c in checks if c.verdict == "fail" and (c.rule, c.about) in barred and c.status != "memory")


def lacks_air(checks: tuple[Check, ...]) -> bool:
    """Return True when the combustion air as found fails every code method, or would with usual values."""
    return any("fail" in (c.verdict, c.usual) and c.rule in LACKING for c in checks)
