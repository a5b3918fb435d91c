"""How often and how long the burner fires in a day, from the hot water that the household draws."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from advisor import catalog
from advisor.case.model import Case

HOURS_PER_DAY = 24.0


@dataclass(frozen=True, slots=True)
class Firing:
    """Burner firings of a typical day.

    Parameters
    ----------
    minutes : float
        Length of one firing.
    firings_low, firings_typical, firings_high : float
        Firings a day.
    burner_share : float
        Share of all minutes with the burner on, at the typical use.
    """

    minutes: float
    firings_low: float
    firings_typical: float
    firings_high: float
    burner_share: float


def hot_water_gal_day(case: Case) -> float:
    """Return the hot water a household draws, gal/day at the test's set point.

    By the people in the house (fixtures of ``fsec-pf-464-15`` plus machines of ``hsp-2014``), else the medium draw
    pattern of the federal test.
    """
    people = case.occupants.people
    if people is None:
        return next(float(r["daily_gal"]) for r in catalog.table("draw_patterns") if r["bin"] == "medium")
    rows = catalog.table("hot_water_by_occupants")
    counts = [float(row["occupants"]) for row in rows]
    gallons = [float(row["fixture_hot_gpd_125f_58f_105f"]) for row in rows]
    slope = (gallons[-1] - gallons[-2]) / (counts[-1] - counts[-2])
    beyond = max(0.0, people - counts[-1]) * slope
    number, rooms = catalog.number, case.occupants.bedrooms if case.occupants.bedrooms is not None else people
    machines = sum(
        number("money_energy", f"{name}_base_gal_day") + number("money_energy", f"{name}_per_bedroom_gal_day") * rooms
        for name in ("clothes_washer", "dishwasher")
    )
    return float(np.interp(people, counts, gallons)) + beyond + machines


def firing_pattern(case: Case) -> Firing:
    """Return the firings of a day.

    Heat of the water drawn over the steady efficiency, plus what the idle tank loses, over the input of the burner.
    """
    number = catalog.number
    rise_f = number("money_energy", "test_set_point_f") - number("money_energy", "test_inlet_f")
    known = case.heater.recovery_efficiency_pct
    efficiency = number("priors", "efficiency_fraction") if known is None else known / 100.0
    draw = hot_water_gal_day(case) * number("money_energy", "recovery_btu_gal_f") * rise_f / efficiency
    standby = number("risk_exposure", "standby_btu_h") * HOURS_PER_DAY
    spread = catalog.parameter("money_energy", "household_spread_factor")
    minutes = number("risk_exposure", "firing_minutes")
    most = HOURS_PER_DAY * 60.0 / minutes

    def firings(factor: float) -> float:
        hours = (draw * factor + standby) / case.heater.input_btu_h
        return float(min(hours * 60.0 / minutes, most))

    typical = firings(spread.typical)
    share = typical * minutes / (HOURS_PER_DAY * 60.0)
    return Firing(minutes, firings(spread.low), typical, firings(spread.high), share)
