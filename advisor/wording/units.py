"""A quantity as text in the reader's units and language. Numbers, money and dates are written by Babel."""

from __future__ import annotations

import datetime
import math
from typing import Literal

from advisor import units
from advisor.findings import Quantity
from advisor.wording.messages import text_of

System = Literal["us", "si"]

L_S_PER_CFM = units.M3_S_PER_CFM * 1000.0
KWH_PER_THERM = units.BTU_PER_THERM * units.J_PER_BTU / units.J_PER_KWH
L_PER_GAL = units.M3_PER_GAL * 1000.0

_SI: dict[str, tuple[float, str]] = {
    "cfm": (L_S_PER_CFM, "l_s"),
    "cfm50": (L_S_PER_CFM, "l_s_50"),
    "ft2": (units.M2_PER_FT2, "m2"),
    "in2": (units.M2_PER_IN2 * 1e4, "cm2"),
    "ft3": (units.M3_PER_FT3, "m3"),
    "ft": (units.M_PER_FT, "m"),
    "in": (units.M_PER_IN * 1000.0, "mm"),
    "in_per_ft": (units.M_PER_IN * 1000.0 / units.M_PER_FT, "mm_per_m"),
    "mph": (units.M_S_PER_MPH, "m_s"),
    "lb": (units.KG_PER_LB, "kg"),
    "gal": (L_PER_GAL, "l"),
    "gal_day": (L_PER_GAL, "l_day"),
    "gpm": (L_PER_GAL / units.S_PER_MIN, "l_s"),
    "therm": (KWH_PER_THERM, "kwh"),
    "btu_h": (units.W_PER_BTU_H / 1000.0, "kw"),
    "kbtu_h": (units.W_PER_BTU_H, "kw"),
    "thousand_btu_h": (units.W_PER_BTU_H, "kw"),
    "btu_h_ft2_f": (units.W_M2K_PER_BTU_H_FT2_F, "w_m2_k"),
    "in_wc": (units.PA_PER_IN_WC, "pa"),
    "in2_per_kbtu_h": (units.M2_PER_IN2 * 1e4 / units.W_PER_BTU_H, "cm2_per_kw"),
    "ft3_per_kbtu_h": (units.M3_PER_FT3 / units.W_PER_BTU_H, "m3_per_kw"),
    "cfm_per_kbtu_h": (L_S_PER_CFM / units.W_PER_BTU_H, "l_s_per_kw"),
    "ft3_h_per_kbtu_h": (units.M3_PER_FT3 / units.W_PER_BTU_H, "m3_h_per_kw"),
    "btu_h_per_in2": (units.W_PER_BTU_H / (units.M2_PER_IN2 * 1e4), "w_per_cm2"),
    "cfm_per_ft2": (L_S_PER_CFM / units.M2_PER_FT2, "l_s_per_m2"),
    "pitch": (100.0 / 12.0, "pct"),
    "ft3_h": (units.M3_PER_FT3, "m3_h"),
    "pct_per_1000_ft": (1.0 / units.M_PER_FT, "pct_per_1000_m"),
    "f_step": (1.0 / 1.8, "k_step"),
    "kg_therm": (1.0 / KWH_PER_THERM, "kg_kwh"),
    "kg_gal": (1.0 / L_PER_GAL, "kg_l"),
}
"""What each US unit becomes in SI. Units that are not here (Pa, s, ppm, dollars ...) are the same for both readers."""

WRITTEN = {
    "CFM50": "cfm50",
    "Btu/h": "btu_h",
    "F": "f",
    "Pa": "pa",
    "A": "a",
    "V": "v",
    "W": "w",
    "kW": "kw",
    "kWh": "kwh",
    "%": "pct",
    "% blocked": "pct_blocked",
    "in/ft": "in_per_ft",
    "in per in": "in_per_in",
    "in wc": "in_wc",
    "deg": "deg",
    "1/h": "ach",
    "ft3/h": "ft3_h",
    "ft3/h per kBtu/h": "ft3_h_per_kbtu_h",
    "Btu/h per in2": "btu_h_per_in2",
    "cfm/(kBtu/h)": "cfm_per_kbtu_h",
    "ft3/(kBtu/h)": "ft3_per_kbtu_h",
    "in2/(kBtu/h)": "in2_per_kbtu_h",
    "%/1000 ft": "pct_per_1000_ft",
    "rule": "number",
    "-": "number",
    "1": "number",
    "share": "ratio",
    "ratio": "ratio",
}
"""Suffix of each unit as tables write it, where the two differ; a share among them is a plain number, no probability."""

