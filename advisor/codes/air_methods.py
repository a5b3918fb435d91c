"""All combustion-air methods for one room side by side: which complies now, and the parts each needs in trade sizes."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

from advisor.codes import combustion_air as air
from advisor.codes.altitude import derated_input_btu_h
from advisor.codes.check import Check
from advisor.codes.combustion_air import NOT_COVERED, OpeningPath
from advisor.codes.compose import all_known, joined_sources, worst_status
from advisor.codes.tables import StateAirChanges
from advisor.codes.trade_sizes import next_trade_grille_in, next_trade_round_in, round_area_in2
from advisor.codes.unknown import where_given
from advisor.codes.vent_types import require_positive
from advisor.findings import Finding, Quantity, Words, finding, listed, quantity

_MOST_PARALLEL_DUCTS = 8


@dataclass(frozen=True, slots=True)
class AirPart:
    """One kind of part that a method needs.

    Parameters
    ----------
    count : int
        How many.
    item : finding
        A duct, a louvered opening, a supply fan with burner interlock ...
    trade_size : finding
        Stock size, or what to have made when no stock size is large enough.
    place : finding
        Where it goes.
    free_area_in2, gross_area_in2 : float or None
        Free area asked of each, and the gross (face) area that gives it.
    flow_cfm : float or None
        Of a fan.
    round_in : float or None
        Diameter of a round duct.
    """

    count: int
    item: Words
    trade_size: Words
    place: Words
    free_area_in2: float | None = None
    gross_area_in2: float | None = None
    flow_cfm: float | None = None
    round_in: float | None = None


@dataclass(frozen=True, slots=True)
class AirMethod:
    """One way to bring combustion air.

    Parameters
    ----------
    key, clause : str
        Identifier, and clause with edition.
    name : finding
        Name (``codes_air.method.<key>``).
    complies_now : bool or None
        Whether the room complies by this method as it is; None: a number is missing or the method does not apply.
    parts : tuple of AirPart
        What would make it comply; empty for methods that rest on room volume alone.
    note : list of findings
        What to watch, ending with what no method covers.
    check : Check
        The check as found.
    status, source : str
        Weakest status and all sources of the numbers used.
    here : finding or None
        What bars it in this house, or on what it rests; None where nothing does.
    barred : bool
        True where ``here`` bars it.
    """

    key: str
    name: Words
    clause: str
    complies_now: bool | None
    parts: tuple[AirPart, ...]
    note: Words
    check: Check
    status: str
    source: str
    here: Words | None = None
    barred: bool = False


def method_where_given(way: AirMethod, assumed: Collection[str]) -> AirMethod:
    """Return a method as it stands when it rests on given numbers alone, else as not known (see ``where_given``)."""
    check = where_given(way.check, assumed)
    # too little for the burners that are known stays too little; what is enough for them may not be with one more
    rests_on = air.BURNERS if way.complies_now else air.LISTED_BURNERS
    unsure = not set(rests_on).isdisjoint(assumed) or (bool(check.missing) and way.check.verdict != "unknown")
    return replace(way, check=check, complies_now=None if unsure else way.complies_now)


def _round_part(count: int, free_in2: float, place: Finding, item: Finding) -> AirPart:
    """Return round ducts: the smallest stock size, or several equal ones in parallel when one is not enough."""
    least_in = air.rule("least_dimension_in").typical
    for parallel in range(1, _MOST_PARALLEL_DUCTS + 1):
        found = next_trade_round_in(max(free_in2 / parallel, round_area_in2(least_in)))
        if found is not None:
            size = quantity(found, "in")
            words = finding("codes_air.size_round", size=size)
            if parallel > 1:
                words = finding("codes_air.size_round_parallel", size=size, parallel=parallel)
            share = free_in2 / parallel
            return AirPart(count * parallel, item, words, place, share, round_area_in2(found), round_in=found)
    words = finding("codes_air.size_duct_to_measure", area=quantity(free_in2, "in2", 0))
    return AirPart(count, item, words, place, free_in2, free_in2)


def _grille_part(count: int, free_in2: float, share: float, place: Finding, item: Finding) -> AirPart:
    gross = free_in2 / share
    found = next_trade_grille_in(gross)
    if found is None:
        words = finding("codes_air.size_opening_to_measure", area=quantity(gross, "in2", 0))
    else:
        width, height = (quantity(side, "in") for side in found)
        words = finding("codes_air.size_grille", width=width, height=height)
    return AirPart(count, item, words, place, free_in2, gross)


def _note(*sentences: Finding | None) -> Words:
    """Return what to watch, ending with what no method covers."""
    return listed([*(words for words in sentences if words is not None), NOT_COVERED], "space")


def _method(key: str, check: Check, parts: Sequence[AirPart] = (), *note: Finding | None) -> AirMethod:
    complies = {"pass": True, "fail": False}.get(check.verdict)
    name = finding(f"codes_air.method.{key}")
    return AirMethod(key, name, check.clause, complies, tuple(parts), _note(*note), check, check.status, check.source)


@dataclass(frozen=True, slots=True)
class _Room:
    """What every method of a room rests on: input, volume asked and there, louver, and a word on altitude."""

    total_btu_h: float
    need_ft3: float
    space_ft3: float | None
    louver: air.LouverShare
    edge: Quantity
    thin: Finding | None

    @property
    def high_and_low(self) -> Finding:
        return finding("codes_air.place_high_and_low", edge=self.edge)

    @property
    def high(self) -> Finding:
        return finding("codes_air.place_high", edge=self.edge)


def combustion_air_methods(
    *,
    other_input_btu_h: float,
    fan_input_btu_h: float = 0.0,
    space_volume_ft3: float | None = None,
    same_story_volume_ft3: float | None = 0.0,
    other_story_volume_ft3: float = 0.0,
    ach: float | None = None,
    ach_by_state: StateAirChanges | None = None,
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
    ach_by_state : StateAirChanges or None
        Row of the state's form that gives the rate, where nobody measured it.
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
    room = _Room(
        total,
        air.required_volume_ft3(other_input_btu_h, fan_input_btu_h, ach),
        space_volume_ft3,
        louver,
        quantity(air.rule("opening_within_in").typical, "in"),
        _thin_air(total, altitude_ft),
    )
    volume_note = finding("codes_air.note_volume", need=quantity(room.need_ft3, "ft3", 0)), room.thin
    standard = air.check_standard_volume(total, space_volume_ft3, ach)
    known = air.check_known_rate_volume(other_input_btu_h, fan_input_btu_h, space_volume_ft3, ach, ach_by_state)
    methods = [
        _method("standard_volume", standard, (), *volume_note),
        _method("known_rate_volume", known, (), *volume_note),
        *_indoor_methods(
            room, (same_story_volume_ft3, other_story_volume_ft3), (indoor_high_free_in2, indoor_low_free_in2)
        ),
    ]
    for path in air.PATHS:
        found = (outdoor_high_free_in2, outdoor_low_free_in2) if outdoor_path == path else (0.0, 0.0)
        methods.append(_two_outdoor(room, path, found, louver_material))
    methods += _reduced_methods(room, tuple(connector_diameters_in), outdoor_high_free_in2)
    methods.append(
        _supply(room, exhaust_cfm, air.check_mechanical_supply(total, supply_cfm, exhaust_cfm, supply_interlocked))
    )
    return tuple(_with_louver(method, louver) for method in methods)


def _thin_air(total_btu_h: float, altitude_ft: float) -> Finding | None:
    derated = derated_input_btu_h(total_btu_h, altitude_ft)
    return finding("codes_air.note_nameplate", derated=quantity(derated, "btu_h")) if derated < total_btu_h else None


def _two_outdoor(
    room: _Room, path: OpeningPath, free_in2: tuple[float | None, float | None], louver_material: str
) -> AirMethod:
    each = air.two_outdoor_opening_in2(room.total_btu_h, path)
    check = air.check_two_outdoor_openings(room.total_btu_h, path, *free_in2)
    key = "two_outdoor_" + path.split()[0]
    if path == "direct":
        item = finding(f"codes_air.item_outdoor_opening_{louver_material}")
        part = _grille_part(2, each, room.louver.share, room.high_and_low, item)
        return _method(key, check, (part,), room.thin)
    part = _round_part(2, each, room.high_and_low, finding(f"codes_air.item_{path.replace(' ', '_')}"))
    return _method(key, check, (part,), finding("codes_air.note_two_ducts"), room.thin)


def _supply(room: _Room, exhaust_cfm: float, check: Check) -> AirMethod:
    flow = air.mechanical_supply_cfm(room.total_btu_h, exhaust_cfm)
    size = finding("codes_air.size_supply_fan", flow=quantity(flow, "cfm"))
    fan = AirPart(1, finding("codes_air.item_supply_fan"), size, finding("codes_air.place_supply_fan"), flow_cfm=flow)
    note = finding("codes_air.note_supply", exhaust=quantity(exhaust_cfm, "cfm"))
    return _method("mechanical_supply", check, (fan,), note, room.thin)


def _with_louver(method: AirMethod, louver: air.LouverShare) -> AirMethod:
    """Carry the louver share's status into a method whose parts rest on it."""
    if not any(part.gross_area_in2 is not None and part.round_in is None for part in method.parts):
        return method
    return replace(
        method,
        status=worst_status(method.status, louver.status),
        source=joined_sources(method.source, louver.source),
    )


