"""The command ``advisor new``: the interview at the keyboard, and how sure the advice would be at its end."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import TextIO

from advisor.case.interview import run_interview
from advisor.case.model import Case
from advisor.ranking.gates import percent
from advisor.words import assumed_values

__all__ = ["closing_words", "interview"]

MOST = 8
"""Unknown values to name: more than that nobody reads."""


def closing_words(case: Case) -> tuple[str, ...]:
    """Return how sure the advice would be, and which answers would help most, most useful first."""
    from advisor.advice import advise

    advice = advise(case)  # as many situations as the ranking, so that both say the same
    found = advice.found
    lines = [f"So far: {found.sentence}"]
    named = [c for c in found.causes if c.named]
    if named and not found.nothing_wrong:
        first = named[0]
        sure = "fairly sure" if first.stops_alone >= 0.8 else "a fair guess" if first.stops_alone >= 0.5 else "not sure"
        lines.append(f"How sure: {sure}. Likeliest cause: {first.words} ({percent(first.stops_alone)}).")
    share = percent(found.spillage.worst_case)
    lines.append(f"With everything on, it spills in {share} of the situations that fit your answers.")
    unknown = assumed_values(case)
    if unknown:
        lines.append("These answers would help most, the first one most of all:")
        lines += [f"{i}. {words}" for i, words in enumerate(unknown[:MOST], 1)]
        if len(unknown) > MOST:
            lines.append(f"and {len(unknown) - MOST} more of less weight.")
    lines.append("This is an aid to a licensed practitioner. Local codes and the heater's manual govern.")
    return tuple(lines)


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

    def say(line: str) -> None:
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
        usable = run_interview(path, ask, say, closing_words)
        sink.flush()
        return 0 if usable else 1
    except BrokenPipeError:  # nobody reads any more; every answer given is in the file
        if sink is sys.stdout:  # let the interpreter's own last flush go nowhere
            os.dup2(os.open(os.devnull, os.O_WRONLY), sink.fileno())
        return 1
