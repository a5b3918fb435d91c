"""All combustion-air methods for one room side by side: which complies now, and the parts each needs in trade sizes."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

from advisor.codes import combustion_air as air
from advisor.codes.altitude import derated_input_btu_h
from advisor.codes.check import Check
from advisor.codes.combustion_air import NOT_COVERED, OpeningPath
from advisor.codes.compose import joined_sources, number_text, worst_status
from advisor.codes.trade_sizes import next_trade_grille_in, next_trade_round_in, round_area_in2
from advisor.codes.unknown import where_given
from advisor.codes.vent_types import require_positive

_MOST_PARALLEL_DUCTS = 8


@dataclass(frozen=True, slots=True)
class AirPart:
    """One kind of part that a method needs.

    Parameters
    ----------
    count : int
        How many.
    item : str
        ``round duct``, ``louvered opening``, ``supply fan with burner interlock``...
    trade_size : str
        Stock size in words, or what to have made when no stock size is large enough.
    place : str
        Where it goes.
    free_area_in2, gross_area_in2 : float or None
        Free area asked of each, and the gross (face) area that gives it.
    flow_cfm : float or None
        Of a fan.
    round_in : float or None
        Diameter of a round duct.
    """

    count: int
    item: str
    trade_size: str
    place: str
    free_area_in2: float | None = None
    gross_area_in2: float | None = None
    flow_cfm: float | None = None
    round_in: float | None = None


@dataclass(frozen=True, slots=True)
class AirMethod:
    """One way to bring combustion air.

    Parameters
    ----------
    key, name, clause : str
        Identifier, name and clause with edition.
    complies_now : bool or None
        Whether the room complies by this method as it is; None: a number is missing or the method does not apply.
    parts : tuple of AirPart
        What would make it comply; empty for methods that rest on room volume alone.
    free_area_each_in2 : float or None
        Free area of each opening.
    note : str
        What to watch, ending with what no method covers.
    check : Check
        The check as found.
    status, source : str
        Weakest status and all sources of the numbers used.
    """

    key: str
    name: str
    clause: str
    complies_now: bool | None
    parts: tuple[AirPart, ...]
    free_area_each_in2: float | None
    note: str
    check: Check
    status: str
    source: str


def method_where_given(way: AirMethod, assumed: Collection[str]) -> AirMethod:
    """Return a method as it stands when it rests on given numbers alone, else as not known (see ``where_given``)."""
    check = where_given(way.check, assumed)
    # too little for the burners that are known stays too little; what is enough for them may not be with one more
    rests_on = air.BURNERS if way.complies_now else air.LISTED_BURNERS
    unsure = not set(rests_on).isdisjoint(assumed) or (bool(check.missing) and way.check.verdict != "unknown")
    return replace(way, check=check, complies_now=None if unsure else way.complies_now)


def _round_part(count: int, free_in2: float, place: str, item: str) -> AirPart:
    """Return round ducts: the smallest stock size, or several equal ones in parallel when one is not enough."""
    least_in = air.rule("least_dimension_in").typical
    for parallel in range(1, _MOST_PARALLEL_DUCTS + 1):
        found = next_trade_round_in(max(free_in2 / parallel, round_area_in2(least_in)))
        if found is not None:
            words = f"{number_text(found)} in. round" + (
                f", {parallel} in parallel at each place" if parallel > 1 else ""
            )
            share = free_in2 / parallel
            return AirPart(count * parallel, item, words, place, share, round_area_in2(found), round_in=found)
    words = f"duct of at least {number_text(free_in2, 0)} in2, made to measure"
    return AirPart(count, item, words, place, free_in2, free_in2)


def _grille_part(count: int, free_in2: float, share: float, place: str, item: str) -> AirPart:
    gross = free_in2 / share
    found = next_trade_grille_in(gross)
    words = (
        f"opening of at least {number_text(gross, 0)} in2, made to measure"
        if found is None
        else f"{number_text(found[0])} x {number_text(found[1])} in."
    )
    return AirPart(count, item, words, place, free_in2, gross)


def _method(
    key: str, name: str, check: Check, parts: Sequence[AirPart] = (), each: float | None = None, note: str = ""
) -> AirMethod:
    complies = {"pass": True, "fail": False}.get(check.verdict)
    text = f"{note} {NOT_COVERED}".strip()
    return AirMethod(key, name, check.clause, complies, tuple(parts), each, text, check, check.status, check.source)


def combustion_air_methods(
    *,
    other_input_btu_h: float,
    fan_input_btu_h: float = 0.0,
    space_volume_ft3: float | None = None,
    same_story_volume_ft3: float | None = 0.0,
    other_story_volume_ft3: float = 0.0,
    ach: float | None = None,
    connector_diameters_in: Sequence[float] = (),
    altitude_ft: float = 0.0,
    louver_material: str = "metal",
    jurisdiction: str = "us",
    indoor_high_free_in2: float | None = 0.0,
    indoor_low_free_in2: float | None = 0.0,
    outdoor_high_free_in2: float | None = 0.0,
    outdoor_low_free_in2: float | None = 0.0,
    outdoor_path: OpeningPath = "direct",
    supply_cfm: float | None = 0.0,
    supply_interlocked: bool | None = None,
    exhaust_cfm: float = 0.0,
) -> tuple[AirMethod, ...]:
    """Work through every combustion-air method of NFPA 54-2012 ch. 9 for one room.

    Parameters
    ----------
    other_input_btu_h, fan_input_btu_h : float
        Nameplate inputs in the room: draft hood and other without fan; fan-assisted. Direct vent is not counted.
    space_volume_ft3 : float or None
        The room plus rooms joined to it without doors; None: not measured.
    same_story_volume_ft3, other_story_volume_ft3 : float
        Further indoor space that openings could add; None: not measured.
    ach : float or None
        Known air-change rate of the house.
    connector_diameters_in : sequence of float
        Vent connectors in the room.
    altitude_ft : float
        Sizes rest on the nameplate input, which is safe at altitude; the note gives the derated input.
    louver_material, jurisdiction : str
        See ``combustion_air.louver_free_share``.
    indoor_high_free_in2 ... outdoor_low_free_in2 : float or None
        Free areas that exist now (0: none; None: not measured); ``outdoor_path`` says how they reach outdoors.
    supply_cfm, supply_interlocked : float or None, bool or None
        A supply fan that exists now.
    exhaust_cfm : float
        Exhaust-fan flow from the room that a mechanical supply must replace.

    Returns
    -------
    tuple of AirMethod
        In the order of the code. Every note ends by saying that none covers depressurization by fans.

    Raises
    ------
    InputError
        If there is no input at all, or a number or word cannot be used.
    """
    total = other_input_btu_h + fan_input_btu_h
    require_positive("other_input_btu_h + fan_input_btu_h", total)
    require_positive("space_volume_ft3", space_volume_ft3)
    louver = air.louver_free_share(louver_material, jurisdiction)
    edge = number_text(air.rule("opening_within_in").typical)
    high, low = f"high, starting within {edge} in. of the ceiling", f"low, starting within {edge} in. of the floor"
    both = f"one {high}; one {low}"
    need = air.required_volume_ft3(other_input_btu_h, fan_input_btu_h, ach)
    thin = ""
    if derated_input_btu_h(total, altitude_ft) < total:
        derated = number_text(derated_input_btu_h(total, altitude_ft), 0)
        thin = f"Sized on the nameplate input; at this altitude the burners run at {derated} Btu/h: on the safe side."
    volume_note = f"The required volume is {number_text(need, 0)} ft3. {thin}".strip()

    methods = [
        _method(
            "standard_volume",
            "room volume, standard method",
            air.check_standard_volume(total, space_volume_ft3, ach),
            note=volume_note,
        ),
        _method(
            "known_rate_volume",
            "room volume, known air-change rate",
            air.check_known_rate_volume(other_input_btu_h, fan_input_btu_h, space_volume_ft3, ach),
            note=volume_note,
        ),
    ]
    methods += _indoor_methods(
        total,
        need,
        space_volume_ft3,
        (same_story_volume_ft3, other_story_volume_ft3),
        (indoor_high_free_in2, indoor_low_free_in2),
        louver,
        both,
        thin,
    )
    paths: tuple[tuple[OpeningPath, str], ...] = (
        ("direct", "two outdoor openings, direct"),
        ("vertical duct", "two outdoor openings, vertical ducts"),
        ("horizontal duct", "two outdoor openings, horizontal ducts"),
    )
    for path, name in paths:
        exists = outdoor_path == path
        each = air.two_outdoor_opening_in2(total, path)
        check = air.check_two_outdoor_openings(
            total,
            path,
            outdoor_high_free_in2 if exists else 0.0,
            outdoor_low_free_in2 if exists else 0.0,
        )
        part = (
            _grille_part(2, each, louver.share, both, f"outdoor opening with {louver_material} louver")
            if path == "direct"
            else _round_part(2, each, both, f"{path} to outdoors")
        )
        note = "Two separate ducts, never one for both openings." if path != "direct" else ""
        methods.append(_method("two_outdoor_" + path.split()[0], name, check, (part,), each, f"{note} {thin}".strip()))
    methods += _reduced_methods(
        total, need, space_volume_ft3, tuple(connector_diameters_in), outdoor_high_free_in2, high, thin
    )
    flow = air.mechanical_supply_cfm(total, exhaust_cfm)
    fan = AirPart(
        1,
        "supply fan with burner interlock",
        f"at least {number_text(flow, 0)} cfm of outdoor air",
        "to the room, off only with the burner",
        flow_cfm=flow,
    )
    methods.append(
        _method(
            "mechanical_supply",
            "fan-supplied combustion air",
            air.check_mechanical_supply(total, supply_cfm, exhaust_cfm, supply_interlocked),
            (fan,),
            note=f"The flow includes {number_text(exhaust_cfm, 0)} cfm for exhaust fans of the room. {thin}".strip(),
        )
    )
    return tuple(_with_louver(method, louver) for method in methods)


def _with_louver(method: AirMethod, louver: air.LouverShare) -> AirMethod:
    """Carry the louver share's status into a method whose parts rest on it."""
    if not any(part.gross_area_in2 is not None and part.round_in is None for part in method.parts):
        return method
    return AirMethod(
        method.key,
        method.name,
        method.clause,
        method.complies_now,
        method.parts,
        method.free_area_each_in2,
        method.note,
        method.check,
        worst_status(method.status, louver.status),
        joined_sources(method.source, louver.source),
    )


