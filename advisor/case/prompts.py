"""What the interview shows for one question: the question, the choices, the answer so far, and the help."""

from __future__ import annotations

from typing import Any

from advisor.case import fields
from advisor.case.answers import hint, listed, shown_value, unit_hint
from advisor.case.draft import Draft
from advisor.case.questions import SAME, Step, is_open, words

__all__ = [
    "SECTIONS", "devices", "ends_list", "explained", "field_of", "now", "prompt", "removable", "required", "same_as",
    "taken_as",
]  # fmt: skip

SECTIONS = {
    "": "This case",
    "heater": "The heater",
    "occupants": "The people",
    "zone": "Where the heater stands",
    "opening": "Air from outdoors",
    "vent": "The vent",
    "shared_appliance": "The vent",
    "other_appliance": "Other appliances",
    "exhaust": "What takes air out",
    "supply": "What brings air in",
    "air_handler": "Blower and ducts",
    "run": "The tests",
    "house": "The house",
    "terminal": "The top of the vent",
    "services": "What new work could use",
    "money": "Prices",
}


def field_of(step: Step) -> fields.Field | None:
    """Return what an answer may be; None where a table is asked for: yes or no."""
    return None if step.key in fields.TABLES else fields.field(step.key)


def devices(draft: Draft) -> list[str]:
    """Return the names that a test may give for what ran."""
    return [item["name"] for item in draft.get(("exhaust",)) or ()]


def required(step: Step) -> bool:
    """Tell whether nothing can be worked out without an answer."""
    return step.key == "heater.input_btu_h" or (step.key == "run.seen" and step.place[1] == 0)


def ends_list(draft: Draft, step: Step) -> bool:
    """Tell whether a question asks for one more item of a list."""
    return step.opens and draft.get(step.place[:2]) is None


def removable(draft: Draft, step: Step) -> bool:
    """Tell whether a question opens an item that can be taken off its list."""
    return step.opens and draft.get(step.place[:2]) is not None


def now(draft: Draft, step: Step) -> Any:
    """Return the answer so far; None when there is none."""
    if step.key in fields.TABLES:
        return is_open(draft, step.key)
    if step.opens and step.place[1] == 0 and draft.get(step.place[:1]) == []:
        return []
    return draft.get(step.place)


def same_as(draft: Draft, step: Step) -> Any:
    """Return how the test before was set up in this point; None where nobody said, or nothing may be taken over."""
    if step.key not in SAME or step.place[1] == 0:
        return None
    table, i, name = step.place
    return draft.get((table, int(i) - 1, name))


def taken_as(step: Step) -> str:
    """Return what the case holds when a question is left open, if it holds anything."""
    what = field_of(step)
    if what is None or step.opens or what.default in (None, "", []) or what.default is fields.NOTHING:
        return ""
    return "" if what.kind == "text" else f"'{shown_value(what.default, what)}'"


def _name_of_item(draft: Draft, step: Step) -> str:
    if len(step.place) == 3 and not ends_list(draft, step):
        table, i, _ = step.place
        item = draft.get((table, i)) or {}
        name = item.get("name") or item.get("label") or item.get("kind")
        return f"{str(table).replace('_', ' ')} {int(i) + 1}" + (f", {name}" if name else "")
    return ""


def prompt(draft: Draft, step: Step) -> tuple[str, list[str]]:
    """Return the question, and the lines below it: choices, what Enter means, the answer so far."""
    item, what, row = _name_of_item(draft, step), field_of(step), words()[step.key]
    short = hint(what, devices(draft)) if what else "yes or no"
    question = row["again"] if step.opens and int(step.place[1]) > 0 and row["again"] else row["question"]
    text = (f"[{item}] " if item else "") + question + (f" ({short})" if short else "")
    lines = listed(what) if what and what.kind in ("choice", "several") else []
    before, answer = same_as(draft, step), now(draft, step)
    if ends_list(draft, step) and not required(step) and answer is None:
        first = "(none: there is none; Enter or dk: not known)"
        lines.append(f"  {first if step.place[1] == 0 else '(Enter: no more)'}")
    if before is not None and answer is None:
        lines.append(f"  (same: {shown_value(before, what)}, as in the test before)")
    if answer == [] and step.opens:
        lines.append("  Now: there is none. Enter keeps it; dk takes it away.")
    elif answer is not None:
        lines.append(f"  Now: {shown_value(answer, what)}. Enter keeps it; dk takes it away.")
    return text, lines


def explained(draft: Draft, step: Step) -> list[str]:
    """Return the help of a question, a paragraph each; choices stand below the first two."""
    what, paragraphs = field_of(step), [words()[step.key]["help"]]
    if what and unit_hint(what):
        paragraphs.append(unit_hint(what))
    taken = taken_as(step)
    if taken:
        paragraphs.append(f"If you do not know: {taken} is taken.")
    if ends_list(draft, step) and step.place[0] != "run":
        paragraphs.append("A list that is left open counts as not known. Type none only if somebody looked.")
    if removable(draft, step):
        paragraphs.append("Type remove to take this one off the list.")
    return [*paragraphs, "Other words that work at any question: back, stop, dk (don't know)."]
