"""What outdoor air costs to heat: a passive duct, a hood, a make-up fan, balanced ventilation."""

from __future__ import annotations

import numpy as np

from advisor.catalog import number
from advisor.money.amount import Amount, require
from advisor.money.conversions import conversion
from advisor.units import DAYS_PER_YEAR

_FILE = "money_energy"
_HOURS_A_DAY = 24.0
_MINUTES_AN_HOUR = 60.0


def _out(value: Amount) -> Amount:
    array = np.asarray(value, dtype=float)
    return array if array.ndim else float(array)


def sensible_factor(density_lb_ft3: float | None = None, heat_btu_lb_f: float | None = None) -> float:
    """Return Btu/h for each cfm and F: 1.08 for standard air, scaled with the density of the place.

    Parameters
    ----------
    density_lb_ft3 : float, optional
        Air density; default standard air (0.075).
    heat_btu_lb_f : float, optional
        Specific heat; with it the factor is 60 x density x heat instead of the published 1.08.
    """
    if density_lb_ft3 is not None:
        require("air_density_lb_ft3", density_lb_ft3, 0.0, 0.2, above_low=True)
    if heat_btu_lb_f is not None:
        density = number(_FILE, "air_density_standard_lb_ft3") if density_lb_ft3 is None else density_lb_ft3
        return _MINUTES_AN_HOUR * density * heat_btu_lb_f
    factor = conversion("air_sensible_factor")
    if density_lb_ft3 is None:
        return factor
    return factor * density_lb_ft3 / number(_FILE, "air_density_standard_lb_ft3")


def air_heat_btu_year(
    flow_cfm: Amount,
    hdd65: Amount,
    *,
    hours_day: Amount = _HOURS_A_DAY,
    effectiveness: Amount = 0.0,
    factor: float | None = None,
) -> Amount:
    """Return the heat that warms outdoor air in a year.

    Parameters
    ----------
    flow_cfm : float or ndarray
        Flow while the device runs; for a passive opening the mean flow.
    hdd65 : float or ndarray
        Heating degree days of a year, F day, base 65 F.
    hours_day : float or ndarray
        24 for continuous air, the daily run for a hood or a make-up fan.
    effectiveness : float or ndarray
        Share of the heat a balanced ventilator gives back, 0 to 1.
    factor : float, optional
        From `sensible_factor`.
    """
    flow = np.asarray(require("air_flow_cfm", flow_cfm))
    days = require("heating_degree_days_f_day", hdd65, 0.0, 30000.0)
    hours = require("hours_a_day", hours_day, 0.0, _HOURS_A_DAY)
    kept = require("heat_recovery_effectiveness", effectiveness, 0.0, 1.0)
    heat = flow * days * hours * (1.0 - np.asarray(kept))
    return _out(heat * (sensible_factor() if factor is None else factor))


def air_penalty_therm_year(
    flow_cfm: Amount,
    hdd65: Amount,
    *,
    heating_efficiency: Amount | None = None,
    hours_day: Amount = _HOURS_A_DAY,
    effectiveness: Amount = 0.0,
) -> Amount:
    """Return therms of heating fuel that outdoor air costs in a year: 1.08 cfm h HDD / (efficiency 100,000)."""
    usual = number(_FILE, "heating_efficiency")
    efficiency = require(
        "heating_efficiency", usual if heating_efficiency is None else heating_efficiency, 0.0, 6.0, above_low=True
    )
    heat = air_heat_btu_year(flow_cfm, hdd65, hours_day=hours_day, effectiveness=effectiveness)
    return _out(np.asarray(heat) / efficiency / conversion("therm"))


def fan_kwh_year(power_w: Amount, hours_day: Amount) -> Amount:
    """Return kWh of a fan in a year of 365 days."""
    power = np.asarray(require("fan_power_w", power_w))
    return _out(power * require("hours_a_day", hours_day, 0.0, _HOURS_A_DAY) * DAYS_PER_YEAR / 1000.0)
