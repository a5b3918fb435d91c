"""The house's air in one situation that stands for the fitting ones: who pulls how much, what comes in where.

One real situation is taken, by `drawn_situation`: medians taken flow by flow would not balance. The same situation is shown
after the work (common random numbers). What the vent does is the record's to say, never the situation's.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from advisor import units
from advisor.ensemble.question import Question
from advisor.ensemble.respond import NO_HOOD, respond
from advisor.ensemble.scene import Scene, net_supply_m3_s, scene_of, worse_link
from advisor.ensemble.state import Array, Condition, State
from advisor.ensemble.unknown_draw import NOT_LISTED
from advisor.physics.flow import fan_flow, orifice_flow, power_law_flow
from advisor.physics.zones import Network, Space, solve_zones
from advisor.ranking.drawn_situation import Drawn, Shows, drawn_situation
from advisor.ranking.options import Option
from advisor.ranking.setting import Setting

VentWay = Literal["up", "spills", "down", "fan", "sealed", "none", "unknown"]
Place = Literal["house", "zone"]
Kind = Literal["device", "leak", "opening", "supply", "duct leak", "vent", "more exhaust"]
Stage = Literal["now", "after"]


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
    """Flows of one situation (modelled) under one condition, at the moment at which spillage is judged.

    Parameters
    ----------
    stage : Stage
        The house as it is now, or after an option's work.
    seen : Shows
        What the record says of the vent in the present state of the house; ``unknown`` after the work.
    shows : Shows
        What is drawn at the vent: that of the record now, that of the situation after the work; ``unknown`` where the
        record proves nothing, or the model has no situation that does what was seen.
    calm : bool
        True where the record (now) or the option's grade (after) allows a calm drawing.
    read_zone_pa : float or None
        Zone below outdoors as read in the run that is shown; None where nobody read it, and after the work.
    modelled_zone_pa : float
        What a gauge would read in this situation before the burner lights.
    appliance : str
        How the heater vents, as in ``Option.appliance``.
    vent_way : VentWay
        ``up``: all gas leaves; ``spills``: some gas spills; ``down``: outdoor air comes down; ``fan``: a fan drives it;
        ``sealed``: it takes no room air; ``none``: nothing burns; ``unknown``: the record does not tell.
    vent_cfm : float
        Up the vent, of room density; negative when it comes down. Not to be shown where the way is unknown.
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

    stage: Stage
    seen: Shows
    shows: Shows
    calm: bool
    read_zone_pa: float | None
    modelled_zone_pa: float
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


def air_balance(setting: Setting, drawn: Drawn, option: Option | None = None, state: State | None = None) -> AirBalance:
    """Work out the flows of the situation that is drawn, as it is now or after an option.

    Parameters
    ----------
    setting : Setting
        Case and worst case.
    drawn : Drawn
        From `drawn_situation`: which situation, and under what condition.
    option : Option, optional
        Whose grade says whether the drawing after the work may be calm.
    state : State, optional
        The situations after its work; those of the present where it is left out.
    """
    one = (drawn.state if state is None else state).take(np.array([drawn.position], dtype=np.intp))
    condition = drawn.question.condition
    link, handler = worse_link(one, condition)
    scene = scene_of(one, condition, link, handler)
    response = respond(one, condition)
    hood = one.appliance not in NO_HOOD
    rho_zone = _density(one, scene.zone_k)
    ratio = float(response.ratio_at(drawn.question.allowed_s)[0])
    vent_kg_s = ratio * one.burner.products_kg_s if hood else np.zeros(1)
    zone = replace(scene.network.zone, constant_kg_s=scene.network.zone.constant_kg_s + vent_kg_s)
    network = Network(scene.network.house, zone, scene.network.link_kg_s, scene.network.link_offset_pa)
    pressures = solve_zones(network)
    own = float(one.burner.own_draw_m3_s[0]) / units.M3_S_PER_CFM
    vent = float(vent_kg_s[0]) / rho_zone / units.M3_S_PER_CFM if hood else own
    through, _ = orifice_flow(network.link_kg_s, pressures.zone_pa - pressures.house_pa + network.link_offset_pa)
    cfm_zone = rho_zone * units.M3_S_PER_CFM
    fails = ratio < 1.0 or response.spills_beyond(drawn.question.allowed_s)[0] > 0.5
    now = state is None
    shows = drawn.shows if now else "spills" if fails else "drafts"
    return AirBalance(
        stage="now" if now else "after",
        seen=drawn.seen if now else "unknown",
        shows=shows,
        calm=shows == "drafts" and (setting.verdict.all_clear if now else may_be_calm(setting, option)),
        read_zone_pa=drawn.read_zone_pa if now else None,
        modelled_zone_pa=float(response.zone_depressurization_pa[0]),
        appliance=one.appliance,
        vent_way="unknown" if shows == "unknown" else _vent_way(one.appliance, ratio),
        vent_cfm=vent,
        spilled_share=float(np.clip(1.0 - ratio, 0.0, 1.0)) if hood else 0.0,
        house_depressurization_pa=-float(pressures.house_pa[0]),
        zone_depressurization_pa=-float(pressures.zone_pa[0]),
        link_cfm=-float(through.sum()) / cfm_zone,
        return_cfm=float(one.zone.return_leak_m3_s[0]) / units.M3_S_PER_CFM if handler else 0.0,
        flows=_flows(
            drawn.question, one, scene, network, float(pressures.house_pa[0]), float(pressures.zone_pa[0]), handler
        ),
        judged_s=min(drawn.question.allowed_s, float(response.times_s[-1])),
        outdoor_temp_f=float(units.fahrenheit_from_kelvin(float(scene.outdoor_k[0]))),
    )


