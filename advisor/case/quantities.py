"""Quantities as people say them: ``4 in``, ``40k``, ``1,650 sq ft``, ``7.6 m``, ``50 F``, ``16 ft 4 in``.

A number without a unit is taken in the unit that was asked for. A number with a unit is converted. Nothing is guessed:
a wrong dimension, a range, a decimal comma or two numbers are errors that name what is allowed.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from advisor import units as u
from advisor.errors import InputError, suggest

__all__ = ["allowed_units", "parse_quantity", "unit_of", "unit_words"]

MAX_LENGTH = 100
_NUMBER = re.compile(r"[-+]?(?:[0-9]{1,3}(?:,[0-9]{3})+(?:\.[0-9]+)?|[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:e[-+]?[0-9]+\b)?")
_FRACTION = re.compile(r"([-+]?)(?:([0-9]+)(?:\s+|\s*-\s*))?([0-9]+)\s*/\s*([0-9]+)(?![0-9.,/])")
_VULGAR = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8", "⅓": "1/3", "⅔": "2/3"}
_THOUSAND = re.compile(r"(?:k|thousand)(?=\s|$)")
_TIMES = re.compile(r"\s*(?:[x×*]|\bby\b)\s*(?=[0-9.])")

SQUARE, CUBE = 2, 3


@dataclass(frozen=True, slots=True)
class Dimension:
    """A kind of quantity: its words, the unit words that name it, and which of them to show."""

    words: str
    factors: dict[str, float]
    shown: str


def _names(table: dict[str, float]) -> dict[str, float]:
    """Split ``"a|b|c": factor`` into one entry a spelling."""
    return {name: factor for spellings, factor in table.items() for name in spellings.split("|")}


_MM, _CM, _KM = 0.001, 0.01, 1000.0
_LENGTHS = {
    "in|inch|inches|\"|''|″|”": u.M_PER_IN,
    "ft|foot|feet|'|′|’": u.M_PER_FT,
    "mm|millimeter|millimeters|millimetre|millimetres": _MM,
    "cm|centimeter|centimeters|centimetre|centimetres": _CM,
    "m|meter|meters|metre|metres": 1.0,
}
_LITER = _CM * 10.0 * (_CM * 10.0) ** 2


def _powers(power: int, words: str, short: str) -> dict[str, float]:
    found: dict[str, float] = {}
    for name, factor in _names(_LENGTHS).items():
        if name.isalpha():
            for spelling in (f"{name}{power}", f"{words}{name}", f"{short}{name}"):
                found[spelling] = factor**power
    return found


def _prices(per: str) -> dict[str, float]:
    found: dict[str, float] = {}
    for spellings, factor in (("usd|dollars|dollar", 1.0), ("cents|cent|ct|c|¢", 0.01)):
        for name in spellings.split("|"):
            found |= {name: factor, f"{name}/{per}": factor}
    return found | {f"/{per}": 1.0}


_SHORT_FT3_MIN = u.M3_PER_FT3 / u.S_PER_MIN
_FLOWS = {
    "cfm|ft3/min|cuft/min|cubicfeet/minute|cubicfeet/min": _SHORT_FT3_MIN,
    "l/s|lps|liters/second|litres/second": _LITER,
    "m3/h|m3/hr|cmh|cubicmeters/hour": 1.0 / u.S_PER_H,
    "m3/s": 1.0,
}
_SHARES = {"%|pct|percent": 1.0}
_COUNT_WORDS = "people|persons|person|bedrooms|bedroom|elbows|elbow|alarms|alarm|showers|shower|stories|story"

DIMENSIONS: dict[str, Dimension] = {
    "length": Dimension("a length", _names(_LENGTHS), "in, ft, mm, cm, m"),
    "area": Dimension(
        "an area",
        _powers(SQUARE, "square", "sq") | {"sf": u.M2_PER_FT2},
        "sq ft, sq in, m2, cm2, or two sides such as 8 x 12 in",
    ),
    "volume": Dimension(
        "a volume",
        _powers(CUBE, "cubic", "cu")
        | _names({"cf": u.M3_PER_FT3, "gal|gallon|gallons|usgal": u.M3_PER_GAL, "l|liter|liters|litre|litres": _LITER}),
        "cu ft, m3, gal, l, or three sides such as 10 x 8 x 8 ft",
    ),
    "air flow": Dimension("an air flow", _names(_FLOWS), "cfm, l/s, m3/h"),
    "leakage": Dimension("an air flow at 50 Pa", _names({"cfm50": _SHORT_FT3_MIN} | _FLOWS), "cfm50, l/s, m3/h"),
    "power": Dimension(
        "a heat input",
        _names(
            {
                "btu/h|btu/hr|btuh|btu|btus|btu/hour": u.W_PER_BTU_H,
                "mbh|kbtu|kbtu/h|kbtu/hr|kbtuh": 1000.0 * u.W_PER_BTU_H,
                "w|watt|watts": 1.0,
                "kw|kilowatt|kilowatts": 1000.0,
                "mj/h": 1.0e6 / u.S_PER_H,
            }
        ),
        "Btu/h, MBH (thousand Btu/h), kW",
    ),
    "temperature": Dimension(
        "a temperature",
        dict.fromkeys(
            ["f", "degf", "degreesf", "fahrenheit", "degreesfahrenheit", "deg", "degrees", "degree"],
            u.kelvin_step_from_fahrenheit(1.0),
        )
        | dict.fromkeys(["c", "degc", "degreesc", "celsius", "degreescelsius", "k", "kelvin"], 1.0),
        "F, C, K",
    ),
    "pressure": Dimension(
        "a pressure",
        _names(
            {
                "pa|pascal|pascals": 1.0,
                "inwc|iwc|inh2o|inwg|inchwc|incheswc|inchh2o|inchesh2o|incheswatercolumn|inchwatercolumn|inwatercolumn"
                '|"wc|"h2o': u.PA_PER_IN_WC,
                "mmh2o|mmwc": u.PA_PER_IN_WC * _MM / u.M_PER_IN,
                "hpa|mbar|millibar": 100.0,
                "kpa": 1000.0,
            }
        ),
        "Pa, in wc, mbar",
    ),
    "speed": Dimension(
        "a speed",
        _names(
            {
                "mph|miles/hour|mi/h|mi/hr": u.M_S_PER_MPH,
                "km/h|kmh|kph|kmph": _KM / u.S_PER_H,
                "m/s": 1.0,
                "fpm|ft/min": u.M_PER_FT / u.S_PER_MIN,
            }
        ),
        "mph, km/h, m/s",
    ),
    "time": Dimension(
        "a time",
        _names(
            {
                "s|sec|secs|second|seconds": 1.0,
                "min|mins|minute|minutes": u.S_PER_MIN,
                "h|hr|hrs|hour|hours": u.S_PER_H,
            }
        ),
        "s, min, h",
    ),
    "age": Dimension(
        "a number of years", _names({"years|year|yr|yrs|y|yearsold": 1.0, "months|month": 1.0 / 12}), "years"
    ),
    "mass": Dimension("a weight", _names({"lb|lbs|pound|pounds": u.KG_PER_LB, "kg|kilogram|kilograms": 1.0}), "lb, kg"),
    "share": Dimension("a percentage", _names(_SHARES), "%"),
    "concentration": Dimension("a concentration", {"ppm": 1.0}, "ppm"),
    "slope": Dimension(
        "a slope",
        _names(
            {
                "in/ft|inch/foot|inches/foot|inches/ft|inch/ft": u.M_PER_IN / u.M_PER_FT,
                "mm/m": _MM,
                "cm/m": _CM,
                "%|percent": 0.01,
            }
        ),
        "in per ft, mm/m, %",
    ),
    "pitch": Dimension("a roof pitch", {"in12": 1.0, "/12": 1.0, ":12": 1.0}, "6/12, 6 in 12, or 6"),
    "price of electricity": Dimension("a price for a kWh", _prices("kwh"), "$0.16, 16 cents"),
    "price of gas": Dimension("a price for a therm", _prices("therm"), "$1.40, 140 cents"),
    "price of propane": Dimension("a price for a gallon", _prices("gal"), "$2.60, 260 cents"),
    "count": Dimension("a count", dict.fromkeys(_COUNT_WORDS.split("|"), 1.0), "a plain number"),
    "air changes": Dimension("an air change rate", dict.fromkeys(("ach50", "ach"), 1.0), "ACH"),
    "pipe pressure": Dimension("a gas or water pressure", dict.fromkeys(("psi", "bar"), 1.0), "psi"),
}

# The unit a field asks for: its dimension, one spelling of it, and how to print it.
_TARGETS: dict[str, tuple[str, str, str]] = {
    "per_12": ("pitch", "in12", "in 12"),
    "in_per_ft": ("slope", "in/ft", "in per ft"),
    "ft2": ("area", "ft2", "sq ft"),
    "in2": ("area", "in2", "sq in"),
    "ft3": ("volume", "ft3", "cu ft"),
    "usd_kwh": ("price of electricity", "usd", "$ a kWh"),
    "usd_therm": ("price of gas", "usd", "$ a therm"),
    "usd_gal": ("price of propane", "usd", "$ a gallon"),
    "gal": ("volume", "gal", "gal"),
    "cfm50": ("leakage", "cfm50", "cfm at 50 Pa"),
    "cfm": ("air flow", "cfm", "cfm"),
    "btu_h": ("power", "btu/h", "Btu/h"),
    "temp_f": ("temperature", "f", "F"),
    "pa": ("pressure", "pa", "Pa"),
    "mph": ("speed", "mph", "mph"),
    "seconds": ("time", "s", "seconds"),
    "years": ("age", "years", "years"),
    "lb": ("mass", "lb", "lb"),
    "pct": ("share", "%", "%"),
    "ppm": ("concentration", "ppm", "ppm"),
    "in": ("length", "in", "in"),
    "ft": ("length", "ft", "ft"),
    "number": ("count", "people", ""),
}


def unit_of(field: str) -> str:
    """Return the unit that the name of a field ends in (``"ft"``, ``"btu_h"``), or ``"number"`` when it has none."""
    if field.startswith("seconds_"):
        return "seconds"
    for unit in _TARGETS:
        if field == unit or field.endswith(f"_{unit}"):
            return unit
    return "number"


def unit_words(unit: str) -> str:
    """Return the unit as people read it, such as ``"sq ft"``; empty for a plain number."""
    return _TARGETS[unit][2]


def allowed_units(unit: str) -> str:
    """Return the units and forms that are understood where ``unit`` is asked for, in words."""
    return DIMENSIONS[_TARGETS[unit][0]].shown


def parse_quantity(text: str, unit: str) -> float:
    """Read one quantity and convert it.

    Parameters
    ----------
    text : str
        As typed: a number, a fraction or a mixed number, with ``k`` for thousand and a unit if wanted.
    unit : str
        Unit of the result, one of those `unit_of` returns.

    Returns
    -------
    float
        The value in ``unit``; finite.

    Raises
    ------
    InputError
        One sentence with what was typed and what is allowed.
    """
    shown = " ".join(text.split())[:60]
    words = _tidy(text)
    name, target, _ = _TARGETS[unit]
    if not words:
        raise InputError(f"nothing was typed; give {_wanted(name)}")
    if len(words) > MAX_LENGTH:
        raise InputError(f"'{shown}...' is too long; give {_wanted(name)}")
    if name == "pitch":
        return _pitch(words, shown)
    if name in ("area", "volume") and len(_TIMES.split(words)) > 1:
        base = _product(words, shown, unit, SQUARE if name == "area" else CUBE)
        return _rounded(base / DIMENSIONS[name].factors[target], shown)
    if name == "leakage":
        words = re.sub(r"\s*(?:at|@)\s*50\s*pa$", "", words)
    if name.startswith("price"):
        words = words.removeprefix("$").strip()
    parts = _parts(words, shown, name)
    if len(parts) > 1:
        return _rounded(_compound(parts, shown, name) / DIMENSIONS[name].factors[target], shown)
    return _rounded(_single(*parts[0], shown, name, target), shown)


def _single(number: float, spelled: str, shown: str, name: str, target: str) -> float:
    """Convert one number with its unit, if it has one."""
    if name == "share" and not spelled and 0.0 < abs(number) < 1.0:
        raise InputError(f"'{shown}': a share or a percentage? Write {100 * number:g} % or {number:g} %")
    if not spelled:
        return number
    factor = _factor(spelled, shown, name)
    if name == "temperature":
        return _fahrenheit(number, spelled, factor)
    same = DIMENSIONS[name].factors[target]
    return number if factor == same else number * factor / same


def _tidy(text: str) -> str:
    words = " ".join(text.replace("−", "-").casefold().split())
    for sign, plain in _VULGAR.items():
        words = re.sub(rf"([0-9])\s*{sign}", rf"\1 {plain}", words).replace(sign, plain)
    return words.replace("²", "2").replace("³", "3").replace("^", "").replace("°", " ").strip()


def _wanted(name: str) -> str:
    dimension = DIMENSIONS[name]
    return dimension.words if name == "count" else f"{dimension.words} ({dimension.shown})"


def _rounded(value: float, shown: str) -> float:
    """Drop the noise of a conversion: ten digits."""
    if not math.isfinite(value):
        raise InputError(f"'{shown}' is not a number that can be used")
    return float(f"{value:.10g}")


def _take_number(words: str, shown: str, name: str) -> tuple[float, str]:
    """Split a number off the front of the words."""
    fraction = _FRACTION.match(words)
    if fraction:
        sign, whole, top, bottom = fraction.groups()
        if int(bottom) == 0:
            raise InputError(f"'{shown}' divides by zero; give {_wanted(name)}")
        number = int(whole or 0) + int(top) / int(bottom)
        return (-number if sign == "-" else number), words[fraction.end() :]
    found = _NUMBER.match(words)
    if not found:
        raise InputError(f"'{shown}' does not start with a number; give {_wanted(name)}, or 'dk' for don't know")
    rest = words[found.end() :]
    if re.match(r"[0-9,]|\.[0-9]", rest):
        raise InputError(f"'{shown}' cannot be read as a number; write thousands as 1,650 and decimals as 1.5")
    if re.match(r"\s*(?:-|–|to\b|\.\.)\s*[0-9]", rest):
        raise InputError(f"'{shown}' is a range; give one number")
    return float(found.group().replace(",", "")), rest


def _parts(words: str, shown: str, name: str) -> list[tuple[float, str]]:
    """Return (number, unit words) pairs; more than one only as in ``16 ft 4 in``."""
    found: list[tuple[float, str]] = []
    while words:
        number, rest = _take_number(words, shown, name)
        thousand = None if name == "temperature" else _THOUSAND.match(rest.lstrip())
        if thousand:
            number, rest = number * 1000.0, rest.lstrip()[thousand.end() :]
        after = re.search(r"(?<![a-z/:])(?:(?<=['′’])|(?<=\s)|^)(?=[-+.]?[0-9])", rest)
        cut = after.start() if after else len(rest)
        found.append((number, _spelling(rest[:cut])))
        words = rest[cut:].strip()
    return found


def _spelling(words: str) -> str:
    """Bring a unit to the form the tables use: no dots, no spaces, ``per`` as ``/``."""
    words = re.sub(r"\bper\b|\ban?\b(?=\s+[a-z])", "/", words.strip(" ,"))
    return re.sub(r"[\s.]", "", words)


def _factor(spelled: str, shown: str, name: str) -> float:
    factors = DIMENSIONS[name].factors
    if spelled in factors:
        return factors[spelled]
    for other in DIMENSIONS.values():
        if spelled in other.factors:
            raise InputError(f"'{shown}' is {other.words}; what is wanted is {_wanted(name)}")
    near = "" if len(spelled) < 3 else suggest(spelled, factors)
    raise InputError(f"'{shown}': the unit '{spelled}' is not known here{near}; give {_wanted(name)}")


def _compound(parts: list[tuple[float, str]], shown: str, name: str) -> float:
    """Add up ``16 ft 4 in`` or ``1 min 30 s``; the units must get smaller."""
    factors = []
    for number, spelled in parts:
        if name not in ("length", "time") or not spelled or number < 0.0:
            raise InputError(f"'{shown}' holds more than one number; give {_wanted(name)}")
        factors.append(_factor(spelled, shown, name))
    if sorted(set(factors), reverse=True) != factors:
        raise InputError(f"'{shown}' mixes units in an odd order; give {_wanted(name)}")
    return sum(number * factor for (number, _), factor in zip(parts, factors, strict=True))


def _product(words: str, shown: str, unit: str, sides: int) -> float:
    """Multiply sides: ``8 x 12 in``; a side without a unit takes the last one's."""
    pieces = _TIMES.split(words)
    name = _TARGETS[unit][0]
    if len(pieces) != sides:
        raise InputError(f"'{shown}' has {len(pieces)} sides; {DIMENSIONS[name].words} needs {sides}")
    read = [_parts(piece, shown, "length") for piece in pieces]
    bare = [len(parts) == 1 and not parts[0][1] for parts in read]
    if bare[-1] and not all(bare):
        raise InputError(f"'{shown}': give the unit of every side, or of the last one for all")
    default = {"in2": "in", "ft2": "ft", "ft3": "ft"}.get(unit)
    last = default if bare[-1] else read[-1][-1][1]
    if last is None:
        raise InputError(f"'{shown}': give the unit of the sides, such as 2 x 2 x 4 ft")
    total = 1.0
    for parts in read:
        given = [(number, spelled or last) for number, spelled in parts] if len(parts) == 1 else parts
        total *= _compound(given, shown, "length")
    return total


def _pitch(words: str, shown: str) -> float:
    """Read ``6/12``, ``6:12``, ``6 in 12`` or ``6`` as a rise over a run of 12."""
    found = re.fullmatch(r"([0-9]+(?:\.[0-9]+)?)\s*(?:(?:/|:|in|over|on)\s*12)?", words)
    if not found:
        raise InputError(f"'{shown}' is no roof pitch; give the rise over a run of 12, such as 6/12")
    return _rounded(float(found.group(1)), shown)


def _fahrenheit(number: float, spelled: str, factor: float) -> float:
    if factor != 1.0:
        return number
    kelvin = number if spelled in ("k", "kelvin") else u.kelvin_from_celsius(number)
    return u.fahrenheit_from_kelvin(kelvin)
