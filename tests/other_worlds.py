"""Worlds drawn from another model than the one that infers: a fine march of its own, and faults that no record shows.

The vent is sixty-one cells with explicit steps and the inertia of its gas (as `fine_simulation` in
``tests/physics/test_startup.py``, here for whole houses); an idle vent is marched to its state, never searched for. The hidden
faults follow laws of their own: an unlisted fan, an offset of the draft, a start from a column of outdoor air. Any test
may use the same worlds: `worlds` draws them, `march` says what happens in them under a condition (also after a remedy
changed their `State`), `record_in` what a tester would write.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from evidence_worlds import truths

from advisor import units
from advisor.case.model import Case, Run
from advisor.ensemble.conditions import idle_house, of_run
from advisor.ensemble.respond import NO_HOOD
from advisor.ensemble.scene import Scene, scene_of, worse_link
from advisor.ensemble.state import Condition, State
from advisor.evidence.observations import number, pressure_deviation_pa, word_chances
from advisor.physics.startup import SPILL_TOLERANCE
from advisor.physics.zones import Network, solve_zones

GRAVITY, GAS_CONSTANT, CP_J_KGK = 9.80665, 287.055, 1089.0
ACROSS, UP = 15, 46
"""Cells of the connector and of the vertical part."""
STEP_S, IDLE_S, LONGEST_STEP, SLOWER = 0.04, 120.0, 1.0, 20.0
FLOWS = np.linspace(-6.0, 8.0, 15)
"""Vent flows, over the products, at which the zone's pressure is worked out; straight lines between."""

UNLISTED, OFFSET, REVERSED, MISSES = 0.15, 0.15, 0.4, 0.06
"""Invented shares of worlds with an unlisted fan, a large offset, a start from outdoor air, and a tester who misses it."""
UNLISTED_CFM, SMALL_PA, LARGE_PA = (40.0, 110.0), 0.8, 5.0


def worlds(case: Case, count: int, seed: int) -> State:
    """Return situations from the prior whose hidden faults are drawn anew, by other laws than the model's."""
    rng = np.random.default_rng([seed, 61])
    state = truths(case, count, seed)
    fan = rng.uniform(*UNLISTED_CFM, count) * units.M3_S_PER_CFM * (rng.random(count) < UNLISTED)
    large = rng.uniform(0.0, LARGE_PA, count) * (rng.random(count) < OFFSET)
    return replace(
        state,
        house=replace(state.house, unlisted_m3_s=fan),
        vent=replace(
            state.vent,
            draft_offset_pa=rng.uniform(-SMALL_PA, SMALL_PA, count) + large,
            starts_reversed=(rng.random(count) < REVERSED).astype(np.float64),
        ),
        chance=replace(
            state.chance, tester_luck=np.where(rng.random(count) < MISSES, 0.0, 1.0), model_luck=np.ones(count)
        ),
    )


@dataclass(frozen=True)
class Marched:
    """What happens in every world.

    Parameters
    ----------
    seconds : array (n,)
        Until spillage stops for good, infinite where it lasts.
    depressurization_pa : array (n,)
        Zone below outdoors before firing, at the height of a gauge.
    """

    seconds: np.ndarray
    depressurization_pa: np.ndarray


def march(state: State, condition: Condition, end_s: float = 301.0) -> Marched:
    """Fire the heater in every world and follow it.

    Parameters
    ----------
    state : State
        Worlds; appliances without a draft hood never spill here.
    condition : Condition
        What runs and stands open; a cold vent.
    end_s : float
        How long to watch, s.
    """
    scene = scene_of(state, condition, *worse_link(state, condition))
    if state.appliance in NO_HOOD:
        return Marched(np.zeros(state.samples), -scene.pressure_without_vent())
    vent = _Pipe(state, scene)
    vent.idle(IDLE_S)
    gauge = scene.gauge_offset_pa - scene.hood_offset_pa - vent.below_pa(vent.flow)
    return Marched(vent.fire(end_s), -gauge)


