"""From what was found to an ensemble of situations that fit it: ``Case -> State``.

Measured values get their instrument error, unmeasured ones come from ``catalog/evidence/priors.csv``. Rare faults (blocked
intake, blocked vent, strong fan, terminal in a pressure zone, a large offset) are over-sampled, and weighted back by
``log_weight``.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from advisor import catalog, units
from advisor.case.model import Case, listed
from advisor.codes.trade_sizes import round_area_in2
from advisor.ensemble import properties
from advisor.ensemble.faults import choose_fault, prior_numbers
from advisor.ensemble.state import AirState, Array, BurnerState, Chance, Device, HouseState, State, ZoneState
from advisor.ensemble.uniforms import Uniforms, triangular
from advisor.ensemble.unknown_draw import draw_offset, duct_leaks_cfm, supply_m3_s, unlisted_m3_s, usual_devices
from advisor.ensemble.vent_draw import draw_vent
from advisor.facts import exhaust, leakage, makeup, openings, space
from advisor.physics import air, combustion
from advisor.physics.flow import duct_effective_area

FAN_COLUMNS = ("fan_a", "fan_b", "fan_c", "fan_d", "fan_e", "fan_f", "fan_g", "fan_h")


def draw(case: Case, samples: int = 4096, seed: int = 1) -> State:
    """Draw an ensemble of situations from scrambled Sobol points; see `draw_at`."""
    return draw_at(case, Uniforms.sobol(samples, seed))


def draw_at(case: Case, u: Uniforms) -> State:
    """Turn uniform points into an ensemble of situations.

    Parameters
    ----------
    case : Case
        What was found.
    u : Uniforms
        One point a situation.

    Returns
    -------
    State
        Arrays of shape (n,).
    """
    leaks, ducts, (offset_pa, offset_weight) = _leaks(case, u), duct_leaks_cfm(case, u), draw_offset(u)
    zone, zone_weight = _zone(case, u, leaks[0], ducts[0])
    devices, flows, fan_weight = _fans(case, u)
    vent, vent_weight = draw_vent(case, u, offset_pa)
    air_state = _air(case, u)
    return State(
        devices=devices,
        appliance="natural draft",
        zone_isolated=case.zone.door == "weatherstripped" and bool(listed(case.opening)),
        has_door=space.usually_has_door(case),
        fuel=_fuel_key(case),
        air=air_state,
        house=_house(case, u, leaks, flows, ducts[1]),
        zone=zone,
        burner=_burner(case, u, air_state.room_k),
        vent=vent,
        chance=Chance(
            log_weight=zone_weight + fan_weight + vent_weight + offset_weight,
            tester_luck=u.column("tester").copy(),
            model_luck=u.column("model").copy(),
        ),
    )


def _fuel_key(case: Case) -> str:
    return "propane" if case.heater.fuel == "propane" else "natural_gas"


@dataclass(frozen=True, slots=True)
class _Shelter:
    """What is left of the wind in a shelter class (``shelter``)."""

    shelter_class: int
    wind_factor: float


def _air(case: Case, u: Uniforms) -> AirState:
    pressure = float(air.standard_pressure_pa(case.house.altitude_ft * units.M_PER_FT))
    room = units.kelvin_from_fahrenheit(u.prior("room_temp", "room_temp_f"))
    # one column: who keeps the house warm in winter takes a warm one in summer
    summer = units.kelvin_from_fahrenheit(u.prior("room_temp", "room_summer_f"))
    share = np.zeros(u.samples) if space.heated(case) else u.prior("unheated", "unheated_zone_share")
    factors = {row.shelter_class: row.wind_factor for row in catalog.rows_of(_Shelter, "shelter")}
    shelter = 1.0 if case.house.shelter is None else factors[case.house.shelter]
    return AirState(
        room_k=room,
        room_summer_k=summer,
        zone_k_share=share,
        pressure_pa=np.full(u.samples, pressure),
        wind_factor=u.prior("wind_local", "wind_local_factor") * shelter,
    )


def _size(case: Case, u: Uniforms) -> tuple[Array, Array, Array]:
    """Floor area, height from the lowest floor to the highest ceiling, and volume of the house; m2, m, m3."""
    house = case.house
    area = u.known_or(house.floor_area_ft2, "floor_area", "floor_area_ft2") * units.M2_PER_FT2
    stories = house.stories or 1
    basement = case.zone.kind == "basement" or house.foundation in ("conditioned basement",)
    story = u.prior("story_height", "story_height_ft") * units.M_PER_FT
    height = story * (stories + (1 if basement else 0))
    volume = (
        np.full(u.samples, house.volume_ft3 * units.M3_PER_FT3)
        if house.volume_ft3
        else area * u.prior("ceiling_height", "ceiling_height_ft") * units.M_PER_FT
    )
    return area, height, volume


def _leaks(case: Case, u: Uniforms) -> tuple[Array, Array]:
    """Flow through all leaks at 1 Pa, those of the heater's space included, m3/s, and its exponent."""
    mean, spread = catalog.number("priors", "leakage_exponent"), catalog.number("priors", "leakage_exponent_sd")
    known = leakage.measured_exponent(case)
    exponent = np.clip(mean + spread * u.normal("exponent"), 0.5, 0.85) if known is None else np.full(u.samples, known)
    measured = leakage.measured_cfm50(case)
    if measured is None:
        flow50, gsd = leakage.prior_of(case, _size(case, u)[0])
    else:
        flow50 = np.full(u.samples, measured * units.M3_S_PER_CFM)
        gsd = catalog.number("priors", "leakage_measured_gsd")
    return leakage.at_1_pa(flow50 * gsd ** u.normal("leakage"), exponent), exponent


