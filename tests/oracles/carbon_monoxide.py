"""Formulae that only tests use, beside `advisor.physics.carbon_monoxide`."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from advisor.physics.air import Array, as_array
from advisor.physics.carbon_monoxide import AirExchange, BloodModel, _rates_per_min, _relaxation, two_room_step


def steady_room_ppm(source: ArrayLike, air_flow_m3_s: ArrayLike, outdoor_ppm: ArrayLike = 0.0) -> Array:
    """Return the concentration a mixed room settles at, ``Co + S / Q`` (``ashrae-f16-2021`` eq. 32), ppm."""
    return as_array(outdoor_ppm) + 1e6 * as_array(source) / as_array(air_flow_m3_s)


def room_ppm(
    time_s: ArrayLike,
    source: ArrayLike,
    air_flow_m3_s: ArrayLike,
    volume_m3: ArrayLike,
    initial_ppm: ArrayLike = 0.0,
    outdoor_ppm: ArrayLike = 0.0,
) -> Array:
    """Return the concentration of one mixed room after a time of constant source and air flow, ppm.

    Parameters
    ----------
    time_s : array_like
        Time since the start, s.
    source : array_like
        Carbon monoxide entering, m3/s.
    air_flow_m3_s : array_like
        Outdoor air entering, m3/s, 0 allowed; with a reversed vent its inflow belongs to it.
    """
    volume, time = as_array(volume_m3), as_array(time_s)
    rate = as_array(air_flow_m3_s) / volume
    added = 1e6 * as_array(source) / volume + rate * as_array(outdoor_ppm)
    return as_array(initial_ppm) * np.exp(-rate * time) + added * _relaxation(-rate, time)


def two_room_series(
    times_s: ArrayLike,
    zone_source_m3_s: Array,
    exchange: AirExchange,
    zone_volume_m3: ArrayLike,
    house_volume_m3: ArrayLike,
    initial_ppm: ArrayLike = 0.0,
    outdoor_ppm: ArrayLike = 0.0,
) -> tuple[Array, Array]:
    """March zone and house through a series of intervals with constant flows.

    Parameters
    ----------
    times_s : array_like, shape (k + 1,)
        Rising times, s; the first is the start.
    zone_source_m3_s : ndarray, shape (k,) or (k, n)
        Carbon monoxide entering the zone in each interval.

    Returns
    -------
    zone_ppm, house_ppm : ndarray, shape (k + 1,) + shape of a sample
        Concentrations at the times, ppm.
    """
    times, source = as_array(times_s), as_array(zone_source_m3_s)
    zone, house = as_array(initial_ppm), as_array(initial_ppm)
    zones, houses = [zone], [house]
    for step, duration in enumerate(np.diff(times)):
        zone, house = two_room_step(
            zone, house, duration, source[step], exchange, zone_volume_m3, house_volume_m3, outdoor_ppm
        )
        zones.append(zone)
        houses.append(house)
    shape = zones[-1].shape
    return (
        np.stack([np.broadcast_to(value, shape) for value in zones]),
        np.stack([np.broadcast_to(value, shape) for value in houses]),
    )


def cohb_rate_pct_min(cohb_pct: ArrayLike, ppm: ArrayLike, blood: BloodModel) -> Array:
    """Return the Coburn-Forster-Kane rate of change of COHb, percent a minute (``cfk-note``)."""
    uptake, release = _rates_per_min(ppm, blood)
    saturation = as_array(cohb_pct) / 100.0
    return 100.0 * (uptake - release * saturation / (1.0 - saturation))


def cohb_equilibrium_pct(ppm: ArrayLike, blood: BloodModel) -> Array:
    """Return the COHb that a constant concentration leads to in the end, percent."""
    uptake, release = _rates_per_min(ppm, blood)
    return 100.0 * uptake / (uptake + release)


def minutes_to_cohb(target_pct: ArrayLike, ppm: ArrayLike, initial_pct: ArrayLike, blood: BloodModel) -> Array:
    """Return the minutes at a constant concentration until COHb reaches the target; infinite when it never does.

    Both uptake (target above the start) and release (below) are answered; 0 when the start is at the target.
    """
    uptake, release = _rates_per_min(ppm, blood)
    total = uptake + release
    level = uptake / total
    start, target = as_array(initial_pct) / 100.0, as_array(target_pct) / 100.0
    gap0, gap = start - level, target - level
    inside = (gap0 * gap > 0.0) & (np.abs(gap) < np.abs(gap0))
    ratio = np.where(inside, gap0 / np.where(gap == 0.0, 1.0, gap), 1.0)
    minutes = ((1.0 - level) * np.log(ratio) + np.where(inside, gap - gap0, 0.0)) / total
    answer: Array = np.where(start == target, 0.0, np.where(inside, minutes, np.inf))
    return answer


@dataclass(frozen=True, slots=True)
class AlarmForm:
    """Constants of the linear COHb formula behind the alarm standard (``ul-2034``)."""

    resistance: float
    time_constant_min: float
    affinity: float
    endogenous: float
    pressure_ppm: float


def alarm_cohb_pct(form: AlarmForm, ppm: ArrayLike, minutes: ArrayLike, initial_pct: ArrayLike = 0.0) -> Array:
    """Return COHb by the linear alarm form, percent: for alarm points only, it over-predicts long high exposures.

    ``c0 e^(-t / 2398 B) + 218 (1 - e^(-t / 2398 B)) (0.007 B + ppm / 1316)`` with the published constants.
    """
    left = np.exp(-as_array(minutes) / (form.time_constant_min * form.resistance))
    end = form.affinity * (form.endogenous * form.resistance + as_array(ppm) / form.pressure_ppm)
    return as_array(initial_pct) * left + end * (1.0 - left)


def alarm_minutes(form: AlarmForm, ppm: ArrayLike, target_pct: ArrayLike) -> Array:
    """Return the minutes until the alarm form reaches a COHb from 0; infinite when it never does."""
    end = form.affinity * (form.endogenous * form.resistance + as_array(ppm) / form.pressure_ppm)
    share = np.minimum(as_array(target_pct) / end, 1.0)
    with np.errstate(divide="ignore"):
        return -form.time_constant_min * form.resistance * np.log1p(-share)


@dataclass(frozen=True, slots=True)
class ShortExposure:
    """Constants of the short-exposure formula (``co-short-formula``)."""

    scale: float
    exponent: float


def short_exposure_cohb_pct(
    form: ShortExposure, ppm: ArrayLike, breathing_l_min: ArrayLike, minutes: ArrayLike
) -> Array:
    """Return the COHb gained in a short exposure, percent: ``scale ppm^exponent RMV t``; no release, no ceiling."""
    return form.scale * np.power(as_array(ppm), form.exponent) * as_array(breathing_l_min) * as_array(minutes)
