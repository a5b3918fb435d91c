"""Remedies that bring air: clear the opening, new openings, supply fans, make-up air, isolation of the zone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from advisor import catalog, units
from advisor.case.model import listed
from advisor.codes import combustion_air as code
from advisor.codes.check import Check
from advisor.codes.trade_sizes import next_trade_round_in, round_area_in2, trade_rounds_in
from advisor.codes.unknown import all_where_given, measure_first
from advisor.ensemble.state import State
from advisor.facts import burners, exhaust, openings, services, space
from advisor.findings import Words
from advisor.physics.flow import duct_effective_area
from advisor.remedies import air_facts
from advisor.remedies.base import Job, Remedy, Sized, effect, permit, spread

IN2 = units.M2_PER_IN2


def zone_input_btu_h(job: Job) -> float:
    """Input of everything that takes combustion air from the zone, Btu/h."""
    return burners.space_input(job.case).total_btu_h


def _has_opening(job: Job) -> tuple[Words, ...]:
    if not listed(job.case.opening):
        return ("there is no outdoor opening to clear",)
    if all(o.state == "open" for o in listed(job.case.opening)):
        return ("the opening was found open",)
    return ()


def _clear_intake(state: State, _: Job) -> State:
    left = np.minimum(state.intake_blocked, spread(state, "cleared_intake_left_blocked"))
    return replace(state, intake_blocked=left)


def _size_clear_intake(job: Job) -> Sized:
    return Sized((job.line("CLEAR_AIR"),), ("existing opening cleared, 1/4 in screen, warning label",))


def _outdoor(job: Job) -> tuple[Words, ...]:
    zone = job.case.zone
    if zone.kind == "open plan":
        return ("the heater stands in the open house: an opening there is a hole in the living room",)
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


def _free_share(job: Job) -> float:
    # a duct ends in a louver larger than itself, so its own area is free; a hole in the wall wears the louver
    return 1.0 if _horizontal(job) else openings.cover_share("metal louver", openings.louver_rule(job.case))


def _trade_round_in(area_in2: float) -> float:
    """Next trade size, or the largest there is."""
    return next_trade_round_in(area_in2) or trade_rounds_in()[-1]


def two_openings_in(job: Job) -> float:
    """Round size of each of two outdoor openings, inches (NFPA 54-2012 9.3.3.1)."""
    need = code.two_outdoor_opening_in2(zone_input_btu_h(job), _two_path(job))
    return _trade_round_in(need / _free_share(job))


def one_opening_in(job: Job) -> float:
    """Round size of the one outdoor opening, inches (NFPA 54-2012 9.3.3.2)."""
    need = code.one_outdoor_opening_in2(zone_input_btu_h(job), burners.connectors_in(job.case))
    return _trade_round_in(need / _free_share(job))


def _assumed(job: Job) -> frozenset[str]:
    """Return what nobody gave of that on which the size of a new opening or supply fan rests."""
    asked = {*code.BURNERS, *code.LISTED_BURNERS, *code.CONNECTORS, "zone_exhaust"}
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
    left = 1.0 - state.intake_blocked
    return replace(
        state,
        opening_high_m2=state.opening_high_m2 * left + high_m2,
        opening_low_m2=state.opening_low_m2 * left + low_m2,
        intake_blocked=np.zeros(state.samples),
    )


def _air_lines(job: Job) -> tuple[Words, ...]:
    return ("AIR_DUCT",) if _horizontal(job) else ("AIR_LOUVER",)


def _size_two(job: Job) -> Sized:
    size, kind = two_openings_in(job), "horizontal duct" if _horizontal(job) else "opening through the wall"
    area = round_area_in2(size) * _free_share(job)
    checks = _as_far_as_given(job, code.check_two_outdoor_openings(zone_input_btu_h(job), _two_path(job), area, area))
    parts = (
        f"two {size:g} in. round {kind}s, one starting within 12 in. of the ceiling, one within 12 in. of the floor",
        *_assumed_parts(job, code.BURNERS),
    )
    return Sized((*(job.line(m) for m in _air_lines(job)), permit(job)), parts, checks, (NO_FAN_RULE,))


NO_FAN_RULE = (
    "opening sizes in the code do not count what fans take out of the house: the simulation here does, the code table "
    "does not"
)


def _size_one(job: Job) -> Sized:
    size = one_opening_in(job)
    area = round_area_in2(size) * _free_share(job)
    check = code.check_one_outdoor_opening(zone_input_btu_h(job), burners.connectors_in(job.case), area)
    parts = (
        f"one {size:g} in. round opening to outdoors, starting within 12 in. of the ceiling",
        *_assumed_parts(job, (*code.BURNERS, *code.CONNECTORS)),
    )
    checks = _as_far_as_given(job, check)
    return Sized((*(job.line(m) for m in _air_lines(job)), permit(job)), parts, checks, (NO_FAN_RULE,))


def _indoor(job: Job) -> tuple[Words, ...]:
    zone = job.case.zone
    reasons = []
    if zone.opens_to in ("bedroom", "bathroom") or zone.bedroom_or_bath:
        reasons.append("air must not be taken from a bedroom or bathroom")
    if zone.opens_to == "outdoors" or space.apart(job.case):
        reasons.append("the heater's space does not adjoin the rooms of the house")
    if zone.door == "none" or zone.kind in ("open plan", "kitchen"):
        reasons.append("the heater's space is already open to the house")
    return tuple(reasons)


def _indoor_size_in2(job: Job) -> float:
    return code.same_story_opening_in2(zone_input_btu_h(job))


def _grilles(state: State, job: Job) -> State:
    area = 2.0 * _indoor_size_in2(job) * IN2
    return replace(
        state,
        link_closed_m2=state.link_closed_m2 + area,
        link_open_m2=state.link_open_m2 + area,
        zone_isolated=False,
    )


def _size_grilles(job: Job) -> Sized:
    need = _indoor_size_in2(job)
    check = code.check_indoor_openings_same_story(zone_input_btu_h(job), need, need)
    house = job.case.house.volume_ft3
    volume = code.check_standard_volume(zone_input_btu_h(job), house)
    parts = (
        f"two grilles of {need:.0f} in2 free area each, within 12 in. of ceiling and floor",
        *_assumed_parts(job, code.BURNERS),
    )
    return Sized((job.line("GRILLE_PAIR"),), parts, _as_far_as_given(job, check, volume), (NO_FAN_RULE,))


def _mechanical_flow_cfm(job: Job) -> float:
    return code.mechanical_supply_cfm(zone_input_btu_h(job), exhaust.zone_cfm(job.case))


def _power(job: Job) -> tuple[Words, ...]:
    return ("there is no power and no room in the panel for a new circuit",) if services.no_power(job.case) else ()


def _mechanical(state: State, job: Job) -> State:
    flow = _mechanical_flow_cfm(job) * units.M3_S_PER_CFM
    return replace(state, zone_supply_m3_s=flow * spread(state, "mechanical_air_margin"))


def _size_mechanical(job: Job) -> Sized:
    flow = _mechanical_flow_cfm(job)
    check = code.check_mechanical_supply(zone_input_btu_h(job), flow, exhaust.zone_cfm(job.case), True)
    fan = job.line("AIR_FAN" if flow <= effect("small_supply_fan_cfm") else "MUA_FAN")
    return Sized(
        (fan, *job.outlet_120_v(), permit(job)),
        (
            f"supply fan of at least {flow:.0f} cfm, proven by a switch before the burner can fire",
            *_assumed_parts(job, (*code.BURNERS, "zone_exhaust")),
        ),
        _as_far_as_given(job, check),
        ("a heater with a self-powered gas valve needs another control first",),
    )


def _exhausting(job: Job) -> tuple[Words, ...]:
    if not exhaust.outdoors(job.case):
        return ("nothing in the house exhausts outdoors",)
    return ()


def damper_in(job: Job) -> float:
    """Round size of a passive make-up damper for the largest fan, inches: capped at the largest size offered."""
    largest = exhaust.largest_cfm(job.case) * units.M3_S_PER_CFM
    heads = effect("passive_damper_duct_heads")
    speed = np.sqrt(2.0 * effect("passive_damper_velocity_pa") / (1.2 * heads))
    need = largest / speed / IN2
    cap = effect("passive_damper_largest_in")
    if need >= round_area_in2(cap):
        return cap
    return min(_trade_round_in(float(need)), cap)


def _passive(state: State, job: Job) -> State:
    heads = spread(state, "passive_damper_duct_heads")
    area = duct_effective_area(np.asarray(round_area_in2(damper_in(job)) * IN2), heads, state.discharge)
    return replace(state, relief_house_m2=state.relief_house_m2 + area)


def _size_passive(job: Job) -> Sized:
    size = damper_in(job)
    largest = exhaust.largest_cfm(job.case)
    short = size >= effect("passive_damper_largest_in") and largest > effect("largest_own_fan_cfm")
    notes = (
        ("the fan is larger than a passive damper can serve alone: expect only part of the effect",) if short else ()
    )
    return Sized(
        (job.line("MUA_PASSIVE"), permit(job)),
        (f"{size:g} in. round motorized damper to outdoors, opened by the fan's switch",),
        (),
        (*notes, "outdoor air comes in untempered while the fan runs"),
    )


def _powered(state: State, job: Job) -> State:
    share = exhaust.largest_cfm(job.case) / max(exhaust.all_cfm(job.case), 1.0)
    return replace(state, makeup_share=np.minimum(spread(state, "powered_makeup_share") * share, 1.0))


def _size_powered(job: Job) -> Sized:
    largest = exhaust.largest_cfm(job.case)
    cold = job.case.house.climate_zone is not None and int(job.case.house.climate_zone[0]) >= catalog.number(
        "site_assumptions", "cold_zone_from"
    )
    lines = [job.line("MUA_FAN"), permit(job)]
    if cold:
        lines.insert(1, job.line("MUA_HEAT", assumed=True))
    return Sized(tuple(lines), (f"supply fan of about {largest:.0f} cfm, interlocked with the largest exhaust fan",))


def _isolatable(job: Job) -> tuple[Words, ...]:
    zone, handler = job.case.zone, job.case.air_handler
    reasons = []
    if zone.kind not in ("closet", "utility room", "garage"):
        reasons.append("only a closet or small room can be sealed off from the house")
    if handler.present and handler.in_zone:
        reasons.append("the air handler stands in the same room and would pull on it")
    return tuple(reasons)


def _isolate(state: State, job: Job) -> State:
    opened = _two(state, job)
    gap = (spread(state, "isolated_gap_in2") + spread(state, "isolated_wall_crack_in2")) * IN2
    return replace(opened, link_closed_m2=gap, link_open_m2=gap, zone_isolated=True)


def _size_isolate(job: Job) -> Sized:
    two = _size_two(job)
    return Sized(
        (job.line("ISOLATE"), *two.lines),
        ("solid self-closing gasketed door, walls sealed", *two.parts),
        two.checks,
        ("the room runs cold: pipes need a freeze check", NO_FAN_RULE),
    )


REMEDIES: tuple[Remedy, ...] = (
    Remedy("clear_intake", _has_opening, _clear_intake, _size_clear_intake),
    Remedy("two_outdoor_openings", _outdoor, _two, _size_two),
    Remedy("one_outdoor_opening", _outdoor, _one, _size_one),
    Remedy("indoor_openings", _indoor, _grilles, _size_grilles),
    Remedy("mechanical_air", _power, _mechanical, _size_mechanical),
    Remedy("passive_makeup_air", _exhausting, _passive, _size_passive),
    Remedy("powered_makeup_air", _exhausting, _powered, _size_powered),
    Remedy("isolate_zone", _isolatable, _isolate, _size_isolate),
)
