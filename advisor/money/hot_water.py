"""How much hot water a household draws in its peak hour, and what a heater can deliver."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from advisor.catalog import number, rows_of
from advisor.errors import InputError, suggest
from advisor.money.amount import Amount, require
from advisor.money.tables import DrawPattern, PeakUse

_FILE = "money_energy"


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
