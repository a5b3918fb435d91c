"""Unknown in, unknown out: every answer of several full records is taken away in turn, and then changed.

The check is outside the program: a verdict that stands without an answer must stand whatever that answer would have been,
as the values that the case file allows are tried for it. Nothing here repeats how the program finds out what was given.
"""

from __future__ import annotations

import copy
import tomllib
from collections import Counter
from collections.abc import Iterator
from functools import cache
from typing import Any, Literal, get_args, get_origin

import pytest
import tomlkit
from conftest import DEMOS, ROOT, said
from pydantic import BaseModel

from advisor.case.model import Case
from advisor.case.read import parse_case
from advisor.errors import InputError
from advisor.review.case import review

HOUSES = {
    "masonry outdoors": """
[house]
altitude_ft = 5200
climate_zone = "5B"
volume_ft3 = 16000
[zone]
kind = "basement"
heated = false
volume_ft3 = 3000
volume_joined_ft3 = 0
door = "solid"
grille_free_area_in2 = 0
temp_f = 55
[heater]
input_btu_h = 40000
hood_diameter_in = 4
[vent]
shared = false
was_shared = false
vertical = "masonry"
flue_area_in2 = 40
height_ft = 25
exterior = true
connector = "type b"
connector_diameter_in = 4
connector_length_ft = 5
connector_lateral_ft = 4
connector_rise_ft = 1
connector_elbows = 3
connector_elbows_45 = 1
connector_slope_in_per_ft = 0.25
cap = "other"
[terminal]
height_above_roof_ft = 3.2
above_obstacles_ft = 2.5
forced_air_inlet_distance_ft = 8
above_forced_air_inlet_ft = 3.5
""",
    "closet of a bedroom": """
[house]
climate_zone = "3A"
[zone]
kind = "closet"
heated = true
volume_ft3 = 90
volume_joined_ft3 = 0
door = "weatherstripped"
grille_free_area_in2 = 0
opens_to = "bedroom"
[heater]
input_btu_h = 30000
hood_diameter_in = 3
flue_damper = true
[vent]
shared = false
was_shared = false
vertical = "type b"
diameter_in = 3
height_ft = 14
exterior = false
connector = "single wall"
connector_diameter_in = 3
connector_length_ft = 3
connector_lateral_ft = 2
connector_rise_ft = 1
connector_elbows = 2
connector_elbows_45 = 2
connector_slope_in_per_ft = 0.3
cap = "listed"
[terminal]
roof_pitch_rise_per_12 = 5
height_above_roof_ft = 2
wall_distance_ft = 12
[[opening]]
kind = "vertical duct"
position = "high"
diameter_in = 5
cover = "metal louver"
state = "open"
[[opening]]
kind = "direct"
position = "low"
area_in2 = 40
cover = "wood louver"
free_area_in2 = 20
state = "open"
""",
    "cold garage": """
[house]
climate_zone = "6A"
volume_ft3 = 18000
[zone]
kind = "garage"
heated = false
volume_ft3 = 4000
door = "weatherstripped"
grille_free_area_in2 = 0
[heater]
input_btu_h = 50000
hood_diameter_in = 4
[vent]
shared = false
was_shared = true
vertical = "single wall"
diameter_in = 4
height_ft = 12
exterior = true
connector = "single wall"
connector_diameter_in = 3
connector_length_ft = 10
connector_lateral_ft = 9.5
connector_rise_ft = 0.5
connector_elbows = 4
connector_elbows_45 = 6
connector_slope_in_per_ft = 0
cap = "none"
[terminal]
roof_pitch_rise_per_12 = 9
height_above_roof_ft = 0.5
wall_distance_ft = 3
above_obstacles_ft = 1
[[opening]]
kind = "horizontal duct"
position = "low"
area_in2 = 30
cover = "screen"
state = "open"
""",
    "two on one vent": """
[house]
altitude_ft = 6500
climate_zone = "4A"
volume_ft3 = 15000
[zone]
kind = "basement"
heated = true
volume_ft3 = 7000
volume_joined_ft3 = 500
door = "none"
grille_free_area_in2 = 0
[heater]
input_btu_h = 36000
hood_diameter_in = 4
[[appliance]]
name = "furnace"
vent = "with the heater"
kind = "furnace"
draft = "fan-assisted"
input_btu_h = 60000
outlet_diameter_in = 4
connector_rise_ft = 2
[vent]
shared = true
vertical = "type b"
diameter_in = 6
height_ft = 20
exterior = false
connector = "type b"
connector_diameter_in = 4
connector_length_ft = 4
connector_lateral_ft = 2
connector_rise_ft = 2
connector_elbows = 2
connector_elbows_45 = 0
cap = "listed"
[terminal]
roof_pitch_rise_per_12 = 5
height_above_roof_ft = 2
wall_distance_ft = 12
""",
}
PLAIN = """
[house]
climate_zone = "4A"
[zone]
kind = "utility room"
heated = true
volume_ft3 = 100
volume_joined_ft3 = 0
door = "solid"
grille_free_area_in2 = 0
[heater]
input_btu_h = 40000
hood_diameter_in = 4
[vent]
shared = false
was_shared = false
vertical = "type b"
diameter_in = 4
height_ft = 16
exterior = false
connector = "type b"
connector_diameter_in = 4
connector_length_ft = 3
connector_lateral_ft = 2
connector_rise_ft = 1
connector_elbows = 2
connector_elbows_45 = 0
connector_slope_in_per_ft = 0.25
cap = "listed"
"""
# 9.3.3.1: 40,000 Btu/h take 10 in2 each straight through the wall and 20 in2 each by horizontal ducts
HOUSES["two small openings"] = (
    PLAIN
    + """
[[opening]]
kind = "direct"
position = "high"
area_in2 = 11
cover = "none"
state = "open"
[[opening]]
kind = "direct"
position = "low"
area_in2 = 11
cover = "none"
state = "open"
"""
)
# 9.3.3.2: 13.3 in2 by the input, and at least the area of the connector
HOUSES["one opening"] = (
    PLAIN
    + """
[[opening]]
kind = "vertical duct"
position = "high"
area_in2 = 14
cover = "none"
state = "open"
"""
)
# mn-rules-1346: two open burners allow 0.03 x 20,000 = 600 cfm; 0.8 x 350 and 0.8 x 90 are counted, nothing is owed
HOUSES["fans in the state with a rule of its own"] = (
    PLAIN.replace(
        'climate_zone = "4A"', 'climate_zone = "6A"\nstate = "MN"\nfloor_area_ft2 = 20000\nfoundation = "slab"'
    )
    + """
[[exhaust]]
name = "hood"
kind = "range hood"
rated_cfm = 350
measured_cfm = 300
ducted_outdoors = true
[[exhaust]]
name = "bath"
kind = "bath fan"
rated_cfm = 90
[[opening]]
kind = "direct"
position = "high"
diameter_in = 5
cover = "none"
state = "open"
"""
)
LISTS = """
supply = []
"""
BOILER = """
[[appliance]]
name = "boiler"
vent = "own"
kind = "boiler"
draft = "natural"
input_btu_h = 60000
"""
NO_OTHER = """
appliance = []
supply = []
"""
RUNS = """
[[run]]
label = "worst"
seen = "drafting"
method = "smoke"
vent_cold_at_start = true
seconds_after_lit = 300
seconds_to_draft = 200
outdoor_temp_f = 40
zone_depressurization_pa = 5.0
baseline_depressurization_pa = 1.0
draft_pa = 2.0
flue_co_ppm = 150
flue_o2_pct = 8
ambient_co_ppm = 4
[[run]]
label = "spilled"
seen = "spilling"
method = "smoke"
vent_cold_at_start = false
seconds_after_lit = 150
ambient_co_ppm = 20
"""
NO_ANSWER = {"settings", "money", "title", "note", "label", "name"}
"""A choice of a scheme, a price or a label: nothing that was found at the house."""
BAD = ("fail", "outside the table: engineered design")


