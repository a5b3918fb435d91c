"""Simulation-based calibration, and decisions that get better with every run.

The truth is drawn from the prior, its record is simulated, and the inference must be right as often as it says
(Talts et al. 2018 describe the method; from memory). Bounds are binomial: 300 worlds give a 50 % interval a standard
deviation of 2.9 points and a 90 % interval one of 1.7.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from evidence_worlds import RUNS, asked, house, joined, recorded, truths

from advisor.ensemble.conditions import worst_case
from advisor.ensemble.draw import draw
from advisor.ensemble.question import Question
from advisor.ensemble.respond import respond, zone_pressure_pa
from advisor.ensemble.state import State
from advisor.ensemble.weighted import normalized, pick
from advisor.evidence.causes import removed
from advisor.evidence.decision import Choice, decide, decision_table, outcomes
from advisor.evidence.likelihood import allowed_seconds, observations, predict
from advisor.evidence.posterior import infer
from advisor.remedies import all_remedies
from advisor.remedies.base import Job

WORLDS, SAMPLES, KEPT, SEED = 180, 256, 40, 11
CAUSES = ("exhaust", "intake", "vent_blocked", "vent_cold_or_large")


def test_intervals_and_causes_are_calibrated(capsys: pytest.CaptureFixture[str]) -> None:
    case = house()
    truth = truths(case, WORLDS, SEED)
    worst, allowed = worst_case(case, truth), allowed_seconds(case)
    runs = (asked(RUNS[0], pressure=True), asked(RUNS[1], pressure=False))
    shown = [predict(case, truth, run) for run in runs]
    true_pa = -zone_pressure_pa(truth, worst)
    rng = np.random.default_rng(SEED)
    inside = {0.5: 0, 0.9: 0}
    ranks, kept = [], []
    for world in range(WORLDS):
        record = [recorded(run, seen, world, rng) for run, seen in zip(runs, shown, strict=True)]
        found = infer(case, SAMPLES, 1000 + world, record)
        values = -zone_pressure_pa(found.state, worst)
        rank = float(found.weight[values < true_pa[world]].sum())
        ranks.append(rank)
        for level in inside:
            inside[level] += abs(rank - 0.5) <= level / 2.0
        kept.append(found.state.take(pick(found.weight, KEPT, world)))
    covered = {level: count / WORLDS for level, count in inside.items()}
    with capsys.disabled():
        print(
            f"\nzone pressure: 50 % interval holds {covered[0.5]:.3f}, 90 % {covered[0.9]:.3f}, mean rank {np.mean(ranks):.3f}"
        )
    assert 0.41 <= covered[0.5] <= 0.59
    assert 0.84 <= covered[0.9] <= 0.96
    assert 0.45 <= np.mean(ranks) <= 0.55

    spilled = respond(truth, worst).spills_beyond(allowed) > 0.5
    pool = joined(kept)
    fails = (respond(pool, worst).spills_beyond(allowed) > 0.5).reshape(WORLDS, KEPT)
    said_spills = fails.mean(axis=1)
    brier = float(np.mean((said_spills - spilled) ** 2))
    base = float(spilled.mean() * (1.0 - spilled.mean()))
    with capsys.disabled():
        print(
            f"spills: said {said_spills.mean():.3f}, true {spilled.mean():.3f}, Brier {brier:.3f} (base rate {base:.3f})"
        )
    assert abs(said_spills.mean() - spilled.mean()) < 0.05
    assert brier < 0.75 * base
    for name in CAUSES:
        cures = (respond(removed(name, pool), worst).spills_beyond(allowed) < 0.5).reshape(WORLDS, KEPT)
        true = (respond(removed(name, truth), worst).spills_beyond(allowed) < 0.5)[spilled]
        count = fails.sum(axis=1)[spilled]
        said = (cures & fails).sum(axis=1)[spilled] / np.maximum(count, 1)
        held = count >= KEPT // 4
        said, true = said[held], true[held]
        brier, base = float(np.mean((said - true) ** 2)), float(true.mean() * (1.0 - true.mean()))
        sd = float(np.sqrt(np.sum(said * (1.0 - said) + 0.25 / KEPT))) / len(said)
        with capsys.disabled():
            print(f"{name}: said {said.mean():.3f}, true {true.mean():.3f}, Brier {brier:.3f} (base rate {base:.3f})")
        # means agree within sampling; the score is no worse than the base rate's beyond the noise of few kept samples
        assert abs(said.mean() - true.mean()) < 3.0 * sd + 0.02
        assert brier < base + 0.02
        assert brier < 0.2
        if name in ("exhaust", "vent_blocked"):  # what a pressure and a window tell apart
            assert brier < 0.75 * base


def test_regret_falls_with_every_run(capsys: pytest.CaptureFixture[str]) -> None:
    # a closet that hangs on its intake: what is wrong decides what to buy
    case = house(
        house={"floor_area_ft2": 1600.0, "stories": 1, "leakage_cfm50": 1500.0},
        zone={"kind": "closet", "door": "weatherstripped"},
        opening=[{"diameter_in": 8.0, "position": "high", "state": "unknown"}],
        # written down what is not there, else a dear option that depends on nothing is right whatever a run shows
        vent={"vertical": "type b", "cap": "listed", "height_ft": 18.0, "shared": False},
        supply=[],
        air_handler={"present": False},
    )
    worlds = 400
    truth, ensemble = truths(case, worlds, 21), draw(case, 2048, 22)
    worst, allowed = worst_case(case, truth), allowed_seconds(case)
    job = Job(case)
    remedies = {r.id: r for r in all_remedies()}

    def after(*names: str) -> Callable[[State], State]:
        def alter(state: State) -> State:
            for name in names:
                state = remedies[name].alter(state, job)
            return state

        return alter

    choices = [
        Choice("leave_as_found", "leave", 0.0, after()),
        Choice("clear_intake", "clear the intake", 250.0, after("clear_intake")),
        Choice("clear_vent", "clear the vent", 450.0, after("clear_vent")),
        Choice("both", "clear both", 600.0, after("clear_intake", "clear_vent")),
        Choice("electric_resistance", "electric", 2500.0, None),
    ]
    said = decision_table(choices, outcomes(choices, ensemble, Question(worst, allowed)))
    true = decision_table(choices, outcomes(choices, truth, Question(worst, allowed)))
    marked = [asked(run, pressure=i == 0) for i, run in enumerate(RUNS)]
    shown = [predict(case, truth, run) for run in marked]
    there = [predict(case, ensemble, run) for run in marked]
    rng = np.random.default_rng(3)
    regret = np.zeros((4, worlds))
    for world in range(worlds):
        log_weight = ensemble.chance.log_weight.copy()
        for runs in range(4):
            if runs:
                record = recorded(marked[runs - 1], shown[runs - 1], world, rng)
                for one in observations(case, record, there[runs - 1]):
                    log_weight = log_weight + one.log_likelihood
            regret[runs, world] = true.regret_usd[decide(said, normalized(log_weight)), world]
    means = regret.mean(axis=1)
    with capsys.disabled():
        print(f"\nexpected regret with 0, 1, 2, 3 runs: {', '.join(f'{m:.0f}' for m in means)} usd")
    assert means[0] > means[1] > means[2] > means[3]
    assert means[3] < 0.8 * means[0]
