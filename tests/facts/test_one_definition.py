"""What follows from a case is worked out once, in facts/: no other room reads the raw answers or tables it is made of."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

import advisor

PACKAGE = Path(advisor.__file__).parent
ABOVE = {"case", "interview", "facts", "report", "new_case", "web", "cli"}
"""Rooms that write, ask for, show or derive what was found; all others ask `facts`."""

FIELDS = {
    "rated_cfm": "exhaust.stated_flow",
    "measured_cfm": "exhaust.stated_flow",
    "ducted_outdoors": "exhaust.counts, exhaust.outdoors",
    "exhaust_complete": "exhaust.list_is_whole",
    "free_area_in2": "openings.free_in2",
    "area_in2": "openings.gross_in2",
    "louver_rule": "openings.louver_rule",
    "grille_free_area_in2": "openings.grilles_in2",
    "volume_joined_ft3": "space.joined_volume_ft3",
    "heated": "space.heated",
    "leakage_cfm50": "leakage.measured_cfm50",
    "leakage_exponent": "leakage.measured_exponent",
    "appliances_complete": "burners.list_is_whole",
    "firing": "burners.others_fire",
    "outlet_diameter_in": "burners.outlet_in",
    "hood_diameter_in": "burners.hood_in",
    "connector_diameter_in": "burners.connector_in",
    "people": "hot_water.use_of",
    "bedrooms": "hot_water.use_of",
    "circuit_240v": "services.circuit_240_v",
    "receptacle_120v": "services.outlet_near",
    "outside_wall": "space.outside_wall",
    "open_attic_above": "air_source.air_source",
    "open_crawl_below": "air_source.air_source",
    "below_ceiling_in": "openings.starts_at",
    "above_floor_in": "openings.starts_at",
    "outside_wall_distance_ft": "services.wall_route",
    "outside_wall_elbows": "services.wall_route",
    "heat_pump_room_volume_ft3": "services.heat_pump_air_ft3",
}
"""Answers of a case from which something is derived, and the fact to ask instead."""
NOT_RAW = {"openings", "space", "leakage", "single"}
"""Names that are no part of a case: the modules of `facts`, and vents of `codes.vent_types`."""
ALLOWED = {
    (
        "ensemble/draw.py",
        "ducted_outdoors",
    ): "copies the answer into the simulated device; a recirculating hood moves nothing",
    (
        "remedies/vent_facts.py",
        "hood_diameter_in",
    ): "asks only whether it was measured, for the ids of what nobody gave",
    ("remedies/vent_facts.py", "connector_diameter_in"): "the same",
    ("remedies/opening_rules.py", "below_ceiling_in"): "hands the distance to the clause",
    ("remedies/opening_rules.py", "above_floor_in"): "the same",
    ("review/case.py", "area_in2"): "takes the longest side of an opening from it, no area",
    (
        "remedies/shared_vent.py",
        "outlet_diameter_in",
    ): "asks whether it was measured, for the other appliances on the vent",
    ("remedies/shared_vent.py", "connector_diameter_in"): "the same; else the plain number of the codes' own record",
    ("remedies/venting.py", "connector_diameter_in"): "the plain number of the codes' own record of a sized connector",
}
"""Module and answer that may be read there, and why."""

TABLES = {
    "exhaust_flows": ("facts/exhaust.py",),
    "hood_sizes": ("facts/burners.py",),
    "covers": ("facts/openings.py",),
    "rules_louvers": ("codes/combustion_air.py",),
    "leakage_regression": ("facts/leakage.py",),
    "test_set_point_f": ("facts/hot_water.py",),
    "test_inlet_f": ("facts/hot_water.py",),
    "household_spread_factor": ("facts/hot_water.py",),
    "people_per_person_gal_day": ("facts/hot_water.py",),
    "water_density_in_the_annual_use_formula": ("facts/hot_water.py",),
    "whole-house fan": ("facts/exhaust.py",),
    # the simulation draws the label's share and the exponent from their whole range, the facts take the typical value
    "fan_installed_fraction": ("ensemble/draw.py", "facts/exhaust.py"),
    "leakage_exponent": ("ensemble/draw.py", "facts/leakage.py"),
}
"""Rows, tables and kinds that make a derived number, and the only modules that name them."""


def modules() -> Iterator[tuple[str, ast.Module]]:
    for path in sorted(PACKAGE.rglob("*.py")):
        name = path.relative_to(PACKAGE)
        yield str(name), ast.parse(path.read_text(encoding="utf-8"))


def room(name: str) -> str:
    return name.split("/")[0].removesuffix(".py")


def owner(node: ast.Attribute) -> str:
    """Return the name right before the attribute: ``zone`` of ``case.zone.heated``."""
    value = node.value
    return value.attr if isinstance(value, ast.Attribute) else value.id if isinstance(value, ast.Name) else ""


def reads_of(tree: ast.AST) -> set[str]:
    """Return the derived-from answers that a module reads, as attributes or by their names."""
    found = {
        node.attr
        for node in ast.walk(tree)
        if isinstance(node, ast.Attribute) and node.attr in FIELDS and owner(node) not in NOT_RAW
    }
    named = {
        str(node.args[1].value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Call)
        and isinstance(node.func, ast.Name)
        and node.func.id == "getattr"
        and len(node.args) > 1
        and isinstance(node.args[1], ast.Constant)
    }
    return found | (named & set(FIELDS))


def test_the_raw_answers_are_read_in_facts_only() -> None:
    found = {
        (name, field): FIELDS[field]
        for name, tree in modules()
        # codes stands below the case: its fields of the same name are plain numbers handed in
        if room(name) not in ABOVE | {"codes"}
        for field in reads_of(tree)
        if (name, field) not in ALLOWED
    }
    assert not found, "ask facts." + "; facts.".join(f"{fact} in {place}" for (place, _), fact in found.items())


def test_every_exception_is_still_needed() -> None:
    reads = {(name, field) for name, tree in modules() for field in reads_of(tree)}
    present = {name for name, _ in modules()}
    assert {place for place in ALLOWED if place[0] in present} <= reads


@pytest.mark.parametrize("word", TABLES)
def test_what_makes_a_derived_number_is_named_in_one_place(word: str) -> None:
    found = {
        name
        for name, tree in modules()
        if room(name) not in ABOVE - {"facts"}
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant) and node.value == word
    }
    assert found == set(TABLES[word])


def test_no_other_room_raises_fifty_pascals_to_an_exponent() -> None:
    """The blower door's power law stands in physics, and its whole reading in facts/leakage."""
    found = [
        (name, ast.unparse(node))
        for name, tree in modules()
        if room(name) not in ("physics", "facts")
        for node in ast.walk(tree)
        if isinstance(node, ast.BinOp)
        and isinstance(node.op, ast.Pow)
        and isinstance(node.left, ast.Constant)
        and node.left.value == 50.0
    ]
    assert not found


def test_the_inputs_of_burners_are_added_up_in_one_place() -> None:
    """No other module adds an input to an input, or sums them over appliances."""
    found = []
    for name, tree in modules():
        if room(name) in ABOVE | {"codes"}:
            continue
        for node in ast.walk(tree):
            added = isinstance(node, ast.BinOp) and isinstance(node.op, ast.Add)
            added = added or isinstance(node, ast.AugAssign)
            added = added or (isinstance(node, ast.Call) and ast.unparse(node.func) == "sum")
            if added and "input_btu_h" in ast.unparse(node):
                found.append((name, ast.unparse(node)))
    assert not found


@pytest.mark.parametrize(
    ("text", "caught"),
    [
        ("flow = device.measured_cfm or device.rated_cfm", {"measured_cfm", "rated_cfm"}),
        ("total = case.occupants.people", {"people"}),
        ("there = getattr(case.services, 'circuit_240v')", {"circuit_240v"}),
        ("room = space.heated(case)", set()),
    ],
)
def test_the_walk_catches_what_it_is_for(text: str, caught: set[str]) -> None:
    assert reads_of(ast.parse(text)) == caught
