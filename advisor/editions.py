"""Code editions added as data: a folder whose rows stand in the place of rows of the tables, or beside them.

The folder is one of ``catalog/codes/editions``, or any other that is named by its path. It holds ``edition.toml``, which
says what text it is, and files named like the tables of ``catalog/codes`` that they change. A row takes the place of
every row with the same identity (``catalog/codes/edition_keys.csv``; the key of a file of numbers), and is added where
there is none. Each says its own clause, status and source.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from functools import cache, wraps
from pathlib import Path
from types import MappingProxyType
from typing import Any, ParamSpec, TypeVar

from advisor.catalog_files import STATUSES, Row, folder, names, path_of, rows_as_read, rows_in, sources_as_read
from advisor.errors import InputError, suggest

KEYS_TABLE = "edition_keys"
ABOUT = "edition.toml"
CLAUSE = "ref"
"""Column in which every row of an edition cites its clause, also where the table has no such column."""
OWN_COLUMNS = (CLAUSE, "status", "source")

P = ParamSpec("P")
T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Edition:
    """A code edition that was added as data.

    Parameters
    ----------
    id : str
        Name of its folder, or its path.
    code : str
        Id of the code, for example ``ifgc`` (``catalog/codes/code_texts.csv``).
    year : int
        Year of the edition.
    cite : str
        How its text is cited, for example ``IFGC-2024``.
    sources : mapping
        Its own sources, as in ``catalog/sources.toml``.
    rows : mapping
        Rows by table, each with the place where it stands.
    files : tuple of Path
        Where they were read.
    """

    id: str
    code: str
    year: int
    cite: str
    sources: Mapping[str, Any]
    rows: Mapping[str, tuple[tuple[Row, str], ...]]
    files: tuple[Path, ...]


_in_force: ContextVar[str] = ContextVar("edition", default="")


@cache
def editions() -> tuple[str, ...]:
    """Return the code editions that stand in the catalog: the folders of ``catalog/codes/editions``."""
    return tuple(sorted(path.name for path in (folder() / "codes" / "editions").glob("*") if path.is_dir()))


def _path(edition: str) -> Path:
    if edition in editions():
        return folder() / "codes" / "editions" / edition
    path = Path(edition)
    if path.is_dir():
        return path
    there = f"one of {', '.join(editions())}" if editions() else "none is added yet (catalog/codes/editions)"
    raise InputError(
        f"--edition {edition}: no such code edition{suggest(edition, editions())}; {there}, or the path of a folder"
    )


@cache
def read_edition(edition: str) -> Edition:
    """Return an edition.

    Parameters
    ----------
    edition : str
        A folder of ``catalog/codes/editions``, or the path of another.

    Raises
    ------
    InputError
        If there is none, it does not say what it is, or a row cannot stand: an unknown table, column or rule, or no
        clause, status or source.
    """
    path = _path(edition)
    about = _about(path)
    rows: dict[str, tuple[tuple[Row, str], ...]] = {}
    files = tuple(sorted(path.glob("*.csv")))
    for file in files:
        where = f"edition '{path.name}', {file.name}"
        found = rows_in(file)
        _check_columns(file.stem, found, where)
        # a column of the table that the edition has no use for may be left out
        blank = dict.fromkeys(rows_as_read(file.stem)[0], "")
        whole = (MappingProxyType({**blank, **row}) for row in found)
        placed = tuple((row, f"{where}, line {line}") for line, row in enumerate(whole, 2))
        for row, place in placed:
            _check_row(row, place, about[-1])
        _check_rules(file.stem, found, where)
        rows[file.stem] = placed
    return Edition(edition, *about, MappingProxyType(rows), (path / ABOUT, *files))


def _about(path: Path) -> tuple[str, int, str, Mapping[str, Any]]:
    where = f"edition '{path.name}', {ABOUT}"
    try:
        data = tomllib.loads((path / ABOUT).read_text(encoding="utf-8"))
    except OSError:
        raise InputError(f"{where}: missing; it says code, year, cite and [source.<id>]") from None
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise InputError(f"{where}: not valid TOML: {error}") from None
    code, year, cite, sources = (data.get(key) for key in ("code", "year", "cite", "source"))
    if not isinstance(code, str) or not isinstance(year, int) or not isinstance(cite, str) or not cite.strip():
        raise InputError(f'{where}: needs code = "ifgc", year = 2024 and cite = "IFGC-2024", of what was read')
    if sources is not None and not isinstance(sources, dict):
        raise InputError(f"{where}: sources are written as [source.<id>]")
    return code, year, cite.strip(), MappingProxyType(sources or {})


def identity(name: str) -> tuple[str, ...]:
    """Return the columns by which rows of a table are the same rule; empty where an edition may not change the table."""
    if name not in names() or path_of(name).parent.name != "codes":
        return ()
    if "typical" in rows_as_read(name)[0]:
        return ("key",)
    for row in rows_as_read(KEYS_TABLE):
        if row["table"] == name:
            return tuple(row["columns"].split(";"))
    return ()


def _check_columns(name: str, rows: tuple[Row, ...], where: str) -> None:
    if not identity(name):
        may = [one for one in names() if identity(one)]
        raise InputError(f"{where}: an edition cannot change this table{suggest(name, may)}; it may {', '.join(may)}")
    known = {*rows_as_read(name)[0], CLAUSE}
    for column in rows[0] if rows else ():
        if column not in known:
            raise InputError(f"{where}: no column '{column}'{suggest(column or '', known)} in the table")
    for column in (*identity(name), *OWN_COLUMNS):
        if rows and column not in rows[0]:
            raise InputError(f"{where}: column '{column}' is missing")


def _check_row(row: Row, place: str, own: Mapping[str, Any]) -> None:
    for column in OWN_COLUMNS:
        if not (row[column] or "").strip():
            raise InputError(f"{place}, {column}: each row of an edition says its clause, status and source")
    if row["status"] not in STATUSES:
        raise InputError(f"{place}, status: '{row['status']}' is none of {', '.join(STATUSES)}")
    for source in row["source"].split(";"):
        if source not in own and source not in sources_as_read():
            raise InputError(f"{place}, source: '{source}' is not in {ABOUT}, nor in the catalog's sources")


def _check_rules(name: str, rows: tuple[Row, ...], where: str) -> None:
    """Refuse a number that no rule asks for: it would stand there and do nothing."""
    if identity(name) != ("key",):
        return
    known = {row["key"] for row in rows_as_read(name)}
    for row in rows:
        if row["key"] not in known:
            raise InputError(f"{where}: no rule '{row['key']}'{suggest(row['key'], known)}")


@contextmanager
def in_edition(edition: str) -> Iterator[None]:
    """Put a code edition in force for the code inside.

    Parameters
    ----------
    edition : str
        As in `read_edition`; empty for the tables as they are.

    Raises
    ------
    InputError
        As in `read_edition`.
    """
    if edition:
        read_edition(edition)
    token = _in_force.set(edition)
    try:
        yield
    finally:
        _in_force.reset(token)


def edition_in_force() -> Edition | None:
    """Return the edition that was chosen; None for the tables as they are."""
    chosen = _in_force.get()
    return read_edition(chosen) if chosen else None


def by_edition(function: Callable[P, T]) -> Callable[P, T]:
    """Return a function that keeps its results as `functools.cache` does, for each edition apart."""

    @cache
    def kept(_edition: str, *args: Any, **kwargs: Any) -> T:
        return function(*args, **kwargs)

    read: Callable[..., T] = kept

    @wraps(function)
    def answer(*args: P.args, **kwargs: P.kwargs) -> T:
        return read(_in_force.get(), *args, **kwargs)

    return answer


def placed_rows(name: str) -> tuple[tuple[Row, str], ...]:
    """Return the rows of a table with those of the edition in force, each with the place where it stands.

    Raises
    ------
    InputError
        If no such table exists.
    """
    read = tuple((row, f"table '{name}', line {line}") for line, row in enumerate(rows_as_read(name), 2))
    edition = edition_in_force()
    if edition is None or name not in edition.rows:
        return read
    columns, newer = identity(name), edition.rows[name]
    replaced = {_same(row, columns) for row, _ in newer}
    # the first row that is replaced gives its place to all of its successors: where order decides, it stays
    found: list[tuple[Row, str]] = []
    left = list(newer)
    for row, place in read:
        same = _same(row, columns)
        if same not in replaced:
            found.append((row, place))
            continue
        found += [item for item in left if _same(item[0], columns) == same]
        left = [item for item in left if _same(item[0], columns) != same]
    return (*found, *left)


def _same(row: Row, columns: tuple[str, ...]) -> tuple[str, ...]:
    """Return what a row is the rule for; 6 and 6.0 are the same."""
    return tuple(_plain(row[column] or "") for column in columns)


def _plain(cell: str) -> str:
    try:
        return repr(float(cell))
    except ValueError:
        return cell.strip()
