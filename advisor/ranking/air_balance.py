"""The house's air in one situation that stands for the fitting ones: who pulls how much, what comes in where.

One real situation is taken, the one nearest the middle of all that fit the record: medians taken flow by flow would not
balance. The same situation is shown after the work (common random numbers).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from advisor import units
from advisor.ensemble.respond import NO_HOOD, respond
from advisor.ensemble.scene import Scene, net_supply_m3_s, scene_of, worse_link
from advisor.ensemble.state import Array, State
from advisor.ensemble.unknown_draw import NOT_LISTED
from advisor.physics.flow import fan_flow, orifice_flow, power_law_flow
from advisor.physics.zones import Network, solve_zones
from advisor.ranking.worked import Setting

VentWay = Literal["up", "spills", "down", "fan", "sealed", "none"]
Place = Literal["house", "zone"]
Kind = Literal["device", "leak", "opening", "supply", "duct leak", "vent", "more exhaust"]
SPREAD = (0.25, 0.5, 0.75)
"""Quantiles that centre and scale the search for the middle situation; numerical."""


@dataclass(frozen=True, slots=True)
class AirFlow:
    """One flow between a space and outdoors.

    Parameters
    ----------
    kind : Kind
        What lets it through.
    name : str
        Name of a device; empty for all else.
    place : {"house", "zone"}
        Space it leaves or enters.
    cfm : float
        Air of the space's density, positive out of the building, negative in.
    """

    kind: Kind
    name: str
    place: Place
    cfm: float


@dataclass(frozen=True, slots=True)
class AirBalance:
    """Flows of one situation in the worst case, at the moment at which spillage is judged.

    Parameters
    ----------
    appliance : str
        How the heater vents, as in ``Option.appliance``.
    vent_way : VentWay
        ``up``: all gas leaves; ``spills``: some gas spills; ``down``: outdoor air comes down; ``fan``: a fan drives it;
        ``sealed``: it takes no room air; ``none``: nothing burns.
    vent_cfm : float
        Up the vent, of room density; negative when it comes down.
    spilled_share : float
        Share of the burner's gas that goes into the room at that moment, 0 to 1.
    house_depressurization_pa, zone_depressurization_pa : float
        At the floor; positive below outdoors.
    link_cfm : float
        From the house into the heater's space; negative the other way.
    return_cfm : float
        What a leaky return carries from the heater's space into the house.
    flows : tuple of AirFlow
        All flows to and from outdoors but the vent's; with the vent they add up to zero.
    judged_s : float
        Seconds after the burner lit.
    outdoor_temp_f : float
        Outdoors.
    """

    appliance: str
    vent_way: VentWay
    vent_cfm: float
    spilled_share: float
    house_depressurization_pa: float
    zone_depressurization_pa: float
    link_cfm: float
    return_cfm: float
    flows: tuple[AirFlow, ...]
    judged_s: float
    outdoor_temp_f: float

    @property
    def out_cfm(self) -> float:
        """All air that leaves, the vent's included."""
        return sum(max(f.cfm, 0.0) for f in self.flows) + max(self.vent_cfm, 0.0)

    @property
    def in_cfm(self) -> float:
        """All air that comes in."""
        return -sum(min(f.cfm, 0.0) for f in self.flows) - min(self.vent_cfm, 0.0)


def middle_situation(setting: Setting) -> int:
    """Return the position of the situation nearest the middle, as found, in the worst case.

    Where most situations spill, it is one that spills; where most do not, it is one that does not.
    """
    state, weight = setting.posterior.state, setting.posterior.weight
    spillage, response, _ = setting.as_found
    on = np.array(setting.worst.devices_on, dtype=np.float64)
    exhaust = on @ state.device_m3_s if on.size else np.zeros(state.samples)
    columns = (
        response.zone_depressurization_pa,
        response.ratio_at(setting.allowed_s),
        exhaust,
        state.leak_m3_s * 50.0**state.exponent,
    )
    spills = response.spills_beyond(setting.allowed_s) > 0.5
    wanted = spills if spillage.worst_case > 0.5 else ~spills
    distance = np.where(wanted & (weight > 0.1 * weight.mean()), 0.0, np.inf)
    for values in columns:
        low, middle, high = _quantiles(values[wanted], weight[wanted])
        distance = distance + np.abs(values - middle) / max(high - low, 1e-9)
    return int(np.argmin(distance))


def _quantiles(values: Array, weight: Array) -> tuple[float, ...]:
    order = np.argsort(values, kind="stable")
    share = np.cumsum(weight[order]) / weight.sum()
    return tuple(float(values[order][min(int(np.searchsorted(share, q)), len(order) - 1)]) for q in SPREAD)


