"""Formulae that only tests use, beside `advisor.physics.air`."""

from __future__ import annotations

from numpy.typing import ArrayLike

from advisor.physics.air import (
    _CONDUCTIVITY_FACTOR,
    _CONDUCTIVITY_TEMP_K,
    _SUTHERLAND_FACTOR,
    _SUTHERLAND_TEMP_K,
    AIR_SPECIFIC_HEAT_J_KGK,
    Array,
    as_array,
    density_kg_m3,
    polynomial,
)
from advisor.units import STANDARD_GRAVITY_M_S2, STANDARD_PRESSURE_PA


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
