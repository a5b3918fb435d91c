"""Combustion air for appliances that draw on the room: the methods of NFPA 54-2012 ch. 9 as single checks.

Inputs are nameplate (sea-level) Btu/h. Areas are *free* areas in in2; divide by ``louver_free_share`` for gross ones.
Direct-vent appliances draw on outdoors and are not counted. None of these rules covers depressurization by fans.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from advisor import catalog
from advisor.catalog import Parameter
from advisor.codes.check import Check
from advisor.codes.compose import Rated, all_known, compose, outcome, verdict_of
from advisor.codes.tables import StateAirChanges
from advisor.codes.trade_sizes import round_area_in2
from advisor.codes.vent_types import require_positive
from advisor.errors import InputError
from advisor.findings import Finding, finding, quantity

FILE = "rules_combustion_air"
BTU_H_PER_KBTU_H = 1000.0

OpeningPath = Literal["direct", "vertical duct", "horizontal duct"]
BURNERS = ("burners", "shared", "other_input")
"""What a pass rests on: every burner that takes air from the space, and its input."""
CONNECTORS = ("connector_diameter", "other_outlet")
"""Vent connectors of the space, whose area the one opening must at least have."""
RATE = ("air_change_rate", "air_change_basis", "year_built")
"""What a pass by volume rests on beside the burners: that the rate is not lower than the method takes it to be."""
LISTED_BURNERS = ("other_input", "other_draft")
"""What a failure rests on: the burners that are known. One more would only ask for more."""
PATHS: tuple[OpeningPath, ...] = ("direct", "vertical duct", "horizontal duct")

NOT_COVERED = finding("codes_air.not_covered")
"""No method counts what fans take out of the house."""


def rule(key: str) -> Parameter:
    """Return one rule of ``catalog/codes/rules_combustion_air.csv``."""
    return catalog.parameter(FILE, key)


@dataclass(frozen=True, slots=True)
class LouverShare:
    """Free share of the gross area of a louver (``rules_louvers``)."""

    jurisdiction: str
    material: str
    share: float
    status: str
    source: str
    ref: str


def louver_free_share(material: str = "metal", jurisdiction: str = "us") -> LouverShare:
    """Return the free share of a louver whose maker states none.

    Parameters
    ----------
    material : str
        ``wood``, ``metal`` or ``none`` (plain opening).
    jurisdiction : str
        ``us``, ``nyc`` or ``manual`` (heater manuals, lower end).

    Raises
    ------
    InputError
        If the pair is not in ``catalog/codes/rules_louvers.csv``.
    """
    rows = catalog.rows_of(LouverShare, "rules_louvers")
    for row in rows:
        if (row.jurisdiction, row.material) == (jurisdiction, material):
            return row
    places, kinds = sorted({row.jurisdiction for row in rows}), sorted({row.material for row in rows})
    raise InputError(
        f"louver of '{material}' in '{jurisdiction}': material is one of {', '.join(kinds)}; jurisdiction one of "
        f"{', '.join(places)}"
    )


def gross_area_in2(free_area_in2: float, material: str = "metal", jurisdiction: str = "us") -> float:
    """Return the gross area of a louvered opening that gives a free area."""
    return free_area_in2 / louver_free_share(material, jurisdiction).share


def standard_volume_ft3(input_btu_h: float) -> float:
    """Return the room volume of the standard indoor method: 50 ft3 per 1000 Btu/h (9.3.2.1)."""
    require_positive("input_btu_h", input_btu_h, zero=True)
    return rule("standard_volume_ft3_per_kbtu_h").typical * input_btu_h / BTU_H_PER_KBTU_H


def known_rate_volume_ft3(other_input_btu_h: float, fan_input_btu_h: float, ach: float) -> float:
    """Return the room volume of the known-infiltration method (9.3.2.2).

    Parameters
    ----------
    other_input_btu_h, fan_input_btu_h : float
        Inputs of draft-hood and other appliances without a fan, and of fan-assisted ones; their volumes add.
    ach : float
        Known air changes per hour, above 0; more than 0.60 counts as 0.60.

    Raises
    ------
    InputError
        If a number cannot be used.
    """
    require_positive("other_input_btu_h", other_input_btu_h, zero=True)
    require_positive("fan_input_btu_h", fan_input_btu_h, zero=True)
    require_positive("ach", ach)
    used = min(ach, rule("known_rate_highest_ach").typical)
    other = rule("known_rate_other_coefficient").typical * other_input_btu_h
    fan = rule("known_rate_fan_coefficient").typical * fan_input_btu_h
    return (other + fan) / used / BTU_H_PER_KBTU_H


def _volume_check(
    name: str, clause: str, need: float, volume: float | None, how: Finding, rules: Iterable[Rated]
) -> Check:
    ok = None if volume is None else volume >= need
    held, asked = quantity(volume, "ft3", 0), quantity(need, "ft3", 0)
    return compose(
        name,
        clause,
        verdict_of(ok),
        finding("codes_air.volume_unknown")
        if ok is None
        else finding(f"codes_air.volume_{outcome(ok)}", volume=held, need=asked),
        finding("codes_air.volume_official", volume=held, need=asked, how=how),
        rules,
        required=finding("codes_air.at_least", need=asked),
        provided=held,
        rests_on=_volume_rests_on(ok),
    )


def _volume_rests_on(ok: bool | None) -> tuple[str, ...]:
    """Return what a verdict on volume rests on: more burners could undo a pass, more volume a failure."""
    if ok is None:
        return ("zone_volume",)
    return (*BURNERS, *RATE) if ok else (*LISTED_BURNERS, "joined_volume", "air_change_basis")


def _opening_rests_on(ok: bool | None, *more: str) -> tuple[str, ...]:
    """Return what a verdict on openings rests on; an unknown one names the openings themselves."""
    if ok is None:
        return ("openings", "opening_position", "opening_state", "opening_cover", "opening_area")
    return (*(BURNERS if ok else LISTED_BURNERS), *more)


def check_standard_volume(input_btu_h: float, volume_ft3: float | None, ach: float | None = None) -> Check:
    """Check the standard indoor method (9.3.2.1).

    Parameters
    ----------
    input_btu_h : float
        Total input of all appliances that take air from the space.
    volume_ft3 : float or None
        Space plus rooms joined to it by openings without doors.
    ach : float or None
        Known air-change rate; when one is known the known-rate method is used instead, and below 0.40 it must be.
    """
    base, lowest = rule("standard_volume_ft3_per_kbtu_h"), rule("standard_method_lowest_ach")
    if ach is not None:
        why = "compulsory" if ach < lowest.typical else "used"
        return compose(
            "standard_indoor_volume",
            base.ref,
            "not applicable",
            finding("codes_air.rate_known"),
            finding(
                f"codes_air.rate_known_{why}", ach=quantity(ach, "ach", 2), least=quantity(lowest.typical, "ach", 2)
            ),
            (base, lowest),
        )
    how = finding(
        "codes_air.how_standard",
        per=quantity(base.typical, "ft3_per_kbtu_h"),
        input=quantity(input_btu_h, "btu_h"),
    )
    need = standard_volume_ft3(input_btu_h)
    return _volume_check("standard_indoor_volume", base.ref, need, volume_ft3, how, (base,))


def check_known_rate_volume(
    other_input_btu_h: float,
    fan_input_btu_h: float,
    volume_ft3: float | None,
    ach: float | None,
    by_state: StateAirChanges | None = None,
) -> Check:
    """Check the known-infiltration method (9.3.2.2); ``ach`` None: the rate is not known, not applicable.

    ``by_state`` is the row of the state's form that gives the rate, where nobody measured it.
    """
    cap = rule("known_rate_highest_ach")
    rules: list[Rated] = [cap] if by_state is None else [cap, by_state]
    if other_input_btu_h > 0:
        rules.append(rule("known_rate_other_coefficient"))
    if fan_input_btu_h > 0:
        rules.append(rule("known_rate_fan_coefficient"))
    if other_input_btu_h > 0 and fan_input_btu_h > 0:
        rules.append(rule("known_rate_volumes_add"))
    clause = rule("known_rate_volumes_add").ref
    if ach is None:
        return compose(
            "known_infiltration_volume",
            clause,
            "not applicable",
            finding("codes_air.rate_not_known"),
            finding("codes_air.rate_not_known_official"),
            rules,
        )
    need = known_rate_volume_ft3(other_input_btu_h, fan_input_btu_h, ach)
    how = _how_known(other_input_btu_h, fan_input_btu_h, ach, cap.typical)
    if by_state is not None:
        how = finding("codes_air.how_known_by_state", how=how, ref=by_state.ref)
    return _volume_check("known_infiltration_volume", clause, need, volume_ft3, how, rules)


def _how_known(other_input_btu_h: float, fan_input_btu_h: float, ach: float, highest_ach: float) -> Finding:
    """Return how the volume of the known-infiltration method comes about."""
    used = quantity(min(ach, highest_ach), "ach", 2)
    terms = [
        finding(
            "codes_air.how_known_term",
            coefficient=quantity(rule(key).typical, "ft3_h_per_kbtu_h"),
            ach=used,
            input=quantity(value, "btu_h"),
        )
        for key, value in (
            ("known_rate_other_coefficient", other_input_btu_h),
            ("known_rate_fan_coefficient", fan_input_btu_h),
        )
        if value > 0
    ]
    how = terms[0] if len(terms) == 1 else finding("codes_air.how_known_sum", other=terms[0], fan=terms[-1])
    if ach > highest_ach:
        return finding("codes_air.how_known_capped", how=how, ach=quantity(ach, "ach", 2), used=used)
    return how


def same_story_opening_in2(input_btu_h: float) -> float:
    """Return the free area of each of two openings to a space on the same story (9.3.2.3(1))."""
    require_positive("input_btu_h", input_btu_h, zero=True)
    per = rule("same_story_in2_per_kbtu_h").typical
    return max(per * input_btu_h / BTU_H_PER_KBTU_H, rule("same_story_least_in2").typical)


def other_story_opening_in2(input_btu_h: float) -> float:
    """Return the total free area of openings to a space on another story (9.3.2.3(2))."""
    require_positive("input_btu_h", input_btu_h, zero=True)
    return rule("other_story_in2_per_kbtu_h").typical * input_btu_h / BTU_H_PER_KBTU_H


def two_outdoor_opening_in2(input_btu_h: float, path: OpeningPath = "direct") -> float:
    """Return the free area of each of two outdoor openings (9.3.3.1): direct, vertical or horizontal duct.

    Raises
    ------
    InputError
        If the path is unknown.
    """
    require_positive("input_btu_h", input_btu_h, zero=True)
    return input_btu_h / _path_rule(path).typical


def _path_rule(path: str) -> Parameter:
    if path not in PATHS:
        raise InputError(f"path = '{path}': must be one of {', '.join(PATHS)}")
    return rule("outdoor_horizontal_btu_h_per_in2" if path == "horizontal duct" else "outdoor_direct_btu_h_per_in2")


def one_outdoor_opening_in2(input_btu_h: float, connector_diameters_in: Iterable[float] = ()) -> float:
    """Return the free area of the one outdoor opening (9.3.3.2): by input, at least the vent connectors' area."""
    require_positive("input_btu_h", input_btu_h, zero=True)
    connectors = sum(round_area_in2(diameter) for diameter in connector_diameters_in)
    return max(input_btu_h / rule("outdoor_single_btu_h_per_in2").typical, connectors)


