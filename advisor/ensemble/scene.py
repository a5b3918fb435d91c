"""A state put under a condition: temperatures, the vent and the network of air paths, ready to be solved."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from advisor import catalog, units
from advisor.ensemble.state import Array, Condition, Index, State
from advisor.physics.flow import orifice_coefficient, orifice_flow
from advisor.physics.startup import Boundary
from advisor.physics.vent import Vent, density_kg_m3, obstruction_coefficient
from advisor.physics.zones import Network, Packed, Space, guess, newton, solve_zones

GRAVITY = units.STANDARD_GRAVITY_M_S2
MARCH_TOLERANCE_KG_S = 1e-6
"""Imbalance allowed inside the march: a five-thousandth of the products of a small heater."""
MARCH_ITERATIONS, FIRST_ITERATIONS = 2, 12
"""Newton steps for one step of the march, and for its first one; numerical, checked against full iterations in the tests."""


def vent_of(state: State, outdoor_k: Array, zone_k: Array, terminal_pa: Array) -> Vent:
    """Build the physics' vent from a state."""
    connector_d = np.sqrt(4.0 * state.vent.connector_area_m2 / np.pi)
    vertical_d = 4.0 * state.vent.vertical_area_m2 / state.vent.vertical_perimeter_m
    vertical = np.maximum(state.vent.height_m - state.vent.connector_rise_m, 0.1)
    heads = (
        state.vent.hood_k
        + state.vent.elbow_k * state.vent.connector_elbows
        + state.vent.elbow_45_k * state.vent.connector_elbows_45
        + state.vent.friction * state.vent.connector_length_m / connector_d
    )
    top = state.vent.cap_k + state.vent.friction * state.vent.corrugation * vertical / vertical_d
    top = top + obstruction_coefficient(state.vent.blocked)
    more = 1.0 + state.vent.dilution_ratio
    resistance = heads / state.vent.connector_area_m2**2 + top * (more / state.vent.vertical_area_m2) ** 2
    room_k = state.room_at_k(outdoor_k)
    around = room_k + state.vent.exterior_share * (outdoor_k - room_k)
    return Vent(
        connector_area_m2=state.vent.connector_area_m2,
        vertical_area_m2=state.vent.vertical_area_m2,
        connector_perimeter_m=np.pi * connector_d,
        vertical_perimeter_m=state.vent.vertical_perimeter_m,
        connector_length_m=state.vent.connector_length_m,
        connector_rise_m=state.vent.connector_rise_m,
        vertical_height_m=vertical,
        connector_u_w_m2k=np.minimum(state.vent.connector_u, 0.95 * state.vent.film),
        vertical_u_w_m2k=np.minimum(state.vent.vertical_u, 0.95 * state.vent.film),
        connector_capacity_j_m2k=state.vent.connector_capacity,
        vertical_capacity_j_m2k=state.vent.vertical_capacity,
        film_w_m2k=state.vent.film,
        connector_ambient_k=zone_k,
        vertical_ambient_k=around,
        resistance_m4=resistance,
        dilution_ratio=state.vent.dilution_ratio,
        terminal_pa=terminal_pa,
        pressure_pa=state.air.pressure_pa,
    )


@dataclass(frozen=True, slots=True)
class Scene:
    """A state under a condition, ready to be solved: temperatures, vent, and the network without the vent."""

    outdoor_k: Array
    room_k: Array
    zone_k: Array
    vent: Vent
    network: Network
    hood_offset_pa: Array
    gauge_offset_pa: Array

    def take(self, index: Index) -> Scene:
        """Return the same scene for a choice of samples."""
        return Scene(
            self.outdoor_k[index],
            self.room_k[index],
            self.zone_k[index],
            self.vent.take(index),
            self.network.take(index),
            self.hood_offset_pa[index],
            self.gauge_offset_pa[index],
        )

    def boundary(self) -> Boundary:
        """Return the pressure balance of the zones as a function of the vent's coefficient and drive."""
        packed = Packed(self.network, vent=True)
        last: list[tuple[Array, Array]] = []

        def solve(coefficient: Array, drive_pa: Array) -> tuple[Array, Array]:
            offset = self.hood_offset_pa + drive_pa - self.vent.terminal_pa
            packed.set_vent(coefficient, offset)
            # each step of the march goes on from the one before: what is left of an imbalance is carried, not kept
            start, steps = (last[0], MARCH_ITERATIONS) if last else (guess(self.network), FIRST_ITERATIONS)
            pressures = newton(packed, *start, MARCH_TOLERANCE_KG_S, steps)
            last[:] = [(pressures.house_pa, pressures.zone_pa)]
            flow, _ = orifice_flow(coefficient, pressures.zone_pa + offset)
            return flow, -(pressures.zone_pa + self.hood_offset_pa)

        return solve

    def pressure_without_vent(self) -> Array:
        """Zone pressure at the gauge's height with no open vent, Pa relative to outdoors."""
        return solve_zones(self.network).zone_pa + self.gauge_offset_pa


