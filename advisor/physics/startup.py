"""Start-up of a burner under a vent: march gas and wall temperatures in time from the state before firing.

Hot and reversed states coexist over a wide range of depressurization, so the state is never searched for: it is
reached, or not, from the state before firing. At each step the pressures and the flow are solved together for the
temperatures of that moment; then the temperatures move with that flow by exact exponentials, so steps may be long.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from advisor.physics.flow import Array
from advisor.physics.vent import (
    CP_AIR_J_KGK,
    CP_GAS_J_KGK,
    SEGMENTS,
    Vent,
    density_kg_m3,
    flow_coefficient,
    inlet_temperature_k,
    plug_flow,
    stack_pa,
)

Index = NDArray[np.intp]

Boundary = Callable[[Array, Array], tuple[Array, Array]]
"""Maps (flow coefficient of the vent in kg/s/Pa^0.5, its driving pressure in Pa) to (vent flow in kg/s,
depressurization at the hood in Pa): the pressure balance of the zones, or a fixed depressurization."""

TIMES_S: tuple[float, ...] = (1, 2, 4, 7, 11, 16, 23, 32, 45, 60, 80, 100, 120, 150, 190, 240, 300, 380, 480, 600)
"""Ends of the time steps, s: they grow as the changes slow down."""

REVERSED_STEPS, REVERSED_STRETCH = 8, 1.5
"""Steps towards the steady state of a reversed vent, and how far each is stretched; numerical, checked in the tests."""

SPILL_TOLERANCE = 0.98
"""Share of the products that must go up the vent to count as drafting: numerical tolerance of the march."""


@dataclass(frozen=True, slots=True)
class Burner:
    """The fire below the hood, ``n`` samples.

    Parameters
    ----------
    products_kg_s, products_k : arrays
        Flow and final temperature of the combustion products.
    room_k, outdoor_k : arrays
        Temperatures of the zone and outdoors.
    plume_pa : array
        Lift of the hot plume in the hood and the first rise while gas spills, Pa (uncertain, own estimate).
    prompt_share, lag_s : arrays
        Share of the temperature rise that is there at once, and the time constant of the rest.
    """

    products_kg_s: Array
    products_k: Array
    room_k: Array
    outdoor_k: Array
    plume_pa: Array
    prompt_share: Array
    lag_s: Array

    def take(self, index: Index | slice) -> Burner:
        """Return the same burner for a choice of samples."""
        return Burner(
            self.products_kg_s[index],
            self.products_k[index],
            self.room_k[index],
            self.outdoor_k[index],
            self.plume_pa[index],
            self.prompt_share[index],
            self.lag_s[index],
        )


@dataclass(frozen=True, slots=True)
class Idle:
    """Before firing: flow (kg/s, negative when outdoor air comes down), gas and wall temperatures (segments, n)."""

    flow_kg_s: Array
    gas_k: Array
    wall_k: Array
    depressurization_pa: Array


@dataclass(frozen=True, slots=True)
class Startup:
    """Course of one firing.

    Parameters
    ----------
    times_s : array (steps,)
        Ends of the steps.
    flow_kg_s : array (steps, n)
        Flow up the vent.
    spilled_share : array (steps, n)
        Share of the products that spills, 0 to 1.
    depressurization_pa : array (steps, n)
        At the hood.
    seconds_to_draft : array (n,)
        Until spillage stops for good; infinity when it lasts to the end.
    gas_k, wall_k : array (segments, n)
        Gas and wall temperatures at the end: the march can go on from them.
    """

    times_s: Array
    flow_kg_s: Array
    spilled_share: Array
    depressurization_pa: Array
    seconds_to_draft: Array
    gas_k: Array
    wall_k: Array


def wall_equilibrium_k(vent: Vent, gas_k: Array) -> Array:
    """Wall temperature between gas and surroundings in the steady state, (segments, n)."""
    share = vent.by_segment("u_w_m2k") / vent.film_w_m2k
    return gas_k - share * (gas_k - vent.by_segment("ambient_k"))


def idle_state(
    vent: Vent, room_k: Array, outdoor_k: Array, boundary: Boundary, idle_heat_w: Array | float = 0.0
) -> Idle:
    """State of the vent before firing.

    The vent is tried full of air as warm as the room and the idle heater make it; where that does not rise against the
    depressurization, outdoor air fills it. Pilot and hot tank send ``idle_heat_w`` up the flue: it warms a standing
    column by ``P / (U A)`` and a flowing one by ``P / (U A + w cp)``.
    """
    loss_w_k = (vent.by_segment("u_w_m2k") * vent.wall_areas_m2()).sum(axis=0)
    up_gas = room_k + np.broadcast_to(idle_heat_w / loss_w_k, (SEGMENTS, room_k.size))
    flow, depressurization = boundary(flow_coefficient(vent, up_gas), stack_pa(vent, up_gas, outdoor_k))
    rises = flow > 0.0
    down_gas = np.broadcast_to(outdoor_k, up_gas.shape)
    gas = np.where(rises, up_gas, down_gas)
    for _ in range(2):
        cooled, _ = plug_flow(vent, flow, room_k, room_k)
        cooled = cooled + idle_heat_w / (loss_w_k + np.maximum(flow, 0.0) * CP_AIR_J_KGK)
        warmed = _downward(vent, np.maximum(-flow, 1e-7), outdoor_k)
        target = np.where(rises, cooled, warmed)
        gas = 0.5 * (gas + target)
        flow, depressurization = boundary(flow_coefficient(vent, gas), stack_pa(vent, gas, outdoor_k))
    return Idle(flow, gas, wall_equilibrium_k(vent, gas), depressurization)


def reversed_idle_state(vent: Vent, outdoor_k: Array, boundary: Boundary) -> Idle:
    """State of a vent without fire that outdoor air has filled; it is stable only where its flow stays negative.

    The house's warmth heats the air on its way down: where that lifts it, the flow returned is zero or upward, and only
    the risen state of `idle_state` exists.
    """
    gas = np.broadcast_to(outdoor_k, (SEGMENTS, outdoor_k.size))
    flow, depressurization = boundary(flow_coefficient(vent, gas), stack_pa(vent, gas, outdoor_k))
    for step in range(REVERSED_STEPS):
        # less flow, warmer air, less flow again: the way to the steady state never swings, so long steps are safe
        stretch = REVERSED_STRETCH if step else 1.0
        gas = gas + stretch * (_downward(vent, np.maximum(-flow, 1e-7), outdoor_k) - gas)
        flow, depressurization = boundary(flow_coefficient(vent, gas), stack_pa(vent, gas, outdoor_k))
    return Idle(flow, gas, wall_equilibrium_k(vent, gas), depressurization)


def _downward(vent: Vent, flow_kg_s: Array, outdoor_k: Array) -> Array:
    """Steady mean temperatures of outdoor air coming down, (segments, n)."""
    ambient, u_value, area = vent.by_segment("ambient_k"), vent.by_segment("u_w_m2k"), vent.wall_areas_m2()
    temp = outdoor_k
    means = [temp] * SEGMENTS
    for i in reversed(range(SEGMENTS)):
        k = u_value[i] * area[i] / (flow_kg_s * CP_AIR_J_KGK)
        decay = np.exp(-np.minimum(k, 50.0))
        rise = temp - ambient[i]
        means[i] = ambient[i] + rise * (1.0 - decay) / np.maximum(k, 1e-9)
        temp = ambient[i] + rise * decay
    return np.stack(means)


def march(
    vent: Vent,
    burner: Burner,
    idle: Idle,
    boundary: Boundary,
    times_s: tuple[float, ...] = TIMES_S,
    lit_s: float = 0.0,
) -> Startup:
    """Fire the burner at time zero and follow the vent.

    Parameters
    ----------
    vent : Vent
        Geometry and walls.
    burner : Burner
        Products and temperatures.
    idle : Idle
        State before firing.
    boundary : callable
        See ``Boundary``.
    times_s : tuple
        Ends of the steps.
    lit_s : float
        Time since the burner lit at which ``idle`` holds, to continue an earlier march.

    Returns
    -------
    Startup
    """
    steps, count = len(times_s), burner.room_k.size
    rises, share = vent.rises_m(), vent.flow_share()
    area = vent.wall_areas_m2()
    film = vent.film_w_m2k * area
    volume = area * np.stack(
        [
            vent.connector_area_m2 / vent.connector_perimeter_m,
            *([vent.vertical_area_m2 / vent.vertical_perimeter_m] * (SEGMENTS - 1)),
        ]
    )
    u_value, ambient = vent.by_segment("u_w_m2k"), vent.by_segment("ambient_k")
    outer = 1.0 / np.maximum(1.0 / u_value - 1.0 / vent.film_w_m2k, 1e-3)
    wall_rate = (vent.film_w_m2k + outer) / vent.by_segment("capacity_j_m2k")
    gas, wall = idle.gas_k.copy(), idle.wall_k.copy()
    flows, spills, depressurizations = (np.empty((steps, count)) for _ in range(3))
    products = burner.products_kg_s
    flow = idle.flow_kg_s
    last_spilling = np.full(count, lit_s)
    outdoor = density_kg_m3(burner.outdoor_k, vent.pressure_pa)
    before = lit_s
    for step, now in enumerate(times_s):
        length = now - before
        ready = burner.prompt_share + (1.0 - burner.prompt_share) * (1.0 - np.exp(-now / burner.lag_s))
        products_k = burner.room_k + ready * (burner.products_k - burner.room_k)
        lift = burner.plume_pa * ready * np.clip(1.0 - flow / products, 0.0, 1.0)
        drive = 9.80665 * ((outdoor - density_kg_m3(gas, vent.pressure_pa)) * rises).sum(axis=0) + lift
        flow, depressurization = boundary(flow_coefficient(vent, gas), drive)
        gas = _move_gas(vent, gas, wall, flow * share, film, volume, length, burner, products_k)
        target = (vent.film_w_m2k * gas + outer * ambient) / (vent.film_w_m2k + outer)
        wall = target + (wall - target) * np.exp(-wall_rate * length)
        flows[step], depressurizations[step] = flow, depressurization
        spills[step] = np.clip(1.0 - flow / products, 0.0, 1.0)
        last_spilling = np.where(spills[step] > 1.0 - SPILL_TOLERANCE, now, last_spilling)
        before = now
    seconds = np.where(last_spilling >= times_s[-1], np.inf, last_spilling)
    return Startup(np.asarray(times_s, dtype=float), flows, spills, depressurizations, seconds, gas, wall)


def _move_gas(
    vent: Vent,
    gas_k: Array,
    wall_k: Array,
    flow_kg_s: Array,
    film_w_k: Array,
    volume_m3: Array,
    length_s: float,
    burner: Burner,
    products_k: Array,
) -> Array:
    """Move the gas temperatures over one step, upward or downward, each segment toward its plug-flow mean."""
    size = np.maximum(np.abs(flow_kg_s), 1e-6)
    k = film_w_k / (size * CP_GAS_J_KGK)
    decay = np.exp(-np.minimum(k, 50.0))
    mean_share = (1.0 - decay) / np.maximum(k, 1e-9)
    mass = volume_m3 * density_kg_m3(gas_k, vent.pressure_pa)
    # a segment is renewed once its own mass has passed; walls act at once on what is inside
    stay = np.exp(-np.minimum((size + film_w_k / CP_GAS_J_KGK) / mass * length_s, 50.0))
    up = flow_kg_s[0] > 0.0
    new = np.empty_like(gas_k)
    inlet = inlet_temperature_k(flow_kg_s[0], burner.products_kg_s, products_k, burner.room_k)
    rising = inlet
    upward = np.empty_like(gas_k)
    for i in range(SEGMENTS):
        if i == 1:
            rising = (rising + vent.dilution_ratio * burner.room_k) / (1.0 + vent.dilution_ratio)
        target = wall_k[i] + (rising - wall_k[i]) * mean_share[i]
        upward[i] = target + (gas_k[i] - target) * stay[i]
        rising = wall_k[i] + (rising - wall_k[i]) * decay[i]
        # what has not passed yet cannot leave: the next segment sees the old gas first
        rising = rising + (gas_k[i] - rising) * stay[i]
    if up.all():
        return upward
    falling = burner.outdoor_k
    for i in reversed(range(SEGMENTS)):
        target = wall_k[i] + (falling - wall_k[i]) * mean_share[i]
        down = target + (gas_k[i] - target) * stay[i]
        new[i] = np.where(up, upward[i], down)
        falling = wall_k[i] + (falling - wall_k[i]) * decay[i]
        falling = falling + (gas_k[i] - falling) * stay[i]
    return new
