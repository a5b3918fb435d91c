"""Calibration against worlds of another model: own march, hidden faults by other laws (`other_worlds`).

That 90 % intervals hold 85 to 95 % is the project's own requirement. With 140 worlds a share of 0.9 scatters by 2.5
points (240 worlds were looked at once: 91 to 93 %).
"""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from evidence_worlds import RUNS, asked, house
from other_worlds import march, record_in, shown_in, worlds

from advisor.case.model import Case
from advisor.ensemble.conditions import stresses, worst_case
from advisor.ensemble.draw import draw
from advisor.ensemble.respond import respond, zone_pressure_pa
from advisor.ensemble.state import Condition, State
from advisor.evidence.likelihood import allowed_seconds
from advisor.evidence.posterior import Posterior, infer
from advisor.ranking.gates import grade_of_shares
from advisor.remedies import all_remedies
from advisor.remedies.base import Job

WORLDS, SAMPLES, SEED = 140, 256, 17
pytestmark = pytest.mark.xdist_group("worlds")  # the worlds are worked out once, on one worker


def looked_through() -> Case:
    """Return a house in which a good record can say that it is safe: a leaky one, the vent looked through."""
    return house(
        house={"floor_area_ft2": 1600.0, "stories": 1, "leakage_cfm50": 2400.0},
        vent={
            "vertical": "type b",
            "cap": "listed",
            "height_ft": 20.0,
            "shared": False,
            "inspected": True,
            "condition": "clear",
        },
    )


def test_the_two_models_agree_where_nothing_is_hidden(capsys: pytest.CaptureFixture[str]) -> None:
    """Explicit cells with inertia against four segments and growing steps, on draws of the prior.

    Each way no more than the larger of the two bounds that `test_startup` holds the march to.
    """
    case = looked_through()
    state = draw(case, 512, SEED)
    condition = worst_case(case, state)
    fine, coarse = march(state, condition), respond(state, condition)
    spills, said = fine.seconds > 299.0, coarse.spills_beyond(300.0) > 0.5
    with capsys.disabled():
        print(
            f"\nother march: spills there only {np.mean(spills & ~said):.3f}, here only {np.mean(said & ~spills):.3f}"
        )
    assert np.mean(spills & ~said) < 0.04
    assert np.mean(said & ~spills) < 0.04
    below = np.abs(fine.depressurization_pa - coarse.zone_depressurization_pa)
    assert np.quantile(below, 0.95) < 0.3


@cache
def inferred() -> tuple[Posterior, ...]:
    """Return what is inferred from the record of every world."""
    return tuple(outcome()[4])


@cache
def outcome() -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray, list[Posterior]]:
    """Return by world: rank of the true pressure, share said to spill, whether it does, situations that count, posterior."""
    case = looked_through()
    truth = worlds(case, WORLDS, SEED)
    worst = worst_case(case, truth)
    there = march(truth, worst)
    # the whole worst case is tested, both positions of the closet's door
    both = [run.model_copy(update={"zone_door": "worst position"}) for run in RUNS[:2]]
    plans = (asked(both[0], pressure=True), asked(both[1], pressure=False))
    shown = [shown_in(case, truth, run) for run in plans]
    rng = np.random.default_rng(SEED)
    ranks, said, kept, posteriors = [], [], [], []
    for world in range(WORLDS):
        record = [
            record_in(truth, run, seen, world, rng, i == 0)
            for i, (run, seen) in enumerate(zip(plans, shown, strict=True))
        ]
        found = infer(case, SAMPLES, 3000 + world, record)
        values = -zone_pressure_pa(found.state, worst)
        ranks.append(float(found.weight[values < there.depressurization_pa[world]].sum()))
        said.append(float(found.weight @ respond(found.state, worst).spills_beyond(allowed_seconds(case))))
        kept.append(found.effective_samples)
        posteriors.append(found)
    return np.array(ranks), np.array(said), there.seconds > 299.0, np.array(kept), posteriors


def test_intervals_hold_in_other_worlds(capsys: pytest.CaptureFixture[str]) -> None:
    ranks, *_ = outcome()
    held = {level: float(np.mean(np.abs(ranks - 0.5) <= level / 2.0)) for level in (0.5, 0.9)}
    with capsys.disabled():
        print(f"\nother worlds: 50 % interval of zone pressure holds {held[0.5]:.3f}, 90 % {held[0.9]:.3f}")
    assert 0.85 <= held[0.9] <= 0.95
    assert 0.40 <= held[0.5] <= 0.60  # not wider than with 240 worlds: three binomial deviations of 3.2 points


def test_shares_hold_in_other_worlds(capsys: pytest.CaptureFixture[str]) -> None:
    """What is said to spill does, in about that share; where it is said to be safe or to fail for sure, it mostly is."""
    _, said, spills, *_ = outcome()
    brier, base = float(np.mean((said - spills) ** 2)), float(spills.mean() * (1.0 - spills.mean()))
    safe, sure = said <= 0.05, said >= 0.95
    with capsys.disabled():
        print(
            f"\nother worlds: said {said.mean():.3f}, true {spills.mean():.3f}, Brier {brier:.3f} of {base:.3f}; "
            f"said safe {safe.sum()}, spill {spills[safe].sum()}; said sure {sure.sum()}, spill {spills[sure].sum()}"
        )
    assert abs(said.mean() - spills.mean()) < 0.06
    assert brier < 0.75 * base
    assert min(sure.sum(), safe.sum()) > 10
    # binomial: two deviations over one in twenty
    assert spills[safe].sum() <= 0.05 * safe.sum() + 2.0 * np.sqrt(0.0475 * safe.sum())
    assert (~spills[sure]).sum() <= 0.05 * sure.sum() + 2.0 * np.sqrt(0.0475 * sure.sum())


OPTIONS = ("recirculating_hood", "ventless_dryer")
"""Of six hooded remedies those that are graded robust here at all (240 worlds looked at once: 145 times, 2 spilled)."""
LOOKED_AT = 60
"""Worlds in which every option is graded."""


def test_what_is_graded_robust_holds_in_other_worlds(capsys: pytest.CaptureFixture[str]) -> None:
    """The project's own requirement: no option graded robust spills in more than 5 % of worlds drawn from another model."""
    case = looked_through()
    job, truth = Job(case), worlds(case, WORLDS, SEED).take(np.arange(LOOKED_AT))
    worst = worst_case(case, truth)
    remedies = {r.id: r for r in all_remedies()}
    robust = spilled = 0
    told = []
    for name in OPTIONS:
        alter = remedies[name].alter
        there = march(alter(truth, job), worst).seconds > 299.0
        graded = np.array([_robust(alter(found.state, job), found.weight, case) for found in inferred()[:LOOKED_AT]])
        fails = int(there[graded].sum())
        told.append(f"{name} {graded.sum()}/{fails}")
        robust, spilled = robust + int(graded.sum()), spilled + fails
    with capsys.disabled():
        print(f"\nother worlds, graded robust / spills there: {', '.join(told)}")
    assert robust > 40
    assert spilled <= 0.05 * robust


def _robust(state: State, weight: np.ndarray, case: Case) -> bool:
    def share(condition: Condition) -> float:
        return float(weight @ respond(state, condition).spills_beyond(allowed_seconds(case)))

    tested = share(worst_case(case, state))
    if grade_of_shares(tested, 0.0) == "not enough":
        return False
    return grade_of_shares(tested, max(share(c) for c in stresses(case, state).values())) == "robust"
