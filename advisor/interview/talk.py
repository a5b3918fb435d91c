"""The interview: one question at a time, from an empty file to a case; written down after every answer."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from advisor.case import fields
from advisor.case.model import Case
from advisor.case.read import read_case
from advisor.case.write import Place
from advisor.errors import InputError, suggest
from advisor.findings import listed as listing
from advisor.interview import changes
from advisor.interview.answers import listed, parse_answer, shown_value, yes_or_no
from advisor.interview.draft import Draft, load_draft
from advisor.interview.prompts import (
    ends_list,
    explained,
    field_of,
    names_for,
    now,
    prompt,
    removable,
    required,
    same_as,
    section,
    taken_as,
)
from advisor.interview.questions import Step, steps, words_of
from advisor.interview.urgent import RoomLevel, urgent_key, urgent_keys, urgent_words
from advisor.wording.speak import text

__all__ = ["COMMANDS", "DO_NOT_KNOW", "run_interview"]

Ask = Callable[[str], str]
Say = Callable[[str], None]
Closing = Callable[[Case], Sequence[str]]

COMMANDS = ("?", "back", "stop", "dk", "remove", "again", "same")
DO_NOT_KNOW = ("", "dk", "don't know", "dont know", "do not know", "not known", "unknown", "don’t know", "idk")
NONE = ("none", "no", "nothing", "there is none")
NO_MORE = (*NONE, "no more", "done")
STOP = ("stop", "quit", "exit", "q")
PATIENCE = 20
"""Answers in a row that cannot be used before the interview stops, so that a stream of noise ends."""
WIDTH = 78


class _Stop(Exception):
    """The person stopped, or the input ended."""


def run_interview(
    path: Path, ask: Ask, say: Say, closing: Closing | None = None, room_level: RoomLevel | None = None
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

    Returns
    -------
    bool
        True when the file is a case that other commands accept.

    Raises
    ------
    InputError
        If the file cannot be used or written.
    """
    talk = _Talk(path, load_draft(path), ask, say, room_level)
    try:
        talk.run()
    except (_Stop, EOFError, KeyboardInterrupt):
        say("")
        return talk.stopped()
    return talk.finished(closing)


