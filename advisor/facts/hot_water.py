"""How much hot water a household draws, at what temperatures, and the heat in it: asked by every room that needs it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from advisor.case.model import Case
from advisor.catalog import number, parameter, rows_by, rows_of
from advisor.errors import InputError, suggest
from advisor.facts.amounts import TYPED, Amount, require
from advisor.findings import Words, finding, quantity

_FILE = "money_energy"


def hot_share(set_f: Amount, mains_f: Amount, use_f: Amount) -> Amount:
    """Return the share of hot water in mixed water, 1 - (Tset - Tuse)/(Tset - Tmains), between 0 and 1 (`own-calc`)."""
    set_f = require("set_point_f", set_f, 80.0, 212.0)
    mains_f = require("mains_temperature_f", mains_f, 32.0, 100.0)
    rise = np.asarray(set_f) - mains_f
    if np.any(rise <= 0.0):
        raise InputError("set point: not above the mains temperature; give a hotter set point or colder mains")
    share = np.clip(1.0 - (np.asarray(set_f) - use_f) / rise, 0.0, 1.0)
    return share if share.ndim else float(share)


def _linear(name: str, bedrooms: float) -> float:
    return number(_FILE, f"{name}_base_gal_day") + number(_FILE, f"{name}_per_bedroom_gal_day") * bedrooms


@dataclass(frozen=True, slots=True)
class _Conversion:
    """A number of a formula by what it is (``conversions_emissions``)."""

    quantity: str
    value: float


@dataclass(frozen=True, slots=True)
class _DrawPattern:
    """Hot water of a day in the federal test (``draw_patterns``)."""

    bin: str
    daily_gal: float


def mixed_by_bedrooms_gal_day(bedrooms: float) -> float:
    """Return mixed water at shower, bath and sinks, gal/day at 110 F, by bedrooms (`hsp-2014`)."""
    bedrooms = float(require("bedrooms", bedrooms, 0.0, 20.0))
    return _linear("shower", bedrooms) + _linear("bath", bedrooms) + _linear("sink", bedrooms)


def mixed_by_people_gal_day(people: float) -> float:
    """Return mixed water at fixtures, gal/day at 105 F, by occupants (`fsec-pf-464-15` Eq. 14)."""
    people = float(require("people", people, 0.0, 50.0))
    return max(0.0, number(_FILE, "people_base_gal_day") + number(_FILE, "people_per_person_gal_day") * people)


def machines_gal_day(bedrooms: float) -> float:
    """Return hot water of clothes washer and dishwasher, gal/day, by bedrooms (`hsp-2014`)."""
    bedrooms = float(require("bedrooms", bedrooms, 0.0, 20.0))
    return _linear("clothes_washer", bedrooms) + _linear("dishwasher", bedrooms)


@dataclass(frozen=True, slots=True)
class HotWaterUse:
    """Hot water of a household at its set point.

    Parameters
    ----------
    low_gal_day, typical_gal_day, high_gal_day : float
        Range; field use is skewed.
    set_f, mains_f : float
        Temperatures it was worked out for.
    basis : Finding
        What it was worked out from.
    status, source : str
        Where it comes from.
    assumed : bool
        True if nobody said how many people or bedrooms there are.
    """

    low_gal_day: float
    typical_gal_day: float
    high_gal_day: float
    set_f: float
    mains_f: float
    basis: Words
    status: str
    source: str
    assumed: bool


def household_use(
    people: float | None = None,
    bedrooms: float | None = None,
    *,
    set_f: float | None = None,
    mains_f: float | None = None,
    gal_day: float | None = None,
) -> HotWaterUse:
    """Return the hot water a household draws.

    A typed `gal_day` is taken as it is. Else people decide, by Eq. 14 of ``fsec-pf-464-15`` for the fixtures and
    ``hsp-2014`` for the machines; else bedrooms, by ``hsp-2014``; else the medium draw pattern of the federal test. The
    order is that of how near each stands to the household and of its status: the first two are second-hand formulas of
    what people use, the bins of the federal test are a yardstick for heaters and their gallons are from memory. The
    tables ``hot_water_by_occupants`` and ``hot_water_by_bedrooms`` are derived from the same formulas and only check
    them. Temperatures default to those of the test (125 F and 58 F).

    Raises
    ------
    InputError
        If a number is out of range.
    """
    hot = number(_FILE, "test_set_point_f") if set_f is None else set_f
    cold = number(_FILE, "test_inlet_f") if mains_f is None else mains_f
    spread = parameter(_FILE, "household_spread_factor")
    assumed = False
    if gal_day is not None:
        typical = float(require("hot_water_gal_day", gal_day, 0.0, 1000.0))
        return HotWaterUse(typical, typical, typical, hot, cold, finding("facts.use_by.typed"), TYPED, TYPED, False)
    if people is not None:
        fixtures = mixed_by_people_gal_day(people) * hot_share(hot, cold, number(_FILE, "use_temperature_people_f"))
        rooms = people if bedrooms is None else bedrooms
        typical = float(fixtures) + machines_gal_day(min(float(rooms), 20.0))
        basis = finding("facts.use_by.people", count=quantity(people, "number"))
        status, source = "second-hand", "fsec-pf-464-15;hsp-2014"
    elif bedrooms is not None:
        fixtures = mixed_by_bedrooms_gal_day(bedrooms) * hot_share(
            hot, cold, number(_FILE, "use_temperature_fixture_f")
        )
        typical = float(fixtures) + machines_gal_day(bedrooms)
        basis = finding("facts.use_by.bedrooms", count=quantity(bedrooms, "number"))
        status, source = "second-hand", "hsp-2014"
    else:
        typical, assumed = draw_gal_day("medium"), True
        basis = finding("facts.use_by.draw_pattern")
        status, source = "memory", "cfr10-430-appe"
    return HotWaterUse(typical * spread.low, typical, typical * spread.high, hot, cold, basis, status, source, assumed)


def use_of(case: Case) -> HotWaterUse:
    """Return the hot water of the case's household: people, else bedrooms, else what is usual."""
    return household_use(case.occupants.people, case.occupants.bedrooms)


