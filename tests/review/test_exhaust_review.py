"""Fans and openings held against the make-up rules (makeup-article: above 400 cfm; mn-rules-1346) and 9.3.2.3 (3 in)."""

from __future__ import annotations

import pytest
from conftest import said

from advisor.case.read import parse_case
from advisor.review.case import review

HEATER = "[heater]\ninput_btu_h = 40000\n"
RUN = '[[run]]\nseen = "unclear"\n'
GENERAL = "added_exhaust_beside_a_natural_draft_appliance"
STATE = "added_exhaust_state_rule_for_existing_dwellings"
CLASS = "make_up_air_by_appliance_class"
FANS = "make_up_air_for_exhaust_fans"


def checks(*parts: str):  # type: ignore[no-untyped-def]
    lists = "".join(p for p in parts if not p.startswith("["))
    tables = "".join(p for p in parts if p.startswith("["))
    return {c.rule: c for c in review(parse_case(lists + HEATER + tables + RUN))}


def device(kind: str = "range hood", more: str = "") -> str:
    return f'[[exhaust]]\nname = "{kind}"\nkind = "{kind}"\n{more}\n'


def supply(cfm: float, out: float = 0.0, more: str = "interlocked = true") -> str:
    return f'[[supply]]\nname = "s"\nkind = "make-up air fan"\nsupply_cfm = {cfm}\nexhaust_cfm = {out}\n{more}\n'


@pytest.mark.parametrize(
    ("parts", "verdict", "missing"),
    [
        # the label says what a hood can move; a measured flow above the trigger settles it, one below does not
        ((device(more="rated_cfm = 400"), "supply = []\n"), "pass", ()),
        ((device(more="rated_cfm = 401"), "supply = []\n"), "fail", ()),
        ((device(more="rated_cfm = 401"),), "unknown", ("supply",)),
        ((device(more="rated_cfm = 600"), supply(600)), "pass", ()),
        ((device(more="rated_cfm = 600"), supply(600, more="")), "unknown", ("interlock",)),
        ((device(more="rated_cfm = 600"), supply(600, more="interlocked = false")), "fail", ()),
        # what is switched by hand does not count, what is there beside it does
        ((device(more="rated_cfm = 600"), supply(600), supply(300, more="interlocked = false")), "pass", ()),
        ((device(more="rated_cfm = 600"), supply(599), supply(1, more="")), "unknown", ("interlock",)),
        ((device(more="rated_cfm = 600"), supply(600, out=600)), "fail", ()),
        ((device(more="rated_cfm = 600"), supply(300)), "unknown", ()),  # how much is enough was not read
        ((device(more="measured_cfm = 230"), "supply = []\n"), "unknown", ("exhaust_flow",)),
        ((device(more="measured_cfm = 450"), "supply = []\n"), "fail", ()),
        ((device(), "supply = []\n"), "unknown", ("exhaust_flow",)),
        ((device(more="rated_cfm = 600"), device("downdraft"), "supply = []\n"), "fail", ()),
        ((device(more="rated_cfm = 200"), device("downdraft"), "supply = []\n"), "unknown", ("exhaust_flow",)),
        ((device(more="rated_cfm = 900\nducted_outdoors = false"),), "pass", ()),  # it takes nothing out
        ((), "unknown", ("exhaust",)),
    ],
)
def test_a_hood_beside_a_natural_draft_heater(parts, verdict, missing):
    check = checks(*parts)[GENERAL]
    assert check.verdict == verdict
    assert check.missing == missing


@pytest.mark.parametrize(
    "parts",
    [
        ("exhaust = []\n",),
        (device("bath fan", "rated_cfm = 60"),),
        (device("dryer", "rated_cfm = 600"),),
    ],
)
def test_no_hood_that_exhausts_is_no_case_for_the_rule(parts):
    assert GENERAL not in checks(*parts)


@pytest.mark.parametrize(
    ("parts", "verdict"),
    [
        ((), "unknown"),
        (("exhaust = []\n",), "not applicable"),
        ((device(),), "unknown"),
        ((device(more="ducted_outdoors = false"),), "not applicable"),
    ],
)
def test_fans_never_pass_by_a_table(parts, verdict):
    # 9.3.1.5: only the draft test can show it
    assert checks(*parts)[FANS].verdict == verdict


HOUSE = '[house]\nstate = "{state}"\nfloor_area_ft2 = {area}\nfoundation = "{foundation}"\n'
KNOWN = "supply = []\nother_appliance = []\n"
ALONE = "[vent]\nshared = false\n"


def house(area: float = 2000, foundation: str = "slab", state: str = "MN") -> str:
    return HOUSE.format(area=area, foundation=foundation, state=state)


def test_the_state_rule_holds_in_its_state_only():
    hood = device(more="rated_cfm = 350")
    assert CLASS in checks(house(), hood, KNOWN)
    assert STATE not in checks(house(), hood, KNOWN)  # the trigger leads to the method, it is no fault by itself
    assert checks(house(), device(more="rated_cfm = 300"), KNOWN)[STATE].verdict == "pass"
    for elsewhere in (house(state="WI"), ""):
        assert not {STATE, CLASS} & set(checks(elsewhere, hood, KNOWN))


@pytest.mark.parametrize(
    ("parts", "verdict", "owed"),
    [
        # mn-rules-1346: column C 0.06 x 2000 = 120 cfm allowed; 0.8 x 350 = 280 counted: 160 owed
        ((house(), KNOWN, ALONE), "fail", "160 cfm"),
        # with a dryer 135 more
        ((house(), KNOWN, ALONE, device("dryer")), "fail", "295 cfm"),
        # 0.06 x 5000 = 300 allowed: nothing owed
        ((house(5000), KNOWN, ALONE), "pass", "0 cfm"),
        ((house(5000), "supply = []\n", ALONE), "unknown", None),  # another burner would allow half
        ((house(5000), KNOWN, ALONE, device("bath fan")), "unknown", None),
        ((house(foundation="unconditioned basement"), KNOWN, ALONE), "unknown", None),
        ((house(), "other_appliance = []\n", ALONE, supply(160)), "pass", "160 cfm"),
        ((house(), "other_appliance = []\n", ALONE, supply(159)), "fail", "160 cfm"),
        ((house(), "other_appliance = []\n", ALONE), "unknown", None),
    ],
)
def test_the_factor_method_above_the_trigger(parts, verdict, owed):
    check = checks(*parts, device(more="rated_cfm = 350"))[CLASS]
    assert check.verdict == verdict, check
    if owed is not None:
        assert said(check.required) == owed


def opening(more: str) -> str:
    return f"[[opening]]\n{more}\n"


@pytest.mark.parametrize(
    ("parts", "verdict"),
    [
        # 9.3.2.3 and 9.3.3: no side below 3 in; a circle of 3 in has 7.07 in2
        ((opening("diameter_in = 3"),), "pass"),
        ((opening("diameter_in = 2.9"),), "fail"),
        ((opening("area_in2 = 7"),), "fail"),
        ((opening("area_in2 = 100"),), "unknown"),  # 100 x 1 or 10 x 10
        ((opening("diameter_in = 8"), opening("area_in2 = 100")), "unknown"),
        ((opening("diameter_in = 2"), opening("area_in2 = 100")), "fail"),
        ((opening('kind = "direct"'),), "unknown"),
    ],
)
def test_the_shortest_side_of_an_opening(parts, verdict):
    assert checks(*parts)["least_dimension_of_the_opening"].verdict == verdict


def test_without_openings_there_is_no_side():
    for parts in ((), ("opening = []\n",)):
        assert "least_dimension_of_the_opening" not in checks(*parts)
