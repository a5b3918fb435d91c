"""Heat contents and emission factors of the catalog, and the gas price by heat."""

from __future__ import annotations

from functools import cache

from advisor.catalog import rows_of
from advisor.money.amount import Amount, require
from advisor.money.tables import Conversion


@cache
def conversion_row(quantity: str, unit: str | None = None) -> Conversion:
    """Return the catalog row of a conversion, chosen by unit where a quantity has several."""
    for row in rows_of(Conversion, "conversions_emissions"):
        if row.quantity == quantity and unit in (None, row.unit):
            return row
    raise KeyError(quantity)


@cache
def conversion(quantity: str, unit: str | None = None) -> float:
    """Return the value of `conversion_row`."""
    return conversion_row(quantity, unit).value


def gas_heat_content_btu_ft3() -> float:
    """Return the recent US mean heat content of gas; it drifts from 1019 to 1036, so keep it an input."""
    return conversion("natural_gas_heat_content_recent_us_mean")


def therm_per_mcf(heat_content_btu_ft3: float | None = None) -> float:
    """Return therms in a thousand cubic feet of gas."""
    content = gas_heat_content_btu_ft3() if heat_content_btu_ft3 is None else heat_content_btu_ft3
    require("heat_content_of_gas_btu_ft3", content, 300.0, 3500.0)
    return content * 1000.0 / conversion("therm")


def gas_usd_therm(usd_mcf: Amount, heat_content_btu_ft3: float | None = None) -> Amount:
    """Return the gas price in usd/therm from usd per thousand cubic feet."""
    return require("gas_price_usd_mcf", usd_mcf) / therm_per_mcf(heat_content_btu_ft3)
