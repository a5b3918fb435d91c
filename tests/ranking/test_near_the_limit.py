"""Noise is said: a grade that sampling or the unknown offset leaves open carries the mark 'near the limit'.

The interval is that of Agresti and Coull for a proportion (plus one pseudo-count at each side, 1.96 standard errors; any
textbook of statistics, from memory); statsmodels or scipy are not needed for it: a simulation of its own holds its coverage.
"""

from __future__ import annotations

import numpy as np
import pytest
from conftest import ROOT
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.advice import setting_of
from advisor.case.read import read_case
from advisor.ranking.gates import grade_of_shares, limits, near, near_the_limit
from advisor.ranking.near import OFFSET_SCALES, look_closer
from advisor.ranking.options import Spillage
from advisor.ranking.setting import simulated
from advisor.remedies import all_remedies


@pytest.mark.parametrize("limit", [0.05, 0.2])
def test_the_interval_covers_nineteen_of_twenty(limit: float) -> None:
    """A share whose true value is the limit is called near in about 95 % of samples."""
    rng = np.random.default_rng(3)
    for size in (400, 1000):
        seen = rng.binomial(size, limit, 4000) / size
        called = np.mean([near(float(s), limit, size) for s in seen])
        assert 0.93 <= called <= 0.98


@given(st.floats(0.0, 1.0), st.floats(50.0, 5000.0), st.floats(1.0, 20.0))
@settings(max_examples=200, deadline=None)
def test_more_situations_settle_more(share: float, size: float, times: float) -> None:
    limit = limits()[0]
    assert near(limit, limit, size)
    # with many more situations a share at a distance is settled: it may not become open again
    if not near(share, limit, size) and abs(share - limit) > 0.01:
        assert not near(share, limit, size * times)


def test_a_share_far_from_every_threshold_is_settled() -> None:
    assert not near_the_limit(Spillage(0.0, (0.0, 0.0, 0.0, 0.0)), 500.0)
    assert not near_the_limit(Spillage(0.5, (0.2, 0.2, 0.2, 0.2)), 500.0)  # what fails the test has no stress to miss
    assert near_the_limit(Spillage(0.05, (0.0, 0.0, 0.0, 0.0)), 500.0)
    assert near_the_limit(Spillage(0.0, (0.19, 0.0, 0.0, 0.0)), 500.0)
    assert near_the_limit(Spillage(0.0, (0.0, 0.0, 0.0, 0.0), (0.04,)), 500.0)  # a failing run's own condition counts


@pytest.mark.parametrize("name", ["stored_insulation", "return_leak_in_the_closet"])
def test_where_the_offset_decides_the_grade_it_is_said(name: str) -> None:
    setting = setting_of(read_case(ROOT / "demo" / f"{name}.toml"), "homeowner", 512)
    found = setting.posterior
    for remedy in all_remedies():
        if remedy.family not in ("combustion air", "venting", "exhaust") or remedy.eligible(setting.job):
            continue
        state = remedy.alter(found.state, setting.job)
        simulation = simulated(setting, state)
        outcomes = simulation.outcomes
        if len(outcomes) < 5:  # clearly failed: its stresses were not looked at in full
            continue
        grades = set()
        for weight in (found.weight, *(found.weights_for_offset(s).weight for s in OFFSET_SCALES)):
            shares = {k: float(weight @ v) for k, v in outcomes.items()}
            tested = max(v for k, v in shares.items() if k == "worst_case" or k.startswith("failing"))
            hardest = max(v for k, v in shares.items() if k in ("mild_day", "gusty", "tightened", "more_exhaust"))
            grades.add(grade_of_shares(tested, hardest))
        _, close = look_closer(setting, remedy, simulation)
        if len(grades) > 1:
            assert close, remedy.id