def people_counted(case: Case) -> float | None:
    """Return how many people live there; None where nobody counted them."""
    people = case.occupants.people
    return None if people is None else float(people)


def heat_btu_day(gal_day: Amount, set_f: Amount | None = None, mains_f: Amount | None = None) -> Amount:
    """Return the heat in the hot water of a day, Btu: V 8.24 (Tset - Tmains), as the federal test has it (``cfr10-430-appe``).

    Parameters
    ----------
    gal_day : float or ndarray
        Hot water a day.
    set_f, mains_f : float or ndarray, optional
        Default 125 F and 58 F, those of the test.

    Raises
    ------
    InputError
        If a number is out of range, or the set point is not above the mains.
    """
    hot = require("set_point_f", number(_FILE, "test_set_point_f") if set_f is None else set_f, 80.0, 212.0)
    cold = require("mains_temperature_f", number(_FILE, "test_inlet_f") if mains_f is None else mains_f, 32.0, 100.0)
    rise = np.asarray(hot) - cold
    if np.any(rise <= 0.0):
        raise InputError("set point: not above the mains temperature; give a hotter set point or colder mains")
    rows = {row.quantity: row.value for row in rows_of(_Conversion, "conversions_emissions")}
    pound, heat = rows["water_density_in_the_annual_use_formula"], rows["water_specific_heat_in_the_annual_use_formula"]
    total = np.asarray(require("hot_water_gal_day", gal_day, 0.0, 5000.0)) * pound * heat * rise
    return total if total.ndim else float(total)


def draw_gal_day(pattern: str) -> float:
    """Return gal/day of a federal draw pattern: very_small, low, medium or high."""
    known = rows_by(_DrawPattern, "draw_patterns", "bin")
    if pattern not in known:
        raise InputError(f"draw pattern '{pattern}'{suggest(pattern, known)}: one of {', '.join(known)}")
    return known[pattern].daily_gal
