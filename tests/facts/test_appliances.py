"""The record of every other appliance: judged by the same lines; a vent on which one spilled failed for all on it.

Firing order and both starts are those of a merged field procedure (source ids in ``catalog/codes/test_conditions.csv``):
smallest first and alone on its cold vent, then together, every hood looked at.
"""

from __future__ import annotations

import subprocess
from pathlib import Path
from typing import Any

import pytest
from conftest import ROOT, said
from shared_vents import AFTER, ALONE, FURNACE, ITS_OWN, RUN, SOUND, SPILLS, TOGETHER, apart, house, written

from advisor import catalog
from advisor.case.model import Case
from advisor.case.read import read_case
from advisor.case_check import check_case
from advisor.facts.audit import audits
from advisor.facts.beside import beside_options, test_order
from advisor.facts.carbon_monoxide import flue_level
from advisor.facts.judged import of_heater
from advisor.facts.now import now_list
from advisor.facts.record import Verdict, judge_run, verdict_of
from advisor.facts.run_conditions import held_against
from advisor.review.runs import pressure_limits_of, record_checks

test_order.__test__ = False  # type: ignore[attr-defined]  # a fact of the house, no test of the suite


def ids(case: Case, verdict: Verdict | None = None) -> list[str]:
    return [one.id for one in now_list(case, verdict or verdict_of(case))]


def condition(case: Case, index: int, name: str) -> str:
    return next(h.state for h in held_against(case, case.run[index]) if h.id == name)


# --- one vent, two appliances -----------------------------------------------------------------------------------------


def test_both_pass_where_each_was_tried_alone_and_together() -> None:
    case = house(ALONE, TOGETHER, ITS_OWN)
    verdict = verdict_of(case)
    assert verdict.states == ("passed",)
    assert verdict.house_clear
    assert verdict.stop == ()
    assert [(o.name, o.state, o.spilled) for o in verdict.others] == [("furnace", "passed", False)]
    assert ids(case) == ["now.fine"]


@pytest.mark.parametrize("left_out", [TOGETHER, ALONE], ids=lambda run: str(run["label"]))
def test_a_pass_on_a_shared_vent_needs_the_start_alone_and_the_one_together(left_out: dict[str, Any]) -> None:
    case = house(*(run for run in (ALONE, TOGETHER, ITS_OWN) if run is not left_out))
    assert verdict_of(case).leads == "unproven"
    lacks = "together" if left_out is TOGETHER else "shared_off"
    assert lacks in [h.id for h in judge_run(case, 0).spoiling]


def test_a_start_together_that_was_no_worst_case_proves_no_pass() -> None:
    sloppy = TOGETHER | {"devices_on": ["dryer"]}
    case = house(ALONE, sloppy)
    assert condition(case, 0, "together") == "not written down"
    assert verdict_of(case).leads == "unproven"
    assert condition(house(ALONE, TOGETHER), 0, "together") == "met"
    # the room's door tried in one position only, where there is a door: not a worst case either
    door = SOUND["zone"] | {"door": "weatherstripped"}
    both = {"zone_door": "worst position"}
    assert verdict_of(house(ALONE | both, TOGETHER | both, zone=door)).leads == "passed"
    assert verdict_of(house(ALONE | both, TOGETHER | {"zone_door": "open"}, zone=door)).leads == "unproven"
    each = (ALONE | both, TOGETHER | {"zone_door": "open"}, TOGETHER | {"zone_door": "closed"})
    assert verdict_of(house(*each, zone=door)).leads == "passed"  # both positions, everything firing in both


def test_together_is_asked_of_nobody_who_is_alone_and_unknown_where_nobody_looked() -> None:
    assert condition(house(ALONE, appliances=[]), 0, "together") == "does not apply"
    unknown = house(ALONE, appliances=[], vent={k: v for k, v in SOUND["vent"].items() if k != "shared"})
    assert condition(unknown, 0, "together") == "not written down"
    assert verdict_of(unknown).leads == "unproven"


