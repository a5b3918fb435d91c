"""Properties of air: gas constant, pressure at altitude, heat capacity, dew point.

All functions are pure, in SI, and work on floats or arrays that broadcast. The constants of nature and the fitted
polynomials stand here because they belong to the formulas; a test re-derives the fits from the reference library and
holds every function against a table.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from advisor.units import STANDARD_PRESSURE_PA, kelvin_from_celsius

Array = NDArray[np.float64]

DRY_AIR_GAS_CONSTANT_J_KGK = 287.055
"""Gas constant of dry air (ashrae-f16-2021 and the 1976 standard atmosphere agree within 0.01 %)."""

MOLAR_MASS_AIR_KG_MOL = 0.028964
MOLAR_MASS_WATER_KG_MOL = 0.018015

# Cubic fits of cp(T), T in K, 250-900 K, to the reference library (coolprop); re-derived in tests/physics/test_physics_air.py.
AIR_SPECIFIC_HEAT_J_KGK = (1046.378, -0.3581672, 8.486439e-4, -3.990467e-7)

# Magnus form with the WMO constants, solved for the dew point (memory; within 0.3 % of psychrolib, 0 to 60 C).
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


def standard_pressure_pa(altitude_m: ArrayLike) -> Array:
    """Return the pressure of the standard atmosphere at an altitude in m (-500 to 11,000), in Pa (psychrolib)."""
    return STANDARD_PRESSURE_PA * (1.0 - _LAPSE_PER_M * as_array(altitude_m)) ** _LAPSE_EXPONENT


def dew_point_k(vapor_pressure_pa: ArrayLike) -> Array:
    """Return the temperature in K at which the vapour pressure (Pa, above 0) saturates, 273 to 343 K: Magnus form."""
    logarithm = np.log(as_array(vapor_pressure_pa) / _MAGNUS_PA)
    return kelvin_from_celsius(_MAGNUS_TEMP_C * logarithm / (_MAGNUS_SLOPE - logarithm))
