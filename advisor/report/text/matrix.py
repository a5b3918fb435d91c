"""The comparison matrix as text: terminal table, markdown, CSV."""

from __future__ import annotations

import textwrap

from advisor.advice import Advice
from advisor.catalog import number
from advisor.ensemble.conditions import test_day_f
from advisor.evidence.next_test import NextTest
from advisor.ranking.acceptability import Driver
from advisor.ranking.options import Option
from advisor.ranking.stresses import all_tried
from advisor.report.view.figures import dollars, dollars_range, percent, stress_range, worst_case
from advisor.report.view.present import (
    everyday_words,
    first_test,
    found_words,
    grade_words,
    money_caution,
    needs_test,
    not_enough_words,
    room_air,
    test_note,
)
from advisor.report.view.units_text import Units
from advisor.wording import verdict
from advisor.wording.retest import comparison_lines, limit_words, retest_words
from advisor.wording.speak import say

NARROW = 100
"""Columns below which the matrix drops to its short form."""
SHORTEST_TITLE = 14
UNWRITTEN_SHOWN = 3
"""Conditions that nobody wrote down, named for a run; `advisor check` names all."""
TIER_WORDS = {
    "robust": "SAFE IN THE WORST CASE AND UNDER EVERY STRESS TRIED",
    "as tested": "SAFE ON A DAY LIKE THE TEST DAY, BUT NOT UNDER EVERY STRESS",
}
HEADS = ("", "option", "spills, worst case", "spills, stress", "installed", "a year", "risk", "needs")


def ranked(advice: Advice) -> list[Option]:
    """Options with a rank, in order."""
    return [o for o in advice.options if o.rank is not None]


def not_enough(advice: Advice) -> list[Option]:
    """Possible here but not safe enough alone."""
    return [o for o in advice.options if o.rank is None and o.eligible]


def not_possible(advice: Advice) -> list[Option]:
    """Not possible here."""
    return [o for o in advice.options if not o.eligible]


def danger(advice: Advice) -> list[str]:
    """Say what the house as found would expose people to: what was read first, then what is modelled."""
    found = advice.found
    lines = room_air(advice)
    if advice.explained:
        parts = found.score_parts
        lines.append(
            f"Risk score (modelled) {found.risk_score:.0f} of 100: {parts.worst_case:.0f} for the worst case, "
            f"{parts.everyday:.0f} for ordinary days, {parts.stresses:.0f} for stresses, {parts.severity:.0f} for what would "
            "be spilled."
        )
    usual = everyday_words(advice)
    return [*lines, usual] if usual else lines


def in_short(advice: Advice) -> list[str]:
    """The short answer: what the record asks for, then best of all, cheapest that is safe, best that keeps the heater."""
    stands, best = advice.verdict.stands, ranked(advice)
    lines = _record_first(advice)
    if stands in ("unproven", "not confirmed", "confirmed") or (advice.verdict.dangers and stands != "failed"):
        return lines
    if advice.found.nothing_wrong:
        lines.append("No repair is called for. Keep it tested; the options below buy more margin.")
    elif not best:
        lines.append("No single option here is safe enough: see what combination or further test is needed.")
    else:
        lines += _first_and_cheapest(advice, best)
    if best:
        lines.append(sentence(advice.comparison.words))
        keeper = next((o for o in best if o.appliance == "natural draft" and o.holds_until), None)
        if keeper is not None and keeper.holds_until is not None:
            lines.append(f"{sentence(keeper.title)}: {keeper.holds_until.words}.")
    lines += [driver_words(d) for d in advice.comparison.drivers]
    money = money_caution(advice)
    return [*lines, money] if money else lines


def _record_first(advice: Advice) -> list[str]:
    """What comes before any choice: the danger, the test, the work that is not confirmed."""
    record = advice.verdict
    if record.dangers:
        return ["First what stands under what to do now; choosing comes after."]
    if record.stands == "not confirmed":
        return ["The work is not confirmed: it is put right and tested again before anything new is chosen."]
    if not needs_test(advice):
        return []
    test = first_test(advice)
    title = "a full worst-case test" if test is None else test.title
    return [f"A test comes first: {title}. {test_note(advice)}"]


