"""The vent of a case as the plain numbers that the code rules take, and which of them nobody gave.

Unknown geometry takes its typical prior, so that parts can be sized and priced; its id then stands in ``assumed`` and no
check that rests on it gives a verdict.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from advisor import catalog
from advisor.case.model import Case
from advisor.case.parts import VentFound
from advisor.codes.trade_sizes import round_area_in2
from advisor.codes.vent_types import SingleVent
from advisor.facts import space
from advisor.facts.burners import connector_in, hood_in, sharing_unknown

MATERIAL = {
    "type b": "type B",
    "single wall": "single wall",
    "masonry": "masonry",
    "lined masonry": "rigid liner",
    "factory chimney": "type B",
}


def height_ft(case: Case) -> float:
    """Height from hood to top, ft; typical prior when nobody measured it."""
    return case.vent.height_ft or catalog.number("priors", "vent_height_ft")


def rise_ft(case: Case) -> float:
    """Connector rise, ft."""
    if case.vent.connector_rise_ft is not None:
        return case.vent.connector_rise_ft
    return min(catalog.number("priors", "connector_rise_ft"), height_ft(case))


def lateral_ft(case: Case) -> float:
    """Horizontal connector length, ft: measured, or what is left of the whole length after the rise."""
    vent = case.vent
    if vent.connector_lateral_ft is not None:
        return vent.connector_lateral_ft
    usual = catalog.number("priors", "connector_length_ft")
    whole = usual if vent.connector_length_ft is None else vent.connector_length_ft
    return max(0.0, whole - rise_ft(case))


@dataclass(frozen=True, slots=True)
class _DesignDay:
    """The winter design temperature of a climate zone (``climate_zone_cities``)."""

    zone: str
    design_99pct_heating_f: float


def design_f(case: Case) -> float | None:
    """99 % winter design temperature, F: as given, else that of a city of the climate zone (from memory), or None.

    What comes from the zone is a hint: ``assumed_of`` then names it, so that it decides nothing.
    """
    if case.house.design_temp_f is not None:
        return case.house.design_temp_f
    zone = case.house.climate_zone
    rows = catalog.rows_by(_DesignDay, "climate_zone_cities", "zone")
    return None if zone is None or zone not in rows else rows[zone].design_99pct_heating_f


def cold_space(case: Case) -> bool | None:
    """Return whether the heater's space counts as unconditioned; None when nobody said what space it is."""
    zone = case.zone
    if not space.heated(case):
        return True
    # both keys have a usual value in the case file; only what somebody wrote down settles a rule
    return False if {"kind", "heated"} <= zone.model_fields_set else None


def _lateral_given(vent: VentFound) -> bool:
    return vent.connector_lateral_ft is not None or None not in (vent.connector_length_ft, vent.connector_rise_ft)


def _size_given(vent: VentFound) -> bool:
    return vent.diameter_in is not None or vent.flue_area_in2 is not None


def assumed_of(case: Case) -> frozenset[str]:
    """Return the ids (``catalog/codes/check_inputs.csv``) of what nobody gave about the vent as found."""
    vent = case.vent
    given = {
        "hood": case.heater.hood_diameter_in is not None,
        "height": vent.height_ft is not None,
        "lateral": _lateral_given(vent),
        "vent_diameter": _size_given(vent),
        "flue_area": _size_given(vent),
        "connector_diameter": vent.connector_diameter_in is not None,
        "connector_length": vent.connector_length_ft is not None,
        "rise": vent.connector_rise_ft is not None,
        "vent_material": vent.vertical is not None,
        "connector_material": vent.connector is not None,
        "elbows": vent.connector_elbows is not None,
        "elbows_45": "connector_elbows_45" in vent.model_fields_set,
        "slope": vent.connector_slope_in_per_ft is not None,
        "exposure": vent.exterior is not None,
        "shared": not sharing_unknown(case),
        "altitude": "altitude_ft" in case.house.model_fields_set,
        "design_temperature": case.house.design_temp_f is not None,
        # an attic or crawl space has no exception for mild places: which kind it is has to be known, too
        "cold_space": cold_space(case) is not None and "kind" in case.zone.model_fields_set,
    }
    return frozenset(name for name, known in given.items() if not known)


BY_DESIGN = frozenset(
    (
        "vent_material",
        "connector_material",
        "vent_diameter",
        "flue_area",
        "connector_diameter",
        "elbows",
        "elbows_45",
        "exposure",
    )
)
"""What a new vent brings with it, so that nobody has to measure it; it serves the heater alone."""


def single_vent(case: Case, material: str | None = None, elbows: int | None = None) -> SingleVent:
    """Return the vent as found, or with another material and number of elbows."""
    vent = case.vent
    kind = material or MATERIAL[vent.vertical or "type b"]
    connector = {"single wall": "single wall", "type b": "type B"}[vent.connector or "single wall"]
    assumed = assumed_of(case)
    if material is not None:
        connector = "type B"
        assumed -= BY_DESIGN | {"shared"}
    count = vent.connector_elbows if elbows is None else elbows
    return SingleVent(
        input_btu_h=case.heater.input_btu_h,
        outlet_diameter_in=hood_in(case),
        height_ft=height_ft(case),
        lateral_ft=lateral_ft(case),
        vent_diameter_in=None if kind == "masonry" else _diameter_in(case),
        connector_diameter_in=connector_in(case),
        chimney_area_in2=_flue_area_in2(case) if kind == "masonry" else None,
        vent=kind,  # type: ignore[arg-type]
        connector=connector,  # type: ignore[arg-type]
        elbows_90=2 if count is None else count,
        elbows_45=vent.connector_elbows_45 if elbows is None else 0,
        vent_damper=case.heater.flue_damper,
        altitude_ft=case.house.altitude_ft,
        exposed_outdoors=vent.exterior if material is None else False,
        design_temperature_f=design_f(case),
        connector_unconditioned=cold_space(case),
        attic_or_crawl_space=case.zone.kind in ("attic", "crawl space"),
        connector_slope_in_per_ft=vent.connector_slope_in_per_ft,
        assumed=assumed if elbows is None else assumed - {"elbows", "elbows_45"},
    )


def _diameter_in(case: Case) -> float:
    vent = case.vent
    if vent.flue_area_in2 and vent.diameter_in is None:
        return float((4.0 * vent.flue_area_in2 / math.pi) ** 0.5)
    return vent.diameter_in or connector_in(case)


def _flue_area_in2(case: Case) -> float:
    vent = case.vent
    if vent.flue_area_in2 is not None:
        return vent.flue_area_in2
    return round_area_in2(vent.diameter_in) if vent.diameter_in else catalog.number("priors", "masonry_flue_area_in2")


def corrected_connector(case: Case) -> SingleVent:
    """Return the vent as found with the new connector: Type B, rising as the code asks, two elbows."""
    vent = single_vent(case, elbows=2)
    assumed = vent.assumed - {"connector_material", "slope"}
    if case.heater.hood_diameter_in is not None:
        assumed -= {"connector_diameter"}
    slope = catalog.number("rules_venting", "connector_slope_in_per_ft")
    return replace(vent, connector="type B", connector_slope_in_per_ft=slope, assumed=assumed)