def _exhaust(state: State, condition: Condition) -> tuple[Array, Array]:
    """Running exhaust of house and zone, m3/s."""
    house = np.full(state.samples, condition.extra_exhaust_m3_s)
    if condition.unlisted_on:
        house = house + state.house.unlisted_m3_s
    zone = np.zeros(state.samples)
    for i, (device, on) in enumerate(zip(state.devices, condition.devices_on, strict=True)):
        if on and device.in_zone:
            zone = zone + state.house.device_m3_s[i]
        elif on:
            house = house + state.house.device_m3_s[i]
    return house, zone


def net_supply_m3_s(state: State, condition: Condition) -> Array:
    """Air that supply and balanced ventilation bring in more than they take out, m3/s."""
    if not condition.supply_on:
        return np.zeros(state.samples)
    net = state.house.supply_m3_s - state.house.supply_exhaust_m3_s
    return np.minimum(net, 0.0) if condition.net_supply_off else net


def scene_of(state: State, condition: Condition, link_m2: Array, handler_on: bool) -> Scene:
    """Put a state under a condition, with the link to the house and the air handler as given."""
    n = state.samples
    outdoor_k = np.zeros(n) + condition.outdoor_k
    room_k = state.room_at_k(outdoor_k)
    usual = room_k + state.air.zone_k_share * (outdoor_k - room_k)
    zone_k = usual if condition.zone_k is None else np.full(n, condition.zone_k)
    rho_out, rho_in, rho_zone = (density_kg_m3(t, state.air.pressure_pa) for t in (outdoor_k, room_k, zone_k))
    rho = 0.5 * (rho_out + rho_in)
    wind = condition.wind_m_s * state.air.wind_factor
    dynamic = 0.5 * rho_out * wind * wind
    house_stack, zone_stack = (rho_out - rho_in) * GRAVITY, (rho_out - rho_zone) * GRAVITY

    # house envelope: floor, four faces at mid-height, ceiling; calm air needs one face only
    doors = state.house.interior_doors_factor if condition.interior_doors_shut else 1.0
    leak = state.house.leak_m3_s * rho * condition.leakage_factor * doors
    walls = 1.0 - state.house.floor_share - state.house.ceiling_share
    middle = house_stack * 0.5 * state.house.height_m
    faces = [middle]
    if condition.wind_m_s > 0.0:
        number = catalog.number
        cps = (number("priors", "wall_cp_windward"), number("priors", "wall_cp_leeward"))
        side = number("priors", "wall_cp_side")
        faces = [middle - cp * dynamic for cp in (*cps, side, side)]
    leaks = [
        leak * state.house.floor_share,
        *([leak * walls / len(faces)] * len(faces)),
        leak * state.house.ceiling_share,
    ]
    offsets = [np.zeros(n), *faces, house_stack * state.house.height_m - state.house.roof_cp * dynamic]

    window_z = catalog.number("conditions", "window_height_ft") * units.M_PER_FT
    openings, opening_offsets = [np.zeros(n)], [np.zeros(n)]
    if condition.window_m2 > 0.0:
        area = np.full(n, condition.window_m2)
        openings.append(orifice_coefficient(area, state.zone.discharge, rho))
        # an open window upstairs makes the house a chimney: the storeys below are pulled down
        opening_z = window_z if condition.window_height_m is None else condition.window_height_m
        opening_offsets.append(house_stack * opening_z)
    exhaust_house, exhaust_zone = _exhaust(state, condition)
    running = exhaust_house + exhaust_zone > 1e-9
    if (state.house.relief_m2 > 0.0).any():
        openings.append(orifice_coefficient(state.house.relief_m2 * running, state.zone.discharge, rho))
        opening_offsets.append(house_stack * window_z)
    supply = net_supply_m3_s(state, condition)
    makeup = state.house.makeup_share * (exhaust_house + exhaust_zone)
    # a leaky return carries zone air to the house; supply air lost outdoors must be replaced
    carried = state.zone.return_leak_m3_s * rho_zone if handler_on else np.zeros(n)
    lost = state.house.supply_leak_m3_s * rho_in if handler_on else np.zeros(n)
    house = Space(
        np.stack(leaks),
        np.stack(offsets),
        state.house.exponent,
        np.stack(openings),
        np.stack(opening_offsets),
        exhaust_house * rho_in,
        lost - carried - (supply + makeup) * rho_out,
        state.house.stall_pa,
    )

    blocked = {"as found": state.zone.intake_blocked, "cleared": 0.0 * state.zone.intake_blocked}.get(condition.intake)
    left = np.zeros(n) if blocked is None else 1.0 - blocked
    high_z, low_z = 0.9 * state.zone.height_m, np.full(n, 0.1) * state.zone.height_m
    wind_zone = state.zone.cp * dynamic
    zone_openings = [
        orifice_coefficient(state.zone.opening_low_m2 * left, state.zone.discharge, rho),
        orifice_coefficient(state.zone.opening_high_m2 * left, state.zone.discharge, rho),
    ]
    zone_offsets = [zone_stack * low_z - wind_zone, zone_stack * high_z - wind_zone]
    if condition.zone_window_m2 > 0.0:
        zone_openings.append(orifice_coefficient(np.full(n, condition.zone_window_m2), state.zone.discharge, rho))
        zone_offsets.append(zone_stack * window_z)
    zone = Space(
        (state.zone.leak_m3_s * rho * condition.leakage_factor)[None],
        (zone_stack * 0.5 * state.zone.height_m - wind_zone)[None],
        state.house.exponent,
        np.stack(zone_openings),
        np.stack(zone_offsets),
        exhaust_zone * rho_zone,
        carried + (state.burner.own_draw_m3_s - state.zone.supply_m3_s) * rho_zone,
        state.house.stall_pa,
    )
    terminal = state.vent.gust_cp if condition.gusty else state.vent.terminal_cp
    warm_gain = state.vent.shared_gain_k if condition.shared_firing else 0.0
    vent = vent_of(state, outdoor_k, zone_k, terminal * dynamic - state.vent.inducer_pa + state.vent.draft_offset_pa)
    if condition.shared_firing:
        vent = _warmed(vent, warm_gain)
    link = orifice_coefficient(link_m2, state.zone.discharge, rho)
    gauge = catalog.number("conditions", "pressure_height_ft") * units.M_PER_FT
    return Scene(
        outdoor_k,
        room_k,
        zone_k,
        vent,
        Network(house, zone, link[None], ((rho_in - rho_zone) * GRAVITY * low_z)[None]),
        zone_stack * state.vent.hood_height_m,
        zone_stack * gauge,
    )


