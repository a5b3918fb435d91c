"""Two or three measures together, where none alone passes or where a cheap set beats a dear single.

Every compatible pair, and every triple, is searched exactly, cheapest first, with two bounds that prune without losing
any answer: a set that costs more than the cheapest robust single option cannot be wanted, and a set that contains one
that already passes cannot be minimal. Incompatible pairs stand in ``catalog/ranking/incompatible.csv``; the reason of each is
the message ``ranking.incompatible.<first>.<second>``.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import combinations

import numpy as np

from advisor import catalog
from advisor.ensemble.state import State, differs
from advisor.findings import Finding, finding
from advisor.ranking.options import Figures, Worked
from advisor.ranking.robustness import thin
from advisor.ranking.setting import Setting
from advisor.ranking.worked import SHARED_LINES, bundled, work_out
from advisor.remedies import all_remedies

FIRST_LOOK, FIRST_MARGIN = 6, 0.12
"""A set is first tried in every sixth situation and dropped where it spills this far above the limit (three and a half
standard errors of a share near the limit among a hundred): numerical, held against brute force in the tests."""
SHOWN = 3
"""Bundles in the matrix at most (issue of readability, not of search)."""


@dataclass(frozen=True, slots=True)
class Found:
    """One set of measures that passes the worst case: members, typical cost, spillage on the thinned ensemble."""

    members: tuple[str, ...]
    cost_usd: float
    spillage: float


@cache
def incompatible() -> Mapping[frozenset[str], Finding]:
    """Return the pairs that are not done together, each with its reason."""
    return {
        frozenset((row["first"], row["second"])): finding(f"ranking.incompatible.{row['first']}.{row['second']}")
        for row in catalog.table("incompatible")
    }


def compatible(members: tuple[str, ...]) -> bool:
    """Return whether no two members exclude each other."""
    return not any(frozenset(pair) in incompatible() for pair in combinations(members, 2))


def candidates(options: Sequence[Figures]) -> list[Figures]:
    """Return the options that bundles are made of: possible measures at a heater that stays."""
    return [
        o
        for o in options
        if o.family in ("combustion air", "venting", "exhaust") and o.appliance == "natural draft" and _only_gated(o)
    ]


def _only_gated(option: Figures) -> bool:
    """Possible here; a code rule that a partner may mend does not exclude it from a bundle."""
    return option.eligible or bool(option.broken_rules)


def cost_of(members: tuple[str, ...], by_id: Mapping[str, Figures]) -> float:
    """Typical cost of a set before factor, margin and tax: shared lines count once."""
    total, seen = 0.0, set()
    for member in members:
        for line in by_id[member].bill:
            if line.measure_id in SHARED_LINES:
                if line.measure_id in seen:
                    continue
                seen.add(line.measure_id)
            total += line.typical_usd
    return total


def state_of(members: tuple[str, ...], setting: Setting, start: State) -> State:
    """Apply the members in the order of the catalog."""
    remedies = {r.id: r for r in all_remedies()}
    order = [r.id for r in all_remedies() if r.id in members]
    for member in order:
        start = remedies[member].alter(start, setting.job)
    return start


def search(setting: Setting, worked: Sequence[Worked], largest: int = 3) -> list[Found]:
    """Return the minimal passing sets of two and three, cheapest first.

    Parameters
    ----------
    setting : Setting
        Case, situations and worst case.
    worked : sequence of Worked
        Worked-out single options.
    largest : int
        Members at most.
    """
    options = [one.figures for one in worked]
    pool = candidates(options)
    by_id = {o.id: o for o in pool}
    index, count = thin(setting)
    thinned = setting.posterior.state.take(index)
    limit = catalog.number("safety", "worst_case_limit")
    robust = [
        sum(line.typical_usd for line in o.bill) for o in options if o.eligible and o.safety == "robust" and o.bill
    ]
    ceiling = min(robust, default=float("inf"))
    # a member may do nothing alone and decide in company: only what leaves the house as it was is left out
    changes = {one.figures.id for one in worked if differs(setting.posterior.state, one.state).any()}
    useful = [o.id for o in pool if not (o.eligible and o.safe_enough) and o.id in changes]
    few = thinned.take(np.arange(0, count, FIRST_LOOK))
    passing: list[Found] = []
    for size in range(2, largest + 1):
        sets = [m for m in combinations(sorted(useful), size) if compatible(m)]
        for members in sorted(sets, key=lambda m: (cost_of(m, by_id), m)):
            cost = cost_of(members, by_id)
            if cost >= ceiling:
                break
            if any(set(f.members) <= set(members) for f in passing):
                continue
            first = setting.spills_in_tests(state_of(members, setting, few))
            if float(first.mean()) > limit + FIRST_MARGIN:
                continue
            share = float(setting.spills_in_tests(state_of(members, setting, thinned)).sum()) / count
            if share <= limit:
                passing.append(Found(members, cost, share))
    return sorted(passing, key=lambda f: (f.cost_usd, f.members))


def pareto(found: Sequence[Figures]) -> list[Figures]:
    """Keep what no other option beats in both cost and residual risk."""
    kept = []
    for option in found:
        cost, risk = option.installed_cost_usd.typical, option.risk_score
        beaten = any(
            o.installed_cost_usd.typical <= cost
            and o.risk_score <= risk
            and (o.installed_cost_usd.typical < cost or o.risk_score < risk)
            for o in found
        )
        if not beaten:
            kept.append(option)
    return kept


def bundles(setting: Setting, worked: Sequence[Worked]) -> list[Worked]:
    """Return at most three bundles worth showing, fully worked out."""
    sets = [found.members for found in search(setting, worked)[: 2 * SHOWN]]
    tried = [work_out(setting, bundled(tuple(r for r in all_remedies() if r.id in members))) for members in sets]
    passing = {one.figures.id: one for one in tried if one.figures.eligible and one.figures.safe_enough}
    best = pareto([one.figures for one in passing.values()])
    best.sort(key=lambda o: (o.safety != "robust", o.installed_cost_usd.typical))
    return [passing[o.id] for o in best[:SHOWN]]
