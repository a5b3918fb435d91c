"""Which fuel-gas code and edition a state has adopted, and whether that text was read for this tool.

What is adopted is hearsay of a report with its date; what was read is the catalog's own list (``code_texts``). No check is
called one by the edition in force unless that edition was read.
"""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from typing import Literal

from advisor.catalog import edition_in_force, rows_by, rows_of
from advisor.codes.code_texts import CodeText, Extent, years_read
from advisor.findings import Finding, Value, Words, finding, slug

Scope = Literal["statewide", "electing", "limited", "fire_rules", "local", "unresolved"]
Known = Literal["adopted", "in part", "not settled", "no row", "no state"]
NOT_SETTLED: tuple[Scope, ...] = ("local", "unresolved")
"""Scopes from which no edition follows for a house."""


@dataclass(frozen=True, slots=True)
class AdoptionRow:
    """What a report says that a state has adopted (``fuel_gas_code_adoption``).

    Parameters
    ----------
    state : str
        Two letters.
    code, year : str, int or None
        Id of the code, and edition; empty and None where the report names none.
    scope : str
        For whom it holds: ``statewide``; ``electing`` places; ``limited`` to some buildings or parts; reached through
        ``fire_rules``; ``local`` choice; ``unresolved``.
    partly_verified : bool
        True where the report itself could confirm it only in part.
    next_year, next_from : int, str or None
        Edition that follows, and from which day (ISO), where the report names one.
    state_code_name : str
        The state's own name for it.
    effective : str
        Day from which it holds (ISO), empty where the report has none.
    mandatory : str
        Day from which nothing older may be used (ISO), where that is a later one; else empty.
    report_date : str
        Date of the report (ISO).
    status, source, official_url : str
        Status word, source id, address of the official page, which was not read.
    """

    state: str
    code: str
    year: int | None
    scope: Scope
    partly_verified: bool
    next_year: int | None
    next_from: str | None
    state_code_name: str
    effective: str
    mandatory: str
    report_date: str
    status: str
    source: str
    official_url: str


@dataclass(frozen=True, slots=True)
class CodeInForce:
    """What can be said about the edition in force where a house stands.

    Parameters
    ----------
    known : str
        ``adopted`` for the whole state; ``in part``: by some places, for some buildings, or through other rules; ``not
        settled``: left to local rules, or the report could not tell; ``no row``: a state that the reports do not cover;
        ``no state``: nobody wrote it down.
    state : str
        Two letters, or empty.
    code, year : str, int or None
        Code and edition adopted; empty and None where none is known.
    scope, effective, report_date, status, source, official_url
        As in `AdoptionRow`; empty where there is no row.
    text_read : str
        How much of that edition's text was read for this tool: ``rules``, ``part``, ``examples`` or ``none``.
    newer_than_read : bool
        True where that edition is newer than every one that was read.
    read_from_year, read_to_year : int
        Editions that the rules shown are of.
    chosen : str
        Citation of an edition that was added as data and chosen; empty for the tables as they are.
    words : tuple of Finding
        The same to be said once beside the checks, the adoption first.
    """

    known: Known
    state: str
    code: str
    year: int | None
    scope: str
    effective: str
    report_date: str
    status: str
    source: str
    official_url: str
    text_read: Extent
    newer_than_read: bool
    read_from_year: int
    read_to_year: int
    chosen: str
    words: tuple[Words, ...]


def code_in_force(state: str | None, today: datetime.date | None = None) -> CodeInForce:
    """Return which code and edition holds where a house stands, as far as a report says so.

    Parameters
    ----------
    state : str or None
        Two letters; None where nobody wrote it down: then nothing is guessed.
    today : date, optional
        Day to judge a known change of edition by; the day of the report where it is not given.
    """
    rows = rows_by(AdoptionRow, "fuel_gas_code_adoption", "state")
    row = None if state is None else rows.get(state)
    if state is None:
        return _unknown("no state", "", finding("adoption.no_state"))
    if row is None:
        return _unknown("no row", state, finding("adoption.no_row", state=state))
    year = _year_at(row, datetime.date.fromisoformat(row.report_date) if today is None else today)
    settled = row.scope not in NOT_SETTLED
    extent = _extent(row, year) if settled else "none"
    newer = settled and year is not None and year > years_read()[1]
    return CodeInForce(
        known="adopted" if row.scope == "statewide" else "in part" if settled else "not settled",
        state=state,
        code=row.code,
        year=year,
        scope=row.scope,
        effective=row.effective,
        report_date=row.report_date,
        status=row.status,
        source=row.source,
        official_url=row.official_url,
        text_read=extent,
        newer_than_read=newer,
        read_from_year=years_read()[0],
        read_to_year=years_read()[1],
        chosen=_chosen(),
        words=(
            *_adopted_words(row, year),
            *_read_words(row, year, extent, newer),
            *_chosen_words(),
            finding("adoption.local"),
        ),
    )


