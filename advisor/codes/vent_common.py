"""Several appliances on one vent: the common part and the choice of sizes (NFPA 54-2012 ch. 12-13)."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from advisor import catalog
from advisor.codes import vent_exterior, vent_tables
from advisor.codes.check import Check, appliance_name
from advisor.codes.compose import Basis, Rated, compose, failed, verdict_of, worst_status
from advisor.codes.trade_sizes import round_area_in2
from advisor.codes.unknown import where_given
from advisor.codes.vent_connectors import check_connector, check_connector_run, connector_table
from advisor.codes.vent_findings import (
    at_least,
    at_most,
    feet,
    inches,
    kbtu_h,
    material,
    square_inches,
    thousand_btu_h,
)
from advisor.codes.vent_rules import (
    check_not_exposed,
    check_seven_times,
    check_single_wall_vent,
    check_top_above_hood,
)
from advisor.codes.vent_sizing import table_verdict, working_of
from advisor.codes.vent_tables import OK, Reading
from advisor.codes.vent_types import CommonAppliance, CommonVent
from advisor.errors import InputError
from advisor.findings import Words, finding, listed, quantity

_FILE = "rules_venting"


def common_table(vent: CommonVent, appliances: Sequence[CommonAppliance]) -> str:
    """Return the table of a common vent: with mixed connectors the single-wall one (13.2.25)."""
    single_wall = any(item.connector == "single wall" for item in appliances)
    material = "type B" if vent.vent in ("rigid liner", "corrugated liner") else vent.vent
    single_wall = single_wall or material == "single wall"
    return vent_tables.table_for(material, "single wall" if single_wall else "type B", "several").table


def common_kind(appliances: Sequence[CommonAppliance]) -> str:
    """Return the column of the common vent: ``FAN+FAN``, ``FAN+NAT`` or ``NAT+NAT``."""
    fans = [item.appliance == "fan-assisted" for item in appliances]
    return "FAN+FAN" if all(fans) else "FAN+NAT" if any(fans) else "NAT+NAT"


def _common_size_id(vent: CommonVent) -> str:
    return "flue_area" if vent.vent == "masonry" else "vent_diameter"


def _material_ids(appliances: Sequence[CommonAppliance]) -> tuple[str, ...]:
    """Return what the choice of the table rests on: one connector that is known to be single wall settles it."""
    single = [
        item
        for item in appliances
        if item.connector == "single wall" and not item.assumed.intersection(item.own("connector_material"))
    ]
    return _own_of(single[:1] or appliances, "connector_material")


@dataclass(frozen=True, slots=True)
class CommonCapacity:
    """Table value of a common vent, its reductions, and the reading they rest on."""

    table: str
    kind: str
    maximum_kbtu_h: float
    factor: float
    reading: Reading
    working: Words


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
    size = vent.chimney_area_in2 if vent.vent == "masonry" else vent.diameter_in
    assert size is not None
    if vent.exterior_masonry:
        table = vent_exterior.MAXIMUM.get(kind, vent_exterior.MAXIMUM["FAN+NAT"])
        reading = vent_exterior.read_exterior_maximum(kind, vent.height_ft, size)
    elif vent_tables.has_column("common", table, kind):
        reading = vent_tables.read_common(table, kind, vent.height_ft, size)
    else:
        # the table of single-wall vents is for draft hoods only: it has no column with a fan
        reading = vent_tables.not_allowed("nfpa54-2012")
    cut = 1.0 - vent.elbows_90 * catalog.number(_FILE, "common_elbow_90_cut")
    cut -= vent.elbows_45 * catalog.number(_FILE, "common_elbow_45_cut")
    factors = {"elbows": max(0.0, cut)}
    if vent.manifold:
        factors["manifold"] = 1.0 - catalog.number(_FILE, "manifold_cut")
    if vent.multistory_offset:
        factors["multistory_offset"] = 1.0 - catalog.number(_FILE, "multistory_offset_cut")
    if vent.vent == "corrugated liner":
        factors["corrugated_liner"] = catalog.number(_FILE, "corrugated_factor")
    whole = math.prod(factors.values())
    cell = finding(
        "codes_vent.working.common",
        table=table,
        column=kind,
        size=square_inches(size) if vent.vent == "masonry" else inches(size),
        height=feet(vent.height_ft),
        value=kbtu_h(reading.value),
    )
    working = working_of(cell, factors, reading.value) if reading.code == OK else cell
    return CommonCapacity(table, kind, reading.value * whole, whole, reading, working)


def _check_total(vent: CommonVent, appliances: Sequence[CommonAppliance]) -> Check:
    found = common_capacity(vent, appliances)
    total = sum(item.input_btu_h for item in appliances) / 1000.0
    reading = found.reading
    given = kbtu_h(total)
    rests_on = _total_rests_on(vent, appliances)
    basis: list[Rated] = [
        Basis(reading.status, reading.source or "nfpa54-2012"),
        catalog.parameter(_FILE, "interpolation"),
    ]
    if len({item.connector for item in appliances}) > 1:
        basis.append(catalog.parameter(_FILE, "mixed_connectors"))
    if reading.code != OK:
        why = vent_tables.outcome_finding(reading.code)
        official = finding("codes_vent.total.official_no_number", input=given, why=why)
        if not vent.exterior_masonry and vent_tables.is_by_area(found.table):
            top_ft = vent_tables.height_range_ft("common", found.table, found.kind)[1]
            official = finding("codes_vent.total.official_no_number_by_area", input=given, why=why, height=feet(top_ft))
        return compose(
            "common_vent_capacity",
            vent_tables.clause_of(found.table),
            table_verdict(reading.code),
            finding("codes_vent.total.client_no_number", why=why),
            official,
            basis,
            required=finding("codes_vent.capacity.required"),
            provided=why,
            rests_on=rests_on,
        )
    enough = total <= found.maximum_kbtu_h
    most = kbtu_h(found.maximum_kbtu_h)
    official = finding("codes_vent.total.official", input=given, maximum=most, working=found.working)
    if enough and vent.vent == "masonry":
        # an outside wall never makes a chimney carry more: what is too much indoors is too much there
        rests_on = (*rests_on, "exposure")
    verdict = verdict_of(enough)
    if enough and vent.exterior_masonry:
        rests_on = (*rests_on, *_material_ids(appliances))
    if enough and vent.exterior_masonry and not _all_type_b(appliances):
        verdict = "unknown"
        official = finding("codes_vent.total.official_single_wall", maximum=official)
    return compose(
        "common_vent_capacity",
        vent_tables.clause_of(found.table),
        verdict,
        finding(
            f"codes_vent.total.client_{verdict}",
            maximum=thousand_btu_h(found.maximum_kbtu_h, 0),
            input=thousand_btu_h(total),
        ),
        official,
        basis,
        required=at_most(most),
        provided=given,
        rests_on=rests_on,
    )


def _total_rests_on(vent: CommonVent, appliances: Sequence[CommonAppliance]) -> tuple[str, ...]:
    """Return what the largest input of a common vent rests on, whatever the verdict is."""
    # one table holds for exterior chimneys: single-wall connectors can only take from what it allows
    connectors = () if vent.exterior_masonry else _material_ids(appliances)
    return ("height", "vent_material", _common_size_id(vent), "other_input", "other_draft", *connectors)


def _all_type_b(appliances: Sequence[CommonAppliance]) -> bool:
    return all(item.connector == "type B" for item in appliances)


def _check_cold_chimney(vent: CommonVent, appliances: Sequence[CommonAppliance]) -> Check:
    """Check that the furnaces keep an exterior masonry chimney warm."""
    assert vent.chimney_area_in2 is not None
    return vent_exterior.check_furnace_minimum(
        common_kind(appliances),
        [item.input_btu_h for item in appliances if item.heats_space],
        height_ft=vent.height_ft,
        area_in2=vent.chimney_area_in2,
        design_temperature_f=vent.design_temperature_f,
        temperature_given="design_temperature" not in vent.assumed,
        altitude_ft=vent.altitude_ft,
        type_b_connectors=_all_type_b(appliances),
        rests_on=("height", "vent_material", "flue_area", "other_input", "other_draft"),
    )


def _check_offset(vent: CommonVent) -> Check:
    rule = catalog.parameter(_FILE, "common_offset_in_per_in")
    diameter = vent.diameter_in or math.sqrt(4.0 * (vent.chimney_area_in2 or math.nan) / math.pi)
    limit_ft = rule.typical * diameter / 12.0
    length, limit = feet(vent.offset_length_ft), feet(limit_ft)
    return compose(
        "offset_or_manifold_length",
        rule.ref,
        verdict_of(vent.offset_length_ft <= limit_ft),
        finding("codes_vent.offset.client"),
        # so many inches of length for each inch of diameter: a ratio, the same in every unit
        finding("codes_vent.offset.official", length=length, times=quantity(rule.typical, "number"), limit=limit),
        (rule,),
        required=at_most(limit),
        provided=length,
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
    exposure = {"exposure"} if vent.exterior_masonry is None else set()
    return tuple(
        where_given(check, vent.assumed.union(exposure, *(item.assumed for item in of)))
        for check, of in _held(vent, appliances)
    )


def usual_common_vent(vent: CommonVent, appliances: Sequence[CommonAppliance]) -> tuple[Check, ...]:
    """Return the checks of a common vent at its numbers as they stand, given or assumed: for sizing only.

    Raises
    ------
    InputError
        If fewer than two appliances are given or no table covers the materials.
    """
    return tuple(check for check, _ in _held(vent, appliances))


_Held = tuple[Check, Sequence[CommonAppliance]]
"""A check, and the appliances on whose numbers it rests."""


def _held(vent: CommonVent, appliances: Sequence[CommonAppliance]) -> list[_Held]:
    """Return every check of a common vent in its fixed order."""
    found: list[_Held] = [(_check_total(vent, appliances), appliances)]
    if vent.exterior_masonry:
        found.append((_check_cold_chimney(vent, appliances), appliances))
    for item in appliances:
        found.extend((check, [item]) for check in (*check_connector(vent, item), *check_connector_run(item)))
    found.append(_check_under_connector(vent, appliances))
    found.extend(_check_not_too_large(vent, appliances))
    found.append((check_top_above_hood(vent.height_ft), ()))
    if not vent.exterior_masonry:
        found.append((check_not_exposed(vent), ()))
    if vent.vent == "single wall":
        found.append((check_single_wall_vent(vent), ()))
    if vent.offset_length_ft > 0:
        found.append((_check_offset(vent), ()))
    return found


def _area_in2(vent: CommonVent) -> float:
    area = vent.chimney_area_in2 if vent.vent == "masonry" else round_area_in2(vent.diameter_in or math.nan)
    assert area is not None
    return area


def _check_under_connector(vent: CommonVent, appliances: Sequence[CommonAppliance]) -> _Held:
    """Check that the common part is not smaller than the largest connector (13.2.8)."""
    rule, area = catalog.parameter(_FILE, "common_not_under_connector"), _area_in2(vent)
    largest = max(item.connector_diameter_in for item in appliances)
    least = square_inches(round_area_in2(largest))
    wider = [item for item in appliances if round_area_in2(item.connector_diameter_in) > area]
    # one connector that is given and too wide is enough, whatever the others are
    given = [item for item in wider if not _is_assumed(vent, item, "connector_diameter")]
    counted = given[:1] or appliances
    check = compose(
        "common_vent_not_smaller_than_connector",
        rule.ref,
        verdict_of(not wider),
        finding("codes_vent.common.client"),
        finding(
            "codes_vent.common.official", area=square_inches(area), connector=inches(largest), connector_area=least
        ),
        (rule,),
        required=at_least(least),
        provided=square_inches(area),
        rests_on=(_common_size_id(vent), *_own_of(counted, "connector_diameter")),
    )
    return check, counted


def _own_of(appliances: Sequence[CommonAppliance], name: str) -> tuple[str, ...]:
    return tuple(own for item in appliances for own in item.own(name))


def _is_assumed(vent: CommonVent, item: CommonAppliance, name: str) -> bool:
    return bool((vent.assumed | item.assumed).intersection(item.own(name)))


def _check_not_too_large(vent: CommonVent, appliances: Sequence[CommonAppliance]) -> list[_Held]:
    """Check the common part against the smallest outlet (13.2.18); no check where nobody can even assume an outlet."""
    outlets = [(item.outlet_diameter_in, item) for item in appliances if item.outlet_diameter_in is not None]
    if len(outlets) < len(appliances):
        return []
    area, times = _area_in2(vent), catalog.number(_FILE, "seven_times")
    smallest = min(outlet for outlet, _ in outlets)
    # a further outlet can only be smaller: it never cures a vent that is too wide for one that is given
    given = [
        item for out, item in outlets if area > times * round_area_in2(out) and not _is_assumed(vent, item, "hood")
    ]
    counted = given[:1] or appliances
    names = (_common_size_id(vent), *_own_of(counted, "hood"))
    return [(check_seven_times(area, smallest, smallest_of_several=True, rests_on=names), counted)]


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
    words: Words


def choose_connector_in(vent: CommonVent, item: CommonAppliance) -> float | None:
    """Return the smallest connector that complies for one appliance of a common vent, or None."""
    table = connector_table(vent, item)
    kind = "FAN_MAX" if item.appliance == "fan-assisted" else "NAT_MAX"
    for size in vent_tables.sizes_in("connector", table, kind):
        checks = check_connector(vent, replace(item, connector_diameter_in=size))
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
            words = finding("codes_vent.choice.no_connector", appliance=appliance_name(item.name))
            return CommonChoice(None, (), None, worst_status(*(check.status for check in checks)), checks, words)
        sizes.append(size)
    fitted = [replace(item, connector_diameter_in=size) for item, size in zip(appliances, sizes, strict=True)]
    checks = ()
    table, kind = common_table(vent, fitted), common_kind(fitted)
    for diameter in vent_tables.sizes_in("common", table, kind):
        trial = replace(vent, diameter_in=diameter)
        checks = usual_common_vent(trial, fitted)
        found = common_capacity(trial, fitted)
        # a cell that was not read breaks no rule, but nobody can say what such a vent carries
        if found.reading.code == OK and not failed(checks):
            capacity = found.maximum_kbtu_h
            status = worst_status(*(check.status for check in checks))
            words = finding(
                "codes_vent.choice.common",
                size=inches(diameter),
                vent=material(vent.vent),
                maximum=quantity(capacity, "kbtu_h", 0),
                connectors=listed(
                    finding(
                        "codes_vent.choice.common_connector", size=inches(size), appliance=appliance_name(item.name)
                    )
                    for item, size in zip(fitted, sizes, strict=True)
                ),
            )
            return CommonChoice(trial, tuple(sizes), capacity, status, checks, words)
    words = finding("codes_vent.choice.no_common", table=table)
    return CommonChoice(None, (), None, worst_status(*(check.status for check in checks)), checks, words)
