"""Formulae that only tests use, beside `advisor.ensemble.properties`."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

from advisor import catalog, units
from advisor.errors import InputError, suggest
from advisor.facts.leakage import house_height_m
from advisor.physics import infiltration
from advisor.physics.infiltration import LeakageRegression
from oracles.carbon_monoxide import AlarmForm, ShortExposure
from oracles.chimney import EnCoefficients, VentGasFormula
from oracles.infiltration import DrivingForce, EnhancedCoefficients, Terrain, VentilationRule, air_changes_per_hour


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


@dataclass(frozen=True, slots=True)
class LeakagePrior:
    """What the published regression says about the leakage of a house nobody measured: a lognormal, never one number.

    Parameters
    ----------
    normalized_leakage : float
        Median normalized leakage.
    ach50, cfm50 : float
        Median air changes an hour, and cubic feet a minute, at 50 Pa.
    gsd : float
        Geometric standard deviation of a single house.
    """

    normalized_leakage: float
    ach50: float
    cfm50: float
    gsd: float

    def probability_below(self, ach50: float) -> float:
        """Return the probability that the house is tighter than ``ach50`` (above 0)."""
        return 0.5 * (1.0 + math.erf(math.log(ach50 / self.ach50) / (math.log(self.gsd) * math.sqrt(2.0))))


def leakage_prior(
    regression: LeakageRegression,
    *,
    floor_area_ft2: float,
    stories: float = 1.0,
    ceiling_height_ft: float | None = None,
    weatherized: bool = False,
    stock: bool = False,
) -> LeakagePrior:
    """Return the prior of the air leakage of a house.

    Parameters
    ----------
    regression : LeakageRegression
        From `leakage_regression`.
    floor_area_ft2 : float
        Conditioned floor area, ft2.
    stories : float
        Stories above grade.
    ceiling_height_ft : float, optional
        Mean ceiling height, for the volume; the catalog's when unknown.
    weatherized : bool
        Air-sealed by a programme: the published cut is applied.
    stock : bool
        Shift and widen the regression to the housing-stock table (``us-housing-stock``): median 1.2 times higher.
    """
    number = catalog.number
    area_m2 = floor_area_ft2 * units.M2_PER_FT2
    ceiling_m = units.M_PER_FT * (ceiling_height_ft or number("physics_infiltration", "ceiling_height_ft"))
    # the paper brought every test to 4 Pa with this exponent, so the way back must use it whatever the house's own is
    power = number("physics_infiltration", "flow_exponent_default")
    height_m = house_height_m(stories)
    normalized = float(infiltration.regression_normalized_leakage(regression, area_m2, height_m))
    gsd = regression.gsd
    if weatherized:
        normalized *= 1.0 - number("physics_infiltration", "weatherization_cut_fraction")
    if stock:
        normalized *= number("physics_infiltration", "stock_ratio_to_regression")
        gsd = number("physics_infiltration", "stock_gsd")
    leakage_area = infiltration.leakage_area_from_normalized_m2(normalized, area_m2, height_m)
    flow50 = infiltration.flow50_from_leakage_area_m3_s(leakage_area, power)
    return LeakagePrior(
        normalized_leakage=normalized,
        ach50=float(air_changes_per_hour(flow50, area_m2 * ceiling_m)),
        cfm50=float(flow50) / units.M3_S_PER_CFM,
        gsd=gsd,
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
