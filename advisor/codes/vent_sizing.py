"""One appliance on one vent: capacity from the tables and the rules around it (NFPA 54-2012 ch. 12-13)."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from advisor import catalog
from advisor.codes import vent_tables
from advisor.codes.altitude import derated_input_btu_h
from advisor.codes.check import Check, Verdict
from advisor.codes.compose import OUTSIDE, Basis, compose, failed, verdict_of, worst_status
from advisor.codes.trade_sizes import round_area_in2
from advisor.codes.unknown import all_where_given
from advisor.codes.vent_condensation import condensation_flags
from advisor.codes.vent_findings import at_least, at_most, factor, feet, inches, kbtu_h, material, thousand_btu_h
from advisor.codes.vent_rules import (
    CAPACITY,
    check_connector_growth,
    check_connector_slope,
    check_connector_space,
    check_exposure,
    check_masonry_area,
    check_reach,
    check_seven_times,
    check_single_wall_vent,
    check_smaller_than_outlet,
    check_top_above_hood,
)
from advisor.codes.vent_tables import NOT_ALLOWED, OK, OUTSIDE_TABLE, UNREAD
from advisor.codes.vent_types import SingleVent
from advisor.findings import Finding, Listed, Words, finding, listed, quantity

_FILE = "rules_venting"


@dataclass(frozen=True, slots=True)
class Capacity:
    """What the table and the reductions give for one vent.

    Parameters
    ----------
    table : str
        Table entered.
    maximum_kbtu_h : float
        Largest sea-level input after all reductions; NaN when there is none.
    minimum_kbtu_h : float
        Smallest derated input (fan-assisted, or with a vent damper), else 0.
    factor : float
        Product of the reductions of the table value.
    outcome, minimum_outcome : int
        See ``vent_tables.OUTCOMES``.
    working : finding
        How the maximum came about.
    status, source : str
        Weakest status and all sources of the cells and rules used.
    """

    table: str
    maximum_kbtu_h: float
    minimum_kbtu_h: float
    factor: float
    outcome: int
    minimum_outcome: int
    working: Words
    status: str
    source: str

    @property
    def basis(self) -> Basis:
        """Status and source as one object."""
        return Basis(self.status, self.source)


def elbow_factor(elbows_90: int, elbows_45: int, *, included: int) -> float:
    """Return the share of the table maximum left after the elbows beyond those included.

    The included elbows are taken from the sharpest ones first. Each further elbow costs its percentage *of the table
    maximum* (13.1.3), so cuts of several elbows add; different kinds of cut multiply.
    """
    free_90 = min(elbows_90, included)
    free_45 = min(elbows_45, included - free_90)
    cut = (elbows_90 - free_90) * catalog.number(_FILE, "elbow_90_cut")
    cut += (elbows_45 - free_45) * catalog.number(_FILE, "elbow_45_cut")
    return max(0.0, 1.0 - cut)


def table_of(vent: SingleVent) -> str:
    """Return the table that covers a vent; liners are read as Type B.

    Raises
    ------
    InputError
        If no table covers the combination of materials.
    """
    material = "type B" if vent.vent in ("rigid liner", "corrugated liner") else vent.vent
    # a better connector does not make a single-wall vent carry more: there is one table for it
    connector = "single wall" if material == "single wall" else vent.connector
    return vent_tables.table_for(material, connector, "one").table


def single_capacity(vent: SingleVent) -> Capacity:
    """Return the allowed range of inputs of a vent with the working.

    Raises
    ------
    InputError
        If no table covers the materials.
    """
    table = table_of(vent)
    fan = vent.appliance == "fan-assisted"
    elbows = vent.elbows_90 + vent.elbows_45
    lateral = vent.lateral_ft
    if lateral == 0.0 and elbows:
        # The 0 ft row is for a straight vertical vent: with elbows the first row that includes them is read.
        lateral = catalog.number(_FILE, "lateral_above_zero_read_at_least_ft")
    if fan and table == "504.2(5)":
        only = finding("codes_vent.working.draft_hoods_only")
        return Capacity(table, math.nan, 0.0, 1.0, NOT_ALLOWED, OK, only, "seen", "nc-fgc-2018")
    column = "FAN_MAX" if fan else "NAT_MAX"
    reading = vent_tables.read_single(table, column, vent.height_ft, lateral, vent.table_size_in)
    statuses, sources = [reading.status], [reading.source]
    included = int(catalog.number(_FILE, "elbows_included")) if lateral > 0 else 0
    factors = {"further_elbows": elbow_factor(vent.elbows_90, vent.elbows_45, included=included)}
    if vent.vent == "corrugated liner":
        factors["corrugated_liner"] = catalog.number(_FILE, "corrugated_factor")
    if fan and vent.table_size_in < vent.outlet_diameter_in:
        factors["below_collar"] = catalog.number(_FILE, "downsizing_fan_factor")
    minimum, minimum_outcome = 0.0, OK
    if fan or (vent.vent_damper and table != "504.2(5)"):
        size = vent.vent_diameter_in or vent.connector_in
        low = vent_tables.read_single(table, "FAN_MIN", vent.height_ft, lateral, size)
        minimum, minimum_outcome = low.value, low.code
        statuses.append(low.status)
        sources.append(low.source)
    whole = math.prod(factors.values())
    cell = finding(
        "codes_vent.working.single",
        table=table,
        column=column.replace("_", " "),
        size=inches(vent.table_size_in),
        height=feet(vent.height_ft),
        lateral=feet(lateral),
        value=kbtu_h(reading.value),
    )
    return Capacity(
        table,
        reading.value * whole,
        minimum,
        whole,
        reading.code,
        minimum_outcome,
        working_of(cell, factors, reading.value) if reading.code == OK else vent_tables.outcome_finding(reading.code),
        worst_status(*statuses),
        ";".join(filter(None, ["nfpa54-2012", *sources])),
    )


def working_of(cell: Finding, factors: Mapping[str, float], value_kbtu_h: float) -> Listed:
    """Return how a maximum comes about, to be said.

    Parameters
    ----------
    cell : Finding
        Table value with what the table was entered with.
    factors : mapping of str to float
        Reductions by id (``codes_vent.working.<id>``); 1 takes nothing away and is not named.
    value_kbtu_h : float
        The table value.
    """
    cuts = {name: share for name, share in factors.items() if share != 1.0}
    parts = [cell, *(finding(f"codes_vent.working.{name}", factor=factor(share)) for name, share in cuts.items())]
    if cuts:
        whole = quantity(value_kbtu_h * math.prod(cuts.values()), "kbtu_h", 0)
        parts.append(finding("codes_vent.working.equals", value=whole))
    return listed(parts, "space")


def table_verdict(outcome: int) -> Verdict:
    """Return the verdict for a reading that holds no number."""
    if outcome == NOT_ALLOWED:
        return "fail"
    return OUTSIDE if outcome == OUTSIDE_TABLE else "unknown"


def _capacity_ids(vent: SingleVent) -> tuple[str, ...]:
    """Return what the capacity of a vent rests on, here."""
    # only a fan-assisted appliance pays for a vent that is smaller than its collar
    ids = (*CAPACITY, "hood") if vent.appliance == "fan-assisted" else CAPACITY
    most = int(catalog.number("site_assumptions", "elbows_45_most"))
    worst = single_capacity(replace(vent, elbows_45=max(most, vent.elbows_45)))
    asked = vent.input_btu_h / 1000.0
    # nobody has to count the slight elbows where the capacity is too small without any, or enough with as many as can be
    return (*ids, "elbows_45") if worst.maximum_kbtu_h < asked <= single_capacity(vent).maximum_kbtu_h else ids


def _check_maximum(vent: SingleVent, found: Capacity) -> Check:
    asked = vent.input_btu_h / 1000.0
    clause = vent_tables.clause_of(found.table)
    given = kbtu_h(asked)
    rests_on = _capacity_ids(vent)
    if found.outcome != OK:
        why = vent_tables.outcome_finding(found.outcome)
        return compose(
            "vent_capacity",
            clause,
            table_verdict(found.outcome),
            finding("codes_vent.capacity.client_no_number", why=why),
            finding("codes_vent.capacity.official_no_number", input=given, why=why),
            (found.basis,),
            required=finding("codes_vent.capacity.required"),
            provided=why,
            rests_on=rests_on,
        )
    verdict = verdict_of(asked <= found.maximum_kbtu_h)
    most = kbtu_h(found.maximum_kbtu_h)
    client: Words = finding(
        f"codes_vent.capacity.client_{verdict}",
        maximum=thousand_btu_h(found.maximum_kbtu_h, 0),
        input=thousand_btu_h(asked),
    )
    official: Words = finding("codes_vent.capacity.official", input=given, maximum=most, working=found.working)
    if vent.appliance == "draft hood" and condensation_flags(
        found.table, vent.height_ft, vent.lateral_ft, vent.connector_in
    ):
        client = finding("codes_vent.capacity.client_condensing", capacity=client)
        official = finding("codes_vent.capacity.official_condensing", capacity=official)
    return compose(
        "vent_capacity",
        clause,
        verdict,
        client,
        official,
        (found.basis,),
        required=at_most(most),
        provided=given,
        rests_on=rests_on,
    )


def _check_minimum(vent: SingleVent, found: Capacity) -> Check | None:
    if vent.appliance != "fan-assisted" and not vent.vent_damper:
        return None
    derated = derated_input_btu_h(vent.input_btu_h, vent.altitude_ft) / 1000.0
    if found.minimum_outcome != OK:
        verdict = table_verdict(found.minimum_outcome)
        asked = vent_tables.outcome_finding(found.minimum_outcome)
    else:
        verdict = verdict_of(derated >= found.minimum_kbtu_h)
        asked = at_least(kbtu_h(found.minimum_kbtu_h))
    return compose(
        "fan_minimum",
        vent_tables.clause_of(found.table),
        verdict,
        finding("codes_vent.minimum.client"),
        finding("codes_vent.minimum.official", derated=kbtu_h(derated), asked=asked),
        (found.basis, catalog.parameter(_FILE, "altitude_input")),
        required=asked,
        provided=kbtu_h(derated),
        # at altitude the burner makes less heat: what is too little at sea level is too little there as well
        rests_on=(*CAPACITY, "altitude") if verdict == "pass" else CAPACITY,
    )


def check_single_vent(vent: SingleVent) -> tuple[Check, ...]:
    """Check one appliance on one vent against every sizing rule that its numbers allow.

    Parameters
    ----------
    vent : SingleVent
        Plain numbers of the vent.

    Returns
    -------
    tuple of Check
        Capacity first, then (fan-assisted or damper) the minimum, then the rules of ch. 12-13. A number that is missing
        or assumed gives ``unknown``; a height, lateral or size outside the table ``outside the table: engineered
        design``.

    Raises
    ------
    InputError
        If no table covers the materials.
    """
    exposure = {"exposure"} if vent.vent == "masonry" and vent.exposed_outdoors is None else set()
    return all_where_given(usual_single_vent(vent), vent.assumed | exposure)


def _by_interior_table(vent: SingleVent, check: Check | None) -> Check | None:
    """Return a check by a masonry table as it stands for the chimney's exposure; what is too much indoors stays too much.

    The tables hold for a chimney inside the house. With an outside wall 13.1.11 lets one water heater in under
    conditions, of which an input below the table is one (``check_exposure``).
    """
    if check is None or vent.vent != "masonry" or check.verdict != "pass" or vent.exposed_outdoors is False:
        return check
    if vent.exposed_outdoors is None:
        return replace(check, rests_on=(*check.rests_on, "exposure"))
    return replace(
        check,
        verdict="not applicable",
        client=finding("codes_vent.capacity.client_exterior"),
        official=finding("codes_vent.capacity.official_exterior", interior=check.official),
        required="",
        provided="",
    )


def _size_ids(vent: SingleVent, check: Check) -> Check:
    """Return the check of the sizes with what it rests on: one size that is given and too small is enough to fail."""
    sizes = {"connector_diameter": vent.connector_in}
    if vent.vent_diameter_in is not None:
        sizes["vent_diameter"] = vent.vent_diameter_in
    small = [name for name, size in sizes.items() if name not in vent.assumed and size < vent.outlet_diameter_in]
    names = small[:1] if check.verdict == "fail" and small else list(sizes)
    return replace(check, rests_on=(*names, *check.rests_on))


def usual_single_vent(vent: SingleVent) -> tuple[Check, ...]:
    """Return the checks of a vent at its numbers as they stand, given or assumed: for sizing, never to be shown as found.

    Raises
    ------
    InputError
        If no table covers the materials.
    """
    found = single_capacity(vent)
    area = vent.chimney_area_in2 if vent.vent == "masonry" else round_area_in2(vent.vent_diameter_in or math.nan)
    size = vent.vent_diameter_in or vent.connector_in
    checks = [
        _by_interior_table(vent, _check_maximum(vent, found)),
        _by_interior_table(vent, _check_minimum(vent, found)),
        _size_ids(
            vent,
            check_smaller_than_outlet(
                min(size, vent.connector_in),
                vent.outlet_diameter_in,
                vent.height_ft,
                fan=vent.appliance == "fan-assisted",
            ),
        ),
        check_seven_times(area, vent.outlet_diameter_in, rests_on=area_ids(vent.vent)),
        check_connector_growth(vent.connector_in, vent.outlet_diameter_in),
        check_reach(vent.lateral_ft, vent.height_ft, vent.connector),
        check_top_above_hood(vent.height_ft),
        check_masonry_area(vent.chimney_area_in2, vent.connector_in, vent.outlet_diameter_in)
        if vent.vent == "masonry"
        else None,
        check_exposure(
            vent, None if found.outcome == UNREAD else found.maximum_kbtu_h, _capacity_ids(vent), found.basis
        ),
        check_single_wall_vent(vent) if vent.vent == "single wall" else None,
        check_connector_space(vent),
        check_connector_slope(vent.connector_slope_in_per_ft) if vent.lateral_ft > 0 else None,
    ]
    return tuple(check for check in checks if check is not None)


def area_ids(material: str) -> tuple[str, ...]:
    """Return what the check of a vent's area rests on: the outlet, and the size of that kind of vent."""
    return ("hood", "flue_area" if material == "masonry" else "vent_diameter")


