"""Where the files of ``catalog/`` lie, and their rows as they stand."""

from __future__ import annotations

import csv
import tomllib
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Any

from advisor.errors import InputError, suggest

STATUSES = ("seen", "second-hand", "memory", "common practice", "derived", "own choice")

Row = MappingProxyType[str, str]


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


def rows_in(path: Path) -> tuple[Row, ...]:
    """Return the rows of a file as read-only mappings of text."""
    with path.open(newline="", encoding="utf-8") as handle:
        return tuple(MappingProxyType(dict(row)) for row in csv.DictReader(handle))


@cache
def rows_as_read(name: str) -> tuple[Row, ...]:
    """Return the rows of ``catalog/<room>/<name>.csv``, whatever edition is in force.

    Raises
    ------
    InputError
        If no such table exists.
    """
    return rows_in(path_of(name))


@cache
def sources_as_read() -> MappingProxyType[str, Any]:
    """Return the source list of the catalog, id to its record."""
    with (folder() / "sources.toml").open("rb") as handle:
        return MappingProxyType(tomllib.load(handle))
