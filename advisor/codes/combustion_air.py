"""Combustion air for appliances that draw on the room: the methods of NFPA 54-2012 ch. 9 as single checks.

Inputs are nameplate (sea-level) Btu/h. Areas are *free* areas in in2; divide by ``louver_free_share`` for gross ones.
Direct-vent appliances draw on outdoors and are not counted. None of these rules covers depressurization by fans.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from advisor import catalog
from advisor.catalog import Parameter
from advisor.codes.check import Check
from advisor.codes.compose import compose, number_text, verdict_of
from advisor.codes.trade_sizes import round_area_in2
from advisor.codes.vent_types import require_positive
from advisor.errors import InputError

FILE = "rules_combustion_air"
BTU_H_PER_KBTU_H = 1000.0

OpeningPath = Literal["direct", "vertical duct", "horizontal duct"]
BURNERS = ("burners", "shared", "other_input")
"""What a pass rests on: every burner that takes air from the space, and its input."""
CONNECTORS = ("connector_diameter", "other_outlet")
"""Vent connectors of the space, whose area the one opening must at least have."""
LISTED_BURNERS = ("other_input", "other_draft")
"""What a failure rests on: the burners that are known. One more would only ask for more."""
PATHS: tuple[OpeningPath, ...] = ("direct", "vertical duct", "horizontal duct")

NOT_COVERED = (
    "No combustion-air method covers depressurization by exhaust fans (NFPA 54-2012 9.3.1.5 asks for make-up air "
    "there): a room can pass and still spill."
)


def rule(key: str) -> Parameter:
    """Return one rule of ``catalog/codes/rules_combustion_air.csv``."""
    return catalog.parameter(FILE, key)


@dataclass(frozen=True, slots=True)
class LouverShare:
    """Free share of the gross area of a louver, with its status and source."""

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
    rows = catalog.table("rules_louvers")
    for row in rows:
        if (row["jurisdiction"], row["material"]) == (jurisdiction, material):
            return LouverShare(float(row["share"]), row["status"], row["source"], row["ref"])
    places, kinds = sorted({r["jurisdiction"] for r in rows}), sorted({r["material"] for r in rows})
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
    name: str, clause: str, need: float, volume: float | None, how: str, rules: Iterable[Parameter]
) -> Check:
    ok = None if volume is None else volume >= need
    return compose(
        name,
        clause,
        verdict_of(ok),
        "The room is not measured yet."
        if ok is None
        else f"The room holds {number_text(volume, 0)} ft3 and {number_text(need, 0)} ft3 are asked: "
        f"{'enough' if ok else 'too small'} for the burners in it.",
        f"Volume {number_text(volume, 0, 'ft3')} against {number_text(need, 0)} ft3 ({how}).",
        rules,
        required=f"at least {number_text(need, 0)} ft3",
        provided=number_text(volume, 0, "ft3"),
        rests_on=_volume_rests_on(ok),
    )


def _volume_rests_on(ok: bool | None) -> tuple[str, ...]:
    """Return what a verdict on volume rests on: more burners could undo a pass, more volume a failure."""
    return BURNERS if ok else ("zone_volume",) if ok is None else (*LISTED_BURNERS, "joined_volume")


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
        must = ach < lowest.typical
        return compose(
            "standard indoor volume",
            base.ref,
            "not applicable",
            "The air-change rate of this house is known, so the more exact rule is used.",
            f"Known air-change rate {number_text(ach, 2)} per hour: the known-rate method of 9.3.2.2 is "
            + (f"compulsory below {number_text(lowest.typical, 2)}." if must else "used because the rate is known."),
            (base, lowest),
        )
    how = f"{number_text(base.typical)} ft3 per 1000 Btu/h x {number_text(input_btu_h, 0)} Btu/h"
    return _volume_check("standard indoor volume", base.ref, standard_volume_ft3(input_btu_h), volume_ft3, how, (base,))


def check_known_rate_volume(
    other_input_btu_h: float, fan_input_btu_h: float, volume_ft3: float | None, ach: float | None
) -> Check:
    """Check the known-infiltration method (9.3.2.2); ``ach`` None: the rate is not known, not applicable."""
    cap = rule("known_rate_highest_ach")
    rules = [cap]
    if other_input_btu_h > 0:
        rules.append(rule("known_rate_other_coefficient"))
    if fan_input_btu_h > 0:
        rules.append(rule("known_rate_fan_coefficient"))
    if other_input_btu_h > 0 and fan_input_btu_h > 0:
        rules.append(rule("known_rate_volumes_add"))
    clause = "NFPA 54-2012 9.3.2.2"
    if ach is None:
        return compose(
            "known-infiltration volume",
            clause,
            "not applicable",
            "The air-change rate of the house is not known, so this rule cannot be used.",
            "Air-change rate not known: method not used.",
            rules,
        )
    need = known_rate_volume_ft3(other_input_btu_h, fan_input_btu_h, ach)
    used = min(ach, cap.typical)
    terms = [
        f"{number_text(rule(key).typical)} / {number_text(used, 2)} x {number_text(value / BTU_H_PER_KBTU_H, 1)}"
        for key, value in (
            ("known_rate_other_coefficient", other_input_btu_h),
            ("known_rate_fan_coefficient", fan_input_btu_h),
        )
        if value > 0
    ]
    how = " + ".join(terms) + (
        f"; {number_text(ach, 2)} per hour counts as {number_text(used, 2)}" if ach > used else ""
    )
    return _volume_check("known-infiltration volume", clause, need, volume_ft3, how, rules)


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
    name: str, rules: tuple[Parameter, ...], need: float, high: float | None, low: float | None, how: str
) -> Check:
    smaller = None if high is None or low is None else min(high, low)
    ok = None if smaller is None else smaller >= need
    if smaller is None and any(area is not None and area < need for area in (high, low)):
        ok = False
    # a horizontal duct asks for more than a hole in the wall: not to know which undoes a pass
    path = ("opening_kind",) if ok else ()
    return compose(
        name,
        rules[0].ref,
        verdict_of(ok),
        f"Two openings of {number_text(need, 1)} in2 each, one high and one low, "
        + ("have to be measured." if ok is None else "are there." if ok else "are needed and are not there."),
        f"High {number_text(high, 1, 'in2')} and low {number_text(low, 1, 'in2')} free area; each at least "
        f"{number_text(need, 1)} in2 ({how}).",
        rules,
        required=f"two openings of at least {number_text(need, 1)} in2 free area each",
        provided=f"high {number_text(high, 1, 'in2')}, low {number_text(low, 1, 'in2')}",
        rests_on=_opening_rests_on(ok, *path),
    )


def check_indoor_openings_same_story(
    input_btu_h: float, high_free_in2: float | None, low_free_in2: float | None
) -> Check:
    """Check two openings to indoor space on the same story (9.3.2.3(1)); None: not measured."""
    rules = (rule("same_story_in2_per_kbtu_h"), rule("same_story_least_in2"))
    how = f"{number_text(rules[0].typical)} in2 per 1000 Btu/h, at least {number_text(rules[1].typical)} in2"
    need = same_story_opening_in2(input_btu_h)
    return _two_openings("openings to rooms on the same story", rules, need, high_free_in2, low_free_in2, how)


def _one_area(
    name: str,
    clause: str,
    need: float,
    free: float | None,
    how: str,
    rules: Iterable[Parameter],
    rests_on: tuple[str, ...] = (),
) -> Check:
    ok = None if free is None else free >= need
    return compose(
        name,
        clause,
        verdict_of(ok),
        f"An opening of {number_text(need, 1)} in2 "
        + ("has to be measured." if ok is None else "is there." if ok else "is needed and is not there."),
        f"Free area {number_text(free, 1, 'in2')}; at least {number_text(need, 1)} in2 ({how}).",
        rules,
        required=f"at least {number_text(need, 1)} in2 free area",
        provided=number_text(free, 1, "in2"),
        rests_on=_opening_rests_on(ok, *rests_on),
    )


def check_indoor_openings_other_story(input_btu_h: float, total_free_in2: float | None) -> Check:
    """Check openings in doors or floors to indoor space on another story (9.3.2.3(2))."""
    base = rule("other_story_in2_per_kbtu_h")
    need = other_story_opening_in2(input_btu_h)
    how = f"{number_text(base.typical)} in2 per 1000 Btu/h in total"
    return _one_area("openings to another story", base.ref, need, total_free_in2, how, (base,))


def check_two_outdoor_openings(
    input_btu_h: float, path: OpeningPath, high_free_in2: float | None, low_free_in2: float | None
) -> Check:
    """Check two permanent openings to outdoors (9.3.3.1): ``direct``, ``vertical duct`` or ``horizontal duct``."""
    base = _path_rule(path)
    how = f"1 in2 per {number_text(base.typical, 0)} Btu/h, {path}"
    need = two_outdoor_opening_in2(input_btu_h, path)
    return _two_openings(f"two outdoor openings, {path}", (base,), need, high_free_in2, low_free_in2, how)


def check_one_outdoor_opening(
    input_btu_h: float, connector_diameters_in: Iterable[float], free_in2: float | None
) -> Check:
    """Check one permanent opening to outdoors within 12 in of the ceiling (9.3.3.2)."""
    base = rule("outdoor_single_btu_h_per_in2")
    connectors = tuple(connector_diameters_in)
    need = one_outdoor_opening_in2(input_btu_h, connectors)
    total = sum(round_area_in2(diameter) for diameter in connectors)
    how = f"the larger of 1 in2 per {number_text(base.typical, 0)} Btu/h = "
    how += f"{number_text(input_btu_h / base.typical, 1)} in2 and the vent connectors' {number_text(total, 1)} in2"
    return _one_area("one outdoor opening", base.ref, need, free_in2, how, (base,), CONNECTORS)


def check_combination(
    full_size_in2: float, available_ft3: float | None, required_ft3: float, free_in2: float | None
) -> Check:
    """Check the combination of indoor volume and a reduced outdoor opening (9.3.4)."""
    base = rule("combination_factor")
    if available_ft3 is None:
        need, how = full_size_in2, "volume not measured: full size"
    else:
        ratio = combination_ratio(available_ft3, required_ft3)
        need = combination_opening_in2(full_size_in2, available_ft3, required_ft3)
        how = f"{number_text(full_size_in2, 1)} in2 x (1 - {number_text(ratio, 2)})"
    # an unknown volume counts as none, so it can only undo a failure
    short = free_in2 is not None and free_in2 < need
    volume = ("zone_volume", "joined_volume") if short else ()
    names = (*CONNECTORS, *volume)
    return _one_area("indoor volume and a smaller outdoor opening", base.ref, need, free_in2, how, (base,), names)


def check_mechanical_supply(
    input_btu_h: float, supply_cfm: float | None, exhaust_cfm: float, interlocked: bool | None
) -> Check:
    """Check a mechanical combustion-air supply (9.3.6): flow, replacement of exhaust, interlock with the burner."""
    base = rule("mechanical_cfm_per_kbtu_h")
    need = mechanical_supply_cfm(input_btu_h, exhaust_cfm)
    enough = None if supply_cfm is None else supply_cfm >= need
    parts = (enough, interlocked)
    ok = False if False in parts else None if None in parts else True
    lock = "not known" if interlocked is None else "present" if interlocked else "missing"
    return compose(
        "fan-supplied combustion air",
        base.ref,
        verdict_of(ok),
        f"A supply fan must bring {number_text(need, 0)} cfm of outdoor air and hold the burner off when it stops.",
        f"Supply {number_text(supply_cfm, 0, 'cfm')}; at least {number_text(base.typical, 2)} cfm per 1000 Btu/h plus "
        f"{number_text(exhaust_cfm, 0)} cfm exhaust = {number_text(need, 1)} cfm; burner interlock {lock}.",
        (base,),
        required=f"at least {number_text(need, 1)} cfm, interlocked with the burner",
        provided=f"{number_text(supply_cfm, 0, 'cfm')}, interlock {lock}",
        rests_on=(*BURNERS, "zone_exhaust") if ok else LISTED_BURNERS if ok is False else ("supply",),
    )


def required_volume_ft3(other_input_btu_h: float, fan_input_btu_h: float, ach: float | None) -> float:
    """Return the required indoor volume: by the known rate when one is known, else by the standard method."""
    if ach is None:
        return standard_volume_ft3(other_input_btu_h + fan_input_btu_h)
    return known_rate_volume_ft3(other_input_btu_h, fan_input_btu_h, ach)


def round_up_area_in2(area_in2: float) -> int:
    """Return an area rounded up to whole in2 (tolerant of floating-point dust)."""
    return math.ceil(area_in2 - 1e-9)
