"""Older case files: read as today's, rewritten with their comments, and nothing becomes known by it."""

from __future__ import annotations

import subprocess
import sys
import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from typer.testing import CliRunner

from advisor.case.read import parse_case
from advisor.case.upgrade import is_old, upgraded
from advisor.case.upgrade_file import upgraded_text
from advisor.cli import app
from advisor.errors import InputError
from advisor.facts import burners
from advisor.interview.draft import load_draft

OLD = """# a house of ours
title = "old"  # mine
exhaust_complete = true

[heater]
input_btu_h = 40000

# the basement furnace
[shared_appliance]  # on the chimney
kind = "furnace"
draft = "natural"
input_btu_h = 80000  # plate
outlet_diameter_in = 5

[[other_appliance]]
name = "den fire"
kind = "fireplace"
input_btu_h = 30000

[[other_appliance]]
kind = "furnace"  # upstairs
draft = "sealed"

[[run]]
seen = "spilling"
shared_appliance = "off"  # cold

[[run]]
label = "with it"
seen = "drafting"
shared_appliance = "firing"
"""


def test_the_lines_stay_and_say_the_same() -> None:
    text = upgraded_text(OLD)
    assert upgraded_text(text) == text
    for comment in (
        "# a house of ours",
        "# mine",
        "# the basement furnace",
        "# on the chimney",
        "# plate",
        "# upstairs",
        "# cold",
    ):
        assert text.count(comment) == 1
    case = parse_case(text)
    assert case == parse_case(OLD)
    assert case.appliance is not None
    assert [(a.name, a.vent, a.kind, a.draft) for a in case.appliance] == [
        ("furnace", "with the heater", "furnace", "natural"),
        ("den fire", "own", "fireplace", None),
        ("furnace 2", "own", "furnace", "sealed"),
    ]
    assert [run.firing for run in case.run] == [[], ["furnace"]]
    assert case.appliances_complete is None
    assert burners.list_is_whole(case)


def test_the_appliance_on_the_vent_alone_says_nothing_of_others() -> None:
    old = "[heater]\ninput_btu_h = 40000\n[shared_appliance]\n[[run]]\nseen = 'spilling'\n"
    for text in (old, upgraded_text(old)):
        case = parse_case(text)
        assert case.appliance is not None
        assert case.appliance[0].vent == "with the heater"
        assert case.appliance[0].draft is None  # nobody said so
        assert burners.list_is_whole(case) is None
        assert {"burners", "other_input", "other_draft"} <= set(burners.unknown_of_burners(case))


@pytest.mark.parametrize(("words", "known"), [("other_appliance = []\n", True), ("", None)])
def test_none_stays_none_and_unknown_unknown(words: str, known: bool | None) -> None:
    old = f"{words}[heater]\ninput_btu_h = 40000\n[[run]]\nseen = 'spilling'\nshared_appliance = 'off'\n"
    for text in (old, upgraded_text(old)):
        case = parse_case(text)
        assert case.appliance == ([] if known else None)
        assert burners.list_is_whole(case) is known
        assert case.run[0].firing == []


def test_inline_tables_are_written_anew() -> None:
    old = "other_appliance = [{kind = 'boiler', draft = 'natural'}]\n[heater]\ninput_btu_h = 40000\n[[run]]\nseen = 'spilling'\n"
    text = upgraded_text(old)
    assert not is_old(tomllib.loads(text))
    assert parse_case(text) == parse_case(old)


PART = st.fixed_dictionaries(
    {},
    optional={
        "kind": st.sampled_from(["furnace", "boiler"]),
        "draft": st.just("natural"),
        "input_btu_h": st.integers(10000, 400000),
    },
)
OTHER = st.fixed_dictionaries(
    {},
    optional={
        "name": st.sampled_from(["furnace", "heater", "a", "furnace 2"]),
        "kind": st.sampled_from(["furnace", "dryer"]),
        "draft": st.just("sealed"),
    },
)


