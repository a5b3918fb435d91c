"""What the contractor's quote prints: options with quantities, prices, clauses, and the numbers to meet on the retest."""

from __future__ import annotations

import datetime
from typing import Any

from advisor.advice import Advice
from advisor.findings import Finding, finding, listed, quantity, usd
from advisor.ranking.air_balance import AirBalance
from advisor.ranking.options import Option
from advisor.report.page.reader import air, common, count, matrix_row
from advisor.report.page.record import check_view, sentences, worst_first
from advisor.report.page.texts import tags, texts
from advisor.report.view.choices import ranked
from advisor.report.view.figures import dollars, whole
from advisor.report.view.firm import Firm
from advisor.report.view.in_force import dated_of_option, edition_words
from advisor.report.view.labels import bill_words, label
from advisor.report.view.present import found_words
from advisor.report.view.retest_rows import forecast_rows
from advisor.wording.speak import day, say, text
from advisor.wording.units import written


def quoted(advice: Advice) -> list[Option]:
    """Return the options of a quote: the best, the cheapest that passes among them, work only; none once work is confirmed."""
    if advice.verdict.leads == "confirmed":
        return []
    work = [o for o in ranked(advice) if o.bill]
    shown = work[: count("quote_options")]
    cheapest = min(work, key=lambda o: o.installed_cost_usd.typical, default=None)
    if cheapest is not None and cheapest not in shown:
        shown = [*shown[:-1], cheapest]
    return shown


def contractor(
    advice: Advice,
    before: AirBalance | None,
    after: AirBalance | None,
    firm: Firm | None,
    today: datetime.date | None,
) -> dict[str, Any]:
    """Return what the contractor's quote prints."""
    options = quoted(advice)
    true = tags(advice, options)
    valid_days = (firm.quote_valid_days if firm else None) or count("quote_valid_days")
    until = None if today is None else today + datetime.timedelta(days=valid_days)
    return {
        **common(advice),
        "sentence": found_words(advice),
        "firm": firm,
        "date": _day(today),
        "valid_until": _day(until),
        "valid_days": valid_days,
        "quotes": [quote(o, advice) for o in options],
        "includes": texts("contractor", "includes", true),
        "allowances": texts("contractor", "allowance", true),
        "exclusions": [*texts("contractor", "exclusion", true), *(firm.exclusions if firm else [])],
        "permits": texts("contractor", "permit", true),
        "terms": texts("contractor", "terms", true),
        "air": air(before, after, options[0] if options and options[0].rank == 1 else None),
        "edition": say(edition_words(advice.code_in_force)) if options else "",
        "incentive_source": advice.case.money.incentive_source,
    }


def _day(date: datetime.date | None) -> str:
    return text("quote.blank") if date is None else day(date)


def _factors(option: Option, advice: Advice) -> list[Finding]:
    """What a total holds besides its lines."""
    money = advice.case.money
    pairs = (
        (finding("quote.region", factor=quantity(money.region_factor, "number", 3)), money.region_factor != 1.0),
        (finding("quote.margin", margin=quantity(money.margin_pct, "pct", 2)), money.margin_pct > 0.0),
        (finding("quote.tax", tax=quantity(money.tax_pct, "pct", 2)), money.tax_pct > 0.0),
        (finding("quote.incentive", amount=usd(-option.incentive_usd)), option.incentive_usd > 0.0),
    )
    return [words for words, on in pairs if on]


def _lines(option: Option) -> list[dict[str, str]]:
    return [
        {
            "words": bill_words(line.words, line.assumed),
            "quantity": say(written(line.quantity, line.unit, 0 if line.quantity >= 100.0 else 2)),
            "low": dollars(line.low_usd),
            "typical": dollars(line.typical_usd),
            "high": dollars(line.high_usd),
        }
        for line in option.bill
    ]


def quote(option: Option, advice: Advice) -> dict[str, Any]:
    """Return one option as a quote."""
    factors, cost = _factors(option, advice), option.installed_cost_usd
    total = text("quote.total_with", factors=listed(factors)) if factors else text("quote.total")
    grade = finding("quote.grade", rank=str(option.rank), grade=matrix_row(option)["grade"])
    return {
        **matrix_row(option),
        "standing": text(
            "quote.standing",
            grade=listed([grade, *option.reasons], "semicolon"),
            needs=option.needs,
            days=whole(option.lead_days),
        ),
        "parts": sentences(option.parts),
        "notes": sentences(option.notes),
        "dated": sentences(dated_of_option(advice, option)),
        "lines": _lines(option),
        "total": total,
        "low": dollars(cost.low),
        "typical": dollars(cost.typical),
        "high": dollars(cost.high),
        "checks": [check_view(c) for c in sorted(option.checks, key=worst_first)],
        "fit": [
            {"need": say(f.need), "verdict": label("verdict", f.verdict), "words": say(f.words)} for f in option.fit
        ],
        "retest": forecast_rows(option, advice.pass_limits),
        "holds": text("page.means.holds", words=option.holds_until.words) if option.holds_until else "",
    }
