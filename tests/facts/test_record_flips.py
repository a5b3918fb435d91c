"""Turn what was seen into its opposite, take answers out, spoil one condition: the record must govern every answer.

What is held here is the order of trust and the published procedure: a run that shows spillage or reversal at or after the
allowed time is a failure and stands until a valid retest (``ansi-bpi-1200``, 2 min on a warm and 5 min on a cold vent;
``manual-vent-check-5min``, 5 min); a pass needs every condition of the worst-case set-up (``bpi-field-sheet``,
``can-depress-test``, ``nfpa54-annex-older``); CO in the room from 9, 36 and 70 ppm on asks for action (``ansi-bpi-1200``).
The expectations below are written out from those texts, not taken from the code.
"""

from __future__ import annotations

import itertools
from typing import Any

import pytest
from conftest import DEMOS, ROOT

from advisor import catalog
from advisor.advice import advise
from advisor.case.model import Case, Run
from advisor.case.read import read_case
from advisor.evidence.enough import enough_to_decide
from advisor.facts.now import now_list
from advisor.facts.record import Verdict, judge_run, verdict_of
from advisor.facts.run_conditions import held_against
from advisor.ranking.gates import grade
from advisor.ranking.options import Spillage
from advisor.report.text.matrix import as_text
from advisor.wording.messages import text_of

CASES = {name: read_case(ROOT / "demo" / f"{name}.toml") for name in DEMOS}
SOUND = CASES["sound_house"]
HARMLESS = Spillage(0.0, (0.0, 0.0, 0.0, 0.0))
"""What a simulation would have to say to argue every danger away."""
CLEAR = ("now.fine", "now.confirmed", "now.no_hood")
"""What sounds like an all-clear."""
COLD_LIMIT_S, WARM_LIMIT_S = 300.0, 120.0  # ansi-bpi-1200, as quoted: 5 min cold vent, 2 min warm vent


def with_run(case: Case, index: int = 0, **changes: Any) -> Case:
    runs = list(case.run)
    runs[index] = runs[index].model_copy(update=changes)
    return case.model_copy(update={"run": runs})


def kept_as_it_is(case: Case, verdict: Verdict) -> list[str]:
    """Grades of the two options that leave everything as it is, if a simulation saw no danger at all."""
    return [grade(HARMLESS, i, "natural draft", verdict, explained=True) for i in ("leave_as_found", "like_for_like")]


def sounds_clear(case: Case, verdict: Verdict) -> bool:
    return any(words.id in CLEAR for words in now_list(case, verdict))


SEEN = ("drafting", "spilling", "reversed", "unclear")
METHODS = ("smoke", "mirror", "instrument", "hand", None)
AFTER_S = (10.0, 119.0, 120.0, 299.0, 300.0, 900.0, None)
DRAFTS_S = (8.0, 119.0, 121.0, 299.0, 301.0, 2000.0, None)
ROOM_CO = (0.0, 8.9, 9.0, 36.0, 80.0, None)
COLD = (True, False, None)


@pytest.mark.parametrize("seen", SEEN)
def test_every_combination_of_what_was_seen_and_when(seen: str) -> None:
    tried = 0
    for method, after, drafted, co, cold in itertools.product(METHODS, AFTER_S, DRAFTS_S, ROOM_CO, COLD):
        case = with_run(
            SOUND,
            seen=seen,
            method=method,
            seconds_after_lit=after,
            seconds_to_draft=drafted,
            ambient_co_ppm=co,
            vent_cold_at_start=cold,
        )
        verdict, limit = verdict_of(case), COLD_LIMIT_S if cold else WARM_LIMIT_S
        late = seen in ("spilling", "reversed") and (after is None or after >= limit)
        long = seen == "drafting" and drafted is not None and drafted > limit
        said = (seen, method, after, drafted, co, cold, verdict.states)
        if late or long:
            assert verdict.failed, said
            assert kept_as_it_is(case, verdict) == ["not enough", "not enough"], said
        in_time = drafted is not None and drafted <= limit and (after is None or drafted <= after)
        watched = drafted is None and after is not None and after >= limit
        valid = (
            seen == "drafting"
            and method in ("smoke", "mirror", "instrument")
            and (in_time or watched)
            and co is not None
            and co < 9.0
            and cold is True
        )
        assert verdict.may_leave == valid, said
        assert sounds_clear(case, verdict) == valid, said
        if co is not None and co >= 36.0:
            assert verdict.leads == "danger now", said
        if not valid:
            assert kept_as_it_is(case, verdict) == ["not enough", "not enough"], said
            assert not enough_to_decide(case, explained=True, tie=False).enough or verdict.failed, said
        tried += 1
    assert tried == len(METHODS) * len(AFTER_S) * len(DRAFTS_S) * len(ROOM_CO) * len(COLD)


