"""What an option costs over one study period: life-cycle cost, cash flow, payback, break-even prices, energy and CO2."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from advisor.ensemble.weighted import Range
from advisor.findings import Words
from advisor.money import lifecycle
from advisor.money.bill import Bill
from advisor.money.energy import RunningCost
from advisor.money.existing import kept_heater
from advisor.money.lifecycle import Asset, LifeCycle, Stream, YearFlow
from advisor.money.tables import class_row
from advisor.ranking.household import Household
from advisor.remedies.base import Job, Remedy
from advisor.remedies.replacement import heater_price


@dataclass(frozen=True, slots=True)
class Energy:
    """A typical year: fuel and electricity, their cost, and CO2 with the factors it rests on."""

    gas_therm: float
    propane_gal: float
    electricity_kwh: float
    energy_usd: float
    upkeep_usd: float
    outdoor_air_usd: float
    co2_kg: float
    co2_factors: Words
    notes: tuple[Words, ...]


@dataclass(frozen=True, slots=True)
class LifetimeCost:
    """Present values over the study period, in dollars of today.

    Parameters
    ----------
    study_years, discount_rate : float
        Same for every option.
    first_usd, replacement_usd, residual_usd, energy_usd, upkeep_usd : float
        Parts; the residual is subtracted.
    total_usd : Range
        Net present cost at low, typical and high installed cost and use.
    remaining_years : float or None
        Years the existing heater still has, where it is kept; None where it goes.
    break_even_electricity_usd_kwh : float or None
        For electric classes: the price at which running it costs as much as the gas heater.
    energy : Energy
        A typical year.
    cash_flow : tuple of YearFlow
        Year by year at typical values.
    """

    study_years: int
    discount_rate: float
    first_usd: float
    replacement_usd: float
    residual_usd: float
    energy_usd: float
    upkeep_usd: float
    total_usd: Range
    remaining_years: float | None
    break_even_electricity_usd_kwh: float | None
    energy: Energy
    cash_flow: tuple[YearFlow, ...]


@dataclass(frozen=True, slots=True)
class Lifetime(LifetimeCost):
    """The same, held against the cheapest safe option that keeps a natural-draft heater.

    Parameters
    ----------
    savings_to_investment : float or None
        Savings for each dollar that is invested beyond that option; None where it is this one, there is none, or nothing
        more is invested.
    payback_years : float or None
        Discounted; None if it never pays back.
    """

    savings_to_investment: float | None
    payback_years: float | None


def assets_of(
    job: Job, remedy: Remedy, bill: Bill, which: str = "typical_usd"
) -> tuple[tuple[Asset, ...], float | None]:
    """Return what is bought, and the years the kept heater still has.

    A kept heater is replaced like for like when it dies, at the like-for-like price: fixing the air for an old heater is
    not the same as for a young one.
    """
    found: list[Asset] = []
    for line in bill.lines:
        cost = getattr(line, which) * bill.line_factor(line)
        found.append(Asset(line.measure_id, cost, line.life_years))
    left = None
    if remedy.keeps_heater:
        again = heater_price(job.case, "GS_ATM", job.overrides).typical_usd
        heater, remaining = kept_heater("GS_ATM", job.case.heater.age_years, replacement_usd=again)
        found.append(heater)
        left = float(np.asarray(remaining.years))
    return tuple(found), left


def energy_of(home: Household, remedy: Remedy) -> tuple[Energy, RunningCost]:
    """Return a typical year's energy of an option."""
    run = home.running(remedy.class_id)
    air = home.air_usd(remedy.id)
    return (
        Energy(
            float(run.gas_therm),
            float(run.propane_gal),
            float(run.electricity_kwh),
            float(run.energy_usd),
            float(run.upkeep_usd),
            air.typical,
            float(run.emissions.kg_co2_year),
            run.emissions.factors,
            run.notes,
        ),
        run,
    )