def _zone_leak_share(case: Case, u: Uniforms) -> Array:
    return u.prior("zone_leak", f"zone_leak_share_{case.zone.kind.replace(' ', '_')}")


def _house(
    case: Case, u: Uniforms, leaks: tuple[Array, Array], device_m3_s: Array, supply_leak_cfm: Array
) -> HouseState:
    leak, exponent = leaks
    _, height, volume = _size(case, u)
    zero = np.zeros(u.samples)
    return HouseState(
        leak_m3_s=leakage.split(case, leak, _zone_leak_share(case, u))[0],
        exponent=exponent,
        floor_share=u.prior("floor_share", "leak_floor_share"),
        ceiling_share=u.prior("ceiling_share", "leak_ceiling_share"),
        height_m=height,
        volume_m3=volume,
        interior_doors_factor=u.prior("interior_doors", "interior_doors_leak_factor"),
        device_m3_s=device_m3_s,
        unlisted_m3_s=unlisted_m3_s(u),
        stall_pa=u.prior("stall", "fan_stall_pa"),
        supply_m3_s=supply_m3_s(case, u),
        supply_exhaust_m3_s=zero + sum(s.exhaust_cfm for s in listed(case.supply)) * units.M3_S_PER_CFM,
        supply_leak_m3_s=supply_leak_cfm * units.M3_S_PER_CFM,
        relief_m2=_damper_m2(case, u),
        makeup_share=zero,
        roof_cp=u.prior("roof_cp", "roof_cp"),
    )


def _damper_m2(case: Case, u: Uniforms) -> Array:
    """Effective area of a passive make-up damper that opens by itself, m2; the loss of its duct is the usual one."""
    size = makeup.damper_in(case)
    area = np.full(u.samples, round_area_in2(size) * units.M2_PER_IN2 if size > 0.0 else 0.0)
    heads = np.full(u.samples, catalog.number("remedy_effects", "passive_damper_duct_heads"))
    return duct_effective_area(area, heads, u.prior("discharge", "discharge_coefficient"))


