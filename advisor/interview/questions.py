"""The questions that are open at a draft, step by step, and the words that are said of each.

The words are messages (room ``interview``); the models say what an answer may be.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Literal

from advisor.case import fields
from advisor.case.write import Place
from advisor.interview.draft import Draft
from advisor.interview.flow import FLOW, Block, View
from advisor.wording.messages import has
from advisor.wording.speak import text

__all__ = ["Step", "choice_words", "is_open", "other_spellings", "steps", "words_of"]

Kind = Literal["ask", "again", "help", "negative"]


@dataclass(frozen=True, slots=True)
class Step:
    """One question at one place.

    Parameters
    ----------
    key : str
        A key of the case, or the name of a table for a gate.
    place : tuple
        Where the answer goes.
    opens : bool
        True for the question that opens an item of a list.
    """

    key: str
    place: Place
    opens: bool = False


def steps(draft: Draft) -> Iterator[tuple[Step, bool]]:
    """Yield every question that matters given the answers so far, in order, and whether it was answered."""
    for block in FLOW:
        whole = _view(draft, ())
        if not block.when(whole):
            continue
        if block.table in fields.LISTS:
            yield from _list_steps(block, draft)
            continue
        place: Place = (block.table,) if block.table else ()
        if block.gate:
            known = is_open(draft, block.table) is not None
            yield Step(block.table, place), known or place in draft.without_value
            if not is_open(draft, block.table):
                continue
        for question in block.questions:
            if question.when(whole):
                yield _answered(Step(question.key, (*place, question.key.rpartition(".")[2])), draft)


def is_open(draft: Draft, table: str) -> bool | None:
    """Return whether a table that is asked for first is there; None when that is not known."""
    return True if draft.get((table,)) is not None else None


def _list_steps(block: Block, draft: Draft) -> Iterator[tuple[Step, bool]]:
    items = draft.get((block.table,)) or []
    first, *others = block.questions
    name = first.key.rpartition(".")[2]
    for i in range(len(items)):
        here = _view(draft, (block.table, i))
        yield _answered(Step(first.key, (block.table, i, name), opens=True), draft)
        for question in others:
            if question.when(here):
                yield _answered(Step(question.key, (block.table, i, question.key.rpartition(".")[2])), draft)
    if len(items) < fields.most_items(block.table):
        said = (block.table,) in draft.without_value or draft.get((block.table,)) == []
        yield Step(first.key, (block.table, len(items), name), opens=True), said


def _answered(step: Step, draft: Draft) -> tuple[Step, bool]:
    given = draft.get(step.place) is not None and step.place not in draft.auto_named
    return step, given or step.place in draft.without_value


def _view(draft: Draft, item: Place) -> View:
    def look(key: str) -> Any:
        if key.startswith("."):
            return draft.get((*item, key[1:]))
        return draft.get(tuple(key.split(".")))

    return look


def words_of(kind: Kind, key: str) -> str:
    """Return what is said of a question in the reader's language; empty where nothing is.

    Parameters
    ----------
    kind : Kind
        ``ask`` the question; ``again`` for a further item of a list; ``help``; ``negative`` the doubt at a value below zero.
    key : str
        Key of the question.
    """
    message = f"interview.{kind}.{key}"
    return text(message) if has(message) else ""


def choice_words(key: str, choice: str) -> str:
    """Return what explains a choice of a key; empty where it explains itself."""
    message = f"interview.choice.{key}.{choice.replace(' ', '_')}"
    return text(message) if has(message) else ""


def other_spellings(key: str, choice: str) -> tuple[str, ...]:
    """Return what people may type for a choice instead of its name, in the reader's language."""
    message = f"interview.also.{key}.{choice.replace(' ', '_')}"
    return tuple(text(message).split(";")) if has(message) else ()