def test_what_spills_together_fails_the_heater() -> None:
    case = house(ALONE, TOGETHER | SPILLS)
    verdict = verdict_of(case)
    assert verdict.leads == "failed"
    assert condition(case, 0, "together") == "not met"
    assert verdict.stop == ("heater", "furnace")


def test_a_furnace_that_spills_stops_the_heater_on_its_vent() -> None:
    case = house(ALONE, TOGETHER, ITS_OWN | SPILLS)
    verdict = verdict_of(case)
    assert verdict.states == ("vent failed",)
    assert (verdict.may_leave, verdict.all_clear, verdict.house_clear) == (False, False, False)
    assert (verdict.failed, verdict.seen_to_spill) == (False, True)
    assert verdict.vent_failed_by == ("furnace",)
    assert verdict.stop == ("heater", "furnace")
    assert verdict.holds_f is None
    first = now_list(case, verdict)[0]
    assert first.id == "now.vent_failed"
    assert said(first).startswith("Gas of 'furnace' was seen to spill on the vent that the heater uses too")
    assert "do not use the heater and 'furnace' until" in said(first)


def test_a_heater_that_spills_stops_the_furnace_that_passed() -> None:
    case = house(ALONE | SPILLS, ITS_OWN)
    verdict = verdict_of(case)
    assert verdict.states == ("failed",)
    assert verdict.others[0].state == "passed"
    assert verdict.stop == ("heater", "furnace")
    assert ids(case)[0] == "now.spills_shared"
    assert "nor 'furnace' on the same vent" in said(now_list(case, verdict)[0])


def test_both_spill() -> None:
    verdict = verdict_of(house(ALONE | SPILLS, ITS_OWN | SPILLS))
    assert verdict.states == ("failed",)
    assert verdict.vent_failed_by == ("furnace",)
    assert verdict.stop == ("heater", "furnace")


def test_a_missing_test_of_the_heater_stays_missing_on_a_failed_vent() -> None:
    verdict = verdict_of(house(ALONE, ITS_OWN | SPILLS))
    assert verdict.states == ("vent failed", "unproven")


def test_every_other_appliance_on_the_vent_is_named() -> None:
    boiler = FURNACE | {"name": "boiler", "kind": "boiler", "input_btu_h": 60000}
    case = house(ALONE, ITS_OWN | SPILLS, appliances=[FURNACE, boiler, apart(name="garage heater", kind="room heater")])
    verdict = verdict_of(case)
    assert verdict.stop == ("heater", "furnace", "boiler")
    assert "the heater, 'furnace' and 'boiler'" in said(now_list(case, verdict)[0])


def test_a_furnace_nobody_judged_is_asked_for_and_passes_nothing() -> None:
    case = house(ALONE, TOGETHER)
    verdict = verdict_of(case)
    assert verdict.others[0].state == "not tested"
    assert verdict.leads == "passed"  # the heater's own draft was judged alone and together
    assert ids(case) == ["now.fine", "now.others_untested"]


def test_a_furnace_only_tried_carelessly_is_unproven() -> None:
    careless = ITS_OWN | {"devices_on": None, "interior_doors": None, "method": "hand"}
    verdict = verdict_of(house(ALONE, TOGETHER, careless))
    (furnace,) = verdict.others
    assert (furnace.state, furnace.asked_for) == ("unproven", True)
    assert {h.id for h in furnace.runs[0].spoiling} == {"all_exhaust", "interior_doors", "method"}
    assert "judge with smoke" in " ".join(said(furnace.audits[0].redo))
    assert "now.others_untested" in ids(house(ALONE, TOGETHER, careless))


@pytest.mark.parametrize("key", ["devices_on", "interior_doors", "window_open_ft2", "method", "wind_mph", "firing"])
def test_what_nobody_wrote_down_of_the_furnace_proves_no_pass(key: str) -> None:
    assert verdict_of(house(ALONE, TOGETHER, ITS_OWN | {key: None})).others[0].state == "unproven"