@settings(max_examples=80, deadline=None, suppress_health_check=list(HealthCheck))
@given(
    st.one_of(st.none(), PART),
    st.one_of(st.none(), st.lists(OTHER, max_size=3)),
    st.sampled_from([None, "off", "firing"]),
)
def test_any_older_file_reads_the_same_rewritten(shared: Any, others: Any, fired: str | None) -> None:
    import tomlkit

    data: dict[str, Any] = {} if others is None else {"other_appliance": others}
    data |= {"heater": {"input_btu_h": 40000}}
    data |= {} if shared is None else {"shared_appliance": shared}
    run = {"seen": "spilling"} | (
        {} if fired is None or (fired == "firing" and shared is None) else {"shared_appliance": fired}
    )
    data["run"] = [run]
    text = tomlkit.dumps(data)
    again = upgraded_text(text)
    assert parse_case(again) == parse_case(text)
    assert not is_old(tomllib.loads(again))
    assert upgraded(upgraded(data)) == upgraded(data)


def test_the_command_rewrites_once_and_other_commands_say_so(tmp_path: Path) -> None:
    path = tmp_path / "case.toml"
    path.write_text(OLD)
    launch = "import sys\nfrom advisor.cli import main\nmain()"
    typed = ["check", str(path), "--samples", "64"]
    told = subprocess.run([sys.executable, "-c", launch, *typed], capture_output=True, text=True, check=False)
    assert "advisor upgrade" in told.stderr
    assert told.returncode == 0
    run = CliRunner()
    first = run.invoke(app, ["upgrade", str(path)])
    assert first.exit_code == 0
    text = path.read_text()
    assert text == upgraded_text(OLD)
    assert "nothing was changed" in run.invoke(app, ["upgrade", str(path)]).output
    assert path.read_text() == text
    path.write_text("[heater]\ninput_btu_h = 'x'\n[shared_appliance]\n")
    assert run.invoke(app, ["upgrade", str(path)]).exit_code != 0
    assert "shared_appliance" in path.read_text()


def test_the_interview_goes_on_with_an_older_file_and_its_comments(tmp_path: Path) -> None:
    path = tmp_path / "case.toml"
    path.write_text(OLD)
    draft = load_draft(path)
    assert draft.data["appliance"][0]["name"] == "furnace"
    text = draft.text(("head",))
    assert "# the basement furnace" in text
    assert parse_case(text) == parse_case(OLD)


ROOT = Path(__file__).parents[2]
OLDER = sorted((ROOT / "tests" / "data" / "older_cases").glob("*.toml"))
ADDED = {("house", "design_temp_f"), ("zone", "outside_wall"), ("zone", "opens_to")}
"""Keys that demos and examples of today hold besides, because new rules ask for them."""


@pytest.mark.parametrize("path", OLDER, ids=lambda p: p.stem)
def test_every_older_demo_and_example_reads_as_the_case_of_today(path: Path) -> None:
    """The same case gives the same advice: the files as they were, and as they are."""
    old = path.read_text(encoding="utf-8")
    today = next(p for p in (ROOT / "demo" / path.name, ROOT / "docs" / "examples" / path.name) if p.exists())
    case, now = parse_case(upgraded_text(old)), parse_case(today.read_text(encoding="utf-8"))
    assert parse_case(old) == case
    assert is_old(tomllib.loads(old)) == (upgraded_text(old) != old)
    plain, plain_now = case.model_dump(), now.model_dump()
    for table, key in ADDED:
        if plain[table][key] is None:
            plain_now[table][key] = None
    assert plain == plain_now


@pytest.mark.parametrize(
    "words",
    [
        'shared_appliance = 3\n[heater]\ninput_btu_h = 40000\n[[run]]\nseen = "spilling"\n',
        '[heater]\ninput_btu_h = 40000\n[[run]]\nseen = "spilling"\nshared_appliance = "firing"\n',
        '[heater]\ninput_btu_h = 40000\n[shared_appliance]\n[[appliance]]\nname = "x"\n[[run]]\nseen = "spilling"\n',
    ],
)
def test_an_older_name_that_cannot_be_read_says_what_to_write(words: str) -> None:
    with pytest.raises(InputError) as told:
        parse_case(words)
    assert "describe the appliance as [[appliance]]" in str(told.value)
