"""Remedies that bring air: clear the opening, new openings, supply fans, make-up air, isolation of the zone."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from advisor import catalog, units
from advisor.case.model import listed
from advisor.codes import combustion_air as code
from advisor.codes.check import Check
from advisor.codes.trade_sizes import next_trade_round_in, round_area_in2, trade_rounds_in
from advisor.codes.unknown import all_where_given, measure_first
from advisor.ensemble.state import State
from advisor.facts import burners, exhaust, makeup, openings, services, space
from advisor.findings import Finding, Quantity, Value, Words, finding, quantity
from advisor.money.bill import BillLine
from advisor.physics.flow import duct_effective_area
from advisor.remedies import air_facts
from advisor.remedies.base import Job, Remedy, Sized, effect, permit, spread

IN2 = units.M2_PER_IN2


def zone_input_btu_h(job: Job) -> float:
    """Input of everything that takes combustion air from the zone, Btu/h."""
    return burners.space_input(job.case).total_btu_h


def _has_opening(job: Job) -> tuple[Words, ...]:
    if not listed(job.case.opening):
        return (finding("remedies.not_here.no_opening"),)
    if all(o.state == "open" for o in listed(job.case.opening)):
        return (finding("remedies.not_here.opening_open"),)
    return ()


def _clear_intake(state: State, _: Job) -> State:
    left = np.minimum(state.zone.intake_blocked, spread(state, "cleared_intake_left_blocked"))
    return replace(state, zone=replace(state.zone, intake_blocked=left))


def _size_clear_intake(job: Job) -> Sized:
    mesh = _rule_in("finest_screen_mesh_in")
    return Sized((job.line("CLEAR_AIR"),), (finding("remedies.part.opening_cleared", mesh=mesh),))


def _rule_in(key: str) -> Quantity:
    """Return a length of the code, to be said."""
    return quantity(catalog.number("rules_combustion_air", key), "in", digits=2)


def _outdoor(job: Job) -> tuple[Words, ...]:
    zone = job.case.zone
    if zone.kind == "open plan":
        return (finding("remedies.not_here.open_plan"),)
    return ()


def _horizontal(job: Job) -> bool:
    """A zone without an outside wall of its own takes horizontal ducts (as an existing opening shows, else a closet)."""
    if listed(job.case.opening):
        return openings.outdoor_path(job.case) == "horizontal duct"
    return job.case.zone.kind == "closet"


def _two_path(job: Job) -> code.OpeningPath:
    return "horizontal duct" if _horizontal(job) else "direct"


def _effective_m2(round_in: float, horizontal: bool) -> float:
    """Effective area of one round opening behind a metal louver, with the loss of a short duct where there is one."""
    area = round_area_in2(round_in) * IN2
    if not horizontal:
        return area * openings.cover_share("metal louver")
    heads = catalog.number("priors", "opening_duct_entry_loss") + catalog.number("priors", "opening_elbow_loss")
    discharge = catalog.number("priors", "discharge_coefficient")
    return float(duct_effective_area(np.asarray(area), np.asarray(heads), np.asarray(discharge)))


def _gross_in2(job: Job, free_in2: float) -> float:
    return free_in2 if _horizontal(job) else code.gross_area_in2(free_in2, "metal", openings.louver_rule(job.case))


def _free_share(job: Job) -> float:
    # a duct ends in a louver larger than itself, so its own area is free; a hole in the wall wears the louver
    return 1.0 if _horizontal(job) else openings.cover_share("metal louver", openings.louver_rule(job.case))


def _trade_round_in(area_in2: float) -> float:
    """Next trade size, or the largest there is."""
    return next_trade_round_in(area_in2) or trade_rounds_in()[-1]


def two_openings_in(job: Job) -> float:
    """Round size of each of two outdoor openings, inches (NFPA 54-2012 9.3.3.1)."""
    need = code.two_outdoor_opening_in2(zone_input_btu_h(job), _two_path(job))
    return _trade_round_in(_gross_in2(job, need))


def one_opening_in(job: Job) -> float:
    """Round size of the one outdoor opening, inches (NFPA 54-2012 9.3.3.2)."""
    need = code.one_outdoor_opening_in2(zone_input_btu_h(job), burners.connectors_in(job.case))
    return _trade_round_in(_gross_in2(job, need))


def _assumed(job: Job) -> frozenset[str]:
    """Return what nobody gave of that on which the size of a new opening or supply fan rests."""
    asked = {*code.BURNERS, *code.LISTED_BURNERS, *code.CONNECTORS, *code.RATE, "zone_exhaust"}
    return air_facts.assumed_of(job.case) & asked


def _as_far_as_given(job: Job, *checks: Check) -> tuple[Check, ...]:
    return all_where_given(checks, _assumed(job))


def _assumed_parts(job: Job, names: Sequence[str]) -> tuple[Words, ...]:
    """Return the part of the quote that says which sizes rest on usual values, and what to find out first."""
    return measure_first([name for name in names if name in _assumed(job)])


def _two(state: State, job: Job) -> State:
    each = _effective_m2(two_openings_in(job), _horizontal(job))
    return _with_openings(state, each, each)


def _one(state: State, job: Job) -> State:
    return _with_openings(state, _effective_m2(one_opening_in(job), _horizontal(job)), 0.0)


def _with_openings(state: State, high_m2: float, low_m2: float) -> State:
    """New openings in place of what the old ones still pass."""
    left = 1.0 - state.zone.intake_blocked
    return replace(
        state,
        zone=replace(
            state.zone,
            opening_high_m2=state.zone.opening_high_m2 * left + high_m2,
            opening_low_m2=state.zone.opening_low_m2 * left + low_m2,
            intake_blocked=np.zeros(state.samples),
        ),
    )


def _air_lines(job: Job) -> tuple[str, ...]:
    return ("AIR_DUCT",) if _horizontal(job) else ("AIR_LOUVER",)


def _size_two(job: Job) -> Sized:
    size, kind = two_openings_in(job), "two_ducts" if _horizontal(job) else "two_wall_openings"
    area = round_area_in2(size) * _free_share(job)
    checks = _as_far_as_given(job, code.check_two_outdoor_openings(zone_input_btu_h(job), _two_path(job), area, area))
    parts = (
        finding(f"remedies.part.{kind}", size=quantity(size, "in"), within=_rule_in("opening_within_in")),
        *_assumed_parts(job, code.BURNERS),
    )
    return Sized((*(job.line(m) for m in _air_lines(job)), permit(job)), parts, checks, (NO_FAN_RULE,))


NO_FAN_RULE = finding("remedies.note.no_fan_rule")


def _size_one(job: Job) -> Sized:
    size = one_opening_in(job)
    area = round_area_in2(size) * _free_share(job)
    check = code.check_one_outdoor_opening(zone_input_btu_h(job), burners.connectors_in(job.case), area)
    parts = (
        finding("remedies.part.one_opening", size=quantity(size, "in"), within=_rule_in("opening_within_in")),
        *_assumed_parts(job, (*code.BURNERS, *code.CONNECTORS)),
    )
    checks = _as_far_as_given(job, check)
    return Sized((*(job.line(m) for m in _air_lines(job)), permit(job)), parts, checks, (NO_FAN_RULE,))


def _indoor(job: Job) -> tuple[Words, ...]:
    zone = job.case.zone
    reasons: list[Finding] = []
    if zone.opens_to in ("bedroom", "bathroom") or zone.bedroom_or_bath:
        reasons.append(finding("remedies.not_here.bedroom_air"))
    if zone.opens_to == "outdoors" or space.apart(job.case):
        reasons.append(finding("remedies.not_here.not_adjoining"))
    if zone.door == "none" or zone.kind in ("open plan", "kitchen"):
        reasons.append(finding("remedies.not_here.already_open"))
    return tuple(reasons)


def _indoor_size_in2(job: Job) -> float:
    return code.same_story_opening_in2(zone_input_btu_h(job))


def _grilles(state: State, job: Job) -> State:
    area = 2.0 * _indoor_size_in2(job) * IN2
    return replace(
        state,
        zone=replace(
            state.zone, link_closed_m2=state.zone.link_closed_m2 + area, link_open_m2=state.zone.link_open_m2 + area
        ),
        zone_isolated=False,
    )


def _size_grilles(job: Job) -> Sized:
    need = _indoor_size_in2(job)
    check = code.check_indoor_openings_same_story(zone_input_btu_h(job), need, need)
    volume = air_facts.indoor_volume(job.case, job.case.house.volume_ft3)
    parts = (
        finding(
            "remedies.part.two_grilles", area=quantity(need, "in2", digits=0), within=_rule_in("opening_within_in")
        ),
        *_assumed_parts(job, code.BURNERS),
    )
    return Sized((job.line("GRILLE_PAIR"),), parts, _as_far_as_given(job, check, volume), (NO_FAN_RULE,))


def _mechanical_flow_cfm(job: Job) -> float:
    return code.mechanical_supply_cfm(zone_input_btu_h(job), exhaust.zone_cfm(job.case))


def _power(job: Job) -> tuple[Words, ...]:
    return (finding("remedies.not_here.no_power_no_panel"),) if services.no_power(job.case) else ()


def _mechanical(state: State, job: Job) -> State:
    flow = _mechanical_flow_cfm(job) * units.M3_S_PER_CFM
    return replace(state, zone=replace(state.zone, supply_m3_s=flow * spread(state, "mechanical_air_margin")))


def _size_mechanical(job: Job) -> Sized:
    flow = _mechanical_flow_cfm(job)
    check = code.check_mechanical_supply(zone_input_btu_h(job), flow, exhaust.zone_cfm(job.case), True)
    fan = job.line("AIR_FAN" if flow <= effect("small_supply_fan_cfm") else "MUA_FAN")
    return Sized(
        (fan, *job.outlet_120_v(), permit(job)),
        (
            finding("remedies.part.supply_fan", flow=quantity(flow, "cfm")),
            *_assumed_parts(job, (*code.BURNERS, "zone_exhaust")),
        ),
        _as_far_as_given(job, check),
        (finding("remedies.note.other_control_first"),),
    )


def _exhausting(job: Job) -> tuple[Words, ...]:
    if not exhaust.outdoors(job.case):
        return (finding("remedies.not_here.nothing_exhausts"),)
    return ()


def damper_in(job: Job) -> float:
    """Round size of a passive make-up damper for the flow needed, inches: capped at the largest size offered."""
    area = makeup.needed_cfm(job.case) * units.M3_S_PER_CFM / makeup.damper_speed_m_s() / IN2
    cap = effect("passive_damper_largest_in")
    if area >= round_area_in2(cap):
        return cap
    return min(_trade_round_in(float(area)), cap)


def _passive(state: State, job: Job) -> State:
    heads = spread(state, "passive_damper_duct_heads")
    area = duct_effective_area(np.asarray(round_area_in2(damper_in(job)) * IN2), heads, state.zone.discharge)
    return replace(state, house=replace(state.house, relief_m2=state.house.relief_m2 + area))


def _flow_assumed(job: Job) -> tuple[Words, ...]:
    """Return the part of the quote that says that the flow of a fan is a usual one, and to read its label first."""
    # a dryer whose flow nobody gave is not the largest device
    fans = (device for device in exhaust.counted(job.case) if device.kind in makeup.FANS)
    usual = any(exhaust.stated_flow(device).basis == "usual" for device in fans)
    return measure_first(["exhaust_flow"] if usual else [])


def _size_passive(job: Job) -> Sized:
    size, needed = damper_in(job), makeup.needed_cfm(job.case)
    short = size >= effect("passive_damper_largest_in") and needed > effect("largest_own_fan_cfm")
    notes = (finding("remedies.note.only_part_of_the_effect"),) if short else ()
    part = finding(
        "remedies.part.motorized_damper",
        size=quantity(size, "in"),
        flow=quantity(makeup.passive_flow_cfm(size), "cfm"),
        drop=quantity(effect("passive_damper_velocity_pa"), "pa"),
    )
    return Sized(
        (job.line("MUA_PASSIVE"), permit(job)),
        (part, *_flow_assumed(job)),
        (),
        (
            *notes,
            _no_barometric_damper(),
            finding("remedies.note.untempered"),
        ),
    )


def _no_barometric_damper() -> Finding:
    clause = catalog.parameter("rules_limits", "makeup_no_barometric_damper").ref
    return finding("remedies.note.no_barometric_damper", clause=clause)


def _powered(state: State, job: Job) -> State:
    share = makeup.needed_cfm(job.case) / max(exhaust.all_cfm(job.case), 1.0)
    return replace(
        state, house=replace(state.house, makeup_share=np.minimum(spread(state, "powered_makeup_share") * share, 1.0))
    )


def _size_powered(job: Job) -> Sized:
    flow = makeup.needed_cfm(job.case)
    cold = job.case.house.climate_zone is not None and int(job.case.house.climate_zone[0]) >= catalog.number(
        "site_assumptions", "cold_zone_from"
    )
    lines = [job.line("MUA_FAN"), permit(job)]
    if cold:
        lines.insert(1, job.line("MUA_HEAT", assumed=True))
    part = finding("remedies.part.interlocked_fan", flow=quantity(flow, "cfm"))
    return Sized(tuple(lines), (part, *_flow_assumed(job)))


def makeup_line(job: Job) -> BillLine:
    """Return the line for the make-up air that a rule asks beside a heater that is kept: a damper where one is enough."""
    enough = makeup.passive_flow_cfm(effect("passive_damper_largest_in")) >= makeup.owed_cfm(job.case)
    return job.line("MUA_PASSIVE" if enough else "MUA_FAN", assumed=True)


def _isolatable(job: Job) -> tuple[Words, ...]:
    zone, handler = job.case.zone, job.case.air_handler
    reasons: list[Finding] = []
    if zone.kind not in ("closet", "utility room", "garage"):
        reasons.append(finding("remedies.not_here.only_a_small_room"))
    if handler.present and handler.in_zone:
        reasons.append(finding("remedies.not_here.air_handler_in_the_room"))
    return tuple(reasons)


def _isolate(state: State, job: Job) -> State:
    opened = _two(state, job)
    gap = (spread(state, "isolated_gap_in2") + spread(state, "isolated_wall_crack_in2")) * IN2
    return replace(opened, zone=replace(opened.zone, link_closed_m2=gap, link_open_m2=gap), zone_isolated=True)


def _size_isolate(job: Job) -> Sized:
    two = _size_two(job)
    return Sized(
        (job.line("ISOLATE"), *two.lines),
        (finding("remedies.part.sealed_room"), *two.parts),
        two.checks,
        (finding("remedies.note.room_runs_cold"), NO_FAN_RULE),
    )


def _clear_of_the_heater() -> Mapping[str, Value]:
    return {"sides": _rule_in("one_opening_side_clearance_in"), "front": _rule_in("one_opening_front_clearance_in")}


REMEDIES: tuple[Remedy, ...] = (
    Remedy("clear_intake", _has_opening, _clear_intake, _size_clear_intake),
    Remedy("two_outdoor_openings", _outdoor, _two, _size_two),
    Remedy("one_outdoor_opening", _outdoor, _one, _size_one, _clear_of_the_heater),
    Remedy("indoor_openings", _indoor, _grilles, _size_grilles),
    Remedy("mechanical_air", _power, _mechanical, _size_mechanical),
    Remedy("passive_makeup_air", _exhausting, _passive, _size_passive),
    Remedy("powered_makeup_air", _exhausting, _powered, _size_powered),
    Remedy("isolate_zone", _isolatable, _isolate, _size_isolate),
)
