"""What the house, the zone and the vent do under a condition: ``State x Condition -> Response``."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from advisor import catalog, units
from advisor.ensemble import properties
from advisor.ensemble.state import Array, Condition, Index, State
from advisor.physics import combustion
from advisor.physics.flow import orifice_coefficient, orifice_flow
from advisor.physics.startup import (
    TIMES_S,
    Boundary,
    Burner,
    Idle,
    Startup,
    idle_state,
    march,
)
from advisor.physics.vent import (
    Vent,
    density_kg_m3,
    inlet_temperature_k,
    obstruction_coefficient,
    plug_flow,
    wall_temperature_k,
)
from advisor.physics.zones import Network, Packed, Space, guess, newton, solve_zones

GRAVITY = units.STANDARD_GRAVITY_M_S2
NO_HOOD = ("none", "sealed", "power vent", "fan-assisted")
"""Kinds of appliance without a draft hood."""
COARSE_TIMES_S = (1, 3, 8, 20, 45, 60, 90, 120, 200, 300, 600)
"""Steps for samples whose idle vent rises well: they need no fine march."""
FIRST_STAGE_STEPS = 9
"""Fine steps after which samples that clearly draft are let go; numerical, as is the ratio below."""
SETTLED_RATIO = 1.2
MARCH_TOLERANCE_KG_S = 1e-6
"""Imbalance allowed inside the march: a five-thousandth of the products of a small heater."""
MARCH_ITERATIONS, FIRST_ITERATIONS = 2, 12
CLEAR_RISE_PA = 0.5
"""Idle drive above which a sample counts as rising well; numerical, checked against the fine march in the tests."""
HOPELESS_PA = -0.9
"""Idle drive and plume together below which no sample came up within ten minutes. Walls warmed by the house lift the
air that comes down by up to this much; numerical, checked against the full march in the tests."""


@dataclass(frozen=True, slots=True)
class Response:
    """Outcome for every sample, arrays (n,) unless stated.

    Parameters
    ----------
    seconds_to_draft : array
        Until spillage stops for good; infinity if it lasts ten minutes; zero for what cannot spill.
    spilled_share : array
        Share of the first ten minutes' products that spills.
    times_s : array (steps,)
        Times of ``flow_ratio``.
    flow_ratio : array (steps, n)
        Flow up the vent over products: below 1 spills, below 0 reversed.
    zone_depressurization_pa : array
        Before firing, at the height of a hand-held gauge; positive below outdoors.
    idle_rises : array of bool
        Did the vent rise before firing?
    draft_pa : array
        Draft behind the hood at the end of the firing, Pa, negative when reversed.
    """

    seconds_to_draft: Array
    spilled_share: Array
    times_s: Array
    flow_ratio: Array
    zone_depressurization_pa: Array
    idle_rises: NDArray[np.bool_]
    draft_pa: Array

    def spills_beyond(self, allowed_s: float) -> Array:
        """Whether spillage lasts longer than the allowed time, as 0 or 1."""
        return (self.seconds_to_draft > allowed_s).astype(np.float64)

    def ratio_at(self, seconds: float) -> Array:
        """Flow ratio at a time after the burner lit, (n,)."""
        step = int(np.searchsorted(self.times_s, min(seconds, float(self.times_s[-1]))))
        return np.asarray(self.flow_ratio[min(step, len(self.times_s) - 1)])


def vent_of(state: State, outdoor_k: Array, zone_k: Array, terminal_pa: Array) -> Vent:
    """Build the physics' vent from a state."""
    connector_d = np.sqrt(4.0 * state.connector_area_m2 / np.pi)
    vertical_d = 4.0 * state.vertical_area_m2 / state.vertical_perimeter_m
    vertical = np.maximum(state.height_m - state.connector_rise_m, 0.1)
    heads = (
        state.hood_k
        + state.elbow_k * state.connector_elbows
        + state.elbow_45_k * state.connector_elbows_45
        + state.friction * state.connector_length_m / connector_d
    )
    top = state.cap_k + state.friction * state.corrugation * vertical / vertical_d
    top = top + obstruction_coefficient(state.vent_blocked)
    more = 1.0 + state.dilution_ratio
    resistance = heads / state.connector_area_m2**2 + top * (more / state.vertical_area_m2) ** 2
    around = state.room_k + state.exterior_share * (outdoor_k - state.room_k)
    return Vent(
        connector_area_m2=state.connector_area_m2,
        vertical_area_m2=state.vertical_area_m2,
        connector_perimeter_m=np.pi * connector_d,
        vertical_perimeter_m=state.vertical_perimeter_m,
        connector_length_m=state.connector_length_m,
        connector_rise_m=state.connector_rise_m,
        vertical_height_m=vertical,
        connector_u_w_m2k=np.minimum(state.connector_u, 0.95 * state.film),
        vertical_u_w_m2k=np.minimum(state.vertical_u, 0.95 * state.film),
        connector_capacity_j_m2k=state.connector_capacity,
        vertical_capacity_j_m2k=state.vertical_capacity,
        film_w_m2k=state.film,
        connector_ambient_k=zone_k,
        vertical_ambient_k=around,
        resistance_m4=resistance,
        dilution_ratio=state.dilution_ratio,
        terminal_pa=terminal_pa,
        pressure_pa=state.pressure_pa,
    )


