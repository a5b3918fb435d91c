"""Formulae that only tests use, beside `advisor.physics.combustion`."""

from __future__ import annotations

from numpy.typing import ArrayLike

from advisor.physics.air import (
    AIR_SPECIFIC_HEAT_J_KGK,
    MOLAR_MASS_AIR_KG_MOL,
    MOLAR_MASS_WATER_KG_MOL,
    Array,
    as_array,
    polynomial,
)
from advisor.physics.combustion import (
    AIR_FREE_OXYGEN_PCT,
    OXYGEN_IN_DRY_AIR_PCT,
    Fuel,
    _air_mass_kg_j,
    flue_mass_kg_j,
    flue_specific_heat_j_kgk,
)


def air_to_dry_flue(fuel: Fuel) -> float:
    """Volume of stoichiometric air over volume of stoichiometric dry flue gas."""
    return fuel.stoichiometric_air_kg_j / MOLAR_MASS_AIR_KG_MOL / fuel.dry_flue_mol_j


def co2_dry_pct(fuel: Fuel, excess_air_fraction: ArrayLike) -> Array:
    """Return carbon dioxide of the dry flue gas, volume percent."""
    return fuel.carbon_dioxide_max_dry_pct / (1.0 + as_array(excess_air_fraction) * air_to_dry_flue(fuel))


def o2_dry_pct(fuel: Fuel, excess_air_fraction: ArrayLike) -> Array:
    """Return oxygen of the dry flue gas, volume percent."""
    excess = as_array(excess_air_fraction) * air_to_dry_flue(fuel)
    return OXYGEN_IN_DRY_AIR_PCT * excess / (1.0 + excess)


def excess_air_from_co2(fuel: Fuel, co2_pct: ArrayLike) -> Array:
    """Return the excess air fraction from a dry carbon dioxide reading, % (0 < reading <= the fuel's maximum)."""
    return (fuel.carbon_dioxide_max_dry_pct / as_array(co2_pct) - 1.0) / air_to_dry_flue(fuel)


def excess_air_from_o2(fuel: Fuel, o2_pct: ArrayLike) -> Array:
    """Return the excess air fraction from a dry oxygen reading, percent (0 to below 20.95)."""
    oxygen = as_array(o2_pct)
    return oxygen / (OXYGEN_IN_DRY_AIR_PCT - oxygen) / air_to_dry_flue(fuel)


def diluted_co2_pct(fuel: Fuel, excess_air_fraction: ArrayLike, dilution_ratio: ArrayLike) -> Array:
    """Return dry carbon dioxide after the draft hood, volume percent.

    Parameters
    ----------
    excess_air_fraction : array_like
        Excess air at the burner.
    dilution_ratio : array_like
        Vent flow over combustion products by mass (w / wf), at least 1; 1 is no room air through the hood.
    """
    total_excess = _air_mass_kg_j(fuel, excess_air_fraction, dilution_ratio) / fuel.stoichiometric_air_kg_j - 1.0
    return co2_dry_pct(fuel, total_excess)


def dilution_ratio_for_co2(fuel: Fuel, excess_air_fraction: ArrayLike, co2_pct: ArrayLike) -> Array:
    """Return w / wf that brings the dry carbon dioxide down to ``co2_pct`` (inverse of ``diluted_co2_pct``)."""
    added = excess_air_from_co2(fuel, co2_pct) - as_array(excess_air_fraction)
    return 1.0 + added * fuel.stoichiometric_air_kg_j / flue_mass_kg_j(fuel, excess_air_fraction)


def mixed_temp_k(
    fuel: Fuel,
    excess_air_fraction: ArrayLike,
    flue_temp: ArrayLike,
    room_temp_k: ArrayLike,
    dilution_ratio: ArrayLike,
) -> Array:
    """Return the temperature after the hood has mixed flue gas with room air (enthalpy balance, w / wf at least 1)."""
    hot, room = as_array(flue_temp), as_array(room_temp_k)
    added = as_array(dilution_ratio) - 1.0
    flue_cp = flue_specific_heat_j_kgk(fuel, excess_air_fraction, 0.75 * hot + 0.25 * room)
    air_cp = polynomial(AIR_SPECIFIC_HEAT_J_KGK, room)
    return (flue_cp * hot + added * air_cp * room) / (flue_cp + added * air_cp)


def flue_molar_mass_kg_mol(fuel: Fuel, excess_air_fraction: ArrayLike, dilution_ratio: ArrayLike = 1.0) -> Array:
    """Return the molar mass of the (diluted) gas with dry air, kg/mol; its ratio to air's is the density ratio."""
    mass = flue_mass_kg_j(fuel, excess_air_fraction) * as_array(dilution_ratio)
    air = _air_mass_kg_j(fuel, excess_air_fraction, dilution_ratio)
    mol = fuel.water_kg_j / MOLAR_MASS_WATER_KG_MOL + fuel.dry_flue_mol_j
    return mass / (mol + (air - fuel.stoichiometric_air_kg_j) / MOLAR_MASS_AIR_KG_MOL)


def air_free_from_co2_ppm(fuel: Fuel, measured_ppm: ArrayLike, co2_pct: ArrayLike) -> Array:
    """Return air-free carbon monoxide from a reading and the carbon dioxide beside it (percent, above 0)."""
    return as_array(measured_ppm) * fuel.carbon_dioxide_max_dry_pct / as_array(co2_pct)


def measured_from_air_free_ppm(air_free_ppm: ArrayLike, o2_pct: ArrayLike) -> Array:
    """Return what an analyser would read at an oxygen content (percent, 0 to 20.9)."""
    return as_array(air_free_ppm) * (AIR_FREE_OXYGEN_PCT - as_array(o2_pct)) / AIR_FREE_OXYGEN_PCT
