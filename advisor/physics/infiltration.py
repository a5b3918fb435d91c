"""Air leakage of a house and what it lets in: power law, leakage areas, infiltration models, the leakage prior.

Flows may carry any unit as long as one call uses one unit; where a formula fixes the unit the name says so. Published
coefficients come as arguments (tables ``infiltration_coefficients``, ``leakage_regression`` and ``terrain``).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from advisor.physics.air import Array, as_array

REFERENCE_PRESSURE_PA = 50.0
"""House pressure of a blower-door reading (CFM50, ACH50): part of the definition, not a setting."""
LEAKAGE_AREA_PRESSURE_PA = 4.0
"""Reference pressure of the effective leakage area (ELA), with discharge coefficient 1 (``ashrae-f16-2021``)."""
STANDARD_DENSITY_KG_M3 = 1.2041
"""Air at 20 C and 101,325 Pa, to which leakage areas refer."""


def leakage_flow(
    reference_flow: ArrayLike,
    exponent: ArrayLike,
    pressure_pa: ArrayLike,
    reference_pa: ArrayLike = REFERENCE_PRESSURE_PA,
) -> Array:
    """Return the flow through the envelope at a pressure, same unit as the reference flow, odd in the pressure."""
    pressure = as_array(pressure_pa)
    ratio = np.abs(pressure) / as_array(reference_pa)
    return np.sign(pressure) * as_array(reference_flow) * ratio ** as_array(exponent)


def depressurization_pa(
    net_exhaust: ArrayLike,
    reference_flow: ArrayLike,
    exponent: ArrayLike,
    reference_pa: ArrayLike = REFERENCE_PRESSURE_PA,
) -> Array:
    """Return the depressurization by a net exhaust with no wind and no stack, Pa (CC-29).

    Parameters
    ----------
    net_exhaust, reference_flow : array_like
        Exhaust minus supply, and the flow at ``reference_pa``, in one unit; the house leaks more than nothing.
    exponent : array_like
        Flow exponent, 0.5 to 1.
    """
    net = as_array(net_exhaust)
    ratio = np.abs(net) / as_array(reference_flow)
    return np.sign(net) * as_array(reference_pa) * ratio ** (1.0 / as_array(exponent))


def flow50_from_leakage_area_m3_s(
    area_m2: ArrayLike, exponent: ArrayLike, density_kg_m3: ArrayLike = STANDARD_DENSITY_KG_M3
) -> Array:
    """Return the flow at 50 Pa in m3/s from the effective leakage area at 4 Pa (inverse of the above)."""
    speed = np.sqrt(2.0 * LEAKAGE_AREA_PRESSURE_PA / as_array(density_kg_m3))
    return leakage_flow(as_array(area_m2) * speed, exponent, REFERENCE_PRESSURE_PA, LEAKAGE_AREA_PRESSURE_PA)


def leakage_area_from_normalized_m2(normalized: ArrayLike, floor_area_m2: ArrayLike, height_m: ArrayLike) -> Array:
    """Return the effective leakage area in m2 from the normalized leakage (inverse of the above)."""
    return as_array(normalized) * as_array(floor_area_m2) / 1000.0 / (as_array(height_m) / 2.5) ** 0.3


@dataclass(frozen=True, slots=True)
class LeakageRegression:
    """Coefficients of the published regression of normalized leakage for one kind of house.

    Parameters
    ----------
    class_sum : float
        Sum of the coefficients of the house's classes: year, climate, foundation, ducts, programmes; no intercept.
    per_m2 : float
        Coefficient of the floor area, 1/m2.
    per_m : float
        Coefficient of the height, 1/m.
    residual_variance : float
        Variance of ln NL left over.
    """

    class_sum: float
    per_m2: float
    per_m: float
    residual_variance: float

    @property
    def gsd(self) -> float:
        """Geometric standard deviation of a single house around the median."""
        return float(np.exp(np.sqrt(self.residual_variance)))


def regression_normalized_leakage(
    regression: LeakageRegression, floor_area_m2: ArrayLike, height_m: ArrayLike
) -> Array:
    """Return the median normalized leakage of houses of one kind (``lbnl-leakage-2013``)."""
    total = regression.class_sum + regression.per_m2 * as_array(floor_area_m2) + regression.per_m * as_array(height_m)
    return np.exp(total)
