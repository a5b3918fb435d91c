"""Exact conversion factors: the only converter of the project.

Every factor is exact by definition (international yard and pound 1959, SI brochure) unless a comment says otherwise.
Names read ``SOURCE_PER_TARGET`` the other way round: multiply a value in feet by ``M_PER_FT`` to get metres.
"""

from __future__ import annotations

from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

Number = TypeVar("Number", float, NDArray[np.float64])

M_PER_FT = 0.3048
M_PER_IN = 0.0254
M2_PER_FT2 = M_PER_FT**2
M2_PER_IN2 = M_PER_IN**2
M3_PER_FT3 = M_PER_FT**3
M3_S_PER_CFM = M3_PER_FT3 / 60.0
M3_PER_GAL = 0.003785411784
KG_PER_LB = 0.45359237
J_PER_BTU = 1055.05585262  # International Table Btu
W_PER_BTU_H = J_PER_BTU / 3600.0
J_PER_KWH = 3.6e6
BTU_PER_THERM = 100_000.0
STANDARD_GRAVITY_M_S2 = 9.80665
STANDARD_PRESSURE_PA = 101_325.0
PA_PER_IN_WC = 249.08891  # conventional water column at 39.2 F (4 C)
M_S_PER_MPH = 0.44704
W_M2K_PER_BTU_H_FT2_F = 5.678263337  # derived from the exact factors above
S_PER_MIN = 60.0
S_PER_H = 3600.0
H_PER_YEAR = 8760.0
DAYS_PER_YEAR = 365.0


def kelvin_from_fahrenheit(temp_f: Number) -> Number:
    """Convert degrees Fahrenheit to kelvin."""
    return (temp_f + 459.67) / 1.8


def fahrenheit_from_kelvin(temp_k: Number) -> Number:
    """Convert kelvin to degrees Fahrenheit."""
    return temp_k * 1.8 - 459.67


def kelvin_from_celsius(temp_c: Number) -> Number:
    """Convert degrees Celsius to kelvin."""
    return temp_c + 273.15


def celsius_from_kelvin(temp_k: Number) -> Number:
    """Convert kelvin to degrees Celsius."""
    return temp_k - 273.15


def kelvin_step_from_fahrenheit(step_f: Number) -> Number:
    """Convert a temperature difference in F to one in K."""
    return step_f / 1.8