def air_balance(setting: Setting, state: State, position: int) -> AirBalance:
    """Work out the flows of one situation in the worst case.

    Parameters
    ----------
    setting : Setting
        Case, worst case, allowed time.
    state : State
        The situations, as found or after a remedy.
    position : int
        Which one, from `middle_situation`.
    """
    one = state.take(np.array([position], dtype=np.intp))
    worst = setting.worst
    link, handler = worse_link(one, worst)
    scene = scene_of(one, worst, link, handler)
    response = respond(one, worst)
    hood = one.appliance not in NO_HOOD
    rho_zone = _density(one, scene.zone_k)
    ratio = float(response.ratio_at(setting.allowed_s)[0])
    vent_kg_s = ratio * one.products_kg_s if hood else np.zeros(1)
    zone = replace(scene.network.zone, constant_kg_s=scene.network.zone.constant_kg_s + vent_kg_s)
    network = Network(scene.network.house, zone, scene.network.link_kg_s, scene.network.link_offset_pa)
    pressures = solve_zones(network)
    own = float(one.own_draw_m3_s[0]) / units.M3_S_PER_CFM
    vent = float(vent_kg_s[0]) / rho_zone / units.M3_S_PER_CFM if hood else own
    through, _ = orifice_flow(network.link_kg_s, pressures.zone_pa - pressures.house_pa + network.link_offset_pa)
    cfm_zone = rho_zone * units.M3_S_PER_CFM
    judged = min(setting.allowed_s, float(response.times_s[-1]))
    return AirBalance(
        appliance=one.appliance,
        vent_way=_vent_way(one.appliance, ratio),
        vent_cfm=vent,
        spilled_share=float(np.clip(1.0 - ratio, 0.0, 1.0)) if hood else 0.0,
        house_depressurization_pa=-float(pressures.house_pa[0]),
        zone_depressurization_pa=-float(pressures.zone_pa[0]),
        link_cfm=-float(through.sum()) / cfm_zone,
        return_cfm=float(one.return_leak_m3_s[0]) / units.M3_S_PER_CFM if handler else 0.0,
        flows=_flows(setting, one, scene, network, float(pressures.house_pa[0]), float(pressures.zone_pa[0]), handler),
        judged_s=judged,
        outdoor_temp_f=float(units.fahrenheit_from_kelvin(float(scene.outdoor_k[0]))),
    )


def _vent_way(appliance: str, ratio: float) -> VentWay:
    if appliance in ("none", "sealed"):
        return "none" if appliance == "none" else "sealed"
    if appliance != "natural draft":
        return "fan"
    return "up" if ratio >= 1.0 else "spills" if ratio > 0.0 else "down"


def _density(state: State, temp_k: Array) -> float:
    from advisor.physics.vent import density_kg_m3

    return float(density_kg_m3(temp_k, state.pressure_pa)[0])


def _flows(
    setting: Setting, one: State, scene: Scene, network: Network, house_pa: float, zone_pa: float, handler: bool
) -> tuple[AirFlow, ...]:
    """Flows to and from outdoors but the vent's, of the density of the space they leave or enter."""
    worst, cfm = setting.worst, units.M3_S_PER_CFM
    rho_in, rho_zone = _density(one, one.room_k), _density(one, scene.zone_k)
    rho_out = _density(one, scene.outdoor_k)
    found: list[AirFlow] = []
    spaces: tuple[tuple[Place, float, float], ...] = (("house", house_pa, rho_in), ("zone", zone_pa, rho_zone))
    for place, pressure, rho in spaces:
        space = network.house if place == "house" else network.zone
        at = np.full(1, pressure)
        left = float(np.sqrt(max(1.0 + pressure / float(space.stall_pa[0]), 1e-4)))
        for i, (device, on) in enumerate(zip(one.devices, worst.devices_on, strict=True)):
            flow = float(one.device_m3_s[i, 0]) if on and device.in_zone == (place == "zone") else 0.0
            if flow > 0.0:
                found.append(AirFlow("device", device.name, place, flow * left / cfm))
        leaks, _ = power_law_flow(space.leak_kg_s, space.exponent, at + space.leak_offset_pa)
        openings, _ = orifice_flow(space.opening_kg_s, at + space.opening_offset_pa)
        for kind, rows in (("leak", leaks), ("opening", openings)):
            # a space may leak in below and out above: two flows, each with its sign
            for part in (float(np.minimum(rows, 0.0).sum()), float(np.maximum(rows, 0.0).sum())):
                if abs(part) > 1e-9:
                    found.append(AirFlow(kind, "", place, part / rho / cfm))  # type: ignore[arg-type]
    if worst.extra_exhaust_m3_s > 0.0:
        fan, _ = fan_flow(np.full(1, worst.extra_exhaust_m3_s), np.full(1, house_pa), one.stall_pa)
        found.append(AirFlow("more exhaust", "", "house", float(fan[0]) / cfm))
    running = float(scene.network.house.exhaust_kg_s[0]) / rho_in + float(scene.network.zone.exhaust_kg_s[0]) / rho_zone
    if worst.unlisted_on and float(one.unlisted_m3_s[0]) > 0.0:
        fan, _ = fan_flow(one.unlisted_m3_s, np.full(1, house_pa), one.stall_pa)
        found.append(AirFlow("device", NOT_LISTED, "house", float(fan[0]) / cfm))
    supply = float(one.makeup_share[0]) * running + float(net_supply_m3_s(one, worst)[0])
    if supply:
        found.append(AirFlow("supply", "", "house", -supply * rho_out / rho_in / cfm))
    if float(one.zone_supply_m3_s[0]):
        found.append(AirFlow("supply", "", "zone", -float(one.zone_supply_m3_s[0]) / cfm))
    if handler and float(one.supply_leak_m3_s[0]):
        found.append(AirFlow("duct leak", "", "house", float(one.supply_leak_m3_s[0]) / cfm))
    return tuple(found)


def air_before_after(setting: Setting, option_id: str | None) -> tuple[AirBalance, AirBalance | None]:
    """Return the air balance as found and after an option; None for the option where there is none."""
    position = middle_situation(setting)
    before = air_balance(setting, setting.posterior.state, position)
    state = None if option_id is None else setting.states.get(option_id)
    return before, None if state is None else air_balance(setting, state, position)
