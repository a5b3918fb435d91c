"""Flow elements: power-law leaks and orifices, smoothed near zero pressure, and a mild fan curve.

All pressures are differences across the element in Pa, positive in the direction of positive flow; flows are kg/s.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

SMOOTHING_PA = 0.01
"""Pressure below which |dp|^n becomes a straight line: numerical, not physical (Newton stalls on a plain power)."""


def power_law_flow(coefficient: Array, exponent: Array, dp_pa: Array) -> tuple[Array, Array]:
    """Flow through a leak and its slope, ``C dp (dp^2 + eps^2)^((n-1)/2)``.

    Parameters
    ----------
    coefficient : array
        Flow at 1 Pa, kg/s, any shape.
    exponent : array
        Flow exponent, 0.5 to 1, broadcastable.
    dp_pa : array
        Pressure difference, Pa.

    Returns
    -------
    flow_kg_s, slope_kg_s_pa : arrays
        Flow and d(flow)/d(dp), always positive.
    """
    smooth = dp_pa * dp_pa
    smooth += SMOOTHING_PA**2
    base = smooth ** (0.5 * (exponent - 1.0))
    base *= coefficient
    # 1 + (n - 1) dp^2 / smooth, written in place: this is the innermost loop of the program
    slope = np.divide(SMOOTHING_PA**2, smooth, out=smooth)
    slope *= 1.0 - exponent
    slope += exponent
    slope *= base
    base *= dp_pa
    return base, slope


def orifice_flow(coefficient: Array, dp_pa: Array) -> tuple[Array, Array]:
    """Flow through an opening with exponent 0.5 and its slope; as `power_law_flow`, with square roots only."""
    smooth = dp_pa * dp_pa
    smooth += SMOOTHING_PA**2
    base = np.sqrt(np.sqrt(smooth))
    base = np.divide(coefficient, base, out=base)
    slope = np.divide(0.5 * SMOOTHING_PA**2, smooth, out=smooth)
    slope += 0.5
    slope *= base
    base *= dp_pa
    return base, slope


def orifice_coefficient(area_m2: Array, discharge_coefficient: Array, density_kg_m3: Array) -> Array:
    """Mass flow at 1 Pa of an orifice, kg/s/Pa^0.5: ``Cd A sqrt(2 rho)`` (source: buildings-lib orifice model)."""
    return discharge_coefficient * area_m2 * np.sqrt(2.0 * density_kg_m3)


def duct_effective_area(area_m2: Array, loss_coefficient: Array, discharge_coefficient: Array) -> Array:
    """Area of the orifice with the same flow as a duct of total loss ``k`` velocity heads, m2."""
    return area_m2 / (discharge_coefficient * np.sqrt(np.maximum(loss_coefficient, 1e-6)))


def fan_flow(flow_kg_s: Array, pressure_pa: Array, stall_pa: Array) -> tuple[Array, Array]:
    """Flow of an exhaust fan that pulls against the depressurization it makes, and its slope.

    ``Q0 (1 + p / p0)^0.5`` with ``p`` the space's pressure relative to outdoors (negative when depressurized) and
    ``p0`` the pressure at which the fan stalls (common practice: about 60-120 Pa for small fans).
    """
    ratio = np.maximum(1.0 + pressure_pa / stall_pa, 1e-4)
    flow = flow_kg_s * np.sqrt(ratio)
    slope = np.where(ratio > 1e-4, 0.5 * flow_kg_s / np.sqrt(ratio) / stall_pa, 0.0)
    return flow, slope