@dataclass(frozen=True, slots=True)
class VentChoice:
    """The smallest size that complies.

    Parameters
    ----------
    vent : SingleVent or None
        The vent with that size; None when no printed size complies.
    diameter_in, capacity_kbtu_h : float or None
        Its diameter and reduced maximum.
    status : str
        Weakest status of the numbers it rests on.
    checks : tuple of Check
        Its checks, or those of the last size tried; unknown where they rest on an assumed number.
    words : finding
        The choice in one sentence.
    """

    vent: SingleVent | None
    diameter_in: float | None
    capacity_kbtu_h: float | None
    status: str
    checks: tuple[Check, ...]
    words: Words


def with_size(vent: SingleVent, diameter_in: float) -> SingleVent:
    """Return the vent with vent and connector of one diameter (masonry: the connector only)."""
    assumed = vent.assumed - {"connector_diameter"}
    if vent.vent == "masonry":
        return replace(vent, connector_diameter_in=diameter_in, assumed=assumed)
    assumed -= {"vent_diameter"}
    return replace(vent, vent_diameter_in=diameter_in, connector_diameter_in=diameter_in, assumed=assumed)


def choose_single_vent(vent: SingleVent, sizes_in: Iterable[float] | None = None) -> VentChoice:
    """Choose the smallest complying diameter of vent and connector for the material in ``vent``.

    Parameters
    ----------
    vent : SingleVent
        Geometry, input and material (``type B``, ``rigid liner``, ``corrugated liner``, ...); its diameters are
        replaced.
    sizes_in : iterable of float, optional
        Diameters to try; default: all of the table.

    Returns
    -------
    VentChoice
        With ``vent`` None when nothing complies.
    """
    table = table_of(vent)
    sizes = sorted(vent_tables.sizes_in("single", table, "NAT_MAX") if sizes_in is None else sizes_in)
    checks: tuple[Check, ...] = ()
    always: set[str] | None = None
    assumed = vent.assumed
    for size in sizes:
        trial = with_size(vent, size)
        assumed = trial.assumed
        checks = usual_single_vent(trial)
        found = single_capacity(trial)
        # a cell that was not read breaks no rule, but nobody can say what such a vent carries
        if found.outcome == OK and not failed(checks):
            status = worst_status(*(check.status for check in checks if check.verdict == "pass"))
            words = _choice_of(vent, size, found.maximum_kbtu_h)
            return VentChoice(trial, size, found.maximum_kbtu_h, status, all_where_given(checks, assumed), words)
        bad = {check.rule for check in checks if failed((check,))}
        always = bad if always is None else always & bad
    words = finding("codes_vent.choice.none", vent=material(vent.vent), table=table)
    if always:
        names = listed(finding(f"codes.rule.{rule}") for rule in sorted(always))
        words = finding("codes_vent.choice.none_whatever_the_size", vent=material(vent.vent), table=table, rules=names)
    status = worst_status(*(check.status for check in checks))
    return VentChoice(None, None, None, status, all_where_given(checks, assumed), words)


def _choice_of(vent: SingleVent, size_in: float, maximum_kbtu_h: float) -> Finding:
    given = {
        "size": inches(size_in),
        "maximum": quantity(maximum_kbtu_h, "kbtu_h", 0),
        "input": kbtu_h(vent.input_btu_h / 1000.0),
    }
    if vent.vent == "masonry":
        return finding("codes_vent.choice.connector", **given)
    pipes = {"vent": material(vent.vent), "connector": material(vent.connector)}
    return finding("codes_vent.choice.vent_and_connector", **given, **pipes)
