"""The interview: one question at a time, from an empty file to a case; written down after every answer."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from advisor.case import changes, fields
from advisor.case.answers import listed, parse_answer, shown_value, yes_or_no
from advisor.case.draft import Draft, load_draft
from advisor.case.model import Case
from advisor.case.prompts import (
    SECTIONS,
    devices,
    ends_list,
    explained,
    field_of,
    now,
    prompt,
    removable,
    required,
    same_as,
    taken_as,
)
from advisor.case.questions import Step, steps, words
from advisor.case.read import read_case
from advisor.case.urgent import RoomLevel, urgent_finding, urgent_key, urgent_keys
from advisor.case.write import SHARED, Place
from advisor.errors import InputError, suggest
from advisor.findings import Finding

__all__ = ["COMMANDS", "DO_NOT_KNOW", "run_interview"]

Ask = Callable[[str], str]
Say = Callable[[str], None]
Closing = Callable[[Case], Sequence[str]]
Spoken = Callable[[Finding], str]

COMMANDS = ("?", "back", "stop", "dk", "remove", "again", "same")
DO_NOT_KNOW = ("", "dk", "don't know", "dont know", "do not know", "not known", "unknown", "don’t know", "idk")
NONE = ("none", "no", "nothing", "there is none")
NO_MORE = (*NONE, "no more", "done")
STOP = ("stop", "quit", "exit", "q")
PATIENCE = 20
"""Answers in a row that cannot be used before the interview stops, so that a stream of noise ends."""
WIDTH = 78
HELLO = (
    "Answer what you know. Press Enter, or type dk, for 'don't know'.",
    "Type ? to have a question explained, back to go back, stop to stop. Every answer is saved at once.",
)


def name_of(words: Finding) -> str:
    """Return the id of what is to be said: for a caller that knows no sentences."""
    return words.id


class _Stop(Exception):
    """The person stopped, or the input ended."""


def run_interview(
    path: Path,
    ask: Ask,
    say: Say,
    closing: Closing | None = None,
    room_level: RoomLevel | None = None,
    spoken: Spoken = name_of,
) -> bool:
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
        Takes the finished case and returns lines on what it shows and what would help most.
    room_level : callable, optional
        Takes CO in the room, ppm; returns the id of the published action level that it reaches, or None. What a level asks
        for is said at once.
    spoken : callable, optional
        Turns a finding into a sentence; without it its id is shown.

    Returns
    -------
    bool
        True when the file is a case that other commands accept.

    Raises
    ------
    InputError
        If the file cannot be used or written.
    """
    talk = _Talk(path, load_draft(path), ask, say, room_level, spoken)
    try:
        talk.run()
    except (_Stop, EOFError, KeyboardInterrupt):
        say("")
        return talk.stopped()
    return talk.finished(closing)


