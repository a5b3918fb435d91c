"""What the interview shows for one question: the question, the choices, the answer so far, and the help."""

from __future__ import annotations

from typing import Any

from advisor.case import fields
from advisor.case.upgrade import HEATER
from advisor.interview.answers import hint, listed, shown_value, unit_hint
from advisor.interview.draft import Draft
from advisor.interview.flow import SAME
from advisor.interview.questions import Step, is_open, words_of
from advisor.wording.speak import text

__all__ = [
    "ends_list", "explained", "field_of", "names_for", "now", "prompt", "removable", "required", "same_as", "section",
    "taken_as",
]  # fmt: skip


def section(table: str) -> str:
    """Return the heading over the questions of a table."""
    return text(f"interview.section.{table or 'case'}")


def field_of(step: Step) -> fields.Field | None:
    """Return what an answer may be; None where a table is asked for: yes or no."""
    return None if step.key in fields.TABLES else fields.field(step.key)


def names_for(draft: Draft, step: Step) -> list[str]:
    """Return the names that a test may give: of what ran, of the appliance that was judged, of what else fired."""
    if step.key not in ("run.appliance", "run.firing"):
        return [item["name"] for item in draft.get(("exhaust",)) or ()]
    others = [item["name"] for item in draft.get(("appliance",)) or ()]
    if step.key == "run.appliance":
        return [HEATER, *others]
    judged = draft.get((*step.place[:-1], "appliance")) or HEATER
    return [name for name in (HEATER, *others) if name != judged]


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
    item, what = _name_of_item(draft, step), field_of(step)
    short = hint(what, names_for(draft, step)) if what else text("interview.hint.yes_no")
    again = words_of("again", step.key) if step.opens and int(step.place[1]) > 0 else ""
    question = again or words_of("ask", step.key)
    asked = (f"[{item}] " if item else "") + question + (f" ({short})" if short else "")
    lines = listed(what) if what and what.kind in ("choice", "several") else []
    before, answer = same_as(draft, step), now(draft, step)
    if ends_list(draft, step) and not required(step) and answer is None:
        lines.append("  " + text("interview.enter.first" if step.place[1] == 0 else "interview.enter.no_more"))
    if before is not None and answer is None:
        lines.append("  " + text("interview.enter.same", value=shown_value(before, what)))
    if answer == [] and step.opens:
        lines.append("  " + text("interview.enter.now_none"))
    elif answer is not None:
        lines.append("  " + text("interview.enter.now", value=shown_value(answer, what)))
    return asked, lines


def explained(draft: Draft, step: Step) -> list[str]:
    """Return the help of a question, a paragraph each; choices stand below the first two."""
    what, paragraphs = field_of(step), [words_of("help", step.key)]
    if what and unit_hint(what):
        paragraphs.append(unit_hint(what))
    taken = taken_as(step)
    if taken:
        paragraphs.append(text("interview.explain.taken", taken=taken))
    if ends_list(draft, step) and step.place[0] != "run":
        paragraphs.append(text("interview.explain.open_list"))
    if removable(draft, step):
        paragraphs.append(text("interview.explain.remove"))
    return [*paragraphs, text("interview.explain.commands")]
