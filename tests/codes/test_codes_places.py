"""Where a heater may stand, clause by clause, with plain numbers. Each verdict was worked out by hand.

The rule of bedrooms and bathrooms stands in the facts as trade practice (no air of such rooms; accepted: solid self-closing
gasketed door, sealed walls, outdoor air only; trade-practice). All other clauses (of ifgc-2018, irc-2018 and 24 CFR 3280) are
named from memory: they say so, and bar nothing.
"""

from __future__ import annotations

import pytest

from advisor import catalog
from advisor.codes import places
from advisor.codes.compose import STRENGTH
from advisor.wording.checks import official_words

YES_NO = (None, True, False)


@pytest.mark.parametrize(
    ("room", "outdoor_air", "door", "verdict"),
    [
        ("bedroom", True, True, "fail"),  # the room itself is no closet: no exception
        ("bathroom", True, True, "fail"),
        ("closet", True, True, "pass"),  # air from outdoors only, behind such a door
        ("closet", False, True, "fail"),  # air of the bedroom
        ("closet", True, False, "fail"),  # a louvered or plain door
        ("closet", False, None, "fail"),  # one part that fails decides
        ("closet", None, True, "unknown"),
        ("closet", True, None, "unknown"),
        ("closet", None, None, "unknown"),
        (None, True, True, "unknown"),  # nobody said what the door opens to
        ("other", False, False, "not applicable"),
    ],
)
def test_open_burner_by_bedroom_or_bathroom(room, outdoor_air, door, verdict):
    found = places.check_sleeping_room(room, all_air_from_outdoors=outdoor_air, self_closing_tight_door=door)
    assert found.verdict == verdict
    assert found.status == "common practice"
    if verdict in ("pass", "fail"):
        assert "not read in a code" in official_words(found)


def test_what_takes_no_air_of_the_room_may_stand_there():
    for room in ("bedroom", "bathroom", "closet", None):
        sealed = places.check_sleeping_room(room, flame="sealed")
        assert (sealed.verdict, sealed.status) == ("pass", "memory")  # that sealed units may stand there was not read
        assert "must be confirmed" in official_words(sealed)
        assert places.check_sleeping_room(room, flame="none").verdict == "not applicable"


@pytest.mark.parametrize(
    ("height", "listed", "verdict"),
    [
        (18.0, False, "pass"),
        (17.9, False, "fail"),
        (6.0, True, "pass"),  # listed: exempt from the height
        (6.0, None, "unknown"),  # the label may exempt it
        (None, True, "pass"),
        (None, False, "unknown"),
        (None, None, "unknown"),
        (20.0, None, "pass"),
    ],
)
def test_ignition_source_18_in_above_a_garage_floor(height, listed, verdict):
    found = places.check_garage_ignition_height(height, flammable_vapor_listed=listed)
    assert (found.verdict, found.status) == (verdict, "memory")
    missing = {"ignition_height": height is None, "vapor_listing": listed is None}
    assert set(found.rests_on) == ({k for k, v in missing.items() if v} if verdict == "unknown" else set())


def test_a_new_heater_in_a_garage_is_never_a_pass_before_it_is_chosen():
    assert places.check_garage_ignition_height(None, new_unit=True).verdict == "unknown"
    # an electric heater has no flame; whether its switches count is for the authority, however high it stands
    assert places.check_garage_ignition_height(30.0, flammable_vapor_listed=True, flame="none").verdict == "unknown"


@pytest.mark.parametrize(
    ("joined", "bedroom", "verdict"),
    [
        (False, False, "pass"),
        (True, False, "fail"),
        (False, True, "fail"),
        (True, None, "fail"),
        (None, False, "unknown"),
        (False, None, "unknown"),
        (None, None, "unknown"),
    ],
)
def test_no_opening_between_garage_and_dwelling(joined, bedroom, verdict):
    assert places.check_garage_opening_to_dwelling(joined, bedroom).verdict == verdict


@pytest.mark.parametrize(
    "check",
    [
        places.check_garage_vehicle_barrier,
        places.check_service_access,
        places.check_manufactured_home_listing,
        places.check_outdoor_protection,
        lambda known: places.check_manufactured_home_separate_air("open", known),
    ],
)
def test_one_yes_or_no_decides_and_its_absence_is_never_a_pass(check):
    assert [check(known).verdict for known in YES_NO] == ["unknown", "pass", "fail"]
    assert {check(known).status for known in YES_NO} == {"memory"}
    assert check(None).rests_on


def test_the_flame_of_a_sealed_unit_is_apart_and_without_a_flame_there_is_nothing_to_part():
    assert places.check_manufactured_home_separate_air("sealed").verdict == "pass"
    assert places.check_manufactured_home_separate_air("none").verdict == "not applicable"


def test_only_what_the_facts_hold_is_more_than_memory():
    rows = {row["key"]: row["status"] for row in catalog.table("rules_places")}
    stronger = {key for key, status in rows.items() if STRENGTH.index(status) < STRENGTH.index("memory")}
    assert stronger == {"sleeping_room_air", "manufactured_open_burner"}
    assert rows["manufactured_open_burner"] == "own choice"


def test_every_rule_of_the_place_is_a_gate():
    gates = {row["rule"] for row in catalog.table("gate_rules")}
    assert set(places.RULES) <= gates
