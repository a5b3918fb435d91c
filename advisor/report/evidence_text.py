"""Texts of `advisor causes CASE` and `advisor next CASE`; everything was worked out before."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

from advisor.evidence.causes import Cause
from advisor.evidence.next_test import NextTest
from advisor.evidence.removals import NOT_LOOKED_AT
from advisor.evidence.retest import Retest
from advisor.ranking.gates import percent
from advisor.report.figures import dollars
from advisor.wording.evidence import speaks_words

SUMS = (
    "Each share (modelled) is the weight of the situations that spill in every failing run in which removing that cause "
    "alone stops the spillage; two removals may each be enough, or neither, so the shares need not add up to 100 %. What "
    "nobody looked at has a share of its own, and takes it from all the others."
)
UNNAMED = "No cause is named: no run failed, or the calculation does not show what was seen well enough to say what is behind it."
NOTHING = "no single observation: it follows from the house and the vent as they were described"
DEFER = (
    "A test helps to choose; local codes, the heater's listing and a licensed person decide. If the heater spills, do "
    "not use it until it is put right."
)


def causes_text(
    title: str,
    causes: Sequence[Cause],
    effective_samples: float,
    contradictions: Sequence[str] = (),
    retests: Sequence[Retest] = (),
    width: int = 100,
) -> str:
    """Return the causes of a case with what speaks for and against each.

    Parameters
    ----------
    title : str
        The case's title.
    causes : sequence of Cause
        Likeliest first.
    effective_samples : float
        How many situations carry the weight.
    contradictions : sequence of str
        What no situation explains; printed first.
    retests : sequence of Retest
        What was found after work.
    width : int
        Of a line.
    """
    lines = ["WHAT IS WRONG, AND HOW SURE", title, ""]
    if contradictions:
        lines += ["THE RECORD DOES NOT FIT TOGETHER", *_listed(contradictions, width), ""]
    named = [c for c in causes if c.named]
    if not named:
        lines += [*_wrapped(UNNAMED, width), ""]
    for cause in named:
        if cause.id == NOT_LOOKED_AT:
            lines += [*_wrapped(f"{_capital(cause.words)}: {percent(cause.stops_alone)}", width), ""]
            continue
        lines += _wrapped(f"{_capital(cause.words)}: {percent(cause.stops_alone)} alone", width)
        lines += _wrapped(f"part of a smallest cure in {percent(cause.part_of_cure)}", width, "  ")
        speaks_for = "; ".join(speaks_words(s) for s in cause.speaks_for)
        speaks_against = "; ".join(speaks_words(s) for s in cause.speaks_against)
        if speaks_for:
            lines += _wrapped(f"evidence for it: {speaks_for}", width, "  ")
        if speaks_against:
            lines += _wrapped(f"evidence against it: {speaks_against}", width, "  ")
        if not speaks_for and not speaks_against:
            lines += _wrapped(f"decided by {NOTHING}", width, "  ")
        lines.append("")
    if retests:
        lines += ["AFTER THE WORK", *_listed([r.words for r in retests], width), ""]
    if named:
        lines += _wrapped(SUMS, width)
    lines += [f"Situations that carry the weight: {effective_samples:.0f}.", ""]
    lines += _wrapped(DEFER, width)
    return "\n".join(lines) + "\n"


def next_text(title: str, tests: Sequence[NextTest], width: int = 100) -> str:
    """Return the tests that could be made next, the one that pays most for its effort first.

    Parameters
    ----------
    title : str
        The case's title.
    tests : sequence of NextTest
        Best first.
    width : int
        Of a line.
    """
    lines = ["WHICH TEST COMES NEXT", title, ""]
    useful = [t for t in tests if t.changes_choice and t.value_usd > 0.0]
    idle = [t for t in tests if t not in useful]
    if not useful:
        lines += _wrapped("No further test would change the choice: the record is enough to decide.", width)
    for rank, test in enumerate(useful, start=1):
        lines += _wrapped(f"{rank}. {_capital(test.title)}", width)
        lines += _wrapped(
            f"about {test.minutes:g} minutes; worth {dollars(test.value_usd)} in wrong choices avoided; "
            f"chance of choosing the cheapest option that works: {percent(test.best_before)} now, "
            f"{percent(test.best_after)} with it",
            width,
            "   ",
        )
        for answer in test.answers:
            lines += _wrapped(f"if {answer.words} ({percent(answer.probability)}): {answer.choice_title}", width, "   ")
        lines += _wrapped(f"caution: {test.caution}", width, "   ")
        lines.append("")
    if idle:
        lines += ["", *_wrapped("Would not change the choice: " + "; ".join(t.title for t in idle) + ".", width)]
    lines += ["", *_wrapped(DEFER, width)]
    return "\n".join(lines) + "\n"


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]


def _wrapped(words: str, width: int, indent: str = "") -> list[str]:
    return textwrap.wrap(words, width, initial_indent=indent, subsequent_indent=indent + "  ")


def _listed(items: Sequence[str], width: int) -> list[str]:
    return [line for item in items for line in textwrap.wrap(item, width, initial_indent="- ", subsequent_indent="  ")]
