"""Vents of the published and the own reference cases, for the tests of vent and start-up (no tests in here)."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np

from advisor import catalog, units
from advisor.physics.vent import Vent

DATA = Path(__file__).parent / "data"
KELVIN = units.kelvin_from_fahrenheit
FRICTION_A_PRIORI = 0.4
"""F in k = F L[ft] / d[in]: the general value of ashrae-chimney (memory), fixed before any comparison; Darcy 0.033."""
TYPE_B = "double-wall gas vent, 1/4 in gap (Type B)"


def rows(name: str) -> list[dict[str, str]]:
    """Return the rows of a reference table."""
    with (DATA / name).open(newline="", encoding="utf-8") as handle:
        return list(csv.DictReader(handle))


def column(table: list[dict[str, str]], name: str) -> np.ndarray:
    """Return one column as numbers."""
    return np.array([float(row[name]) for row in table])


def loss(part: str) -> float:
    """Return a typical loss coefficient of ``catalog/physics/vent_resistance.csv`` (ashrae-chimney, memory)."""
    return next(float(row["k_typical"]) for row in catalog.table("vent_resistance") if row["part"] == part)


def type_b_u() -> float:
    """Heat loss of Type B vent, W/m2K: 0.6 Btu/h ft2 F (ashrae-chimney, memory)."""
    return next(float(row["u_typical_w_m2k"]) for row in catalog.table("vent_heat_transfer") if row["wall"] == TYPE_B)


def type_b_vent(
    diameter_in,
    height_ft,
    lateral_ft,
    friction: float = FRICTION_A_PRIORI,
    room_f: float = 70.0,
    around_f=None,
) -> Vent:
    """Return plain Type B vents: hood, cap, two elbows (none without a lateral), lateral first and then the rise.

    The cap counts 1.0 velocity head: hood and cap are known only as a sum of 2.5 (note under CC-06).
    """
    diameter, height, lateral = np.broadcast_arrays(
        *(np.asarray(x, dtype=float) for x in (diameter_in, height_ft, lateral_ft))
    )
    one = np.ones(diameter.shape)
    d, h, across = diameter * units.M_PER_IN, height * units.M_PER_FT, lateral * units.M_PER_FT
    area = np.pi / 4.0 * d**2
    elbows = np.where(across > 0.0, 2.0, 0.0) * loss("90-degree round elbow")
    cap = catalog.number("priors", "cap_k_listed")
    heads = loss("inlet acceleration with draft hood") + cap + elbows + friction * (height + lateral) / diameter
    return Vent(
        connector_area_m2=area,
        vertical_area_m2=area,
        connector_perimeter_m=np.pi * d,
        vertical_perimeter_m=np.pi * d,
        connector_length_m=np.maximum(across, 1e-6),
        connector_rise_m=0.0 * one,
        vertical_height_m=h,
        connector_u_w_m2k=type_b_u() * one,
        vertical_u_w_m2k=type_b_u() * one,
        connector_capacity_j_m2k=catalog.number("priors", "capacity_metal_thin_j_m2k") * one,
        vertical_capacity_j_m2k=catalog.number("priors", "capacity_metal_thin_j_m2k") * one,
        film_w_m2k=catalog.number("priors", "film_w_m2k") * one,
        connector_ambient_k=KELVIN(room_f) * one,
        vertical_ambient_k=KELVIN(room_f if around_f is None else np.asarray(around_f, dtype=float)) * one,
        resistance_m4=heads / area**2,
        dilution_ratio=0.0 * one,
        terminal_pa=0.0 * one,
        pressure_pa=units.STANDARD_PRESSURE_PA * one,
    )


# the own reference heater of the tables vent_reference_steady and vent_reference_transient (own-calc)
PRODUCTS_KG_S = 5.67e-3  # 40,000 Btu/h at 50 % excess air
PRODUCTS_K = KELVIN(481.0)  # 78 % efficiency, cantera