SPOILED: dict[str, dict[str, Any]] = {
    # easier than the procedure, or one cannot tell
    "one fan off": {"devices_on": ["dryer"]},
    "all fans off": {"devices_on": []},
    "lint in the dryer": {"dryer_filter_clean": False},
    "interior doors open": {"interior_doors": "open"},
    "interior doors closed, not tried": {"interior_doors": "closed"},
    "window open": {"window_open_ft2": 3.0},
    "outside door of the room open": {"zone_window_open_ft2": 2.0},
    "damper open": {"fireplace_damper": "open"},
    "vent warm": {"vent_cold_at_start": False, "seconds_after_lit": 90.0, "seconds_to_draft": None},
    "by hand": {"method": "hand"},
    "judged too early": {"seconds_after_lit": 10.0, "seconds_to_draft": None},
    "windy": {"wind_mph": 20.0},
    "CO in the room": {"ambient_co_ppm": 12.0},
    "CO in the flue": {"flue_co_ppm": 300.0, "flue_o2_pct": 8.0},
    "draft downward": {"draft_pa": -1.0},
}
UNWRITTEN = (
    *(
        "devices_on",
        "dryer_filter_clean",
        "interior_doors",
        "window_open_ft2",
        "fireplace_damper",
        "vent_cold_at_start",
    ),
    *("method", "wind_mph", "outdoor_temp_f", "ambient_co_ppm"),
)


@pytest.mark.parametrize("name", SPOILED)
def test_one_condition_spoiled_is_no_pass(name: str) -> None:
    case = with_run(SOUND, **SPOILED[name])
    verdict = verdict_of(case)
    assert verdict.leads == "unproven"
    assert not sounds_clear(case, verdict)
    assert judge_run(case, 0).spoiling


@pytest.mark.parametrize("key", UNWRITTEN)
def test_one_condition_unwritten_is_no_pass(key: str) -> None:
    case = with_run(SOUND, **{key: None})
    assert verdict_of(case).leads == "unproven"
    assert not sounds_clear(case, verdict_of(case))


@pytest.mark.parametrize("key", ["exhaust", "supply", "opening"])
def test_a_list_that_nobody_made_is_not_an_empty_list(key: str) -> None:
    run = SOUND.run[0].model_copy(update={"devices_on": ["all"], "supply_on": None, "intake": None})
    empty = SOUND.model_copy(update={key: [], "run": [run]})
    unknown = SOUND.model_copy(update={key: None, "run": [run]})
    assert verdict_of(empty).leads == "passed"
    assert verdict_of(unknown).leads == "unproven"


def test_a_list_that_may_have_more_is_not_known() -> None:
    assert verdict_of(SOUND.model_copy(update={"exhaust_complete": False})).leads == "unproven"
    assert verdict_of(SOUND.model_copy(update={"exhaust_complete": True})).leads == "passed"


@pytest.mark.parametrize(
    ("table", "key"), [("vent", "shared"), ("air_handler", "present"), ("zone", "door")], ids=lambda v: v
)
def test_a_house_that_nobody_described_is_no_pass(table: str, key: str) -> None:
    part = getattr(SOUND, table).model_copy(update={key: None})
    run = SOUND.run[0].model_copy(update={"firing": None, "zone_door": None})
    assert verdict_of(SOUND.model_copy(update={table: part, "run": [run]})).leads == "unproven"


