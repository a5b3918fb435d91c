"""Outdoor temperature and wind through a year, by climate zone, as a few equally likely values."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from math import gamma

import numpy as np

from advisor import catalog, units
from advisor.case.model import Case
from advisor.ensemble.state import Array
from advisor.errors import InputError, suggest


def zone_of(case: Case) -> tuple[str, bool]:
    """Return the climate zone of a case and whether it was assumed."""
    zone = case.house.climate_zone
    return (zone, False) if zone is not None else (catalog.word("assumptions", "climate_zone"), True)


@dataclass(frozen=True, slots=True)
class _Weather:
    """The weather of a climate zone in a few numbers (``weather``)."""

    zone: str
    mean_f: float
    seasonal_amplitude_f: float
    deviation_winter_f: float
    deviation_summer_f: float
    wind_mean_mph: float


def _row(zone: str) -> _Weather:
    rows = catalog.rows_by(_Weather, "weather", "zone")
    if zone not in rows:
        raise InputError(f"climate zone '{zone}' has no weather{suggest(zone, rows)}; one of {', '.join(rows)}")
    return rows[zone]


def temperature_below_share(zone: str, temp_f: Array) -> Array:
    """Return the share of the hours of a year below a temperature, F.

    The seasons run as a cosine about the yearly mean, hours scatter about them normally, less in summer than in winter
    (a description of the weather with four numbers a zone, checked against published degree-day rules and the design
    temperatures of both ends; not a weather file).
    """
    from scipy.special import ndtr

    row = _row(zone)
    season = np.cos(2.0 * np.pi * (np.arange(365) + 0.5) / 365.0)
    winter, summer = row.deviation_winter_f, row.deviation_summer_f
    middle = row.mean_f + row.seasonal_amplitude_f * season
    scores = (np.asarray(temp_f)[..., None] - middle) / (0.5 * (winter + summer) + 0.5 * (summer - winter) * season)
    return np.asarray(ndtr(scores).mean(axis=-1))


@cache
def _temperature_table(zone: str) -> tuple[Array, Array]:
    grid = np.linspace(-120.0, 150.0, 541)
    return temperature_below_share(zone, grid), grid


def temperatures_f(zone: str, below: Array) -> Array:
    """Return the temperatures, F, below which the given shares of the hours of a year lie; any shape, 0 to 1."""
    share, grid = _temperature_table(zone)
    return np.asarray(np.interp(below, share, grid))


def winds_m_s(zone: str, below: Array) -> Array:
    """Return the wind speeds at the met station, m/s, with the given shares of the hours below (Weibull)."""
    shape = catalog.number("risk_everyday", "wind_shape")
    scale = _row(zone).wind_mean_mph * units.M_S_PER_MPH / gamma(1.0 + 1.0 / shape)
    return np.asarray(scale * (-np.log1p(-np.asarray(below))) ** (1.0 / shape))
