"""What speaks for and against a cause, in words: the observation first, then what it says about that cause."""

from __future__ import annotations

from collections.abc import Callable
from math import exp

from advisor.evidence.speaks import ADDED, Speaks

SEEN = {"drafting": "it drafted", "spilling": "it spilled", "reversed": "the vent ran backward"}
NO_SIGN = "none seen"
BEYOND = 20.0
"""Odds beyond which a number says no more than that it is large."""


def _signs(speaks: Speaks) -> str:
    if speaks.observed == NO_SIGN:
        return "no sign of earlier spillage at the heater"
    return f"signs at the heater ({speaks.observed})"


def _pressure(speaks: Speaks) -> str:
    if speaks.observed == ADDED:
        return f"{speaks.value:.1f} Pa of depressurization added to the baseline"
    return f"the zone {speaks.value:g} Pa below outdoors"


_OBSERVED: dict[str, Callable[[Speaks], str]] = {
    "seen": lambda s: SEEN.get(s.observed, s.observed),
    "seconds": lambda s: f"{s.value:g} s to draft",
    "draft": lambda s: f"a draft of {s.value:g} Pa",
    "pressure": _pressure,
    "baseline": lambda s: f"a baseline of {s.value:g} Pa",
    "signs": _signs,
}


def observation_words(speaks: Speaks) -> str:
    """Return what was observed, with the run it belongs to."""
    readable = speaks.kind in _OBSERVED and (speaks.value is not None or bool(speaks.observed))
    words = _OBSERVED[speaks.kind](speaks) if readable else "a reading"
    return f"'{speaks.run}': {words}" if speaks.run else words


def speaks_words(speaks: Speaks) -> str:
    """Return an observation as evidence of the cause that it was weighed for: what it does to that cause's odds."""
    times = exp(min(abs(speaks.log_odds), 50.0))
    size = f"over {BEYOND:.0f}" if times > BEYOND else f"{times:.0f}" if times >= 3.0 else f"{times:.1f}"
    way = "times" if speaks.log_odds > 0.0 else "divided by"
    return f"{observation_words(speaks)} (odds of this cause alone {way} {size})"
