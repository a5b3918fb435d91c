"""Remedies that bring air: clear the opening, new openings, supply fans, make-up air, isolation of the zone."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from advisor import catalog, units
from advisor.case.model import Case, listed
from advisor.codes import combustion_air as code
from advisor.codes.check import Check
from advisor.codes.trade_sizes import next_trade_round_in, round_area_in2, trade_rounds_in
from advisor.codes.unknown import all_where_given, measure_first
from advisor.ensemble.state import State
from advisor.facts import burners, exhaust, makeup, services, space
from advisor.facts.place import takes_private_air
from advisor.findings import Finding, Value, Words, finding, quantity, slug
from advisor.money.bill import BillLine
from advisor.physics.flow import duct_effective_area
from advisor.remedies import air_facts
from advisor.remedies.air_plan import Method, as_done, plan
from advisor.remedies.air_work import checks_of, grilles_after, lines_of, openings_after, parts_of, rule_in
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
    mesh = rule_in("finest_screen_mesh_in")
    clear = [opening.model_copy(update={"state": "open"}) for opening in listed(job.case.opening)]
    # held against what is there once it is clear, whichever method it is meant for
    check = air_facts.way_in_use(job.case.model_copy(update={"opening": clear})).check
    return Sized((job.line("CLEAR_AIR"),), (finding("remedies.part.opening_cleared", mesh=mesh),), (check,))


def _outdoor(job: Job, method: Method) -> tuple[Words, ...]:
    """Return why openings to outdoors cannot be built, or need not: what is there would do."""
    if job.case.zone.kind == "open plan":
        return (finding("remedies.not_here.open_plan"),)
    made = plan(job.case, method)
    if isinstance(made, Finding):
        return (made,)
    if made.built:
        return ()
    return (finding(f"remedies.not_here.{'clear_what_is_there' if made.cleared else 'openings_enough'}"),)


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
    return openings_after(state, as_done(job.case, "two"))


def _one(state: State, job: Job) -> State:
    return openings_after(state, as_done(job.case, "one"))


def _size_outdoor(job: Job, method: Method, *more: str) -> Sized:
    """Return openings to outdoors as planned; nothing where they cannot be built, which the gate says."""
    made = plan(job.case, method)
    if isinstance(made, Finding):
        return Sized(())
    asked = {name for name in (*code.BURNERS, *more) if name in _assumed(job)} | made.assumed
    if job.case.opening is None:
        asked.add("openings")  # one that is there would be used
    parts = (*parts_of(made), *measure_first(sorted(asked)))
    ducts = made.path != "direct" and "outside_wall" in made.assumed
    notes = (finding("remedies.note.or_through_the_wall"), NO_FAN_RULE) if ducts else (NO_FAN_RULE,)
    checks = _as_far_as_given(job, *checks_of(job.case, made))
    return Sized((*lines_of(job, made), permit(job)), parts, checks, notes)


def _size_two(job: Job) -> Sized:
    return _size_outdoor(job, "two")


NO_FAN_RULE = finding("remedies.note.no_fan_rule")


def _size_one(job: Job) -> Sized:
    return _size_outdoor(job, "one", *code.CONNECTORS)


def _indoor(job: Job) -> tuple[Words, ...]:
    zone = job.case.zone
    reasons: list[Finding] = []
    if takes_private_air(job.case):
        reasons.append(finding("remedies.not_here.bedroom_air"))
    if zone.kind == "garage":
        rule = code.rule("garage_transfer_grille")
        status = finding(f"view.status.{slug(rule.status)}")
        reasons.append(finding("remedies.not_here.garage_opening", clause=rule.ref, status=status))
    elif zone.opens_to == "outdoors" or space.apart(job.case):
        reasons.append(finding("remedies.not_here.not_adjoining"))
    if zone.door == "none" or zone.kind in ("open plan", "kitchen"):
        reasons.append(finding("remedies.not_here.already_open"))
    made = plan(job.case, "rooms")
    if isinstance(made, Finding):
        reasons.append(made)
    return (*reasons, *_too_small(job.case))


def _too_small(case: Case) -> tuple[Words, ...]:
    """Return that the house with the heater's space in it is smaller than the rule asks, where its volume was measured."""
    heat, volume = burners.space_input(case), case.house.volume_ft3
    if volume is None or code.check_standard_volume(heat.total_btu_h, volume).verdict != "fail":
        return ()
    need = code.standard_volume_ft3(heat.total_btu_h)
    held, asked = quantity(volume, "ft3", 0), quantity(need, "ft3", 0)
    return (finding("remedies.not_here.house_too_small", volume=held, need=asked),)


def _grilles(state: State, job: Job) -> State:
    return grilles_after(state, as_done(job.case, "rooms"))


def _size_grilles(job: Job) -> Sized:
    made = plan(job.case, "rooms")
    if isinstance(made, Finding):
        return Sized(())
    volume = air_facts.indoor_volume(job.case, job.case.house.volume_ft3)
    parts = (*parts_of(made), *_assumed_parts(job, code.BURNERS))
    checks = _as_far_as_given(job, *checks_of(job.case, made), volume)
    return Sized(lines_of(job, made), parts, checks, (NO_FAN_RULE,))


def code_air(job: Job) -> tuple[tuple[BillLine, ...], Words]:
    """Return the combustion air that the code asks of whatever stays on the room's air: its lines, and what to say.

    Grilles to the adjoining rooms where they are allowed, else openings to outdoors; no lines where neither can be built.
    """
    if not _indoor(job):
        return lines_of(job, as_done(job.case, "rooms"), assumed=True), finding("ranking.code_air_is_priced")
    if not _outdoor(job, "two"):
        return lines_of(job, as_done(job.case, "two"), assumed=True), finding(
            "ranking.code_air_from_outdoors_is_priced"
        )
    return (), finding("ranking.code_air_is_not_priced")


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


def _trade_round_in(area_in2: float) -> float:
    """Next trade size, or the largest there is."""
    return next_trade_round_in(area_in2) or trade_rounds_in()[-1]


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
    made = plan(job.case, "two")
    return (*reasons, made) if isinstance(made, Finding) else tuple(reasons)


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
    return {"sides": rule_in("one_opening_side_clearance_in"), "front": rule_in("one_opening_front_clearance_in")}


REMEDIES: tuple[Remedy, ...] = (
    Remedy("clear_intake", _has_opening, _clear_intake, _size_clear_intake),
    Remedy("two_outdoor_openings", lambda job: _outdoor(job, "two"), _two, _size_two),
    Remedy("one_outdoor_opening", lambda job: _outdoor(job, "one"), _one, _size_one, _clear_of_the_heater),
    Remedy("indoor_openings", _indoor, _grilles, _size_grilles),
    Remedy("mechanical_air", _power, _mechanical, _size_mechanical),
    Remedy("passive_makeup_air", _exhausting, _passive, _size_passive),
    Remedy("powered_makeup_air", _exhausting, _powered, _size_powered),
    Remedy("isolate_zone", _isolatable, _isolate, _size_isolate),
)
