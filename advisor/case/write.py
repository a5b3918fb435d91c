"""TOML out: a case as a commented file that reads back as the same case.

Lines that start with ``#:`` are the interview's own notes (see `advisor.interview.draft`); other comments are a person's.
"""

from __future__ import annotations

import contextlib
import os
import shutil
import tomllib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import tomlkit

from advisor.case import fields
from advisor.errors import InputError

__all__ = ["NONE_WORDS", "OWN", "Remarks", "document", "write_atomically"]

OWN = "#:"
NONE_WORDS = "# there is none"
"""Stands behind a list that holds nothing."""
Place = tuple[str | int, ...]
HEADER = ("A case: one house, one heater, one test record. US units; a key or list that is absent is not known.",)


@dataclass(frozen=True, slots=True)
class Remarks:
    """Comments of a document.

    Parameters
    ----------
    header : tuple of str
        Lines at the top, without the sign.
    without_value : frozenset of place
        Keys, tables and lists that were asked for and left without a value.
    aside : mapping of place to value
        Answers that do not apply for now.
    before, after : mapping of place to comments
        A person's comments: lines above a key or table, and the one behind a value. Those above nothing stand at the
        place ``()``: the end.
    """

    header: tuple[str, ...] = HEADER
    without_value: frozenset[Place] = frozenset()
    aside: Mapping[Place, Any] = field(default_factory=dict)
    before: Mapping[Place, tuple[str, ...]] = field(default_factory=dict)
    after: Mapping[Place, str] = field(default_factory=dict)


def document(data: Mapping[str, Any], remarks: Remarks) -> str:
    """Return TOML for the plain data of a case, complete or not, with remarks in their places.

    Parameters
    ----------
    data : mapping
        As `tomllib` would read it.
    remarks : Remarks
        Comments.

    Returns
    -------
    str
        Reads back as ``data``.
    """
    lines = [f"{OWN} {words}" for words in remarks.header]
    lines += _keys(data, (), None, remarks)
    lines += _empty_lists(data, remarks)
    for table in fields.TABLES:
        lines += _list(table, data, remarks) if table in fields.LISTS else _table(table, data, remarks)
    lines += remarks.before.get((), ())
    text = "\n".join(lines).lstrip("\n") + "\n"
    if not _same(tomllib.loads(text), data):
        raise RuntimeError("the case does not read back as it was written")  # an error of the program
    return text


def _empty_lists(data: Mapping[str, Any], remarks: Remarks) -> Iterator[str]:
    """Write the lists that hold nothing: keys of the top level, so before the first table."""
    for table in fields.LISTS:
        if data.get(table) == []:
            yield from remarks.before.get((table,), ())
            yield f"{table} = []  {remarks.after.get((table,), NONE_WORDS)}"


def _loose(place: Place, remarks: Remarks) -> list[str]:
    """Return a person's comments on something that is not written: they stay, on lines of their own."""
    behind = remarks.after.get(place)
    return [*remarks.before.get(place, ()), *([behind] if behind else [])]


def _list(table: str, data: Mapping[str, Any], remarks: Remarks) -> Iterator[str]:
    """Write the items of a list, and how far it was asked for; an empty one stands on top already."""
    items, place = data.get(table), (table,)
    if items == []:
        return
    left = _loose(place, remarks)
    for i, item in enumerate(items or ()):
        yield from ("", *left, *remarks.before.get((table, i), ()), f"[[{table}]]")
        yield from _keys(item, (table, i), table, remarks)
        left = []
    if place in remarks.without_value:
        yield from ("", *left, f"{OWN} {table}: that is all" if items else f"{OWN} [[{table}]]: not known")
    elif left:
        yield from ("", *left)


def _table(table: str, data: Mapping[str, Any], remarks: Remarks) -> Iterator[str]:
    """Write a table; one that is absent leaves what was set aside, and a person's comments."""
    place: Place = (table,)
    if table in data or any(p[0] == table and len(p) > 1 for p in remarks.without_value):
        yield from ("", *remarks.before.get(place, ()), f"[{table}]")
        yield from _keys(data.get(table, {}), place, table, remarks)
        return
    left = [words for name in fields.table_fields(table) for words in _loose((table, name), remarks)]
    if place in remarks.without_value:
        left.append(f"{OWN} {table}: none")
    left = [*_loose(place, remarks), *left, *_aside(place, remarks, dotted=True)]
    if left:
        yield from ("", *left)


def _same(read: Mapping[str, Any], data: Mapping[str, Any]) -> bool:
    """Equal, but for empty tables, which only hold remarks."""
    return all(read.get(k, {}) == data.get(k, {}) for k in {*read, *data})


def _keys(values: Mapping[str, Any], place: Place, table: str | None, remarks: Remarks) -> Iterator[str]:
    """Write the keys of one table, then what has no value, then what is set aside, then tables within it."""
    inner = []
    for name, info in fields.table_fields(table).items():
        here = (*place, name)
        if name in values:
            value = values[name]
            if isinstance(value, Mapping):
                inner.append((name, value))
                continue
            yield from remarks.before.get(here, ())
            words = remarks.after.get(here) or f"# {info.description}"
            yield f"{name} = {_value(value, name, table)}  {words}"
            continue
        yield from _loose(here, remarks)
        if here in remarks.without_value:
            yield f"{OWN} {name}: not known  ({info.description})"
    if place:
        yield from _aside(place, remarks, dotted=False)
    for name, value in inner:
        yield from ("", *remarks.before.get((*place, name), ()), f"[{'.'.join(map(str, place))}.{name}]")
        for key, number in value.items():
            yield from remarks.before.get((*place, name, key), ())
            behind = remarks.after.get((*place, name, key))
            yield f"{tomlkit.key(key).as_string()} = {_value(number)}" + (f"  {behind}" if behind else "")


def _aside(place: Place, remarks: Remarks, dotted: bool) -> Iterator[str]:
    for where, value in remarks.aside.items():
        if where[:-1] == place:
            key = ".".join(map(str, where)) if dotted else where[-1]
            yield f"{OWN} set aside: {key} = {_value(value)}"


def _value(value: Any, name: str = "", table: str | None = None) -> str:
    """Return a value as TOML; whole numbers without a needless ``.0`` where the key takes any number."""
    if isinstance(value, float) and value.is_integer() and abs(value) < 1e15:
        number_choice = bool(name) and fields.field(f"{table}.{name}" if table else name).kind == "number choice"
        if not number_choice:
            return str(int(value))
    if isinstance(value, Iterable) and not isinstance(value, str):
        return "[" + ", ".join(_value(v) for v in value) + "]"
    return str(tomlkit.item(value).as_string())


def write_atomically(path: Path, text: str) -> None:
    """Replace a file in one step, so that it is whole at every moment.

    Raises
    ------
    InputError
        If the folder or the file cannot be written.
    """
    target = path.resolve()
    part = target.with_name(f".{target.name}.part")
    try:
        with part.open("w", encoding="utf-8", newline="\n") as handle:
            handle.write(text)
            handle.flush()
            os.fsync(handle.fileno())
        if target.exists():
            shutil.copymode(target, part)
        os.replace(part, target)
    except OSError as error:
        with contextlib.suppress(OSError):
            part.unlink()
        raise InputError(f"{path}: cannot be written: {error.strerror or error}") from None