# --- order ------------------------------------------------------------------------------------------------------------


def test_the_order_is_smallest_first_then_together() -> None:
    boiler = FURNACE | {"name": "boiler", "kind": "boiler", "input_btu_h": 30000}
    case = house(ALONE, appliances=[FURNACE, boiler])
    assert [one.id for one in test_order(case)] == [  # type: ignore[union-attr]
        "appliances.order.first",
        "appliances.order.then",
        "appliances.order.then",
        "appliances.order.every_hood",
    ]
    words = said(test_order(case))
    assert words[0] == "first 'boiler' (30,000 Btu/h), alone, on a cold vent"
    assert "the heater (40,000 Btu/h)" in words[1]
    assert "'furnace' (80,000 Btu/h)" in words[2]
    assert test_order(house(ALONE, appliances=[apart()])) == ()


def test_a_furnace_judged_first_is_told_the_order() -> None:
    wrong, right = house(ITS_OWN, ALONE, TOGETHER), house(ALONE, TOGETHER, ITS_OWN)
    assert condition(wrong, 0, "smallest_first") == "not met"
    assert condition(right, 2, "smallest_first") == "met"
    assert condition(right, 0, "smallest_first") == "does not apply"  # the heater is the smallest
    told = said(verdict_of(wrong).others[0].audits[0].shortfalls)
    assert told == ["judged before the smaller 'heater': the order is the smallest first and alone, then all together"]
    # the vent that the furnace warmed is what spoils the heater's start
    warm = house(ITS_OWN, ALONE | {"vent_cold_at_start": False}, TOGETHER)
    assert verdict_of(warm).leads == "unproven"
    assert verdict_of(right).leads == "passed"


def test_only_a_smaller_one_may_fire_at_a_start_alone() -> None:
    small = FURNACE | {"name": "room heater", "kind": "room heater", "input_btu_h": 20000}
    firing = ALONE | {"firing": ["room heater"], "vent_cold_at_start": None}
    assert condition(house(firing, appliances=[small]), 0, "shared_off") == "met"
    assert condition(house(firing, appliances=[small]), 0, "vent_cold") == "does not apply"
    for size in (40000, 60000, None):  # as large, larger, and one whose plate nobody read
        case = house(firing, appliances=[{k: v for k, v in (small | {"input_btu_h": size}).items() if v is not None}])
        assert condition(case, 0, "shared_off") == "not met"
        assert condition(case, 0, "vent_cold") == "not written down"


# --- lines ------------------------------------------------------------------------------------------------------------


def test_the_furnace_is_held_to_its_own_limits() -> None:
    """spillage_time.csv: 120 s warm, 300 s cold (ANSI/BPI-1200), 60 s older BPI; flue CO 400 ppm air-free for a furnace."""
    judged = judge_run(house(ALONE, ITS_OWN), 0, "furnace")
    assert judged.limit.limit_s == 120.0
    assert judge_run(house(ALONE, ITS_OWN | {"vent_cold_at_start": True}), 0, "furnace").limit.limit_s == 300.0
    older = house(ALONE, ITS_OWN, settings={"spillage_scheme": "bpi_older_any"})
    assert judge_run(older, 0, "furnace").limit.limit_s == 60.0
    late = ITS_OWN | {"seconds_to_draft": 130}
    assert verdict_of(house(ALONE, late)).others[0].state == "failed"
    # 190 ppm at 8 % O2 are 190 x 20.9 / 12.9 = 308 ppm air-free: over a water heater's 200, under a furnace's 400
    assert verdict_of(house(ALONE | {"flue_co_ppm": 190}, ITS_OWN)).flue_co_over
    burns = verdict_of(house(ALONE, ITS_OWN | {"flue_co_ppm": 190}))
    assert not burns.others[0].flue_co_over
    dirty = house(ALONE, TOGETHER, ITS_OWN | {"flue_co_ppm": 260})  # 421 ppm
    assert verdict_of(dirty).others[0].flue_co_over
    assert "now.other_flue_co" in ids(dirty)
    assert "now.flue_co" not in ids(dirty)


