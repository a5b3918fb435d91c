"""Texts of `advisor causes CASE` and `advisor next CASE`; everything was worked out before."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

from advisor.advice import Advice
from advisor.evidence.causes import Cause
from advisor.evidence.next_test import NextTest
from advisor.evidence.removals import NOT_LOOKED_AT
from advisor.report.view.figures import dollars, percent
from advisor.report.view.units_text import Units
from advisor.wording import verdict
from advisor.wording.evidence import speaks_words
from advisor.wording.retest import retest_words

SUMS = (
    "Each share (modelled) is the weight of the situations that spill in every failing run in which removing that cause "
    "alone stops the spillage; two removals may each be enough, or neither, so the shares need not add up to 100 %. What "
    "nobody looked at has a share of its own, and takes it from all the others."
)
UNNAMED = "No cause is named: no run failed, or the calculation does not show what was seen well enough to say what is behind it."
LEAST_SHOWN = 0.01
"""Causes below it are named together, in one line."""
NOTHING = "no single observation: it follows from the house and the vent as they were described"
DEFER = (
    "A test helps to choose; local codes, the heater's listing and a licensed person decide. If the heater spills, do "
    "not use it until it is put right."
)


def causes_text(advice: Advice, width: int = 100) -> str:
    """Return the causes of what was seen, with what speaks for and against each; the verdict of the record leads.

    Parameters
    ----------
    advice : Advice
        Worked out.
    width : int
        Of a line.
    """
    advice = Units().apply(advice)
    lines = ["WHAT IS WRONG, AND HOW SURE (modelled)", advice.case.title, "", *_leading(advice, width), ""]
    if advice.contradictions:
        lines += ["THE RECORD DOES NOT FIT TOGETHER", *_listed(advice.contradictions, width), ""]
    if not advice.verdict.failed:
        lines += [*_wrapped("No run on record failed, so there is no cause to name.", width), ""]
    elif not advice.explained:
        lines += [*_wrapped("What was seen is not explained: no cause is given a share.", width), ""]
    else:
        lines += _cause_lines([c for c in advice.found.causes if c.named], width)
    if advice.retests:
        words = [retest_words(r, advice.pass_limits) for r in advice.retests]
        lines += ["AFTER THE WORK", *_listed(words, width), ""]
    lines += [*_wrapped(SUMS, width), f"Situations that carry the weight: {advice.effective_samples:.0f}.", ""]
    lines += _wrapped(DEFER, width)
    return "\n".join(lines) + "\n"


def _leading(advice: Advice, width: int) -> list[str]:
    head = f"THE RECORD: {verdict.title(advice.verdict, advice.explained)}"
    return [head, *_listed(advice.now[:1], width)]


def _cause_lines(causes: Sequence[Cause], width: int) -> list[str]:
    lines: list[str] = [] if causes else [*_wrapped(UNNAMED, width), ""]
    rest = [c for c in causes if c.part_of_cure < LEAST_SHOWN and c.stops_alone < LEAST_SHOWN]
    for cause in (c for c in causes if c not in rest):
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
    if rest:
        lines += [*_wrapped(f"Under 1 % each: {'; '.join(c.words for c in rest)}.", width), ""]
    return lines


def next_text(advice: Advice, width: int = 100) -> str:
    """Return the tests that could be made next: what the record needs first, then what pays most for its effort.

    Parameters
    ----------
    advice : Advice
        Worked out.
    width : int
        Of a line.
    """
    advice = Units().apply(advice)
    lines = ["WHICH TEST COMES NEXT", advice.case.title, "", *_leading(advice, width), ""]
    tests, enough = advice.next_tests, advice.enough
    useful = [t for t in tests if t.required or (t.changes_choice and t.value_usd > 0.0)]
    idle = [t for t in tests if t not in useful]
    if advice.verdict.dangers:
        lines += _wrapped("No test is made in a house in danger: first what to do now.", width)
    elif advice.verdict.leads == "confirmed":
        lines += _wrapped("The work is confirmed: the next test is the yearly one, or the one after any change.", width)
    elif enough.enough and not useful:
        lines += _wrapped("No further test would change the choice: the record is enough to decide.", width)
    elif not enough.enough:
        lines += [*_wrapped(f"The record is not enough to decide: {verdict.lacks_words(enough)}.", width), ""]
    for index in enough.void:
        lines += _wrapped(f"Run '{advice.case.run[index].label}' is void: repeat it on a calm day.", width)
    for rank, test in enumerate(useful, start=1):
        lines += _test_lines(rank, test, width)
    if idle:
        lines += ["", *_wrapped("Would not change the choice: " + "; ".join(t.title for t in idle) + ".", width)]
    lines += ["", *_wrapped(DEFER, width)]
    return "\n".join(lines) + "\n"


def _test_lines(rank: int, test: NextTest, width: int) -> list[str]:
    lines = _wrapped(f"{rank}. {_capital(test.title)}", width)
    worth = (
        "needed before anything is decided"
        if test.required
        else f"worth {dollars(test.value_usd)} in wrong choices avoided"
    )
    lines += _wrapped(
        f"about {test.minutes:g} minutes; {worth}; chance of choosing the cheapest option that works (modelled): "
        f"{percent(test.best_before)} now, {percent(test.best_after)} with it",
        width,
        "   ",
    )
    for answer in test.answers:
        lines += _wrapped(f"if {answer.words} ({percent(answer.probability)}): {answer.choice_title}", width, "   ")
    stop = (
        ""
        if test.stop_ppm is None
        else f"; stop when CO in the room goes above {test.stop_ppm:.0f} ppm: burner off, air the house"
    )
    return [*lines, *_wrapped(f"caution: {test.caution}{stop}", width, "   "), ""]


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]


def _wrapped(words: str, width: int, indent: str = "") -> list[str]:
    return textwrap.wrap(words, width, initial_indent=indent, subsequent_indent=indent + "  ")


def _listed(items: Sequence[str], width: int) -> list[str]:
    return [line for item in items for line in textwrap.wrap(item, width, initial_indent="- ", subsequent_indent="  ")]
