"""Make-up air as each option leaves the house, and what of it is priced (makeup-article, mn-rules-1346).

By hand: a hood above 400 cfm beside a natural-draft burner owes make-up air. In the one state, exhaust = dryer 135 + 80 % of
the largest + 80 % of the next largest (not in column A), less factor x floor: A 0.15, B 0.09, C 0.06, D 0.03 cfm per ft2.
"""

from __future__ import annotations

import pytest
from conftest import said

from advisor.case.model import Case
from advisor.case.read import parse_case
from advisor.codes.check import Check
from advisor.ensemble.draw import draw
from advisor.facts import makeup
from advisor.findings import Quantity
from advisor.ranking.worked import MAKEUP_NOTE, bundled, with_code
from advisor.remedies import all_remedies
from advisor.remedies.base import Job, Remedy, Sized
from advisor.review.exhaust import heater_after, option_makeup_checks

HOOD, CLASS = "added_exhaust_beside_a_natural_draft_appliance", "make_up_air_by_appliance_class"
REMEDIES = {remedy.id: remedy for remedy in all_remedies()}


def device(kind: str, cfm: float | None, more: str = "") -> str:
    flow = "" if cfm is None else f"rated_cfm = {cfm}\n"
    return f'[[exhaust]]\nname = "{kind}"\nkind = "{kind}"\n{flow}{more}\n'


def house(
    *devices: str, lists: str = "supply = []\nother_appliance = []\n", more: str = "", zone: str = "utility room"
) -> Case:
    return parse_case(
        f'{lists}{more}[zone]\nkind = "{zone}"\nvolume_ft3 = 2500\ndoor = "solid"\ngrille_free_area_in2 = 0\n'
        f'[heater]\ninput_btu_h = 40000\n[vent]\nshared = false\n[[run]]\nseen = "unclear"\n{"".join(devices)}'
    )


def remedy(name: str) -> Remedy:
    parts = tuple(REMEDIES[one] for one in name.split("+"))
    return parts[0] if len(parts) == 1 else bundled(parts)


def after(case: Case, name: str, rule: str = HOOD) -> Check:
    return next(check for check in option_makeup_checks(Job(case), remedy(name)) if check.rule == rule)


def worked(case: Case, name: str) -> Sized:
    job, what = Job(case), remedy(name)
    return with_code(job, what, what.size(job))


def lines(case: Case, name: str) -> list[str]:
    return [line.measure_id for line in worked(case, name).lines if line.measure_id.startswith("MUA")]


BIG = device("large hood", 600)


@pytest.mark.parametrize(
    ("name", "verdict", "priced"),
    [
        ("leave_as_found", "fail", []),
        ("like_for_like", "fail", ["MUA_FAN"]),
        ("two_outdoor_openings", "fail", ["MUA_FAN"]),
        # a smaller hood, none to outdoors, or air that starts with it
        ("smaller_hood", "pass", []),
        ("recirculating_hood", "pass", []),
        ("powered_makeup_air", "pass", ["MUA_FAN"]),
        # 12 in at 3 Pa brings in some 200 cfm of the 600: what is enough was not read
        ("passive_makeup_air", "unknown", ["MUA_PASSIVE"]),
        ("two_outdoor_openings+powered_makeup_air", "pass", ["MUA_FAN"]),
        ("smaller_hood+two_outdoor_openings", "pass", []),
        # sealed or electric: nothing left that draws on the house
        ("power_direct_vent", "not applicable", []),
        ("condensing_tankless", "not applicable", []),
        ("heat_pump_240v", "not applicable", []),
        ("electric_resistance", "not applicable", []),
        # mechanical draft is no natural draft; a fan-assisted burner on a natural vent was not read about
        ("power_vent", "not applicable", []),
        ("fan_assisted", "unknown", []),
        # a sealed room with air from outdoors: not read
        ("isolate_zone", "unknown", []),
    ],
)
def test_each_option_beside_a_large_hood(name: str, verdict: str, priced: list[str]) -> None:
    case = house(BIG)
    assert after(case, name).verdict == verdict
    assert lines(case, name) == priced
    said_so = MAKEUP_NOTE in worked(case, name).notes
    assert said_so is (bool(priced) and "makeup" not in name)


@pytest.mark.parametrize(("cfm", "verdict"), [(399, "pass"), (400, "pass"), (401, "fail")])
def test_the_edge_of_the_trigger(cfm: float, verdict: str) -> None:
    case = house(device("range hood", cfm))
    assert after(case, "two_outdoor_openings").verdict == verdict
    assert lines(case, "two_outdoor_openings") == (["MUA_FAN"] if verdict == "fail" else [])


