"""Published closed forms for chimneys and vents: draft, steady flow, heat loss, friction, two national methods.

The march in `startup` predicts; these forms are what the trade and the standards calculate by hand. They serve quick
estimates and as checks of the march. Published coefficients come as arguments (``catalog/physics/physics_chimney.csv``).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from advisor.physics.air import DRY_AIR_GAS_CONSTANT_J_KGK, Array, as_array, polynomial
from advisor.units import STANDARD_GRAVITY_M_S2, STANDARD_PRESSURE_PA, celsius_from_kelvin, kelvin_from_celsius

# Pipe flow: laminar below the first, Colebrook above the second, a straight blend between (fluids switches at 2040).
_LAMINAR_BELOW, _TURBULENT_ABOVE = 2000.0, 3000.0


def theoretical_draft_pa(
    outdoor_temp_k: ArrayLike,
    mean_gas_temp_k: ArrayLike,
    height_m: ArrayLike,
    pressure_pa: ArrayLike = STANDARD_PRESSURE_PA,
) -> Array:
    """Return the draft of a still column, ``g/R B H (1/To - 1/Tm)`` in Pa, flue gas taken as air.

    The printed constant is 0.03413 where g/R is 0.034163 (``ashrae-chimney``); the difference is 0.1 %.
    """
    inverse = 1.0 / as_array(outdoor_temp_k) - 1.0 / as_array(mean_gas_temp_k)
    constant = STANDARD_GRAVITY_M_S2 / DRY_AIR_GAS_CONSTANT_J_KGK
    return constant * as_array(pressure_pa) * as_array(height_m) * inverse


def available_draft_pa(
    theoretical_pa: ArrayLike, flow_loss_pa: ArrayLike = 0.0, depressurization_pa: ArrayLike = 0.0
) -> Array:
    """Return the draft left after flow losses and the zone's depressurization, Pa; below 0 the vent reverses.

    Source: ``manual-vent-accessory`` (check CC-08), ``lbnl-5798e``.
    """
    return as_array(theoretical_pa) - as_array(flow_loss_pa) - as_array(depressurization_pa)


def steady_flow_kg_s(
    area_m2: ArrayLike,
    mean_gas_temp_k: ArrayLike,
    driving_pressure_pa: ArrayLike,
    resistance: ArrayLike,
    pressure_pa: ArrayLike = STANDARD_PRESSURE_PA,
) -> Array:
    """Return the steady mass flow ``A sqrt(2 rho_m dp / k)`` in kg/s, signed like the driving pressure.

    Parameters
    ----------
    area_m2 : array_like
        Cross-section of the vent, m2.
    driving_pressure_pa : array_like
        Theoretical draft minus depressurization, Pa.
    resistance : array_like
        Sum of loss coefficients in velocity heads, above 0.
    """
    driving = as_array(driving_pressure_pa)
    density = as_array(pressure_pa) / (DRY_AIR_GAS_CONSTANT_J_KGK * as_array(mean_gas_temp_k))
    return np.sign(driving) * as_array(area_m2) * np.sqrt(2.0 * density * np.abs(driving) / as_array(resistance))


def vent_capacity_w(flow_kg_s: ArrayLike, vent_gas_kg_j: ArrayLike) -> Array:
    """Return the input whose vent gas (kg/J, diluted) just fills a steady flow, W (``ashrae-chimney``)."""
    return as_array(flow_kg_s) / as_array(vent_gas_kg_j)


@dataclass(frozen=True, slots=True)
class VentGasFormula:
    """Coefficients of ``M = scale (offset + slope / CO2)``, kg/MJ, from ``catalog/physics/physics_chimney.csv``."""

    scale_kg_mj: float
    offset: float
    slope_pct: float


def vent_gas_kg_j(formula: VentGasFormula, co2_pct: ArrayLike) -> Array:
    """Return the mass of vent gas from its dry carbon dioxide (percent, above 0), kg/J (``ashrae-chimney``)."""
    return formula.scale_kg_mj * (formula.offset + formula.slope_pct / as_array(co2_pct)) * 1e-6


def minimum_mean_gas_temp_k(
    outdoor_temp_k: ArrayLike, house_temp_k: ArrayLike, height_m: ArrayLike, neutral_height_m: ArrayLike
) -> Array:
    """Return the mean gas temperature that just keeps the flow upward against the stack of the house, K.

    ``1/Tm = 1/To - (h/H)(1/To - 1/Ti)`` with h the height of the neutral level above the hood and H that of the vent
    (idea ``iea-aivc``, own derivation). Holds for h up to H.
    """
    outdoor = 1.0 / as_array(outdoor_temp_k)
    share = as_array(neutral_height_m) / as_array(height_m)
    return 1.0 / (outdoor - share * (outdoor - 1.0 / as_array(house_temp_k)))


def heat_loss_number(
    u_w_m2k: ArrayLike, perimeter_m: ArrayLike, length_m: ArrayLike, flow_kg_s: ArrayLike, cp_j_kgk: ArrayLike
) -> Array:
    """Return ``K = U P L / (w cp)``, the dimensionless heat loss of a duct (``ashrae-chimney``, ``en-13384-1``)."""
    lost = as_array(u_w_m2k) * as_array(perimeter_m) * as_array(length_m)
    return lost / (as_array(flow_kg_s) * as_array(cp_j_kgk))


def outlet_temp_k(inlet_temp_k: ArrayLike, ambient_temp_k: ArrayLike, loss_number: ArrayLike) -> Array:
    """Return the gas temperature at the end of a duct with exponential decay to the ambient, K."""
    ambient = as_array(ambient_temp_k)
    return ambient + (as_array(inlet_temp_k) - ambient) * np.exp(-as_array(loss_number))


def mean_temp_k(inlet_temp_k: ArrayLike, ambient_temp_k: ArrayLike, loss_number: ArrayLike) -> Array:
    """Return the mean gas temperature over a duct with exponential decay, K; the loss number may be 0."""
    ambient, number = as_array(ambient_temp_k), as_array(loss_number)
    safe = np.where(number < 1e-8, 1.0, number)
    share = np.where(number < 1e-8, 1.0 - 0.5 * number, -np.expm1(-safe) / safe)
    return ambient + (as_array(inlet_temp_k) - ambient) * share


def reynolds_number(flow_kg_s: ArrayLike, diameter_m: ArrayLike, viscosity_pa_s: ArrayLike) -> Array:
    """Return the Reynolds number of a round pipe from the mass flow (its size, whatever the direction)."""
    return 4.0 * np.abs(as_array(flow_kg_s)) / (np.pi * as_array(diameter_m) * as_array(viscosity_pa_s))


def _colebrook(reynolds: Array, relative_roughness: Array) -> Array:
    # x = 1/sqrt(f) solves x + 2 log10(r/3.71 + 2.51 x/Re) = 0; start from Haaland's explicit form, then Newton.
    x = -1.8 * np.log10((relative_roughness / 3.7) ** 1.11 + 6.9 / reynolds)
    slope_term = 2.51 / reynolds
    for _ in range(3):
        inside = relative_roughness / 3.71 + slope_term * x
        x = x - (x + 2.0 * np.log10(inside)) / (1.0 + 2.0 / np.log(10.0) * slope_term / inside)
    return 1.0 / (x * x)


def friction_factor(reynolds: ArrayLike, relative_roughness: ArrayLike) -> Array:
    """Return the Darcy friction factor: 64/Re, then Colebrook, with a straight blend between Re 2000 and 3000.

    Parameters
    ----------
    reynolds : array_like
        Reynolds number; held at 1 at least.
    relative_roughness : array_like
        Roughness over diameter, 0 to 0.1.

    Notes
    -----
    Outside the blend within 0.2 % of the library ``fluids`` (check CC-38). Inside it no formula is right; the blend
    only keeps the factor continuous for the solvers.
    """
    number = np.maximum(as_array(reynolds), 1.0)
    rough = as_array(relative_roughness)
    turbulent = _colebrook(np.maximum(number, _TURBULENT_ABOVE), rough)
    laminar = 64.0 / np.minimum(number, _LAMINAR_BELOW)
    weight = np.clip((number - _LAMINAR_BELOW) / (_TURBULENT_ABOVE - _LAMINAR_BELOW), 0.0, 1.0)
    return (1.0 - weight) * laminar + weight * turbulent


def equivalent_height_m(
    actual_height_m: ArrayLike,
    end_factor_equivalent: ArrayLike,
    end_factor_actual: ArrayLike,
    pipe_factor_per_m: ArrayLike,
    sum_factors: ArrayLike,
) -> Array:
    """Return the height of a straight flue with the same flow, m (``bs-5440-1``).

    ``He = Ha (Ki + Ko)e / ((Ki + Ko)a - Ke Ha + sum K)``.

    Parameters
    ----------
    actual_height_m : array_like
        Vertical height Ha of the actual flue, m.
    end_factor_equivalent, end_factor_actual : array_like
        Inlet plus outlet factor of the equivalent and of the actual flue.
    pipe_factor_per_m : array_like
        Factor of one metre of the equivalent pipe.
    sum_factors : array_like
        Sum of the factors of the actual flue without its inlet and outlet.
    """
    height = as_array(actual_height_m)
    below = as_array(end_factor_actual) - as_array(pipe_factor_per_m) * height + as_array(sum_factors)
    return height * as_array(end_factor_equivalent) / below


@dataclass(frozen=True, slots=True)
class EnCoefficients:
    """Coefficients of the EN 13384-1 forms for one fuel (``en-13384-1``, memory); polynomials in Celsius or percent."""

    air_gas_constant_j_kgk: float
    gas_constant_per_pct: float
    flow_slope_g_s_kw: float
    flow_offset_g_s_kw: float
    cp_air: tuple[float, ...]
    cp_co2: tuple[float, ...]
    cp_divisor_per_pct: float
    water_slope_pct: float
    water_added_pct: float
    conductivity: tuple[float, ...]
    viscosity: tuple[float, ...]
    nusselt_scale: float
    nusselt_offset: float
    rough_exponent: float
    dew_slope: float
    dew_offset: float
    dew_shift_c: float


@dataclass(frozen=True, slots=True)
class EnDraught:
    """Result of `en_draught`: flow (kg/s), temperatures (K), pressures (Pa), and the steps between."""

    flow_kg_s: Array
    gas_constant_j_kgk: Array
    specific_heat_j_kgk: Array
    reynolds: Array
    velocity_m_s: Array
    friction: Array
    inside_film_w_m2k: Array
    transmittance_w_m2k: Array
    loss_number: Array
    mean_temp_k: Array
    outlet_temp_k: Array
    stack_pa: Array
    resistance_pa: Array
    draught_pa: Array
    dew_point_k: Array


def _poly(coefficients: tuple[float, ...], value: Array) -> Array:
    return polynomial(coefficients, value)


def en_draught(
    coefficients: EnCoefficients,
    *,
    net_input_w: ArrayLike,
    co2_pct: ArrayLike,
    inlet_temp_k: ArrayLike,
    diameter_m: ArrayLike,
    height_m: ArrayLike,
    lateral_m: ArrayLike,
    roughness_m: ArrayLike,
    wall_resistance_m2k_w: ArrayLike,
    outer_diameter_m: ArrayLike,
    outer_film_w_m2k: ArrayLike,
    ambient_temp_k: ArrayLike,
    outdoor_temp_k: ArrayLike,
    sum_zeta: ArrayLike,
    flow_safety: ArrayLike = 1.0,
    non_equilibrium: ArrayLike = 1.0,
    pressure_pa: ArrayLike = STANDARD_PRESSURE_PA,
) -> EnDraught:
    """Return the draught of a single chimney by the method of EN 13384-1 (``en-13384-1``, from memory).

    Parameters
    ----------
    net_input_w : array_like
        Heat input on the lower heating value, W.
    co2_pct : array_like
        Dry carbon dioxide in the vent, percent.
    inlet_temp_k, ambient_temp_k, outdoor_temp_k : array_like
        Gas at the inlet, surroundings of the flue, outdoor air, K.
    height_m, lateral_m : array_like
        Effective height, and length added by the connector, m.
    roughness_m, wall_resistance_m2k_w, outer_diameter_m, outer_film_w_m2k : array_like
        Inner roughness (m), thermal resistance (m2K/W), outer diameter (m) and outer film coefficient (W/m2K).
    sum_zeta, flow_safety, non_equilibrium : array_like
        Loss coefficients; flow safety number SE; factor SH (0.5 for the draught, 1 for the wall check).
    """
    c = coefficients
    co2, diameter = as_array(co2_pct), as_array(diameter_m)
    ambient, inlet, pressure = as_array(ambient_temp_k), as_array(inlet_temp_k), as_array(pressure_pa)
    length = as_array(height_m) + as_array(lateral_m)
    flow = (c.flow_slope_g_s_kw / co2 + c.flow_offset_g_s_kw) * as_array(net_input_w) * 1e-6
    gas_constant = c.air_gas_constant_j_kgk * (1.0 + c.gas_constant_per_pct * co2)

    mean = inlet
    for _ in range(20):  # properties depend on the mean temperature; contracts by about ten a pass
        mean_c = celsius_from_kelvin(mean)
        cp = (_poly(c.cp_air, mean_c) + _poly(c.cp_co2, mean_c) * co2) / (1.0 + c.cp_divisor_per_pct * co2)
        viscosity, conductivity = _poly(c.viscosity, mean_c), _poly(c.conductivity, mean_c)
        reynolds = reynolds_number(flow, diameter, viscosity)
        friction = _colebrook(reynolds, as_array(roughness_m) / diameter)
        smooth = _colebrook(reynolds, as_array(0.0))
        nusselt = (
            (friction / smooth) ** c.rough_exponent
            * c.nusselt_scale
            * (reynolds**0.8 - c.nusselt_offset)
            * (viscosity * cp / conductivity) ** 0.4
            * (1.0 + (diameter / length) ** 0.67)
        )
        film = nusselt * conductivity / diameter
        outside = diameter / (as_array(outer_diameter_m) * as_array(outer_film_w_m2k))
        transmittance = 1.0 / (1.0 / film + as_array(non_equilibrium) * (as_array(wall_resistance_m2k_w) + outside))
        number = heat_loss_number(transmittance, np.pi * diameter, length, flow, cp)
        mean = mean_temp_k(inlet, ambient, number)

    density = pressure / (gas_constant * mean)
    outdoor_density = pressure / (c.air_gas_constant_j_kgk * as_array(outdoor_temp_k))
    velocity = flow / (density * np.pi / 4.0 * diameter**2)
    stack = STANDARD_GRAVITY_M_S2 * as_array(height_m) * (outdoor_density - density)
    losses = friction * length / diameter + as_array(sum_zeta)
    resistance = as_array(flow_safety) * losses * density * velocity**2 / 2.0
    water_pct = 100.0 / (1.0 + c.water_slope_pct / co2) + c.water_added_pct
    dew_c = c.dew_slope / (c.dew_offset - np.log(water_pct / 100.0 * pressure)) + c.dew_shift_c
    return EnDraught(
        flow_kg_s=flow,
        gas_constant_j_kgk=gas_constant,
        specific_heat_j_kgk=cp,
        reynolds=reynolds,
        velocity_m_s=velocity,
        friction=friction,
        inside_film_w_m2k=film,
        transmittance_w_m2k=transmittance,
        loss_number=number,
        mean_temp_k=mean,
        outlet_temp_k=outlet_temp_k(inlet, ambient, number),
        stack_pa=stack,
        resistance_pa=resistance,
        draught_pa=stack - resistance,
        dew_point_k=kelvin_from_celsius(dew_c),
    )
