"""Burners and fans of the heater's space: what is sized, what is checked and what is simulated take the same ones."""

from __future__ import annotations

import math
from typing import Any

import pytest
from conftest import said

from advisor.case.model import Case
from advisor.ensemble.draw import draw
from advisor.facts import burners, exhaust, openings
from advisor.remedies import air_facts, combustion_air
from advisor.remedies import exhaust as less_exhaust
from advisor.remedies.air_plan import AirPlan, Position, plan
from advisor.remedies.base import Job
from advisor.remedies.replacement import site_facts
from advisor.risk.paper import fill_card

FIREPLACE = {"name": "fireplace", "kind": "fireplace", "draft": "natural", "input_btu_h": 90000.0}
HEATER = 40000.0
ZONE = {"kind": "utility room", "volume_ft3": 900.0, "volume_joined_ft3": 0.0, "door": "solid"}
WAY = {"outside_wall_distance_ft": 8.0, "outside_wall_elbows": 1}


def round_in(case: Case, position: Position) -> float | None:
    """The round size of what a plan of two openings builds at a height."""
    found = plan(case, "two")
    assert isinstance(found, AirPlan)
    piece = found.at(position)
    assert piece is not None
    assert piece.size is not None
    return piece.size.round_in


def made(**more: object) -> Case:
    given: dict[str, Any] = {
        "heater": {"input_btu_h": HEATER, "hood_diameter_in": 4.0},
        "zone": ZONE,
        "vent": {"shared": False},
        "opening": [],
        "supply": [],
        "exhaust": [],
        "other_appliance": [FIREPLACE],
        "run": [{"seen": "spilling"}],
    } | more
    return Case.model_validate(given)


def ways(case: Case) -> dict[str, Any]:
    return {way.key: way for way in air_facts.combustion_air_ways(case)}


def test_a_fireplace_counts_where_air_is_sized_and_where_it_is_checked() -> None:
    """NFPA 54-2012 9.3: all appliances in the space count but direct-vent ones; by hand with 40,000 + 90,000 Btu/h."""
    case = made()
    total = HEATER + 90000.0
    assert burners.space_input(case).total_btu_h == total == combustion_air.zone_input_btu_h(Job(case))
    checked = ways(case)
    # 9.3.2.1: 50 ft3 for 1,000 Btu/h; 6,500 ft3 against the 900 that are there
    assert "6,500 ft3" in said(checked["standard_volume"].note)
    # 9.3.3.1(1): each of two openings 1 in2 for 4,000 Btu/h; behind a metal louver, 75 % free (9.3.7.1), the next
    # whole size of a round one
    each_in2 = total / 4000.0
    assert checked["two_outdoor_direct"].parts[0].free_area_in2 == pytest.approx(each_in2)
    gross_in = math.sqrt(4.0 / math.pi * each_in2 / 0.75)
    assert math.ceil(gross_in) == 8
    assert round_in(made(zone=ZONE | {"outside_wall": True}), "low") == 8
    # 9.3.3.1(2): a horizontal duct 1 in2 for 2,000 Btu/h, with its own area free: 65 in2
    assert round_in(made(zone=ZONE | {"outside_wall": False}, services=WAY), "low") == math.ceil(
        math.sqrt(4.0 / math.pi * total / 2000.0)
    )
    # 9.3.6: 0.35 cfm for 1,000 Btu/h, and what fans of the space take out
    assert checked["mechanical_supply"].parts[0].flow_cfm == pytest.approx(0.35 * total / 1000.0)


def test_a_sealed_burner_does_not_count() -> None:
    """Direct-vent appliances are exempt (NFPA 54-2012 9.3.2.1), and what nobody read on their plates is not missed."""
    case = made(other_appliance=[{"name": "furnace", "kind": "furnace", "draft": "sealed"}])
    assert burners.space_input(case).total_btu_h == HEATER == combustion_air.zone_input_btu_h(Job(case))
    assert ways(case)["two_outdoor_direct"].parts[0].free_area_in2 == pytest.approx(HEATER / 4000.0)
    assert "other_input" not in air_facts.assumed_of(case)
    natural = made(other_appliance=[{"name": "furnace", "kind": "furnace", "draft": "natural"}])
    assert "other_input" in air_facts.assumed_of(natural)


def test_fan_assisted_ones_count_by_their_own_coefficient() -> None:
    shared = {"kind": "furnace", "draft": "fan-assisted", "input_btu_h": 80000.0}
    case = made(shared_appliance=shared, vent={"shared": True})
    found = burners.space_input(case)
    assert (found.other_btu_h, found.fan_btu_h) == (HEATER + 90000.0, 80000.0)
    assert combustion_air.zone_input_btu_h(Job(case)) == found.total_btu_h


@pytest.mark.parametrize(
    ("others", "stays"), [([FIREPLACE], True), ([FIREPLACE | {"draft": "sealed"}], False), ([], False)]
)
def test_a_fireplace_that_draws_room_air_stays_a_natural_draft_appliance(others: list[object], stays: bool) -> None:
    assert site_facts(made(other_appliance=others)).natural_draft_remains is stays