def test_limits_of_flue_co_by_kind_are_those_of_the_tables() -> None:
    expected = {"water heater": 200, "room heater": 200, "furnace": 400, "boiler": 400, "dryer": 400, "range": 225}
    found = {kind: level.to_ppm for kind in expected if (level := flue_level(kind)) is not None}
    assert found == expected
    fireplace = flue_level("fireplace")
    assert fireplace is not None
    assert (fireplace.to_ppm, fireplace.basis) == (25, "as measured")
    assert flue_level("stove") is None
    assert {row["key"] for row in catalog.table("flue_co_kinds")} <= {row["key"] for row in catalog.table("co_limits")}


@pytest.mark.parametrize(
    ("appliance", "limits"),
    [
        (FURNACE, {3.0}),  # natural-draft furnace commonly vented with a water heater
        (FURNACE | {"draft": "fan-assisted"}, {5.0}),  # induced draft, commonly vented
        ({k: v for k, v in FURNACE.items() if k != "draft"}, {3.0, 5.0}),
        (apart(), {5.0}),  # individual natural-draft furnace
        (apart(draft="fan-assisted"), {15.0}),
        (apart(draft="sealed"), {50.0}),
        ({k: v for k, v in FURNACE.items() if k != "vent"}, {3.0, 5.0}),
        (apart(kind="stove"), set()),  # no line is printed for it
    ],
)
def test_pressure_limits_of_the_other_appliance(appliance: dict[str, Any], limits: set[float]) -> None:
    """depressurization_limits.csv, older BPI, read row by row."""
    case = house(ALONE, appliances=[appliance])
    assert {one.limit_pa for one in pressure_limits_of(case, "furnace")[0]} == limits


def test_the_review_holds_every_run_against_its_own_lines() -> None:
    checks = record_checks(house(ALONE, ITS_OWN | {"zone_depressurization_pa": 5.3, "flue_co_ppm": 190}))
    furnace = {c.rule: c.verdict for c in checks if c.run == "furnace: furnace, all firing"}
    assert furnace["zone_depressurization"] == "fail"  # 4.4 Pa net against 3
    assert furnace["carbon_monoxide_in_the_flue_gas"] == "pass"
    heater = {c.rule: c.verdict for c in checks if c.run == "heater alone"}
    assert heater["zone_depressurization"] == "pass"


# --- other vents ------------------------------------------------------------------------------------------------------


def test_a_furnace_with_its_own_vent_stops_itself_alone() -> None:
    own = ITS_OWN | SPILLS | {"firing": []}
    case = house(ALONE, own, appliances=[apart()])
    verdict = verdict_of(case)
    assert verdict.leads == "passed"
    assert verdict.stop == ("furnace",)
    assert verdict.all_clear
    assert not verdict.house_clear
    assert ids(case) == ["now.heater_apart", "now.other_failed"]  # nothing that sounds like an all-clear
    assert [one.id for one in beside_options(case, verdict)] == ["appliances.own_vent_not_covered"]  # type: ignore[union-attr]


def test_a_vent_that_nobody_wrote_down_may_be_the_heaters() -> None:
    unknown = {k: v for k, v in FURNACE.items() if k != "vent"}
    vent = {k: v for k, v in SOUND["vent"].items() if k != "shared"}
    spills = ITS_OWN | SPILLS | {"firing": []}
    verdict = verdict_of(house(ALONE, spills, appliances=[unknown], vent=vent))
    assert verdict.stop == ("heater", "furnace")
    assert not verdict.all_clear
    alone = house(ALONE, spills, appliances=[unknown], vent=vent | {"shared": False})
    assert verdict_of(alone).stop == ("furnace",)
    assert verdict_of(alone).leads == "passed"


