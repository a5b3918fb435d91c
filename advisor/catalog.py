"""Typed access to ``catalog/``: every number that is not a formula, with its source and its status.

Two shapes of file are read. A *table* is a CSV with a ``status`` and a ``source`` column. A *parameter file* is a table
with the columns ``key, low, typical, high, unit, status, source, ref, note``: one number a row, as a range.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, replace
from functools import cache
from types import MappingProxyType
from typing import Any, TypeVar, cast

from advisor.catalog_files import STATUSES, Row, folder, names, path_of, sources_as_read
from advisor.editions import by_edition, edition_in_force, editions, in_edition, placed_rows
from advisor.errors import InputError
from advisor.rows import record_of

PARAMETER_COLUMNS = ("key", "low", "typical", "high", "unit", "status", "source", "ref", "note")

__all__ = [
    "STATUSES",
    "Row",
    "by_edition",
    "edition_in_force",
    "editions",
    "folder",
    "in_edition",
    "names",
    "path_of",
]
"""What is handed on from the files and the editions below."""

Model = TypeVar("Model")


@dataclass(frozen=True, slots=True)
class Parameter:
    """One catalog number.

    Parameters
    ----------
    key : str
        Name within its file, with the unit as suffix.
    low, typical, high : float
        Range and typical value; equal when the source gives one number.
    unit, status, source, ref, note : str
        Unit, status word (see ``STATUSES``), source id(s) separated by ``;``, clause or page, remark.
    """

    key: str
    low: float
    typical: float
    high: float
    unit: str
    status: str
    source: str
    ref: str
    note: str


@by_edition
def table(name: str) -> tuple[Row, ...]:
    """Return the rows of ``catalog/<room>/<name>.csv`` as read-only mappings of text, in the edition in force.

    Raises
    ------
    InputError
        If no such table exists.
    """
    return tuple(row for row, _ in placed_rows(name))


@by_edition
def _rows_of(model: Any, name: str) -> tuple[Any, ...]:
    return tuple(record_of(model, row, f"catalog: {place}") for row, place in placed_rows(name))


def rows_of(model: type[Model], name: str) -> tuple[Model, ...]:
    """Return the rows of a table as records of a frozen dataclass, read once.

    Every field of the dataclass is a column of the table; other columns are not read. The annotation says what a cell
    holds: ``str``, ``int``, ``float``, ``bool`` (``yes`` or ``no``), ``Literal`` (one of its words), ``tuple[...]`` of
    these (cells separated by ``;``), one of them ``| None`` (an empty cell), or a number ``| Literal`` (words printed in
    its place). A field that has a default may lack its column.

    Parameters
    ----------
    model : type
        Frozen dataclass.
    name : str
        Table.

    Raises
    ------
    InputError
        If there is no such table or column, or a cell holds something else; the message names table, line and column.

    Examples
    --------
    >>> @dataclass(frozen=True)
    ... class Draw:
    ...     bin: str
    ...     daily_gal: float
    >>> rows_of(Draw, "draw_patterns")[0]
    Draw(bin='very small', daily_gal=10.0)
    """
    return cast(tuple[Model, ...], _rows_of(cast(Any, model), name))


@by_edition
def _rows_by(model: Any, name: str, column: str) -> Mapping[str, Any]:
    found: dict[str, Any] = {}
    for (row, place), record in zip(placed_rows(name), rows_of(model, name), strict=True):
        if found.setdefault(row[column], record) is not record:
            raise InputError(f"catalog: {place}, {column}: '{row[column]}' stands there already")
    return MappingProxyType(found)


def rows_by(model: type[Model], name: str, column: str) -> Mapping[str, Model]:
    """Return the rows of a table as `rows_of` gives them, by the text of a column in which no two are the same.

    Raises
    ------
    InputError
        As `rows_of`, and where two rows have the same text there.
    """
    return cast(Mapping[str, Model], _rows_by(cast(Any, model), name, column))


def _parameter_rows(rows: Iterable[Row]) -> MappingProxyType[str, Parameter]:
    found: dict[str, Parameter] = {}
    for row in rows:
        typical = float(row["typical"])
        found[row["key"]] = Parameter(
            key=row["key"],
            low=float(row["low"] or typical),
            typical=typical,
            high=float(row["high"] or typical),
            unit=row["unit"],
            status=row["status"],
            source=row["source"],
            ref=row["ref"],
            note=row["note"],
        )
    return MappingProxyType(found)


@by_edition
def _parameters(name: str) -> MappingProxyType[str, Parameter]:
    return _parameter_rows(table(name))


def parameter(name: str, key: str) -> Parameter:
    """Return the row ``key`` of the parameter file ``catalog/<room>/<name>.csv``.

    Raises
    ------
    KeyError
        If the file has no such row (an error of the program, not of the user).
    """
    row = _parameters(name)[key]
    local = _amended.get().get((name, key))
    if local is None:
        return row
    return replace(
        row,
        low=local.value,
        typical=local.value,
        high=local.value,
        status="seen",
        source=f"local amendment: {local.source}",
        ref=f"{row.ref}, as amended locally",
    )


def number(name: str, key: str) -> float:
    """Return the typical value of one parameter."""
    return parameter(name, key).typical


@dataclass(frozen=True, slots=True)
class Amendment:
    """A local rule that replaces a published number.

    Parameters
    ----------
    table, key : str
        Parameter file and row.
    value : float
        Local value, in the row's unit.
    source : str
        Where the local rule stands, in the user's words.
    published : float
        Value it replaces.
    unit, ref : str
        Unit and clause of the published row.
    """

    table: str
    key: str
    value: float
    source: str
    published: float
    unit: str
    ref: str


_amended: ContextVar[Mapping[tuple[str, str], Amendment]] = ContextVar("amended", default=MappingProxyType({}))


def amendments() -> tuple[Amendment, ...]:
    """Return the amendments in force."""
    return tuple(_amended.get().values())


@contextmanager
def amended(items: Iterable[Amendment]) -> Iterator[None]:
    """Put local amendments in force for the code inside."""
    token = _amended.set(MappingProxyType({(a.table, a.key): a for a in items}))
    try:
        yield
    finally:
        _amended.reset(token)


@by_edition
def sources() -> MappingProxyType[str, Any]:
    """Return the source list, id to its record, with those of the edition in force."""
    edition = edition_in_force()
    return MappingProxyType({**sources_as_read(), **(edition.sources if edition else {})})


@by_edition
def digest() -> str:
    """Return the first 12 hex digits of the SHA-256 over all catalog files: which data made a result."""
    total = hashlib.sha256()
    files = [*folder().glob("*/*.csv"), folder() / "sources.toml"]
    edition = edition_in_force()
    for path in sorted([*files, *(edition.files if edition else ())]):
        total.update(path.name.encode())
        total.update(path.read_bytes())
    return total.hexdigest()[:12]


@cache
def word(name: str, key: str) -> str:
    """Return the text value of one row of a table with the columns ``key`` and ``value``."""
    for row in table(name):
        if row["key"] == key:
            return row["value"]
    raise KeyError(key)
