"""One row of a table as a record: each cell is read by the annotation of its field."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import MISSING, fields
from functools import cache
from types import NoneType, UnionType
from typing import Any, Literal, TypeVar, Union, cast, get_args, get_origin, get_type_hints

from advisor.errors import InputError

_WORDS = {"yes": True, "no": False}
_BETWEEN = ";"


Record = TypeVar("Record")
Reader = Callable[[str], Any]


@cache
def _fields(model: Any) -> tuple[tuple[str, Reader, bool], ...]:
    """Return name, reader of a cell, and whether there must be a column, of every field of a model."""
    hints = get_type_hints(model)
    return tuple(
        (one.name, _reader(hints[one.name]), one.default is MISSING and one.default_factory is MISSING)
        for one in fields(model)
    )


def record_of(model: type[Record], row: Mapping[str, str], where: str) -> Record:
    """Return a row of text as a record.

    Parameters
    ----------
    model : type
        Frozen dataclass; its fields are columns, their annotations what the cells hold (``catalog.rows_of``).
    row : mapping of str to str
        Cells by column.
    where : str
        Which table and line, for the message.

    Raises
    ------
    InputError
        If a column is missing or a cell holds something else.
    """
    values: dict[str, Any] = {}
    for name, read, needed in _fields(cast(Any, model)):
        if name in row:
            try:
                values[name] = read(_present(row[name]))
            except ValueError as problem:
                raise InputError(f"{where}, {name}: {problem}") from None
        elif needed:
            raise InputError(f"{where}, {name}: no such column")
    return model(**values)


def _present(cell: str | None) -> str:
    if cell is None:
        raise ValueError("the line has too few cells")
    return cell


# A table of vent capacities has thousands of cells: what an annotation asks is worked out once, not for every cell.
def _reader(wanted: Any) -> Reader:
    """Return what turns a cell into what its annotation says; its ValueError says what is wrong with a cell."""
    origin, inside = get_origin(wanted), get_args(wanted)
    if origin in (Union, UnionType):
        return _either(inside)
    if origin is tuple:
        part = _reader(inside[0])
        return lambda cell: tuple(part(one.strip()) for one in cell.split(_BETWEEN) if one.strip())
    if origin is Literal:
        return lambda cell: _one_of(cell, inside)
    if wanted is bool:
        return lambda cell: _WORDS[_one_of(cell, tuple(_WORDS))]
    if wanted is str:
        return lambda cell: cell
    if wanted not in (int, float):
        raise TypeError(f"no table holds {wanted}")
    return lambda cell: _number(cell, wanted)


def _either(kinds: tuple[Any, ...]) -> Reader:
    """Return the reader of a cell that holds something or nothing, or a number or a word printed in its place."""
    may_be_empty = NoneType in kinds
    first, *others = (kind for kind in kinds if kind is not NoneType)
    read = _reader(first)
    words = frozenset(word for kind in others for word in get_args(kind))

    def one(cell: str) -> Any:
        if not cell and may_be_empty:
            return None
        return cell if cell in words else read(cell)

    return one


def _one_of(cell: str, allowed: tuple[Any, ...]) -> str:
    if cell not in allowed:
        raise ValueError(f"'{cell}' is none of {', '.join(map(str, allowed))}")
    return cell


def _number(cell: str, wanted: type[int] | type[float]) -> float:
    try:
        value = wanted(cell)
    except ValueError:
        raise ValueError(f"'{cell}' is not a {'whole ' if wanted is int else ''}number") from None
    if not math.isfinite(value):
        raise ValueError(f"'{cell}' is not a number")
    return value
