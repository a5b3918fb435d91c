"""Build the coefficient sets of the physics room from ``catalog/``: the one border between the two.

``physics/`` may not read the catalog, so its functions take small frozen structs; the loaders here make them once.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Literal

from advisor import catalog, units
from advisor.errors import InputError, suggest
from advisor.physics import carbon_monoxide
from advisor.physics.carbon_monoxide import BloodModel
from advisor.physics.combustion import MOLAR_MASS_CO_KG_MOL, UNIVERSAL_GAS_CONSTANT_J_MOLK, Fuel


@dataclass(frozen=True, slots=True)
class _FuelRow:
    """A fuel as its table gives it (``physics_fuels``)."""

    fuel: str
    higher_heating_value_mj_kg: float
    stoichiometric_air_kg_mj: float
    stoichiometric_flue_kg_mj: float
    carbon_dioxide_g_mj: float
    water_g_mj: float
    carbon_dioxide_max_dry_pct: float
    dry_flue_dscf_mmbtu: float


@dataclass(frozen=True, slots=True)
class _ThresholdRow:
    """A limit of carbon monoxide in air as it was published (``physics_co_thresholds``)."""

    name: str
    kind: str
    value: float
    unit: Literal["ppm", "mg/m3"]
    averaging_min: float
    source: str


@cache
def fuel(name: str) -> Fuel:
    """Return a fuel by its catalog name; a case's ``natural gas`` is the catalog's ``natural_gas``.

    Raises
    ------
    InputError
        If the catalog has no such fuel.
    """
    wanted = name.replace(" ", "_")
    rows = catalog.rows_by(_FuelRow, "physics_fuels", "fuel")
    if wanted not in rows:
        raise InputError(f"fuel '{name}' is not known{suggest(name, rows)}; one of {', '.join(rows)}")
    row = rows[wanted]
    return Fuel(
        name=wanted,
        higher_heating_value_j_kg=row.higher_heating_value_mj_kg * 1e6,
        stoichiometric_air_kg_j=row.stoichiometric_air_kg_mj * 1e-6,
        stoichiometric_flue_kg_j=row.stoichiometric_flue_kg_mj * 1e-6,
        carbon_dioxide_kg_j=row.carbon_dioxide_g_mj * 1e-9,
        water_kg_j=row.water_g_mj * 1e-9,
        carbon_dioxide_max_dry_pct=row.carbon_dioxide_max_dry_pct,
        dry_flue_m3_j=row.dry_flue_dscf_mmbtu * units.M3_PER_FT3 / (1e6 * units.J_PER_BTU),
    )


@cache
def blood_model(activity: str = "rest") -> BloodModel:
    """Return the Coburn-Forster-Kane constants of an adult at ``rest`` or at ``light`` work, at sea level."""

    def one(key: str) -> float:
        return catalog.number("blood_model", key)

    return BloodModel(
        affinity=one("affinity"),
        endogenous_ml_min=one("endogenous_ml_min"),
        blood_volume_ml=one("blood_volume_ml"),
        capacity_ml_ml=one("capacity_ml_ml"),
        capillary_oxygen_mmhg=one("capillary_oxygen_mmhg"),
        diffusivity_ml_min_mmhg=one(f"{activity}_diffusivity_ml_min_mmhg"),
        ventilation_ml_min=one(f"{activity}_ventilation_ml_min"),
        dry_pressure_mmhg=one("dry_pressure_mmhg"),
    )


@dataclass(frozen=True, slots=True)
class SymptomBand:
    """Symptoms between two levels of COHb, percent (``co_symptoms``)."""

    from_pct: float
    to_pct: float
    symptoms: str


def symptom_bands() -> tuple[SymptomBand, ...]:
    """Return the symptom bands, rising and without gaps."""
    return catalog.rows_of(SymptomBand, "co_symptoms")


def symptoms(cohb_pct: float) -> str:
    """Return the id of the symptoms a COHb (percent) is associated with; people differ, the sick and unborn suffer sooner."""
    bands = symptom_bands()
    index = int(carbon_monoxide.band_index(cohb_pct, [band.to_pct for band in bands[:-1]]))
    return bands[index].symptoms


@dataclass(frozen=True, slots=True)
class AirThreshold:
    """A published limit of carbon monoxide in air: ppm as a mean over ``averaging_min`` (0 is a ceiling)."""

    name: str
    kind: str
    ppm: float
    averaging_min: float
    source: str


@cache
def air_thresholds() -> tuple[AirThreshold, ...]:
    """Return the published limits of carbon monoxide in air, those in mg/m3 converted at 25 C and 101,325 Pa."""
    molar_volume_m3 = UNIVERSAL_GAS_CONSTANT_J_MOLK * units.kelvin_from_celsius(25.0) / units.STANDARD_PRESSURE_PA
    ppm_per_mg_m3 = molar_volume_m3 / MOLAR_MASS_CO_KG_MOL
    return tuple(
        AirThreshold(
            name=row.name,
            kind=row.kind,
            ppm=row.value * (ppm_per_mg_m3 if row.unit == "mg/m3" else 1.0),
            averaging_min=row.averaging_min,
            source=row.source,
        )
        for row in catalog.rows_of(_ThresholdRow, "physics_co_thresholds")
    )