def _indoor_methods(
    total: float,
    need_ft3: float,
    space_ft3: float | None,
    further_ft3: tuple[float | None, float],
    openings_in2: tuple[float | None, float | None],
    louver: air.LouverShare,
    both: str,
    thin: str,
) -> list[AirMethod]:
    same, other = further_ft3
    found = []
    each = air.same_story_opening_in2(total)
    check = air.check_indoor_openings_same_story(total, *openings_in2)
    found.append(_joined("indoor_same_story", "openings to rooms on the same story", check, need_ft3, space_ft3, same))
    part = _grille_part(2, each, louver.share, both, "indoor grille")
    found[-1] = _equip(found[-1], part, each, thin)
    whole = air.other_story_opening_in2(total)
    areas = [area for area in openings_in2 if area is not None]
    check = air.check_indoor_openings_other_story(total, sum(areas) if len(areas) == len(openings_in2) else None)
    found.append(_joined("indoor_other_story", "openings to another story", check, need_ft3, space_ft3, other))
    part = _grille_part(1, whole, louver.share, "in doors or floors between the stories", "indoor grille")
    found[-1] = _equip(found[-1], part, whole, thin)
    return found


def _equip(method: AirMethod, part: AirPart, each: float, thin: str) -> AirMethod:
    return AirMethod(
        method.key,
        method.name,
        method.clause,
        method.complies_now,
        (part,),
        each,
        f"{thin} {method.note}".strip(),
        method.check,
        method.status,
        method.source,
    )


