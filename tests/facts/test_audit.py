"""What a run shows, what is short of it and what was not measured: findings by id, and how they are said."""

from __future__ import annotations

import pytest
from conftest import ROOT, said

from advisor.case.model import Case
from advisor.case.read import read_case
from advisor.facts.assumed import assumed_values
from advisor.facts.audit import Audit, audits
from advisor.facts.carbon_monoxide import ambient_stop_ppm
from advisor.facts.now import cautions, now_list
from advisor.facts.record import verdict_of
from advisor.findings import quantity
from advisor.wording.assumed import worth_words
from advisor.wording.speak import speaking

SOUND = read_case(ROOT / "demo" / "sound_house.toml")


def audited(**changes: object) -> Audit:
    """Return the audit of the sound house's first run, changed."""
    run = SOUND.run[0].model_copy(update=changes)
    case = SOUND.model_copy(update={"run": [run]})
    (one,) = audits(case, verdict_of(case))
    return one


@pytest.mark.parametrize(
    ("changes", "shows"),
    [
        ({}, "pass"),
        ({"wind_mph": None}, "unproven"),
        ({"wind_mph": 60.0}, "unproven_void"),
        ({"seen": "spilling", "seconds_after_lit": None, "seconds_to_draft": None}, "failure"),
        ({"seen": "spilling", "seconds_to_draft": None, "seconds_after_lit": 30.0}, "early_spillage"),
        (
            {"seen": "spilling", "seconds_after_lit": None, "seconds_to_draft": None, "interior_doors": "open"},
            "failure_eased",
        ),
        ({"seen": "unclear", "seconds_to_draft": None}, "unclear"),
    ],
)
def test_what_a_run_shows(changes: dict[str, object], shows: str) -> None:
    one = audited(**changes)
    assert one.shows.id == f"record.shows.{shows}"
    assert said(one.shows)


def test_a_condition_carries_its_numbers_with_their_unit() -> None:
    one = audited(wind_mph=60.0)
    (short,) = [s for s in one.shortfalls if s.id == "record.not_met.wind"]
    assert short["value"] == quantity(60.0, "mph", 0)
    assert said(short).startswith("wind of 60 mph")
    with speaking("si"):  # 1 mph is 0.44704 m/s, exact
        assert said(short).startswith("wind of 26.8 m/s")


def test_names_stay_as_typed() -> None:
    one = audited(devices_on=["dryer"])
    (short,) = [s for s in one.shortfalls if s.id == "record.not_met.all_exhaust"]
    assert said(short) == "'bath fan' exhausts outdoors but was off"


def test_what_is_not_written_down_is_what_is_to_be_done() -> None:
    one = audited(wind_mph=None, outdoor_temp_f=None)
    assert {w.id for w in one.unwritten} == {"record.not_written.wind", "record.not_written.outdoor_temp"}
    assert {w.id.rpartition(".")[2] for w in one.redo} == {"wind", "outdoor_temp"}
    assert {"record.reading.wind_mph", "record.reading.outdoor_temp_f"} <= {m.id for m in one.missing}


def test_the_most_urgent_comes_first() -> None:
    sick = SOUND.model_copy(update={"occupants": SOUND.occupants.model_copy(update={"symptoms": "now"})})
    found = [one.id for one in now_list(sick, verdict_of(sick))]
    assert found[0] == "now.symptoms"
    assert "now.fine" not in found


def test_the_tester_is_told_the_published_level_and_its_source() -> None:
    (one,) = [c for c in cautions() if c.id == "now.caution.tester"]
    assert one["stop"] == quantity(ambient_stop_ppm(), "ppm")
    assert one.sources == ("bpi-older",)
    assert "stop at 35 ppm" in said(one)


def test_what_was_measured_is_not_assumed() -> None:
    bare = Case.model_validate({"heater": {"input_btu_h": 40000.0}, "run": [{"seen": "spilling"}]})
    known = bare.model_copy(update={"vent": bare.vent.model_copy(update={"height_ft": 18.0})})
    before, after = ([one.id for one in assumed_values(case)] for case in (bare, known))
    assert set(before) - set(after) == {"assumed.vent_height"}
    assert [i for i in before if i in after] == after


def test_flows_follow_the_leakage_and_name_their_devices() -> None:
    devices = [{"name": "hood", "kind": "range hood", "rated_cfm": 300.0}, {"name": "fan", "kind": "bath fan"}]
    case = Case.model_validate(
        {
            "heater": {"input_btu_h": 40000.0},
            "exhaust": devices,
            "opening": [{"state": "unknown"}],
            "run": [{"seen": "spilling"}],
        }
    )
    found = assumed_values(case)
    assert [one.id for one in found[:4]] == [
        "assumed.leakage", "assumed.opening_clear", "assumed.installed_flow", "assumed.exhaust_flow",
    ]  # fmt: skip
    assert worth_words(found[3]) == (
        "flow of fan (usual values): a label or a measured flow settles how hard the house is pulled"
    )