def test_supply_air_replaces_the_fans_of_the_space_where_it_is_sized_and_where_it_is_checked() -> None:
    """NFPA 54-2012 9.3.6: 0.35 cfm for 1,000 Btu/h plus the exhaust of the space: 45.5 + 150 cfm."""
    dryer = {"name": "dryer", "kind": "dryer", "rated_cfm": 150.0, "in_zone": True}
    case = made(exhaust=[dryer, {"name": "bath fan", "kind": "bath fan", "rated_cfm": 80.0}])
    assert ways(case)["mechanical_supply"].parts[0].flow_cfm == pytest.approx(195.5)
    remedy = next(r for r in combustion_air.REMEDIES if r.id == "mechanical_air")
    assert remedy.size(Job(case)).parts[0]["flow"].value == pytest.approx(195.5)


def test_the_connector_counts_at_its_usual_size_where_nobody_measured_it() -> None:
    """NFPA 54-2012 9.3.3.2: one opening has at least the area of the connectors of the space."""
    unknown = made(heater={"input_btu_h": HEATER}, other_appliance=[])
    assert burners.connectors_in(unknown) == (burners.usual_outlet_in(HEATER),)
    assert "connector_diameter" in air_facts.assumed_of(unknown)
    shared = {"kind": "furnace", "draft": "natural", "input_btu_h": 100000.0, "outlet_diameter_in": 6.0}
    assert burners.connectors_in(made(shared_appliance=shared)) == (4.0, 6.0)


def test_a_fan_that_was_measured_at_nothing_moves_nothing_in_every_room() -> None:
    dead = {"name": "hood", "kind": "range hood", "rated_cfm": 600.0, "measured_cfm": 0.0}
    case = made(exhaust=[dead], house={"leakage_cfm50": 1500.0, "leakage_exponent": 0.65}, other_appliance=[])
    assert exhaust.stated_flow(case.exhaust[0]) == exhaust.StatedFlow("measured", 0.0)  # type: ignore[index]
    assert exhaust.largest_cfm(case) == exhaust.all_installed_cfm(case) == 0.0
    assert draw(case, 64).house.device_m3_s.max() == 0.0
    assert fill_card(case).lines[0].answer == fill_card(case.model_copy(update={"exhaust": []})).lines[0].answer
    smaller = next(r for r in less_exhaust.REMEDIES if r.id == "smaller_hood")
    assert smaller.eligible(Job(case))  # nothing large is there to be made smaller


@pytest.mark.parametrize(
    ("device", "basis", "cfm"),
    [
        ({"measured_cfm": 90.0, "rated_cfm": 110.0}, "measured", 90.0),
        ({"rated_cfm": 110.0}, "rated", 110.0),
        ({}, "usual", 60.0),  # exhaust-list: bath fan
    ],
)
def test_measured_goes_before_the_label_and_the_label_before_the_usual(
    device: dict[str, float], basis: str, cfm: float
) -> None:
    case = made(exhaust=[{"name": "fan", "kind": "bath fan", **device}])
    assert case.exhaust is not None
    flow = exhaust.stated_flow(case.exhaust[0])
    assert (flow.basis, flow.cfm) == (basis, cfm)
    assert exhaust.names_by_basis(case, flow.basis) == ["fan"]


def opening(**more: object) -> dict[str, object]:
    given = {"kind": "direct", "position": "high", "area_in2": 100.0, "cover": "metal louver", "state": "open"}
    return given | more


@pytest.mark.parametrize(
    ("rule", "cover", "share"),
    [
        ("us", "metal louver", 0.75),  # nfpa54-2012 9.3.7.1
        ("us", "wood louver", 0.25),
        ("new york city", "metal louver", 0.60),  # nyc-fgc-2022
        ("new york city", "wood louver", 0.10),
        ("us", "none", 1.0),
        ("us", "screen", 0.85),  # trade-practice: no rule names a share
    ],
)
def test_the_rule_of_the_place_holds_for_what_is_there_and_for_what_is_new(rule: str, cover: str, share: float) -> None:
    case = made(opening=[opening(cover=cover)], settings={"louver_rule": rule}, other_appliance=[])
    assert openings.free_at_in2(case, "high") == pytest.approx(100.0 * share)
    # 9.3.3.1(1): 40,000 / 4,000 = 10 in2 free each, behind a metal louver of the same rule
    metal = {"us": 0.75, "new york city": 0.60}[rule]
    needs_in = math.sqrt(4.0 / math.pi * 10.0 / metal)
    assert needs_in <= round_in(case, "low") < needs_in + 1.0


def test_a_maker_states_the_free_area_itself() -> None:
    case = made(opening=[opening(free_area_in2=42.0)])
    assert openings.free_at_in2(case, "high") == 42.0
    assert openings.free_at_in2(made(opening=[{**opening(), "state": "unknown"}]), "high") is None
