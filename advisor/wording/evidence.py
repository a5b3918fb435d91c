"""What speaks for and against a cause, in words: the observation first, then what it says about that cause."""

from __future__ import annotations

from math import exp

from advisor.evidence.observations import JUDGED
from advisor.evidence.signs import NO_SIGN, signs_words
from advisor.evidence.speaks import ADDED, Speaks
from advisor.findings import Finding, finding, quantity
from advisor.wording.speak import say

BEYOND = 20.0
"""Odds beyond which a number says no more than that it is large."""
WHOLE_FROM = 3.0
"""Odds from here on are said in whole numbers."""
_READ = {
    "seconds": ("seconds", "seconds", "s"),
    "draft": ("draft", "draft", "pa"),
    "baseline": ("baseline", "pressure", "pa"),
}
"""Of a reading: message, place in it, unit."""


def _observed(speaks: Speaks) -> Finding:
    value = speaks.value
    if speaks.kind == "seen" and speaks.observed in JUDGED:
        return finding(f"evidence.observed.{speaks.observed}")
    if speaks.kind == "signs" and speaks.observed:
        return signs_words([] if speaks.observed == NO_SIGN else speaks.observed.split(", "))
    if speaks.kind == "pressure" and value is not None:
        name, digits = ("added", 1) if speaks.observed == ADDED else ("pressure", 2)
        return finding(f"evidence.observed.{name}", pressure=quantity(value, "pa", digits))
    if speaks.kind in _READ and value is not None:
        name, place, unit = _READ[speaks.kind]
        return finding(f"evidence.observed.{name}", **{place: quantity(value, unit, 2)})
    return finding("evidence.observed.a_reading")


def observation(speaks: Speaks) -> Finding:
    """Return what was observed, with the run it belongs to."""
    found = _observed(speaks)
    return finding("evidence.observed.of_run", run=speaks.run, what=found) if speaks.run else found


def speaks_words(speaks: Speaks) -> str:
    """Return an observation as evidence of the cause that it was weighed for: what it does to that cause's odds."""
    times = exp(min(abs(speaks.log_odds), 50.0))
    way = "for" if speaks.log_odds > 0.0 else "against"
    beyond = times > BEYOND
    size = quantity(min(times, BEYOND), "count", 0 if times >= WHOLE_FROM else 1)
    return say(finding(f"evidence.speaks.{way}{'_beyond' if beyond else ''}", what=observation(speaks), size=size))
