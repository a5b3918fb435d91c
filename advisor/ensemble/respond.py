"""What the house, the zone and the vent do under a condition: ``State x Condition -> Response``."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from advisor import catalog
from advisor.codes.tables import depressurization_pa
from advisor.ensemble import properties
from advisor.ensemble.scene import Scene, scene_of, vent_of, worse_link
from advisor.ensemble.state import Array, Condition, Index, State
from advisor.physics import combustion
from advisor.physics.startup import (
    TIMES_S,
    Burner,
    Idle,
    Startup,
    idle_state,
    march,
    reversed_idle_state,
)
from advisor.physics.vent import (
    density_kg_m3,
    inlet_temperature_k,
    plug_flow,
    wall_temperature_k,
)

NO_HOOD = ("none", "sealed", "power vent", "fan-assisted")
"""Kinds of appliance without a draft hood."""
COARSE_TIMES_S = (1, 3, 7, 14, 24, 36, 48, 60, 90, 120, 200, 300, 600)
"""Steps for samples whose idle vent rises well: they need no fine march."""
FIRST_STAGE_STEPS = 9
"""Fine steps after which samples that clearly draft are let go; numerical, as is the ratio below."""
SETTLED_RATIO = 1.2
CLEAR_RISE_PA = 0.5
"""Idle drive above which a sample counts as rising well; numerical, checked against the fine march in the tests."""
SOON_S = 60.0
"""Up to here the coarse steps are as close as the fine ones; numerical, checked against the full march in the tests."""
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
    draft_pa : array
        Draft behind the hood at the end of the firing, Pa, negative when reversed.
    """

    seconds_to_draft: Array
    spilled_share: Array
    times_s: Array
    flow_ratio: Array
    zone_depressurization_pa: Array
    draft_pa: Array

    def spills_beyond(self, allowed_s: float) -> Array:
        """Whether it still spills when the allowed time is over, as 0 or 1.

        The march notes the end of the last step in which it spilled: a time equal to the allowed one is spillage still.
        """
        return (self.seconds_to_draft >= allowed_s).astype(np.float64)

    def ratio_at(self, seconds: float) -> Array:
        """Flow ratio at a time after the burner lit, (n,)."""
        step = int(np.searchsorted(self.times_s, min(seconds, float(self.times_s[-1]))))
        return np.asarray(self.flow_ratio[min(step, len(self.times_s) - 1)])


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
    idle = idle_of(state, scene, condition)
    burner = Burner(
        state.burner.products_kg_s,
        state.burner.products_k,
        scene.zone_k,
        scene.outdoor_k,
        state.burner.plume_pa,
        state.burner.prompt_share,
        state.burner.lag_s,
    )
    n = state.samples
    drive = _idle_drive_pa(scene, idle)
    never = (drive + state.burner.plume_pa < HOPELESS_PA) & (not condition.vent_warm)
    clear = (drive > CLEAR_RISE_PA) & ~never if not fine else np.zeros(n, dtype=bool)
    steps = np.asarray(TIMES_S, dtype=np.float64)
    ratio = np.repeat((idle.flow_kg_s / state.burner.products_kg_s)[None], len(steps), axis=0)
    seconds = np.where(never, np.inf, 0.0)
    for chosen, times in ((clear, COARSE_TIMES_S), (~clear & ~never, TIMES_S)):
        index = np.flatnonzero(chosen)
        if index.size:
            first = len(times) if fine else FIRST_STAGE_STEPS
            _march_part(scene, burner, idle, index, times, first, steps, seconds, ratio)
    # a vent that rises well and drafts late all the same (a long flat connector): coarse steps would date it too late
    late = np.flatnonzero(clear & (seconds > SOON_S))
    if late.size:
        _march_part(scene, burner, idle, late, TIMES_S, FIRST_STAGE_STEPS, steps, seconds, ratio)
    spilled = np.clip(1.0 - ratio, 0.0, 1.0)
    width = np.diff(np.concatenate([[0.0], steps]))[:, None]
    flow = ratio[-1] * state.burner.products_kg_s
    # what passes the hood: the mixture behind it, or outdoor air coming down
    mixed = inlet_temperature_k(flow, state.burner.products_kg_s, state.burner.products_k, scene.zone_k)
    rho = density_kg_m3(np.where(flow > 0.0, mixed, scene.outdoor_k), state.air.pressure_pa)
    draft = state.vent.hood_k * flow * np.abs(flow) / (2.0 * rho * state.vent.connector_area_m2**2)
    share = (spilled * width).sum(axis=0) / steps[-1]
    return Response(seconds, share, steps, ratio, -_gauge_pa(scene, idle), draft)


