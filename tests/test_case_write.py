"""A case that is written reads back as the same case, whatever it holds."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest
import tomlkit
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from advisor.case import fields
from advisor.case.draft import Draft, load_draft
from advisor.case.model import Case
from advisor.case.read import parse_case, read_case
from advisor.case.write import Remarks, case_text, document, write_atomically, write_case
from advisor.errors import InputError

DEMOS = sorted((Path(__file__).parents[1] / "demo").glob("*.toml"))


@pytest.mark.parametrize("path", DEMOS, ids=lambda p: p.stem)
def test_every_demo_round_trips(path: Path, tmp_path: Path) -> None:
    case = read_case(path)
    write_case(case, tmp_path / "case.toml")
    assert read_case(tmp_path / "case.toml") == case


@pytest.mark.parametrize("path", DEMOS, ids=lambda p: p.stem)
def test_two_readers_agree_on_what_is_written(path: Path) -> None:
    text = case_text(read_case(path))
    assert tomlkit.parse(text).unwrap() == tomllib.loads(text)


def _value(key: str) -> st.SearchStrategy[Any]:
    what = fields.field(key)
    if what.kind in ("choice", "number choice"):
        return st.sampled_from(what.choices)
    if what.kind == "several":
        return st.lists(st.sampled_from(what.choices), unique=True, max_size=3)
    if what.kind == "yes no":
        return st.booleans()
    if what.kind == "whole":
        return st.integers(int(what.low or 0), int(what.high or 0))
    if what.kind == "number":
        return st.floats(what.low, what.high)
    if key == "house.state":
        return st.sampled_from(["MD", "CO"])
    return st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=30)


def _item(table: str, leave_out: tuple[str, ...] = ()) -> st.SearchStrategy[dict[str, Any]]:
    needed, free = {}, {}
    for name in fields.table_fields(table):
        if name in leave_out:
            continue
        key = f"{table}.{name}"
        target = needed if fields.field(key).default is fields.NOTHING else free
        target[name] = _value(key)
    return st.fixed_dictionaries(needed, optional=free)


# Keys that the reader checks against each other are left to the demos.
CROSSED = {
    "zone": ("volume_ft3",),
    "vent": ("connector_lateral_ft", "connector_rise_ft"),
    "money": ("incentive_usd",),
    "run": ("devices_on", "shared_appliance"),
}
MONEY = st.dictionaries(st.text(st.characters(exclude_categories=["Cs"]), max_size=12), st.floats(0, 50000), max_size=3)


@st.composite
def cases(draw: st.DrawFn) -> dict[str, Any]:
    data: dict[str, Any] = {
        "heater": draw(_item("heater")),
        "run": draw(st.lists(_item("run", CROSSED["run"]), min_size=1, max_size=2)),
    }
    chosen = draw(st.sets(st.sampled_from([t for t in fields.TABLES if t not in ("heater", "run")]), max_size=3))
    for table in chosen:
        item = _item(table, CROSSED.get(table, ()))
        if table in fields.LISTS:
            unique = (lambda e: e["name"]) if table == "exhaust" else None
            data[table] = draw(st.lists(item, min_size=1, max_size=2, unique_by=unique))
        else:
            data[table] = draw(item)
    if "money" in chosen:
        data["money"]["incentive_usd"] = draw(MONEY)
    if draw(st.booleans()):
        data["note"] = draw(st.text(st.characters(exclude_categories=["Cs"]), max_size=60))
    return data


@settings(max_examples=120, deadline=None, suppress_health_check=list(HealthCheck))
@given(cases())
def test_any_case_round_trips(data: dict[str, Any]) -> None:
    case = Case.model_validate(data)
    text = case_text(case)
    assert parse_case(text) == case
    assert case_text(parse_case(text)) == text


def test_a_persons_comments_stay(tmp_path: Path) -> None:
    path = tmp_path / "case.toml"
    path.write_text(
        '# first words\ntitle = "a"  # behind the title\n# above the heater\n[heater]\n# above the input\n'
        "input_btu_h = 40000 # plate\n#: age_years: not known\n[[exhaust]]\n# mine\nname = 'fan'\nkind = 'bath fan'\n"
        "#: exhaust: that is all\n#: set aside: fuel = 'gas'\n[[run]]\nseen = 'unclear'\n# last words\n"
    )
    draft = load_draft(path)
    assert draft.without_value == {("heater", "age_years"), ("exhaust",)}
    assert draft.aside == {("exhaust", 0, "fuel"): "gas"}
    again = draft.text(("head",))
    places = ("above the heater", "above the input", "behind the title", "first words", "last words", "mine", "plate")
    for words in places:
        assert again.count(f"# {words}") == 1
    path.write_text(again)
    twice = load_draft(path)
    assert twice.text(("head",)) == again
    assert (twice.data, twice.without_value, twice.aside) == (draft.data, draft.without_value, draft.aside)


def test_a_removed_item_takes_its_notes_along() -> None:
    draft = Draft(data={"exhaust": [{"name": n, "kind": "bath fan"} for n in "abc"]})
    draft.without_value |= {("exhaust", 0, "rated_cfm"), ("exhaust", 2, "in_zone"), ("exhaust",)}
    draft.drop(("exhaust", 0))
    assert [e["name"] for e in draft.data["exhaust"]] == ["b", "c"]
    assert draft.without_value == {("exhaust", 1, "in_zone"), ("exhaust",)}


def test_the_old_file_stays_whole_when_writing_fails(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "case.toml"
    path.write_text("old")

    def broken(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.replace", broken)
    with pytest.raises(InputError, match=r"case\.toml: cannot be written: No space left on device"):
        write_atomically(path, "new")
    assert path.read_text() == "old"
    assert [p.name for p in tmp_path.iterdir()] == ["case.toml"]


def test_a_link_is_followed_and_the_mode_is_kept(tmp_path: Path) -> None:
    real, link = tmp_path / "real.toml", tmp_path / "link.toml"
    real.write_text("old")
    real.chmod(0o640)
    link.symlink_to(real)
    write_atomically(link, "new")
    assert link.is_symlink()
    assert real.read_text() == "new"
    assert real.stat().st_mode & 0o777 == 0o640


def test_a_document_may_be_unfinished() -> None:
    text = document({"zone": {"kind": "closet"}}, Remarks(without_value=frozenset({("zone", "door"), ("exhaust",)})))
    assert tomllib.loads(text) == {"zone": {"kind": "closet"}}
    assert "#: door: not known" in text
    assert "#: exhaust: that is all" in text
