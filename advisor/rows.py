"""One row of a table as a record: each cell is read by the annotation of its field."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import MISSING, Field, fields
from functools import cache
from types import NoneType, UnionType
from typing import Any, Literal, TypeVar, Union, cast, get_args, get_origin, get_type_hints

from advisor.errors import InputError

_WORDS = {"yes": True, "no": False}
_BETWEEN = ";"


Record = TypeVar("Record")


@cache
def _fields(model: Any) -> tuple[tuple[Field[Any], Any], ...]:
    hints = get_type_hints(model)
    return tuple((one, hints[one.name]) for one in fields(model))


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
    for one, wanted in _fields(cast(Any, model)):
        if one.name in row:
            try:
                values[one.name] = _value(row[one.name], wanted)
            except ValueError as problem:
                raise InputError(f"{where}, {one.name}: {problem}") from None
        elif one.default is MISSING and one.default_factory is MISSING:
            raise InputError(f"{where}, {one.name}: no such column")
    return model(**values)


def _value(cell: str | None, wanted: Any) -> Any:
    """Return a cell as what its annotation says; ValueError says what is wrong with it."""
    if cell is None:
        raise ValueError("the line has too few cells")
    if get_origin(wanted) in (Union, UnionType):
        kinds = [kind for kind in get_args(wanted) if kind is not NoneType]
        if not cell and len(kinds) < len(get_args(wanted)):
            return None
        # a table that prints a word in the place of a number: the word stays a word
        if any(get_origin(kind) is Literal and cell in get_args(kind) for kind in kinds[1:]):
            return cell
        wanted = kinds[0]
    if get_origin(wanted) is tuple:
        return tuple(_value(part.strip(), get_args(wanted)[0]) for part in cell.split(_BETWEEN) if part.strip())
    if get_origin(wanted) is Literal:
        return _one_of(cell, get_args(wanted))
    if wanted is bool:
        return _WORDS[_one_of(cell, tuple(_WORDS))]
    return cell if wanted is str else _number(cell, wanted)


def _one_of(cell: str, allowed: tuple[Any, ...]) -> str:
    if cell not in allowed:
        raise ValueError(f"'{cell}' is none of {', '.join(map(str, allowed))}")
    return cell


def _number(cell: str, wanted: Any) -> Any:
    if wanted not in (int, float):
        raise TypeError(f"no table holds {wanted}")
    try:
        value = wanted(cell)
    except ValueError:
        raise ValueError(f"'{cell}' is not a {'whole ' if wanted is int else ''}number") from None
    if not math.isfinite(value):
        raise ValueError(f"'{cell}' is not a number")
    return value
