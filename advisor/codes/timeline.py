"""Rules and payments that begin or end on a day: what each says, and whether that day is past.

They are printed beside the options that they touch; they bar nothing and rank nothing. What day it is comes from outside.
"""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from typing import Literal

from advisor.catalog import rows_of
from advisor.findings import Finding, Value, finding, quantity, slug

Kind = Literal["standard", "sale", "open", "repealed", "rejected", "credit"]
When = Literal["to come", "past"]


@dataclass(frozen=True, slots=True)
class DatedRow:
    """A rule or a payment with its day (``regulatory_timeline``).

    Parameters
    ----------
    id : str
        Its messages are ``dated.<id>_to_come``, ``dated.<id>_past`` and, where it was still to come when the facts were put
        together, ``dated.<id>_was_to_come``.
    kind : str
        ``standard`` of efficiency, limit of ``sale``, ``open`` in court, ``repealed``, ``rejected``, ``credit``.
    date, as_of : str
        Its day, and the day for which the facts were put together (ISO).
    state, district : str
        Where it holds; empty for the whole country.
    remedy_ids : tuple of str
        Options that it touches.
    hood_on_shared_vent : bool
        True where it touches every option that leaves a draft hood on a vent with a furnace.
    numbers : tuple of str
        Numbers and days in its words: ``name=value unit`` or ``name=day``.
    status, source : str
        Status word, source ids.
    """

    id: str
    kind: Kind
    date: str
    as_of: str
    state: str
    district: str
    remedy_ids: tuple[str, ...]
    hood_on_shared_vent: bool
    numbers: tuple[str, ...]
    status: str
    source: str


@dataclass(frozen=True, slots=True)
class DatedRule:
    """A rule or a payment as it stands on a day, where a house stands.

    Parameters
    ----------
    row : DatedRow
        The row of the catalog.
    when : str
        ``to come`` or ``past``.
    if_there : bool
        True where nobody wrote down whether the house lies in its district.
    words : Finding
        What it says, with its status.
    """

    row: DatedRow
    when: When
    if_there: bool
    words: Finding


def dated_rules(
    state: str | None, district: str | None, today: datetime.date | None = None, *, shared_vent: bool = False
) -> tuple[DatedRule, ...]:
    """Return the rules with a day that may touch a house, in the order of the catalog.

    Parameters
    ----------
    state : str or None
        Two letters; None where nobody wrote it down: then only rules of the whole country are given.
    district : str or None
        Air district; None where nobody wrote it down: the rules of the state's districts are then said under that condition.
    today : date, optional
        Day to judge by; the day for which the facts were put together where it is not given.
    shared_vent : bool
        Does a furnace use the heater's vent, or something of which nobody said what it is?
    """
    found = []
    for row in rows_of(DatedRow, "regulatory_timeline"):
        if _there(row, state, district) and (shared_vent or not row.hood_on_shared_vent):
            when: When = "past" if (today or _day(row.as_of)) >= _day(row.date) else "to come"
            if_there = bool(row.district) and district is None
            found.append(DatedRule(row, when, if_there, _words(row, when, if_there)))
    return tuple(found)


def _day(text: str) -> datetime.date:
    return datetime.date.fromisoformat(text)


def _there(row: DatedRow, state: str | None, district: str | None) -> bool:
    """Return whether a rule holds, or may hold, where a house stands."""
    if district is not None and row.district:
        return row.district == district
    return row.state in ("", state)


def _words(row: DatedRow, when: When, if_there: bool) -> Finding:
    form = slug(when)
    if when == "past" and _day(row.date) > _day(row.as_of):
        # nothing is known of what happened since: it was only foreseen
        form = "was_to_come"
    said = finding(f"dated.{row.id}_{form}", date=row.date, **dict(_number(text) for text in row.numbers))
    values: dict[str, Value] = {"words": said, "status": finding(f"adoption.status.{slug(row.status)}")}
    if if_there:
        return finding("dated.if_there", **values, district=finding(f"dated.district.{slug(row.district)}"))
    return finding("dated.line", **values)


def _number(text: str) -> tuple[str, Value]:
    name, _, said = text.partition("=")
    value, _, unit = said.partition(" ")
    return name, quantity(float(value), unit) if unit else value