def _zone(case: Case, u: Uniforms, leak_m3_s: Array, return_leak_cfm: Array) -> tuple[ZoneState, Array]:
    zone = case.zone
    kind = zone.kind.replace(" ", "_")
    inch2 = units.M2_PER_IN2
    volume = u.known_or(zone.volume_ft3, "zone_volume", f"zone_volume_ft3_{kind}") * units.M3_PER_FT3
    height = u.known_or(zone.ceiling_height_ft, "ceiling_height", "ceiling_height_ft") * units.M_PER_FT
    width = u.known_or(zone.door_width_in, "door_width", "door_width_in")
    undercut = u.known_or(zone.door_undercut_in, "undercut", "door_undercut_in")
    crack = u.prior("crack", "door_side_crack_in2")
    apart = space.apart(case)
    wall = u.prior("wall_crack", "garage_wall_crack_in2" if apart else "zone_wall_crack_in2") * inch2
    wide_open = u.prior("crack", "open_joint_ft2") * units.M2_PER_FT2
    doorway = width * catalog.number("priors", "door_height_in") * inch2
    if space.open_to_house(case):
        closed = open_ = wide_open
    else:
        gap = {
            "weatherstripped": u.prior("crack", "door_weatherstripped_gap_in2"),
            "louvered": u.prior("crack", "door_louvered_free_in2"),
        }.get(zone.door or "solid", undercut * width + crack)
        doorless = space.opens_outdoors(case) or (zone.kind in ("attic", "crawl space") and zone.door in (None, "none"))
        closed = (gap * 0.0 if doorless else gap) * inch2 + wall
        open_ = closed + (0.0 if space.opens_outdoors(case) else 1.0) * doorway
    grilles = (openings.grilles_in2(case) or 0.0) * inch2
    high, low, blocked, weight = _openings(case, u)
    return ZoneState(
        leak_m3_s=leakage.split(case, leak_m3_s, _zone_leak_share(case, u))[1],
        height_m=height,
        volume_m3=volume,
        link_closed_m2=closed + grilles,
        link_open_m2=open_ + grilles,
        opening_high_m2=high,
        opening_low_m2=low,
        intake_blocked=blocked,
        supply_m3_s=np.zeros(u.samples),
        discharge=u.prior("discharge", "discharge_coefficient"),
        return_leak_m3_s=return_leak_cfm * units.M3_S_PER_CFM,
        cp=_wall_cp(u),
    ), weight


def _wall_cp(u: Uniforms) -> Array:
    """Wind pressure coefficient of a wall that faces the wind by chance."""
    side = u.column("wall_side")
    windward, leeward, flank = (catalog.number("priors", f"wall_cp_{k}") for k in ("windward", "leeward", "side"))
    return np.where(side < 0.25, windward, np.where(side < 0.5, leeward, flank))


def _openings(case: Case, u: Uniforms) -> tuple[Array, Array, Array, Array]:
    """Effective areas of outdoor openings, high and low, the share of them that is blocked, and the log weight."""
    high, low = np.zeros(u.samples), np.zeros(u.samples)
    states = {o.state for o in listed(case.opening)}
    loss = u.prior("opening_loss", "opening_duct_entry_loss")
    friction = catalog.number("priors", "opening_duct_friction")
    elbow = catalog.number("priors", "opening_elbow_loss")
    discharge = u.prior("discharge", "discharge_coefficient")
    for opening in listed(case.opening):
        stated = openings.stated_free_in2(opening)
        if stated is None:
            area = u.known_or(openings.gross_in2(opening), "opening_area", "opening_area_in2")
            area = area * openings.cover_share(opening.cover)
        else:
            area = np.full(u.samples, stated)
        area = area * units.M2_PER_IN2 * u.prior("louver", "louver_screen_loss")
        if opening.kind != "direct" or opening.length_ft > 1.0:
            diameter = np.sqrt(4.0 * area / np.pi)
            heads = loss + friction * opening.length_ft * units.M_PER_FT / diameter + elbow * opening.elbows
            area = duct_effective_area(area, heads, discharge)
        position = opening.position or ("low" if len(listed(case.opening)) > 1 else "middle")
        high = high + area * {"high": 1.0, "low": 0.0, "middle": 0.5}[position]
        low = low + area * {"high": 0.0, "low": 1.0, "middle": 0.5}[position]
    if not listed(case.opening) or states == {"open"}:
        return high, low, np.zeros(u.samples), np.zeros(u.samples)
    partly, fully = (
        catalog.number("priors", "intake_prob_partly_blocked"),
        catalog.number("priors", "intake_prob_blocked"),
    )
    amount = u.column("intake_amount")
    part_amount = triangular(amount, *prior_numbers("intake_partly_blocked_fraction"))
    full_amount = triangular(amount, *prior_numbers("intake_blocked_fraction"))
    if "unknown" in states:
        kind, weight = choose_fault(u.column("intake_state"), (partly, fully))
        blocked = np.where(kind == 2, full_amount, np.where(kind == 1, part_amount, 0.0))
        return high, low, blocked, weight
    found = [o.state for o in listed(case.opening)]
    blocked = (found.count("blocked") * full_amount + found.count("partly blocked") * part_amount) / len(found)
    return high, low, blocked, np.zeros(u.samples)


