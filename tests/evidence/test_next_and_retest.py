"""Which test comes next, when a record is enough, and what a retest shows: the record decides, the model stands beside it.

Procedure and levels: ``bpi-field-sheet`` and ``can-depress-test`` (set-up, damp the wind or take another day), ``bpi-older``
(stop testing above 35 ppm in the room), ``ansi-bpi-1200`` (5 min on a cold vent, room and flue CO).
"""

from __future__ import annotations

from typing import Any

import pytest
from conftest import ROOT

from advisor.advice import advise
from advisor.case.model import Case
from advisor.case.read import parse_case, read_case
from advisor.errors import InputError
from advisor.evidence.enough import enough_to_decide, lacks_worst_case, void_runs
from advisor.evidence.retest import pass_limits
from advisor.facts.record import verdict_of
from advisor.report.text.evidence import next_text
from advisor.report.text.matrix import as_text

FEW = 128


def demo(name: str) -> Case:
    return read_case(ROOT / "demo" / f"{name}.toml")


def changed(case: Case, **changes: Any) -> Case:
    return case.model_copy(update={"run": [case.run[0].model_copy(update=changes), *case.run[1:]]})


def unseen(case: Case) -> Case:
    """The same house, had nobody looked through its vent."""
    return case.model_copy(update={"vent": case.vent.model_copy(update={"inspected": False, "condition": "unknown"})})


SOUND = demo("sound_house")


def test_a_valid_pass_with_the_vent_looked_through_is_enough() -> None:
    assert enough_to_decide(SOUND, explained=True, tie=False).enough
    assert not lacks_worst_case(SOUND)


@pytest.mark.parametrize(
    ("case", "explained", "tie", "lack"),
    [
        (changed(SOUND, method="hand"), True, False, "unproven"),
        (changed(SOUND, interior_doors=None), True, False, "unproven"),
        (SOUND, False, False, "unexplained"),
        (SOUND, True, True, "tie"),
        (unseen(demo("nest_in_the_vent")), True, False, "vent_not_looked_through"),
        (changed(SOUND, ambient_co_ppm=80.0), True, False, "danger"),
        (changed(SOUND, wind_mph=25.0), True, False, "void_run"),
    ],
)
def test_what_is_not_enough(case: Case, explained: bool, tie: bool, lack: str) -> None:
    found = enough_to_decide(case, explained, tie)
    assert not found.enough
    assert lack in found.lacks


def test_a_run_in_the_wind_is_void_and_repeated_on_a_calm_day() -> None:
    windy = changed(SOUND, wind_mph=25.0)
    assert void_runs(windy) == (0,)
    advice = advise(windy, samples=FEW)
    calm = next(t for t in advice.next_tests if t.id == "calm_day")
    assert calm.required
    assert "void" in next_text(advice)
    assert "void" in as_text(advice)


@pytest.mark.parametrize("name", ["shared_furnace_firing", "nest_in_the_vent"])
def test_a_full_worst_case_is_a_candidate_where_none_is_on_record(name: str) -> None:
    case = demo(name)
    assert lacks_worst_case(case)
    advice = advise(case, samples=FEW)
    assert "worst_case" in [t.id for t in advice.next_tests]


@pytest.mark.parametrize(
    "case", [demo("shared_furnace_firing"), unseen(demo("nest_in_the_vent"))], ids=["unproven", "unseen"]
)
def test_nothing_is_enough_while_unproven_or_unseen(case: Case) -> None:
    assert "is enough to decide" not in next_text(advise(case, samples=FEW))


def test_an_unproven_record_asks_for_the_worst_case_first() -> None:
    advice = advise(demo("shared_furnace_firing"), samples=FEW)
    assert advice.next_tests[0].id == "worst_case"
    assert advice.next_tests[0].required


def test_every_test_that_fires_the_heater_has_its_stop_line() -> None:
    advice = advise(demo("stored_insulation"), samples=FEW)
    fired = [t for t in advice.next_tests if t.id not in ("mirror", "air_leakage", "zone_pressure")]
    assert fired
    for test in fired:
        assert test.stop_ppm == 35.0  # bpi-older: abort the test above 35 ppm
    assert "35 ppm" in next_text(advise(demo("shared_furnace_firing"), samples=FEW))


