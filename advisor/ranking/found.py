"""What was found, in one or two sentences a client understands: which sentences apply."""

from __future__ import annotations

from collections.abc import Sequence

from advisor import catalog
from advisor.evidence.causes import Cause
from advisor.evidence.removals import NOT_LOOKED_AT
from advisor.facts.beside import appliance_names
from advisor.facts.record import Verdict
from advisor.findings import Finding, finding, listed, quantity, share
from advisor.ranking.options import Spillage
from advisor.ranking.stresses import stress

MOST_CAUSES = 2


def found_sentence(verdict: Verdict, spillage: Spillage, causes: Sequence[Cause], place_first: bool = False) -> Finding:
    """Return what was found.

    Parameters
    ----------
    verdict : Verdict
        Of the record: it decides what kind of sentence applies.
    spillage : Spillage
        Modelled shares of the house as found.
    causes : sequence of Cause
        Likeliest first.
    place_first : bool
        Does the place of the heater ask for something before a pass sounds like an all-clear?
    """
    if verdict.may_leave:
        drafts = "heater_drafts" if verdict.stop else "drafts_place_first" if place_first else "drafts"
        return _together([finding(f"evidence.found.{drafts}"), *_holds(verdict), _untested(spillage)])
    if "not allowed here" in verdict.states:
        return _together([finding("evidence.found.drafts_but_barred"), *_holds(verdict)])
    if not verdict.failed and verdict.vent_failed_by and verdict.after_work is None:
        names = appliance_names(verdict.vent_failed_by)
        return finding("evidence.found.vent_failed", names=names, share=share(spillage.worst_case))
    if not verdict.failed:
        return finding("evidence.found.nothing_proven", share=share(spillage.worst_case))
    return _together([finding("evidence.found.spills"), *_why(causes)])


def _together(sentences: Sequence[Finding]) -> Finding:
    return finding("evidence.found.whole", sentences=listed(sentences, "space"))


def _holds(verdict: Verdict) -> list[Finding]:
    day = verdict.holds_f
    return [] if day is None else [finding("evidence.found.holds", day=quantity(day, "f"))]


def _why(causes: Sequence[Cause]) -> list[Finding]:
    """Return the likeliest causes with their shares, or that none explains it, and what nobody looked at."""
    named_from = catalog.number("causes_limits", "named_from_share")
    likely = _distinct([c for c in causes if c.id != NOT_LOOKED_AT and c.stops_alone >= named_from])[:MOST_CAUSES]
    unseen = next((c.stops_alone for c in causes if c.id == NOT_LOOKED_AT), 0.0)
    if not likely and unseen >= named_from:
        return [finding("evidence.found.unseen_alone", share=share(unseen))]
    if not likely:
        return [finding("evidence.found.no_single")]
    named = (finding("evidence.found.cause", cause=c.words, share=share(c.stops_alone)) for c in likely)
    found = [finding("evidence.found.causes", causes=listed(named, "semicolon"))]
    return [*found, finding("evidence.found.unseen_too", share=share(unseen))] if unseen >= named_from else found


def _distinct(likely: list[Cause]) -> list[Cause]:
    """Leave out 'short of air' where another cause says it better."""
    better_by = catalog.number("causes_limits", "better_by_share")
    best = max((c.stops_alone for c in likely if c.id != "air_supply"), default=0.0)
    return [c for c in likely if c.id != "air_supply" or c.stops_alone > best + better_by]


def _untested(spillage: Spillage) -> Finding:
    limit = catalog.number("safety", "stress_limit")
    weak = [
        finding("evidence.found.stress", stress=stress(name), share=share(value))
        for name, value in spillage.by_stress.items()
        if value > limit
    ]
    return finding("evidence.found.may_spill", stresses=listed(weak)) if weak else finding("evidence.found.not_tested")
