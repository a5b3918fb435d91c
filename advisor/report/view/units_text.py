"""Numbers and sentences in the reader's units: US as they are, or SI. The only place of the reports that converts."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, fields, is_dataclass, replace
from typing import Any, Literal, TypeVar, cast

from advisor import units
from advisor.findings import Finding, Listed, Quantity
from advisor.wording.speak import say, speaking

System = Literal["us", "si"]
Record = TypeVar("Record")
KEPT = ("case", "id", "clause", "source", "name", "label", "run", "about", "members")
"""Fields of records that stay as they are: what a user typed, ids and clauses."""

L_S_PER_CFM = units.M3_S_PER_CFM * 1000.0
KWH_PER_THERM = units.BTU_PER_THERM * units.J_PER_BTU / units.J_PER_KWH
L_PER_GAL = units.M3_PER_GAL * 1000.0

_FACTORS: dict[str, tuple[float, str]] = {
    "cfm": (L_S_PER_CFM, "L/s"),
    "CFM50": (L_S_PER_CFM, "L/s at 50 Pa"),
    "ft2": (units.M2_PER_FT2, "m2"),
    "in2": (units.M2_PER_IN2 * 1e4, "cm2"),
    "ft3": (units.M3_PER_FT3, "m3"),
    "ft": (units.M_PER_FT, "m"),
    "in": (units.M_PER_IN * 1000.0, "mm"),
    "in/ft": (units.M_PER_IN * 1000.0 / units.M_PER_FT, "mm/m"),
    "mph": (units.M_S_PER_MPH, "m/s"),
    "lb": (units.KG_PER_LB, "kg"),
    "gal": (L_PER_GAL, "L"),
    "gpm": (L_PER_GAL / units.S_PER_MIN, "L/s"),
    "therm": (KWH_PER_THERM, "kWh"),
    "Btu/h": (units.W_PER_BTU_H, "W"),
    "kBtu/h": (units.W_PER_BTU_H, "kW"),
    "Btu/(h ft2 F)": (units.W_M2K_PER_BTU_H_FT2_F, "W/(m2 K)"),
    "in wc": (units.PA_PER_IN_WC, "Pa"),
    "in2/(kBtu/h)": (units.M2_PER_IN2 * 1e4 / units.W_PER_BTU_H, "cm2/kW"),
    "ft3/(kBtu/h)": (units.M3_PER_FT3 / units.W_PER_BTU_H, "m3/kW"),
    "cfm/(kBtu/h)": (L_S_PER_CFM / units.W_PER_BTU_H, "(L/s)/kW"),
    "in2 per kBtu/h": (units.M2_PER_IN2 * 1e4 / units.W_PER_BTU_H, "cm2 per kW"),
    "ft3 per kBtu/h": (units.M3_PER_FT3 / units.W_PER_BTU_H, "m3 per kW"),
    "cfm per kBtu/h": (L_S_PER_CFM / units.W_PER_BTU_H, "L/s per kW"),
    "ft3/h": (units.M3_PER_FT3, "m3/h"),
    "kg/therm": (1.0 / KWH_PER_THERM, "kg/kWh"),
    "kg/gal": (1.0 / L_PER_GAL, "kg/L"),
}
_SPELLED = {
    "inches": "in", "inch": "in", "in.": "in", "feet": "ft", "foot": "ft", "ft.": "ft", "sq ft": "ft2", "sq in": "in2",
    "cu ft": "ft3", "ft²": "ft2", "in²": "in2", "ft³": "ft3", "therms": "therm", "gallons": "gal", "lbs": "lb",
    "btu/h": "Btu/h", "gal/min": "gpm",
}  # fmt: skip
_NUMBER = r"(?:\d{1,3}(?:,\d{3})+|\d+)(?:\.\d+)?(?:/\d+)?"
_UNIT = "|".join(re.escape(u) for u in sorted([*_FACTORS, *_SPELLED, "F"], key=len, reverse=True))
_PATTERN = re.compile(
    rf"(?<![\w.$/-])(-?{_NUMBER})((?: ?(?:to|x|by|or|and|-|–|/) ?)-?{_NUMBER})?(?:[ -]?)({_UNIT})(?![\w/])",
)
_PREPOSITION = re.compile(
    r"\s+(?:\d|the\b|an?\b|all\b|each\b|every\b|which\b|it\b|this\b|that\b|most\b|some\b|any\b|every)", re.IGNORECASE
)
_QUOTED = re.compile(r"('[^'\n]{1,200}'(?!\w))")


def _value(text: str) -> float:
    number = text.replace(",", "")
    if "/" in number:
        above, below = number.split("/")
        return float(above) / float(below)
    return float(number)


def _shown(value: float, digits: int | None = None) -> str:
    """Return a converted number with the digits it deserves: three figures, no more than whole numbers from 100 on."""
    size = abs(value)
    if digits is None:
        digits = 0 if size >= 100 or size == 0 else 1 if size >= 10 else 2
    text = f"{value:,.{digits}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


@dataclass(frozen=True, slots=True)
class Units:
    """Turns numbers into text in one system of units.

    Parameters
    ----------
    system : {"us", "si"}
        US customary units, or SI. Pressure is in pascals and money in dollars in both.

    Examples
    --------
    >>> Units("si").flow(100.0), Units("us").flow(100.0)
    ('47 L/s', '100 cfm')
    >>> Units("si").text("a 4 in. duct of 10 ft at 45 F moves 80 cfm in 20 s")
    'a 102 mm duct of 3.05 m at 7 C moves 37.8 L/s in 20 s'
    """

    system: System = "us"

    @property
    def si(self) -> bool:
        """True for SI."""
        return self.system == "si"

    def _with(self, value: float, unit: str, digits: int | None) -> str:
        if not self.si:
            return f"{_shown(value, digits)} {unit}"
        factor, name = _FACTORS[unit]
        return f"{_shown(value * factor, digits)} {name}"

    def number(self, value: float, unit: str) -> tuple[float, str]:
        """Return a number and its unit in this system; units that it does not know stay."""
        if not self.si:
            return value, unit
        if unit == "F":
            return (value - 32.0) / 1.8, "C"
        factor, name = _FACTORS.get(unit, (1.0, unit))
        return value * factor, name

    def length(self, feet: float, digits: int | None = None) -> str:
        """Length given in feet."""
        return self._with(feet, "ft", digits)

    def size(self, inches: float, digits: int | None = None) -> str:
        """Size given in inches."""
        return self._with(inches, "in", digits)

    def area(self, square_feet: float, digits: int | None = None) -> str:
        """Area given in square feet."""
        return self._with(square_feet, "ft2", digits)

    def small_area(self, square_inches: float, digits: int | None = None) -> str:
        """Area given in square inches."""
        return self._with(square_inches, "in2", digits)

    def volume(self, cubic_feet: float, digits: int | None = None) -> str:
        """Volume given in cubic feet."""
        return self._with(cubic_feet, "ft3", digits)

    def flow(self, cfm: float, digits: int | None = 0) -> str:
        """Air flow given in cfm."""
        return self._with(cfm, "cfm", digits)

    def leakage(self, cfm50: float, digits: int | None = 0) -> str:
        """Air leakage given in cfm at 50 Pa."""
        return self._with(cfm50, "CFM50", digits)

    def heat(self, btu_h: float, digits: int | None = 0) -> str:
        """Heat flow given in Btu/h; kilowatts in SI."""
        return f"{_shown(btu_h * units.W_PER_BTU_H / 1000.0, 1)} kW" if self.si else f"{_shown(btu_h, digits)} Btu/h"

    def pressure(self, pascals: float, digits: int = 1) -> str:
        """Pressure given in pascals: the same in both systems, as the test procedures have it."""
        return f"{pascals:.{digits}f} Pa"

    def temperature(self, temp_f: float, digits: int = 0) -> str:
        """Temperature given in degrees Fahrenheit."""
        value, unit = self.number(temp_f, "F")
        return f"{_shown(value, digits)} {unit}"

    def speed(self, mph: float, digits: int | None = 0) -> str:
        """Wind speed given in miles an hour."""
        return self._with(mph, "mph", 1 if self.si else digits)

    def text(self, words: str) -> str:
        """Return a sentence of the program with every number turned into this system.

        What stands between single quotes are the user's own names: they stay as typed.
        """
        if not self.si:
            return words
        return "".join(
            part if part.startswith("'") and part.endswith("'") and len(part) > 1 else _PATTERN.sub(self._turn, part)
            for part in _QUOTED.split(words)
        )

    def apply(self, record: Record) -> Record:
        """Return a frozen dataclass of the program's with every sentence in it turned into this system.

        Numbers stay as they are, and so does the case: what the user typed stays as typed. For layouts that must know
        the width of a sentence before they print it.
        """
        with speaking(self.system):
            return cast(Record, self._applied(record))

    def _applied(self, value: Any) -> Any:
        if isinstance(value, str):
            return self.text(value)
        if isinstance(value, Finding | Quantity | Listed):
            return say(value)
        if isinstance(value, tuple) and type(value) is tuple:
            return tuple(self._applied(item) for item in value)
        if isinstance(value, dict):
            return {key: self._applied(item) for key, item in value.items()}
        if is_dataclass(value) and not isinstance(value, type) and not hasattr(value, "model_fields"):
            changes = {
                f.name: self._applied(getattr(value, f.name)) for f in fields(value) if f.init and f.name not in KEPT
            }
            return replace(value, **changes)
        return value

    def _turn(self, found: re.Match[str]) -> str:
        first, second, unit = found.group(1), found.group(2), found.group(3)
        plain = _SPELLED.get(unit, unit)
        after = found.string[found.end() :]
        if plain == "in" and unit in ("in", "in.") and _PREPOSITION.match(after):
            return found.group(0)
        # a full stop that ends the sentence is no part of the unit
        stop = "." if unit.endswith(".") and re.match(r"\s+[A-Z]|\s*$", after) else ""
        turn = self._convert(plain)
        if second is None:
            return f"{turn(_value(first))[0]} {turn(_value(first))[1]}{stop}"
        number = re.search(rf"-?{_NUMBER}$", second)
        assert number is not None  # the pattern ends with a number
        digits = number.group(0)
        joint = second[: number.start()]
        if digits.startswith("-") and not joint.strip():  # "1-4 in": the dash is a range
            joint, digits = "-", digits[1:]
        low, name = turn(_value(first))
        high, _ = turn(_value(digits))
        return f"{low}{joint}{high} {name}{stop}"

    def _convert(self, unit: str) -> Callable[[float], tuple[str, str]]:
        def turn(value: float) -> tuple[str, str]:
            number, name = self.number(value, unit)
            return _shown(number, 0 if unit == "F" or (name == "mm" and abs(number) >= 10) else None), name

        return turn
