"""The connectors of a common vent: table value, length, size against the hood (NFPA 54-2012 13.2)."""

from __future__ import annotations

import math

from advisor import catalog
from advisor.codes import vent_tables
from advisor.codes.altitude import derated_input_btu_h
from advisor.codes.check import Check, appliance_name, of_appliance
from advisor.codes.compose import Basis, Rated, compose, verdict_of
from advisor.codes.tables import ConnectorLength
from advisor.codes.vent_findings import at_least, between, factor, feet, inches, kbtu_h
from advisor.codes.vent_rules import (
    check_connector_growth,
    check_connector_slope,
    check_connector_space,
    check_reach,
)
from advisor.codes.vent_sizing import table_verdict
from advisor.codes.vent_tables import OK, Reading
from advisor.codes.vent_types import CommonAppliance, CommonVent
from advisor.findings import Finding, finding

_FILE = "rules_venting"


def connector_length_limit_ft(diameter_in: float) -> float | None:
    """Return the listed connector length for a diameter (13.2.2), None when the diameter is not listed."""
    for row in catalog.rows_of(ConnectorLength, "connector_max_length"):
        if row.connector_diameter_in == diameter_in:
            return row.max_horizontal_length_ft
    return None


def overlength_factor(length_ft: float | None, diameter_in: float) -> float:
    """Return the share of a connector's maximum left for its length: -10 % for each further multiple (13.2.3)."""
    limit = connector_length_limit_ft(diameter_in)
    if length_ft is None or limit is None or length_ft <= limit:
        return 1.0
    further = math.ceil(length_ft / limit - 1e-9) - 1
    return max(0.0, 1.0 - further * catalog.number(_FILE, "connector_overlength_cut"))


def _connector_ids(item: CommonAppliance) -> tuple[str, ...]:
    """Return what the table value of a connector rests on."""
    names = item.own("connector_diameter", "connector_material", "rise", "lateral")
    drawn = ("other_input", "other_draft") if item.ids else ()
    return ("height", "vent_material", *names, *drawn)


def connector_table(vent: CommonVent, item: CommonAppliance) -> str:
    """Return the table of one connector of a common vent; liners are read as Type B.

    Raises
    ------
    InputError
        If no table covers the materials.
    """
    material = "type B" if vent.vent in ("rigid liner", "corrugated liner") else vent.vent
    connector = "single wall" if material == "single wall" else item.connector
    return vent_tables.table_for(material, connector, "several").table


def _read_connector(table: str, kind: str, height_ft: float, rise_ft: float, size_in: float) -> Reading:
    if kind != "FAN_MIN":
        # More rise only adds capacity, so a maximum above the last printed rise is read there: a bound, not a guess.
        rise_ft = min(rise_ft, max(cell.rise_ft or 0.0 for cell in vent_tables.cells("connector", table)))
    if not vent_tables.has_column("connector", table, kind):
        return vent_tables.not_allowed("nfpa54-2012")
    return vent_tables.read_connector(table, kind, height_ft, rise_ft, size_in)


def check_connector(vent: CommonVent, item: CommonAppliance) -> list[Check]:
    """Check the connector of one appliance at its numbers as they stand: capacity, sizes, horizontal length.

    The tables of connectors are those of interior chimneys: what they allow says nothing about one with an outside wall,
    what is too much there is too much here.

    Returns
    -------
    list of Check
        The capacity first.
    """
    table = connector_table(vent, item)
    fan = item.appliance == "fan-assisted"
    size = item.connector_diameter_in
    high = _read_connector(table, "FAN_MAX" if fan else "NAT_MAX", vent.height_ft, item.rise_ft, size)
    low = _read_connector(table, "FAN_MIN", vent.height_ft, item.rise_ft, size) if fan else None
    if max(reading.code for reading in (high, low) if reading is not None) != OK:
        checks = [_no_number(vent, item, high, low)]
    else:
        checks = [_check_connector_capacity(vent, item, high, low)]
    if item.outlet_diameter_in is not None:
        # only a draft hood has this rule: how another appliance vents has to be known
        sizes = (*item.own("hood", "connector_diameter"), *((f"{item.ids}draft",) if item.ids else ()))
        checks.append(_of(item, check_connector_growth(size, item.outlet_diameter_in)))
        if not fan:
            checks.append(_check_hood(item, item.outlet_diameter_in, sizes))
    if item.connector_length_ft is not None:
        checks.append(_of(item, check_reach(item.connector_length_ft, vent.height_ft, item.connector)))
    return checks