def _warmed(vent: Vent, gain_k: Array | float) -> Vent:
    """Vent whose surroundings are warmed by the fire of the appliance that shares it."""

    return replace(vent, vertical_ambient_k=vent.vertical_ambient_k + gain_k, dilution_ratio=0.0 * vent.dilution_ratio)


def worse_link(state: State, condition: Condition) -> tuple[Array, bool]:
    """Link area and air-handler state; 'worse' takes, sample by sample, what lowers the zone pressure under draw."""
    handler_choices = {"off": (False,), "on": (True,), "worse": (False, True)}[condition.air_handler]
    moving = bool(((state.zone.return_leak_m3_s + state.house.supply_leak_m3_s) > 0.0).any())
    handler = handler_choices[-1] if moving else False
    if condition.zone_door == "worse" and state.zone_isolated:
        return state.zone.link_closed_m2, handler
    if condition.zone_door != "worse" or not state.has_door:
        open_ = condition.zone_door == "open" and state.has_door
        return (state.zone.link_open_m2 if open_ else state.zone.link_closed_m2), handler
    # the vent draws about twice the products once it works: judge the door with that flow running
    trial: dict[str, Array] = {}
    for name, link in (("closed", state.zone.link_closed_m2), ("open", state.zone.link_open_m2)):
        scene = scene_of(state, condition, link, handler)
        zone = scene.network.zone
        drawing = Space(
            zone.leak_kg_s,
            zone.leak_offset_pa,
            zone.exponent,
            zone.opening_kg_s,
            zone.opening_offset_pa,
            zone.exhaust_kg_s,
            zone.constant_kg_s + 2.0 * state.burner.products_kg_s,
            zone.stall_pa,
        )
        network = Network(scene.network.house, drawing, scene.network.link_kg_s, scene.network.link_offset_pa)
        trial[name] = solve_zones(network).zone_pa
    closed_worse = trial["closed"] < trial["open"]
    return np.where(closed_worse, state.zone.link_closed_m2, state.zone.link_open_m2), handler