def test_a_flow_nobody_gave_passes_nothing_and_is_not_priced() -> None:
    case = house(device("range hood", None))
    assert after(case, "two_outdoor_openings").missing == ("exhaust_flow",)
    assert after(case, "heat_pump_240v").verdict == "unknown"
    assert lines(case, "two_outdoor_openings") == []


def test_a_fan_that_must_be_switched_on_is_told_and_no_second_one_priced() -> None:
    fan = '[[supply]]\nname = "s"\nkind = "make-up air fan"\nsupply_cfm = 600\ninterlocked = {}\n'
    case = house(BIG, fan.format("false"), lists="other_appliance = []\n")
    check = after(case, "two_outdoor_openings")
    assert (check.verdict, check.status) == ("fail", "memory")
    assert lines(case, "two_outdoor_openings") == []
    assert after(house(BIG, fan.format("true"), lists=""), "two_outdoor_openings").verdict == "pass"


def test_make_up_air_nobody_asked_about_is_priced_as_assumed() -> None:
    case = house(BIG, lists="other_appliance = []\n")
    assert after(case, "two_outdoor_openings").missing == ("supply",)
    line = next(line for line in worked(case, "two_outdoor_openings").lines if line.measure_id == "MUA_FAN")
    assert line.assumed


OTHER = '[[other_appliance]]\nkind = "{}"\ndraft = "{}"\n'


@pytest.mark.parametrize(
    ("other", "name", "verdict"),
    [
        # the heater leaves, a natural-draft furnace stays: the hood still owes its air
        (OTHER.format("furnace", "natural"), "heat_pump_240v", "fail"),
        (OTHER.format("furnace", "natural"), "power_direct_vent", "fail"),
        (OTHER.format("furnace", "fan-assisted"), "heat_pump_240v", "unknown"),
        (OTHER.format("furnace", "sealed"), "heat_pump_240v", "not applicable"),
        (OTHER.format("fireplace", "natural"), "heat_pump_240v", "fail"),
        # how it vents was not written down: the usual draft shows nothing, but it is what it is priced by
        ('[[other_appliance]]\nkind = "furnace"\n', "two_outdoor_openings", "fail"),
        # nobody said what else burns
        ("", "heat_pump_240v", "unknown"),
    ],
)
def test_what_burns_beside_the_heater(other: str, name: str, verdict: str) -> None:
    check = after(house(BIG, other, lists="supply = []\n"), name)
    assert check.verdict == verdict
    assert ("burners" in check.missing) is (other == "")


def test_a_wood_fireplace_in_the_list_of_fans_counts_as_a_burner() -> None:
    fire = device("fireplace", None)
    assert after(house(BIG, fire), "heat_pump_240v").verdict == "fail"
    assert makeup.burning(house(fire)).column == "D"
    assert makeup.burning(house(fire, OTHER.format("fireplace", "natural"), lists="")).column == "D"
    assert makeup.burning(house(fire), "none").column == "C"


def test_a_burner_in_the_garage_is_not_in_the_house() -> None:
    assert after(house(BIG, zone="garage"), "two_outdoor_openings").verdict == "unknown"
    assert after(house(BIG, device("fireplace", None), zone="garage"), "two_outdoor_openings").verdict == "fail"


def test_without_a_hood_or_fan_nothing_is_said_of_an_option() -> None:
    for case in (house(lists="supply = []\nexhaust = []\n"), house(), house(device("dryer", 150))):
        assert option_makeup_checks(Job(case), remedy("two_outdoor_openings")) == ()


STATE = '[house]\nstate = "MN"\nfloor_area_ft2 = {}\nfoundation = "slab"\n'
STATE_HOOD = device("range hood", 350) + device("bath fan", 100) + device("dryer", None)


@pytest.mark.parametrize(
    ("name", "floor", "owed"),
    [
        # C: 135 + 0.8 x 350 + 0.8 x 100 = 495 less 0.06 x 2000 = 120
        ("two_outdoor_openings", 2000, 375),
        # B: less 0.09 x 2000 = 180
        ("fan_assisted", 2000, 315),
        # A: the next largest does not count: 415 less 0.15 x 2000 = 300
        ("heat_pump_240v", 2000, 115),
        ("power_direct_vent", 2800, 0),
        # without the dryer 135 less
        ("ventless_dryer", 2000, 240),
        # without the bath fan 80 less
        ("balanced_ventilation", 2000, 295),
    ],
)
def test_the_state_rule_by_the_class_that_an_option_leaves(name: str, floor: float, owed: float) -> None:
    check = after(house(STATE_HOOD, more=STATE.format(floor)), name, CLASS)
    assert isinstance(check.required, Quantity)
    assert check.required.value == pytest.approx(owed)
    assert check.verdict == ("pass" if owed == 0 else "fail")


