"""Combustion of a gaseous fuel with excess air: amounts, temperature, water and carbon monoxide in the flue gas.

Everything is counted for one joule of fuel (higher heating value), so an input in W gives flows a second at once.
Ratios of excess air are fractions (0.5 is 50 %); gas concentrations are volume percent or ppm as the trade reads them.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from advisor.physics.air import (
    AIR_SPECIFIC_HEAT_J_KGK,
    MOLAR_MASS_AIR_KG_MOL,
    MOLAR_MASS_WATER_KG_MOL,
    Array,
    as_array,
    dew_point_k,
    polynomial,
    polynomial_integral,
)
from advisor.units import STANDARD_PRESSURE_PA

OXYGEN_IN_DRY_AIR_PCT = 20.95
"""Oxygen of dry air by volume; the trade's air-free formula rounds it to 20.9 (``AIR_FREE_OXYGEN_PCT``)."""
AIR_FREE_OXYGEN_PCT = 20.9

UNIVERSAL_GAS_CONSTANT_J_MOLK = 8.314462618
DRY_STANDARD_TEMP_K = 293.15
"""Temperature of the dry standard volume, 68 F (20 C), at 101,325 Pa (cfr40-75-f)."""
DRY_STANDARD_M3_MOL = UNIVERSAL_GAS_CONSTANT_J_MOLK * DRY_STANDARD_TEMP_K / STANDARD_PRESSURE_PA

MOLAR_MASS_CO_KG_MOL = 0.028010
_MOLAR_MASS_OXYGEN_KG_MOL = 0.031998
_MOLAR_MASS_CO2_KG_MOL = 0.044009
_OXYGEN_MASS_FRACTION = OXYGEN_IN_DRY_AIR_PCT / 100.0 * _MOLAR_MASS_OXYGEN_KG_MOL / MOLAR_MASS_AIR_KG_MOL

# Latent heat of water at 25 C, where heating values are defined (memory; coolprop gives 2.4417e6).
LATENT_HEAT_J_KG = 2.442e6

# Cubic fits of cp(T), T in K, 250-900 K, to the reference library (coolprop, ideal gas); re-derived in a test.
_OXYGEN_J_KGK = (915.8590, -0.2297260, 9.704220e-4, -5.812191e-7)
_CO2_J_KGK = (434.9742, 1.760682, -1.451763e-3, 4.960369e-7)
_WATER_J_KGK = (1852.145, -0.2936164, 1.272787e-3, -5.499695e-7)


@dataclass(frozen=True, slots=True)
class Fuel:
    """What one joule (higher heating value) of a fuel takes and makes; built by ``advisor.ensemble.properties.fuel``.

    Parameters
    ----------
    name : str
        Catalog name, for example ``natural_gas``.
    higher_heating_value_j_kg : float
        Heat of combustion with the water condensed, J/kg.
    stoichiometric_air_kg_j, stoichiometric_flue_kg_j : float
        Dry air needed and flue gas made (water as vapour) at no excess air, kg/J.
    carbon_dioxide_kg_j, water_kg_j : float
        Carbon dioxide and water formed, kg/J.
    carbon_dioxide_max_dry_pct : float
        Carbon dioxide of the dry flue gas at no excess air, volume percent.
    dry_flue_m3_j : float
        Dry flue gas at no excess air, m3 at 20 C and 101,325 Pa a joule (the factor Fd in SI).
    """

    name: str
    higher_heating_value_j_kg: float
    stoichiometric_air_kg_j: float
    stoichiometric_flue_kg_j: float
    carbon_dioxide_kg_j: float
    water_kg_j: float
    carbon_dioxide_max_dry_pct: float
    dry_flue_m3_j: float

    @property
    def dry_flue_mol_j(self) -> float:
        """Moles of dry flue gas at no excess air, mol/J."""
        return self.dry_flue_m3_j / DRY_STANDARD_M3_MOL

    @property
    def latent_loss_fraction(self) -> float:
        """Share of the higher heating value that leaves as water vapour."""
        return self.water_kg_j * LATENT_HEAT_J_KG


