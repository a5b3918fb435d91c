"""What one answer changes in a draft beyond its own key: names, tests that name a device, what applies no longer."""

from __future__ import annotations

import re
from typing import Any

from advisor.case import fields
from advisor.case.upgrade import HEATER
from advisor.case.write import Place
from advisor.findings import finding, listed, quantity
from advisor.interview.draft import Draft
from advisor.interview.questions import Step, steps
from advisor.wording.speak import text

__all__ = [
    "applicable", "leave_open", "leave_supply_out", "mark_of", "perhaps_more", "remove_item", "say_none", "settle", "take_in",
]  # fmt: skip

NAMED = ("exhaust", "supply", "appliance")
"""Lists whose items need a name: it is made from the kind until somebody gives a better one."""


WHOLE = {"exhaust": "exhaust_complete", "appliance": "appliances_complete"}
"""Key that says whether a list is whole."""


def applicable(draft: Draft) -> set[Place]:
    """Return the places of the questions that matter now, without those that open the item of a list."""
    return {step.place for step, _ in steps(draft) if not step.opens}


def settle(draft: Draft, before: set[Place]) -> None:
    """Set aside the answers that mattered before and no longer do; take back those that matter again."""
    for _ in range(len(fields.TABLES)):  # one answer that goes can take another with it
        now = applicable(draft)
        gone = [p for p in before - now if draft.get(p) is not None and len(p) > 1 and p[-1] != "name"]
        back = [p for p in now if p in draft.aside and draft.get(p) is None]
        if not gone and not back:
            return
        for place in gone:
            draft.aside[place] = draft.drop(place)
        for place in back:
            draft.put(place, draft.aside.pop(place))
        before = before | now


def take_in(draft: Draft, step: Step, value: Any) -> None:
    """Put an answer in its place, with what hangs on it."""
    table = str(step.place[0])
    if step.key in fields.TABLES:
        _gate(draft, table, bool(value))
        return
    old = draft.get(step.place)
    draft.put(step.place, value)
    draft.auto_named.discard(step.place)
    if step.opens:
        draft.without_value.discard((table,))
    if step.opens and table in NAMED:
        _make_name(draft, table, int(step.place[1]), old, value)
    if step.place[-1] == "name" and old:
        _rename(draft, table, str(old), str(value))
    _share_vent(draft, step, value)


def _gate(draft: Draft, table: str, yes: bool) -> None:
    """Open a table, or set aside all of it."""
    if yes:
        draft.data.setdefault(table, {})
        draft.without_value.discard((table,))
    else:
        _close(draft, table)
        draft.without_value.add((table,))


def _close(draft: Draft, table: str) -> None:
    """Set aside all of a table."""
    for name, value in (draft.data.pop(table, None) or {}).items():
        draft.aside[(table, name)] = value
    draft.without_value = {p for p in draft.without_value if p[0] != table}


def _share_vent(draft: Draft, step: Step, value: Any) -> None:
    """Keep what is said of the vent and of each appliance in step: one that uses it shares it."""
    if step.key == "appliance.vent" and value == "with the heater":
        draft.put(("vent", "shared"), True)
    if step.key == "vent.shared" and value is False:
        for one in draft.get(("appliance",)) or ():
            if one.get("vent") == "with the heater":
                del one["vent"]


def mark_of(draft: Draft, step: Step) -> Place:
    """Return where it is remembered that a question was left without a value: for the end of a list, at the list."""
    return step.place[:1] if step.opens and draft.get(step.place[:2]) is None else step.place


def leave_open(draft: Draft, step: Step) -> None:
    """Take an answer away, if there is one, and remember that it is not known."""
    table = str(step.place[0])
    if step.key in fields.TABLES:
        _close(draft, table)
    elif draft.get(step.place) is not None:
        draft.drop(step.place)
    elif step.opens and draft.get((table,)) == []:
        del draft.data[table]
    draft.without_value.add(mark_of(draft, step))


def say_none(draft: Draft, table: str) -> None:
    """Write down that a list is empty: somebody looked, there is none."""
    draft.put((table,), [])


def perhaps_more(draft: Draft, table: str) -> str:
    """Note in the case that a list may not be whole; return what the note says."""
    said = text("interview.note.perhaps_more", what=finding(f"interview.list.{table}"))
    _note(draft, said)
    if table in WHOLE:
        draft.put((WHOLE[table],), False)
    return said


def _note(draft: Draft, said: str) -> None:
    note = str(draft.get(("note",)) or "")
    if said not in note:
        draft.put(("note",), f"{note} {said}".strip()[: int(fields.field("note").high or 0)])


def _make_name(draft: Draft, table: str, i: int, old_kind: Any, kind: str) -> None:
    """Name an item after its kind, unless somebody named it."""
    now = draft.get((table, i, "name"))
    if now is not None and not (old_kind and re.fullmatch(rf"{re.escape(str(old_kind))}( [0-9]+)?", str(now))):
        return
    taken = {item.get("name") for k, item in enumerate(draft.get((table,))) if k != i} | {HEATER}
    name, n = kind, 1
    while name in taken:
        n += 1
        name = f"{kind} {n}"
    draft.put((table, i, "name"), name)
    draft.auto_named.add((table, i, "name"))
    if now:
        _rename(draft, table, str(now), name)


NAMING = {"exhaust": "devices_on", "appliance": "firing"}
"""Key of a test that names the items of a list."""


def _rename(draft: Draft, table: str, old: str, new: str) -> None:
    """Give an item its new name in the tests."""
    key = NAMING.get(table)
    for run in draft.get(("run",)) or ():
        if key in run:
            run[key] = [new if name == old else name for name in run[key]]
        if table == "appliance" and run.get("appliance") == old:
            run["appliance"] = new


def remove_item(draft: Draft, step: Step) -> None:
    """Take an item off its list, and its name out of the tests."""
    table, i, _ = step.place
    name = (draft.get((table, i)) or {}).get("name")
    draft.drop((table, i))
    key = NAMING.get(str(table))
    for run in draft.get(("run",)) or ():
        if name in run.get(key, ()):
            run[key].remove(name)


def leave_supply_out(draft: Draft, i: int) -> str:
    """Take a supply fan of unknown flow out of the case and say so in its note; return what the note says.

    Without it the list would not be whole, and a list that is not whole would say that there is no other fan: so all of it
    counts as not known.
    """
    fans = draft.get(("supply",))
    others = [_fan_words(fan) for k, fan in enumerate(fans) if k != i]
    name = str(fans[i]["name"])
    said = text("interview.note.left_out", name=name)
    if others:
        said = text("interview.note.left_out_with_others", name=name, others=listed(others))
    _note(draft, said)
    for k in reversed(range(len(fans))):
        draft.drop(("supply", k))
    draft.without_value.add(("supply",))
    return said


def _fan_words(fan: dict[str, Any]) -> str:
    ways = (("supply_cfm", "interview.note.cfm_in"), ("exhaust_cfm", "interview.note.cfm_out"))
    flows = [finding(message, flow=quantity(fan[key], "cfm", 1)) for key, message in ways if key in fan]
    return text("interview.note.fan", name=str(fan["name"]), flows=listed(flows)) if flows else str(fan["name"])