def _indoor_methods(
    room: _Room, further_ft3: tuple[float | None, float], openings_in2: tuple[float | None, float | None]
) -> list[AirMethod]:
    same, other = further_ft3
    grille = finding("codes_air.item_indoor_grille")
    each = air.same_story_opening_in2(room.total_btu_h)
    check = air.check_indoor_openings_same_story(room.total_btu_h, *openings_in2)
    part = _grille_part(2, each, room.louver.share, room.high_and_low, grille)
    found = [_joined("indoor_same_story", room, check, same, part)]
    whole = air.other_story_opening_in2(room.total_btu_h)
    areas = [area for area in openings_in2 if area is not None]
    total = sum(areas) if len(areas) == len(openings_in2) else None
    check = air.check_indoor_openings_other_story(room.total_btu_h, total)
    part = _grille_part(1, whole, room.louver.share, finding("codes_air.place_between_stories"), grille)
    return [*found, _joined("indoor_other_story", room, check, other, part)]


def _joined(key: str, room: _Room, check: Check, further_ft3: float | None, part: AirPart) -> AirMethod:
    """Return an indoor-opening method: the openings must comply *and* the joined volume must be enough."""
    joined = None if room.space_ft3 is None or further_ft3 is None else room.space_ft3 + further_ft3
    if joined is None:
        enough, words = None, finding("codes_air.note_joined_unknown")
    else:
        enough = joined >= room.need_ft3
        words = finding(
            f"codes_air.note_joined_{'met' if enough else 'not_met'}",
            joined=quantity(joined, "ft3", 0),
            need=quantity(room.need_ft3, "ft3", 0),
        )
    if enough:
        # the openings comply by their size; that the volume is enough rests on the rate
        check = replace(check, rests_on=(*check.rests_on, *air.RATE))
    method = _method(key, check, (part,), room.thin, words)
    return replace(method, complies_now=all_known((method.complies_now, enough)))


def _reduced_methods(room: _Room, connectors_in: tuple[float, ...], free_in2: float | None) -> list[AirMethod]:
    full = air.one_outdoor_opening_in2(room.total_btu_h, connectors_in)
    item = finding("codes_air.item_duct_or_opening")
    clearance = finding(
        "codes_air.note_clearance",
        side=quantity(air.rule("one_opening_side_clearance_in").typical, "in"),
        front=quantity(air.rule("one_opening_front_clearance_in").typical, "in"),
    )
    check = air.check_one_outdoor_opening(room.total_btu_h, connectors_in, free_in2)
    one = _method("one_outdoor", check, (_round_part(1, full, room.high, item),), clearance, room.thin)
    space = room.space_ft3
    reduced = full if space is None else air.combination_opening_in2(full, space, room.need_ft3)
    parts = (_round_part(1, reduced, room.high, item),) if reduced > 0 else ()
    check = air.check_combination(full, space, room.need_ft3, free_in2)
    combined = _method("combination", check, parts, finding("codes_air.note_combination"), room.thin)
    return [one, combined]
