"""Energy prices, grid emissions and degree days by state, or as typed from a bill."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from advisor.catalog import number, parameter, rows_by, rows_of
from advisor.errors import InputError, suggest
from advisor.findings import Words, finding, quantity
from advisor.money.amount import TYPED, Amount, require
from advisor.money.conversions import conversion_row, gas_usd_therm, therm_per_mcf
from advisor.money.tables import DivisionDays, DivisionPrices, StatePrices

US_MEAN = "us_mean"
"""Place of a price that stands for the whole country."""


@dataclass(frozen=True, slots=True)
class UnitPrice:
    """A price or factor of one unit of energy.

    Parameters
    ----------
    low, typical, high : float
        Range, in `unit`; equal when typed from a bill.
    unit, year : str
        Suffix of the unit (``usd_kwh``, ``kg_kwh`` ...) and the year or week it holds for.
    status, source : str
        Status word or ``typed``; source ids or ``bill``.
    assumed : bool
        True unless the user gave the price or the state.
    """

    low: float
    typical: float
    high: float
    unit: str
    year: str
    status: str
    source: str
    assumed: bool


@dataclass(frozen=True, slots=True)
class EnergyPrices:
    """Prices and emission factor of electricity, and prices of both fuels; `place` says where they come from
    (a state's letters, or ``us_mean``)."""

    electricity_usd_kwh: UnitPrice
    gas_usd_therm: UnitPrice
    propane_usd_gal: UnitPrice
    grid_kg_co2_kwh: UnitPrice
    place: str


@dataclass(frozen=True, slots=True)
class DegreeDays:
    """Heating degree days to base 65 F in a year, the period, and whether the place was assumed."""

    typical_f_day: float
    place: str
    period: str
    status: str
    source: str
    assumed: bool


def _state_row(state: str) -> StatePrices:
    code = state.strip().upper()
    known = rows_by(StatePrices, "energy_prices_state", "state")
    if code in known:
        return known[code]
    raise InputError(
        f"state '{state[:40]}': not known{suggest(code[:40], known)}; give the two letters of a US state, like OH"
    )


def census_division(state: str) -> str:
    """Return the census division of a US state given by its two letters.

    Raises
    ------
    InputError
        If there is no such state.
    """
    return _state_row(state).census_division


def _typed(value: float, name: str, unit: str) -> UnitPrice:
    given = float(require(f"{name}_{unit}", value, 0.0, 1000.0))
    return UnitPrice(given, given, given, unit, "", TYPED, "bill", False)


def _us(key: str, unit: str, scale: float = 1.0) -> UnitPrice:
    row = parameter("money_energy", key)
    year = row.ref
    return UnitPrice(row.low * scale, row.typical * scale, row.high * scale, unit, year, row.status, row.source, True)


def _of_state(
    published: float, unit: str, year: str, row: StatePrices, scale: float = 1.0, *, spread: bool = True
) -> UnitPrice:
    share = number("money_settings", "state_price_spread_fraction") if spread else 0.0
    value = published * scale
    return UnitPrice(value * (1.0 - share), value, value * (1.0 + share), unit, year, row.status, row.source, False)


def energy_prices(
    state: str | None = None,
    *,
    electricity_usd_kwh: float | None = None,
    gas_usd_therm_typed: float | None = None,
    propane_usd_gal: float | None = None,
    heat_content_btu_ft3: float | None = None,
) -> EnergyPrices:
    """Return energy prices: typed from a bill where given, else the state's average, else the US mean.

    Parameters
    ----------
    state : str or None
        Two letters. None: the US mean, marked as assumed.
    electricity_usd_kwh, gas_usd_therm_typed, propane_usd_gal : float, optional
        Marginal prices from the bill. State averages include fixed charges: the bill is better.
    heat_content_btu_ft3 : float, optional
        To convert gas prices by volume; default the recent US mean.

    Raises
    ------
    InputError
        If the state is unknown or a price is negative or not a number.
    """
    per_therm = 1.0 / therm_per_mcf(heat_content_btu_ft3)
    electricity = _us("us_electricity_usd_kwh", "usd_kwh")
    gas = _us("us_gas_usd_mcf", "usd_therm", per_therm)
    propane = _us("us_propane_usd_gal", "usd_gal")
    mean = conversion_row("co2_electricity_us_grid_mean_2022")
    clean = [row.grid_kg_co2_kwh for row in rows_of(DivisionPrices, "energy_prices_division")]
    grid = UnitPrice(min(clean), mean.value, max(clean), "kg_kwh", mean.year, mean.status, mean.source, True)
    place = US_MEAN
    if state is not None:
        row = _state_row(state)
        place = row.state
        if row.electricity_usd_kwh is not None:
            electricity = _of_state(row.electricity_usd_kwh, "usd_kwh", row.electricity_year, row)
        if row.gas_usd_mcf is not None:
            gas = _of_state(row.gas_usd_mcf, "usd_therm", row.gas_year, row, per_therm)
        if row.propane_usd_gal is not None:
            propane = _of_state(row.propane_usd_gal, "usd_gal", row.propane_week, row)
        if row.grid_kg_co2_kwh_incl_losses_2023 is not None:
            grid = _of_state(row.grid_kg_co2_kwh_incl_losses_2023, "kg_kwh", "2023", row, spread=False)
    if electricity_usd_kwh is not None:
        electricity = _typed(electricity_usd_kwh, "electricity_price", "usd_kwh")
    if gas_usd_therm_typed is not None:
        gas = _typed(gas_usd_therm_typed, "gas_price", "usd_therm")
    if propane_usd_gal is not None:
        propane = _typed(propane_usd_gal, "propane_price", "usd_gal")
    return EnergyPrices(electricity, gas, propane, grid, place)


def degree_days(state: str | None = None, hdd65_typed: float | None = None) -> DegreeDays:
    """Return heating degree days: typed, else of the state's census division, else the US mean (assumed)."""
    if hdd65_typed is not None:
        value = float(require("heating_degree_days_f_day", hdd65_typed, 0.0, 30000.0))
        return DegreeDays(value, TYPED, "", TYPED, TYPED, False)
    if state is not None:
        division = census_division(state)
        row = rows_by(DivisionDays, "degree_days_division", "census_division").get(division)
        if row is not None:
            return DegreeDays(row.hdd65, division, row.period, row.status, row.source, False)
    mean = parameter("money_energy", "us_hdd65")
    return DegreeDays(mean.typical, US_MEAN, "1981-2010", mean.status, mean.source, True)


@dataclass(frozen=True, slots=True)
class Emissions:
    """CO2 of a year in kg, with the factors used, each with its year and source, to be said."""

    kg_co2_year: Amount
    factors: Words


def emissions(
    gas_therm: Amount = 0.0,
    propane_gal: Amount = 0.0,
    electricity_kwh: Amount = 0.0,
    grid: UnitPrice | None = None,
) -> Emissions:
    """Return the CO2 of a year's energy.

    Parameters
    ----------
    gas_therm, propane_gal, electricity_kwh : float or ndarray
        Energy of a year; negative for a credit.
    grid : UnitPrice, optional
        Factor of the state from `energy_prices`; default the US mean.
    """
    gas = conversion_row("co2_natural_gas", "kg/therm")
    propane = conversion_row("co2_propane", "kg/gal")
    grid = energy_prices().grid_kg_co2_kwh if grid is None else grid
    total = (
        np.asarray(gas_therm) * gas.value
        + np.asarray(propane_gal) * propane.value
        + np.asarray(electricity_kwh) * grid.typical
    )
    words = finding(
        "money.co2_factors_assumed" if grid.assumed else "money.co2_factors",
        gas=quantity(gas.value, "kg_therm", 3),
        gas_year=gas.year,
        gas_source=gas.source,
        propane=quantity(propane.value, "kg_gal", 3),
        propane_year=propane.year,
        propane_source=propane.source,
        electricity=quantity(grid.typical, "kg_kwh", 4),
        electricity_year=grid.year,
        electricity_source=grid.source,
    )
    return Emissions(total if total.ndim else float(total), words)


__all__ = [
    "DegreeDays",
    "Emissions",
    "EnergyPrices",
    "UnitPrice",
    "census_division",
    "degree_days",
    "emissions",
    "energy_prices",
    "gas_usd_therm",
]