@dataclass(frozen=True, slots=True)
class Scene:
    """A state under a condition, ready to be solved: temperatures, vent, and the network without the vent."""

    outdoor_k: Array
    zone_k: Array
    vent: Vent
    network: Network
    hood_offset_pa: Array
    gauge_offset_pa: Array

    def take(self, index: Index) -> Scene:
        """Return the same scene for a choice of samples."""
        return Scene(
            self.outdoor_k[index],
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
    zone = np.zeros(state.samples)
    for i, (device, on) in enumerate(zip(state.devices, condition.devices_on, strict=True)):
        if on and device.in_zone:
            zone = zone + state.device_m3_s[i]
        elif on:
            house = house + state.device_m3_s[i]
    return house, zone


def scene_of(state: State, condition: Condition, link_m2: Array, handler_on: bool) -> Scene:
    """Put a state under a condition, with the link to the house and the air handler as given."""
    n = state.samples
    outdoor_k = np.zeros(n) + condition.outdoor_k
    usual = state.room_k + state.zone_k_share * (outdoor_k - state.room_k)
    zone_k = usual if condition.zone_k is None else np.full(n, condition.zone_k)
    rho_out, rho_in, rho_zone = (density_kg_m3(t, state.pressure_pa) for t in (outdoor_k, state.room_k, zone_k))
    rho = 0.5 * (rho_out + rho_in)
    wind = condition.wind_m_s * state.wind_factor
    dynamic = 0.5 * rho_out * wind * wind
    house_stack, zone_stack = (rho_out - rho_in) * GRAVITY, (rho_out - rho_zone) * GRAVITY

    # house envelope: floor, four faces at mid-height, ceiling; calm air needs one face only
    doors = state.interior_doors_factor if condition.interior_doors_shut else 1.0
    leak = state.leak_m3_s * rho * condition.leakage_factor * doors
    walls = 1.0 - state.floor_share - state.ceiling_share
    middle = house_stack * 0.5 * state.house_height_m
    faces = [middle]
    if condition.wind_m_s > 0.0:
        number = catalog.number
        cps = (number("priors", "wall_cp_windward"), number("priors", "wall_cp_leeward"))
        side = number("priors", "wall_cp_side")
        faces = [middle - cp * dynamic for cp in (*cps, side, side)]
    leaks = [leak * state.floor_share, *([leak * walls / len(faces)] * len(faces)), leak * state.ceiling_share]
    offsets = [np.zeros(n), *faces, house_stack * state.house_height_m - state.roof_cp * dynamic]

    window_z = catalog.number("conditions", "window_height_ft") * units.M_PER_FT
    openings, opening_offsets = [np.zeros(n)], [np.zeros(n)]
    if condition.window_m2 > 0.0:
        area = np.full(n, condition.window_m2)
        openings.append(orifice_coefficient(area, state.discharge, rho))
        opening_offsets.append(house_stack * window_z)
    exhaust_house, exhaust_zone = _exhaust(state, condition)
    running = exhaust_house + exhaust_zone > 1e-9
    if (state.relief_house_m2 > 0.0).any():
        openings.append(orifice_coefficient(state.relief_house_m2 * running, state.discharge, rho))
        opening_offsets.append(house_stack * window_z)
    supply = state.supply_m3_s - state.supply_exhaust_m3_s if condition.supply_on else np.zeros(n)
    makeup = state.makeup_share * (exhaust_house + exhaust_zone)
    # a leaky return carries zone air to the house; supply air lost outdoors must be replaced
    carried = state.return_leak_m3_s * rho_zone if handler_on else np.zeros(n)
    lost = state.supply_leak_m3_s * rho_in if handler_on else np.zeros(n)
    house = Space(
        np.stack(leaks),
        np.stack(offsets),
        state.exponent,
        np.stack(openings),
        np.stack(opening_offsets),
        exhaust_house * rho_in,
        lost - carried - (supply + makeup) * rho_out,
        state.stall_pa,
    )

    blocked = {"as found": state.intake_blocked, "cleared": 0.0 * state.intake_blocked}.get(condition.intake)
    left = np.zeros(n) if blocked is None else 1.0 - blocked
    high_z, low_z = 0.9 * state.zone_height_m, np.full(n, 0.1) * state.zone_height_m
    wind_zone = state.zone_cp * dynamic
    zone_openings = [
        orifice_coefficient(state.opening_low_m2 * left, state.discharge, rho),
        orifice_coefficient(state.opening_high_m2 * left, state.discharge, rho),
    ]
    zone_offsets = [zone_stack * low_z - wind_zone, zone_stack * high_z - wind_zone]
    if condition.zone_window_m2 > 0.0:
        zone_openings.append(orifice_coefficient(np.full(n, condition.zone_window_m2), state.discharge, rho))
        zone_offsets.append(zone_stack * window_z)
    zone = Space(
        (state.zone_leak_m3_s * rho * condition.leakage_factor)[None],
        (zone_stack * 0.5 * state.zone_height_m - wind_zone)[None],
        state.exponent,
        np.stack(zone_openings),
        np.stack(zone_offsets),
        exhaust_zone * rho_zone,
        carried + (state.own_draw_m3_s - state.zone_supply_m3_s) * rho_zone,
        state.stall_pa,
    )
    terminal = state.gust_cp if condition.gusty else state.terminal_cp
    warm_gain = state.shared_gain_k if condition.shared_firing else 0.0
    vent = vent_of(state, outdoor_k, zone_k, terminal * dynamic - state.inducer_pa)
    if condition.shared_firing:
        vent = _warmed(vent, warm_gain)
    link = orifice_coefficient(link_m2, state.discharge, rho)
    gauge = catalog.number("conditions", "pressure_height_ft") * units.M_PER_FT
    return Scene(
        outdoor_k,
        zone_k,
        vent,
        Network(house, zone, link[None], ((rho_in - rho_zone) * GRAVITY * low_z)[None]),
        zone_stack * state.hood_height_m,
        zone_stack * gauge,
    )


def _warmed(vent: Vent, gain_k: Array | float) -> Vent:
    """Vent whose surroundings are warmed by the fire of the appliance that shares it."""
    from dataclasses import replace

    return replace(vent, vertical_ambient_k=vent.vertical_ambient_k + gain_k, dilution_ratio=0.0 * vent.dilution_ratio)


def worse_link(state: State, condition: Condition) -> tuple[Array, bool]:
    """Link area and air-handler state; 'worse' takes, sample by sample, what lowers the zone pressure under draw."""
    handler_choices = {"off": (False,), "on": (True,), "worse": (False, True)}[condition.air_handler]
    moving = bool(((state.return_leak_m3_s + state.supply_leak_m3_s) > 0.0).any())
    handler = handler_choices[-1] if moving else False
    if condition.zone_door == "worse" and state.zone_isolated:
        return state.link_closed_m2, handler
    if condition.zone_door != "worse" or not state.has_door:
        open_ = condition.zone_door == "open" and state.has_door
        return (state.link_open_m2 if open_ else state.link_closed_m2), handler
    # the vent draws about twice the products once it works: judge the door with that flow running
    trial: dict[str, Array] = {}
    for name, link in (("closed", state.link_closed_m2), ("open", state.link_open_m2)):
        scene = scene_of(state, condition, link, handler)
        zone = scene.network.zone
        drawing = Space(
            zone.leak_kg_s,
            zone.leak_offset_pa,
            zone.exponent,
            zone.opening_kg_s,
            zone.opening_offset_pa,
            zone.exhaust_kg_s,
            zone.constant_kg_s + 2.0 * state.products_kg_s,
            zone.stall_pa,
        )
        network = Network(scene.network.house, drawing, scene.network.link_kg_s, scene.network.link_offset_pa)
        trial[name] = solve_zones(network).zone_pa
    closed_worse = trial["closed"] < trial["open"]
    return np.where(closed_worse, state.link_closed_m2, state.link_open_m2), handler


def respond(state: State, condition: Condition, fine: bool = False) -> Response:
    """Solve a state under a condition.

    Parameters
    ----------
    state : State
        ``n`` situations.
    condition : Condition
        What runs, what stands open, the weather.
    fine : bool
        March every sample with fine steps, instead of coarse ones where the idle vent rises well.

    Returns
    -------
    Response
    """
    link, handler = worse_link(state, condition)
    scene = scene_of(state, condition, link, handler)
    if state.appliance in NO_HOOD:
        return _no_hood(state, scene)
    idle = idle_state(scene.vent, scene.zone_k, scene.outdoor_k, scene.boundary(), state.idle_heat_w)
    if condition.vent_warm:
        idle = _after_firing(state, scene, idle)
    burner = Burner(
        state.products_kg_s,
        state.products_k,
        scene.zone_k,
        scene.outdoor_k,
        state.plume_pa,
        state.prompt_share,
        state.lag_s,
    )
    n = state.samples
    drive = _idle_drive_pa(scene, idle)
    never = (drive + state.plume_pa < HOPELESS_PA) & (not condition.vent_warm)
    clear = (drive > CLEAR_RISE_PA) & ~never if not fine else np.zeros(n, dtype=bool)
    steps = np.asarray(TIMES_S, dtype=np.float64)
    ratio = np.repeat((idle.flow_kg_s / state.products_kg_s)[None], len(steps), axis=0)
    seconds = np.where(never, np.inf, 0.0)
    for chosen, times in ((clear, COARSE_TIMES_S), (~clear & ~never, TIMES_S)):
        index = np.flatnonzero(chosen)
        if index.size:
            first = len(times) if fine else FIRST_STAGE_STEPS
            _march_part(scene, burner, idle, index, times, first, steps, seconds, ratio)
    spilled = np.clip(1.0 - ratio, 0.0, 1.0)
    width = np.diff(np.concatenate([[0.0], steps]))[:, None]
    flow = ratio[-1] * state.products_kg_s
    # what passes the hood: the mixture behind it, or outdoor air coming down
    mixed = inlet_temperature_k(flow, state.products_kg_s, state.products_k, scene.zone_k)
    rho = density_kg_m3(np.where(flow > 0.0, mixed, scene.outdoor_k), state.pressure_pa)
    draft = state.hood_k * flow * np.abs(flow) / (2.0 * rho * state.connector_area_m2**2)
    share = (spilled * width).sum(axis=0) / steps[-1]
    return Response(seconds, share, steps, ratio, -_gauge_pa(scene, idle), idle.flow_kg_s > 0.0, draft)


def _march_part(
    scene: Scene,
    burner: Burner,
    idle: Idle,
    index: Index,
    times: tuple[float, ...],
    first: int,
    steps: Array,
    seconds: Array,
    ratio: Array,
) -> None:
    """March some samples, let go after ``first`` steps of those that clearly draft; fills ``seconds`` and ``ratio``."""
    part, fire, state = scene.take(index), burner.take(index), _idle_take(idle, index)
    run = march(part.vent, fire, state, part.boundary(), times[:first])
    lit = times[:first][-1]
    done = np.searchsorted(steps, lit, side="right")
    flow = _on_steps(run, steps) / fire.products_kg_s
    seconds[index], ratio[:, index] = run.seconds_to_draft, flow
    if first >= len(times):
        return
    left = np.flatnonzero(run.flow_kg_s[-1] < SETTLED_RATIO * fire.products_kg_s)
    if not left.size:
        return
    chosen = index[left]
    rest = scene.take(chosen)
    on = Idle(run.flow_kg_s[-1, left], run.gas_k[:, left], run.wall_k[:, left], run.depressurization_pa[-1, left])
    more = march(rest.vent, burner.take(chosen), on, rest.boundary(), times[first:], lit)
    settled = run.seconds_to_draft[left]
    later = np.where(np.isfinite(settled), settled, lit)
    seconds[chosen] = np.where(more.seconds_to_draft > lit, more.seconds_to_draft, later)
    ratio[done:, chosen] = (_on_steps(more, steps) / burner.products_kg_s[chosen])[done:]


def zone_pressure_pa(state: State, condition: Condition) -> Array:
    """Zone pressure before firing at the height of a hand-held gauge, Pa relative to outdoors (negative: below)."""
    link, handler = worse_link(state, condition)
    scene = scene_of(state, condition, link, handler)
    if state.appliance in NO_HOOD:
        return scene.pressure_without_vent()
    return _gauge_pa(scene, idle_state(scene.vent, scene.zone_k, scene.outdoor_k, scene.boundary(), state.idle_heat_w))


def _on_steps(run: Startup, steps: Array) -> Array:
    if len(run.times_s) == len(steps):
        return run.flow_kg_s
    return np.asarray(run.flow_kg_s[np.minimum(np.searchsorted(run.times_s, steps), len(run.times_s) - 1)])


def _idle_take(idle: Idle, index: Index) -> Idle:
    return Idle(idle.flow_kg_s[index], idle.gas_k[:, index], idle.wall_k[:, index], idle.depressurization_pa[index])


def _idle_drive_pa(scene: Scene, idle: Idle) -> Array:
    """Net drive of the idle vent, Pa, positive upward."""
    from advisor.physics.vent import stack_pa

    return stack_pa(scene.vent, idle.gas_k, scene.outdoor_k) - scene.vent.terminal_pa - idle.depressurization_pa


def _gauge_pa(scene: Scene, idle: Idle) -> Array:
    """Zone pressure before firing at the gauge's height."""
    return scene.gauge_offset_pa - scene.hood_offset_pa - idle.depressurization_pa


def _after_firing(state: State, scene: Scene, idle: Idle) -> Idle:
    """Vent still warm from an earlier firing: filled with the gas of a steady flow of twice the products."""
    flow = 2.0 * state.products_kg_s
    gas, _ = plug_flow(scene.vent, flow, 0.5 * (state.products_k + scene.zone_k), scene.zone_k)
    from advisor.physics.startup import wall_equilibrium_k

    return Idle(flow, gas, wall_equilibrium_k(scene.vent, gas), idle.depressurization_pa)


def _class_limit_pa(state: State) -> Array:
    """Published depressurization class of an appliance without a draft hood, Pa, spread over its range."""
    if state.appliance == "none":
        return np.full(state.samples, np.inf)
    if state.appliance == "sealed":
        row = catalog.parameter("conditions", "sealed_limit_pa")
        # evenly over the range, the same for every option
        share = np.mod(0.6180339887498949 * np.arange(state.samples), 1.0)
        return np.asarray(row.low + (row.high - row.low) * share)
    rows = {row["key"]: row for row in catalog.table("depressurization_limits")}
    return np.full(state.samples, float(rows["id_alone"]["max_depressurization_pa"]))


def _no_hood(state: State, scene: Scene) -> Response:
    """Appliances without a draft hood: nothing to spill within their published depressurization class."""
    n = state.samples
    zone = scene.pressure_without_vent()
    steps = np.asarray(TIMES_S, dtype=np.float64)
    seconds = np.where(-zone > _class_limit_pa(state), np.inf, 0.0)
    if state.appliance == "fan-assisted":
        # Category I: it still needs the old vent, so a blocked one fails it
        seconds = np.where(state.vent_blocked > catalog.number("conditions", "fan_vent_blocked_limit"), np.inf, seconds)
    ratio = np.where(np.isfinite(seconds), 2.0, 0.5) * np.ones((len(steps), n))
    share = np.where(np.isfinite(seconds), 0.0, 0.5)
    return Response(seconds, share, steps, ratio, -zone, np.ones(n, dtype=bool), np.zeros(n))


def vent_runs_wet(state: State, condition: Condition) -> Array:
    """Whether the inner wall at the vent's top stays below the dew point of the diluted gas in the steady state.

    Returns
    -------
    array (n,) of 0 and 1; 0 for appliances without a draft hood.
    """
    if state.appliance in NO_HOOD:
        return np.zeros(state.samples)
    from advisor.physics.vent import steady_flow_kg_s

    n = state.samples
    outdoor = np.zeros(n) + condition.outdoor_k
    vent = vent_of(state, outdoor, state.room_k, np.zeros(n))
    still = np.zeros(n)
    flow = steady_flow_kg_s(
        vent, state.products_kg_s, state.products_k, state.room_k, outdoor, still, points=24, halvings=12
    )
    flow = np.maximum(flow, state.products_kg_s)
    inlet = (state.products_kg_s * state.products_k + (flow - state.products_kg_s) * state.room_k) / flow
    _, outlet = plug_flow(vent, flow, inlet, state.room_k)
    wall = wall_temperature_k(vent, outlet[-1])
    dilution = flow * (1.0 + state.dilution_ratio) / state.products_kg_s
    humidity = catalog.number("assumptions_air", "room_humidity_ratio_kg_kg")
    dew = combustion.flue_dew_point_k(
        properties.fuel(state.fuel), state.excess_air, dilution, humidity, state.pressure_pa
    )
    return (wall < dew).astype(np.float64)
