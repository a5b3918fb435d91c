"""How much hot water a household draws in a day and in its peak hour, and what a heater can deliver."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from advisor.catalog import number, parameter, rows_by, rows_of
from advisor.errors import InputError, suggest
from advisor.findings import Words, finding, quantity
from advisor.money.amount import TYPED, Amount, require
from advisor.money.tables import DrawPattern, PeakUse

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


def mixed_by_bedrooms_gal_day(bedrooms: float) -> float:
    """Return mixed water at shower, bath and sinks, gal/day at 110 F, by bedrooms (`hsp-2014`)."""
    bedrooms = float(require("bedrooms", bedrooms, 0.0, 20.0))
    return _linear("shower", bedrooms) + _linear("bath", bedrooms) + _linear("sink", bedrooms)


def mixed_with_waste_gal_day(bedrooms: float) -> float:
    """Return mixed water at fixtures plus what is wasted in the pipes, gal/day (`resnet-301-2014`)."""
    bedrooms = float(require("bedrooms", bedrooms, 0.0, 20.0))
    fixtures = (
        number(_FILE, "fixture_base_resnet_gal_day") + number(_FILE, "fixture_per_bedroom_resnet_gal_day") * bedrooms
    )
    return float(fixtures + number(_FILE, "waste_coefficient_gal_day") * bedrooms ** number(_FILE, "waste_exponent"))


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

    A typed `gal_day` is taken as it is; else people count, then bedrooms; else the medium draw pattern of the
    federal test is assumed. Temperatures default to those of the test (125 F and 58 F).

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
        basis = finding("money.use_by.typed")
        return HotWaterUse(typical, typical, typical, hot, cold, basis, TYPED, TYPED, False)
    if people is not None:
        fixtures = mixed_by_people_gal_day(people) * hot_share(hot, cold, number(_FILE, "use_temperature_people_f"))
        rooms = people if bedrooms is None else bedrooms
        typical = float(fixtures) + machines_gal_day(min(float(rooms), 20.0))
        basis = finding("money.use_by.people", count=quantity(people, "number"))
        status, source = "second-hand", "fsec-pf-464-15;hsp-2014"
    elif bedrooms is not None:
        fixtures = mixed_by_bedrooms_gal_day(bedrooms) * hot_share(
            hot, cold, number(_FILE, "use_temperature_fixture_f")
        )
        typical = float(fixtures) + machines_gal_day(bedrooms)
        basis = finding("money.use_by.bedrooms", count=quantity(bedrooms, "number"))
        status, source = "second-hand", "hsp-2014"
    else:
        typical, assumed = draw_gal_day("medium"), True
        basis = finding("money.use_by.draw_pattern")
        status, source = "memory", "cfr10-430-appe"
    return HotWaterUse(typical * spread.low, typical, typical * spread.high, hot, cold, basis, status, source, assumed)


def draw_gal_day(pattern: str) -> float:
    """Return gal/day of a federal draw pattern: very_small, low, medium or high."""
    known = rows_by(DrawPattern, "draw_patterns", "bin")
    if pattern not in known:
        raise InputError(f"draw pattern '{pattern}'{suggest(pattern, known)}: one of {', '.join(known)}")
    return known[pattern].daily_gal


def draw_pattern(*, first_hour_gal: float | None = None, flow_gpm: float | None = None) -> str:
    """Return the federal draw pattern of a tank by its first-hour rating, or of a tankless heater by its flow."""
    tank = first_hour_gal is not None
    value = first_hour_gal if tank else flow_gpm
    if value is None:
        raise InputError("draw pattern: give a first-hour rating in gallons or a flow in gal/min")
    require("first_hour_rating_or_flow", value)
    found = ""
    for row in rows_of(DrawPattern, "draw_patterns"):
        if value >= (row.fhr_min_gal if tank else row.tankless_min_gpm):
            found = row.bin
    return found


def peak_hour_versions() -> tuple[str, ...]:
    """Return the versions of the peak-hour worksheet that circulate."""
    return tuple(dict.fromkeys(row.version for row in rows_of(PeakUse, "peak_hour_worksheet")))


def peak_hour_uses(version: str) -> Mapping[str, float]:
    """Return the uses of one worksheet version with their gallons."""
    if version not in peak_hour_versions():
        raise InputError(f"peak-hour worksheet '{version}': one of {', '.join(peak_hour_versions())}")
    return {row.use: row.gal_per_use for row in rows_of(PeakUse, "peak_hour_worksheet") if row.version == version}


def peak_hour_gal(uses: Mapping[str, float], version: str = "A") -> float:
    """Return the hot water of the busiest hour by the worksheet.

    Parameters
    ----------
    uses : mapping of str to float
        How often each use happens in that hour; names as in `peak_hour_uses`.
    version : str
        Worksheet A, B or C: three circulate and differ, so print which one was used.

    Raises
    ------
    InputError
        If the version or a use is unknown or a count is negative.
    """
    known = peak_hour_uses(version)
    total = 0.0
    for use, times in uses.items():
        if use not in known:
            raise InputError(
                f"peak-hour use '{use}'{suggest(use, known)}: worksheet {version} knows {', '.join(known)}"
            )
        total += known[use] * float(require(f"peak_hour_times '{use}'", times, 0.0, 100.0))
    return total


def recovery_gal_h(input_btu_h: Amount, efficiency: Amount, rise_f: Amount | None = None) -> Amount:
    """Return recovery gph = Q RE / (8.25 dT)."""
    rise = require("temperature_rise_f", _rise(rise_f), above_low=True)
    heat = np.asarray(require("input_btu_h", input_btu_h)) * require("recovery_efficiency", efficiency, 0.0, 5.0)
    flow = heat / (number(_FILE, "recovery_btu_gal_f") * np.asarray(rise))
    return flow if flow.ndim else float(flow)


def _rise(rise_f: Amount | None) -> Amount:
    return number(_FILE, "recovery_rise_f") if rise_f is None else rise_f


def first_hour_rating_gal(tank_gal: Amount, recovery_gph: Amount) -> Amount:
    """Return the first-hour rating of a tank without a label: 0.7 of the tank plus the recovery of an hour."""
    return number(_FILE, "first_hour_tank_fraction") * require("tank_gal", tank_gal) + require(
        "recovery_gal_h", recovery_gph
    )


def tankless_flow_gpm(input_btu_h: Amount, efficiency: Amount, rise_f: Amount | None = None) -> Amount:
    """Return the flow of a tankless heater, gpm = Q eff / (500 dT)."""
    rise = require("temperature_rise_f", _rise(rise_f), above_low=True)
    heat = np.asarray(require("input_btu_h", input_btu_h)) * require("efficiency", efficiency, 0.0, 1.1)
    flow = heat / (number(_FILE, "tankless_btu_min_gpm_f") * np.asarray(rise))
    return flow if flow.ndim else float(flow)
