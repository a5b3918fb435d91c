"""Typed access to ``catalog/``: every number that is not a formula, with its source and its status.

Two shapes of file are read. A *table* is a CSV with a ``status`` and a ``source`` column. A *parameter file* is a table
with the columns ``key, low, typical, high, unit, status, source, ref, note``: one number a row, as a range.
"""

from __future__ import annotations

import csv
import hashlib
import tomllib
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Any, TypeVar, cast

from advisor.errors import InputError, suggest
from advisor.rows import record_of

STATUSES = ("seen", "second-hand", "memory", "common practice", "derived", "own choice")
PARAMETER_COLUMNS = ("key", "low", "typical", "high", "unit", "status", "source", "ref", "note")

Row = MappingProxyType[str, str]
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


@cache
def folder() -> Path:
    """Return the folder of the catalog: inside the wheel, else beside the package in a checkout."""
    here = Path(__file__).resolve().parent
    for candidate in (here / "_catalog", here.parent / "catalog"):
        if candidate.is_dir():
            return candidate
    raise InputError("catalog: folder not found beside the package; reinstall the package")


@cache
def names() -> tuple[str, ...]:
    """Return the names of all tables, sorted."""
    return tuple(sorted(_paths()))


@cache
def _paths() -> dict[str, Path]:
    """Return the file of every table by its name: names are unique over the rooms."""
    return {path.stem: path for path in sorted(folder().glob("*/*.csv"))}


def path_of(name: str) -> Path:
    """Return the file of a table, which stands in the folder of its room.

    Raises
    ------
    InputError
        If no such table exists.
    """
    if name not in _paths():
        raise InputError(f"catalog: no table '{name}'{suggest(name, names())}; one of {', '.join(names())}")
    return _paths()[name]


@cache
def table(name: str) -> tuple[Row, ...]:
    """Return the rows of ``catalog/<room>/<name>.csv`` as read-only mappings of text.

    Raises
    ------
    InputError
        If no such table exists.
    """
    with path_of(name).open(newline="", encoding="utf-8") as handle:
        return tuple(MappingProxyType(dict(row)) for row in csv.DictReader(handle))


@cache
def _rows_of(model: Any, name: str) -> tuple[Any, ...]:
    return tuple(
        record_of(model, row, f"catalog: table '{name}', line {line}") for line, row in enumerate(table(name), 2)
    )


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


@cache
def _rows_by(model: Any, name: str, column: str) -> Mapping[str, Any]:
    found: dict[str, Any] = {}
    for line, (row, record) in enumerate(zip(table(name), rows_of(model, name), strict=True), 2):
        if found.setdefault(row[column], record) is not record:
            raise InputError(f"catalog: table '{name}', line {line}, {column}: '{row[column]}' stands there already")
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


@cache
def _parameters(name: str) -> MappingProxyType[str, Parameter]:
    return _parameter_rows(table(name))


@cache
def editions() -> tuple[str, ...]:
    """Return the code editions that are added as data: the folders of ``catalog/codes/editions``."""
    return tuple(sorted(path.name for path in (folder() / "codes" / "editions").glob("*") if path.is_dir()))


@cache
def _edition(edition: str) -> MappingProxyType[tuple[str, str], Parameter]:
    """Return every row of an edition, by table and key: each stands in the place of a row of the tables."""
    found = {}
    for path in sorted((folder() / "codes" / "editions" / edition).glob("*.csv")):
        known = _parameters(path.stem) if path.stem in names() else {}
        with path.open(newline="", encoding="utf-8") as handle:
            rows = _parameter_rows(MappingProxyType(dict(row)) for row in csv.DictReader(handle))
        for key, row in rows.items():
            if key not in known:
                raise InputError(f"catalog: edition '{edition}', {path.name}: no rule '{key}'{suggest(key, known)}")
            found[path.stem, key] = row
    return MappingProxyType(found)


_edition_in_force: ContextVar[str] = ContextVar("edition", default="")


@contextmanager
def in_edition(edition: str) -> Iterator[None]:
    """Put a code edition in force for the code inside: its rows stand in the place of those of the tables.

    Parameters
    ----------
    edition : str
        A folder of ``catalog/codes/editions``; empty for the tables as they are.

    Raises
    ------
    InputError
        If there is no such edition, or it replaces a rule that there is not.
    """
    if edition and edition not in editions():
        there = f"one of {', '.join(editions())}" if editions() else "none is added yet (catalog/codes/editions)"
        raise InputError(f"--edition {edition}: no such code edition{suggest(edition, editions())}; {there}")
    if edition:
        _edition(edition)
    token = _edition_in_force.set(edition)
    try:
        yield
    finally:
        _edition_in_force.reset(token)


def parameter(name: str, key: str) -> Parameter:
    """Return the row ``key`` of the parameter file ``catalog/<room>/<name>.csv``.

    Raises
    ------
    KeyError
        If the file has no such row (an error of the program, not of the user).
    """
    row = _parameters(name)[key]
    edition = _edition_in_force.get()
    if edition:
        row = _edition(edition).get((name, key), row)
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


@cache
def sources() -> MappingProxyType[str, Any]:
    """Return the source list, id to its record."""
    with (folder() / "sources.toml").open("rb") as handle:
        return MappingProxyType(tomllib.load(handle))


@cache
def digest() -> str:
    """Return the first 12 hex digits of the SHA-256 over all catalog files: which data made a result."""
    total = hashlib.sha256()
    for path in sorted([*folder().glob("*/**/*.csv"), folder() / "sources.toml"]):
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
