"""Where a share lies near a threshold: more situations are drawn there, and what stays open is said.

A grade is *near the limit* when its deciding share lies within its sampling error of a threshold after the closer look, or
when halving or doubling the unknown offset of the draft would change the grade.
"""

from __future__ import annotations

import numpy as np

from advisor import catalog
from advisor.ensemble.conditions import STRESSES
from advisor.ensemble.question import Question
from advisor.ensemble.state import Array
from advisor.ranking.gates import grade_of_shares, limits, near, near_the_limit
from advisor.ranking.options import Outcomes, Spillage
from advisor.ranking.setting import Setting, Simulated
from advisor.remedies.base import Remedy

OFFSET_SCALES = (0.5, 2.0)
"""The unknown offset of the draft halved and doubled: neither may change a grade unsaid."""


def look_closer(setting: Setting, remedy: Remedy, found: Simulated) -> tuple[Spillage, bool]:
    """Return the shares after a closer look where they were borderline, and whether the grade stays near the limit.

    Parameters
    ----------
    setting : Setting
        Case and situations.
    remedy : Remedy
        What is done.
    found : Simulated
        What it does in the situations that fit the record.
    """
    spillage, size = found.spillage, setting.posterior.effective_samples
    # where the situations were hard to find, as many again cost more than they tell: the mark says it
    if near_the_limit(spillage, size) and setting.posterior.moves <= catalog.number("safety", "near_limit_most_moves"):
        spillage, size = _pooled(setting, remedy, spillage, size)
    return spillage, near_the_limit(spillage, size) or _offset_decides(setting, spillage, found.outcomes)


def _pooled(setting: Setting, remedy: Remedy, spillage: Spillage, size: float) -> tuple[Spillage, float]:
    """Pool the borderline shares with those of a larger set of situations, each by how many of its situations count."""
    larger = setting.larger
    state = remedy.alter(larger.state, setting.job)
    more = larger.effective_samples
    limit, stress_limit = limits()

    def pool(share: float, question: Question) -> float:
        return float((size * share + more * question.share(state, larger.weight)) / (size + more))

    worst, *own = (
        pool(share, question) if near(share, limit, size) else share
        for share, question in zip((spillage.worst_case, *spillage.failing_runs), setting.tests, strict=True)
    )
    stresses = (
        pool(share, setting.stresses[name]) if near(share, stress_limit, size) else share
        for name, share in spillage.by_stress.items()
    )
    return Spillage(worst, tuple(stresses), tuple(own)), size + more


def _offset_decides(setting: Setting, spillage: Spillage, outcomes: Outcomes) -> bool:
    """Return whether the size of the offset, which nobody knows, decides the grade."""
    plain = _grade(setting.posterior.weight, outcomes, spillage)
    return any(
        _grade(setting.posterior.weights_for_offset(scale).weight, outcomes, spillage) != plain
        for scale in OFFSET_SCALES
    )


def _grade(weight: Array, outcomes: Outcomes, spillage: Spillage) -> str:
    shares = {name: float(np.sum(weight * spills)) for name, spills in outcomes.items()}
    tested = max(share for name, share in shares.items() if name not in STRESSES)
    hardest = max((shares[name] for name in STRESSES if name in shares), default=max(spillage.stresses))
    return grade_of_shares(tested, hardest)