class _Talk:
    """One sitting."""

    def __init__(self, path: Path, draft: Draft, ask: Ask, say: Say, room_level: RoomLevel | None) -> None:
        self.path, self.draft, self.ask, self.say = path, draft, ask, say
        self.room_level = room_level
        self.section = ""
        self.told_enough = bool(draft.get(("run",)))
        self.failures = 0
        self.cursor: Step | None = None
        self.asked: set[Place] = set()

    # --- the loop -------------------------------------------------------------------------------------------------

    def run(self) -> None:
        """Ask until nothing is open."""
        resumed = self.draft.written is not None and bool(self.draft.data)
        self.say(text("interview.talk.going_on" if resumed else "interview.talk.new", path=str(self.path)))
        for key in urgent_keys(self.draft.data, self.room_level):
            self._wrapped(f"!! {urgent_words(key)}")
        self.say(text("interview.talk.hello"))
        self.say(text("interview.talk.hello_commands"))
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
        typed = " ".join(clean.split())
        if typed.casefold() in STOP:
            raise _Stop
        return typed

    def _fail(self, words: str) -> None:
        self._wrapped(words)
        self.failures += 1
        if self.failures >= PATIENCE:
            self.say(text("interview.talk.patience", count=PATIENCE))
            raise _Stop

    def _wrapped(self, words: str, indent: str = "  ") -> None:
        for line in textwrap.wrap(words, WIDTH, initial_indent=indent, subsequent_indent=indent):
            self.say(line)

    # --- one question ---------------------------------------------------------------------------------------------

    def _one(self, step: Step) -> None:
        self._heading(step)
        asked, lines = prompt(self.draft, step)
        self.say("")
        self._wrapped(asked, "")
        for line in lines:
            self.say(line) if line.startswith("   ") else self._wrapped(line.strip())
        while not self._answered(step, self._read("> ")):
            pass

    def _answered(self, step: Step, typed: str) -> bool:
        """Use one line; False when the question stays."""
        low = typed.casefold()
        if low == "back":
            return self._go_back(step)
        if typed == "?" or low == "help":
            self._explain(step)
            return False
        if low == "remove" and removable(self.draft, step):
            self._remove(step)
            return True
        if self._says_none(low, step):
            self._take_none(step)
            return True
        if self._is_unknown(low, step):
            return self._leave_open(step, explicit=bool(typed) and low in DO_NOT_KNOW)
        same = same_as(self.draft, step) if low == "same" else None
        return self._take(step, same) if same is not None else self._take_text(step, typed)

    def _heading(self, step: Step) -> None:
        table = str(step.place[0]) if len(step.place) > 1 or step.key in fields.TABLES else ""
        title = section(table)
        if title != self.section:
            self.section = title
            left = len(self._open())
            self.say("")
            self.say(
                text("interview.talk.section_to_go" if left > 1 else "interview.talk.section", title=title, left=left)
            )

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
            self._fail(text("interview.talk.needed"))
            return False
        self.failures = 0
        if step.key == "supply.supply_cfm":
            said = changes.leave_supply_out(self.draft, int(step.place[1]))
            self._wrapped(text("interview.talk.stands_in_note", said=said))
            self.save()
            return True
        before = changes.applicable(self.draft)
        if explicit and ends_list(self.draft, step) and step.place[1] != 0 and step.place[0] != "run":
            said = changes.perhaps_more(self.draft, str(step.place[0]))
            self._wrapped(text("interview.talk.stands_in_note_whole_list", said=said))
        changes.leave_open(self.draft, step)
        taken = taken_as(step)
        if taken:
            self._wrapped(text("interview.talk.taken_for_now", taken=taken))
        self._commit(before)
        return True

    def _take_text(self, step: Step, typed: str) -> bool:
        """Use what was typed; False when it cannot be used."""
        what = field_of(step)
        try:
            value: Any = (
                yes_or_no(typed) if what is None else parse_answer(typed, step.key, names_for(self.draft, step))
            )
        except InputError as error:
            near = suggest(typed.casefold(), [c for c in COMMANDS if len(c) > 2]) if len(typed) > 2 else ""
            self._fail(text("interview.talk.slip", said=str(error), near="" if error.suggested else near))
            return False
        if value is None:
            return self._leave_open(step, explicit=True)
        if what and what.kind == "number":
            shown = shown_value(value, what)
            if not re.match(rf"{re.escape(f'{value:g}')}(?![0-9.,/ ]*[0-9kx/'])", typed.replace(",", "")):
                self.say(f"  = {shown}")
            negative = words_of("negative", step.key)
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
            self._fail(text("interview.talk.contradicts", problem=problem))
            return False
        self.failures = 0
        self._commit(before)
        key = urgent_key(step.key, value, self.room_level)
        if key:
            self._wrapped(f"!! {urgent_words(key)}")
        return True

    def _sure(self, warning: str, shown: str) -> bool:
        self._wrapped(text("interview.talk.sure", warning=warning, shown=shown))
        while True:
            try:
                sure = yes_or_no(self._read("> "))
                if not sure:
                    self.say("  " + text("interview.talk.once_more"))
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
            self.say("  " + text("interview.talk.first_question"))
            return False
        self.cursor = earlier[-1]
        return True

    def _remove(self, step: Step) -> None:
        if required(step) and len(self.draft.get(step.place[:1])) == 1:
            self._fail(text("interview.talk.one_test_needed"))
            return
        before = changes.applicable(self.draft)
        changes.remove_item(self.draft, step)
        self.say("  " + text("interview.talk.taken_off"))
        self._commit(before)

    def _left_open(self, step: Step) -> bool:
        """Tell whether a question has no answer that counts: a list that is not known is one, the end of a list is none."""
        if step.opens and step.place[1] != 0:
            return False
        return now(self.draft, step) is None and step.key not in fields.TABLES

    def _wants_more(self) -> bool:
        """At the end: offer to go through what was left open once more."""
        unknown = [s for s, _ in steps(self.draft) if self._left_open(s) and s.place not in self.asked]
        if not unknown:
            return False
        self.say("")
        self._wrapped(
            text("interview.talk.last_question", left=len(unknown)),
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
            self._fail(text("interview.talk.not_understood", typed=low, near=suggest(low, ("again", "back", "stop"))))

    # --- writing --------------------------------------------------------------------------------------------------

    def _commit(self, before: set[Place]) -> None:
        """Settle what applies now, and write the file."""
        changes.settle(self.draft, before)
        self.save()
        if not self.told_enough and self.draft.get(("run", 0, "seen")) and (("run",) in self.draft.without_value):
            self.told_enough = True
            self.say("")
            self._wrapped(text("interview.talk.enough"), "")

    def save(self) -> None:
        """Write the file."""
        self.draft.save(self.path, self._header())

    def _header(self) -> tuple[str, ...]:
        still = [s.key + (f" ({int(s.place[1]) + 1})" if len(s.place) == 3 else "") for s in self._open()]
        head = [
            text("interview.file.case"),
            text("interview.file.remarks"),
        ]
        if not still:
            return (*head, text("interview.file.finished"))
        lines = textwrap.wrap(
            text("interview.file.not_asked", keys=listing(dict.fromkeys(still))), 110, break_long_words=False
        )
        return (*head, *lines)

    # --- the end --------------------------------------------------------------------------------------------------

    def stopped(self) -> bool:
        """Say where things stand after a stop."""
        left = len(self._open())
        self.say(text("interview.talk.stopped", path=str(self.path)))
        usable = self._usable()
        if left:
            self.say(text("interview.talk.open" if usable else "interview.talk.open_needed", left=left))
        return usable

    def finished(self, closing: Closing | None) -> bool:
        """Say what the case shows."""
        self.say("")
        self.say(text("interview.talk.done", path=str(self.path)))
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
