"""What outdoor air costs to heat: a passive duct, a hood, a make-up fan, balanced ventilation."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from advisor.catalog import Parameter, number, parameter
from advisor.errors import InputError, suggest
from advisor.findings import Words, finding, quantity
from advisor.money.amount import Amount, require
from advisor.money.conversions import conversion
from advisor.money.tables import measures
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


def air_heat_btu_h(flow_cfm: Amount, rise_f: Amount, factor: float | None = None) -> Amount:
    """Return the heat that warms a flow of outdoor air, Btu/h."""
    flow = np.asarray(require("air_flow_cfm", flow_cfm))
    return _out(flow * require("temperature_rise_f", rise_f) * (sensible_factor() if factor is None else factor))


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


def tempering_kwh(flow_cfm: Amount, rise_f: Amount, hours: Amount) -> Amount:
    """Return kWh of an electric duct heater, 1.08 cfm dT h / 3412."""
    return _out(
        np.asarray(air_heat_btu_h(flow_cfm, rise_f)) * require("hours", hours) / conversion("electricity_heat_content")
    )


def air_change_cfm(floor_area_ft2: Amount, height_ft: Amount, changes_h: Amount) -> Amount:
    """Return the flow that a number of air changes an hour stands for, cfm."""
    volume = np.asarray(require("floor_area_ft2", floor_area_ft2)) * require("ceiling_height_ft", height_ft)
    return _out(volume * require("air_changes_an_hour", changes_h) / _MINUTES_AN_HOUR)


@dataclass(frozen=True, slots=True)
class AirPenalty:
    """What a measure adds to a year's energy: heating fuel and electricity (negative: saved), and what was assumed."""

    heating_therm: Amount
    electricity_kwh: Amount
    words: Words
    assumed: bool


def _hours(rule: str) -> float:
    if rule == "firing":
        return number(_FILE, "burner_hours_year") / DAYS_PER_YEAR
    if rule.startswith("hood"):
        return number(_FILE, "hood_hours_day")
    return number(_FILE, "dryer_hours_day") if rule.startswith("dryer") else _HOURS_A_DAY


def _fan(measure_id: str) -> Parameter | None:
    try:
        return parameter(_FILE, f"fan_w_{measure_id}")
    except KeyError:
        return None


def measure_penalty(
    measure_id: str,
    hdd65: Amount,
    flow_cfm: Amount | None = None,
    *,
    hours_day: Amount | None = None,
    heating_efficiency: Amount | None = None,
    effectiveness: Amount | None = None,
    fan_w: Amount | None = None,
) -> AirPenalty:
    """Return what a remediation measure costs or saves in outdoor air and fan power in a year.

    The rule stands in the catalog beside the measure (``air_rule``): *continuous* openings take air all day, *firing*
    ones while the burner runs, *hood* ones while the hood runs (with an electric heater where the rule says so),
    *saved* ones spare the exhaust they take away, *balanced* ventilators give back a share; *none* costs nothing.
    Tempered make-up air (``MUA_HEAT``) stands in place of the untempered fan's penalty (``MUA_FAN``): never add both.

    Parameters
    ----------
    measure_id : str
        Part of the catalog.
    hdd65 : float or ndarray
        Heating degree days a year.
    flow_cfm : float or ndarray, optional
        Outdoor air while it runs; for the saving rules the exhaust taken away. Only a passive opening has a default.
    hours_day, heating_efficiency, effectiveness, fan_w : optional
        Catalog defaults.

    Raises
    ------
    InputError
        If the part is unknown, or its flow is needed and missing.
    """
    if measure_id not in measures():
        raise InputError(f"measure '{measure_id}'{suggest(measure_id, measures())}: not in the catalog")
    rule = measures()[measure_id].air_rule
    if rule == "none":
        return AirPenalty(0.0, 0.0, finding("money.air_rule.none"), False)
    assumed = flow_cfm is None or (hours_day is None and rule != "continuous")
    if flow_cfm is None:
        if rule != "continuous":
            raise InputError(f"{measure_id}: its air flow in cfm is needed to work out the energy")
        flow_cfm = number(_FILE, "passive_opening_cfm")
    hours = _hours(rule) if hours_day is None else hours_day
    sign = -1.0 if rule.endswith("saved") else 1.0
    usual = number(_FILE, "ventilator_effectiveness")
    kept: Amount = (usual if effectiveness is None else effectiveness) if rule == "balanced" else 0.0
    power: Amount = 0.0
    if fan_w is not None:
        power = fan_w
    elif rule == "balanced":
        power = np.asarray(flow_cfm) * number(_FILE, f"fan_w_cfm_{measure_id}")
    elif (fan := _fan(measure_id)) is not None:
        power = fan.typical
    electricity = np.asarray(fan_kwh_year(power, hours))
    if rule.endswith("electric"):
        heat = air_heat_btu_year(flow_cfm, hdd65, hours_day=hours)
        electricity = electricity + np.asarray(heat) / conversion("electricity_heat_content")
        fuel: Amount = 0.0
    else:
        fuel = sign * np.asarray(
            air_penalty_therm_year(
                flow_cfm, hdd65, heating_efficiency=heating_efficiency, hours_day=hours, effectiveness=kept
            )
        )
    words = finding(
        f"money.air_rule.{rule}",
        flow=quantity(float(np.mean(np.asarray(flow_cfm))), "cfm"),
        time=quantity(float(np.mean(np.asarray(hours))), "h"),
    )
    return AirPenalty(_out(fuel), _out(electricity), words, assumed)
