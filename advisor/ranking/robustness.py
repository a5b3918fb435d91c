"""How far an option holds: further stresses, and the exhaust or tightening at which it stops being safe enough."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from advisor import catalog, units
from advisor.ensemble.state import Index, State
from advisor.ensemble.weighted import quantiles, representative
from advisor.facts.leakage import cfm50
from advisor.findings import Finding, finding, quantity
from advisor.ranking.gates import NEEDS_NO_VENT
from advisor.ranking.options import Figures, HoldsUntil, Worked
from advisor.ranking.parallel import in_two, two_cores
from advisor.ranking.setting import Setting

HALVINGS = 5
"""Halvings of the root finding: a thirty-second of the range, well inside the ensemble's own scatter."""


def _number(key: str) -> float:
    return catalog.number("further_stress", key)


def thin(setting: Setting) -> tuple[Index, int]:
    """Positions of a thinned ensemble, each standing for the same weight, and their number."""
    count = int(min(_number("thin_samples"), setting.posterior.weight.size))
    return representative(setting.posterior.weight, count), count


def further_stress(setting: Setting, state: State) -> dict[str, float]:
    """Spillage shares with a bigger hood, the intake blocked again, and a neglected vent."""
    weight, worst = setting.posterior.weight, setting.worst
    hood = replace(worst, extra_exhaust_m3_s=_number("bigger_hood_cfm") * units.M3_S_PER_CFM)
    neglected = replace(
        state, vent=replace(state.vent, blocked=np.maximum(state.vent.blocked, _number("neglected_vent_blocked")))
    )
    cases = {
        "bigger_hood": (state, hood),
        "intake_blocked_again": (state, replace(worst, intake="covered")),
        "vent_neglected": (neglected, worst),
    }
    return {name: setting.question.under(c).share(s, weight) for name, (s, c) in cases.items()}


def holds_until(setting: Setting, state: State) -> HoldsUntil:
    """Find the added exhaust and the air leakage at which more than the allowed share of situations spills.

    Parameters
    ----------
    setting : Setting
        Case, situations and the worst case.
    state : State
        The situations after the work.
    """
    index, count = thin(setting)
    part = state.take(index)
    limit = catalog.number("safety", "worst_case_limit")
    # of the worst case and the conditions of the failing runs the one that spills most is followed
    hardest = max(setting.tests, key=lambda test: float(test.spills(part).sum()))

    def fails(extra_cfm: float, leakage_share: float) -> bool:
        extra = extra_cfm * units.M3_S_PER_CFM
        changed = replace(hardest.condition, extra_exhaust_m3_s=extra, leakage_factor=leakage_share)
        return float(hardest.under(changed).spills(part).sum()) / count > limit

    most, least = _number("holds_exhaust_most_cfm"), _number("holds_leakage_least_share")
    exhaust = _edge(lambda x: fails(x, 1.0), 0.0, most)
    share = _edge(lambda x: fails(0.0, 1.0 - x), 0.0, 1.0 - least)
    middle = _median_cfm50(setting)
    leakage = None if share is None else (1.0 - share) * middle
    return HoldsUntil(exhaust, leakage, how_far(exhaust, leakage, most, least * middle))


def _edge(fails: Callable[[float], bool], low: float, high: float) -> float | None:
    """Largest change that still holds, by halving; None where even the largest holds."""
    if not fails(high):
        return None
    if fails(low):
        return low
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        low, high = (low, middle) if fails(middle) else (middle, high)
    return low


def _median_cfm50(setting: Setting) -> float:
    state, weight = setting.posterior.state, setting.posterior.weight
    flow = cfm50(setting.job.case, state.house.leak_m3_s, state.zone.leak_m3_s, state.house.exponent)
    return quantiles(flow, weight, (0.5,))[0]


def _round(value: float, step: float) -> float:
    return float(step * np.floor(value / step))


def how_far(exhaust: float | None, leakage: float | None, most: float, tightest: float) -> Finding:
    """Say how far it holds; what was not tried is said to be so."""
    fans = "fans" if exhaust is not None else "fans_tried"
    tight = "tightening" if leakage is not None else "tightening_tried"
    flow = most if exhaust is None else _round(exhaust, 10)
    leak = _round(tightest, 50) if leakage is None else 50.0 * np.ceil(leakage / 50)
    return finding(
        f"ranking.holds_until.{fans}.{tight}", flow=quantity(flow, "cfm"), leakage=quantity(float(leak), "cfm50")
    )


@dataclass(frozen=True, slots=True)
class Robustness:
    """How far an option holds; without further stresses where it has no draft hood, without both where it does not pass."""

    further_stress: Mapping[str, float]
    holds_until: HoldsUntil | None


NOT_ASKED = Robustness({}, None)


def robustness(setting: Setting, passing: Sequence[Worked]) -> list[Robustness]:
    """Return further stresses and 'holds until' of every possible option that passes the gate, in their order."""
    hooded = [
        one for one in passing if one.figures.appliance == "natural draft" and one.figures.barred_by != "other spilled"
    ]

    def work(one: Worked) -> Robustness:
        return Robustness(further_stress(setting, one.state), holds_until(setting, one.state))

    done = in_two(hooded, work, two_cores(setting))
    by_id = {one.figures.id: found for one, found in zip(hooded, done, strict=True)}
    return [by_id.get(one.figures.id) or _not_asked(one.figures) for one in passing]


def _not_asked(option: Figures) -> Robustness:
    """Return what is said of an option without a look at it: nothing of one whose vent failed for another appliance."""
    return NOT_ASKED if option.barred_by == "other spilled" else Robustness({}, _unaffected(option))


def _unaffected(option: Figures) -> HoldsUntil:
    kind = option.appliance if option.appliance in NEEDS_NO_VENT else "fan"
    return HoldsUntil(None, None, finding(f"ranking.holds_until.{kind}"))