def combination_ratio(available_ft3: float, required_ft3: float) -> float:
    """Return available over required volume, at most 1 (9.3.4)."""
    require_positive("available_ft3", available_ft3, zero=True)
    require_positive("required_ft3", required_ft3)
    return min(1.0, available_ft3 / required_ft3)


def combination_opening_in2(full_size_in2: float, available_ft3: float, required_ft3: float) -> float:
    """Return the outdoor opening of the combination method: full size x (1 - ratio), in full precision (9.3.4)."""
    return full_size_in2 * (1.0 - combination_ratio(available_ft3, required_ft3))


def mechanical_supply_cfm(input_btu_h: float, exhaust_cfm: float = 0.0) -> float:
    """Return the outdoor air a supply fan must bring: 0.35 cfm per 1000 Btu/h plus the exhausted flow (9.3.6)."""
    require_positive("input_btu_h", input_btu_h, zero=True)
    require_positive("exhaust_cfm", exhaust_cfm, zero=True)
    return rule("mechanical_cfm_per_kbtu_h").typical * input_btu_h / BTU_H_PER_KBTU_H + exhaust_cfm


def _two_openings(
    name: str, rules: tuple[Parameter, ...], need: float, high: float | None, low: float | None, how: Finding
) -> Check:
    smaller = None if high is None or low is None else min(high, low)
    ok = None if smaller is None else smaller >= need
    if smaller is None and any(area is not None and area < need for area in (high, low)):
        ok = False
    # a horizontal duct asks for more than a hole in the wall: not to know which undoes a pass
    path = ("opening_kind",) if ok else ()
    asked, areas = quantity(need, "in2", 1), {"high": quantity(high, "in2", 1), "low": quantity(low, "in2", 1)}
    return compose(
        name,
        rules[0].ref,
        verdict_of(ok),
        finding(f"codes_air.two_openings_{outcome(ok)}", need=asked),
        finding("codes_air.two_openings_official", need=asked, how=how, **areas),
        rules,
        required=finding("codes_air.two_openings_required", need=asked),
        provided=finding("codes_air.two_openings_provided", **areas),
        rests_on=_opening_rests_on(ok, *path),
    )