@pytest.mark.parametrize(
    ("more", "state"),
    [
        ({}, "not tested"),
        ({"draft": "sealed"}, "no draft to judge"),
        ({"draft": "power-vented"}, "no draft to judge"),
        ({"draft": "fan-assisted"}, "not tested"),
        ({"kind": "range", "vent": "none"}, "no draft to judge"),
        ({"kind": "dryer"}, "no draft to judge"),
        ({"place": "outdoors"}, "no draft to judge"),
        ({"kind": "stove"}, "not tested"),
    ],
)
def test_what_has_a_draft_is_to_be_tested(more: dict[str, Any], state: str) -> None:
    assert verdict_of(house(ALONE, appliances=[apart(**more)])).others[0].state == state


def test_what_is_known_of_the_heaters_space_is_not_known_of_another() -> None:
    elsewhere = house(ALONE, ITS_OWN | {"firing": []}, appliances=[apart(place="garage")])
    assert condition(elsewhere, 1, "zone_door") == "not written down"
    assert verdict_of(elsewhere).others[0].state == "unproven"
    here = house(ALONE, ITS_OWN | {"firing": [], "vent_cold_at_start": True}, appliances=[apart()])
    assert condition(here, 1, "zone_door") == "does not apply"
    assert verdict_of(here).others[0].state == "passed"


# --- danger and work --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("ppm", "danger"), [(70, "co_evacuate"), (40, "co_act")])
def test_danger_read_while_the_furnace_burned_is_danger_for_the_house(ppm: float, danger: str) -> None:
    case = house(ALONE, TOGETHER, ITS_OWN | {"ambient_co_ppm": ppm, "firing": []}, appliances=[apart()])
    verdict = verdict_of(case)
    assert verdict.leads == "danger now"
    assert verdict.dangers == (danger,)
    assert ids(case)[0] == f"now.{danger}"
    assert not {"now.fine", "now.heater_apart"} & set(ids(case))


def test_co_read_with_the_furnace_stands_until_it_burns_again() -> None:
    hot = ITS_OWN | {"ambient_co_ppm": 80}
    retest = ALONE | AFTER
    assert verdict_of(house(ALONE, hot, retest)).dangers == ("co_evacuate",)
    # read again while the furnace fires: that is what is known of it now
    assert verdict_of(house(ALONE, hot, retest, TOGETHER | AFTER)).dangers == ()


def test_a_failed_vent_is_lifted_by_retests_of_each() -> None:
    before = (ALONE | SPILLS, ITS_OWN | SPILLS)
    heater = (ALONE | AFTER, TOGETHER | AFTER)
    only_heater = verdict_of(house(*before, *heater))
    assert only_heater.states == ("not confirmed",)
    assert only_heater.vent_failed_by == ("furnace",)
    assert ids(house(*before, *heater))[0] == "now.not_confirmed_vent"
    both = verdict_of(house(*before, *heater, ITS_OWN | AFTER))
    assert both.states == ("confirmed",)
    assert both.others[0].state == "confirmed"
    assert both.stop == ()
    again = verdict_of(house(*before, *heater, ITS_OWN | AFTER | SPILLS))
    assert again.states == ("not confirmed",)
    assert again.stop == ("heater", "furnace")


def test_a_pass_from_before_the_work_says_nothing_after_it() -> None:
    worked = house(ALONE | SPILLS, ITS_OWN, ALONE | AFTER, TOGETHER | AFTER)
    (furnace,) = verdict_of(worked).others
    assert (furnace.state, furnace.stale, furnace.asked_for) == ("unproven", True, True)
    # and the other way round: work that only the furnace was tested after
    other = verdict_of(house(ALONE, TOGETHER, ITS_OWN | SPILLS, ITS_OWN | AFTER))
    assert other.others[0].state == "confirmed"
    assert other.leads == "unproven"