def lifetime_of(job: Job, remedy: Remedy, bill: Bill, home: Household, incentive_usd: float = 0.0) -> LifetimeCost:
    """Return the life-cycle cost of an option, before it is compared with the base.

    Parameters
    ----------
    job, remedy, bill, home
        The case, what is done, its bill of work, the household's prices and use.
    incentive_usd : float
        Typed by the user; zero unless typed.
    """
    money = job.case.money
    usual_years, usual_rate, growth = lifecycle.defaults()
    years = int(money.study_years or usual_years)
    rate = usual_rate if money.discount_pct is None else money.discount_pct / 100.0
    energy, _ = energy_of(home, remedy)
    yearly = home.yearly_cost(remedy.id, remedy.class_id)
    upkeep = class_row(remedy.class_id)
    totals: dict[str, LifeCycle] = {}
    left: float | None = None
    for which, care, total in (
        ("low_usd", upkeep.upkeep_low_usd_yr, yearly.low),
        ("typical_usd", upkeep.upkeep_typ_usd_yr, yearly.typical),
        ("high_usd", upkeep.upkeep_high_usd_yr, yearly.high),
    ):
        assets, left = assets_of(job, remedy, bill, which)
        streams = (
            Stream("energy_and_outdoor_air", total - care, "energy", growth),
            Stream("upkeep", care, "upkeep"),
        )
        totals[which] = lifecycle.life_cycle_cost(assets, streams, study_years=years, discount_rate=rate)
    middle = totals["typical_usd"]
    assets, left = assets_of(job, remedy, bill)
    care = upkeep.upkeep_typ_usd_yr
    streams = (
        Stream("energy_and_outdoor_air", yearly.typical - care, "energy", growth),
        Stream("upkeep", care, "upkeep"),
    )
    flow = lifecycle.cash_flow(assets, streams, study_years=years, discount_rate=rate)
    low, typical, high = (max(0.0, float(np.asarray(t.total_usd)) - incentive_usd) for t in totals.values())
    return LifetimeCost(
        study_years=years,
        discount_rate=rate,
        first_usd=float(np.asarray(middle.first_usd)) - incentive_usd,
        replacement_usd=float(np.asarray(middle.replacement_usd)),
        residual_usd=float(np.asarray(middle.residual_usd)),
        energy_usd=float(np.asarray(middle.energy_usd)),
        upkeep_usd=float(np.asarray(middle.upkeep_usd)),
        total_usd=Range(low, typical, high),
        remaining_years=left,
        break_even_electricity_usd_kwh=_break_even(home, remedy),
        energy=energy,
        cash_flow=flow,
    )


def _break_even(home: Household, remedy: Remedy) -> float | None:
    row = class_row(remedy.class_id)
    if row.fuel == "gas" or home.propane:
        return None
    gas = class_row("GS_ATM").uef_typ if home.case.heater.uef is None else home.case.heater.uef
    price = home.prices.gas_usd_therm.typical
    return float(np.asarray(lifecycle.break_even_electricity_usd_kwh(row.uef_typ, gas, price)))


def against(
    base: LifetimeCost, other: LifetimeCost, base_yearly: float, other_yearly: float
) -> tuple[float | None, float | None]:
    """Return savings-to-investment and discounted payback of an option against the base.

    Returns
    -------
    ratio, years : float or None
        None where nothing extra is invested, or where it never pays back.
    """
    extra = other.first_usd - base.first_usd
    if extra <= 0.0:
        return None, None
    saved = (base.total_usd.typical - base.first_usd) - (other.total_usd.typical - other.first_usd)
    ratio = float(np.asarray(lifecycle.savings_ratio(saved, extra)))
    if base_yearly <= other_yearly:
        return ratio, None
    years = float(np.asarray(lifecycle.discounted_payback_years(extra, base_yearly - other_yearly, base.discount_rate)))
    return ratio, years if np.isfinite(years) else None
