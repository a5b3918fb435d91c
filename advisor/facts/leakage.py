"""Air leakage of house and zone: what a blower door reads, what was measured, and the published prior for the rest."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from advisor import catalog, units
from advisor.case.model import Case
from advisor.errors import InputError, suggest
from advisor.facts.space import apart
from advisor.physics import infiltration
from advisor.physics.infiltration import REFERENCE_PRESSURE_PA, LeakageRegression

Array = NDArray[np.float64]
LEAST_ZONE_SHARE, MOST_ZONE_SHARE = 1e-4, 0.5
"""A zone leaks something, and a room of the house not most of it; numerical."""


def measured_cfm50(case: Case) -> float | None:
    """Return the leakage that a blower door read, cfm at 50 Pa; None where nobody measured it."""
    return case.house.leakage_cfm50


def measured_exponent(case: Case) -> float | None:
    """Return the flow exponent that a blower door gave; None where nobody measured it."""
    return case.house.leakage_exponent


def exponent(case: Case) -> float:
    """Return the flow exponent: measured, else the mean of published tests."""
    return measured_exponent(case) or catalog.number("priors", "leakage_exponent")


def at_1_pa(flow50: Array, flow_exponent: Array) -> Array:
    """Return the flow coefficient of the power law, the flow at 1 Pa, for a flow at 50 Pa of any unit."""
    return np.asarray(flow50 / REFERENCE_PRESSURE_PA**flow_exponent)


def split(case: Case, whole: Array, zone_share: Array) -> tuple[Array, Array]:
    """Split what a blower door reads into the leaks of the house without the zone, and those of the zone.

    A room of the house takes its share out of the whole. A garage, attic or crawl space stands outside of what the
    blower door pulls on: it has leaks of its own, beside those of the house.

    Parameters
    ----------
    case : Case
        Says what kind of space the zone is.
    whole : array (n,)
        Leakage that a blower door in the house reads, of any unit.
    zone_share : array (n,)
        Leaks of the zone against the whole, of 1 for as many.

    Returns
    -------
    house, zone : array (n,)
        In the unit of ``whole``; `whole` puts them together again.
    """
    if apart(case):
        return whole, np.maximum(zone_share, LEAST_ZONE_SHARE) * whole
    zone = np.clip(zone_share, LEAST_ZONE_SHARE, MOST_ZONE_SHARE) * whole
    return whole - zone, zone


def cfm50(case: Case, house_leak_m3_s: Array, zone_leak_m3_s: Array, flow_exponent: Array) -> Array:
    """Return the leakage that a blower door in the house reads, cfm at 50 Pa, (n,): the inverse of `split`.

    It contains the zone where that is a room of the house (every room stands open during the reading), and does not
    where the zone lies outside of it. Every limit on the leakage and every reading of it that is offered is this one.

    Parameters
    ----------
    case : Case
        Says what kind of space the zone is.
    house_leak_m3_s, zone_leak_m3_s : array (n,)
        Flow coefficients of the house without the zone, and of the zone, m3/s at 1 Pa.
    flow_exponent : array (n,)
        Exponent of the power law.
    """
    whole = house_leak_m3_s if apart(case) else house_leak_m3_s + zone_leak_m3_s
    return np.asarray(whole * REFERENCE_PRESSURE_PA**flow_exponent / units.M3_S_PER_CFM)


def _level(group: str, name: str) -> str:
    rows = {
        row["name"]: row["regression_level"]
        for row in catalog.table("physics_leakage_classes")
        if row["group"] == group
    }
    if name not in rows:
        raise InputError(f"{group} '{name}' is not known{suggest(name, rows)}; one of {', '.join(rows)}")
    return rows[name]


def _year_level(year_built: int) -> str:
    starts = {int(level[:4]): level for group, level in _betas() if group == "year" and level[0].isdigit()}
    reached = [start for start in starts if start <= year_built]
    return starts[max(reached)] if reached else "before 1960"


@dataclass(frozen=True, slots=True)
class _Beta:
    """A coefficient of the regression of normalized leakage (``leakage_regression``)."""

    group: str
    level: str
    beta: float


@cache
def _betas() -> dict[tuple[str, str], float]:
    return {(row.group, row.level): row.beta for row in catalog.rows_of(_Beta, "leakage_regression")}


@cache
def leakage_regression(
    year_built: int,
    climate_zone: str,
    *,
    foundation: str | None = None,
    ducts: str | None = None,
    income_eligible: bool = False,
    efficiency_rated: bool = False,
) -> LeakageRegression:
    """Return the regression of ``lbnl-leakage-2013`` for one kind of house; unknown classes add nothing.

    Parameters
    ----------
    year_built : int
        Year of construction.
    climate_zone : str
        For example ``4A``.
    foundation : str, optional
        One of the names of group ``foundation`` in ``catalog/physics/physics_leakage_classes.csv``.
    ducts : str, optional
        Where the ducts run: group ``duct`` there; ``none`` adds nothing.
    income_eligible : bool
        Eligible for a weatherization programme by income, and not yet weatherized.
    efficiency_rated : bool
        Rated as an energy-efficient home.

    Raises
    ------
    InputError
        If a name is not in the table.
    """
    beta = _betas()
    total = beta["year", _year_level(year_built)] + beta["zone", _level("zone", climate_zone)]
    if foundation is not None:
        total += beta["foundation", _level("foundation", foundation)]
    if ducts not in (None, "none"):
        total += beta["duct", _level("duct", str(ducts))]
    if income_eligible:
        total += beta["income_eligible", "income-eligible home before weatherization"]
    if efficiency_rated:
        total += beta["efficiency_rated", "energy-efficiency rated home"]
    return LeakageRegression(
        class_sum=total,
        per_m2=beta["area", "per m2 floor"],
        per_m=beta["height", "per m"],
        residual_variance=beta["residual", "variance of ln NL"],
    )


def house_height_m(stories: float) -> float:
    """Return the height of a house the regression uses; between the listed stories, the next one up."""
    count = min(max(math.ceil(stories), 1), 4)
    return catalog.number("physics_infiltration", f"height_{count}_story_m")


def stock_gsd() -> float:
    """Return the spread of the housing stock, for a house of unknown age or climate (``us-housing-stock``)."""
    return catalog.number("physics_infiltration", "stock_gsd")


def prior_flow50_m3_s(
    regression: LeakageRegression, area_m2: Array, stories: float, *, weatherized: bool
) -> tuple[Array, Array]:
    """Return the median normalized leakage of the regression, and the flow at 50 Pa that it stands for, m3/s.

    Parameters
    ----------
    regression : LeakageRegression
        From `leakage_regression`.
    area_m2 : array
        Conditioned floor area, any shape.
    stories : float
        Stories above grade.
    weatherized : bool
        Air-sealed by a programme: the published cut is applied.
    """
    number, height_m = catalog.number, house_height_m(stories)
    normalized = infiltration.regression_normalized_leakage(regression, area_m2, height_m)
    if weatherized:
        normalized = normalized * (1.0 - number("physics_infiltration", "weatherization_cut_fraction"))
    leakage_area = infiltration.leakage_area_from_normalized_m2(normalized, area_m2, height_m)
    # the paper brought every test to 4 Pa with this exponent, so the way back must use it whatever the house's own is
    power = number("physics_infiltration", "flow_exponent_default")
    return normalized, infiltration.flow50_from_leakage_area_m3_s(leakage_area, power)


def prior_of(case: Case, area_m2: Array) -> tuple[Array, float]:
    """Return the median leakage at 50 Pa of a house nobody measured, m3/s, and the geometric deviation of one house.

    Year and climate zone take usual values where nobody gave them; then the spread is that of the stock.
    """
    house = case.house
    known = house.year_built is not None and house.climate_zone is not None
    regression = leakage_regression(
        house.year_built or int(catalog.number("priors", "year_built")),
        house.climate_zone or catalog.word("assumptions", "climate_zone"),
        foundation=house.foundation,
        ducts=house.ducts,
        income_eligible=bool(house.income_eligible),
        efficiency_rated=bool(house.efficiency_rated),
    )
    _, flow50 = prior_flow50_m3_s(regression, area_m2, house.stories or 1, weatherized=bool(house.weatherized))
    return flow50, regression.gsd if known else stock_gsd()
