"""Texts of `advisor causes CASE` and `advisor next CASE`; everything was worked out before."""

from __future__ import annotations

from collections.abc import Sequence

from advisor.advice import Advice
from advisor.evidence.causes import Cause
from advisor.evidence.next_test import NextTest
from advisor.evidence.removals import NOT_LOOKED_AT
from advisor.findings import Finding, finding, listed, quantity, share, usd
from advisor.report.text.lines import hanging, listed_lines
from advisor.report.view.choices import useful_tests
from advisor.wording import verdict
from advisor.wording.evidence import speaks_words
from advisor.wording.retest import retest_words
from advisor.wording.speak import text

LEAST_SHOWN = 0.01
"""Causes below it are named together, in one line."""


def causes_text(advice: Advice, width: int = 100) -> str:
    """Return the causes of what was seen, with what speaks for and against each; the verdict of the record leads.

    Parameters
    ----------
    advice : Advice
        Worked out.
    width : int
        Of a line.
    """
    lines = [text("text.causes.head"), advice.case.title, "", *_leading(advice, width), ""]
    if advice.contradictions:
        lines += [text("text.causes.contradictions"), *listed_lines(advice.contradictions, width), ""]
    if not advice.verdict.failed:
        why = "view.no_cause.other" if advice.verdict.vent_failed_by else "view.no_cause.no_failure"
        lines += [*hanging(finding(why), width), ""]
    elif not advice.explained:
        lines += [*hanging(finding("view.no_cause.not_explained"), width), ""]
    else:
        lines += _cause_lines([c for c in advice.found.causes if c.named], width)
    if advice.retests:
        words = [retest_words(r, advice.pass_limits) for r in advice.retests]
        lines += [text("text.head.after_work"), *listed_lines(words, width), ""]
    carry = text("text.causes.carry", number=quantity(advice.effective_samples, "count"))
    lines += [*hanging(finding("text.causes.sums"), width), carry, ""]
    lines += hanging(finding("text.causes.defer"), width)
    return "\n".join(lines) + "\n"


def _leading(advice: Advice, width: int) -> list[str]:
    head = text("text.the_record", title=verdict.title(advice.verdict, advice.explained))
    return [head, *listed_lines(advice.now[:1], width)]


def _cause_lines(causes: Sequence[Cause], width: int) -> list[str]:
    lines: list[str] = [] if causes else [*hanging(finding("text.causes.unnamed"), width), ""]
    rest = [c for c in causes if c.part_of_cure < LEAST_SHOWN and c.stops_alone < LEAST_SHOWN]
    for cause in (c for c in causes if c not in rest):
        lines += [*_one_cause(cause, width), ""]
    if rest:
        under = finding("text.causes.under", causes=listed((c.words for c in rest), "semicolon"))
        lines += [*hanging(under, width), ""]
    return lines


def _one_cause(cause: Cause, width: int) -> list[str]:
    if cause.id == NOT_LOOKED_AT:
        return hanging(finding("text.causes.not_looked_at", words=cause.words, share=share(cause.stops_alone)), width)
    lines = hanging(finding("text.causes.alone", words=cause.words, share=share(cause.stops_alone)), width)
    below: list[Finding] = [finding("text.causes.part", share=share(cause.part_of_cure))]
    for name, speaks in (("for", cause.speaks_for), ("against", cause.speaks_against)):
        if speaks:
            evidence = listed((speaks_words(s) for s in speaks), "semicolon")
            below.append(finding(f"text.causes.evidence_{name}", evidence=evidence))
    if not cause.speaks_for and not cause.speaks_against:
        below.append(finding("text.causes.decided_by_nothing"))
    return [*lines, *(line for words in below for line in hanging(words, width, "  "))]


def next_text(advice: Advice, width: int = 100) -> str:
    """Return the tests that could be made next: what the record needs first, then what pays most for its effort.

    Parameters
    ----------
    advice : Advice
        Worked out.
    width : int
        Of a line.
    """
    lines = [text("text.next.head"), advice.case.title, "", *_leading(advice, width), ""]
    useful = useful_tests(advice)
    idle = [t for t in advice.next_tests if t not in useful]
    lines += _standing(advice, useful, width)
    for index in advice.enough.void:
        lines += hanging(finding("text.next.void", label=advice.case.run[index].label), width)
    for rank, test in enumerate(useful, start=1):
        lines += _test_lines(rank, test, width)
    if idle:
        lines += ["", *hanging(finding("text.next.idle", tests=listed((t.title for t in idle), "semicolon")), width)]
    lines += ["", *hanging(finding("text.causes.defer"), width)]
    return "\n".join(lines) + "\n"


def _standing(advice: Advice, useful: list[NextTest], width: int) -> list[str]:
    """Whether a test is called for at all."""
    if advice.verdict.dangers:
        return hanging(finding("text.next.danger"), width)
    if advice.verdict.leads == "confirmed":
        return hanging(finding("text.next.confirmed"), width)
    if not advice.enough.enough:
        return [*hanging(finding("text.next.not_enough", lacks=verdict.lacks_words(advice.enough)), width), ""]
    return [] if useful else hanging(finding("text.next.enough"), width)


def _test_lines(rank: int, test: NextTest, width: int) -> list[str]:
    lines = hanging(finding("text.next.title", rank=str(rank), title=test.title), width)
    worth = finding("text.next.needed") if test.required else finding("text.next.worth", amount=usd(test.value_usd))
    below = [
        finding(
            "text.next.effort",
            minutes=quantity(test.minutes, "min"),
            worth=worth,
            now=share(test.best_before),
            then=share(test.best_after),
        )
    ]
    below += [
        finding("text.next.answer", answer=a.words, share=share(a.probability), choice=a.choice_title)
        for a in test.answers
    ]
    if test.stop_ppm is None:
        below.append(finding("text.next.caution", caution=test.caution))
    else:
        stop = quantity(test.stop_ppm, "ppm")
        below.append(finding("text.next.caution_with_stop", caution=test.caution, limit=stop))
    return [*lines, *(line for words in below for line in hanging(words, width, "   ")), ""]