def check_indoor_openings_same_story(
    input_btu_h: float, high_free_in2: float | None, low_free_in2: float | None
) -> Check:
    """Check two openings to indoor space on the same story (9.3.2.3(1)); None: not measured."""
    rules = (rule("same_story_in2_per_kbtu_h"), rule("same_story_least_in2"))
    per, least = quantity(rules[0].typical, "in2_per_kbtu_h"), quantity(rules[1].typical, "in2")
    how = finding("codes_air.how_same_story", per=per, least=least)
    need = same_story_opening_in2(input_btu_h)
    return _two_openings("openings_to_rooms_on_the_same_story", rules, need, high_free_in2, low_free_in2, how)


def _one_area(
    name: str,
    clause: str,
    need: float,
    free: float | None,
    how: Finding,
    rules: Iterable[Parameter],
    rests_on: tuple[str, ...] = (),
) -> Check:
    ok = None if free is None else free >= need
    asked, given = quantity(need, "in2", 1), quantity(free, "in2", 1)
    return compose(
        name,
        clause,
        verdict_of(ok),
        finding(f"codes_air.one_opening_{outcome(ok)}", need=asked),
        finding("codes_air.one_opening_official", free=given, need=asked, how=how),
        rules,
        required=finding("codes_air.one_opening_required", need=asked),
        provided=given,
        rests_on=_opening_rests_on(ok, *rests_on),
    )


