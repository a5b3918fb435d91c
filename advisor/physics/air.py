"""Properties of air: density, pressure at altitude, viscosity, heat capacity, water vapour.

All functions are pure, in SI, and work on floats or arrays that broadcast. The constants of nature and the fitted
polynomials stand here because they belong to the formulas; a test re-derives the fits from the reference library and
holds every function against a table.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from advisor.units import STANDARD_PRESSURE_PA, celsius_from_kelvin, kelvin_from_celsius

Array = NDArray[np.float64]

DRY_AIR_GAS_CONSTANT_J_KGK = 287.055
"""Gas constant of dry air (ashrae-f16-2021 and the 1976 standard atmosphere agree within 0.01 %)."""

MOLAR_MASS_AIR_KG_MOL = 0.028964
MOLAR_MASS_WATER_KG_MOL = 0.018015
WATER_TO_AIR_MASS_RATIO = MOLAR_MASS_WATER_KG_MOL / MOLAR_MASS_AIR_KG_MOL

# Cubic fits of cp(T), T in K, 250-900 K, to the reference library (coolprop); re-derived in tests/physics/test_physics_air.py.
AIR_SPECIFIC_HEAT_J_KGK = (1046.378, -0.3581672, 8.486439e-4, -3.990467e-7)

# Sutherland's law with the constants of the 1976 standard atmosphere (memory; within 2 % of coolprop, 0 to 600 F).
_SUTHERLAND_FACTOR = 1.458e-6
_SUTHERLAND_TEMP_K = 110.4

# Thermal conductivity of air after the 1976 standard atmosphere (memory; within 2 % of coolprop, 0 to 600 F).
_CONDUCTIVITY_FACTOR = 2.646e-3
_CONDUCTIVITY_TEMP_K = 245.4

# Saturation pressure over water, Magnus form with the WMO constants (memory; within 0.3 % of psychrolib, 0 to 60 C).
_MAGNUS_PA, _MAGNUS_SLOPE, _MAGNUS_TEMP_C = 611.2, 17.62, 243.12

# Standard atmosphere below 11 km (memory; psychrolib uses the same form).
_LAPSE_PER_M, _LAPSE_EXPONENT = 2.25577e-5, 5.2559


def as_array(value: ArrayLike) -> Array:
    """Return ``value`` as a float64 array without copying when possible."""
    return np.asarray(value, dtype=np.float64)


def polynomial(coefficients: tuple[float, ...], temp_k: ArrayLike) -> Array:
    """Evaluate ``c0 + c1 T + c2 T^2 + ...`` (Horner)."""
    temp = as_array(temp_k)
    total: Array = np.zeros_like(temp)
    for coefficient in reversed(coefficients):
        total = total * temp + coefficient
    return total


def polynomial_integral(coefficients: tuple[float, ...], from_k: ArrayLike, to_k: ArrayLike) -> Array:
    """Integrate a polynomial in temperature: enthalpy difference from a heat capacity, J/kg."""
    primitive = (0.0, *(c / (power + 1) for power, c in enumerate(coefficients)))
    return polynomial(primitive, to_k) - polynomial(primitive, from_k)


def density_kg_m3(
    temp_k: ArrayLike, pressure_pa: ArrayLike = STANDARD_PRESSURE_PA, humidity_ratio_kg_kg: ArrayLike = 0.0
) -> Array:
    """Return the density of air as an ideal gas.

    Parameters
    ----------
    temp_k : array_like
        Temperature in K, 200-1000.
    pressure_pa : array_like
        Absolute pressure in Pa.
    humidity_ratio_kg_kg : array_like
        Water vapour a kg of dry air; 0 is dry air.

    Returns
    -------
    ndarray
        Density in kg/m3 (of the moist mixture), within 0.1 % of coolprop.
    """
    water = as_array(humidity_ratio_kg_kg)
    dry = as_array(pressure_pa) / (DRY_AIR_GAS_CONSTANT_J_KGK * as_array(temp_k))
    return dry * (1.0 + water) / (1.0 + water / WATER_TO_AIR_MASS_RATIO)


def standard_pressure_pa(altitude_m: ArrayLike) -> Array:
    """Return the pressure of the standard atmosphere at an altitude in m (-500 to 11,000), in Pa (psychrolib)."""
    return STANDARD_PRESSURE_PA * (1.0 - _LAPSE_PER_M * as_array(altitude_m)) ** _LAPSE_EXPONENT


def saturation_pressure_pa(temp_k: ArrayLike) -> Array:
    """Return the saturation pressure of water vapour over water in Pa, 0 to 70 C."""
    temp_c = celsius_from_kelvin(as_array(temp_k))
    return _MAGNUS_PA * np.exp(_MAGNUS_SLOPE * temp_c / (_MAGNUS_TEMP_C + temp_c))


def dew_point_k(vapor_pressure_pa: ArrayLike) -> Array:
    """Return the temperature in K at which the vapour pressure (Pa, above 0) saturates: inverse of the above."""
    logarithm = np.log(as_array(vapor_pressure_pa) / _MAGNUS_PA)
    return kelvin_from_celsius(_MAGNUS_TEMP_C * logarithm / (_MAGNUS_SLOPE - logarithm))


def humidity_ratio_kg_kg(
    temp_k: ArrayLike, relative_humidity: ArrayLike, pressure_pa: ArrayLike = STANDARD_PRESSURE_PA
) -> Array:
    """Return kg of water vapour a kg of dry air from temperature (K) and relative humidity (0 to 1)."""
    vapor = as_array(relative_humidity) * saturation_pressure_pa(temp_k)
    return WATER_TO_AIR_MASS_RATIO * vapor / (as_array(pressure_pa) - vapor)
