"""Formulae of money that only tests use: published check cases, and other ways to the numbers of `advisor.money`."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from advisor.catalog import Parameter, number, parameter, table
from advisor.errors import InputError, suggest
from advisor.money.air_energy import air_heat_btu_year, air_penalty_therm_year, fan_kwh_year, sensible_factor
from advisor.money.amount import Amount, _steps, require, triangular_quantile
from advisor.money.bill import Bill
from advisor.money.conversions import conversion, therm_per_mcf
from advisor.money.energy import kwh, therm
from advisor.money.heat_pump import _curve
from advisor.money.lifecycle import LifeCycle, _check_study, savings_ratio
from advisor.units import DAYS_PER_YEAR

_FILE = "money_energy"
_HOURS_A_DAY = 24.0
_MINUTES_AN_HOUR = 60.0
AIR_RULES = ("none", "continuous", "firing", "hood", "hood_electric", "hood_saved", "dryer_saved", "balanced")
_HEAT_BTU = {
    "therm": "therm",
    "kWh": "electricity_heat_content",
    "gal propane": "propane_heat_content",
    "gal oil": "no_2_oil_heat_content",
    "gal kerosene": "kerosene_heat_content",
}


def _out(value: Amount) -> Amount:
    array = np.asarray(value, dtype=float)
    return array if array.ndim else float(array)


# ---- prices and bills


def usd_per_mmbtu(usd: Amount, unit: str, heat_content_btu_ft3: float | None = None) -> Amount:
    """Return a price in usd per million Btu.

    Parameters
    ----------
    usd : float or ndarray
        Price of one `unit`.
    unit : str
        ``therm``, ``Mcf``, ``kWh``, ``gal propane``, ``gal oil`` or ``gal kerosene``.
    heat_content_btu_ft3 : float, optional
        For ``Mcf`` only.
    """
    usd = require(f"price_usd/{unit}", usd)
    if unit == "Mcf":
        btu = therm_per_mcf(heat_content_btu_ft3) * conversion("therm")
    elif unit in _HEAT_BTU:
        btu = conversion(_HEAT_BTU[unit])
    else:
        raise InputError(f"energy unit '{unit}': one of {', '.join([*_HEAT_BTU, 'Mcf'])}")
    return np.multiply(usd, 1e6 / btu) if isinstance(usd, np.ndarray) else usd * 1e6 / btu


def pert_quantile(low: float, typical: float, high: float, uniforms: Amount) -> Amount:
    """Return quantiles of the PERT (scaled beta) distribution; arguments as `triangular_quantile`.

    The weight of the typical value is the catalog's ``pert_weight``.
    """
    from scipy.special import betaincinv

    chance = np.asarray(require("probability", uniforms, 0.0, 1.0), dtype=float)
    width, mode = _steps(low, typical, high)
    chance = np.where(chance < 1e-12, 0.0, chance)  # scipy gives NaN for probabilities near the smallest number
    weight = number("money_settings", "pert_weight")
    value = low + width * np.asarray(betaincinv(1.0 + weight * mode, 1.0 + weight * (1.0 - mode), chance), dtype=float)
    value = np.clip(value, low, high)
    return value if value.ndim else float(value)


def draw_total(
    bill: Bill, uniforms: NDArray[np.float64], shape: Literal["triangular", "pert"] = "triangular"
) -> NDArray[np.float64]:
    """Draw the total of a bill.

    Every line takes the *same* quantile. The lines are not independent tries: one contractor, one town and one
    awkward house make all of them dear or cheap together, and independent draws would cancel each other out and
    promise a narrower total than anyone is ever quoted.

    Parameters
    ----------
    bill : Bill
        The lines and factors.
    uniforms : ndarray, shape (n,)
        Standard uniform numbers in [0, 1]; use the same ones for every option.
    shape : {"triangular", "pert"}
        Distribution between low, typical and high.

    Returns
    -------
    ndarray, shape (n,)
        Dollars, between the low and the high total.
    """
    chances = np.atleast_1d(np.asarray(require("uniform_numbers", uniforms, 0.0, 1.0), dtype=float))
    quantile = {"triangular": triangular_quantile, "pert": pert_quantile}[shape]
    total = np.zeros_like(chances)
    for line in bill.lines:
        drawn = quantile(line.low_usd, line.typical_usd, line.high_usd, chances)
        total = total + np.asarray(drawn) * bill.line_factor(line)
    left = np.maximum(0.0, total - sum(item.amount_usd for item in bill.incentives))
    for item in bill.incentives:
        left = left * (1.0 - item.share)
    return left


# ---- energy


def old_energy_factor_kwh(energy_factor: Amount) -> Amount:
    """Return kWh a year by the test before 2017, from an energy factor (`doe-purchasing-2011`)."""
    factor = require("energy_factor", energy_factor, 0.0, 20.0, above_low=True)
    return _out(kwh(number(_FILE, "old_test_output_btu_day") * DAYS_PER_YEAR / np.asarray(factor)))


def standby_btu(volume_gal: Amount, difference_f: Amount, loss_fraction_h: Amount, hours: Amount) -> Amount:
    """Return standby loss, V x 8.25 x dT x loss an hour x hours; only for heaters without a UEF."""
    return _out(
        np.asarray(require("tank_gal", volume_gal))
        * number(_FILE, "standby_water_btu_gal_f")
        * require("temperature_difference_f", difference_f)
        * require("loss_fraction_an_hour", loss_fraction_h, 0.0, 1.0)
        * require("hours", hours)
    )


def pilot_therm_year(pilot_btu_h: Amount | None = None) -> Amount:
    """Return therms a pilot burns in a year; only for heaters without a UEF."""
    rate = number(_FILE, "pilot_btu_h") if pilot_btu_h is None else pilot_btu_h
    return therm(np.asarray(require("pilot_btu_h", rate)) * _HOURS_A_DAY * DAYS_PER_YEAR)


def parasitic_kwh_year(class_id: str, *, uef_used: bool, bedrooms: int | None = None) -> float:
    """Return electricity for fans and controls that must be added to the energy of a class.

    Zero whenever the energy came from a UEF, which contains it. Otherwise a tankless heater takes its standby power
    and its firing power over the on-fraction of the bedrooms (3 if unknown), other classes the catalog's figure.
    """
    if uef_used:
        return 0.0
    if class_id.startswith("TL"):
        rooms = min(max(3 if bedrooms is None else bedrooms, 1), 5)
        share = number(_FILE, f"tankless_on_fraction_{rooms}")
        power = number(_FILE, "tankless_standby_w") + number(_FILE, "tankless_firing_w") * share
        return power * _HOURS_A_DAY * DAYS_PER_YEAR / 1000.0
    powers = {row["class_id"]: float(row["aux_electric_kwh_yr"]) for row in table("appliance_classes")}
    return powers[class_id]


def capacity_factor(wet_f: Amount, tank_f: Amount | None = None) -> Amount:
    """Return f_cap, the published curve of heating capacity; arguments as `cop_factor`."""
    return _curve("cap", wet_f, number(_FILE, "rating_tank_f") if tank_f is None else tank_f)


# ---- outdoor air


def air_heat_btu_h(flow_cfm: Amount, rise_f: Amount, factor: float | None = None) -> Amount:
    """Return the heat that warms a flow of outdoor air, Btu/h."""
    flow = np.asarray(require("air_flow_cfm", flow_cfm))
    return _out(flow * require("temperature_rise_f", rise_f) * (sensible_factor() if factor is None else factor))


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
    rules = {row["measure_id"]: row["air_rule"] for row in table("remediation_measures")}
    if measure_id not in rules:
        raise InputError(f"measure '{measure_id}'{suggest(measure_id, rules)}: not in the catalog")
    rule = rules[measure_id]
    if rule not in AIR_RULES:
        raise InputError(f"measure '{measure_id}', air_rule '{rule}': one of {', '.join(AIR_RULES)}")
    if rule == "none":
        return AirPenalty(0.0, 0.0, False)
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
    return AirPenalty(_out(fuel), _out(electricity), assumed)


# ---- cost over the life


def net_savings(base: LifeCycle, option: LifeCycle) -> Amount:
    """Return how much less the option costs over the study period than the base, in present dollars."""
    return _out(np.asarray(base.total_usd) - option.total_usd)


def savings_to_investment(base: LifeCycle, option: LifeCycle) -> Amount:
    """Return SIR: present value of the savings in running costs for each dollar of extra investment.

    Investment counts first cost, replacements and residual value, as in the federal rule. NaN where the option needs
    no extra investment: the ratio says nothing there, look at `net_savings`.
    """
    saved = np.asarray(base.energy_usd) + base.upkeep_usd - option.energy_usd - option.upkeep_usd
    extra = (
        np.asarray(option.first_usd)
        + option.replacement_usd
        - option.residual_usd
        - (np.asarray(base.first_usd) + base.replacement_usd - base.residual_usd)
    )
    return savings_ratio(_out(saved), _out(extra))


def adjusted_return(ratio: Amount, rate: Amount, years: float) -> Amount:
    """Return AIRR = (1 + r) SIR^(1/N) - 1, savings reinvested at the discount rate; -1 where nothing is saved."""
    rate = require("discount_rate_fraction_a_year", rate, -1.0, 10.0, above_low=True)
    return _out((1.0 + np.asarray(rate)) * np.maximum(np.asarray(ratio), 0.0) ** (1.0 / _check_study(years)) - 1.0)


def break_even_price(other_present_usd: Amount, base_present_usd: Amount, units_year: Amount, factor: Amount) -> Amount:
    """Return the price of a unit of energy at which an option's life-cycle cost equals that of the base.

    Parameters
    ----------
    other_present_usd : float or ndarray
        Life-cycle cost of the option without that energy.
    base_present_usd : float or ndarray
        Life-cycle cost of the base, all in.
    units_year : float or ndarray
        kWh or therm that the option uses in a year, above 0.
    factor : float or ndarray
        UPV or UPV* of that energy.
    """
    units = require("energy_units_a_year", units_year, above_low=True)
    return _out((np.asarray(base_present_usd) - other_present_usd) / (np.asarray(units) * factor))


def is_tie(low_a: float, high_a: float, low_b: float, high_b: float) -> bool:
    """Return True when two ranges overlap by more than the catalog's share of the narrower one."""
    overlap = min(high_a, high_b) - max(low_a, low_b)
    narrower = min(high_a - low_a, high_b - low_b)
    if narrower <= 0.0:
        return overlap >= 0.0
    return overlap / narrower > number("money_settings", "tie_overlap_fraction")