def check_indoor_openings_other_story(input_btu_h: float, total_free_in2: float | None) -> Check:
    """Check openings in doors or floors to indoor space on another story (9.3.2.3(2))."""
    base = rule("other_story_in2_per_kbtu_h")
    need = other_story_opening_in2(input_btu_h)
    how = finding("codes_air.how_other_story", per=quantity(base.typical, "in2_per_kbtu_h"))
    return _one_area("openings_to_another_story", base.ref, need, total_free_in2, how, (base,))


def check_two_outdoor_openings(
    input_btu_h: float, path: OpeningPath, high_free_in2: float | None, low_free_in2: float | None
) -> Check:
    """Check two permanent openings to outdoors (9.3.3.1): ``direct``, ``vertical duct`` or ``horizontal duct``."""
    base, kind = _path_rule(path), path.replace(" ", "_")
    how = finding(f"codes_air.how_outdoor_{kind}", per=quantity(base.typical, "btu_h_per_in2"))
    need = two_outdoor_opening_in2(input_btu_h, path)
    return _two_openings(f"two_outdoor_openings_{kind}", (base,), need, high_free_in2, low_free_in2, how)


def check_one_outdoor_opening(
    input_btu_h: float, connector_diameters_in: Iterable[float], free_in2: float | None
) -> Check:
    """Check one permanent opening to outdoors within 12 in of the ceiling (9.3.3.2)."""
    base = rule("outdoor_single_btu_h_per_in2")
    connectors = tuple(connector_diameters_in)
    need = one_outdoor_opening_in2(input_btu_h, connectors)
    how = finding(
        "codes_air.how_one_outdoor",
        per=quantity(base.typical, "btu_h_per_in2"),
        by_input=quantity(input_btu_h / base.typical, "in2", 1),
        connectors=quantity(sum(round_area_in2(diameter) for diameter in connectors), "in2", 1),
    )
    return _one_area("one_outdoor_opening", base.ref, need, free_in2, how, (base,), CONNECTORS)


