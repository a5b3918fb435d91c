"""Findings: what the program has to say, as data. No sentence stands here: ``wording/`` turns a finding into one.

A finding is the id of a message with the numbers and names that belong into it. A number keeps its unit until it is
said, so that it is formatted once, for the reader's units and language. Logic looks at ids and numbers only.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal, TypeAlias

Joint = Literal["comma", "semicolon", "and", "or", "space"]


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number with its unit.

    Parameters
    ----------
    value : float or None
        None was not given; infinity is the distance to a thing that is not there.
    unit : str
        Unit suffix as in names of the code: ``ft``, ``in``, ``cfm``, ``pa``, ``share``, ``usd`` ... (``wording/units.py``).
    digits : int or None
        Most decimals in that unit; None leaves it to the unit. Zeros at the end are not shown.
    """

    value: float | None
    unit: str
    digits: int | None = None


@dataclass(frozen=True, slots=True)
class Listed:
    """Several things in one place of a message, and how they are joined."""

    items: tuple[Value, ...]
    by: Joint = "comma"


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing to say.

    Parameters
    ----------
    id : str
        Message of ``catalog/texts``: ``room.what_is_said``; what stands before the first dot names its file.
    values : tuple of (str, Value)
        What belongs into the message, by name: quantities, further findings, or text that somebody typed and that stays
        as typed (a label, a clause). ``count`` chooses singular or plural.
    sources : tuple of str
        Source ids (``catalog/sources.toml``).
    """

    id: str
    values: tuple[tuple[str, Value], ...] = ()
    sources: tuple[str, ...] = ()

    def __getitem__(self, name: str) -> Value:
        """Return one value by its name."""
        return dict(self.values)[name]

    def with_values(self, **values: Value) -> Finding:
        """Return the finding with further values, or others of the same name."""
        return Finding(self.id, tuple({**dict(self.values), **values}.items()), self.sources)


Value: TypeAlias = "Quantity | Finding | Listed | str | int"
Words: TypeAlias = "Finding | Quantity | Listed | str"
"""What a record holds to be said: a finding, a number, a list; a str is text that somebody typed."""


def finding(message: str, **values: Value) -> Finding:
    """Return a finding: the id of its message, and what belongs into it."""
    return Finding(message, tuple(values.items()))


def slug(words: str) -> str:
    """Return a word of a case or a table as part of a message's id: ``heat damage`` becomes ``heat_damage``."""
    return "_".join("".join(c if c.isalnum() else " " for c in words.lower()).split())


def quantity(value: float | None, unit: str, digits: int | None = None) -> Quantity:
    """Return a number with its unit."""
    return Quantity(value, unit, digits)


def listed(items: Iterable[Value], by: Joint = "comma") -> Listed:
    """Return several things to be said in one place."""
    return Listed(tuple(items), by)


def share(value: float) -> Quantity:
    """Return a probability, 0 to 1, said as its uncertainty deserves: whole percents, under 1 %, over 99 %."""
    return Quantity(value, "share")


def usd(value: float) -> Quantity:
    """Return an amount of money, said rounded to 10 dollars, from 10,000 on to 100; ``Quantity(x, "usd_exact")`` is not."""
    return Quantity(value, "usd")
