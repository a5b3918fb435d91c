"""Simulated worlds for the evidence tests: a truth from the prior, and the record that an inspector would make of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from advisor.case.model import Case, Run
from advisor.ensemble.draw import draw
from advisor.ensemble.state import State, combined
from advisor.ensemble.weighted import normalized, pick
from advisor.evidence.observations import (
    Predicted,
    blind,
    number,
    pressure_deviation_pa,
    word_chances,
)
from advisor.physics.startup import SPILL_TOLERANCE


def joined(states: Sequence[State]) -> State:
    """Return states of the same build as one, one after the other."""
    return combined(states, lambda each: np.concatenate(each, axis=-1))


def truths(case: Case, count: int, seed: int) -> State:
    """Return situations drawn from the prior, each with the same weight."""
    state = draw(case, 4096, seed)
    chosen = state.take(pick(normalized(state.chance.log_weight), count, seed))
    return replace(chosen, chance=replace(chosen.chance, log_weight=np.zeros(count)))


def seen_in(run: Run, truth: Predicted, world: int, rng: np.random.Generator) -> str:
    """Return what a tester writes: one who misses spillage misses it in all his runs, else he slips now and then."""
    assert truth.ratio is not None
    ratio = float(truth.ratio[world])
    if ratio >= SPILL_TOLERANCE or blind(run, truth)[world] or rng.random() < number("misread_independent"):
        return "drafting"
    spilling, falling = word_chances(run.method or "hand")
    return "spilling" if rng.random() < (falling if ratio <= 0.0 else spilling)[0] else "reversed"


def recorded(run: Run, truth: Predicted, world: int, rng: np.random.Generator) -> Run:
    """Return the record of one run in one world: seen with its chance of misreading, readings with their errors."""
    changes: dict[str, object] = {"seen": seen_in(run, truth, world, rng)}
    if truth.depressurization_pa is not None:
        assert truth.idle_pa is not None
        idle = truth.idle_pa[world : world + 1]
        fans = truth.depressurization_pa[world : world + 1] - idle
        deviations = [float(pressure_deviation_pa(run, values)[0]) for values in (idle, fans)]
        baseline = float(idle[0] + deviations[0] * rng.standard_normal())
        added = float(fans[0] + deviations[1] * rng.standard_normal())
        changes["baseline_depressurization_pa"] = baseline
        changes["zone_depressurization_pa"] = baseline + added
    return run.model_copy(update=changes)
