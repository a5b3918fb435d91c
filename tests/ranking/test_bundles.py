"""Bundles, 'holds until', rank shares: exact search against brute force, root finding, shares that add up."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from itertools import combinations

import numpy as np
import pytest
from conftest import DEMOS, ROOT, said

from advisor import catalog, units
from advisor.advice import setting_of
from advisor.case.read import read_case
from advisor.findings import share
from advisor.ranking import bundles
from advisor.ranking.acceptability import rank_shares, ranks_in_draws
from advisor.ranking.robustness import holds_until, thin
from advisor.ranking.worked import work_out
from advisor.remedies import all_remedies

pytestmark = pytest.mark.xdist_group("demos")  # share the demos' advice on one worker

LIMIT = catalog.number("safety", "worst_case_limit")


@cache
def worked(name, samples=1024):
    setting = setting_of(read_case(ROOT / "demo" / f"{name}.toml"), "homeowner", samples, 1)
    return setting, [work_out(setting, r) for r in all_remedies()]


def figures(name):
    setting, found = worked(name)
    return setting, [one.figures for one in found]


def test_only_the_pair_works_and_brute_force_agrees():
    setting, options = figures("hood_and_dryer")
    found = bundles.search(setting, worked("hood_and_dryer")[1], largest=2)
    index, count = thin(setting)
    state = setting.posterior.state.take(index)
    pool = [o for o in bundles.candidates(options) if not (o.eligible and o.safe_enough)]
    ceiling = min(
        sum(line.typical_usd for line in o.bill) for o in options if o.eligible and o.safety == "robust" and o.bill
    )
    by_id = {o.id: o for o in pool}
    brute = set()
    for pair in combinations(sorted(by_id), 2):
        if not bundles.compatible(pair) or bundles.cost_of(pair, by_id) >= ceiling:
            continue
        spills = setting.question.spills(bundles.state_of(pair, setting, state))
        if spills.sum() / count <= LIMIT:
            brute.add(pair)
    assert {f.members for f in found} == brute
    assert ("recirculating_hood", "ventless_dryer") in brute
    singles = {o.id: o for o in options}
    assert not singles["recirculating_hood"].safe_enough
    assert not singles["ventless_dryer"].safe_enough


def test_the_pair_reaches_the_matrix(advice_of):
    advice = advice_of("hood_and_dryer")
    pair = next(o for o in advice.options if o.members)
    assert set(pair.members) == {"recirculating_hood", "ventless_dryer"}
    assert pair.rank is not None
    assert len([o for o in advice.options if o.members]) <= 3


def test_shared_lines_count_once_and_incompatible_pairs_have_reasons():
    rows = catalog.table("incompatible")
    ids = {r.id for r in all_remedies()}
    for row in rows:
        assert {row["first"], row["second"]} <= ids
        assert said(bundles.incompatible()[frozenset((row["first"], row["second"]))])
    assert not bundles.compatible(("isolate_zone", "two_outdoor_openings"))


@pytest.mark.parametrize(
    ("name", "option_id"), [("stored_insulation", "clear_intake"), ("sound_house", "leave_as_found")]
)
def test_holds_until_is_the_edge(name, option_id):
    setting, found = worked(name)
    state = next(one.state for one in found if one.figures.id == option_id)
    holds = holds_until(setting, state)
    index, count = thin(setting)
    part = state.take(index)

    def share(extra_cfm):
        condition = replace(setting.worst, extra_exhaust_m3_s=extra_cfm * units.M3_S_PER_CFM)
        return setting.question.under(condition).spills(part).sum() / count

    most = catalog.number("further_stress", "holds_exhaust_most_cfm")
    if holds.more_exhaust_cfm is None:
        assert share(most) <= LIMIT
    else:
        step = most / 2**5
        assert share(holds.more_exhaust_cfm) <= LIMIT
        assert share(holds.more_exhaust_cfm + step) > LIMIT
    assert "retest" in said(holds.words)
    assert (holds.words["flow"].value == most) == (holds.more_exhaust_cfm is None)


def test_a_forgotten_intake_shows_in_the_further_stresses(advice_of):
    cleared = next(o for o in advice_of("stored_insulation").options if o.id == "clear_intake")
    assert cleared.further_stress["intake_blocked_again"] > 0.5 > cleared.spillage.worst_case


@pytest.mark.parametrize("name", DEMOS)
def test_rank_shares_are_shares_and_the_first_leads(advice_of, name):
    advice = advice_of(name)
    ranked = [o for o in advice.options if o.rank is not None]
    for place in range(3):
        total = sum(o.rank_share[place] for o in ranked)
        assert total == pytest.approx(1.0 if len(ranked) > place else 0.0)
    words = advice.comparison.words
    assert words["first"] == ranked[0].title
    assert words["share"] == share(ranked[0].rank_share[0])
    assert advice.comparison.tie == (words.id == "ranking.first_in_a_tie")
    assert "% of the draws" in said(words)


def test_ranks_in_draws_are_permutations_and_repeat():
    setting, options = figures("stored_insulation")
    able = [o for o in options if o.eligible and o.safe_enough]
    first, again = ranks_in_draws(setting, able), ranks_in_draws(setting, able)
    assert np.array_equal(first, again)
    assert np.array_equal(np.sort(first, axis=0), np.arange(1, len(able) + 1)[:, None] * np.ones_like(first))
    assert rank_shares(setting, [])[0] == []