def test_nobody_tests_in_a_house_in_danger() -> None:
    advice = advise(changed(demo("stored_insulation"), ambient_co_ppm=80.0), samples=FEW)
    assert advice.next_tests == ()
    assert "No test is made in a house in danger" in next_text(advice)


# --- after the work ---------------------------------------------------------------------------------------------------


def repaired(**changes: Any) -> Case:
    """The closet with its duct cleared, and a retest with every condition written down."""
    case = demo("stored_insulation")
    handler = case.air_handler.model_copy(update={"present": False})
    retest = SOUND.run[0].model_copy(
        update={
            "label": "retest",
            "devices_on": ["all"],
            "zone_door": "worst position",
            "intake": "as found",
            "after_work": "clear_intake",
            "outdoor_temp_f": 45.0,
            "zone_depressurization_pa": 1.2,
            "baseline_depressurization_pa": 0.6,
            **changes,
        }
    )
    return case.model_copy(update={"air_handler": handler, "run": [*case.run, retest]})


def test_limits_of_a_retest_are_published_lines() -> None:
    limits = pass_limits(SOUND)
    assert (limits.seconds_s, limits.room_co_ppm, limits.flue_co_ppm) == (300.0, 9.0, 200.0)  # ansi-bpi-1200


def test_a_valid_retest_confirms_and_old_findings_are_history() -> None:
    case = repaired()
    assert verdict_of(case).leads == "confirmed"
    advice = advise(case, samples=FEW)
    retest = advice.retests[0]
    assert retest.verdict == "confirmed"
    pressure = next(r for r in retest.readings if r.key == "zone_depressurization_pa")
    assert (pressure.before, pressure.after) == (5.0, 1.2)
    text = as_text(advice)
    assert "Ranked first" not in text
    assert "IN SHORT" not in text
    assert "do not use" not in text
    assert "5 Pa before, 1.2 Pa after" in text


@pytest.mark.parametrize(
    "changes",
    [
        {"ambient_co_ppm": 12.0},
        {"ambient_co_ppm": None},
        {"flue_co_ppm": 300.0, "flue_o2_pct": 6.0},
        {"interior_doors": "open"},
        {"method": "hand"},
        {"seen": "spilling", "seconds_to_draft": None, "seconds_after_lit": 300.0},
    ],
    ids=lambda c: next(iter(c)),
)
def test_what_does_not_confirm(changes: dict[str, Any]) -> None:
    case = repaired(**changes)
    assert verdict_of(case).leads == "not confirmed"
    advice = advise(case, samples=FEW)
    assert advice.retests[0].verdict != "confirmed"
    text = as_text(advice)
    assert "NOT CONFIRMED" in text
    assert all(o.rank is None for o in advice.options if o.id in ("leave_as_found", "like_for_like"))


NO_HOOD = """
exhaust = []
[heater]
input_btu_h = 40000
[[run]]
seen = "spilling"
seconds_after_lit = 400
[[run]]
after_work = "heat_pump_240v"
"""


@pytest.mark.parametrize(
    "line",
    [
        'seen = "drafting"',
        'seen = "spilling"',
        'seen = "no hood"\ndraft_pa = 2',
        'seen = "unclear"\nseconds_to_draft = 5',
    ],
)
def test_a_draft_hood_reading_is_refused_for_a_heater_without_one(line: str) -> None:
    with pytest.raises(InputError, match="there is no draft hood to judge"):
        parse_case(NO_HOOD + line)


def test_a_new_heater_without_a_hood_is_confirmed_by_clean_air() -> None:
    assert verdict_of(parse_case(NO_HOOD + 'seen = "no hood"\nambient_co_ppm = 0')).leads == "confirmed"
    assert verdict_of(parse_case(NO_HOOD + 'seen = "no hood"')).leads == "not confirmed"
    assert verdict_of(parse_case(NO_HOOD + 'seen = "no hood"\nambient_co_ppm = 40')).leads == "danger now"


def test_work_that_does_not_exist_is_refused() -> None:
    with pytest.raises(InputError, match=r"after_work = 'heat_pump': no such option \(did you mean 'heat_pump_"):
        parse_case(NO_HOOD.replace("heat_pump_240v", "heat_pump") + 'seen = "no hood"')
