"""How far an option holds: further stresses, and the exhaust or tightening at which it stops being safe enough."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from advisor import catalog, units
from advisor.ensemble.respond import respond
from advisor.ensemble.state import Index, State
from advisor.facts.leakage import cfm50
from advisor.ranking.options import HoldsUntil, Option
from advisor.ranking.parallel import in_two, two_cores
from advisor.ranking.setting import Setting, Test
from advisor.risk.sampling import representative

NAMES = ("bigger_hood", "intake_blocked_again", "vent_neglected")
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
    neglected = replace(state, vent_blocked=np.maximum(state.vent_blocked, _number("neglected_vent_blocked")))
    cases = {
        "bigger_hood": (state, hood),
        "intake_blocked_again": (state, replace(worst, intake="covered")),
        "vent_neglected": (neglected, worst),
    }
    return {
        name: float(np.sum(weight * respond(s, c).spills_beyond(setting.allowed_s))) for name, (s, c) in cases.items()
    }


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
        return float(Test(changed, hardest.allowed_s).spills(part).sum()) / count > limit

    most, least = _number("holds_exhaust_most_cfm"), _number("holds_leakage_least_share")
    exhaust = _edge(lambda x: fails(x, 1.0), 0.0, most)
    share = _edge(lambda x: fails(0.0, 1.0 - x), 0.0, 1.0 - least)
    middle = _median_cfm50(setting)
    leakage = None if share is None else (1.0 - share) * middle
    return HoldsUntil(exhaust, leakage, _words(exhaust, leakage, most, least * middle))


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
    flow = cfm50(setting.job.case, state.leak_m3_s, state.zone_leak_m3_s, state.exponent)
    order = np.argsort(flow)
    return float(flow[order][int(np.searchsorted(np.cumsum(weight[order]), 0.5))])


def _round(value: float, step: float) -> float:
    return float(step * np.floor(value / step))


def _words(exhaust: float | None, leakage: float | None, most: float, tightest: float) -> str:
    fans = (
        f"no more than about {_round(exhaust, 10):.0f} cfm of extra exhaust is added"
        if exhaust is not None
        else f"no more than {most:.0f} cfm of extra exhaust is added (more was not tried)"
    )
    tight = (
        f"the house is not tightened below about {50 * np.ceil(leakage / 50):.0f} CFM50"
        if leakage is not None
        else f"the house is not tightened below {_round(tightest, 50):.0f} CFM50 (tighter was not tried)"
    )
    return f"stays safe as long as {fans} and {tight}; retest after any such work"


def with_robustness(setting: Setting, options: list[Option], states: dict[str, State]) -> list[Option]:
    """Add further stresses and 'holds until' to every possible option that passes the gate."""
    passing = [o for o in options if o.eligible and o.safe_enough]
    hooded = [o for o in passing if o.appliance == "natural draft"]

    def work(option: Option) -> Option:
        state = states[option.id]
        return replace(option, further_stress=further_stress(setting, state), holds_until=holds_until(setting, state))

    done = {o.id: o for o in in_two(hooded, work, two_cores(setting))}
    done |= {o.id: replace(o, holds_until=_unaffected(o)) for o in passing if o.id not in done}
    return [done.get(o.id, o) for o in options]


def _unaffected(option: Option) -> HoldsUntil:
    words = {
        "none": "nothing burns: fans and tightening change nothing",
        "sealed": "takes no room air: holds until the house is pulled beyond its published class, far past the test",
    }.get(option.appliance, "holds within its published depressurization class; retest after new fans or tightening")
    return HoldsUntil(None, None, words)
