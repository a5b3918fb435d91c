"""Build the coefficient sets of the physics room from ``catalog/``: the one border between the two.

``physics/`` may not read the catalog, so its functions take small frozen structs; the loaders here make them once.
"""

from __future__ import annotations

from functools import cache

from advisor import catalog, units
from advisor.errors import InputError, suggest
from advisor.physics.combustion import Fuel


@cache
def fuel_names() -> tuple[str, ...]:
    """Return the fuels of ``catalog/physics_fuels.csv``."""
    return tuple(row["fuel"] for row in catalog.table("physics_fuels"))


@cache
def fuel(name: str) -> Fuel:
    """Return a fuel by its catalog name.

    Raises
    ------
    InputError
        If the catalog has no such fuel.
    """
    for row in catalog.table("physics_fuels"):
        if row["fuel"] == name:
            return Fuel(
                name=name,
                higher_heating_value_j_kg=float(row["higher_heating_value_mj_kg"]) * 1e6,
                stoichiometric_air_kg_j=float(row["stoichiometric_air_kg_mj"]) * 1e-6,
                stoichiometric_flue_kg_j=float(row["stoichiometric_flue_kg_mj"]) * 1e-6,
                carbon_dioxide_kg_j=float(row["carbon_dioxide_g_mj"]) * 1e-9,
                water_kg_j=float(row["water_g_mj"]) * 1e-9,
                carbon_dioxide_max_dry_pct=float(row["carbon_dioxide_max_dry_pct"]),
                dry_flue_m3_j=float(row["dry_flue_dscf_mmbtu"]) * units.M3_PER_FT3 / (1e6 * units.J_PER_BTU),
            )
    raise InputError(f"fuel '{name}' is not known{suggest(name, fuel_names())}; one of {', '.join(fuel_names())}")
