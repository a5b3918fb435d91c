"""Where the tool ends: refused or limited in one line that says what to do instead, by every command alike."""

from __future__ import annotations

from typing import Any

import pytest

from advisor.case.read import case_of
from advisor.case.scope import PROVINCES
from advisor.errors import InputError
from advisor.facts import burners
from advisor.facts.now import now_list
from advisor.facts.record import verdict_of
from advisor.facts.scope import beyond


def document(**more: Any) -> dict[str, Any]:
    return {"heater": {"input_btu_h": 40000}, "run": [{"seen": "spilling"}]} | more


def heater(**more: Any) -> dict[str, Any]:
    return document(heater={"input_btu_h": 40000} | more)


@pytest.mark.parametrize("draft", ["fan-assisted", "power-vented", "sealed"])
def test_a_heater_without_a_hood_is_refused_with_what_to_do(draft: str) -> None:
    with pytest.raises(InputError) as told:
        case_of(heater(draft=draft), "x.toml")
    words = str(told.value)
    assert words.startswith(f"x.toml: heater.draft = '{draft}'")
    assert "turn its gas off" in words
    assert "leave and call for help" in words
    assert "licensed contractor" in words
    assert "\n" not in words


def test_oil_and_canada_and_no_state_are_refused() -> None:
    for given, part in (
        (heater(fuel="oil"), "oil technician"),
        (document(house={"state": "ON"}), "CSA B149.1"),
        (document(house={"state": "ZZ"}), "no US state"),
        (document(house={"state": "OI"}), "no US state"),
    ):
        with pytest.raises(InputError, match=part):
            case_of(given)
    for state in ("OH", "MN", "CA", "DC"):
        case_of(document(house={"state": state}))
    assert len(PROVINCES) == 13


def shared(**more: Any) -> dict[str, Any]:
    one = {"name": "other", "kind": "furnace", "vent": "with the heater"} | more
    return document(appliance=[one])


@pytest.mark.parametrize(
    ("given", "key"),
    [
        (shared(kind="stove"), "scope_solid_fuel"),
        (shared(kind="stove", fuel="wood"), "scope_solid_fuel"),
        (shared(kind="fireplace", fuel="pellets"), "scope_solid_fuel"),
        (shared(kind="stove", fuel="natural gas"), None),
        (shared(kind="stove", fuel="wood", vent="own"), None),
        (shared(fuel="oil"), "scope_oil_on_vent"),
        (shared(draft="power-vented"), "scope_fan_on_vent"),
        (shared(draft="fan-assisted"), None),
        # 10 CFR 430.32(d): residential-duty classes end at 105,000 Btu/h and 120 gal
        (heater(input_btu_h=105000, tank_gal=120), None),
        (heater(input_btu_h=105001), "scope_large"),
        (heater(tank_gal=121), "scope_large"),
    ],
)
def test_what_is_limited_is_said_among_what_to_do_now(given: dict[str, Any], key: str | None) -> None:
    case = case_of(given)
    assert list(beyond(case)) == ([] if key is None else [key])
    said = [finding.id for finding in now_list(case, verdict_of(case))]
    assert (f"now.{key}" in said) == (key is not None)
    # the failure leads, and names what is on the same vent
    assert said[0] == ("now.spills_shared" if burners.on_the_vent(case) else "now.spills")