def flue_mass_kg_j(fuel: Fuel, excess_air_fraction: ArrayLike) -> Array:
    """Return the mass of flue gas before the draft hood for one joule, kg/J (dry air; ``ashrae-chimney`` to 3 %)."""
    return fuel.stoichiometric_flue_kg_j + as_array(excess_air_fraction) * fuel.stoichiometric_air_kg_j


def flue_mass_flow_kg_s(fuel: Fuel, input_w: ArrayLike, excess_air_fraction: ArrayLike) -> Array:
    """Return the mass flow of combustion products of an appliance, kg/s.

    Parameters
    ----------
    input_w : array_like
        Gas input (higher heating value) in W, 0 or more.
    excess_air_fraction : array_like
        Excess air, 0 or more; 0.5 is 50 %.
    """
    return as_array(input_w) * flue_mass_kg_j(fuel, excess_air_fraction)


def water_mass_flow_kg_s(fuel: Fuel, input_w: ArrayLike) -> Array:
    """Return the water vapour made by combustion, kg/s."""
    return as_array(input_w) * fuel.water_kg_j


def co2_mass_flow_kg_s(fuel: Fuel, input_w: ArrayLike) -> Array:
    """Return the carbon dioxide made by combustion, kg/s."""
    return as_array(input_w) * fuel.carbon_dioxide_kg_j


def _air_mass_kg_j(fuel: Fuel, excess_air_fraction: ArrayLike, dilution_ratio: ArrayLike) -> Array:
    """Air that went into the (diluted) gas, kg/J: combustion air and hood air. ``dilution_ratio`` is w / wf."""
    excess = as_array(excess_air_fraction)
    combustion = fuel.stoichiometric_air_kg_j * (1.0 + excess)
    return combustion + (as_array(dilution_ratio) - 1.0) * flue_mass_kg_j(fuel, excess)


def _extra_heat_j_k(fuel: Fuel) -> tuple[float, ...]:
    """Heat capacity of products minus that of the air consumed, as a cubic, J/K for one joule of fuel.

    The gas is counted as "air, plus carbon dioxide and water, minus the oxygen used": argon and nitrogen then go with
    the air, and only the fuel's own small inert share is left, counted as air.
    """
    oxygen_used = fuel.stoichiometric_air_kg_j * _OXYGEN_MASS_FRACTION
    rest = (
        fuel.stoichiometric_flue_kg_j
        - fuel.carbon_dioxide_kg_j
        - fuel.water_kg_j
        - (fuel.stoichiometric_air_kg_j - oxygen_used)
    )
    return tuple(
        fuel.carbon_dioxide_kg_j * co2 + fuel.water_kg_j * water - oxygen_used * oxygen + rest * air
        for co2, water, oxygen, air in zip(
            _CO2_J_KGK, _WATER_J_KGK, _OXYGEN_J_KGK, AIR_SPECIFIC_HEAT_J_KGK, strict=True
        )
    )


def flue_specific_heat_j_kgk(
    fuel: Fuel, excess_air_fraction: ArrayLike, temp_k: ArrayLike, dilution_ratio: ArrayLike = 1.0
) -> Array:
    """Return the heat capacity of (diluted) flue gas, J/kgK, 250-900 K, water as vapour."""
    mass = flue_mass_kg_j(fuel, excess_air_fraction) * as_array(dilution_ratio)
    air = _air_mass_kg_j(fuel, excess_air_fraction, dilution_ratio)
    heat = air * polynomial(AIR_SPECIFIC_HEAT_J_KGK, temp_k) + polynomial(_extra_heat_j_k(fuel), temp_k)
    return heat / mass


