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

RUNS = (
    Run(
        label="worst case",
        devices_on=["all"],
        interior_doors="worst position",
        zone_door="closed",
        outdoor_temp_f=50.0,
        seconds_after_lit=300.0,
        seen="unclear",
        method="smoke",
    ),
    Run(
        label="window open",
        devices_on=["all"],
        interior_doors="worst position",
        zone_door="closed",
        window_open_ft2=6.0,
        outdoor_temp_f=50.0,
        seconds_after_lit=300.0,
        seen="unclear",
        method="smoke",
    ),
    Run(
        label="intake cleared",
        devices_on=["all"],
        interior_doors="worst position",
        zone_door="closed",
        intake="cleared",
        outdoor_temp_f=50.0,
        seconds_after_lit=300.0,
        seen="unclear",
        method="smoke",
    ),
)


def house(**parts: object) -> Case:
    plain = {
        "house": {"floor_area_ft2": 1600.0, "stories": 1, "year_built": 1985, "climate_zone": "4A"},
        "zone": {"kind": "closet", "door": "solid"},
        "opening": [{"diameter_in": 7.0, "position": "high", "state": "unknown"}],
        "heater": {"input_btu_h": 40000.0},
        # written down what is not there: what nobody wrote down would be one more explanation of everything
        "vent": {"vertical": "type b", "cap": "listed", "shared": False},
        "supply": [],
        "air_handler": {"present": False},
        "exhaust": [
            {"name": "hood", "kind": "range hood", "rated_cfm": 200.0},
            {"name": "bath fan", "kind": "bath fan", "rated_cfm": 60.0},
            {"name": "dryer", "kind": "dryer"},
        ],
        "run": [{"seen": "unclear", "outdoor_temp_f": 50.0}],
    }
    return Case.model_validate(plain | parts)


def asked(run: Run, pressure: bool) -> Run:
    """Return the run with what is to be recorded marked, so that it is simulated."""
    marked = {"seen": "drafting"} | (
        {"zone_depressurization_pa": 0.0, "baseline_depressurization_pa": 0.0} if pressure else {}
    )
    return run.model_copy(update=marked)


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
