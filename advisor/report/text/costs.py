"""What `advisor costs` prints: installed cost, life-cycle cost, energy and cash flow of the top options."""

from __future__ import annotations

import textwrap

from advisor.advice import Advice
from advisor.ranking.options import Option
from advisor.report.text.matrix import ranked
from advisor.report.view.figures import dollars, dollars_range, rounded_money
from advisor.report.view.present import money_caution
from advisor.wording.speak import say


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
    from tabulate import tabulate

    options = ranked(advice)[:top]
    if not options:
        return "No option is safe enough to be costed by itself.\n"
    life = options[0].lifetime
    title = max(20, width - 76)
    heads = [
        "",
        "option",
        "installed",
        f"{life.study_years} years,\npresent value",
        "saved per\ninvested $",
        "payback",
        "CO2 kg/yr",
    ]
    rows = [
        (
            o.rank,
            textwrap.fill(o.title, title),
            dollars_range(o.installed_cost_usd),
            dollars_range(o.lifetime.total_usd),
            _ratio(o),
            _payback(o),
            f"{o.lifetime.energy.co2_kg:,.0f}",
        )
        for o in options
    ]
    lines = [advice.case.title, "", tabulate(rows, heads, tablefmt="simple", disable_numparse=True), ""]
    lines += ["A typical year", _energy_table(options, title), ""]
    lines += ["Cash flow, typical values, constant dollars", _flow_table(options), ""]
    for option in options:
        lines += [f"Bill of work: {option.title}"]
        lines += [
            f"  {say(line.words)}{' (assumed)' if line.assumed else ''}: {line.quantity:g} {line.unit}, "
            f"{dollars(line.low_usd)} / {dollars(line.typical_usd)} / {dollars(line.high_usd)}"
            for line in option.bill
        ]
        if option.incentive_usd:
            lines.append(f"  incentive typed in the case: -{dollars(option.incentive_usd)}; {_incentive(advice)}")
        lines.append("")
    money = money_caution(advice)
    notes = [
        *([money] if money else []),
        f"All options share one study period of {life.study_years} years at a real rate of {100 * life.discount_rate:g} %. A "
        "heater that is kept is replaced like for like when it dies; what outlives the period keeps a straight-line value.",
        "Savings and payback are against the cheapest safe option that keeps a natural-draft heater.",
        f"CO2: {say(options[0].lifetime.energy.co2_factors)}.",
        "Incentives vary by place, income and date and can end without notice; none is counted unless typed in the case.",
    ]
    left = next((o.lifetime.remaining_years for o in advice.options if o.lifetime.remaining_years is not None), None)
    if left is not None:
        notes.insert(0, f"The existing heater is taken to last about {left:.0f} more years.")
    notes += sorted({say(note) for o in options for note in o.lifetime.energy.notes})
    lines += [textwrap.fill(n, width, initial_indent="- ", subsequent_indent="  ") for n in notes]
    return "\n".join(lines) + "\n"


def _incentive(advice: Advice) -> str:
    return advice.case.money.incentive_source or "source not given"


def _ratio(option: Option) -> str:
    ratio = option.lifetime.savings_to_investment
    return "" if ratio is None else f"{ratio:.2f}"


def _payback(option: Option) -> str:
    years = option.lifetime.payback_years
    return "" if option.lifetime.savings_to_investment is None else "never" if years is None else f"{years:.0f} yr"


def _energy_table(options: list[Option], title: int) -> str:
    from tabulate import tabulate

    rows = [
        (
            textwrap.fill(o.title, title),
            f"{o.lifetime.energy.gas_therm:.0f}" if o.lifetime.energy.gas_therm else "",
            f"{o.lifetime.energy.propane_gal:.0f}" if o.lifetime.energy.propane_gal else "",
            f"{o.lifetime.energy.electricity_kwh:.0f}" if o.lifetime.energy.electricity_kwh else "",
            dollars(o.lifetime.energy.energy_usd),
            dollars(o.lifetime.energy.outdoor_air_usd) if o.lifetime.energy.outdoor_air_usd else "",
            dollars(o.lifetime.energy.upkeep_usd),
            ""
            if o.lifetime.break_even_electricity_usd_kwh is None
            else f"below {o.lifetime.break_even_electricity_usd_kwh:.3f} $/kWh",
        )
        for o in options
    ]
    heads = ["option", "therm", "gal", "kWh", "energy", "outdoor air", "upkeep", "beats gas"]
    return tabulate(rows, heads, tablefmt="simple", disable_numparse=True)


def _flow_table(options: list[Option]) -> str:
    from tabulate import tabulate

    years = [y.year for y in options[0].lifetime.cash_flow]
    rows = [
        (year, *(f"{rounded_money(o.lifetime.cash_flow[i].paid_usd):,}" for o in options))
        for i, year in enumerate(years)
    ]
    return tabulate(rows, ["year", *(f"rank {o.rank}" for o in options)], tablefmt="simple", stralign="right")
