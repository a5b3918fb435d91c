"""The options in order, the short answer, and what comes before any choice: said alike by terminal, pages and workbook."""

from __future__ import annotations

from advisor.advice import Advice
from advisor.ensemble.conditions import STRESSES
from advisor.evidence.next_test import NextTest
from advisor.findings import Finding, finding, quantity
from advisor.ranking.acceptability import Driver
from advisor.ranking.options import Option
from advisor.ranking.stresses import all_tried, stress
from advisor.report.view.figures import dollars_range
from advisor.report.view.labels import label, named, sentence
from advisor.report.view.present import (
    everyday_words,
    first_test,
    grade_words,
    money_caution,
    needs_test,
    place_first,
    room_air,
    test_note,
)
from advisor.wording.retest import comparison_lines, limit_words, retest_words
from advisor.wording.speak import say, text


def ranked(advice: Advice) -> list[Option]:
    """Options with a rank, in order."""
    return [o for o in advice.options if o.rank is not None]


def not_enough(advice: Advice) -> list[Option]:
    """Possible here but not safe enough alone."""
    return [o for o in advice.options if o.rank is None and o.eligible]


def not_possible(advice: Advice) -> list[Option]:
    """Not possible here."""
    return [o for o in advice.options if not o.eligible]


BESIDE = ("remedies.left.", "ranking.left.", "evidence.retest_of_left", "ranking.later.")
"""Ids of what an option says of a vent that the heater shares: what stays on it without the heater, what will leave it."""


def beside_the_heater(advice: Advice) -> list[Finding]:
    """What the ranked options say of the shared vent, each thing once, as the first option that says it puts it."""
    found: dict[str, Finding] = {}
    for option in ranked(advice):
        for words in (*option.parts, *option.notes):
            if isinstance(words, Finding) and words.id.startswith(BESIDE):
                found.setdefault(words.id, words)
    return list(found.values())


def danger(advice: Advice) -> list[str]:
    """Say what the house as found would expose people to: what was read first, then what is modelled."""
    found = advice.found
    lines = room_air(advice)
    if advice.explained:
        parts = found.score_parts
        lines.append(
            text(
                "view.risk_score",
                score=quantity(found.risk_score, "count"),
                worst_case=quantity(parts.worst_case, "count"),
                everyday=quantity(parts.everyday, "count"),
                stresses=quantity(parts.stresses, "count"),
                severity=quantity(parts.severity, "count"),
            )
        )
    usual = everyday_words(advice)
    return [*lines, usual] if usual else lines


def in_short(advice: Advice) -> list[str]:
    """The short answer: what the record asks for, then best of all, cheapest that is safe, best that keeps the heater."""
    best = ranked(advice)
    lines = _record_first(advice)
    if choosing_waits(advice):
        return lines
    if advice.found.nothing_wrong:
        lines.append(text("view.no_repair" if advice.verdict.house_clear else "view.no_repair_of_heater"))
    elif not best:
        lines.append(text("view.none_safe_enough"))
    else:
        lines += [text("view.place_first")] if place_first(advice) else []
        lines += _first_and_cheapest(advice, best)
    if best:
        lines.append(sentence(advice.comparison.words))
        keeper = next((o for o in best if o.appliance == "natural draft" and o.holds_until), None)
        if keeper is not None and keeper.holds_until is not None:
            lines.append(text("view.keeper_holds", title=keeper.title, words=keeper.holds_until.words))
    lines += [driver_words(d) for d in advice.comparison.drivers]
    money = money_caution(advice)
    return [*lines, money] if money else lines


def choosing_waits(advice: Advice) -> bool:
    """Return whether nothing is chosen now: a test or a danger comes first, or the work is done."""
    stands = advice.verdict.stands
    return stands in ("unproven", "not confirmed", "confirmed") or bool(advice.verdict.dangers and stands != "failed")


