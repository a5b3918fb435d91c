"""Life-cycle cost in constant dollars: discounting, replacements, residual values, savings figures, cash flow.

Method of NIST Handbook 135 and 10 CFR 436 Subpart A (`nist-hb135`): one study period for all options, a real discount
rate, first cost at time zero, yearly amounts at the end of each year, straight-line residual value at the end.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from advisor.catalog import number
from advisor.errors import InputError
from advisor.money.amount import Amount, require

_HAIR_YEARS = 1e-9  # a replacement due at the very end of the study is not bought


def _plain(value: Amount) -> Amount:
    array = np.asarray(value, dtype=float)
    return array if array.ndim else float(array)


def single_present_value(rate: Amount, years: Amount) -> Amount:
    """Return SPV = (1 + d)^-n, the present value of one dollar after n years.

    Parameters
    ----------
    rate : float or ndarray
        Real discount rate d, fraction a year, above -1.
    years : float or ndarray
        n, not negative, need not be whole.
    """
    rate = require("discount_rate_fraction_a_year", rate, -1.0, 10.0, above_low=True)
    years = require("years", years)
    return _plain((1.0 + np.asarray(rate)) ** -np.asarray(years))


def uniform_present_value(rate: Amount, years: Amount, growth: Amount = 0.0) -> Amount:
    """Return UPV*, the present value of n yearly payments of one dollar in today's prices that grow by e a year.

    UPV* = (1 + e)/(d - e) (1 - ((1 + e)/(1 + d))^n), and n where d equals e. With e = 0 it is UPV.
    """
    rate = require("discount_rate_fraction_a_year", rate, -1.0, 10.0, above_low=True)
    growth = require("price_growth_fraction_a_year", growth, -1.0, 10.0, above_low=True)
    years = require("years", years)
    d, e, n = np.broadcast_arrays(np.asarray(rate), np.asarray(growth), np.asarray(years))
    # expm1 and log keep full precision where d nearly equals e
    log_ratio = np.log1p(e) - np.log1p(d)
    level = np.abs(d - e) < 1e-12
    gap = np.where(level, 1.0, d - e)
    return _plain(np.where(level, n, (1.0 + e) / gap * -np.expm1(n * log_ratio)))


@dataclass(frozen=True, slots=True)
class Asset:
    """Something that is bought, wears out and is bought again.

    Parameters
    ----------
    name : str
        Id of what it is: a part, a class, ``existing_heater``.
    cost_usd : float or ndarray
        Paid at time zero; 0 for a heater that is kept.
    life_years : float, ndarray or None
        Life when new. None: used up at once (permit, labour) - never replaced, no residual value.
    replacement_usd : float, ndarray or None
        Price of a replacement; None means `cost_usd`.
    remaining_years : float, ndarray or None
        Years until the first replacement; None means a new thing, thus `life_years`.
    """

    name: str
    cost_usd: Amount
    life_years: Amount | None = None
    replacement_usd: Amount | None = None
    remaining_years: Amount | None = None


@dataclass(frozen=True, slots=True)
class Stream:
    """A yearly amount in today's prices.

    Parameters
    ----------
    name : str
        Id of what it is; ``kind`` sorts it into energy or upkeep.
    usd_year : float or ndarray
        Dollars in a year at today's prices; negative for a credit.
    kind : str
        ``energy`` or ``upkeep``.
    growth : float or ndarray
        Real price growth, fraction a year.
    factor : float or None
        Published UPV* factor to use instead of the formula; then there is no cash flow by year.
    """

    name: str
    usd_year: Amount
    kind: str = "energy"
    growth: Amount = 0.0
    factor: float | None = None


@dataclass(frozen=True, slots=True)
class Payment:
    """One payment (or receipt, negative) at a known year: `name`, `usd`, `year`, `kind` replacement or residual."""

    name: str
    usd: Amount
    year: float
    kind: str = "replacement"


@dataclass(frozen=True, slots=True)
class LifeCycle:
    """Present values in dollars; `residual_usd` is what is left at the end and is subtracted in `total_usd`."""

    first_usd: Amount
    replacement_usd: Amount
    residual_usd: Amount
    energy_usd: Amount
    upkeep_usd: Amount
    study_years: float

    @property
    def total_usd(self) -> Amount:
        """LCC = first + replacements - residual + energy + upkeep."""
        return _plain(
            np.asarray(self.first_usd) + self.replacement_usd - self.residual_usd + self.energy_usd + self.upkeep_usd
        )


def defaults() -> tuple[float, float, float]:
    """Return study period (years), real discount rate and energy price growth (fractions a year) of the catalog."""
    return (
        number("money_settings", "study_period_years"),
        number("money_settings", "real_discount_rate"),
        number("money_settings", "energy_price_growth"),
    )


def _check_study(study_years: float) -> float:
    years = float(require("study_period_years", study_years, 0.0, 100.0, above_low=True))
    if years != math.floor(years):
        raise InputError(f"study period: {years:g} is not allowed; give whole years")
    return years


def _events(asset: Asset, study_years: float) -> tuple[list[tuple[Amount, Amount]], Amount]:
    """Return the replacements as (year, dollars) and the residual dollars at the end of the study, undiscounted."""
    require(f"{asset.name}.cost_usd", asset.cost_usd)
    if asset.life_years is None:
        return [], 0.0
    life = np.asarray(require(f"{asset.name}.life_years", asset.life_years, 0.25, 500.0))
    again = asset.cost_usd if asset.replacement_usd is None else asset.replacement_usd
    again = np.asarray(require(f"{asset.name}.replacement_usd", again))
    if asset.remaining_years is None:
        due, worth = life, np.asarray(asset.cost_usd)
    else:
        due = np.asarray(require(f"{asset.name}.remaining_years", asset.remaining_years))
        worth = again  # what is kept is worth its own replacement, in proportion to the life it has left
    due, worth = np.broadcast_arrays(due, worth)
    events: list[tuple[Amount, Amount]] = []
    while np.any(due < study_years - _HAIR_YEARS):
        falls = due < study_years - _HAIR_YEARS
        events.append((np.where(falls, due, 0.0), np.where(falls, again, 0.0)))
        due, worth = np.where(falls, due + life, due), np.where(falls, again, worth)
    # straight line; a kept thing can never be worth more than a new one
    return events, np.minimum((due - study_years) / life, 1.0) * worth


def life_cycle_cost(
    assets: tuple[Asset, ...],
    streams: tuple[Stream, ...] = (),
    payments: tuple[Payment, ...] = (),
    *,
    study_years: float | None = None,
    discount_rate: Amount | None = None,
) -> LifeCycle:
    """Return the life-cycle cost of an option.

    Parameters
    ----------
    assets, streams, payments : tuples
        What is bought, what is paid every year, and single payments at known years.
    study_years : float, optional
        Whole years, the same for every option; catalog default 15.
    discount_rate : float or ndarray, optional
        Real rate, fraction a year; catalog default 0.03.

    Returns
    -------
    LifeCycle
        Present values; arrays where an input was an array.

    Raises
    ------
    InputError
        If a number is out of range.
    """
    usual_years, usual_rate, _ = defaults()
    years = _check_study(usual_years if study_years is None else study_years)
    rate: Amount = usual_rate if discount_rate is None else discount_rate
    end = single_present_value(rate, years)
    first: Amount = 0.0
    again: Amount = 0.0
    residual: Amount = 0.0
    for asset in assets:
        first = first + np.asarray(asset.cost_usd)
        events, left = _events(asset, years)
        for year, usd in events:
            again = again + np.asarray(usd) * single_present_value(rate, year)
        residual = residual + np.asarray(left) * end
    for payment in payments:
        value = np.asarray(payment.usd) * single_present_value(rate, payment.year)
        if payment.kind == "residual":
            residual = residual - value
        else:
            again = again + value
    sums: dict[str, Amount] = {"energy": 0.0, "upkeep": 0.0}
    for stream in streams:
        factor = stream.factor if stream.factor is not None else uniform_present_value(rate, years, stream.growth)
        sums[stream.kind] = sums[stream.kind] + np.asarray(stream.usd_year) * factor
    return LifeCycle(
        _plain(first), _plain(again), _plain(residual), _plain(sums["energy"]), _plain(sums["upkeep"]), years
    )


@dataclass(frozen=True, slots=True)
class YearFlow:
    """Dollars of one year: what is paid (constant dollars), its present value, and the running total of those."""

    year: int
    first_usd: float
    replacement_usd: float
    energy_usd: float
    upkeep_usd: float
    residual_usd: float
    paid_usd: float
    present_value_usd: float
    cumulative_usd: float


def cash_flow(
    assets: tuple[Asset, ...],
    streams: tuple[Stream, ...] = (),
    *,
    study_years: float | None = None,
    discount_rate: float | None = None,
) -> tuple[YearFlow, ...]:
    """Return the cash flow year by year, year 0 being the purchase; plain numbers only.

    A replacement due after 14.5 years stands in year 15 and is discounted over 14.5 years, so that the last
    `cumulative_usd` equals the total of `life_cycle_cost`.
    """
    usual_years, usual_rate, _ = defaults()
    years = int(_check_study(usual_years if study_years is None else study_years))
    rate = usual_rate if discount_rate is None else discount_rate
    if any(stream.factor is not None for stream in streams):
        raise InputError("cash flow: a stream with a published factor has no amounts by year")
    replaced = [0.0] * (years + 1)
    replaced_now = [0.0] * (years + 1)
    residual = 0.0
    for asset in assets:
        events, left = _events(asset, float(years))
        residual += float(left)
        for due, usd in events:
            row = max(1, math.ceil(float(due) - _HAIR_YEARS))
            replaced[row] += float(usd)
            replaced_now[row] += float(usd) * float(single_present_value(rate, due))
    rows: list[YearFlow] = []
    running = 0.0
    for year in range(years + 1):
        first = sum(float(asset.cost_usd) for asset in assets) if year == 0 else 0.0
        by_kind = {"energy": 0.0, "upkeep": 0.0}
        for stream in streams if year else ():
            by_kind[stream.kind] += float(stream.usd_year) * (1.0 + float(stream.growth)) ** year
        left_now = residual if year == years else 0.0
        level = by_kind["energy"] + by_kind["upkeep"] - left_now
        present = first + replaced_now[year] + level * float(single_present_value(rate, year))
        running += present
        rows.append(
            YearFlow(
                year,
                first,
                replaced[year],
                by_kind["energy"],
                by_kind["upkeep"],
                left_now,
                first + replaced[year] + level,
                present,
                running,
            )
        )
    return tuple(rows)


def savings_ratio(saved_usd: Amount, extra_usd: Amount) -> Amount:
    """Return saved present dollars over extra present dollars; NaN where there is no extra investment."""
    extra = np.asarray(extra_usd, dtype=float)
    return _plain(np.where(extra > 0.0, np.asarray(saved_usd) / np.where(extra > 0.0, extra, 1.0), np.nan))


def discounted_payback_years(extra_usd: Amount, saved_usd_year: Amount, rate: Amount, growth: Amount = 0.0) -> Amount:
    """Return the years after which discounted yearly savings repay the extra first cost.

    Closed form: with q = (1 + e)/(1 + d), n = ln(1 - I (1 - q)/(S q)) / ln q, and I/S where q = 1. Zero where there
    is nothing to repay, infinite where the savings never suffice.
    """
    rate = require("discount_rate_fraction_a_year", rate, -1.0, 10.0, above_low=True)
    growth = require("price_growth_fraction_a_year", growth, -1.0, 10.0, above_low=True)
    extra, saved, d, e = np.broadcast_arrays(
        np.asarray(extra_usd, float), np.asarray(saved_usd_year, float), np.asarray(rate), np.asarray(growth)
    )
    pays = saved > 1e-6  # less than a dollar in a million years is nothing, and keeps the ratio finite
    simple = extra / np.where(pays, saved, 1.0)
    level = np.abs(d - e) < 1e-12
    left = -simple * (d - e) / (1.0 + e)  # = -I (1 - q)/(S q); log1p keeps it exact where q is nearly 1
    ever = pays & (level | (left > -1.0))
    log_q = np.where(level, 1.0, np.log1p(e) - np.log1p(d))
    years = np.where(ever, np.where(level, simple, np.log1p(np.where(left > -1.0, left, 0.0)) / log_q), np.inf)
    return _plain(np.where(extra <= 0.0, 0.0, years))


def break_even_electricity_usd_kwh(uef_electric: Amount, uef_gas: Amount, gas_usd_therm: Amount) -> Amount:
    """Return the electricity price at which both heaters cost the same to run for the same hot water.

    $/kWh = (Btu per kWh / Btu per therm) (UEF electric / UEF gas) $/therm (`own-calc`). Below it electricity wins.
    """
    from advisor.money.conversions import conversion

    uef_electric = require("electric_efficiency", uef_electric, 0.0, 20.0, above_low=True)
    uef_gas = require("gas_efficiency", uef_gas, 0.0, 5.0, above_low=True)
    gas_usd_therm = require("gas_price_usd_therm", gas_usd_therm)
    ratio = conversion("electricity_heat_content") / conversion("therm")
    return _plain(ratio * np.asarray(uef_electric) / uef_gas * gas_usd_therm)