class _Pipe:
    """Gas and wall of every world's vent, cell by cell, (cells, n)."""

    def __init__(self, state: State, scene: Scene) -> None:
        self.state, self.scene, vent = state, scene, scene.vent
        one = np.ones((ACROSS + UP, 1))
        low = np.arange(ACROSS + UP)[:, None] < ACROSS
        self.size = np.where(low, vent.connector_length_m / ACROSS, vent.vertical_height_m / UP)
        self.rise = np.where(low, vent.connector_rise_m / ACROSS, vent.vertical_height_m / UP)
        self.area = np.where(low, vent.connector_area_m2, vent.vertical_area_m2)
        rim = np.where(low, vent.connector_perimeter_m, vent.vertical_perimeter_m)
        self.u = np.where(low, vent.connector_u_w_m2k, vent.vertical_u_w_m2k)
        self.capacity = np.where(low, vent.connector_capacity_j_m2k, vent.vertical_capacity_j_m2k)
        self.around = np.where(low, vent.connector_ambient_k, vent.vertical_ambient_k)
        self.film = vent.film_w_m2k * one
        self.outer = 1.0 / np.maximum(1.0 / self.u - 1.0 / self.film, 1e-3)
        self.more = np.where(low, 1.0, 1.0 + vent.dilution_ratio)
        self.skin = rim * self.size
        self.inertia = (self.size / self.area * self.more).sum(axis=0)
        self.pressure = vent.pressure_pa
        self.products = state.burner.products_kg_s
        self.loss_w_k = (self.u * self.skin).sum(axis=0)
        self.table = np.stack([self._zone_below(f * self.products) for f in FLOWS])
        start = np.where(state.vent.starts_reversed > 0.5, scene.outdoor_k, scene.zone_k)
        self.gas = np.maximum(start, 0.0) * one
        self.gas = self.gas + (state.vent.starts_reversed < 0.5) * state.burner.idle_heat_w / self.loss_w_k
        self.wall = self._still_wall()
        self.flow = np.where(state.vent.starts_reversed > 0.5, -1e-4, 1e-4)

    def _zone_below(self, flow: np.ndarray) -> np.ndarray:
        network = self.scene.network
        zone = replace(network.zone, constant_kg_s=network.zone.constant_kg_s + flow)
        solved = solve_zones(Network(network.house, zone, network.link_kg_s, network.link_offset_pa))
        return -(solved.zone_pa + self.scene.hood_offset_pa)

    def below_pa(self, flow: np.ndarray) -> np.ndarray:
        """Depressurization at the hood for a flow up the vent."""
        at = np.clip((flow / self.products - FLOWS[0]) / (FLOWS[1] - FLOWS[0]), 0.0, len(FLOWS) - 1.001)
        left = at.astype(int)
        columns = np.arange(flow.size)
        low, high = self.table[left, columns], self.table[left + 1, columns]
        return low + (at - left) * (high - low)

    def _density(self, temp: np.ndarray) -> np.ndarray:
        return self.pressure / (GAS_CONSTANT * temp)

    def _still_wall(self) -> np.ndarray:
        return self.gas - self.u / self.film * (self.gas - self.around)

    def _step(self, inlet: np.ndarray, lift: np.ndarray, slower: float = 1.0) -> None:
        density = self._density(self.gas)
        outdoor = self._density(self.scene.outdoor_k)
        stack = GRAVITY * ((outdoor - density) * self.rise).sum(axis=0)
        drive = stack + lift - self.scene.vent.terminal_pa - self.below_pa(self.flow)
        mean = self._density((self.gas * self.size).sum(axis=0) / self.size.sum(axis=0))
        # the gas has inertia; friction is taken at the new flow, so that long steps do not swing
        drag = self.scene.vent.resistance_m4 * np.abs(self.flow) / (2.0 * mean)
        part = STEP_S / (slower * self.inertia)
        self.flow = (self.flow + part * drive) / (1.0 + part * drag)
        up = self.flow > 0.0
        under = np.concatenate([inlet[None], self.gas[:-1]])
        share = self.scene.vent.dilution_ratio
        under[ACROSS] = (under[ACROSS] + share * self.scene.zone_k) / (1.0 + share)
        above = np.concatenate([self.gas[1:], self.scene.outdoor_k[None]])
        mass = density * self.area * self.size
        passed = np.minimum(np.abs(self.flow) * self.more * STEP_S / mass, LONGEST_STEP)
        moved = self.gas + passed * (np.where(up, under, above) - self.gas)
        cooling = np.exp(-self.film * self.skin * STEP_S / (mass * CP_J_KGK))
        self.gas = self.wall + (moved - self.wall) * cooling

    def idle(self, seconds: float) -> None:
        """March without fire, slowly and with walls as after a long idle time: a vent at rest is in its steady state."""
        for _ in range(int(seconds / STEP_S)):
            # the heat of pilot and tank rises through the column, standing or moving; where air comes down it is lost
            heat_w = (
                np.where(self.flow > -1e-5, self.state.burner.idle_heat_w, 0.0) * self.u * self.skin / self.loss_w_k
            )
            mass = self._density(self.gas) * self.area * self.size
            self.gas = self.gas + heat_w * STEP_S / (mass * CP_J_KGK)
            self._step(self.scene.zone_k, np.zeros(self.flow.size), SLOWER)
            self.wall = self._still_wall()

    def fire(self, end_s: float) -> np.ndarray:
        """March with the burner lit; returns the time until spillage stops for good."""
        state, room = self.state, self.scene.zone_k
        last, time = np.zeros(self.flow.size), 0.0
        relax = np.exp(-(self.film + self.outer) / self.capacity * STEP_S)
        while time < end_s:
            time += STEP_S
            ready = state.burner.prompt_share + (1.0 - state.burner.prompt_share) * (
                1.0 - np.exp(-time / state.burner.lag_s)
            )
            products_k = room + ready * (state.burner.products_k - room)
            lift = state.burner.plume_pa * ready * np.clip(1.0 - self.flow / self.products, 0.0, 1.0)
            drawn = np.maximum(self.flow, self.products)
            inlet = (self.products * products_k + (drawn - self.products) * room) / drawn
            self._step(inlet, lift)
            target = (self.film * self.gas + self.outer * self.around) / (self.film + self.outer)
            self.wall = target + (self.wall - target) * relax
            last = np.where(self.flow < SPILL_TOLERANCE * self.products, time, last)
        return np.where(last > end_s - 1.0, np.inf, last)


