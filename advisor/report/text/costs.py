"""What `advisor costs` prints: installed cost, life-cycle cost, energy and cash flow of the top options."""

from __future__ import annotations

import textwrap

from advisor.advice import Advice
from advisor.findings import Words, finding, quantity, usd
from advisor.ranking.options import Option
from advisor.report.text.lines import listed_lines
from advisor.report.view.choices import ranked
from advisor.report.view.figures import dollars, dollars_range, rounded_money, whole
from advisor.report.view.labels import bill_words
from advisor.report.view.present import money_caution
from advisor.wording.speak import in_column, say, say_all, text
from advisor.wording.units import written

FUELS = (("gas_therm", "therm"), ("propane_gal", "gal"), ("electricity_kwh", "kwh"))
"""Fields of a year's energy, and their units."""


def costs_text(advice: Advice, top: int = 5, width: int = 100) -> str:
    """Return the costs of the top options.

    Parameters
    ----------
    advice : Advice
        Worked-out advice.
    top : int
        How many options.
    width : int
        Columns.
    """
    options = ranked(advice)[:top]
    if not options:
        return text("text.costs.none") + "\n"
    title = max(20, width - 76)
    lines = [advice.case.title, "", _cost_table(options, title), ""]
    lines += [text("text.costs.typical_year"), _energy_table(options, title), ""]
    lines += [text("text.costs.cash_flow"), _flow_table(options), ""]
    for option in options:
        lines += [*_bill_lines(advice, option), ""]
    lines += listed_lines(_notes(advice, options), width)
    return "\n".join(lines) + "\n"


def _cost_table(options: list[Option], title: int) -> str:
    from tabulate import tabulate

    years = quantity(options[0].lifetime.study_years, "years")
    names = ("option", "installed", "present_value", "saved", "payback", "co2")
    heads = ["", *(_on_two_lines(text(f"text.costs.head.{n}", years=years), 14) for n in names)]
    rows = [
        (
            o.rank,
            textwrap.fill(say(o.title), title),
            dollars_range(o.installed_cost_usd),
            dollars_range(o.lifetime.total_usd),
            _ratio(o),
            _payback(o),
            whole(o.lifetime.energy.co2_kg),
        )
        for o in options
    ]
    return tabulate(rows, heads, tablefmt="simple", disable_numparse=True)


def _on_two_lines(head: str, width: int) -> str:
    """Break a head that is wider than its column."""
    return "\n".join(textwrap.wrap(head, width))


def _bill_lines(advice: Advice, option: Option) -> list[str]:
    lines = [text("text.costs.bill", title=option.title)]
    lines += [
        "  "
        + text(
            "text.costs.line",
            words=bill_words(line.words, line.assumed),
            quantity=written(line.quantity, line.unit),
            prices=finding(
                "view.three_prices", low=usd(line.low_usd), typical=usd(line.typical_usd), high=usd(line.high_usd)
            ),
        )
        for line in option.bill
    ]
    if option.incentive_usd:
        source = advice.case.money.incentive_source or finding("text.costs.no_source")
        lines.append("  " + text("text.costs.incentive", amount=usd(-option.incentive_usd), source=source))
    return lines


def _notes(advice: Advice, options: list[Option]) -> list[Words]:
    life = options[0].lifetime
    left = next((o.lifetime.remaining_years for o in advice.options if o.lifetime.remaining_years is not None), None)
    money = money_caution(advice)
    notes: list[Words] = [] if left is None else [finding("text.costs.left", years=quantity(left, "years", 0))]
    notes += [money] if money else []
    years, rate = quantity(life.study_years, "years"), quantity(100.0 * life.discount_rate, "pct", 2)
    notes += [
        finding("text.costs.period", years=years, rate=rate),
        finding("text.costs.against"),
        finding("text.costs.co2", factors=life.energy.co2_factors),
        finding("text.costs.incentives"),
    ]
    return [*notes, *sorted({said for o in options for said in say_all(o.lifetime.energy.notes)})]


def _ratio(option: Option) -> str:
    ratio = option.lifetime.savings_to_investment
    return "" if ratio is None else say(quantity(ratio, "number", 2))


def _payback(option: Option) -> str:
    years = option.lifetime.payback_years
    if option.lifetime.savings_to_investment is None:
        return ""
    return text("view.never") if years is None else text("text.costs.years", years=quantity(years, "count"))


def _amount(value: float, unit: str) -> str:
    """A year's energy in the reader's unit, which its head names; empty where there is none."""
    if not value:
        return ""
    return whole(in_column(quantity(value, unit))[0])


def _energy_table(options: list[Option], title: int) -> str:
    from tabulate import tabulate

    rows = [
        (
            textwrap.fill(say(o.title), title),
            *(_amount(getattr(o.lifetime.energy, key), unit) for key, unit in FUELS),
            dollars(o.lifetime.energy.energy_usd),
            dollars(o.lifetime.energy.outdoor_air_usd) if o.lifetime.energy.outdoor_air_usd else "",
            dollars(o.lifetime.energy.upkeep_usd),
            _break_even(o),
        )
        for o in options
    ]
    fuels = [
        _on_two_lines(text(f"text.costs.fuel.{key}", unit=in_column(quantity(1.0, unit))[1]), 8) for key, unit in FUELS
    ]
    names = ("energy", "outdoor_air", "upkeep", "beats_gas")
    heads = [text("text.costs.head.option"), *fuels, *(text(f"text.costs.head.{name}") for name in names)]
    return tabulate(rows, heads, tablefmt="simple", disable_numparse=True)


def _break_even(option: Option) -> str:
    price = option.lifetime.break_even_electricity_usd_kwh
    return "" if price is None else text("text.costs.below", price=quantity(price, "usd_kwh", 3))


def _flow_table(options: list[Option]) -> str:
    from tabulate import tabulate

    years = [y.year for y in options[0].lifetime.cash_flow]
    rows = [
        (year, *(whole(rounded_money(o.lifetime.cash_flow[i].paid_usd)) for o in options))
        for i, year in enumerate(years)
    ]
    heads = [text("text.costs.head.year"), *(text("text.costs.head.rank", rank=str(o.rank)) for o in options)]
    return tabulate(rows, heads, tablefmt="simple", stralign="right")
