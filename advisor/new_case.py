"""The command ``advisor new``: the interview at the keyboard, and what the record shows at its end."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import TextIO

from advisor import catalog
from advisor.case.model import Case
from advisor.facts.assumed import assumed_values
from advisor.facts.audit import Audit, audits
from advisor.facts.beside import test_order
from advisor.facts.carbon_monoxide import room_level
from advisor.facts.now import now_list
from advisor.facts.record import Verdict, verdict_of
from advisor.findings import share
from advisor.interview.talk import run_interview
from advisor.wording.speak import say_all, text

__all__ = ["closing_words", "interview"]

MOST = 8
"""Unknown values to name: more than that nobody reads."""


def closing_words(case: Case) -> tuple[str, ...]:
    """Return what to do now, what the tests show, what is missing for a valid pass, and which answers would help most.

    The verdict of the record leads. Nothing modelled stands beside a danger, or beside a record that proves nothing.
    """
    verdict = verdict_of(case)
    found = audits(case, verdict)
    lines = say_all(now_list(case, verdict))
    lines += [text("interview.closing.test", label=one.label, shows=one.shows) for one in found]
    lines += [
        text(
            "interview.closing.test",
            label=text("view.appliance.run", name=other.name, label=one.label),
            shows=one.shows,
        )
        for other in verdict.others
        for one in other.audits
    ]
    lines += say_all(test_order(case) if any(other.asked_for for other in verdict.others) else ())
    lines += _modelled(case, verdict)
    lines += _still_to_do(verdict, found)
    unknown = assumed_values(case)
    if unknown and not verdict.dangers:
        lines.append(text("interview.closing.would_help"))
        lines += [f"{i}. {words}" for i, words in enumerate(say_all(unknown[:MOST]), 1)]
        if len(unknown) > MOST:
            lines.append(text("interview.closing.more", left=len(unknown) - MOST))
    lines.append(text("interview.closing.aid"))
    return tuple(lines)


def _modelled(case: Case, verdict: Verdict) -> list[str]:
    """Return what was found and how sure it is: only for a record that a failure or a pass speaks for."""
    if verdict.leads not in ("failed", "passed"):
        return []
    from advisor.advice import advise

    found = advise(case).found  # as many situations as the ranking, so that both say the same
    lines = [text("interview.closing.so_far", found=found.sentence)]
    named = [c for c in found.causes if c.named]
    if verdict.failed and named:
        first = named[0]
        fairly, guess = (catalog.number("causes_limits", f"{name}_share") for name in ("fairly_sure", "fair_guess"))
        sure = "fairly" if first.stops_alone >= fairly else "a_guess" if first.stops_alone >= guess else "not"
        lines.append(text(f"interview.closing.sure_{sure}", cause=first.words, share=share(first.stops_alone)))
    return lines


def _still_to_do(verdict: Verdict, found: tuple[Audit, ...]) -> list[str]:
    """Return what is to be written down or done again for a valid pass: by the test that lacks least."""
    if verdict.all_clear:
        return []
    present = [found[one.index] for one in verdict.runs if one.after_work == verdict.after_work]
    lacking = [one for one in present if one.redo]
    if not lacking:
        return []
    best = min(lacking, key=lambda one: len(one.redo))
    if verdict.failed or verdict.after_work is not None:
        head = text("interview.closing.retest_lacks", label=best.label)
    else:
        head = text("interview.closing.pass_lacks", label=best.label)
    return [head, *(f"{i}. {words}" for i, words in enumerate(say_all(best.redo), 1))]


def interview(path: Path, source: TextIO | None = None, sink: TextIO | None = None) -> int:
    """Run the interview on the terminal or on a pipe.

    Parameters
    ----------
    path : Path
        Case file.
    source, sink : text streams, optional
        Standard input and output unless given.

    Returns
    -------
    int
        0 when the file is a case that the other commands accept, 1 when more answers are needed first.

    Raises
    ------
    InputError
        If the file cannot be used or written.
    """
    source, sink = source or sys.stdin, sink or sys.stdout
    for stream in (source, sink):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    echo = not source.isatty()

    def show(line: str) -> None:
        sink.write(line + "\n")

    def ask(prompt: str) -> str:
        sink.write(prompt)
        sink.flush()
        line = source.readline()
        if not line:
            raise EOFError
        if echo:
            sink.write(line if line.endswith("\n") else line + "\n")
        return line

    try:
        usable = run_interview(path, ask, show, closing_words, room_level)
        sink.flush()
        return 0 if usable else 1
    except BrokenPipeError:  # nobody reads any more; every answer given is in the file
        if sink is sys.stdout:  # let the interpreter's own last flush go nowhere
            os.dup2(os.open(os.devnull, os.O_WRONLY), sink.fileno())
        return 1