def check_connector_run(item: CommonAppliance) -> list[Check]:
    """Check how the connector of one appliance runs, whatever it carries: a cold space (12.11.2), its slope (12.11.8)."""
    checks = [_of(item, check_connector_space(item))]
    if item.connector_length_ft is None or item.connector_length_ft > 0.0:
        checks.append(_of(item, check_connector_slope(item.connector_slope_in_per_ft)))
    return checks


def _of(item: CommonAppliance, check: Check) -> Check:
    return of_appliance(check, item.name, item.own(*check.rests_on))


def _basis_of(*readings: Reading | None) -> list[Rated]:
    return [Basis(reading.status, reading.source or "nfpa54-2012") for reading in readings if reading is not None]


def _connector_place(vent: CommonVent, item: CommonAppliance) -> Finding:
    return finding(
        "codes_vent.connector.place",
        size=inches(item.connector_diameter_in),
        rise=feet(item.rise_ft),
        height=feet(vent.height_ft),
    )


def _no_number(vent: CommonVent, item: CommonAppliance, high: Reading, low: Reading | None) -> Check:
    """Return the check of a connector for which the table holds no number that may be used."""
    table = connector_table(vent, item)
    worst = max(reading.code for reading in (high, low) if reading is not None)
    why = vent_tables.outcome_finding(worst)
    return compose(
        "connector_of",
        vent_tables.clause_of(table),
        table_verdict(worst),
        finding("codes_vent.connector.client_no_number", appliance=appliance_name(item.name), why=why),
        finding("codes_vent.connector.official_no_number", place=_connector_place(vent, item), why=why),
        _basis_of(high, low),
        required=finding("codes_vent.capacity.required"),
        provided=why,
        rests_on=_connector_ids(item),
        about=item.name,
    )


def _check_connector_capacity(vent: CommonVent, item: CommonAppliance, high: Reading, low: Reading | None) -> Check:
    asked = item.input_btu_h / 1000.0
    share = overlength_factor(item.connector_length_ft, item.connector_diameter_in)
    maximum = high.value * share
    minimum = low.value if low is not None else 0.0
    derated = derated_input_btu_h(item.input_btu_h, vent.altitude_ft) / 1000.0
    enough = asked <= maximum and derated >= minimum
    verdict = verdict_of(None if enough and vent.exterior_masonry else enough)
    # at altitude the burner makes less heat: what is too little at sea level is too little there as well
    altitude = ("altitude",) if low is not None and enough else ()
    exposure = ("exposure",) if vent.vent == "masonry" and enough else ()
    cell = finding("codes_vent.working.value", value=kbtu_h(high.value))
    if share != 1.0:
        cell = finding("codes_vent.working.value_for_length", value=kbtu_h(high.value), factor=factor(share))
    official = finding(
        "codes_vent.connector.official",
        place=_connector_place(vent, item),
        working=cell,
        maximum=kbtu_h(maximum),
        input=kbtu_h(asked),
    )
    if low is not None:
        given = dict(official.values)
        official = finding(f"{official.id}_fan", **given, minimum=kbtu_h(minimum), derated=kbtu_h(derated))
    if verdict == "unknown":
        official = finding("codes_vent.connector.official_exterior", interior=official)
    return compose(
        "connector_of",
        vent_tables.clause_of(connector_table(vent, item)),
        verdict,
        finding(f"codes_vent.connector.client_{verdict}", appliance=appliance_name(item.name)),
        official,
        [*_basis_of(high, low), catalog.parameter(_FILE, "connector_overlength_cut")],
        required=between(kbtu_h(minimum), kbtu_h(maximum)),
        provided=kbtu_h(asked),
        rests_on=(*_connector_ids(item), *altitude, *exposure),
        about=item.name,
    )


def _check_hood(item: CommonAppliance, outlet_in: float, sizes: tuple[str, ...]) -> Check:
    """Check that the connector on a draft hood is not smaller than its outlet (13.2.24)."""
    rule = catalog.parameter(_FILE, "common_hood_connector")
    connector, outlet = inches(item.connector_diameter_in), inches(outlet_in)
    return compose(
        "connector_of_not_smaller_than_hood",
        rule.ref,
        verdict_of(item.connector_diameter_in >= outlet_in),
        finding("codes_vent.hood.client", appliance=appliance_name(item.name)),
        finding("codes_vent.hood.official", connector=connector, outlet=outlet),
        (rule,),
        required=at_least(outlet),
        provided=connector,
        rests_on=sizes,
        about=item.name,
    )
