"""The full working of one option: what is done, sizes, physics before and after, codes, bill, what is assumed."""

from __future__ import annotations

import textwrap

from advisor.advice import Advice
from advisor.codes.check import Check
from advisor.errors import InputError, suggest
from advisor.findings import Words, finding, listed, quantity, share, usd
from advisor.ranking.options import Option
from advisor.report.text.lines import filled, listed_lines
from advisor.report.view.choices import CONDITIONS, condition_words
from advisor.report.view.figures import band, dollars_range, percent, seconds_words
from advisor.report.view.in_force import dated_of_option, edition_words
from advisor.report.view.labels import bill_words, label, named, slug
from advisor.wording.checks import clause, official_words, rule_words
from advisor.wording.retest import expected_words, limit_words
from advisor.wording.speak import say, text
from advisor.wording.units import written


def explain_text(advice: Advice, option_id: str, width: int = 100) -> str:
    """Return the working of one option.

    Raises
    ------
    InputError
        If there is no such option.
    """
    ids = [o.id for o in advice.options]
    if option_id not in ids:
        raise InputError(f"option '{option_id}': no such option{suggest(option_id, ids)}; one of {', '.join(ids)}")
    option = advice.options[ids.index(option_id)]
    lines = [text("explain.title", title=option.title, id=option.id), advice.case.title, "", _standing(advice, option)]
    lines += listed_lines((finding("explain.because", reason=r) for r in option.reasons), width)
    lines += ["", text("explain.head.done")]
    lines += listed_lines([*option.parts, finding("explain.needs", needs=option.needs)], width)
    lines += listed_lines((finding("explain.note", note=n) for n in option.notes), width)
    lines += ["", text("explain.head.physics"), _before_after(advice, option)]
    lines += ["", text("explain.head.retest"), *listed_lines(_retest(advice, option), width)]
    lines += ["", text("explain.head.codes"), *checks_lines(option.checks, width)]
    lines += ["", text("explain.head.edition"), filled(edition_words(advice.code_in_force), width)]
    dated = dated_of_option(advice, option)
    lines += ["", text("explain.head.dated"), *listed_lines(dated, width)] if dated else []
    lines += ["", text("explain.head.bill"), _bill(option), "", text("explain.head.value"), *_value_lines(option)]
    lines += ["", text("explain.risk_score", score=quantity(option.risk_score, "count"))]
    assumed = listed(advice.assumed, "semicolon") if advice.assumed else finding("text.nothing")
    lines += ["", text("explain.head.assumed"), filled(assumed, width)]
    lines += ["", text("explain.head.cautions"), *listed_lines(advice.cautions, width)]
    return "\n".join(lines) + "\n"


def _standing(advice: Advice, option: Option) -> str:
    rank = (
        finding("explain.rank", rank=str(option.rank), reader=named("reader", advice.viewpoint))
        if option.rank
        else finding("explain.no_rank")
    )
    message = "explain.standing_possible" if option.eligible else "explain.standing_not_possible"
    return text(message, rank=rank, grade=named("grade", option.safety))


def _retest(advice: Advice, option: Option) -> list[Words]:
    found: list[Words] = [
        finding("explain.zone", band=band(option.zone_depressurization_pa, "pa")),
        finding("explain.seconds", band=seconds_words(option.seconds_to_draft)),
        finding("explain.draft", band=band(option.draft_pa, "pa")),
        finding("explain.wet", share=share(option.vent_runs_wet)),
    ]
    if option.expected is not None:
        found.append(finding("explain.must_meet", limits=limit_words(advice.pass_limits)))
        found.append(finding("explain.forecast", expected=expected_words(option.expected)))
    if option.holds_until is not None:
        found.append(option.holds_until.words)
    return found


def _value_lines(option: Option) -> list[str]:
    parts = [(text(f"ranking.criterion.{slug(name)}"), part) for name, part in option.value_parts.items()]
    return [f"  {name:<16} {part:.3f}" for name, part in [*parts, (text("explain.sum"), option.value)]]


def _before_after(advice: Advice, option: Option) -> str:
    from tabulate import tabulate

    before, after = advice.found.spillage, option.spillage
    rows = []
    for i, (as_found, left) in enumerate(zip(before.failing_runs, after.failing_runs, strict=True), 1):
        # what was seen stands before what is modelled of the same thing
        name, seen = text("explain.failing_run", number=str(i)), text("explain.seen_to_spill", share=share(as_found))
        rows.append((name, seen, percent(left)))
    rows += [(say(condition_words(key)), percent(before.under(key)), percent(after.under(key))) for key in CONDITIONS]
    heads = [text(f"explain.physics.{name}") for name in ("spills", "as_found", "after")]
    return tabulate(rows, heads, tablefmt="simple")


def _bill(option: Option) -> str:
    from tabulate import tabulate

    rows = [
        (
            textwrap.fill(bill_words(line.words, line.assumed), 44),
            say(written(line.quantity, line.unit)),
            text("view.three_prices", low=usd(line.low_usd), typical=usd(line.typical_usd), high=usd(line.high_usd)),
            "" if line.labour_h is None else say(quantity(line.labour_h, "number", 2)),
            label("status", line.status),
        )
        for line in option.bill
    ]
    rows.append((text("explain.bill.total"), "", dollars_range(option.installed_cost_usd), "", ""))
    heads = [text(f"explain.bill.{name}") for name in ("line", "quantity", "prices", "hours", "status")]
    return tabulate(rows, heads, tablefmt="simple")


def checks_lines(checks: tuple[Check, ...], width: int) -> list[str]:
    """Return checks as lines: verdict, rule, clause, then the sentence an official accepts."""
    if not checks:
        return [text("explain.no_rule")]
    lines: list[str] = []
    for c in checks:
        head = text(
            "explain.check",
            verdict=label("verdict", c.verdict).upper(),
            rule=rule_words(c),
            clause=clause(c),
            status=named("status", c.status),
        )
        lines += listed_lines([head], width)
        lines.append(filled(official_words(c), width, "    "))
    return lines
