"""Several appliances on one vent: connectors, common part, choice of sizes (NFPA 54-2012 ch. 12-13)."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from advisor import catalog
from advisor.codes import vent_tables
from advisor.codes.altitude import derated_input_btu_h
from advisor.codes.check import Check
from advisor.codes.compose import Basis, Rated, compose, failed, number_text, verdict_of, worst_status
from advisor.codes.trade_sizes import round_area_in2
from advisor.codes.unknown import all_where_given
from advisor.codes.vent_rules import check_connector_growth, check_reach, check_seven_times, check_top_above_hood
from advisor.codes.vent_sizing import table_clause, table_verdict
from advisor.codes.vent_tables import OK, Reading
from advisor.codes.vent_types import CommonAppliance, CommonVent
from advisor.errors import InputError

_FILE = "rules_venting"


def common_table(vent: CommonVent, appliances: Sequence[CommonAppliance]) -> str:
    """Return the table of a common vent: with mixed connectors the single-wall one (13.2.25)."""
    single_wall = any(item.connector == "single wall" for item in appliances)
    material = "type B" if vent.vent in ("rigid liner", "corrugated liner") else vent.vent
    single_wall = single_wall or material == "single wall"
    return vent_tables.table_for(material, "single wall" if single_wall else "type B", "several")["table"]


def common_kind(appliances: Sequence[CommonAppliance]) -> str:
    """Return the column of the common vent: ``FAN+FAN``, ``FAN+NAT`` or ``NAT+NAT``."""
    fans = [item.appliance == "fan-assisted" for item in appliances]
    return "FAN+FAN" if all(fans) else "FAN+NAT" if any(fans) else "NAT+NAT"


def connector_length_limit_ft(diameter_in: float) -> float | None:
    """Return the listed connector length for a diameter (13.2.2), None when the diameter is not listed."""
    for row in catalog.table("connector_max_length"):
        if float(row["connector_diameter_in"]) == diameter_in:
            return float(row["max_horizontal_length_ft"])
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
    names = ("connector_diameter", "connector_material", "rise", "connector_length")
    drawn = ("other_input", "other_draft") if item.ids else ()
    return ("height", "vent_material", *(f"{item.ids}{name}" for name in names), *drawn)


def _common_size_id(vent: CommonVent) -> str:
    return "flue_area" if vent.vent == "masonry" else "vent_diameter"


def _material_ids(appliances: Sequence[CommonAppliance]) -> tuple[str, ...]:
    """Return what the choice of the table rests on: one connector that is known to be single wall settles it."""
    single = [i for i in appliances if i.connector == "single wall" and f"{i.ids}connector_material" not in i.assumed]
    return tuple(f"{item.ids}connector_material" for item in (single[:1] or appliances))


def _is_partial(table: str) -> bool:
    return any(
        row["table"] == table and row["note"] == "partial table" for row in catalog.table("vent_connector_capacity")
    )


def _material_table(vent: CommonVent, item: CommonAppliance) -> str:
    material = "type B" if vent.vent in ("rigid liner", "corrugated liner") else vent.vent
    connector = "single wall" if material == "single wall" else item.connector
    return vent_tables.table_for(material, connector, "several")["table"]


def _read_connector(table: str, kind: str, height_ft: float, rise_ft: float, size_in: float) -> Reading:
    if kind != "FAN_MIN":
        # More rise only adds capacity, so a maximum above the last printed rise is read there: a bound, not a guess.
        rises = [float(row["rise_ft"]) for row in catalog.table("vent_connector_capacity") if row["table"] == table]
        rise_ft = min(rise_ft, max(rises))
    if not vent_tables.has_column("connector", table, kind):
        return vent_tables.not_allowed("nfpa54-2012")
    return vent_tables.read_connector(table, kind, height_ft, rise_ft, size_in)


def _check_connector(vent: CommonVent, item: CommonAppliance) -> list[Check]:
    table = _material_table(vent, item)
    fan = item.appliance == "fan-assisted"
    rule = f"connector of the {item.name}"
    asked = item.input_btu_h / 1000.0
    high = _read_connector(
        table, "FAN_MAX" if fan else "NAT_MAX", vent.height_ft, item.rise_ft, item.connector_diameter_in
    )
    low = _read_connector(table, "FAN_MIN", vent.height_ft, item.rise_ft, item.connector_diameter_in) if fan else None
    readings = [high] if low is None else [high, low]
    basis = [Basis(reading.status, reading.source or "nfpa54-2012") for reading in readings]
    place = (
        f"{number_text(item.connector_diameter_in)} in., rise {number_text(item.rise_ft, 1)} ft, height "
        f"{number_text(vent.height_ft, 1)} ft"
    )
    worst = max(reading.code for reading in readings)
    if _is_partial(table) or worst != OK:
        partial = _is_partial(table)
        words = vent_tables.WORDS[vent_tables.UNREAD if partial else worst]
        return [
            compose(
                rule,
                table_clause(table),
                "unknown" if partial else table_verdict(worst),
                f"The published table gives no usable number for the pipe from the {item.name} ({words}).",
                f"{place}: {words}.",
                [Basis("memory", "ifgc-504-memory")] if partial else basis,
                required="a table value",
                provided=words,
                rests_on=_connector_ids(item),
            )
        ]
    factor = overlength_factor(item.connector_length_ft, item.connector_diameter_in)
    maximum = high.value * factor
    minimum = low.value if low is not None else 0.0
    derated = derated_input_btu_h(item.input_btu_h, vent.altitude_ft) / 1000.0
    ok = asked <= maximum and derated >= minimum
    # at altitude the burner makes less heat: what is too little at sea level is too little there as well
    altitude = ("altitude",) if fan and ok else ()
    cut = "" if factor == 1.0 else f" x {number_text(factor, 2)} for its length"
    checks = [
        compose(
            rule,
            table_clause(table),
            verdict_of(ok),
            f"The pipe from the {item.name} to the common vent is {'a fitting' if ok else 'not a fitting'} size.",
            f"{place}: table {number_text(high.value, 1)}{cut} = {number_text(maximum, 1)} kBtu/h maximum"
            + (f", {number_text(minimum, 1)} minimum (derated input {number_text(derated, 1)})" if fan else "")
            + f"; input {number_text(asked, 1)} kBtu/h.",
            [*basis, catalog.parameter(_FILE, "connector_overlength_cut")],
            required=f"{number_text(minimum, 1)} to {number_text(maximum, 1)} kBtu/h",
            provided=f"{number_text(asked, 1)} kBtu/h",
            rests_on=(*_connector_ids(item), *altitude),
        )
    ]
    if item.outlet_diameter_in is not None:
        sizes = (item.outlet_id, f"{item.ids}connector_diameter")
        checks.append(check_connector_growth(item.connector_diameter_in, item.outlet_diameter_in, sizes))
        if not fan:
            hood = catalog.parameter(_FILE, "common_hood_connector")
            fits = item.connector_diameter_in >= item.outlet_diameter_in
            checks.append(
                compose(
                    f"connector of the {item.name} not smaller than the hood",
                    hood.ref,
                    verdict_of(fits),
                    f"The pipe on the draft hood of the {item.name} may not be narrower than the hood's outlet.",
                    f"Connector {number_text(item.connector_diameter_in)} in. on a draft-hood outlet of "
                    f"{number_text(item.outlet_diameter_in)} in.",
                    (hood,),
                    required=f"at least {number_text(item.outlet_diameter_in)} in.",
                    provided=f"{number_text(item.connector_diameter_in)} in.",
                    rests_on=sizes,
                )
            )
    if item.connector_length_ft is not None:
        reach = (f"{item.ids}connector_length", "height", f"{item.ids}connector_material")
        checks.append(check_reach(item.connector_length_ft, vent.height_ft, item.connector, reach))
    return checks


@dataclass(frozen=True, slots=True)
class CommonCapacity:
    """Table value of a common vent, its reductions, and the reading they rest on."""

    table: str
    kind: str
    maximum_kbtu_h: float
    factor: float
    reading: Reading
    working: str


def common_capacity(vent: CommonVent, appliances: Sequence[CommonAppliance]) -> CommonCapacity:
    """Return the allowed total input of a common vent with the working.

    Raises
    ------
    InputError
        If fewer than two appliances are given or no table covers the materials.
    """
    if len(appliances) < 2:
        raise InputError(f"a common vent serves at least 2 appliances, {len(appliances)} given: use check_single_vent")
    table, kind = common_table(vent, appliances), common_kind(appliances)
    size = vent.chimney_area_in2 if vent_tables.is_by_area(table) else vent.diameter_in
    assert size is not None
    # the table of single-wall vents is for draft hoods only: it has no column with a fan
    reading = (
        vent_tables.read_common(table, kind, vent.height_ft, size)
        if vent_tables.has_column("common", table, kind)
        else vent_tables.not_allowed("nfpa54-2012")
    )
    factor = 1.0
    words = [f"{table} {kind}, {number_text(size, 1)} {'in2' if vent.vent == 'masonry' else 'in.'}, height "]
    words.append(f"{number_text(vent.height_ft, 1)} ft: {number_text(reading.value, 1)}")
    cut = 1.0 - vent.elbows_90 * catalog.number(_FILE, "common_elbow_90_cut")
    cut -= vent.elbows_45 * catalog.number(_FILE, "common_elbow_45_cut")
    for share, reason in (
        (max(0.0, cut), "elbows"),
        (1.0 - catalog.number(_FILE, "manifold_cut") if vent.manifold else 1.0, "a manifold"),
        (
            1.0 - catalog.number(_FILE, "multistory_offset_cut") if vent.multistory_offset else 1.0,
            "a multistory offset",
        ),
        (catalog.number(_FILE, "corrugated_factor") if vent.vent == "corrugated liner" else 1.0, "a corrugated liner"),
    ):
        if share != 1.0:
            factor *= share
            words.append(f" x {number_text(share, 2)} for {reason}")
    maximum = reading.value * factor
    words.append(f" = {number_text(maximum, 0)}" if reading.code == OK and factor != 1.0 else "")
    return CommonCapacity(table, kind, maximum, factor, reading, "".join(words))


def _check_total(vent: CommonVent, appliances: Sequence[CommonAppliance]) -> Check:
    found = common_capacity(vent, appliances)
    total = sum(item.input_btu_h for item in appliances) / 1000.0
    reading = found.reading
    given = f"{number_text(total, 1)} kBtu/h"
    rests_on = (
        "height",
        "vent_material",
        _common_size_id(vent),
        "other_input",
        "other_draft",
        *_material_ids(appliances),
    )
    basis: list[Rated] = [
        Basis(reading.status, reading.source or "nfpa54-2012"),
        catalog.parameter(_FILE, "interpolation"),
    ]
    if len({item.connector for item in appliances}) > 1:
        basis.append(catalog.parameter(_FILE, "mixed_connectors"))
    if reading.code != OK:
        words = vent_tables.WORDS[reading.code]
        by_area = vent_tables.is_by_area(found.table)
        more = ""
        if by_area:
            top = vent_tables.height_range_ft("common", found.table, found.kind)[1]
            more = f" (this tool holds the rows up to {number_text(top)} ft)"
        return compose(
            "common vent capacity",
            table_clause(found.table),
            table_verdict(reading.code),
            f"The published table gives no size for this common vent ({words}), so a designer or the maker has to.",
            f"Total input {given}: {words}{more}.",
            basis,
            required="a table value",
            provided=words,
            rests_on=rests_on,
        )
    ok = total <= found.maximum_kbtu_h
    return compose(
        "common vent capacity",
        table_clause(found.table),
        verdict_of(ok),
        f"The common vent can carry {number_text(found.maximum_kbtu_h, 0)} of the {number_text(total, 1)} thousand "
        f"Btu/h of all its appliances: {'enough' if ok else 'too little'}.",
        f"Total input {given} against {number_text(found.maximum_kbtu_h, 1)} kBtu/h ({found.working}).",
        basis,
        required=f"at most {number_text(found.maximum_kbtu_h, 1)} kBtu/h",
        provided=given,
        rests_on=rests_on,
    )


def _check_offset(vent: CommonVent) -> Check:
    rule = catalog.parameter(_FILE, "common_offset_in_per_in")
    diameter = vent.diameter_in or math.sqrt(4.0 * (vent.chimney_area_in2 or math.nan) / math.pi)
    limit = rule.typical * diameter / 12.0
    return compose(
        "offset or manifold length",
        rule.ref,
        verdict_of(vent.offset_length_ft <= limit),
        "The sideways part of the common vent must stay short.",
        f"Length {number_text(vent.offset_length_ft, 1)} ft; at most {number_text(rule.typical)} in. per inch of "
        f"common diameter = {number_text(limit, 1)} ft.",
        (rule,),
        required=f"at most {number_text(limit, 1)} ft",
        provided=f"{number_text(vent.offset_length_ft, 1)} ft",
    )


def check_common_vent(vent: CommonVent, appliances: Sequence[CommonAppliance]) -> tuple[Check, ...]:
    """Check a common vent: every connector, the common part, and the rules that tie them.

    Parameters
    ----------
    vent : CommonVent
        The common part.
    appliances : sequence of CommonAppliance
        At least two.

    Returns
    -------
    tuple of Check
        Common capacity, then each connector, then sizes and offset. A number that is missing or assumed gives
        ``unknown``.

    Raises
    ------
    InputError
        If fewer than two appliances are given or no table covers the materials.
    """
    assumed = vent.assumed.union(*(item.assumed for item in appliances))
    return all_where_given(usual_common_vent(vent, appliances), assumed)


def usual_common_vent(vent: CommonVent, appliances: Sequence[CommonAppliance]) -> tuple[Check, ...]:
    """Return the checks of a common vent at its numbers as they stand, given or assumed: for sizing only.

    Raises
    ------
    InputError
        If fewer than two appliances are given or no table covers the materials.
    """
    checks = [_check_total(vent, appliances)]
    for item in appliances:
        checks.extend(_check_connector(vent, item))
    rule = catalog.parameter(_FILE, "common_not_under_connector")
    area = vent.chimney_area_in2 if vent.vent == "masonry" else round_area_in2(vent.diameter_in or math.nan)
    assert area is not None
    largest = max(item.connector_diameter_in for item in appliances)
    connectors = tuple(f"{item.ids}connector_diameter" for item in appliances)
    checks.append(
        compose(
            "common vent not smaller than a connector",
            rule.ref,
            verdict_of(area >= round_area_in2(largest)),
            "The common vent must be at least as wide as the widest pipe that feeds it.",
            f"Common area {number_text(area, 1)} in2 against the largest connector {number_text(largest)} in. "
            f"({number_text(round_area_in2(largest), 1)} in2).",
            (rule,),
            required=f"at least {number_text(round_area_in2(largest), 1)} in2",
            provided=f"{number_text(area, 1)} in2",
            rests_on=(_common_size_id(vent), *connectors),
        )
    )
    outlets = [item.outlet_diameter_in for item in appliances]
    known = [outlet for outlet in outlets if outlet is not None]
    if len(known) == len(outlets):
        names = (_common_size_id(vent), *(item.outlet_id for item in appliances))
        checks.append(check_seven_times(area, min(known), smallest_of_several=True, rests_on=names))
    checks.append(check_top_above_hood(vent.height_ft))
    if vent.offset_length_ft > 0:
        checks.append(_check_offset(vent))
    return tuple(checks)


@dataclass(frozen=True, slots=True)
class CommonChoice:
    """The smallest complying connectors and common vent.

    Parameters
    ----------
    vent : CommonVent or None
        None when no printed size complies.
    connectors_in : tuple of float
        Connector diameters in the order of the appliances; empty when none complies.
    capacity_kbtu_h : float or None
        Reduced maximum of the common part.
    status, checks, words
        As in ``VentChoice``.
    """

    vent: CommonVent | None
    connectors_in: tuple[float, ...]
    capacity_kbtu_h: float | None
    status: str
    checks: tuple[Check, ...]
    words: str


def choose_connector_in(vent: CommonVent, item: CommonAppliance) -> float | None:
    """Return the smallest connector that complies for one appliance of a common vent, or None."""
    table = _material_table(vent, item)
    kind = "FAN_MAX" if item.appliance == "fan-assisted" else "NAT_MAX"
    for size in vent_tables.sizes_in("connector", table, kind):
        checks = _check_connector(vent, replace(item, connector_diameter_in=size))
        if all(check.verdict == "pass" for check in checks):
            return size
    return None


def choose_common_vent(vent: CommonVent, appliances: Sequence[CommonAppliance]) -> CommonChoice:
    """Choose the smallest connectors and then the smallest common diameter (round vents and liners).

    Its checks are those of the numbers as they stand; hold the choice against ``check_common_vent`` before it is shown.

    Raises
    ------
    InputError
        For a masonry chimney (check the one that stands there) or fewer than two appliances.
    """
    if vent.vent == "masonry":
        raise InputError("choose_common_vent: a masonry chimney is checked, not chosen; give a liner or Type B vent")
    sizes: list[float] = []
    for item in appliances:
        size = choose_connector_in(vent, item)
        if size is None:
            checks = usual_common_vent(vent, appliances)
            words = f"No connector in the table complies for the {item.name}: engineered design."
            return CommonChoice(None, (), None, worst_status(*(check.status for check in checks)), checks, words)
        sizes.append(size)
    fitted = [replace(item, connector_diameter_in=size) for item, size in zip(appliances, sizes, strict=True)]
    checks = ()
    table, kind = common_table(vent, fitted), common_kind(fitted)
    for diameter in vent_tables.sizes_in("common", table, kind):
        trial = replace(vent, diameter_in=diameter)
        checks = usual_common_vent(trial, fitted)
        if not failed(checks):
            capacity = common_capacity(trial, fitted).maximum_kbtu_h
            status = worst_status(*(check.status for check in checks))
            words = (
                f"{number_text(diameter)} in. {vent.vent} common vent, {number_text(capacity, 0)} kBtu/h, connectors "
            )
            words += ", ".join(
                f"{number_text(size)} in. ({item.name})" for item, size in zip(fitted, sizes, strict=True)
            )
            return CommonChoice(trial, tuple(sizes), capacity, status, checks, words + ".")
    words = f"No common size in table {table} complies: engineered design."
    return CommonChoice(None, (), None, worst_status(*(check.status for check in checks)), checks, words)