def may_be_calm(setting: Setting, option: Option | None) -> bool:
    """Return whether an option's drawing may be calm: safe enough, not barred, not near a limit, no danger, no test first."""
    if option is None or option.barred_by or option.near_limit or not (option.eligible and option.safe_enough):
        return False
    return setting.verdict.leads in ("failed", "passed", "not allowed here")


def _vent_way(appliance: str, ratio: float) -> VentWay:
    if appliance in ("none", "sealed"):
        return "none" if appliance == "none" else "sealed"
    if appliance != "natural draft":
        return "fan"
    return "up" if ratio >= 1.0 else "spills" if ratio > 0.0 else "down"


def _density(state: State, temp_k: Array) -> float:
    from advisor.physics.vent import density_kg_m3

    return float(density_kg_m3(temp_k, state.air.pressure_pa)[0])


def _flows(
    question: Question, one: State, scene: Scene, network: Network, house_pa: float, zone_pa: float, handler: bool
) -> tuple[AirFlow, ...]:
    """Flows to and from outdoors but the vent's, of the density of the space they leave or enter."""
    rho_in, rho_zone = _density(one, scene.room_k), _density(one, scene.zone_k)
    return (
        *_of_space(question.condition, one, "house", network.house, house_pa, rho_in),
        *_of_space(question.condition, one, "zone", network.zone, zone_pa, rho_zone),
        *_more_exhaust(question.condition, one, house_pa),
        *_supplied(question.condition, one, scene, rho_in, rho_zone, handler),
    )


def _of_space(
    condition: Condition, one: State, place: Place, space: Space, pressure_pa: float, rho: float
) -> Iterator[AirFlow]:
    """Devices, leaks and openings of one space."""
    at = np.full(1, pressure_pa)
    left = float(np.sqrt(max(1.0 + pressure_pa / float(space.stall_pa[0]), 1e-4)))
    for i, (device, on) in enumerate(zip(one.devices, condition.devices_on, strict=True)):
        flow = float(one.house.device_m3_s[i, 0]) if on and device.in_zone == (place == "zone") else 0.0
        if flow > 0.0:
            yield AirFlow("device", device.name, place, flow * left / units.M3_S_PER_CFM)
    leaks, _ = power_law_flow(space.leak_kg_s, space.exponent, at + space.leak_offset_pa)
    openings, _ = orifice_flow(space.opening_kg_s, at + space.opening_offset_pa)
    kinds: tuple[tuple[Kind, Array], ...] = (("leak", leaks), ("opening", openings))
    for kind, rows in kinds:
        # a space may leak in below and out above: two flows, each with its sign
        for part in (float(np.minimum(rows, 0.0).sum()), float(np.maximum(rows, 0.0).sum())):
            if abs(part) > 1e-9:
                yield AirFlow(kind, "", place, part / rho / units.M3_S_PER_CFM)


def _more_exhaust(condition: Condition, one: State, house_pa: float) -> Iterator[AirFlow]:
    """Exhaust that a stress adds, and what nobody listed."""
    at = np.full(1, house_pa)
    if condition.extra_exhaust_m3_s > 0.0:
        fan, _ = fan_flow(np.full(1, condition.extra_exhaust_m3_s), at, one.house.stall_pa)
        yield AirFlow("more exhaust", "", "house", float(fan[0]) / units.M3_S_PER_CFM)
    if condition.unlisted_on and float(one.house.unlisted_m3_s[0]) > 0.0:
        fan, _ = fan_flow(one.house.unlisted_m3_s, at, one.house.stall_pa)
        yield AirFlow("device", NOT_LISTED, "house", float(fan[0]) / units.M3_S_PER_CFM)


def _supplied(
    condition: Condition, one: State, scene: Scene, rho_in: float, rho_zone: float, handler: bool
) -> Iterator[AirFlow]:
    """Air that fans bring in, and what the ducts lose outdoors."""
    cfm, rho_out = units.M3_S_PER_CFM, _density(one, scene.outdoor_k)
    running = float(scene.network.house.exhaust_kg_s[0]) / rho_in + float(scene.network.zone.exhaust_kg_s[0]) / rho_zone
    supply = float(one.house.makeup_share[0]) * running + float(net_supply_m3_s(one, condition)[0])
    if supply:
        yield AirFlow("supply", "", "house", -supply * rho_out / rho_in / cfm)
    if float(one.zone.supply_m3_s[0]):
        yield AirFlow("supply", "", "zone", -float(one.zone.supply_m3_s[0]) / cfm)
    if handler and float(one.house.supply_leak_m3_s[0]):
        yield AirFlow("duct leak", "", "house", float(one.house.supply_leak_m3_s[0]) / cfm)


def air_before_after(
    setting: Setting, option: Option | None, state: State | None
) -> tuple[AirBalance, AirBalance | None]:
    """Return the air balance as it is now, and after an option with the state after its work; None where there is none.

    After work that a retest has judged, options from before it are history: nothing is drawn for them.
    """
    drawn = drawn_situation(setting)
    before = air_balance(setting, drawn)
    state = None if setting.verdict.after_work else state
    return before, None if state is None else air_balance(setting, drawn, option, state)
