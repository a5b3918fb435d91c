"""The comparison matrix as text: terminal table, markdown, CSV."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence

from advisor.advice import Advice
from advisor.catalog import number
from advisor.codes.check import Check
from advisor.facts.audit import Audit
from advisor.findings import Finding, Words, finding, listed, quantity, share
from advisor.ranking.options import Option
from advisor.report.view.appliances import appliance_lines, audits_of_others, run_label
from advisor.report.view.choices import (
    beside_the_heater,
    confirmed_lines,
    danger,
    first_test_words,
    had_to_meet,
    in_short,
    legend,
    not_enough,
    not_possible,
    ranked,
    test_words,
    useful_tests,
)
from advisor.report.view.figures import dollars, dollars_range, stress_range, whole, worst_case
from advisor.report.view.in_force import dated_of_options, edition_words
from advisor.report.view.labels import named
from advisor.report.view.present import found_words, grade_words, needs_test, not_enough_words
from advisor.report.view.unknowns import amendment_words
from advisor.wording import verdict
from advisor.wording.checks import clause
from advisor.wording.retest import comparison_lines, retest_words
from advisor.wording.speak import say, text

NARROW = 100
"""Columns below which the matrix drops to its short form."""
SHORTEST_TITLE = 14
UNWRITTEN_SHOWN = 3
"""Conditions that nobody wrote down, named for a run; `advisor check` names all."""
TESTS_SHOWN = 2
TIERS = ("robust", "as tested")
HEADS = ("option", "spills_worst", "spills_stress", "installed", "a_year", "risk", "needs")


def _cells(option: Option) -> list[str]:
    marks = grade_words(option, "")
    title = text("text.matrix.marked", title=option.title, marks=marks) if marks else say(option.title)
    return ["" if option.rank is None else whole(option.rank), title, *_figures(option)]


def _figures(option: Option) -> list[str]:
    return [
        worst_case(option),
        stress_range(option),
        dollars_range(option.installed_cost_usd),
        dollars(option.yearly_cost_usd.typical),
        whole(option.risk_score),
        say(option.needs),
    ]


def _table(options: list[Option], width: int) -> str:
    """Lay out the matrix: the title gives way until the widest line fits."""
    narrow = width < NARROW
    title = width // 2
    while True:
        words = _laid_out(options, title, 0 if narrow else max(16, int(0.9 * title)))
        widest = max(len(line) for line in words.splitlines())
        if widest <= width or title <= SHORTEST_TITLE:
            return words
        title -= 1


def _laid_out(options: list[Option], title: int, needs: int) -> str:
    from tabulate import tabulate

    rows = []
    for option in options:
        cells = _cells(option)
        cells[1] = textwrap.fill(cells[1], title)
        cells[7] = textwrap.fill(cells[7], needs) if needs else ""
        rows.append(cells if needs else cells[:7])
    # a head of two words stands on two lines: the columns are narrow
    names = ("option", "spills_worst_short", *HEADS[2:])
    heads = ["", *(text(f"text.matrix.head.{name}") for name in names)]
    heads[2], heads[3] = (_on_two_lines(heads[i]) for i in (2, 3))
    return tabulate(rows, heads if needs else heads[:7], tablefmt="simple", disable_numparse=True)


def _on_two_lines(words: str) -> str:
    return "\n".join(textwrap.wrap(words, max(8, len(words) // 2)))


def _wrapped(items: Iterable[Words], width: int, bullet: str = "- ") -> list[str]:
    return [textwrap.fill(say(i), width, initial_indent=bullet, subsequent_indent=" " * len(bullet)) for i in items]


class _Page:
    """Lines of a terminal page, section by section."""

    def __init__(self, width: int, bold: bool) -> None:
        self.width, self.bold = width, bold
        self.lines: list[str] = []

    def head(self, words: str) -> None:
        """Add a heading; in bold (ANSI) for a terminal that wants it."""
        self.lines.append(f"\033[1m{words}\033[0m" if self.bold else words)

    def add(self, items: Iterable[Words], bullet: str = "- ") -> None:
        """Add paragraphs."""
        self.lines += _wrapped(items, self.width, bullet)

    def gap(self) -> None:
        """Add an empty line."""
        self.lines.append("")

    def section(self, message: str, items: Sequence[Words], bullet: str = "- ") -> None:
        """Add a heading with its paragraphs, and an empty line before it; nothing where there are none."""
        if items:
            self.gap()
            self.head(text(f"text.head.{message}"))
            self.add(items, bullet)


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
    page = _Page(width, bold)
    page.head(advice.case.title)
    page.gap()
    page.head(text("text.the_record", title=verdict.title(advice.verdict, advice.explained)))
    page.add([verdict.sentence(advice.verdict, advice.explained)], "")
    page.section("now", advice.now)
    page.section("appliances", appliance_lines(advice.verdict.others))
    page.gap()
    if advice.verdict.leads == "confirmed":
        _confirmed(page, advice)
    else:
        _as_found(page, advice)
        _options(page, advice)
        _small_print(page, advice)
    return "\n".join(page.lines) + "\n"


def _as_found(page: _Page, advice: Advice) -> None:
    page.head(text("text.head.found"))
    page.add([found_words(advice)], "")
    page.add(_audit_words(audit.label, audit) for audit in advice.audits)
    page.add(_audit_words(run_label(run), audit) for run, audit in audits_of_others(advice))
    page.add(finding("text.check_record", words=words) for words in advice.contradictions)
    _after_work(page, advice)
    page.section("danger", danger(advice))
    page.section("in_short", in_short(advice))
    page.section("beside", advice.beside_options)
    page.gap()
    pays = useful_tests(advice)[:TESTS_SHOWN]
    if pays:
        page.head(text("text.head.next_test"))
        page.add(test_words(t) for t in pays)
        page.gap()


def _audit_words(label: str, audit: Audit) -> Finding:
    """What a run shows, with what was short of a worst case and what nobody wrote down."""
    shows = say(audit.shows)
    other: list[Words] = [words for words in audit.shortfalls if say(words) not in shows]
    if audit.unwritten:
        shown, left = audit.unwritten[:UNWRITTEN_SHOWN], len(audit.unwritten) - UNWRITTEN_SHOWN
        if left > 0:
            more = finding("text.unwritten_more", items=listed(shown), count=quantity(left, "count"))
            other.append(more)
        else:
            other.append(finding("text.unwritten", items=listed(shown)))
    if other:
        return finding("text.run_why", label=label, shows=shows, why=listed(other, "semicolon"))
    return finding("text.run", label=label, shows=shows)


def _options(page: _Page, advice: Advice) -> None:
    for grade in TIERS:
        rows = [o for o in ranked(advice) if o.safety == grade]
        if rows:
            page.head(text(f"text.tier.{grade.replace(' ', '_')}"))
            page.lines += [_table(rows, page.width), ""]
    beside = beside_the_heater(advice)
    if beside:
        page.head(text("text.head.on_the_vent"))
        page.add(beside)
        page.gap()
    if page.width < NARROW:
        page.add(finding("text.needs", rank=quantity(o.rank, "count"), needs=o.needs) for o in ranked(advice))
        page.gap()
    page.lines.append("-" * min(page.width, 100))
    failing = not_enough(advice)
    if failing:
        page.head(text("text.head.not_enough"))
        page.add([_gate_words(advice)], "")
        page.add(_with_reason(o, _short_reason(o)) for o in failing)
        page.gap()
    page.head(text("text.head.not_possible"))
    page.add(_with_reason(o, _reason(o)) for o in not_possible(advice))


def _small_print(page: _Page, advice: Advice) -> None:
    page.section("interim", advice.interim)
    page.section("codes", _code_findings(advice))
    page.section("edition", [edition_words(advice.code_in_force)], "")
    page.section("dated", dated_of_options(advice, ranked(advice)))
    page.gap()
    page.head(text("text.head.assumed"))
    page.lines.append(textwrap.fill(assumed_words(advice), page.width))
    page.section("legend", [legend(advice)], "")
    page.section("cautions", advice.cautions)


def assumed_words(advice: Advice) -> str:
    """Return what nobody measured, in one line."""
    return say(listed(advice.assumed, "semicolon")) if advice.assumed else text("text.nothing")


def _after_work(page: _Page, advice: Advice) -> None:
    """What every retest has shown, with the readings before and after."""
    for retest in advice.retests:
        page.add([finding("text.after_work", words=retest_words(retest, advice.pass_limits))])
        page.add(comparison_lines(retest), "    ")


def _confirmed(page: _Page, advice: Advice) -> None:
    """What is left to say once work is confirmed: no finding, drawing or ranking from before stands as present."""
    page.lines.append(text("text.head.after_work"))
    _after_work(page, advice)
    page.add([had_to_meet(advice), finding("view.history_held")], "")
    page.gap()
    page.lines.append(text("text.head.cautions"))
    page.add(advice.cautions)


def _code_findings(advice: Advice) -> list[Words]:
    """Failed code checks as found (test limits apart: the runs say those), and local amendments beside the published."""
    failed = [c for c in advice.review if c.verdict == "fail" and not c.run]
    local = [finding("text.local_amendment", words=words) for words in amendment_words(advice.amendments)]
    return [*(_code_finding(c) for c in failed), *local]


def _code_finding(check: Check) -> Finding:
    message = "text.code_from_memory" if check.status == "memory" else "text.code"
    return finding(message, client=check.client, clause=clause(check))


def _gate_words(advice: Advice) -> Finding:
    limit = share(number("safety", "worst_case_limit"))
    return finding("text.gate", day=quantity(advice.test_day_f, "f"), limit=limit)


def _short_reason(option: Option) -> list[Words]:
    return [not_enough_words(option), dollars_range(option.installed_cost_usd), *option.reasons[1:]]


def _reason(option: Option) -> list[Words]:
    return list(option.reasons) or [finding("text.no_reason")]


def _with_reason(option: Option, reasons: list[Words]) -> Finding:
    return finding("text.option_because", title=option.title, reasons=listed(reasons, "semicolon"))


def _marked_list(items: Iterable[Words]) -> list[str]:
    return [f"- {say(item)}" for item in items]


def as_markdown(advice: Advice) -> str:
    """Return the advice as markdown, for pasting into a report."""
    from tabulate import tabulate

    def head(name: str) -> str:
        return f"## {text(f'text.markdown.{name}')}"

    record, explained = advice.verdict, advice.explained
    lines = [f"# {advice.case.title}", ""]
    lines += [f"## {text('text.markdown.record', title=verdict.title(record, explained))}", ""]
    lines += [say(verdict.sentence(record, explained)), "", head("now"), *_marked_list(advice.now), ""]
    if record.others:
        lines += [head("appliances"), *_marked_list(appliance_lines(record.others)), ""]
    if record.leads == "confirmed":
        return "\n".join([*lines, head("after_work"), *_marked_list(confirmed_lines(advice)), ""])
    if needs_test(advice):
        lines += [head("test_first"), "", first_test_words(advice), ""]
    lines += [head("found"), "", found_words(advice), ""]
    lines += [head("beside"), *_marked_list(advice.beside_options), ""] if advice.beside_options else []
    lines += [head("options"), ""]
    rows = [
        [_cells(o)[0], say(o.title), grade_words(o, named("grade", o.safety)), *_figures(o)] for o in ranked(advice)
    ]
    names = ("rank", "option", "grade", *HEADS[1:])
    heads = [text(f"text.matrix.head.{name}") for name in names]
    lines += [tabulate(rows, heads, tablefmt="github", disable_numparse=True), ""]
    failing = not_enough(advice)
    if failing:
        lines += [head("not_enough"), *_marked_list(_with_reason(o, _short_reason(o)) for o in failing), ""]
    lines += [head("not_possible"), *_marked_list(_with_reason(o, _reason(o)) for o in not_possible(advice)), ""]
    lines += [head("edition"), say(edition_words(advice.code_in_force)), ""]
    dated = dated_of_options(advice, ranked(advice))
    lines += [head("dated"), *_marked_list(dated), ""] if dated else []
    lines += [head("assumed"), *_marked_list(advice.assumed), "", legend(advice), ""]
    lines += [head("cautions"), *_marked_list(advice.cautions), ""]
    return "\n".join(lines)