def _first_and_cheapest(advice: Advice, best: list[Option]) -> list[str]:
    first = best[0]
    grade = grade_words(first, first.safety)
    lines = [
        f"Ranked first for the {advice.viewpoint}: {first.title} ({dollars_range(first.installed_cost_usd)}, {grade})."
    ]
    cheapest = min(best, key=lambda o: o.installed_cost_usd.typical)
    if cheapest is not first:
        catch = "" if cheapest.safety == "robust" else f"; {cheapest.reasons[0]}" if cheapest.reasons else ""
        lines.append(
            f"Cheapest that passes the worst case (modelled): {cheapest.title} "
            f"({dollars_range(cheapest.installed_cost_usd)}){catch}."
        )
    return lines


def sentence(words: str) -> str:
    """Return the words with a capital first letter."""
    return words[:1].upper() + words[1:]


def driver_words(driver: Driver) -> str:
    """Say which unknown would change the winner."""
    return say(driver.sentence)


def _cells(option: Option) -> list[str]:
    return [
        "" if option.rank is None else str(option.rank),
        f"{option.title} ({marks})" if (marks := grade_words(option, "")) else option.title,
        worst_case(option),
        stress_range(option),
        dollars_range(option.installed_cost_usd),
        dollars(option.yearly_cost_usd.typical),
        f"{option.risk_score:.0f}",
        option.needs,
    ]


def _table(options: list[Option], width: int) -> str:
    """Lay out the matrix: the title gives way until the widest line fits."""
    narrow = width < NARROW
    title = width // 2
    while True:
        text = _laid_out(options, title, 0 if narrow else max(16, int(0.9 * title)))
        widest = max(len(line) for line in text.splitlines())
        if widest <= width or title <= SHORTEST_TITLE:
            return text
        title -= 1


def _laid_out(options: list[Option], title: int, needs: int) -> str:
    from tabulate import tabulate

    rows = []
    for option in options:
        cells = _cells(option)
        cells[1] = textwrap.fill(cells[1], title)
        cells[7] = textwrap.fill(cells[7], needs) if needs else ""
        rows.append(cells if needs else cells[:7])
    heads = ["", "option", "spills,\nworst", "spills,\nstress", "installed", "a year", "risk", "needs"]
    return tabulate(rows, heads if needs else heads[:7], tablefmt="simple", disable_numparse=True)


def _wrapped(items: tuple[str, ...] | list[str], width: int, bullet: str = "- ") -> list[str]:
    return [textwrap.fill(i, width, initial_indent=bullet, subsequent_indent=" " * len(bullet)) for i in items]