def check_combination(
    full_size_in2: float, available_ft3: float | None, required_ft3: float, free_in2: float | None
) -> Check:
    """Check the combination of indoor volume and a reduced outdoor opening (9.3.4)."""
    base = rule("combination_factor")
    if available_ft3 is None:
        need, how = full_size_in2, finding("codes_air.how_full_size")
    else:
        need = combination_opening_in2(full_size_in2, available_ft3, required_ft3)
        how = finding(
            "codes_air.how_reduced",
            full=quantity(full_size_in2, "in2", 1),
            ratio=quantity(combination_ratio(available_ft3, required_ft3), "number", 2),
        )
    # an unknown volume counts as none, so it can only undo a failure
    short = free_in2 is not None and free_in2 < need
    volume = ("zone_volume", "joined_volume", "air_change_basis") if short else ()
    # a tighter house leaves a larger share to the opening
    rate = () if free_in2 is None or short or available_ft3 is None else RATE
    names = (*CONNECTORS, *volume, *rate)
    return _one_area("indoor_volume_and_a_smaller_outdoor_opening", base.ref, need, free_in2, how, (base,), names)


def check_mechanical_supply(
    input_btu_h: float, supply_cfm: float | None, exhaust_cfm: float, interlocked: bool | None
) -> Check:
    """Check a mechanical combustion-air supply (9.3.6): flow, replacement of exhaust, interlock with the burner."""
    base = rule("mechanical_cfm_per_kbtu_h")
    need = mechanical_supply_cfm(input_btu_h, exhaust_cfm)
    ok = all_known((None if supply_cfm is None else supply_cfm >= need, interlocked))
    lock, supply, asked = outcome(interlocked), quantity(supply_cfm, "cfm"), quantity(need, "cfm", 1)
    return compose(
        "fan_supplied_combustion_air",
        base.ref,
        verdict_of(ok),
        finding("codes_air.supply", need=quantity(need, "cfm")),
        finding(
            f"codes_air.supply_official_lock_{lock}",
            supply=supply,
            per=quantity(base.typical, "cfm_per_kbtu_h", 2),
            exhaust=quantity(exhaust_cfm, "cfm"),
            need=asked,
        ),
        (base,),
        required=finding("codes_air.supply_required", need=asked),
        provided=finding(f"codes_air.supply_provided_lock_{lock}", supply=supply),
        rests_on=(*BURNERS, "zone_exhaust") if ok else LISTED_BURNERS if ok is False else ("supply",),
    )


def required_volume_ft3(other_input_btu_h: float, fan_input_btu_h: float, ach: float | None) -> float:
    """Return the required indoor volume: by the known rate when one is known, else by the standard method."""
    if ach is None:
        return standard_volume_ft3(other_input_btu_h + fan_input_btu_h)
    return known_rate_volume_ft3(other_input_btu_h, fan_input_btu_h, ach)
