"""What nobody measured, so that a usual value stands for it: which values, by id."""

from __future__ import annotations

from advisor.case.model import Case, listed
from advisor.facts import exhaust, services
from advisor.facts.carbon_monoxide import flue_co_air_free_ppm
from advisor.facts.hot_water import use_of
from advisor.facts.leakage import measured_cfm50
from advisor.findings import Finding, finding
from advisor.findings import listed as together

PREFIX = "assumed."


def assumed_values(case: Case) -> tuple[Finding, ...]:
    """Return what nobody measured, in the order in which knowing it would usually help.

    Parameters
    ----------
    case : Case
        What was found.

    Returns
    -------
    tuple of Finding
        Ids ``assumed.<value>``; what knowing a value would buy stands in the message ``assumed.buys.<value>``.
    """
    house, vent, zone = case.house, case.vent, case.zone
    checks = (
        (measured_cfm50(case), "leakage"),
        (vent.height_ft, "vent_height"),
        (vent.vertical, "vent_material"),
        (vent.connector, "connector_material"),
        (vent.inspected or None, "vent_condition"),
        (zone.door, "zone_door"),
        (zone.volume_ft3, "zone_volume"),
        (house.floor_area_ft2, "floor_area"),
        (case.heater.recovery_efficiency_pct, "efficiency"),
        (flue_co_air_free_ppm(case.run), "flue_co"),
        (case.heater.age_years, "heater_age"),
        (house.state, "energy_prices"),
        (None if use_of(case).assumed else True, "hot_water"),
        (services.outlet_near(case), "receptacle"),
        (services.circuit_240_v(case), "circuit"),
        (services.wall_ft(case), "outside_wall"),
    )
    found = [finding(f"{PREFIX}{name}") for value, name in checks if value is None]
    found[1:1] = _openings(case) + _flows(case)
    return tuple(found)


def _openings(case: Case) -> list[Finding]:
    unknown = any(o.state == "unknown" for o in listed(case.opening))
    return [finding(f"{PREFIX}opening_clear")] if unknown else []


def _flows(case: Case) -> list[Finding]:
    """Return the devices whose flow is known by their label only, then those of which not even that was written down."""
    by_label, unknown = exhaust.names_by_basis(case, "rated"), exhaust.names_by_basis(case, "usual")
    found = []
    if by_label:
        found.append(finding(f"{PREFIX}installed_flow", names=together(by_label)))
    if unknown:
        found.append(finding(f"{PREFIX}exhaust_flow", names=together(unknown)))
    return found