def _record_first(advice: Advice) -> list[str]:
    """What comes before any choice: the danger, the test, the work that is not confirmed."""
    record = advice.verdict
    if record.dangers:
        return [text("view.danger_first")]
    if record.stands == "not confirmed":
        return [text("view.work_not_confirmed")]
    if choosing_waits(advice) and place_first(advice):
        return [text("view.place_first")]
    if not needs_test(advice):
        return []
    test = first_test(advice)
    title = finding("view.a_full_test") if test is None else test.title
    return [text("view.test_first", title=title, note=test_note(advice))]


def _first_and_cheapest(advice: Advice, best: list[Option]) -> list[str]:
    first = best[0]
    grade = grade_words(first, named("grade", first.safety))
    cost = dollars_range(first.installed_cost_usd)
    lines = [
        text("view.ranked_first", title=first.title, cost=cost, grade=grade, reader=label("reader", advice.viewpoint))
    ]
    cheapest = min(best, key=lambda o: o.installed_cost_usd.typical)
    if cheapest is not first:
        caught = cheapest.safety != "robust" and cheapest.reasons
        values = {"title": cheapest.title, "cost": dollars_range(cheapest.installed_cost_usd)}
        if caught:
            lines.append(text("view.cheapest_with_catch", **values, catch=cheapest.reasons[0]))
        else:
            lines.append(text("view.cheapest", **values))
    return lines


def driver_words(driver: Driver) -> str:
    """Say which unknown would change the winner."""
    return say(driver.sentence)


def confirmed_lines(advice: Advice) -> list[str]:
    """What is left to say once work is confirmed: the retests, what they had to meet, and that the rest is history."""
    lines = []
    for retest in advice.retests:
        lines.append(text("view.as_sentence", words=retest_words(retest, advice.pass_limits)))
        lines += [say(line) for line in comparison_lines(retest)]
    return [*lines, had_to_meet(advice), text("view.history")]


def had_to_meet(advice: Advice) -> str:
    """Return the limits that the retest of confirmed work had to meet."""
    return text("view.had_to_meet", limits=limit_words(advice.pass_limits))


def _stop(test: NextTest) -> Finding:
    return finding("view.stop_line", limit=quantity(test.stop_ppm, "ppm"))


def test_words(test: NextTest) -> str:
    """Return a test with its stop line."""
    if test.stop_ppm is None:
        return say(test.words)
    return text("view.with_stop", words=test.words, stop=_stop(test))


def first_test_words(advice: Advice) -> str:
    """Return the test that comes before any option, with its stop line; empty where none does."""
    test = first_test(advice)
    if test is None:
        return text("view.full_test") if needs_test(advice) else ""
    words = finding("view.first_test", title=test.title, minutes=quantity(test.minutes, "min", 0), caution=test.caution)
    return text("view.with_stop", words=words, stop=_stop(test)) if test.stop_ppm else say(words)


def useful_tests(advice: Advice) -> list[NextTest]:
    """Return the next tests that the record needs or whose answer may change the choice, best first."""
    return [t for t in advice.next_tests if t.required or (t.changes_choice and t.value_usd > 0.0)]


CONDITIONS = ("worst_case", *STRESSES)
"""Fields of ``Spillage`` that a report prints, in order."""


def condition_words(name: str) -> Finding:
    """Return the name of a condition of ``Spillage``."""
    return finding("view.condition.worst_case") if name == "worst_case" else stress(name, "stress_name")


def legend(advice: Advice) -> str:
    """Return how to read the numbers."""
    return text(
        "view.legend",
        allowed=quantity(advice.allowed_s, "s"),
        scheme=advice.case.settings.spillage_scheme,
        tried=all_tried(),
        samples=quantity(advice.samples, "count"),
        effective=quantity(advice.effective_samples, "count"),
        data=advice.catalog_hash,
        seed=str(advice.seed),
        reader=label("reader", advice.viewpoint),
    )