def _fans(case: Case, u: Uniforms) -> tuple[tuple[Device, ...], Array, Array]:
    """Return the exhaust devices, their flows (devices, n), m3/s, and the log weight."""
    devices, flows = usual_devices(u) if case.exhaust is None else ([], [])
    prob = catalog.number("priors", "fan_rare_strong_prob")
    kind, weight = choose_fault(u.column("strong"), (prob,)) if listed(case.exhaust) else (np.zeros(u.samples),) * 2
    factor = np.where(kind == 1, triangular(u.column("strong_amount"), *prior_numbers("fan_rare_strong_factor")), 1.0)
    for i, device in enumerate(listed(case.exhaust)):
        column = FAN_COLUMNS[i % len(FAN_COLUMNS)]
        stated = exhaust.stated_flow(device)
        if stated.basis == "measured":
            flow = stated.cfm * u.prior(column, "fan_measured_fraction")
        elif stated.basis == "rated":
            flow = stated.cfm * u.prior(column, "fan_installed_fraction") * factor
        else:
            usual = exhaust.usual_flow(exhaust.KIND_ROW[device.kind])
            flow = triangular(u.column(column), usual.low_cfm, usual.typical_cfm, usual.high_cfm)
        found = (device.name, device.kind, device.in_zone, device.ducted_outdoors, device.fuel)
        devices.append(Device(*found, exhaust.counts(device)))
        flows.append(flow * units.M3_S_PER_CFM * (1.0 if device.ducted_outdoors else 0.0))
    return tuple(devices), np.stack(flows) if flows else np.zeros((0, u.samples)), weight


def _burner(case: Case, u: Uniforms, room_k: Array) -> BurnerState:
    heater = case.heater
    fuel = properties.fuel(_fuel_key(case))
    derate = altitude_derate(case.house.altitude_ft)
    input_w = np.full(u.samples, heater.input_btu_h * units.W_PER_BTU_H * derate)
    excess = u.prior("excess_air", "excess_air_fraction")
    known = None if heater.recovery_efficiency_pct is None else heater.recovery_efficiency_pct / 100.0
    efficiency = u.known_or(known, "efficiency", "efficiency_fraction")
    readings = [r for r in case.run if r.flue_co_ppm is not None]
    if readings:
        last = readings[-1]
        co = np.full(u.samples, float(last.flue_co_ppm or 0.0))
        if last.flue_o2_pct is not None:
            co = combustion.air_free_from_o2_ppm(co, last.flue_o2_pct)
    else:
        row = catalog.parameter("priors", "co_air_free_ppm")
        # skewed over decades: lognormal with the typical value as median and the high end at two sigma
        co = row.typical * (row.high / row.typical) ** (u.normal("co") / 2.0)
    return BurnerState(
        input_w=input_w,
        products_kg_s=combustion.flue_mass_flow_kg_s(fuel, input_w, excess),
        products_k=combustion.flue_temp_k(fuel, excess, efficiency, room_k),
        excess_air=excess,
        co_air_free_ppm=np.asarray(co, dtype=np.float64) + np.zeros(u.samples),
        plume_pa=u.prior("plume", "plume_pa"),
        prompt_share=u.prior("prompt", "flue_prompt_share"),
        lag_s=u.prior("lag", "flue_lag_s"),
        own_draw_m3_s=np.zeros(u.samples),
        idle_heat_w=u.prior("own_draw", "idle_heat_btu_h") * units.W_PER_BTU_H,
    )


def altitude_derate(altitude_ft: float) -> float:
    """Share of the sea-level input that is fired at an altitude (NFPA 54-2012 11.1.2: none up to 2000 ft)."""
    per_thousand = catalog.number("rules_altitude", "input_cut_pct_per_1000_ft") / 100.0
    free = catalog.number("rules_altitude", "no_cut_up_to_ft")
    return 1.0 if altitude_ft <= free else max(0.1, 1.0 - per_thousand * altitude_ft / 1000.0)