class _Talk:
    """One sitting."""

    def __init__(
        self, path: Path, draft: Draft, ask: Ask, say: Say, room_level: RoomLevel | None, spoken: Spoken
    ) -> None:
        self.path, self.draft, self.ask, self.say = path, draft, ask, say
        self.room_level, self.spoken = room_level, spoken
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
        for key in urgent_keys(self.draft.data, self.room_level):
            self._wrapped(f"!! {self.spoken(urgent_finding(key))}")
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
        text, lines = prompt(self.draft, step)
        self.say("")
        self._wrapped(text, "")
        for line in lines:
            self.say(line) if line.startswith("   ") else self._wrapped(line.strip())
        while not self._answered(step, self._read("> ")):
            pass

    def _answered(self, step: Step, text: str) -> bool:
        """Use one line; False when the question stays."""
        low = text.casefold()
        if low == "back":
            return self._go_back(step)
        if text == "?" or low == "help":
            self._explain(step)
            return False
        if low == "remove" and removable(self.draft, step):
            self._remove(step)
            return True
        if self._says_none(low, step):
            self._take_none(step)
            return True
        if self._is_unknown(low, step):
            return self._leave_open(step, explicit=bool(text) and low in DO_NOT_KNOW)
        same = same_as(self.draft, step) if low == "same" else None
        return self._take(step, same) if same is not None else self._take_text(step, text)

    def _heading(self, step: Step) -> None:
        table = str(step.place[0]) if len(step.place) > 1 or step.key in fields.TABLES else ""
        title = SECTIONS[table]
        if title != self.section:
            self.section = title
            left = len(self._open())
            self.say("")
            self.say(f"== {title} == ({left} questions to go, if no more come up)" if left > 1 else f"== {title} ==")

    def _explain(self, step: Step) -> None:
        paragraphs, what = explained(self.draft, step), field_of(step)
        for words_ in paragraphs[:-1]:
            self._wrapped(words_)
        if what and what.kind in ("choice", "several"):
            for line in listed(what):
                self.say(line)
        self._wrapped(paragraphs[-1])

    # --- answers --------------------------------------------------------------------------------------------------

    def _says_none(self, low: str, step: Step) -> bool:
        first = ends_list(self.draft, step) and step.place[1] == 0
        return first and not required(step) and low in NONE

    def _take_none(self, step: Step) -> None:
        before = changes.applicable(self.draft)
        changes.say_none(self.draft, str(step.place[0]))
        self.failures = 0
        self._commit(before)

    def _is_unknown(self, low: str, step: Step) -> bool:
        what = field_of(step)
        if low in DO_NOT_KNOW:
            return not (what and low in what.choices)
        return ends_list(self.draft, step) and step.place[1] != 0 and low in NO_MORE

    def _leave_open(self, step: Step, explicit: bool) -> bool:
        """Note that a question has no answer; False when it needs one."""
        answer = now(self.draft, step)
        self.draft.auto_named.discard(step.place)
        kept = removable(self.draft, step) or step.place[-1] == "name"
        if answer is not None and (not explicit or kept):
            return True  # Enter keeps what is there
        if required(step):
            self._fail("This one is needed: without it nothing can be worked out. Type stop to go on another day.")
            return False
        self.failures = 0
        if step.key == "supply.supply_cfm":
            said = changes.leave_supply_out(self.draft, int(step.place[1]))
            self._wrapped(said + " That stands in the note of the case.")
            self.save()
            return True
        before = changes.applicable(self.draft)
        if explicit and ends_list(self.draft, step) and step.place[1] != 0 and step.place[0] != "run":
            said = changes.perhaps_more(self.draft, str(step.place[0]))
            self._wrapped(said + " That stands in the note of the case. A test proves a pass only with a whole list.")
        changes.leave_open(self.draft, step)
        taken = taken_as(step)
        if taken:
            self._wrapped(f"Not known; {taken} is taken for now.")
        self._commit(before)
        return True

    def _take_text(self, step: Step, text: str) -> bool:
        """Use what was typed; False when it cannot be used."""
        what = field_of(step)
        try:
            value: Any = yes_or_no(text) if what is None else parse_answer(text, step.key, devices(self.draft))
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
        return self._take(step, value)

    def _take(self, step: Step, value: Any) -> bool:
        """Put an answer in its place; False when it contradicts an earlier one."""
        before, undo = changes.applicable(self.draft), self.draft.snapshot()
        changes.take_in(self.draft, step, value)
        problem = self.draft.problem()
        if problem:
            self.draft.restore(undo)
            self._fail(f"That does not go together with an earlier answer: {problem}. Type back to change that one.")
            return False
        self.failures = 0
        self._commit(before)
        key = urgent_key(step.key, value, self.room_level)
        if key:
            self._wrapped(f"!! {self.spoken(urgent_finding(key))}")
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

    def _remove(self, step: Step) -> None:
        if required(step) and len(self.draft.get(step.place[:1])) == 1:
            self._fail("One test is needed; change this one instead.")
            return
        before = changes.applicable(self.draft)
        changes.remove_item(self.draft, step)
        self.say("  Taken off the list.")
        self._commit(before)

    def _left_open(self, step: Step) -> bool:
        """Tell whether a question has no answer that counts: a list that is not known is one, the end of a list is none."""
        if step.opens and step.place[1] != 0:
            return False
        return now(self.draft, step) is None and (step.key not in fields.TABLES or step.key == SHARED)

    def _wants_more(self) -> bool:
        """At the end: offer to go through what was left open once more."""
        unknown = [s for s, _ in steps(self.draft) if self._left_open(s) and s.place not in self.asked]
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
                self.draft.without_value -= {changes.mark_of(self.draft, s) for s in unknown}
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
            self._wrapped("That is enough for a first answer. You can stop at any time; more answers tell more.", "")

    def save(self) -> None:
        """Write the file."""
        self.draft.save(self.path, self._header())

    def _header(self) -> tuple[str, ...]:
        still = [s.key + (f" ({int(s.place[1]) + 1})" if len(s.place) == 3 else "") for s in self._open()]
        head = [
            "A case: one house, one heater, one test record. US units; a key or list that is absent is not known.",
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
        """Say what the case shows."""
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
