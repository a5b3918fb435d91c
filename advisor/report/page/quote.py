"""What the contractor's quote prints: options with quantities, prices, clauses, and the numbers to meet on the retest."""

from __future__ import annotations

import datetime
from typing import Any

from advisor.advice import Advice
from advisor.ranking.air_balance import AirBalance
from advisor.ranking.options import Option
from advisor.report.page.reader import air, common, count, matrix_row
from advisor.report.page.record import check_view, worst_first
from advisor.report.page.texts import tags, texts
from advisor.report.text.matrix import ranked, sentence
from advisor.report.view.figures import dollars
from advisor.report.view.firm import Firm
from advisor.report.view.present import found_words
from advisor.report.view.retest_rows import forecast_rows
from advisor.report.view.units_text import Units


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
    units: Units,
    before: AirBalance | None,
    after: AirBalance | None,
    firm: Firm | None,
    today: datetime.date | None,
) -> dict[str, Any]:
    """Return what the contractor's quote prints."""
    options = quoted(advice)
    true = tags(advice, options)
    valid_days = (firm.quote_valid_days if firm else None) or count("quote_valid_days")
    return {
        **common(advice, units),
        "sentence": units.text(found_words(advice)),
        "firm": firm,
        "date": "" if today is None else today.isoformat(),
        "valid_until": "" if today is None else (today + datetime.timedelta(days=valid_days)).isoformat(),
        "valid_days": valid_days,
        "quotes": [quote(o, advice, units) for o in options],
        "includes": texts("contractor", "includes", true),
        "allowances": texts("contractor", "allowance", true),
        "exclusions": [*texts("contractor", "exclusion", true), *(firm.exclusions if firm else [])],
        "permits": texts("contractor", "permit", true),
        "terms": texts("contractor", "terms", true),
        "air": air(before, after, options[0] if options and options[0].rank == 1 else None, units),
        "incentive_source": advice.case.money.incentive_source,
    }


def _quantity(quantity: float, unit: str, units: Units) -> str:
    number, name = units.number(quantity, unit)
    return f"{number:.3g} {name}" if abs(number) < 1000 else f"{number:,.0f} {name}"


def quote(option: Option, advice: Advice, units: Units) -> dict[str, Any]:
    """Return one option as a quote."""
    money = advice.case.money
    factors = [
        words
        for words, on in (
            (f"local price level x {money.region_factor:g}", money.region_factor != 1.0),
            (f"margin {money.margin_pct:g} %", money.margin_pct > 0.0),
            (f"tax {money.tax_pct:g} %", money.tax_pct > 0.0),
            (f"incentive -{dollars(option.incentive_usd)}", option.incentive_usd > 0.0),
        )
        if on
    ]
    hood = option.appliance == "natural draft"
    return {
        **matrix_row(option, units),
        "grade_reason": [units.text(r) for r in option.reasons],
        "parts": [units.text(sentence(p)) for p in option.parts],
        "notes": [units.text(sentence(n)) for n in option.notes],
        "lines": [
            {
                "words": units.text(line.words),
                "assumed": line.assumed,
                "quantity": _quantity(line.quantity, line.unit, units),
                "low": dollars(line.low_usd),
                "typical": dollars(line.typical_usd),
                "high": dollars(line.high_usd),
            }
            for line in option.bill
        ],
        "total": {
            "low": dollars(option.installed_cost_usd.low),
            "typical": dollars(option.installed_cost_usd.typical),
            "high": dollars(option.installed_cost_usd.high),
        },
        "factors": factors,
        "checks": [check_view(c, units) for c in sorted(option.checks, key=worst_first)],
        "fit": [{"need": units.text(f.need), "verdict": f.verdict, "words": units.text(f.words)} for f in option.fit],
        "retest": forecast_rows(option, advice.pass_limits),
        "hood": hood,
        "holds": units.text(sentence(option.holds_until.words)) + "." if option.holds_until else "",
    }