@pytest.mark.parametrize("name", CASES)
@pytest.mark.parametrize("seen", SEEN)
def test_flipping_every_run_of_every_demo(name: str, seen: str) -> None:
    for method, after, co in itertools.product(METHODS, (10.0, 300.0, None), ROOM_CO):
        case = CASES[name]
        for i in range(len(case.run)):
            case = with_run(
                case, i, seen=seen, method=method, seconds_after_lit=after, ambient_co_ppm=co, seconds_to_draft=None
            )
        for shown in (case, _doubled(case), _turned(case)):
            verdict = verdict_of(shown)
            if seen in ("spilling", "reversed") and after != 10.0:
                assert verdict.failed
            if not verdict.may_leave:
                assert kept_as_it_is(shown, verdict) == ["not enough", "not enough"]
            if co is not None and co >= 9.0:
                assert not sounds_clear(shown, verdict)
            if seen != "drafting":
                assert not sounds_clear(shown, verdict)


def _doubled(case: Case) -> Case:
    return case.model_copy(update={"run": [*case.run, *case.run]})


def _turned(case: Case) -> Case:
    return case.model_copy(update={"run": case.run[::-1]})


def test_a_failure_stands_beside_any_number_of_passes() -> None:
    spilled = SOUND.run[0].model_copy(
        update={"label": "another day", "seen": "spilling", "seconds_to_draft": None, "seconds_after_lit": 300.0}
    )
    for runs in itertools.permutations([spilled, SOUND.run[0], SOUND.run[0]]):
        verdict = verdict_of(SOUND.model_copy(update={"run": list(runs)}))
        assert verdict.leads == "failed"


def _retest(case: Case, **changes: Any) -> Run:
    return SOUND.run[0].model_copy(update={"label": "retest", "after_work": "clear_vent", **changes})


def test_only_a_valid_retest_takes_a_failure_away() -> None:
    failed = with_run(SOUND, seen="spilling", seconds_to_draft=None, seconds_after_lit=300.0)

    def after(*retests: Run) -> str:
        return verdict_of(failed.model_copy(update={"run": [*failed.run, *retests]})).leads

    assert after() == "failed"
    assert after(_retest(failed)) == "confirmed"
    for name, changes in SPOILED.items():
        assert after(_retest(failed, **changes)) == "not confirmed", name
    for key in UNWRITTEN:
        assert after(_retest(failed, **{key: None})) == "not confirmed", key
    spilled = _retest(failed, seen="spilling", seconds_to_draft=None, seconds_after_lit=300.0)
    assert after(_retest(failed), spilled) == "not confirmed"
    assert after(spilled, _retest(failed)) == "not confirmed"
    assert after(_retest(failed, ambient_co_ppm=80.0)) == "danger now"


@pytest.mark.parametrize("when", ["now", "in the past", "no", None])
@pytest.mark.parametrize("key", ["symptoms", "alarm_sounded"])
def test_symptoms_and_alarms_carry_when(key: str, when: str | None) -> None:
    people = SOUND.occupants.model_copy(update={key: when})
    case = SOUND.model_copy(update={"occupants": people})
    verdict = verdict_of(case)
    assert (verdict.leads == "danger now") == (when == "now")
    assert sounds_clear(case, verdict) == (when in ("no", None))


def test_a_vent_found_apart_and_signs_of_long_spillage_leave_no_pass() -> None:
    for state in ("partly blocked", "blocked", "disconnected"):
        apart = SOUND.model_copy(update={"vent": SOUND.vent.model_copy(update={"condition": state})})
        assert verdict_of(apart).leads == "unproven"
        assert not sounds_clear(apart, verdict_of(apart))
    for sign in ("heat damage", "melted fittings"):
        burned = SOUND.model_copy(update={"heater": SOUND.heater.model_copy(update={"signs": [sign]})})
        assert verdict_of(burned).leads == "unproven"


def test_two_runs_try_a_door_together_only_where_both_are_valid() -> None:
    zone = SOUND.zone.model_copy(update={"door": "solid"})
    shut = SOUND.run[0].model_copy(update={"zone_door": "closed"})
    open_ = SOUND.run[0].model_copy(update={"zone_door": "open"})

    def leads(*runs: Run) -> str:
        return verdict_of(SOUND.model_copy(update={"zone": zone, "run": list(runs)})).leads

    assert leads(shut) == "unproven"
    assert leads(shut, open_) == "passed"
    for name, changes in SPOILED.items():
        assert leads(shut, open_.model_copy(update=changes)) == "unproven", name
    for key in UNWRITTEN:
        assert leads(shut, open_.model_copy(update={key: None})) == "unproven", key