def as_text(advice: Advice, width: int = 100, bold: bool = False) -> str:
    """Return the whole advice for a terminal.

    Parameters
    ----------
    advice : Advice
        What to print.
    width : int
        Columns; from 80 on.
    bold : bool
        Headings in bold (ANSI), for a terminal that wants it.
    """
    advice = Units().apply(advice)

    def head(words: str) -> str:
        return f"\033[1m{words}\033[0m" if bold else words

    lines = [head(advice.case.title), ""]
    lines += [head(f"THE RECORD: {verdict.title(advice.verdict, advice.explained)}")]
    lines += [*_wrapped([verdict.sentence(advice.verdict, advice.explained)], width, ""), ""]
    lines += [head("WHAT TO DO NOW"), *_wrapped(advice.now, width), ""]
    if advice.verdict.leads == "confirmed":
        return "\n".join([*lines, *_confirmed(advice, width)]) + "\n"
    lines += [head("WHAT WAS FOUND"), *_wrapped([found_words(advice)], width, "")]
    for audit in advice.audits:
        other = [words for words in audit.shortfalls if words not in audit.shows]
        if audit.unwritten:
            left = len(audit.unwritten) - UNWRITTEN_SHOWN
            more = f", and {left} more things: see advisor check" if left > 0 else ""
            other.append(f"not written down: {', '.join(audit.unwritten[:UNWRITTEN_SHOWN])}{more}")
        why = f" ({'; '.join(other)})" if other else ""
        lines += _wrapped([f"Run '{audit.label}': {audit.shows}{why}."], width)
    lines += _wrapped([f"Check the record: {words}" for words in advice.contradictions], width)
    lines += _after_work(advice, width)
    lines += [
        "",
        head("HOW DANGEROUS IT IS AS FOUND (readings first, the rest is modelled)"),
        *_wrapped(danger(advice), width),
    ]
    lines += ["", head("IN SHORT"), *_wrapped(in_short(advice), width), ""]
    pays = [t for t in advice.next_tests if t.required or (t.changes_choice and t.value_usd > 0.0)][:2]
    if pays:
        lines += [head("THE NEXT TEST"), *_wrapped([test_words(t) for t in pays], width), ""]
    for grade, words in TIER_WORDS.items():
        rows = [o for o in ranked(advice) if o.safety == grade]
        if rows:
            lines += [head(words), _table(rows, width), ""]
    if width < NARROW:
        lines += _wrapped([f"{o.rank} needs {o.needs}" for o in ranked(advice)], width)
        lines.append("")
    lines.append("-" * min(width, 100))
    lines += [head("NOT SAFE ENOUGH BY ITSELF (no rank)"), *_wrapped([_gate_words(advice)], width, "")]
    lines += _wrapped([f"{o.title}: {_short_reason(o)}" for o in not_enough(advice)], width)
    lines += ["", head("NOT POSSIBLE OR NOT NEEDED HERE")]
    lines += _wrapped([f"{o.title}: {_reason(o)}" for o in not_possible(advice)], width)
    if advice.interim:
        lines += ["", head("UNTIL THE WORK IS DONE (none of this is a remedy)"), *_wrapped(advice.interim, width)]
    findings = _code_findings(advice)
    if findings:
        lines += ["", head("WHAT THE CODES SAY ABOUT THE HOUSE AS FOUND"), *_wrapped(findings, width)]
    lines += ["", head("ASSUMED, NOT MEASURED"), textwrap.fill("; ".join(advice.assumed) or "nothing", width)]
    lines += ["", head("HOW TO READ IT")]
    lines += _wrapped([legend(advice)], width, "")
    lines += ["", head("CAUTIONS"), *_wrapped(advice.cautions, width)]
    return "\n".join(lines) + "\n"


def _after_work(advice: Advice, width: int) -> list[str]:
    """What every retest has shown, with the readings before and after."""
    lines = []
    for retest in advice.retests:
        lines += _wrapped([f"After the work: {retest_words(retest, advice.pass_limits)}."], width)
        lines += _wrapped(comparison_lines(retest), width, "    ")
    return lines


FULL_TEST = "Make a full worst-case test, with CO in the room read all the time, and write every condition down."
HISTORY = "What was found before the work, and the ranking made from it, are history."
WHERE_HISTORY = "explain, causes and --format json still hold it."


def confirmed_lines(advice: Advice) -> list[str]:
    """What is left to say once work is confirmed: the retests, what they had to meet, and that the rest is history."""
    lines = []
    for retest in advice.retests:
        lines += [f"{sentence(retest_words(retest, advice.pass_limits))}.", *comparison_lines(retest)]
    return [*lines, f"It had to meet: {limit_words(advice.pass_limits)}.", HISTORY]


def _confirmed(advice: Advice, width: int) -> list[str]:
    """What is left to say once work is confirmed: no finding, drawing or ranking from before stands as present."""
    lines = ["AFTER THE WORK", *_after_work(advice, width)]
    lines += _wrapped(
        [f"It had to meet: {limit_words(advice.pass_limits)}.", f"{HISTORY[:-1]}: {WHERE_HISTORY}"], width
    )
    return [*lines, "", "CAUTIONS", *_wrapped(advice.cautions, width)]


