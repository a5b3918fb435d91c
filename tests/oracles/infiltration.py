"""Formulae that only tests use, beside `advisor.physics.infiltration`."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from advisor.physics.air import Array, as_array
from advisor.physics.infiltration import (
    LEAKAGE_AREA_PRESSURE_PA,
    REFERENCE_PRESSURE_PA,
    STANDARD_DENSITY_KG_M3,
    leakage_flow,
)

EQUIVALENT_AREA_PRESSURE_PA = 10.0
"""Reference pressure of the equivalent leakage area (EqLA), with discharge coefficient 0.611 (``ela-note``)."""


EQUIVALENT_AREA_DISCHARGE = 0.611


def leakage_coefficient(
    reference_flow: ArrayLike, exponent: ArrayLike, reference_pa: ArrayLike = REFERENCE_PRESSURE_PA
) -> Array:
    """Return C of ``Q = C dp^n``: the flow at 1 Pa, in the unit of the flow given (``ashrae-f16-2021``)."""
    return as_array(reference_flow) / as_array(reference_pa) ** as_array(exponent)


def baseline_error_fraction(baseline_pa: ArrayLike, exponent: ArrayLike) -> Array:
    """Return the share by which a flow at an indicated 50 Pa misses CFM50 when a baseline was ignored.

    The envelope then really saw 50 Pa minus the baseline (``blower-door-note``, check LIM-20).
    """
    true = 1.0 - as_array(baseline_pa) / REFERENCE_PRESSURE_PA
    return 1.0 - true ** as_array(exponent)


def air_changes_per_hour(flow_m3_s: ArrayLike, volume_m3: ArrayLike) -> Array:
    """Return air changes an hour of a flow (m3/s) in a volume (m3)."""
    return as_array(flow_m3_s) * 3600.0 / as_array(volume_m3)


def flow_from_air_changes_m3_s(air_changes_h: ArrayLike, volume_m3: ArrayLike) -> Array:
    """Return the flow in m3/s of air changes an hour in a volume (m3)."""
    return as_array(air_changes_h) * as_array(volume_m3) / 3600.0


def leakage_area_m2(
    flow_m3_s: ArrayLike,
    pressure_pa: ArrayLike,
    discharge_coefficient: ArrayLike = 1.0,
    density_kg_m3: ArrayLike = STANDARD_DENSITY_KG_M3,
) -> Array:
    """Return the area of the orifice with this flow at this pressure, m2 (``ashrae-f16-2021``, ``buildings-lib``)."""
    speed = np.sqrt(2.0 * as_array(pressure_pa) / as_array(density_kg_m3))
    return as_array(flow_m3_s) / (as_array(discharge_coefficient) * speed)


def effective_leakage_area_m2(
    flow50_m3_s: ArrayLike, exponent: ArrayLike, density_kg_m3: ArrayLike = STANDARD_DENSITY_KG_M3
) -> Array:
    """Return the effective leakage area at 4 Pa, m2, from the flow at 50 Pa in m3/s."""
    flow = leakage_flow(flow50_m3_s, exponent, LEAKAGE_AREA_PRESSURE_PA)
    return leakage_area_m2(flow, LEAKAGE_AREA_PRESSURE_PA, 1.0, density_kg_m3)


def equivalent_leakage_area_m2(
    flow50_m3_s: ArrayLike, exponent: ArrayLike, density_kg_m3: ArrayLike = STANDARD_DENSITY_KG_M3
) -> Array:
    """Return the equivalent leakage area at 10 Pa, m2, from the flow at 50 Pa in m3/s."""
    flow = leakage_flow(flow50_m3_s, exponent, EQUIVALENT_AREA_PRESSURE_PA)
    return leakage_area_m2(flow, EQUIVALENT_AREA_PRESSURE_PA, EQUIVALENT_AREA_DISCHARGE, density_kg_m3)


def normalized_leakage(leakage_area: ArrayLike, floor_area_m2: ArrayLike, height_m: ArrayLike) -> Array:
    """Return ``NL = 1000 (ELA / A)(H / 2.5)^0.3`` with ELA and A in m2, H the height of the house in m.

    The printed equation of ``lbnl-leakage-2013`` is garbled; this form repeats its rule NL 0.55 = 10 ACH50 (INF-9).
    """
    return 1000.0 * as_array(leakage_area) / as_array(floor_area_m2) * (as_array(height_m) / 2.5) ** 0.3


def basic_infiltration_m3_s(
    leakage_area: ArrayLike,
    temp_difference_k: ArrayLike,
    wind_m_s: ArrayLike,
    stack_coefficient: ArrayLike,
    wind_coefficient: ArrayLike,
) -> Array:
    """Return the infiltration of the basic model, m3/s (``ashrae-f16-2021``, table "basic").

    ``Q = (AL[cm2] / 1000) sqrt(Cs |dT| + Cw U^2)``.

    Parameters
    ----------
    leakage_area : array_like
        Effective leakage area at 4 Pa, m2.
    temp_difference_k : array_like
        Indoor minus outdoor temperature, K.
    wind_m_s : array_like
        Wind at the weather station, m/s.
    """
    driving = as_array(stack_coefficient) * np.abs(as_array(temp_difference_k))
    driving = driving + as_array(wind_coefficient) * as_array(wind_m_s) ** 2
    return as_array(leakage_area) * 1e4 / 1000.0 * np.sqrt(driving)


@dataclass(frozen=True, slots=True)
class EnhancedCoefficients:
    """Stack, wind, shelter and wind-speed coefficients of the enhanced model for one kind of house."""

    stack: float
    wind: float
    shelter: float
    speed: float


def flow_coefficient_from_area(
    leakage_area: ArrayLike, exponent: ArrayLike, density_kg_m3: ArrayLike = STANDARD_DENSITY_KG_M3
) -> Array:
    """Return c of the enhanced model, m3/(s Pa^n), from the effective leakage area at 4 Pa in m2 (INF-7)."""
    power = 0.5 - as_array(exponent)
    return as_array(leakage_area) * np.sqrt(2.0 / as_array(density_kg_m3)) * LEAKAGE_AREA_PRESSURE_PA**power


def enhanced_infiltration_m3_s(
    coefficients: EnhancedCoefficients,
    flow_coefficient: ArrayLike,
    exponent: ArrayLike,
    temp_difference_k: ArrayLike,
    wind_m_s: ArrayLike,
) -> tuple[Array, Array, Array]:
    """Return stack, wind and total infiltration of the enhanced model, m3/s (``ashrae-f16-2021``).

    ``Qs = c Cs dT^n``, ``Qw = c Cw (s G U)^(2n)``, ``Q = sqrt(Qs^2 + Qw^2)``; within 10 % with known parameters.

    Parameters
    ----------
    flow_coefficient, exponent : array_like
        c in m3/(s Pa^n) and n of the envelope.
    temp_difference_k, wind_m_s : array_like
        Indoor minus outdoor temperature, K; wind at the weather station, m/s.
    """
    power, size = as_array(exponent), as_array(flow_coefficient)
    stack = size * coefficients.stack * np.abs(as_array(temp_difference_k)) ** power
    sheltered = coefficients.shelter * coefficients.speed * as_array(wind_m_s)
    wind = size * coefficients.wind * sheltered ** (2.0 * power)
    return stack, wind, np.hypot(stack, wind)


@dataclass(frozen=True, slots=True)
class DrivingForce:
    """Coefficients ``I0, I1, I2`` of the quick design method for one season (``ashrae-f17-2021``)."""

    base: float
    stack: float
    flue: float


def infiltration_driving_force(
    coefficients: DrivingForce,
    height_m: ArrayLike,
    temp_difference_k: ArrayLike,
    flue_area_fraction: ArrayLike = 0.0,
) -> Array:
    """Return the infiltration driving force IDF, L/(s cm2), ``(I0 + H |dT| (I1 + I2 AL,flue / AL)) / 1000``.

    The printed equation 10 of ``ashrae-f17-2021`` is scrambled; this form repeats its Table 5 (INF-8). The flue may
    be at most half of the leakage.
    """
    term = coefficients.stack + coefficients.flue * as_array(flue_area_fraction)
    return (coefficients.base + as_array(height_m) * np.abs(as_array(temp_difference_k)) * term) / 1000.0


def design_infiltration_m3_s(leakage_area: ArrayLike, driving_force_l_s_cm2: ArrayLike) -> Array:
    """Return ``Q = AL x IDF`` in m3/s from the leakage area in m2 (``ashrae-f17-2021``)."""
    return as_array(leakage_area) * 1e4 * as_array(driving_force_l_s_cm2) / 1000.0


def total_ventilation(balanced: ArrayLike, unbalanced: ArrayLike, infiltration: ArrayLike) -> Array:
    """Return air exchange with fans, ``Qbal + sqrt(Qunbal^2 + Qinf^2)``, any one unit (``ashrae-f16-2021`` eq. 51)."""
    return as_array(balanced) + np.hypot(as_array(unbalanced), as_array(infiltration))


def total_ventilation_half_rule(unbalanced: ArrayLike, infiltration: ArrayLike) -> Array:
    """Return ``max(Qunbal, Qinf + Qunbal / 2)``, any one unit (``ashrae-f17-2021`` eq. 14)."""
    fans = as_array(unbalanced)
    return np.maximum(fans, as_array(infiltration) + 0.5 * fans)


@dataclass(frozen=True, slots=True)
class VentilationRule:
    """Whole-house ventilation: flow for the floor area and for bedrooms plus one (``ashrae-f17-2021`` eq. 11)."""

    l_s_per_m2: float
    l_s_per_person: float


def required_ventilation_m3_s(rule: VentilationRule, floor_area_m2: ArrayLike, bedrooms: ArrayLike) -> Array:
    """Return the whole-house ventilation asked for, m3/s (LIM-23)."""
    people = as_array(bedrooms) + 1.0
    return (rule.l_s_per_m2 * as_array(floor_area_m2) + rule.l_s_per_person * people) / 1000.0


@dataclass(frozen=True, slots=True)
class Terrain:
    """Exponent and thickness (m) of the wind profile over one kind of terrain (``ashrae-f16-2005``)."""

    alpha: float
    delta_m: float


def local_wind_m_s(station_wind_m_s: ArrayLike, height_m: ArrayLike, local: Terrain, station: Terrain) -> Array:
    """Return the wind at a height over local terrain from the station's 10 m wind, m/s (``ashrae-f16-2021``)."""
    gradient = as_array(station_wind_m_s) * (station.delta_m / 10.0) ** station.alpha
    wind: Array = gradient * (as_array(height_m) / local.delta_m) ** local.alpha
    return wind


def wind_pressure_pa(pressure_coefficient: ArrayLike, wind_m_s: ArrayLike, density_kg_m3: ArrayLike) -> Array:
    """Return the wind pressure ``Cp rho U^2 / 2`` on a face, Pa."""
    return as_array(pressure_coefficient) * as_array(density_kg_m3) * as_array(wind_m_s) ** 2 / 2.0
