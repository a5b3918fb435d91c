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
from advisor.case.model import Case
from advisor.case.read import parse_case, read_case
from advisor.case.scope import FAN
from advisor.case.write import Remarks, document, write_atomically
from advisor.errors import InputError
from advisor.interview.draft import Draft, load_draft

DEMOS = sorted((Path(__file__).parents[2] / "demo").glob("*.toml"))


def case_text(case: Case) -> str:
    """Return a case as commented TOML: every key that was set, in the order of the models."""
    return document(case.model_dump(mode="python", exclude_unset=True, exclude_none=True), Remarks())


@pytest.mark.parametrize("path", DEMOS, ids=lambda p: p.stem)
def test_every_demo_round_trips(path: Path, tmp_path: Path) -> None:
    case = read_case(path)
    write_atomically(tmp_path / "case.toml", case_text(case))
    assert read_case(tmp_path / "case.toml") == case


@pytest.mark.parametrize("path", DEMOS, ids=lambda p: p.stem)
def test_two_readers_agree_on_what_is_written(path: Path) -> None:
    text = case_text(read_case(path))
    assert tomlkit.parse(text).unwrap() == tomllib.loads(text)


REFUSED = {("heater.fuel", "oil"), *(("heater.draft", one) for one in FAN)}
"""What the reader refuses with what to do instead (tests/facts/test_scope.py)."""


def _value(key: str) -> st.SearchStrategy[Any]:
    what = fields.field(key)
    if what.kind in ("choice", "number choice"):
        return st.sampled_from([one for one in what.choices if (key, one) not in REFUSED])
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
    "vent": ("connector_lateral_ft", "connector_rise_ft", "shared"),
    "appliance": ("draft", "connector_lateral_ft"),
    "money": ("incentive_usd",),
    "run": ("devices_on", "appliance", "firing", "after_work"),
}
FREE = tuple(t for t in fields.TABLES if t not in ("heater", "run"))
OPTIONAL_LISTS = tuple(t for t in fields.LISTS if t != "run")
MONEY = st.dictionaries(st.text(st.characters(exclude_categories=["Cs"]), max_size=12), st.floats(0, 50000), max_size=3)


@st.composite
def cases(draw: st.DrawFn) -> dict[str, Any]:
    data: dict[str, Any] = {
        "heater": draw(_item("heater")),
        "run": draw(st.lists(_item("run", CROSSED["run"]), min_size=1, max_size=2)),
    }
    data["run"] = [run for run in data["run"] if run["seen"] != "no hood"] or [{"seen": "unclear"}]
    for table in draw(st.sets(st.sampled_from(FREE), max_size=3)):
        item = _item(table, CROSSED.get(table, ()))
        if table in fields.LISTS:
            unique = (lambda e: e.get("name", "appliance")) if table in ("exhaust", "appliance") else None
            data[table] = draw(st.lists(item, max_size=2, unique_by=unique))  # an empty one says that there is none
        else:
            data[table] = draw(item)
    if "money" in data:
        data["money"]["incentive_usd"] = draw(MONEY)
    _cross(draw, data)
    if draw(st.booleans()):
        data["note"] = draw(st.text(st.characters(exclude_categories=["Cs"]), max_size=60))
    return data


def _cross(draw: st.DrawFn, data: dict[str, Any]) -> None:
    """Draw what the tests and the vent say of other tables."""
    burners = [one.get("name", "appliance") for one in data.get("appliance", ())]
    names = ["all", *(e["name"] for e in data.get("exhaust", ()))]
    for run in data["run"]:
        if draw(st.booleans()):
            run["devices_on"] = draw(st.lists(st.sampled_from(names), unique=True, max_size=3))
        if draw(st.booleans()):
            run["firing"] = draw(st.lists(st.sampled_from(burners), unique=True, max_size=2)) if burners else []
        if draw(st.booleans()):
            run["after_work"] = "clear_vent"
    if burners and draw(st.booleans()):
        judged = draw(st.sampled_from(burners))
        data["run"].append({"seen": "spilling", "appliance": judged, "firing": ["heater"]})
    on_it = any(one.get("vent") == "with the heater" for one in data.get("appliance", ()))
    if draw(st.booleans()):
        data.setdefault("vent", {})["shared"] = on_it or draw(st.booleans())


@settings(max_examples=120, deadline=None, suppress_health_check=list(HealthCheck))
@given(cases())
def test_any_case_round_trips(data: dict[str, Any]) -> None:
    case = Case.model_validate(data)
    text = case_text(case)
    again = parse_case(text)
    assert again == case
    assert case_text(again) == text
    for table in OPTIONAL_LISTS:  # absent stays absent, none stays none
        assert getattr(again, table) == (None if table not in data else getattr(case, table))
        assert (getattr(again, table) == []) == (data.get(table) == [])
    for before, after in zip(data["run"], again.run, strict=True):
        assert after.devices_on == before.get("devices_on")