@cache
def documents() -> dict[str, dict[str, Any]]:
    demos = {name: tomllib.loads((ROOT / "demo" / f"{name}.toml").read_text()) for name in DEMOS}
    return demos | {
        name: tomllib.loads(NO_OTHER + text + RUNS if text.startswith(PLAIN) else LISTS + text + BOILER + RUNS)
        for name, text in HOUSES.items()
    }


def found(document: dict[str, Any]) -> dict[tuple[str, str, int], Any] | None:
    """Checks by rule, run and turn; None where the record is refused."""
    try:
        case = parse_case(as_toml(document))
    except InputError:
        return None
    turn: Counter[tuple[str, str]] = Counter()
    checks = {}
    for check in review(case):
        key = (subject(f"{check.rule} {check.about}".strip()), check.run)
        turn[key] += 1
        checks[(*key, turn[key])] = check
    return checks


def subject(rule: str) -> str:
    """What a check is about: one of several rules may be the one that fits the record."""
    if "volume" in rule or "outdoor_opening" in rule or rule.startswith(("openings_to", "fan_supplied")):
        return "combustion air"  # any method that complies is enough (9.3.1)
    if rule in ("vent_not_smaller_than_outlet", "connector_of_not_smaller_than_hood water_heater"):
        return "pipe at the hood not smaller than the hood"  # alone 13.1.2, shared 13.2
    if rule == "common_vent_capacity":
        return "vent_capacity"
    if rule in ("chimney_height", "vent_height_above_the_roof"):
        return "height of the top"
    # the rules of the heater's own connector are the same alone and shared
    return rule if rule == "connector_of water_heater" else rule.removesuffix(" water_heater")


