"""Air that moves between outdoors, house and combustion zone while a state is under a condition."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from advisor import catalog, units
from advisor.ensemble.scene import scene_of, worse_link
from advisor.ensemble.state import Array, Condition, State
from advisor.physics.carbon_monoxide import AirExchange
from advisor.physics.flow import orifice_flow, power_law_flow
from advisor.physics.vent import density_kg_m3
from advisor.physics.zones import Network, Space, solve_zones


@dataclass(frozen=True, slots=True)
class Exchange:
    """Flows of one condition, and the pressures that drive them; arrays (n,).

    Parameters
    ----------
    air : AirExchange
        Flows, m3/s.
    house_pa, zone_pa : array
        Pressures relative to outdoors at the zone floor.
    link_m2 : array
        Area between zone and house.
    """

    air: AirExchange
    house_pa: Array
    zone_pa: Array
    link_m2: Array


def _inflow_kg_s(space: Space, pressure_pa: Array) -> Array:
    """Outdoor air that enters a space through its leaks and openings, kg/s; what leaves elsewhere is not set off."""
    leak, _ = power_law_flow(space.leak_kg_s, space.exponent, pressure_pa + space.leak_offset_pa)
    opening, _ = orifice_flow(space.opening_kg_s, pressure_pa + space.opening_offset_pa)
    return np.asarray(-np.minimum(leak, 0.0).sum(axis=0) - np.minimum(opening, 0.0).sum(axis=0))


def doorway_exchange_m3_s(area_m2: Array, height_m: Array, temp_k: Array, difference_k: float) -> Array:
    """Return the two-way flow through an opening at no net flow, each way, m3/s.

    ``(Cd / 3) A sqrt(g H dT / T)`` (own arithmetic from the open-door row of the airflow facts), Cd for sharp edges.
    """
    discharge = catalog.number("priors", "discharge_coefficient")
    return np.asarray(
        discharge / 3.0 * area_m2 * np.sqrt(units.STANDARD_GRAVITY_M_S2 * height_m * difference_k / temp_k)
    )


def air_exchange(state: State, condition: Condition, vent_kg_s: Array) -> Exchange:
    """Return the air that moves, with a given flow up the vent.

    The zone balance is solved once more with the vent's flow as a constant: each leak, opening and fan then moves what
    its own pressure difference makes it move, and only what comes *in* from outdoors dilutes. A reversed vent brings
    its flow in as outdoor air.

    Parameters
    ----------
    state : State
        ``n`` situations.
    condition : Condition
        What runs, what stands open, the weather.
    vent_kg_s : array (n,)
        Flow up the vent, negative when outdoor air comes down.

    Returns
    -------
    Exchange
    """
    link_m2, handler = worse_link(state, condition)
    scene = scene_of(state, condition, link_m2, handler)
    house, zone = scene.network.house, scene.network.zone
    # leaving vent air is room air: what the burner adds is small and goes with it
    with_vent = replace(zone, constant_kg_s=zone.constant_kg_s + vent_kg_s)
    network = Network(house, with_vent, scene.network.link_kg_s, scene.network.link_offset_pa)
    solved = solve_zones(network)
    rho_zone = density_kg_m3(scene.zone_k, state.air.pressure_pa)
    rho_house = density_kg_m3(scene.room_k, state.air.pressure_pa)
    link, _ = orifice_flow(network.link_kg_s, solved.zone_pa - solved.house_pa + network.link_offset_pa)
    net = link.sum(axis=0)
    carried = state.zone.return_leak_m3_s * rho_zone if handler else np.zeros(state.samples)
    number = catalog.number
    height = number("risk_exposure", "doorway_height_share") * state.zone.height_m
    mixed = doorway_exchange_m3_s(link_m2, height, scene.zone_k, number("risk_exposure", "doorway_temp_difference_k"))
    # outdoor air that fans bring in: into the house by supply and make-up fans, into the zone by a burner's own fan
    supplied_house = np.maximum(-(house.constant_kg_s + carried), 0.0)
    supplied_zone = state.zone.supply_m3_s * rho_zone
    zone_in = _inflow_kg_s(zone, solved.zone_pa) + supplied_zone + np.maximum(-vent_kg_s, 0.0)
    house_in = _inflow_kg_s(house, solved.house_pa) + supplied_house
    air = AirExchange(
        zone_from_outdoor=zone_in / rho_zone,
        house_from_outdoor=house_in / rho_house,
        zone_to_house=(np.maximum(net, 0.0) + carried) / rho_zone + mixed,
        house_to_zone=np.maximum(-net, 0.0) / rho_house + mixed,
    )
    return Exchange(air, solved.house_pa, solved.zone_pa, link_m2)