@dataclass(frozen=True)
class Shown:
    """What a run would show in every world: spillage at the judged time, and the pressures."""

    spills: np.ndarray
    run_pa: np.ndarray
    idle_pa: np.ndarray


def shown_in(case: Case, state: State, run: Run) -> Shown:
    """March a run in every world; its hood is judged 300 s after lighting."""
    condition = of_run(case, state.devices, run)
    fired, idle = march(state, condition), march(state, idle_house(condition), end_s=1.0)
    return Shown(fired.seconds > 299.0, fired.depressurization_pa, idle.depressurization_pa)


def record_in(state: State, run: Run, shown: Shown, world: int, rng: np.random.Generator, pressure: bool) -> Run:
    """Return what a tester would write of a run in one world."""
    spills = bool(shown.spills[world]) and state.chance.tester_luck[world] > 0.5
    spills = spills and rng.random() > number("misread_independent")
    word = "drafting"
    if spills:
        word = "spilling" if rng.random() < word_chances(run.method or "hand")[1][0] else "reversed"
    changes: dict[str, object] = {"seen": word}
    if pressure:
        idle, whole = shown.idle_pa[world : world + 1], shown.run_pa[world : world + 1]
        errors = [float(pressure_deviation_pa(run, v)[0] * rng.standard_normal()) for v in (idle, whole - idle)]
        baseline = round(float(idle[0]) + errors[0], 1)
        changes["baseline_depressurization_pa"] = baseline
        changes["zone_depressurization_pa"] = round(baseline + float(whole[0] - idle[0]) + errors[1], 1)
    return run.model_copy(update=changes)