def _places(data: dict[str, Any]) -> list[tuple[str | int, ...]]:
    """Return where a question may have been left open: keys without a value, lists that are absent or whole, two gates."""
    found: list[tuple[str | int, ...]] = [(t,) for t in OPTIONAL_LISTS if data.get(t) != []]
    found += [] if "terminal" in data else [("terminal",)]
    for table in ("heater", "vent", "house"):
        found += [(table, name) for name in fields.table_fields(table) if name not in data.get(table, {})]
    found += [("run", 0, name) for name in fields.table_fields("run") if name not in data["run"][0]]
    return found


@settings(max_examples=80, deadline=None, suppress_health_check=list(HealthCheck))
@given(cases(), st.data())
def test_any_draft_round_trips(
    tmp_path_factory: pytest.TempPathFactory, data: dict[str, Any], more: st.DataObject
) -> None:
    """What is known, what there is none of, and what was left open come back as they were; so do comments."""
    draft = Draft(data=data, without_value=more.draw(st.sets(st.sampled_from(_places(data)), max_size=8)))
    draft.before = {
        ("heater",): ("# mine above",),
        ("exhaust",): ("# counted twice",),
        ("house", "stories"): ("# seen",),
    }
    draft.after = {("exhaust",): "# looked all over", ("heater", "input_btu_h"): "# plate"}
    path = tmp_path_factory.mktemp("draft") / "case.toml"
    draft.save(path, ("head",))
    again = load_draft(path)
    empty = {table for table in again.data if again.data[table] == {}}  # only holds what was left open
    assert {k: v for k, v in again.data.items() if k not in empty} == {k: v for k, v in data.items() if v != {}}
    assert again.without_value == draft.without_value
    text = again.text(("head",))
    for words in ("# mine above", "# counted twice", "# looked all over", "# seen", "# plate"):
        assert text.count(words) == 1, text


def test_none_and_not_known_are_two_things() -> None:
    draft = Draft(data={"exhaust": [], "zone": {"kind": "closet"}}, without_value={("supply",), ("appliance",)})
    text = draft.text(("head",))
    assert tomllib.loads(text) == {"exhaust": [], "zone": {"kind": "closet"}}
    assert text.index("exhaust = []  # there is none") < text.index("[zone]")  # a key of the top level
    assert "#: [[supply]]: not known" in text
    assert "#: [[appliance]]: not known" in text


def test_the_notes_of_an_older_program_are_no_facts(tmp_path: Path) -> None:
    """It wrote 'that is all' behind no item, and 'none' for a vent, also where the person had pressed Enter."""
    path = tmp_path / "case.toml"
    path.write_text(
        "[heater]\ninput_btu_h = 40000\n\n#: shared_appliance: none\n\n#: terminal: none\n\n#: opening: that is all\n"
        "\n[[exhaust]]\nname = 'fan'\nkind = 'bath fan'\n\n#: exhaust: that is all\n\n[occupants]\n"
        "symptoms = true\nalarm_sounded = false\n\n[[run]]\nseen = 'spilling'\n#: shared_appliance: not known  (x)\n"
        "\n#: run: that is all\n"
    )
    draft = load_draft(path)
    assert draft.without_value == {("terminal",), ("exhaust",), ("run",)}
    assert draft.data["occupants"] == {"symptoms": "now", "alarm_sounded": "no"}  # when in doubt, now
    case = read_case(path)
    assert case.opening is None
    assert case.vent.shared is None
    assert case.occupants.symptoms == "now"


def test_a_persons_comments_stay(tmp_path: Path) -> None:
    path = tmp_path / "case.toml"
    path.write_text(
        '# first words\ntitle = "a"  # behind the title\n# above the heater\n[heater]\n# above the input\n'
        "input_btu_h = 40000 # plate\n#: age_years: not known\n[[exhaust]] # behind a head\n# mine\n"
        "name = 'fan'\nkind = 'bath fan'\n#: exhaust: that is all\n#: set aside: fuel = 'gas'\n[[run]]\nseen = 'unclear'\n"
        "# last words\n"
    )
    draft = load_draft(path)
    assert draft.without_value == {("heater", "age_years"), ("exhaust",)}
    assert draft.aside == {("exhaust", 0, "fuel"): "gas"}
    again = draft.text(("head",))
    places = ("above the heater", "above the input", "behind the title", "first words", "last words", "mine", "plate",
              "behind a head")  # fmt: skip
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
    draft.drop(("exhaust", 1))
    draft.drop(("exhaust", 0))
    assert "exhaust" not in draft.data  # nobody said that there is none
    assert not draft.without_value


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
    fan = {"name": "fan", "kind": "bath fan"}
    data = {"zone": {"kind": "closet"}, "exhaust": [fan]}
    text = document(data, Remarks(without_value=frozenset({("zone", "door"), ("exhaust",)})))
    assert tomllib.loads(text) == data
    assert "#: door: not known" in text
    assert "#: exhaust: that is all" in text
