"""A finding said: message, numbers and names put together once, for the reader's units and language."""

from __future__ import annotations

import datetime
import string
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from typing import Any

from advisor.findings import Finding, Listed, Quantity, Value, Words
from advisor.wording.messages import SOURCE_LANGUAGE, checked, text_of
from advisor.wording.units import System, converted, date_text, quantity_text, unit_name


@dataclass(frozen=True, slots=True)
class Reader:
    """In which units and in which language somebody reads."""

    units: System = "us"
    language: str = SOURCE_LANGUAGE


_reader: ContextVar[Reader | None] = ContextVar("reader", default=None)


def reader() -> Reader:
    """Return for whom is spoken."""
    return _reader.get() or Reader()


@contextmanager
def speaking(units: System = "us", language: str = SOURCE_LANGUAGE) -> Iterator[None]:
    """Speak to a reader of these units and this language in the code inside."""
    token = _reader.set(Reader(units, checked(language)))
    try:
        yield
    finally:
        _reader.reset(token)


class _Said(string.Formatter):
    """Fills a message: ``{size}`` with its unit, ``{size:bare}`` without, ``{words:start}`` with a capital
    first, ``{words:open}`` without its full stop."""

    def format_field(self, value: Any, format_spec: str) -> str:
        if isinstance(value, Quantity):
            return quantity_text(value, reader().units, reader().language, bare=format_spec == "bare")
        words = say(value)
        if format_spec == "start":
            return words[:1].upper() + words[1:]
        if format_spec == "open":  # a sentence that goes on
            return words.removesuffix(".")
        if format_spec:
            raise ValueError(f"unknown form '{format_spec}' in a message")
        return words


_FILL = _Said()


def say(words: Words | Value) -> str:
    """Return a finding as a sentence for the current reader; text that somebody typed stays as typed.

    Parameters
    ----------
    words : Finding, Quantity, Listed, str or int
        What is to be said.
    """
    if isinstance(words, str):
        return words
    if isinstance(words, Quantity):
        return quantity_text(words, reader().units, reader().language)
    if isinstance(words, Listed):
        return _joined(words)
    if isinstance(words, Finding):
        return _filled(words)
    return str(words)


def _joined(words: Listed) -> str:
    said = [say(item) for item in words.items]
    if words.by in ("and", "or") and len(said) > 1:
        last = text_of(f"units.joint_{words.by}", reader().language)
        return last.format(before=text_of("units.joint_comma", reader().language).join(said[:-1]), last=said[-1])
    if words.by == "space":
        return " ".join(said)
    return text_of(f"units.joint_{'semicolon' if words.by == 'semicolon' else 'comma'}", reader().language).join(said)


def _filled(words: Finding) -> str:
    values: Mapping[str, Value] = dict(words.values)
    count = values.get("count")
    number = count.value if isinstance(count, Quantity) else count
    message = text_of(words.id, reader().language, int(number) if isinstance(number, int | float) else None)
    return _FILL.vformat(message, (), values)


def say_all(items: Iterable[Words]) -> list[str]:
    """Return findings as sentences, in order."""
    return [say(item) for item in items]


def text(message: str, **values: Value) -> str:
    """Return a message of a view itself (a heading, a label) for the current reader."""
    return say(Finding(message, tuple(values.items())))


def day(date: datetime.date) -> str:
    """Return a date for the current reader."""
    return date_text(date, reader().language)


def in_column(quantity: Quantity) -> tuple[float, str]:
    """Return a quantity for a column of numbers: its value in the reader's units, and the name of the unit.

    Raises
    ------
    ValueError
        If there is no value.
    """
    if quantity.value is None:
        raise ValueError("a column of numbers needs a number")
    value, unit = converted(quantity.value, quantity.unit, reader().units)
    return value, unit_name(unit, reader().language)
