"""Signs of earlier spillage at the heater: weak evidence that it spills in ordinary use."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from advisor.case.model import Case
from advisor.ensemble import conditions
from advisor.ensemble.question import Question
from advisor.ensemble.state import State
from advisor.evidence.observations import Observation, number
from advisor.facts.spillage import allowed_seconds
from advisor.findings import Finding, finding, listed, slug

NO_SIGN = "none seen"


def ordinary_use(case: Case, state: State) -> Question:
    """Ask about ordinary use: one everyday device runs, doors as usual, nothing set for the worst."""
    flows = state.house.device_m3_s.mean(axis=1) if state.devices else np.zeros(0)
    usual = [i for i, d in enumerate(state.devices) if d.counts_in_worst_case]
    # the middle one by flow: neither the quiet bath fan alone nor the large hood decides what a year leaves behind
    usual.sort(key=lambda i: float(flows[i]))
    chosen = usual[len(usual) // 2] if usual else -1
    condition = replace(
        conditions.idle_house(conditions.worst_case(case, state)),
        name="ordinary use",
        devices_on=tuple(i == chosen for i in range(len(state.devices))),
        zone_door=case.zone.door_position,
        interior_doors_shut=False,
        air_handler="on" if case.air_handler.present else "off",
    )
    return Question(condition, allowed_seconds(case))


def sign_ratio(case: Case) -> float:
    """Return how much likelier the signs at the heater are where it spills in ordinary use; 1 without any word."""
    signs = set(case.heater.signs)
    if not signs:
        return 1.0
    if signs == {NO_SIGN}:
        return number("sign_ratio_none_seen")
    ratio = 1.0
    for sign in signs - {NO_SIGN}:
        ratio *= number(f"sign_ratio_{sign.replace(' ', '_')}")
    # signs come together from one cause: they are no independent witnesses
    return min(ratio, number("sign_ratio_most"))


def signs_words(seen: Sequence[str]) -> Finding:
    """Return the signs at the heater, or that there is none, as something to say."""
    if not seen:
        return finding("evidence.observed.no_sign")
    return finding("evidence.observed.signs", signs=listed(finding(f"record.sign.{slug(s)}") for s in seen))


def sign_observation(case: Case, state: State) -> tuple[Observation, ...]:
    """Hold the signs at the heater against ordinary use: weak evidence that it spills there."""
    ratio = sign_ratio(case)
    if ratio == 1.0:
        return ()
    spills = ordinary_use(case, state).spills(state)
    like = spills * float(np.log(ratio))
    seen = [s for s in case.heater.signs if s != NO_SIGN]
    words = signs_words(seen)
    return (Observation("", "signs", words, like, like - max(0.0, float(np.log(ratio)))),)