def _unknown(known: Known, state: str, words: Finding) -> CodeInForce:
    first, last = years_read()
    blank = dict.fromkeys(("code", "scope", "effective", "report_date", "status", "source", "official_url"), "")
    return CodeInForce(
        known=known,
        state=state,
        year=None,
        text_read="none",
        newer_than_read=False,
        read_from_year=first,
        read_to_year=last,
        chosen=_chosen(),
        words=(words, _shown(), *_chosen_words(), finding("adoption.local")),
        **blank,
    )


def _year_at(row: AdoptionRow, day: datetime.date) -> int | None:
    if row.next_year is not None and row.next_from is not None and day >= datetime.date.fromisoformat(row.next_from):
        return row.next_year
    return row.year


def _texts(row: AdoptionRow, year: int | None) -> list[CodeText]:
    """Return the texts that were read of the edition, or of the state's own code that is based on it."""
    edition = edition_in_force()
    own = [
        text
        for text in rows_of(CodeText, "code_texts")
        if year is not None and (text.code, text.year) == (row.code, year) and text.state in ("", row.state)
    ]
    if edition is not None and (edition.code, edition.year) == (row.code, year):
        own.append(CodeText(edition.id, edition.code, edition.year, "", "part"))
    return own


def _extent(row: AdoptionRow, year: int | None) -> Extent:
    found = {text.extent for text in _texts(row, year)}
    order: tuple[Extent, ...] = ("rules", "part", "examples")
    return next((extent for extent in order if extent in found), "none")


def _code_words(code: str, year: int | None) -> Finding:
    named = finding(f"adoption.code.{code}")
    return (
        finding("adoption.code_only", code=named)
        if year is None
        else finding("adoption.code_edition", code=named, year=str(year))
    )


def _adopted_words(row: AdoptionRow, year: int | None) -> tuple[Finding, ...]:
    values: dict[str, Value] = {"state": row.state, "date": row.report_date}
    status = finding(f"adoption.status.{slug(row.status)}")
    values |= {"name": row.state_code_name, "status": status}
    if row.scope in NOT_SETTLED:
        return (_not_settled(row, values),)
    found = [finding(f"adoption.scope.{row.scope}", **values, edition=_code_words(row.code, year))]
    if year is not None and year == row.next_year and row.next_from is not None:
        found.append(finding("adoption.since", date=row.next_from))
    elif row.mandatory:
        found.append(finding("adoption.since_and_mandatory", date=row.effective, mandatory=row.mandatory))
    elif row.effective:
        found.append(finding("adoption.since", date=row.effective))
    if row.partly_verified:
        found.append(finding("adoption.partly"))
    return tuple(found)


def _not_settled(row: AdoptionRow, values: dict[str, Value]) -> Finding:
    if row.code:
        return finding(f"adoption.scope.{row.scope}_based_on", **values, code=finding(f"adoption.code.{row.code}"))
    return finding(f"adoption.scope.{row.scope}{'_named' if row.state_code_name else ''}", **values)


def _read_words(row: AdoptionRow, year: int | None, extent: Extent, newer: bool) -> tuple[Finding, ...]:
    if row.scope in NOT_SETTLED:
        return (_shown(),)
    if year is None:
        return (finding("adoption.edition_not_known"), _shown())
    message = "newer" if newer and extent == "none" else extent
    return (finding(f"adoption.read.{message}", edition=_code_words(row.code, year)), _shown())


def _shown() -> Finding:
    """Return of which editions the rules shown are."""
    first, last = years_read()
    return finding("adoption.shown", first=str(first), last=str(last))


def _chosen() -> str:
    edition = edition_in_force()
    return "" if edition is None else edition.cite


def _chosen_words() -> tuple[Finding, ...]:
    return (finding("adoption.chosen", edition=_chosen()),) if _chosen() else ()
