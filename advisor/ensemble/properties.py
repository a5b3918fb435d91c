"""Build the coefficient sets of the physics room from ``catalog/``: the one border between the two.

``physics/`` may not read the catalog, so its functions take small frozen structs; the loaders here make them once.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from advisor import catalog, units
from advisor.errors import InputError, suggest
from advisor.physics import carbon_monoxide
from advisor.physics.carbon_monoxide import AlarmForm, BloodModel, ShortExposure
from advisor.physics.chimney import EnCoefficients, VentGasFormula
from advisor.physics.combustion import MOLAR_MASS_CO_KG_MOL, UNIVERSAL_GAS_CONSTANT_J_MOLK, Fuel
from advisor.physics.infiltration import (
    DrivingForce,
    EnhancedCoefficients,
    Terrain,
    VentilationRule,
)


@cache
def fuel_names() -> tuple[str, ...]:
    """Return the fuels of ``catalog/physics/physics_fuels.csv``."""
    return tuple(row["fuel"] for row in catalog.table("physics_fuels"))


@cache
def fuel(name: str) -> Fuel:
    """Return a fuel by its catalog name; a case's ``natural gas`` is the catalog's ``natural_gas``.

    Raises
    ------
    InputError
        If the catalog has no such fuel.
    """
    wanted = name.replace(" ", "_")
    for row in catalog.table("physics_fuels"):
        if row["fuel"] == wanted:
            return Fuel(
                name=wanted,
                higher_heating_value_j_kg=float(row["higher_heating_value_mj_kg"]) * 1e6,
                stoichiometric_air_kg_j=float(row["stoichiometric_air_kg_mj"]) * 1e-6,
                stoichiometric_flue_kg_j=float(row["stoichiometric_flue_kg_mj"]) * 1e-6,
                carbon_dioxide_kg_j=float(row["carbon_dioxide_g_mj"]) * 1e-9,
                water_kg_j=float(row["water_g_mj"]) * 1e-9,
                carbon_dioxide_max_dry_pct=float(row["carbon_dioxide_max_dry_pct"]),
                dry_flue_m3_j=float(row["dry_flue_dscf_mmbtu"]) * units.M3_PER_FT3 / (1e6 * units.J_PER_BTU),
            )
    raise InputError(f"fuel '{name}' is not known{suggest(name, fuel_names())}; one of {', '.join(fuel_names())}")


@cache
def vent_gas_formula(fuel_name: str) -> VentGasFormula:
    """Return the published formula for the mass of vent gas of ``natural_gas`` or ``propane`` (``ashrae-chimney``)."""
    return VentGasFormula(
        scale_kg_mj=catalog.number("physics_chimney", f"{fuel_name}_scale_kg_mj"),
        offset=catalog.number("physics_chimney", f"{fuel_name}_offset"),
        slope_pct=catalog.number("physics_chimney", f"{fuel_name}_slope_pct"),
    )


@cache
def en_coefficients() -> EnCoefficients:
    """Return the coefficients of the EN 13384-1 forms for natural gas."""

    def one(key: str) -> float:
        return catalog.number("physics_chimney", f"en_{key}")

    def several(key: str, count: int) -> tuple[float, ...]:
        return tuple(one(f"{key}_{power}") for power in range(count))

    return EnCoefficients(
        air_gas_constant_j_kgk=one("air_gas_constant_j_kgk"),
        gas_constant_per_pct=one("gas_constant_per_pct"),
        flow_slope_g_s_kw=one("flow_slope_g_s_kw"),
        flow_offset_g_s_kw=one("flow_offset_g_s_kw"),
        cp_air=several("cp_air", 3),
        cp_co2=several("cp_co2", 3),
        cp_divisor_per_pct=one("cp_divisor_per_pct"),
        water_slope_pct=one("water_slope_pct"),
        water_added_pct=one("water_added_pct"),
        conductivity=several("conductivity", 2),
        viscosity=several("viscosity", 3),
        nusselt_scale=one("nusselt_scale"),
        nusselt_offset=one("nusselt_offset"),
        rough_exponent=one("rough_exponent"),
        dew_slope=one("dew_slope"),
        dew_offset=one("dew_offset"),
        dew_shift_c=one("dew_shift_c"),
    )


@cache
def enhanced_coefficients(stories: int, foundation: str, shelter_class: int, *, flue: bool) -> EnhancedCoefficients:
    """Return the coefficients of the enhanced infiltration model.

    Parameters
    ----------
    stories : int
        1 to 3; more counts as 3.
    foundation : str
        ``basement or slab`` or ``crawlspace``.
    shelter_class : int
        1 (none) to 5 (neighbours adjacent).
    flue : bool
        Whether an open flue leaves the house.
    """
    found: dict[str, float] = {}
    for row in catalog.table("infiltration_coefficients"):
        fits = row["case_or_shelter_class"] in ("", foundation, str(shelter_class))
        same = row["stories"] == str(min(stories, 3)) and row["flue"] == ("yes" if flue else "no")
        if row["model"] == "enhanced" and fits and same:
            found[row["coefficient"]] = float(row["value"])
    return EnhancedCoefficients(stack=found["Cs"], wind=found["Cw"], shelter=found["s"], speed=found["G"])


@cache
def basic_coefficients(stories: int, shelter_class: int) -> tuple[float, float]:
    """Return the stack and the wind coefficient of the basic infiltration model; stories above 3 count as 3."""
    found: dict[str, float] = {}
    for row in catalog.table("infiltration_coefficients"):
        fits = row["case_or_shelter_class"] in ("", str(shelter_class))
        if row["model"] == "basic" and fits and row["stories"] == str(min(stories, 3)):
            found[row["coefficient"]] = float(row["value"])
    return found["Cs"], found["Cw"]


@cache
def driving_force(season: str) -> DrivingForce:
    """Return the coefficients of the quick design method for ``heating`` or ``cooling``."""
    base, stack, flue = (catalog.number("physics_infiltration", f"{season}_{key}") for key in ("base", "stack", "flue"))
    return DrivingForce(base=base, stack=stack, flue=flue)


@cache
def ventilation_rule() -> VentilationRule:
    """Return the published rule for whole-house ventilation."""
    return VentilationRule(
        l_s_per_m2=catalog.number("physics_infiltration", "ventilation_l_s_per_m2"),
        l_s_per_person=catalog.number("physics_infiltration", "ventilation_l_s_per_person"),
    )


@cache
def terrain(name: str) -> Terrain:
    """Return the wind profile over one kind of terrain of ``catalog/physics/terrain.csv``."""
    rows = {row["terrain"]: row for row in catalog.table("terrain")}
    if name not in rows:
        raise InputError(f"terrain '{name}' is not known{suggest(name, rows)}; one of {', '.join(rows)}")
    return Terrain(alpha=float(rows[name]["alpha"]), delta_m=float(rows[name]["delta_m"]))


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


@cache
def alarm_form() -> AlarmForm:
    """Return the constants of the linear COHb formula of the alarm standard."""
    return AlarmForm(
        resistance=catalog.number("blood_model", "alarm_resistance"),
        time_constant_min=catalog.number("blood_model", "alarm_time_constant_min"),
        affinity=catalog.number("blood_model", "alarm_affinity"),
        endogenous=catalog.number("blood_model", "alarm_endogenous"),
        pressure_ppm=catalog.number("blood_model", "alarm_pressure_ppm"),
    )


@cache
def short_exposure() -> ShortExposure:
    """Return the constants of the short-exposure formula."""
    return ShortExposure(
        scale=catalog.number("blood_model", "short_scale"),
        exponent=catalog.number("blood_model", "short_exponent"),
    )


@dataclass(frozen=True, slots=True)
class SymptomBand:
    """Symptoms between two levels of COHb, percent."""

    from_pct: float
    to_pct: float
    symptoms: str


@cache
def symptom_bands() -> tuple[SymptomBand, ...]:
    """Return the symptom bands, rising and without gaps."""
    return tuple(
        SymptomBand(float(row["from_pct"]), float(row["to_pct"]), row["symptoms"])
        for row in catalog.table("co_symptoms")
    )


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
            name=row["name"],
            kind=row["kind"],
            ppm=float(row["value"]) * (ppm_per_mg_m3 if row["unit"] == "mg/m3" else 1.0),
            averaging_min=float(row["averaging_min"]),
            source=row["source"],
        )
        for row in catalog.table("physics_co_thresholds")
    )