_DIGITS = {
    "cfm": 0,
    "cfm50": 0,
    "btu_h": 0,
    "btu_h_per_in2": 0,
    "f": 0,
    "f_step": 0,
    "s": 0,
    "ppm": 0,
    "ppm_air_free": 0,
    "ppm_as_measured": 0,
    "usd_exact": 2,
    "count": 0,
    "year": 0,
}
_USUAL_DIGITS = 1
_PLAIN_DIGITS = 4
"""Most decimals of a number as somebody typed or published it."""
_STEP_USD, _LARGE_USD, _LARGE_STEP_USD = 10, 10_000, 100


def rounded_money(amount_usd: float) -> int:
    """Round to 10 dollars, from 10,000 on to 100."""
    step = _LARGE_STEP_USD if abs(amount_usd) >= _LARGE_USD else _STEP_USD
    return round(amount_usd / step) * step


def converted(value: float, unit: str, system: System) -> tuple[float, str]:
    """Return a number and its unit in a system of units; what both systems share stays."""
    if system == "us":
        return value, unit
    if unit == "f":
        return units.celsius_from_kelvin(units.kelvin_from_fahrenheit(value)), "c"
    factor, name = _SI.get(unit, (1.0, unit))
    return value * factor, name


def written(value: float | None, unit: str, digits: int | None = _PLAIN_DIGITS) -> Quantity:
    """Return a number with its unit as tables write it (``Btu/h``, ``in/ft``); shown with the decimals that it has.

    Raises
    ------
    KeyError
        When it is said, if no message names the unit.
    """
    return Quantity(value, WRITTEN.get(unit, unit), digits)


def _si_digits(value: float, unit: str) -> int:
    """Three figures, no more than whole numbers from 100 on; a converted number is not sharper than that."""
    size = abs(value)
    if unit == "c" or (unit == "mm" and size >= 10):
        return 0
    return 0 if size >= 100 or size == 0 else 1 if size >= 10 else 2


def number_text(value: float, digits: int, language: str) -> str:
    """Return a number with at most so many decimals."""
    from babel.numbers import format_decimal

    shown = round(value, digits) + 0.0  # no "-0"
    return format_decimal(shown, format="#,##0." + "#" * digits if digits else "#,##0", locale=language)


def _share(value: float, language: str, bare: bool) -> str:
    """Return a probability as its uncertainty deserves."""
    key = "under" if value < 0.01 else "over" if value > 0.99 else "share"
    number = number_text(100.0 * value, 0, language)
    return number if bare else text_of(f"units.{key}", language).format(number=number)


def _money(quantity: Quantity, value: float, language: str, bare: bool) -> str:
    from babel.numbers import format_currency

    digits = 0 if quantity.unit == "usd" else quantity.digits if quantity.digits is not None else 2
    amount = float(rounded_money(value)) if quantity.unit == "usd" else value
    if bare:
        return number_text(amount, digits, language)
    decimals = "." + "0" * digits if digits and round(amount, digits) != round(amount) else ""
    return format_currency(
        amount, "USD", format=f"¤#,##0{decimals};-¤#,##0{decimals}", locale=language, currency_digits=False
    )


def quantity_text(quantity: Quantity, system: System, language: str, bare: bool = False) -> str:
    """Return a quantity as text.

    Parameters
    ----------
    quantity : Quantity
        Number with its unit.
    system : {"us", "si"}
        The reader's units. Pressure is in pascals and money in dollars in both.
    language : str
        Folder of ``catalog/texts``.
    bare : bool
        Without its unit (where the message says it once for several).
    """
    if quantity.value is None:
        return text_of("units.not_given", language)
    if math.isinf(quantity.value):
        return text_of("units.none_in_reach", language)
    if quantity.unit == "share":
        return _share(quantity.value, language, bare)
    if quantity.unit in ("usd", "usd_exact"):
        return _money(quantity, quantity.value, language, bare)
    value, unit = converted(quantity.value, quantity.unit, system)
    if unit == quantity.unit:
        digits = _DIGITS.get(unit, _USUAL_DIGITS) if quantity.digits is None else quantity.digits
    else:
        digits = _si_digits(value, unit)
    number = number_text(value, digits, language)
    if unit == "year":
        number = number.replace(",", "")
    return number if bare else text_of(f"units.{unit}", language).format(number=number)


def unit_name(unit: str, language: str) -> str:
    """Return the name of a unit alone, for the head of a column."""
    return text_of(f"units.{unit}", language).format(number="").strip()


def date_text(day: datetime.date, language: str) -> str:
    """Return a date as the language writes it: message ``units.date`` holds the pattern."""
    from babel.dates import format_date

    return format_date(day, format=text_of("units.date", language), locale=language)