def test_a_short_spillage_at_a_cold_start_takes_no_pass_away() -> None:
    early = SOUND.run[0].model_copy(
        update={"label": "first look", "seen": "spilling", "seconds_after_lit": 10.0, "seconds_to_draft": None}
    )
    alone = SOUND.model_copy(update={"run": [early]})
    assert verdict_of(alone).leads == "unproven"
    assert verdict_of(SOUND.model_copy(update={"run": [early, SOUND.run[0]]})).leads == "passed"


def test_a_failure_written_behind_the_retest_counts() -> None:
    failed = with_run(SOUND, seen="spilling", seconds_to_draft=None, seconds_after_lit=300.0)
    runs = [failed.run[0], _retest(failed)]
    assert verdict_of(failed.model_copy(update={"run": runs})).leads == "confirmed"
    later = failed.model_copy(update={"run": [*runs, failed.run[0]]})
    assert verdict_of(later).leads == "not confirmed"


def test_what_makes_the_draft_harder_spoils_no_pass() -> None:
    fan = SOUND.exhaust[0].model_copy(update={"name": "attic fan", "kind": "whole-house fan"})
    case = SOUND.model_copy(update={"exhaust": [*SOUND.exhaust, fan]})
    on = with_run(case, devices_on=["bath fan", "dryer", "attic fan"])
    assert verdict_of(on).leads == "passed"
    held = {h.id: h for h in held_against(on, on.run[0])}
    assert held["whole_house_fan"].state == "not met"
    assert held["whole_house_fan"].errs == "harder"


def test_every_condition_of_the_table_is_asked_of_every_run() -> None:
    names = {row["id"] for row in catalog.table("test_conditions")}
    for case in CASES.values():
        for run in case.run:
            assert {h.id for h in held_against(case, run)} == names


FLIPS: dict[str, tuple[str, dict[str, Any]]] = {
    "sound house, seen to spill, by hand": (
        "sound_house",
        {
            "seen": "spilling",
            "method": "hand",
            "seconds_after_lit": 300.0,
            "seconds_to_draft": None,
            "zone_depressurization_pa": None,
            "baseline_depressurization_pa": None,
            "draft_pa": None,
        },
    ),
    "sound house, drafts by hand after 10 s": (
        "sound_house",
        {"method": "hand", "seconds_after_lit": 10.0, "seconds_to_draft": None, "interior_doors": None},
    ),
    "sound house, 80 ppm": ("sound_house", {"ambient_co_ppm": 80.0}),
    "sound house, drafts after 400 s": ("sound_house", {"seconds_to_draft": 400.0, "seconds_after_lit": 600.0}),
    "brick chimney as it is": ("lone_heater_brick_chimney", {}),
    "nest, drafts": ("nest_in_the_vent", {"seen": "drafting"}),
}


@pytest.mark.parametrize("name", FLIPS)
def test_the_whole_advice_follows_the_record(name: str) -> None:
    demo, changes = FLIPS[name]
    case = with_run(CASES[demo], **changes)
    advice = advise(case, samples=256)
    for option in advice.options:
        if option.id in ("leave_as_found", "like_for_like"):
            assert option.rank is None
            assert option.safety == "not enough"
            assert option.barred_by
    text = as_text(advice)
    assert not any(text_of(words) in " ".join(text.split()) for words in CLEAR)
    assert "Nothing wrong" not in text
    assert "No repair is called for" not in text
    assert not advice.found.nothing_wrong


def test_a_valid_pass_stays_a_pass_in_the_whole_advice() -> None:
    advice = advise(SOUND, samples=256)
    assert advice.verdict.states == ("passed",)
    left = next(o for o in advice.options if o.id == "leave_as_found")
    assert left.rank is not None
    assert advice.verdict.holds_f == SOUND.run[0].outdoor_temp_f