def test_words(test: NextTest) -> str:
    """Return a test with its stop line."""
    if test.stop_ppm is None:
        return say(test.words)
    return f"{say(test.words)} Stop when CO in the room goes above {test.stop_ppm:.0f} ppm: burner off, air the house."


def first_test_words(advice: Advice) -> str:
    """Return the test that comes before any option, with its stop line; empty where none does."""
    test = first_test(advice)
    if test is None:
        return FULL_TEST if needs_test(advice) else ""
    stop = (
        f" Stop when CO in the room goes above {test.stop_ppm:.0f} ppm: burner off, air the house."
        if test.stop_ppm
        else ""
    )
    return f"{sentence(test.title)} (about {test.minutes:.0f} minutes; {test.caution}).{stop}"


def legend(advice: Advice) -> str:
    """Return how to read the numbers."""
    return (
        f"'spills' is the share of the situations that fit the record in which spillage lasts longer than "
        f"{advice.allowed_s:.0f} s ({advice.case.settings.spillage_scheme}); 'stress' is the range over "
        f"{say(all_tried())}. Risk runs from 0 to 100, lower "
        f"is safer. Installed is low to high, a year is energy and upkeep. {advice.samples} situations drawn, "
        f"{advice.effective_samples:.0f} count; data {advice.catalog_hash}, seed {advice.seed}, ranked for the "
        f"{advice.viewpoint}."
    )


def _code_findings(advice: Advice) -> list[str]:
    """Failed code checks as found (test limits apart: the runs say those), and local amendments beside the published."""
    found = [
        f"{say(c.client)} [{c.clause}{', from memory: confirm locally' if c.status == 'memory' else ''}]"
        for c in advice.review
        if c.verdict == "fail" and not c.run
    ]
    local = [
        f"Local amendment: {a.key} is {a.value:g} {a.unit} here ({a.source}), published {a.published:g} ({a.ref})."
        for a in advice.amendments
    ]
    return [*found, *local]


def _gate_words(advice: Advice) -> str:
    limit = percent(number("safety", "worst_case_limit"))
    return (
        f"The record bars them, or (modelled) they still spill in the worst case at {test_day_f(advice.case):.0f} F or under the "
        f"condition of a run that failed; at most {limit} is allowed:"
    )


def _short_reason(option: Option) -> str:
    return "; ".join([not_enough_words(option), dollars_range(option.installed_cost_usd), *option.reasons[1:]])


def _reason(option: Option) -> str:
    return "; ".join(option.reasons) or "no reason recorded"


def as_markdown(advice: Advice) -> str:
    """Return the advice as markdown, for pasting into a report."""
    advice = Units().apply(advice)
    from tabulate import tabulate

    record, explained = advice.verdict, advice.explained
    lines = [f"# {advice.case.title}", "", f"## The record: {verdict.title(record, explained)}", ""]
    lines += [verdict.sentence(record, explained), "", "## What to do now", *[f"- {w}" for w in advice.now], ""]
    if record.leads == "confirmed":
        return "\n".join([*lines, "## After the work", *(f"- {w}" for w in confirmed_lines(advice)), ""])
    if needs_test(advice):
        lines += ["## A test comes first", "", first_test_words(advice), ""]
    lines += ["## What was found", "", found_words(advice), "", "## Options", ""]
    rows = [[_cells(o)[0], o.title, grade_words(o, o.safety), *_cells(o)[2:]] for o in ranked(advice)]
    heads = ["rank", "option", "grade", *HEADS[2:]]
    lines += [tabulate(rows, heads, tablefmt="github", disable_numparse=True), ""]
    lines += ["## Not safe enough by itself", *[f"- {o.title}: {_short_reason(o)}" for o in not_enough(advice)], ""]
    lines += ["## Not possible or not needed here", *[f"- {o.title}: {_reason(o)}" for o in not_possible(advice)], ""]
    lines += ["## Assumed", *[f"- {a}" for a in advice.assumed], "", legend(advice), ""]
    lines += ["## Cautions", *[f"- {c}" for c in advice.cautions], ""]
    return "\n".join(lines)