def as_toml(document: dict[str, Any]) -> str:
    return tomlkit.dumps(document)


def places(node: Any, path: tuple[str | int, ...] = ()) -> Iterator[tuple[str | int, ...]]:
    """Every key of a record, with whole tables and lists."""
    items = node.items() if isinstance(node, dict) else enumerate(node) if isinstance(node, list) else ()
    for key, value in items:
        if key in NO_ANSWER:
            continue
        if isinstance(key, str):
            yield (*path, key)
        yield from places(value, (*path, key))


def without(document: dict[str, Any], path: tuple[str | int, ...]) -> dict[str, Any]:
    less = copy.deepcopy(document)
    node: Any = less
    for key in path[:-1]:
        node = node[key]
    del node[path[-1]]
    return less


def with_value(document: dict[str, Any], path: tuple[str | int, ...], value: Any) -> dict[str, Any]:
    more = copy.deepcopy(document)
    node: Any = more
    for key in path[:-1]:
        node = node[key]
    node[path[-1]] = value
    return more


def values(path: tuple[str | int, ...]) -> list[Any]:
    """What the case file allows for a key: every word, yes and no, or numbers over the whole range."""
    model: type[BaseModel] = Case
    field = None
    for key in path:
        if isinstance(key, int):
            continue
        field = model.model_fields[key]
        inner = [t for t in unpacked(field.annotation) if isinstance(t, type) and issubclass(t, BaseModel)]
        model = inner[0] if inner else model
        if inner:
            field = None
    if field is None:
        return []
    kinds = list(unpacked(field.annotation))
    words = [w for t in kinds if get_origin(t) is Literal for w in get_args(t)]
    if words:
        return words
    if bool in kinds:
        return [True, False]
    inside = [n for t in kinds for m in getattr(t, "__metadata__", ()) for n in getattr(m, "metadata", ())]
    limits = {type(m).__name__: m for m in (*field.metadata, *inside)}
    bounds = [getattr(limits.get(a), b, None) for a, b in (("Ge", "ge"), ("Le", "le"))]
    if None in bounds:
        return []
    low, high = bounds
    if int in kinds:
        return sorted({low, low + 1, (low + high) // 2, high})
    return [low + share * (high - low) for share in (0.0, 0.02, 0.1, 0.3, 0.6, 1.0)]


def unpacked(kind: Any) -> Iterator[Any]:
    yield kind
    for inner in get_args(kind):
        if not isinstance(inner, str | int | float):
            yield from unpacked(inner)


BIG = {"name": "big", "vent": "own", "kind": "boiler", "draft": "natural", "input_btu_h": 400000}
TWIN = {
    "name": "twin",
    "vent": "with the heater",
    "kind": "furnace",
    "draft": "natural",
    "input_btu_h": 300000,
    "outlet_diameter_in": 3,
    "connector_rise_ft": 0.5,
}
SLIT = {"kind": "horizontal duct", "position": "high", "area_in2": 1, "cover": "screen", "state": "open"}
HUGE = {"name": "hood", "kind": "large hood", "rated_cfm": 5000}
WHOLE: dict[tuple[str | int, ...], list[dict[str, Any]]] = {
    ("appliance",): [{"appliance": [BIG]}, {"appliance": []}, {"appliance": [TWIN]}],
    ("vent", "shared"): [{"appliance": [TWIN]}],
    ("opening",): [{"opening": [SLIT]}, {"opening": []}],
    ("supply",): [{"supply": []}],
    ("exhaust",): [{"exhaust": [HUGE]}, {"exhaust": []}],
}
"""What could have been written where a whole list or table is missing."""


def answers(document: dict[str, Any], path: tuple[str | int, ...]) -> Iterator[tuple[str, dict[str, Any]]]:
    """The record with every answer that could have been given for a key."""
    name = ".".join(map(str, path))
    for value in values(path):
        yield f"{name} = {value}", with_value(document, path, value)
    known = path == ("vent", "shared") and document.get("appliance")
    for change in [] if known else WHOLE.get(path, []):
        yield f"{change}", without(document, path) | change


CASES = [(name, path) for name, document in documents().items() for path in places(document)]


@pytest.mark.parametrize("name", [*DEMOS, *HOUSES])
def test_taking_an_answer_away_never_makes_a_pass(name: str) -> None:
    document = documents()[name]
    full = found(document)
    assert full
    assert len([p for n, p in CASES if n == name]) > 40
    for path in (p for n, p in CASES if n == name):
        less = found(without(document, path))
        for key, check in (less or {}).items():
            before = full.get(key)
            if check.verdict == "pass" and (before is not None or path != ("appliance",)):
                assert before is not None, f"{path}: a new pass, {key}"
                assert before.verdict == "pass", f"{path}: {key} was {before.verdict}"


@pytest.mark.parametrize("name", [*DEMOS, *HOUSES])
def test_a_pass_without_an_answer_holds_whatever_the_answer_is(name: str) -> None:
    document = documents()[name]
    tried = 0
    for path in (p for n, p in CASES if n == name):
        less = found(without(document, path))
        passed = {key for key, check in (less or {}).items() if check.verdict == "pass"}
        for change, answered in answers(document, path) if passed else ():
            other = found(answered)
            for key in passed.intersection(other or {}):
                tried += 1
                assert other is not None
                assert other[key].verdict not in BAD, f"{change}: {key} passes without it"
    assert tried > 500


def test_a_record_without_any_vent_passes_nothing() -> None:
    checks = found(tomllib.loads('[heater]\ninput_btu_h = 40000\n[[run]]\nseen = "unclear"\n'))
    assert checks
    verdicts = {check.verdict for check in checks.values()}
    assert verdicts == {"unknown"}
    capacity = checks[("vent_capacity", "", 1)]
    assert "height" in capacity.missing
    assert "height from the draft hood" in said(capacity.provided)
    assert "measure the height" in said(capacity.client)
    assert "measure the height" in said(capacity.official)
