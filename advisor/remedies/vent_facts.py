"""The vent of a case as the plain numbers that the code rules take; unknown geometry takes its typical prior."""

from __future__ import annotations

import math

from advisor import catalog
from advisor.case.model import Case
from advisor.codes.trade_sizes import round_area_in2
from advisor.codes.vent_types import SingleVent
from advisor.ensemble.vent_draw import default_hood_in

MATERIAL = {
    "type b": "type B",
    "single wall": "single wall",
    "masonry": "masonry",
    "lined masonry": "rigid liner",
    "factory chimney": "type B",
}


def hood_in(case: Case) -> float:
    """Draft-hood outlet, inches."""
    return case.heater.hood_diameter_in or default_hood_in(case.heater.input_btu_h)


def height_ft(case: Case) -> float:
    """Height from hood to top, ft; typical prior when nobody measured it."""
    return case.vent.height_ft or catalog.number("priors", "vent_height_ft")


def rise_ft(case: Case) -> float:
    """Connector rise, ft."""
    return case.vent.connector_rise_ft or min(catalog.number("priors", "connector_rise_ft"), height_ft(case))


def lateral_ft(case: Case) -> float:
    """Horizontal connector length, ft."""
    vent = case.vent
    if vent.connector_lateral_ft is not None:
        return vent.connector_lateral_ft
    whole = vent.connector_length_ft or catalog.number("priors", "connector_length_ft")
    return max(0.0, whole - rise_ft(case))


def design_f(case: Case) -> float | None:
    """99 % winter design temperature of the case's climate zone, F (from memory), or None."""
    zone = case.house.climate_zone
    for row in catalog.table("climate_zone_cities"):
        if row["zone"] == zone:
            return float(row["design_99pct_heating_f"])
    return None


def single_vent(case: Case, material: str | None = None, elbows: int | None = None) -> SingleVent:
    """Return the vent as found, or with another material and number of elbows."""
    vent = case.vent
    kind = material or MATERIAL[vent.vertical or "type b"]
    connector = {"single wall": "single wall", "type b": "type B"}[vent.connector or "single wall"]
    if material is not None:
        connector = "type B"
    diameter = vent.diameter_in or vent.connector_diameter_in or hood_in(case)
    if vent.flue_area_in2 and vent.diameter_in is None and kind != "masonry":
        diameter = (4.0 * vent.flue_area_in2 / math.pi) ** 0.5
    area = vent.flue_area_in2
    if kind == "masonry" and area is None:
        area = (
            round_area_in2(vent.diameter_in) if vent.diameter_in else catalog.number("priors", "masonry_flue_area_in2")
        )
    count = vent.connector_elbows if elbows is None else elbows
    return SingleVent(
        input_btu_h=case.heater.input_btu_h,
        outlet_diameter_in=hood_in(case),
        height_ft=height_ft(case),
        lateral_ft=lateral_ft(case),
        vent_diameter_in=None if kind == "masonry" else diameter,
        connector_diameter_in=vent.connector_diameter_in or hood_in(case),
        chimney_area_in2=area if kind == "masonry" else None,
        vent=kind,  # type: ignore[arg-type]
        connector=connector,  # type: ignore[arg-type]
        elbows_90=2 if count is None else count,
        elbows_45=vent.connector_elbows_45,
        vent_damper=case.heater.flue_damper,
        altitude_ft=case.house.altitude_ft,
        exposed_outdoors=vent.exterior if material is None else False,
        design_temperature_f=design_f(case),
        connector_unconditioned=(not case.zone.heated) or case.zone.kind in ("attic", "crawl space", "garage"),
        attic_or_crawl_space=case.zone.kind in ("attic", "crawl space"),
        connector_slope_in_per_ft=vent.connector_slope_in_per_ft,
    )