# --- what stands beside -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("soon", "told"),
    [(True, ["appliances.replaced_soon"]), (None, ["appliances.replaced_soon_unknown"]), (False, [])],
)
def test_a_furnace_that_is_replaced_soon_orphans_the_heater(soon: bool | None, told: list[str]) -> None:
    furnace = {k: v for k, v in (FURNACE | {"replaced_soon": soon}).items() if v is not None}
    case = house(ALONE, appliances=[furnace])
    assert [one.id for one in beside_options(case, verdict_of(case))] == told  # type: ignore[union-attr]
    off = house(ALONE, appliances=[furnace | {"vent": "own"}])
    assert beside_options(off, verdict_of(off)) == ()


def test_the_heaters_own_record_is_what_the_model_sees() -> None:
    case = house(ITS_OWN | SPILLS, ALONE, TOGETHER)
    own = of_heater(case)
    assert [run.label for run in own.run] == ["heater alone", "heater, all firing"]
    verdict = verdict_of(case)
    assert [own.run[r.index].label for r in verdict.runs] == ["heater alone", "heater, all firing"]
    assert [one.label for one in audits(case, verdict)] == ["heater alone", "heater, all firing"]


def test_a_lone_heater_says_what_it_said() -> None:
    for path in sorted((ROOT / "demo").glob("*.toml")):
        case = read_case(path)
        if case.appliance:
            continue
        verdict = verdict_of(case)
        assert verdict.others == ()
        assert verdict.house_clear == verdict.all_clear
        assert beside_options(case, verdict) == ()
        assert verdict.stop in ((), ("heater",))


# --- through the commands ---------------------------------------------------------------------------------------------


def test_check_prints_the_appliances_their_order_and_what_each_run_shows(command: str, tmp_path: Path) -> None:
    path = written(house(ITS_OWN | SPILLS, ALONE, TOGETHER), tmp_path / "vent.toml")
    shown = subprocess.run(
        [command, "check", str(path), "--samples", "128"], capture_output=True, text=True, check=False
    ).stdout
    flat = " ".join(shown.split())
    assert "THE RECORD: FAILED: THE VENT SPILLED ANOTHER APPLIANCE'S GAS" in flat
    assert "Gas of 'furnace' was seen to spill" in flat
    assert "furnace furnace 80,000 Btu/h the heater's 1 run failed" in flat
    assert "first the heater (40,000 Btu/h), alone, on a cold vent" in flat
    assert "Run 'furnace: furnace, all firing': a failure: furnace spills" in flat
    assert "judged before the smaller 'heater'" in flat
    assert "PASSED" not in flat


def test_check_case_holds_it_all() -> None:
    checked = check_case(house(ALONE, TOGETHER, ITS_OWN | SPILLS), 128, 1)
    assert checked.verdict.leads == "vent failed"
    assert {c.run for c in checked.review if c.run} >= {"heater alone", "furnace: furnace, all firing"}
    assert len(checked.audits) == 2
    assert checked.order


def test_a_heater_that_left_the_vent_is_not_held_by_it() -> None:
    gone = {
        "after_work": "heat_pump_240v",
        "seen": "no hood",
        "seconds_to_draft": None,
        "draft_pa": None,
        "firing": None,
    }
    before = (ALONE | SPILLS, ITS_OWN | SPILLS)
    case = house(*before, RUN | gone)
    verdict = verdict_of(case)
    assert verdict.leads == "confirmed"
    assert verdict.stop == ("furnace",)
    assert ids(case) == ["now.heater_apart", "now.other_failed"]
    # a furnace that passed before is left on a vent made for two: it is judged again
    kept = house(ALONE | SPILLS, ITS_OWN, RUN | gone)
    assert verdict_of(kept).others[0].stale
    assert ids(kept) == ["now.no_hood", "now.others_untested"]
