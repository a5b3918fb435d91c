"""The interview: one question at a time, from an empty file to a case; written down after every answer."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from advisor import catalog
from advisor.case import changes, fields
from advisor.case.answers import hint, listed, parse_answer, shown_value, unit_hint, yes_or_no
from advisor.case.draft import Draft, load_draft
from advisor.case.model import Case
from advisor.case.questions import Step, steps, words
from advisor.case.read import read_case
from advisor.case.write import Place
from advisor.errors import InputError, suggest

__all__ = ["COMMANDS", "DO_NOT_KNOW", "run_interview"]

Ask = Callable[[str], str]
Say = Callable[[str], None]
Closing = Callable[[Case], Sequence[str]]

COMMANDS = ("?", "back", "stop", "dk", "remove", "again")
DO_NOT_KNOW = ("", "dk", "don't know", "dont know", "do not know", "not known", "unknown", "don’t know", "idk")
NO_MORE = ("none", "no", "nothing", "no more", "done")
STOP = ("stop", "quit", "exit", "q")
PATIENCE = 20
"""Answers in a row that cannot be used before the interview stops, so that a stream of noise ends."""
WIDTH = 78
URGENT = {"occupants.symptoms": (True, "symptoms"), "occupants.alarm_sounded": (True, "symptoms")}
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
HELLO = (
    "Answer what you know. Press Enter, or type dk, for 'don't know'.",
    "Type ? to have a question explained, back to go back, stop to stop. Every answer is saved at once.",
)


class _Stop(Exception):
    """The person stopped, or the input ended."""


def run_interview(path: Path, ask: Ask, say: Say, closing: Closing | None = None) -> bool:
    """Ask what matters and write it to a case file; goes on where an earlier interview stopped.

    Parameters
    ----------
    path : Path
        Case file, written after every answer. It may not exist yet, or be unfinished, or written by hand.
    ask : callable
        Takes a prompt, returns a line; raises EOFError at the end of the input.
    say : callable
        Takes a line to show.
    closing : callable, optional
        Takes the finished case and returns lines on how sure the advice is and what would help most.

    Returns
    -------
    bool
        True when the file is a case that other commands accept.

    Raises
    ------
    InputError
        If the file cannot be used or written.
    """
    talk = _Talk(path, load_draft(path), ask, say)
    try:
        talk.run()
    except (_Stop, EOFError, KeyboardInterrupt):
        say("")
        return talk.stopped()
    return talk.finished(closing)


class _Talk:
    """One sitting."""

    def __init__(self, path: Path, draft: Draft, ask: Ask, say: Say) -> None:
        self.path, self.draft, self.ask, self.say = path, draft, ask, say
        self.section = ""
        self.told_enough = bool(draft.get(("run",)))
        self.failures = 0
        self.cursor: Step | None = None
        self.asked: set[Place] = set()

    # --- the loop -------------------------------------------------------------------------------------------------

    def run(self) -> None:
        """Ask until nothing is open."""
        resumed = self.draft.written is not None and bool(self.draft.data)
        self.say(f"Going on with {self.path}." if resumed else f"A new case: {self.path}")
        for line in HELLO:
            self.say(line)
        if self.draft.written is None:
            self.save()  # a folder that cannot be written to is told before the first question, not after it
        while True:
            step = self.cursor or self._first_open()
            if step is None:
                if self._wants_more():
                    continue
                return
            self.cursor = None
            self._one(step)

    def _open(self) -> list[Step]:
        return [step for step, answered in steps(self.draft) if not answered]

    def _first_open(self) -> Step | None:
        return next(iter(self._open()), None)

    def _read(self, prompt: str) -> str:
        line = self.ask(prompt)
        clean = re.sub(r"\x1b\[[0-9;?]*[A-Za-z~]|[\x00-\x08\x0b-\x1f\x7f-\x9f\ud800-\udfff]", "", line)
        text = " ".join(clean.split())
        if text.casefold() in STOP:
            raise _Stop
        return text

    def _fail(self, words: str) -> None:
        self._wrapped(words)
        self.failures += 1
        if self.failures >= PATIENCE:
            self.say(f"{PATIENCE} answers in a row could not be used.")
            raise _Stop

    def _wrapped(self, words: str, indent: str = "  ") -> None:
        for line in textwrap.wrap(words, WIDTH, initial_indent=indent, subsequent_indent=indent):
            self.say(line)

    # --- one question ---------------------------------------------------------------------------------------------

    def _one(self, step: Step) -> None:
        self._heading(step)
        self._show(step)
        while True:
            text = self._read("> ")
            low = text.casefold()
            if low == "back":
                if self._go_back(step):
                    return
            elif text == "?" or low == "help":
                self._explain(step)
            elif low == "remove" and self._removable(step):
                self._remove(step)
                return
            elif self._is_unknown(text, step):
                if self._leave_open(step, explicit=bool(text)):
                    return
            elif self._take(step, text):
                self.failures = 0
                return

    def _heading(self, step: Step) -> None:
        table = str(step.place[0]) if len(step.place) > 1 or step.key in fields.TABLES else ""
        title = SECTIONS[table]
        if title != self.section:
            self.section = title
            left = len(self._open())
            self.say("")
            self.say(f"== {title} == ({left} questions to go, if no more come up)" if left > 1 else f"== {title} ==")

    def _question(self, step: Step) -> str:
        row = words()[step.key]
        if step.opens and int(step.place[1]) > 0 and row["again"]:
            return row["again"]
        return row["question"]

    def _name_of_item(self, step: Step) -> str:
        if len(step.place) == 3 and not (step.opens and self.draft.get(step.place) is None):
            table, i, _ = step.place
            item = self.draft.get((table, i)) or {}
            name = item.get("name") or item.get("label") or item.get("kind")
            return f"{str(table).replace('_', ' ')} {int(i) + 1}" + (f", {name}" if name else "")
        return ""

    def _show(self, step: Step) -> None:
        self.say("")
        item = self._name_of_item(step)
        what = self._field(step)
        short = hint(what, self._devices()) if what else "yes or no"
        text = (f"[{item}] " if item else "") + self._question(step) + (f" ({short})" if short else "")
        self._wrapped(text, "")
        if what and what.kind in ("choice", "several"):
            for line in listed(what):
                self.say(line)
        if step.opens and not self._required(step) and self.draft.get(step.place) is None:
            self.say("  (Enter: no more)" if int(step.place[1]) else "  (Enter: there is none)")
        now = self.draft.get(step.place)
        if now is not None and step.key not in fields.TABLES:
            self._wrapped(f"Now: {shown_value(now, what)}. Enter keeps it; dk takes it away.")
        elif step.key in fields.TABLES and now is not None:
            self.say("  Now: yes. Enter keeps it.")

    def _field(self, step: Step) -> fields.Field | None:
        return None if step.key in fields.TABLES else fields.field(step.key)

    def _devices(self) -> list[str]:
        return [item["name"] for item in self.draft.get(("exhaust",)) or ()]

    def _explain(self, step: Step) -> None:
        self._wrapped(words()[step.key]["help"])
        what = self._field(step)
        if what and unit_hint(what):
            self._wrapped(unit_hint(what))
        if what and what.kind in ("choice", "several"):
            for line in listed(what):
                self.say(line)
        taken = self._taken_as(step)
        if taken:
            self._wrapped(f"If you do not know: {taken} is taken.")
        if self._removable(step):
            self._wrapped("Type remove to take this one off the list.")
        self._wrapped("Other words that work at any question: back, stop, dk (don't know).")

    def _required(self, step: Step) -> bool:
        if step.key == "heater.input_btu_h":
            return True
        return step.key == "run.seen" and step.place[1] == 0

    def _taken_as(self, step: Step) -> str:
        """Return what the case holds when a question is left open, if it holds anything."""
        what = self._field(step)
        if what is None or step.opens or what.default in (None, "") or what.default is fields.NOTHING:
            return ""
        if what.kind == "text":
            return ""
        value = shown_value(what.default, what)
        return f"'{value}'"

    # --- answers --------------------------------------------------------------------------------------------------

    def _is_unknown(self, text: str, step: Step) -> bool:
        what = self._field(step)
        low = text.casefold()
        if low in DO_NOT_KNOW:
            return not (what and low in what.choices)
        ends_list = (
            step.opens and self.draft.get(step.place) is None and low in ("none", "no", "nothing", "no more", "done")
        )
        return bool(ends_list and what and low not in what.choices)

    def _leave_open(self, step: Step, explicit: bool) -> bool:
        """Note that a question has no answer; False when it needs one."""
        now = self.draft.get(step.place)
        self.draft.auto_named.discard(step.place)
        if now is not None and (not explicit or step.opens or step.key in fields.TABLES or step.place[-1] == "name"):
            return True  # Enter keeps what is there
        if self._required(step):
            self._fail("This one is needed: without it nothing can be worked out. Type stop to go on another day.")
            return False
        self.failures = 0
        if step.key == "supply.supply_cfm":
            self._leave_supply_out(step)
            return True
        before = changes.applicable(self.draft)
        if now is not None:
            self.draft.drop(step.place)
        self.draft.without_value.add(step.mark)
        taken = self._taken_as(step)
        if taken:
            self._wrapped(f"Not known; {taken} is taken for now.")
        self._commit(before)
        return True

    def _leave_supply_out(self, step: Step) -> None:
        said = changes.leave_supply_out(self.draft, int(step.place[1]))
        self._wrapped(said + " That stands in the note of the case.")
        self.save()

    def _take(self, step: Step, text: str) -> bool:
        """Use an answer; False when it cannot be used."""
        what = self._field(step)
        try:
            value: Any = yes_or_no(text) if what is None else parse_answer(text, step.key, self._devices())
        except InputError as error:
            near = suggest(text.casefold(), [c for c in COMMANDS if len(c) > 2]) if len(text) > 2 else ""
            self._fail(f"{error}{'' if 'did you mean' in str(error) else near}. Type ? for more.")
            return False
        if what and what.kind == "number":
            shown = shown_value(value, what)
            if not re.match(rf"{re.escape(f'{value:g}')}(?![0-9.,/ ]*[0-9kx/'])", text.replace(",", "")):
                self.say(f"  = {shown}")
            negative = words()[step.key]["negative"]
            if value < 0 and negative and not self._sure(negative, shown):
                return False
        before, undo = changes.applicable(self.draft), self.draft.snapshot()
        changes.take_in(self.draft, step, value)
        problem = self.draft.problem()
        if problem:
            self.draft.restore(undo)
            self._fail(f"That does not go together with an earlier answer: {problem}. Type back to change that one.")
            return False
        self._commit(before)
        self._urgent(step, value)
        return True

    def _sure(self, warning: str, shown: str) -> bool:
        self._wrapped(f"{warning} Is {shown} what you mean? (yes or no)")
        while True:
            try:
                sure = yes_or_no(self._read("> "))
                if not sure:
                    self.say("  Then type the value once more.")
                return sure
            except InputError as error:
                self._fail(str(error))

    def _urgent(self, step: Step, value: Any) -> None:
        now = {row["key"]: row["words"] for row in catalog.table("words_now")}
        if step.key in URGENT and value is URGENT[step.key][0]:
            self._wrapped(f"!! {now[URGENT[step.key][1]]}")
        elif step.key == "run.seen" and value in ("spilling", "reversed"):
            self._wrapped(f"!! {now['spills']}")

    # --- moving about ---------------------------------------------------------------------------------------------

    def _go_back(self, step: Step) -> bool:
        earlier: list[Step] = []
        for other, _ in steps(self.draft):
            if other.place == step.place:
                break
            earlier.append(other)
        if not earlier:
            self.say("  This is the first question.")
            return False
        self.cursor = earlier[-1]
        return True

    def _removable(self, step: Step) -> bool:
        return step.opens and self.draft.get(step.place) is not None

    def _remove(self, step: Step) -> None:
        if self._required(step) and len(self.draft.get(step.place[:1])) == 1:
            self._fail("One test is needed; change this one instead.")
            return
        before = changes.applicable(self.draft)
        changes.remove_item(self.draft, step)
        self.say("  Taken off the list.")
        self._commit(before)

    def _wants_more(self) -> bool:
        """At the end: offer to go through what was left open once more."""
        unknown = [s for s, _ in steps(self.draft) if self.draft.get(s.place) is None and not s.opens]
        unknown = [s for s in unknown if s.key not in fields.TABLES and s.place not in self.asked]
        if not unknown:
            return False
        self.say("")
        self._wrapped(
            f"That was the last question. You left {len(unknown)} open. Press Enter to finish, type again to go "
            "through those, or back to change an answer.",
            "",
        )
        while True:
            low = self._read("> ").casefold()
            if low == "again":
                self.asked |= {s.place for s in unknown}
                self.draft.without_value -= {s.mark for s in unknown}
                self.save()
                return True
            if low == "back":
                self.cursor = [s for s, _ in steps(self.draft)][-1]
                return True
            if low in (*DO_NOT_KNOW, "finish", "done"):
                return False
            self._fail(
                f"'{low}' is not understood{suggest(low, ('again', 'back', 'stop'))}; Enter, again, back or stop"
            )

    # --- writing --------------------------------------------------------------------------------------------------

    def _commit(self, before: set[Place]) -> None:
        """Settle what applies now, and write the file."""
        changes.settle(self.draft, before)
        self.save()
        if not self.told_enough and self.draft.get(("run", 0, "seen")) and (("run",) in self.draft.without_value):
            self.told_enough = True
            self.say("")
            self._wrapped(
                "That is enough for a first answer. You can stop at any time; more answers make it surer.", ""
            )

    def save(self) -> None:
        """Write the file."""
        self.draft.save(self.path, self._header())

    def _header(self) -> tuple[str, ...]:
        still = [s.key + (f" ({int(s.place[1]) + 1})" if len(s.place) == 3 else "") for s in self._open()]
        head = [
            "A case: one house, one heater, one test record. US units; a key that is absent is not known.",
            "Lines that start with #: belong to the interview (advisor new), which reads them when it goes on.",
        ]
        if not still:
            return (*head, "The interview is finished.")
        lines = textwrap.wrap("Not asked yet: " + ", ".join(dict.fromkeys(still)), 110, break_long_words=False)
        return (*head, *lines)

    # --- the end --------------------------------------------------------------------------------------------------

    def stopped(self) -> bool:
        """Say where things stand after a stop."""
        left = len(self._open())
        self.say(f"Stopped; every answer is in {self.path}. To go on: advisor new {self.path}")
        usable = self._usable()
        if left:
            self.say(f"Open questions: {left}." + ("" if usable else " Heater input and one test are needed first."))
        return usable

    def finished(self, closing: Closing | None) -> bool:
        """Say how sure the advice would be."""
        self.say("")
        self.say(f"Done: {self.path} is complete. See what to do: advisor rank {self.path}")
        case = read_case(self.path)
        if closing:
            for line in closing(case):
                self._wrapped(line, "")
        return True

    def _usable(self) -> bool:
        try:
            read_case(self.path)
        except InputError:
            return False
        return True
