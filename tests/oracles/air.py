"""Formulae that only tests use, beside `advisor.physics.air`."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from advisor.physics.air import (
    _MAGNUS_PA,
    _MAGNUS_SLOPE,
    _MAGNUS_TEMP_C,
    AIR_SPECIFIC_HEAT_J_KGK,
    DRY_AIR_GAS_CONSTANT_J_KGK,
    MOLAR_MASS_AIR_KG_MOL,
    MOLAR_MASS_WATER_KG_MOL,
    Array,
    as_array,
    polynomial,
)
from advisor.units import STANDARD_GRAVITY_M_S2, STANDARD_PRESSURE_PA, celsius_from_kelvin

WATER_TO_AIR_MASS_RATIO = MOLAR_MASS_WATER_KG_MOL / MOLAR_MASS_AIR_KG_MOL

# Sutherland's law with the constants of the 1976 standard atmosphere (memory; within 2 % of coolprop, 0 to 600 F).
_SUTHERLAND_FACTOR = 1.458e-6
_SUTHERLAND_TEMP_K = 110.4

# Thermal conductivity of air after the 1976 standard atmosphere (memory; within 2 % of coolprop, 0 to 600 F).
_CONDUCTIVITY_FACTOR = 2.646e-3
_CONDUCTIVITY_TEMP_K = 245.4


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


def saturation_pressure_pa(temp_k: ArrayLike) -> Array:
    """Return the saturation pressure of water vapour over water in Pa, 0 to 70 C."""
    temp_c = celsius_from_kelvin(as_array(temp_k))
    return _MAGNUS_PA * np.exp(_MAGNUS_SLOPE * temp_c / (_MAGNUS_TEMP_C + temp_c))


def humidity_ratio_kg_kg(
    temp_k: ArrayLike, relative_humidity: ArrayLike, pressure_pa: ArrayLike = STANDARD_PRESSURE_PA
) -> Array:
    """Return kg of water vapour a kg of dry air from temperature (K) and relative humidity (0 to 1)."""
    vapor = as_array(relative_humidity) * saturation_pressure_pa(temp_k)
    return WATER_TO_AIR_MASS_RATIO * vapor / (as_array(pressure_pa) - vapor)


def viscosity_pa_s(temp_k: ArrayLike) -> Array:
    """Return the dynamic viscosity of air in Pa s (Sutherland's law), 250-600 K."""
    temp = as_array(temp_k)
    return _SUTHERLAND_FACTOR * temp**1.5 / (temp + _SUTHERLAND_TEMP_K)


def thermal_conductivity_w_mk(temp_k: ArrayLike) -> Array:
    """Return the thermal conductivity of air in W/mK, 250-600 K."""
    temp = as_array(temp_k)
    return _CONDUCTIVITY_FACTOR * temp**1.5 / (temp + _CONDUCTIVITY_TEMP_K * 10.0 ** (-12.0 / temp))


def specific_heat_j_kgk(temp_k: ArrayLike) -> Array:
    """Return the heat capacity at constant pressure of dry air in J/kgK, 250-900 K."""
    return polynomial(AIR_SPECIFIC_HEAT_J_KGK, temp_k)


def stack_pressure_pa(
    outdoor_temp_k: ArrayLike,
    inside_temp_k: ArrayLike,
    height_m: ArrayLike,
    pressure_pa: ArrayLike = STANDARD_PRESSURE_PA,
) -> Array:
    """Return the buoyancy pressure of a column, ``g H (rho_out - rho_in)`` in Pa, positive when the inside is warmer.

    For a vent full of room air this is the depressurization that just holds it still (check CC-31, ``own-calc``).
    """
    difference = density_kg_m3(outdoor_temp_k, pressure_pa) - density_kg_m3(inside_temp_k, pressure_pa)
    return STANDARD_GRAVITY_M_S2 * as_array(height_m) * difference