def _joined(
    key: str, name: str, check: Check, need_ft3: float, space_ft3: float | None, further_ft3: float | None
) -> AirMethod:
    """Return an indoor-opening method: the openings must comply *and* the joined volume must be enough."""
    method = _method(key, name, check)
    joined = None if space_ft3 is None or further_ft3 is None else space_ft3 + further_ft3
    if joined is None:
        enough, words = None, "The volumes are not measured."
    else:
        enough = joined >= need_ft3
        words = f"The joined spaces hold {number_text(joined, 0)} of {number_text(need_ft3, 0)} ft3" + (
            ": enough." if enough else ": too little, so these openings alone do not comply."
        )
    complies: bool | None = None
    if method.complies_now is False or enough is False:
        complies = False
    elif method.complies_now and enough:
        complies = True
    return AirMethod(
        key, name, check.clause, complies, (), None, f"{words} {NOT_COVERED}", check, method.status, method.source
    )


def _reduced_methods(
    total: float,
    need_ft3: float,
    space_ft3: float | None,
    connectors_in: tuple[float, ...],
    free_in2: float | None,
    high: str,
    thin: str,
) -> list[AirMethod]:
    full = air.one_outdoor_opening_in2(total, connectors_in)
    side = number_text(air.rule("one_opening_side_clearance_in").typical)
    front = number_text(air.rule("one_opening_front_clearance_in").typical)
    one = _method(
        "one_outdoor",
        "one outdoor opening",
        air.check_one_outdoor_opening(total, connectors_in, free_in2),
        (_round_part(1, full, high, "duct or opening to outdoors"),),
        full,
        f"Needs {side} in. clearance at sides and back of the appliance and {front} in. in front. {thin}".strip(),
    )
    reduced = full if space_ft3 is None else air.combination_opening_in2(full, space_ft3, need_ft3)
    parts = (_round_part(1, reduced, high, "duct or opening to outdoors"),) if reduced > 0 else ()
    combined = _method(
        "combination",
        "indoor volume and a smaller outdoor opening",
        air.check_combination(full, space_ft3, need_ft3, free_in2),
        parts,
        reduced,
        "Counts the volume of the room as it is; the single outdoor opening is reduced by its share. " + thin,
    )
    return [one, combined]