def test_column_d_and_what_is_priced_for_the_state_rule() -> None:
    furnace = OTHER.format("furnace", "natural")
    # D: 495 less 0.03 x 2000 = 60: 435, more than the largest fan: that is what powered air is made for
    case = house(STATE_HOOD, furnace, lists="supply = []\n", more=STATE.format(2000))
    assert makeup.needed_cfm(case) == pytest.approx(435)
    assert after(case, "powered_makeup_air", CLASS).verdict == "pass"
    assert lines(case, "two_outdoor_openings") == ["MUA_FAN"]
    # C in 5500 ft2: 495 less 330 = 165, which a 12 in damper brings in
    case = house(STATE_HOOD, more=STATE.format(5500))
    assert makeup.owed_cfm(case) == pytest.approx(165)
    assert lines(case, "two_outdoor_openings") == ["MUA_PASSIVE"]
    # the state's sizes of passive openings were not read
    assert after(case, "passive_makeup_air", CLASS).verdict == "unknown"
    assert said(after(case, "passive_makeup_air", CLASS).required) == "165 cfm"


DAMPER = "[house]\nmakeup_damper_in = {}\n"


@pytest.mark.parametrize(
    ("damper", "verdict", "missing", "priced"),
    [
        ("", "fail", (), ["MUA_FAN"]),
        (DAMPER.format(0), "fail", (), ["MUA_FAN"]),
        # it opens by itself: how large it has to be was not read
        (DAMPER.format(12) + "makeup_damper_interlocked = true\n", "unknown", (), []),
        (DAMPER.format(30) + "makeup_damper_interlocked = true\n", "unknown", (), []),
        # nobody looked whether it opens
        (DAMPER.format(12), "unknown", ("interlock",), ["MUA_FAN"]),
        (DAMPER.format(12) + "makeup_damper_interlocked = false\n", "fail", (), ["MUA_FAN"]),
    ],
)
def test_a_passive_damper_that_is_there(damper: str, verdict: str, missing: tuple[str, ...], priced: list[str]) -> None:
    case = house(BIG, more=damper)
    check = after(case, "two_outdoor_openings")
    assert (check.verdict, check.missing) == (verdict, missing)
    assert lines(case, "two_outdoor_openings") == priced


def test_a_damper_that_is_there_lets_air_in_as_the_one_of_the_remedy_does() -> None:
    # 12 in behind three velocity heads: 113.1 in2 / (0.61 x sqrt 3); the tool's sizing takes 3 Pa for some 200 cfm
    assert makeup.passive_flow_cfm(12) == pytest.approx(200, abs=1)
    found = draw(house(BIG, more=DAMPER.format(12) + "makeup_damper_interlocked = true\n"), 64, 1)
    none = draw(house(BIG, more=DAMPER.format(12)), 64, 1)
    discharge = found.zone.discharge
    assert found.house.relief_m2 * discharge == pytest.approx(113.1 * 0.0254**2 / 3**0.5, rel=1e-3)
    assert not none.house.relief_m2.any()


def test_every_replacement_says_how_it_depends_on_the_house() -> None:
    assert heater_after(("like_for_like",)) == heater_after(("smaller_hood",)) == "natural"
    assert heater_after(("fan_assisted",)) == "fan-assisted"
    for row in ("power_vent", "gravity_direct_vent", "condensing_storage", "heat_pump_120v"):
        assert heater_after((row,)) == "none"


APPLIANCE = '[[appliance]]\nkind = "{}"\nvent = "own"\ndraft = "{}"\nplace = "{}"\n'


@pytest.mark.parametrize(
    ("kind", "draft", "place", "verdict"),
    [
        # all burners of the house count, wherever they stand in it
        ("furnace", "natural", "elsewhere indoors", "fail"),
        ("stove", "natural", "elsewhere indoors", "fail"),
        ("furnace", "natural", "garage", "unknown"),
        ("furnace", "natural", "outdoors", "not applicable"),
        ("furnace", "power-vented", "elsewhere indoors", "not applicable"),
        ("range", "natural", "elsewhere indoors", "not applicable"),
    ],
)
def test_burners_elsewhere_once_the_heater_is_electric(kind: str, draft: str, place: str, verdict: str) -> None:
    case = house(BIG, APPLIANCE.format(kind, draft, place), lists="supply = []\n")
    assert after(case, "heat_pump_240v").verdict == verdict