def flue_temp_k(
    fuel: Fuel, excess_air_fraction: ArrayLike, efficiency_fraction: ArrayLike, air_temp_k: ArrayLike
) -> Array:
    """Return the flue temperature before the draft hood from the steady efficiency by energy balance.

    All heat that is not in the water leaves through the flue: sensible above the air's temperature, and the latent heat
    of the water formed.

    Parameters
    ----------
    efficiency_fraction : array_like
        Steady (combustion) efficiency on the higher heating value, below 1 minus the latent share (about 0.90).
    air_temp_k : array_like
        Temperature of the combustion air, K.

    Returns
    -------
    ndarray
        Temperature in K; equals ``air_temp_k`` when nothing sensible is left. Within 5 F of cantera (check CC-17).
    """
    air_temp = as_array(air_temp_k)
    excess = as_array(excess_air_fraction)
    sensible = np.maximum(1.0 - as_array(efficiency_fraction) - fuel.latent_loss_fraction, 0.0)
    air = fuel.stoichiometric_air_kg_j * (1.0 + excess)
    extra = _extra_heat_j_k(fuel)
    mass = flue_mass_kg_j(fuel, excess)
    temp: Array = air_temp + sensible / (mass * flue_specific_heat_j_kgk(fuel, excess, air_temp))
    for _ in range(4):  # Newton on a gently bent curve: three steps reach rounding
        held = air * polynomial_integral(AIR_SPECIFIC_HEAT_J_KGK, air_temp, temp)
        held = held + polynomial_integral(extra, air_temp, temp)
        temp = temp - (held - sensible) / (mass * flue_specific_heat_j_kgk(fuel, excess, temp))
    return temp


def efficiency_fraction(
    fuel: Fuel, excess_air_fraction: ArrayLike, flue_temp: ArrayLike, air_temp_k: ArrayLike
) -> Array:
    """Return the steady efficiency on the higher heating value from the flue temperature (inverse of the above)."""
    air = fuel.stoichiometric_air_kg_j * (1.0 + as_array(excess_air_fraction))
    held = air * polynomial_integral(AIR_SPECIFIC_HEAT_J_KGK, air_temp_k, flue_temp)
    held = held + polynomial_integral(_extra_heat_j_k(fuel), air_temp_k, flue_temp)
    return 1.0 - held - fuel.latent_loss_fraction


def water_vapor_fraction(
    fuel: Fuel,
    excess_air_fraction: ArrayLike,
    dilution_ratio: ArrayLike = 1.0,
    room_humidity_ratio_kg_kg: ArrayLike = 0.0,
) -> Array:
    """Return the mole fraction of water vapour in the (diluted) gas; all air has the room's humidity ratio."""
    air = _air_mass_kg_j(fuel, excess_air_fraction, dilution_ratio)
    water_mol = (fuel.water_kg_j + air * as_array(room_humidity_ratio_kg_kg)) / MOLAR_MASS_WATER_KG_MOL
    dry_mol = fuel.dry_flue_mol_j + (air - fuel.stoichiometric_air_kg_j) / MOLAR_MASS_AIR_KG_MOL
    return water_mol / (water_mol + dry_mol)


def flue_dew_point_k(
    fuel: Fuel,
    excess_air_fraction: ArrayLike,
    dilution_ratio: ArrayLike = 1.0,
    room_humidity_ratio_kg_kg: ArrayLike = 0.0,
    pressure_pa: ArrayLike = STANDARD_PRESSURE_PA,
) -> Array:
    """Return the dew point of the (diluted) flue gas in K (sulphur left out), within 0.3 K of coolprop (CC-16)."""
    fraction = water_vapor_fraction(fuel, excess_air_fraction, dilution_ratio, room_humidity_ratio_kg_kg)
    return dew_point_k(fraction * as_array(pressure_pa))


def air_free_from_o2_ppm(measured_ppm: ArrayLike, o2_pct: ArrayLike) -> Array:
    """Return air-free carbon monoxide from a reading and the oxygen beside it (percent, below 20.9)."""
    return as_array(measured_ppm) * AIR_FREE_OXYGEN_PCT / (AIR_FREE_OXYGEN_PCT - as_array(o2_pct))


def co_emission_kg_j(fuel: Fuel, air_free_ppm: ArrayLike) -> Array:
    """Return the carbon monoxide made for one joule of fuel, kg/J, from its air-free concentration."""
    return as_array(air_free_ppm) * 1e-6 * fuel.dry_flue_mol_j * MOLAR_MASS_CO_KG_MOL


def co_mass_flow_kg_s(fuel: Fuel, input_w: ArrayLike, air_free_ppm: ArrayLike) -> Array:
    """Return the carbon monoxide made by an appliance, kg/s."""
    return as_array(input_w) * co_emission_kg_j(fuel, air_free_ppm)
