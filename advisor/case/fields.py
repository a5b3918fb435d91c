"""What a key of the case file may hold, read off the models: type, range, choices, unit, words."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from types import NoneType, UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from annotated_types import Ge, Le, MaxLen
from pydantic import BaseModel
from pydantic.fields import FieldInfo

from advisor.case.model import Case
from advisor.case.quantities import unit_of

__all__ = ["LISTS", "TABLES", "Field", "field", "most_items", "table_fields"]

Kind = Literal["choice", "number choice", "several", "names", "yes no", "whole", "number", "text"]
NOTHING = object()


@dataclass(frozen=True, slots=True)
class Field:
    """One key.

    Parameters
    ----------
    key : str
        Path without list numbers, such as ``"zone.door"`` or ``"exhaust.kind"``.
    kind : str
        What an answer looks like.
    choices : tuple
        Allowed values of a choice.
    low, high : float or None
        Range of a number, inclusive; length limit of a text in ``high``.
    unit : str
        See `advisor.case.quantities.unit_of`.
    default : object
        What an absent key is taken as; None when it is unknown, ``NOTHING`` when the key is required.
    words : str
        Description.
    """

    key: str
    kind: Kind
    choices: tuple[Any, ...]
    low: float | None
    high: float | None
    unit: str
    default: Any
    words: str


def _model_of(annotation: Any) -> type[BaseModel] | None:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    return next((m for inner in get_args(annotation) if (m := _model_of(inner))), None)


def _list_of(annotation: Any) -> tuple[Any, int | None] | None:
    """Return the item type of a list and how many it may hold, through unions and annotations; None for no list."""
    if get_origin(annotation) is list:
        return get_args(annotation)[0], None
    if get_origin(annotation) is Annotated:
        inner, *extra = get_args(annotation)
        found = _list_of(inner)
        flat = [n for m in extra for n in (m.metadata if isinstance(m, FieldInfo) else [m])]
        most = next((m.max_length for m in flat if isinstance(m, MaxLen)), None)
        return found and (found[0], most if most is not None else found[1])
    if get_origin(annotation) in (Union, UnionType):
        return next((found for inner in get_args(annotation) if (found := _list_of(inner))), None)
    return None


def _split() -> tuple[dict[str, type[BaseModel]], tuple[str, ...]]:
    models, lists = {}, []
    for name, info in Case.model_fields.items():
        model = _model_of(info.annotation)
        if model:
            models[name] = model
            if _list_of(info.annotation):
                lists.append(name)
    return models, tuple(lists)


TABLES, LISTS = _split()
"""Models of the tables by name; names of those that may come several times."""


def most_items(table: str) -> int:
    """Return how many times a list table may come."""
    info = Case.model_fields[table]
    inner = _list_of(info.annotation)
    assert inner
    return next((m.max_length for m in info.metadata if isinstance(m, MaxLen)), inner[1] or 0)


def table_fields(table: str | None) -> dict[str, FieldInfo]:
    """Return the pydantic fields of a table, or of the top level when ``table`` is None."""
    if table is None:
        return {name: info for name, info in Case.model_fields.items() if name not in TABLES}
    return dict(TABLES[table].model_fields)


@cache
def field(key: str) -> Field:
    """Return what the key may hold.

    Raises
    ------
    KeyError
        If the models have no such key (an error of the program).
    """
    table, _, name = key.rpartition(".")
    info = table_fields(table or None)[name]
    inner, low, high, choices = _unwrap(info.annotation, list(info.metadata))
    if _list_of(info.annotation):
        kind: Kind = "several" if choices else "names"
    elif choices:
        kind = "choice" if isinstance(choices[0], str) else "number choice"
    else:
        kind = {bool: "yes no", int: "whole", float: "number"}.get(inner, "text")  # type: ignore[assignment]
    default = NOTHING if info.is_required() else info.get_default(call_default_factory=True)
    return Field(key, kind, choices, low, high, unit_of(name), default, info.description or "")


def _unwrap(annotation: Any, metadata: list[Any]) -> tuple[Any, float | None, float | None, tuple[Any, ...]]:
    """Return the plain type, the bounds and the choices behind unions, lists and annotations."""
    low: Any = next((m.ge for m in metadata if isinstance(m, Ge)), None)
    high: Any = next((m.le for m in metadata if isinstance(m, Le)), None)
    if high is None:
        high = next((m.max_length for m in metadata if isinstance(m, MaxLen)), None)
    origin = get_origin(annotation)
    if origin is Literal:
        return type(get_args(annotation)[0]), low, high, get_args(annotation)
    if origin is Annotated:
        inner, *extra = get_args(annotation)
        flat = [n for m in extra for n in (m.metadata if isinstance(m, FieldInfo) else [m])]
        found = _unwrap(inner, flat)
    elif origin in (Union, UnionType):
        found = _unwrap(next(a for a in get_args(annotation) if a is not NoneType), [])
    elif origin is list:
        found = _unwrap(get_args(annotation)[0], [])
    else:
        return annotation, low, high, ()
    return found[0], found[1] if low is None else low, found[2] if high is None else high, found[3]