def idle_of(state: State, scene: Scene, condition: Condition) -> Idle:
    """Return the vent before firing: risen or reversed; where both are stable, what the situation says; or still warm.

    Parameters
    ----------
    state : State
        ``n`` situations.
    scene : Scene
        The same under the condition.
    condition : Condition
        Says whether the vent is warm.
    """
    idle = idle_state(scene.vent, scene.zone_k, scene.outdoor_k, scene.boundary(), state.burner.idle_heat_w)
    if condition.vent_warm:
        return _after_firing(state, scene, idle)
    # air comes down a vent full of outdoor air only against a hood that stands below outdoors; a risen vent draws on the
    # zone, so its hood stands at least as low as it then would: where it does not, only the risen state exists
    may = (idle.flow_kg_s <= 0.0) | (idle.depressurization_pa + scene.vent.terminal_pa > 0.0)
    index = np.flatnonzero((state.vent.starts_reversed > 0.5) & may)
    if not index.size:
        return idle
    part = scene.take(index)
    down = reversed_idle_state(part.vent, part.outdoor_k, part.boundary())
    stays = down.flow_kg_s < 0.0
    chosen = index[stays]
    flow, gas, wall, below = (
        x.copy() for x in (idle.flow_kg_s, idle.gas_k, idle.wall_k, np.asarray(idle.depressurization_pa))
    )
    flow[chosen], below[chosen] = down.flow_kg_s[stays], down.depressurization_pa[stays]
    gas[:, chosen], wall[:, chosen] = down.gas_k[:, stays], down.wall_k[:, stays]
    return Idle(flow, gas, wall, below)


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
    return _gauge_pa(scene, idle_of(state, scene, condition))


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
    flow = 2.0 * state.burner.products_kg_s
    gas, _ = plug_flow(scene.vent, flow, 0.5 * (state.burner.products_k + scene.zone_k), scene.zone_k)
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
    return np.full(state.samples, depressurization_pa("id_alone"))


def _no_hood(state: State, scene: Scene) -> Response:
    """Appliances without a draft hood: nothing to spill within their published depressurization class."""
    n = state.samples
    zone = scene.pressure_without_vent()
    steps = np.asarray(TIMES_S, dtype=np.float64)
    seconds = np.where(-zone > _class_limit_pa(state), np.inf, 0.0)
    if state.appliance == "fan-assisted":
        # Category I: it still needs the old vent, so a blocked one fails it
        seconds = np.where(state.vent.blocked > catalog.number("conditions", "fan_vent_blocked_limit"), np.inf, seconds)
    ratio = np.where(np.isfinite(seconds), 2.0, 0.5) * np.ones((len(steps), n))
    share = np.where(np.isfinite(seconds), 0.0, 0.5)
    return Response(seconds, share, steps, ratio, -zone, np.zeros(n))


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
    room_k = state.room_at_k(outdoor)
    vent = vent_of(state, outdoor, room_k, state.vent.draft_offset_pa)
    still = np.zeros(n)
    flow = steady_flow_kg_s(
        vent, state.burner.products_kg_s, state.burner.products_k, room_k, outdoor, still, points=24, halvings=12
    )
    flow = np.maximum(flow, state.burner.products_kg_s)
    inlet = (state.burner.products_kg_s * state.burner.products_k + (flow - state.burner.products_kg_s) * room_k) / flow
    _, outlet = plug_flow(vent, flow, inlet, room_k)
    wall = wall_temperature_k(vent, outlet[-1])
    dilution = flow * (1.0 + state.vent.dilution_ratio) / state.burner.products_kg_s
    humidity = catalog.number("assumptions_air", "room_humidity_ratio_kg_kg")
    dew = combustion.flue_dew_point_k(
        properties.fuel(state.fuel), state.burner.excess_air, dilution, humidity, state.air.pressure_pa
    )
    return (wall < dew).astype(np.float64)
