"""Tables as typed records: each annotation reads its kind of cell, and what does not fit is named."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

import pytest

from advisor import catalog
from advisor.errors import InputError
from advisor.rows import record_of

PACKAGE = Path(__file__).resolve().parents[2] / "advisor"
HERE = "catalog: table 'made', line 2"


@dataclass(frozen=True)
class Made:
    name: str
    size_in: float
    count: int
    listed: bool
    kind: Literal["storage", "tankless"]
    ids: tuple[str, ...]
    limit_ft: float | None
    printed_ft: float | Literal["NA"]
    note: str = "not written"


GOOD = {
    "name": " as typed ",
    "size_in": "4",
    "count": "3",
    "listed": "yes",
    "kind": "storage",
    "ids": "a; b;",
    "limit_ft": "",
    "printed_ft": "NA",
    "status": "not read",
}


def test_every_annotation_reads_its_kind_of_cell() -> None:
    assert record_of(Made, GOOD, HERE) == Made(" as typed ", 4.0, 3, True, "storage", ("a", "b"), None, "NA")
    changed = {"limit_ft": "2.5", "printed_ft": "7", "note": "", "ids": "", "listed": "no"}
    more = record_of(Made, {**GOOD, **changed}, HERE)
    assert (more.limit_ft, more.printed_ft, more.note, more.ids, more.listed) == (2.5, 7.0, "", (), False)


@pytest.mark.parametrize(
    ("column", "cell", "words"),
    [
        ("size_in", "", "size_in: '' is not a number"),
        ("size_in", "4 in", "size_in: '4 in' is not a number"),
        ("size_in", "nan", "size_in: 'nan' is not a number"),
        ("count", "3.5", "count: '3.5' is not a whole number"),
        ("listed", "maybe", "listed: 'maybe' is none of yes, no"),
        ("listed", "", "listed: '' is none of yes, no"),
        ("kind", "other", "kind: 'other' is none of storage, tankless"),
        ("limit_ft", "far", "limit_ft: 'far' is not a number"),
        ("printed_ft", "N/A", "printed_ft: 'N/A' is not a number"),
        ("printed_ft", "", "printed_ft: '' is not a number"),
    ],
)
def test_a_wrong_cell_is_named(column: str, cell: str, words: str) -> None:
    with pytest.raises(InputError) as caught:
        record_of(Made, {**GOOD, column: cell}, HERE)
    assert str(caught.value) == f"{HERE}, {words}"


def test_a_missing_column_is_named() -> None:
    short = {column: cell for column, cell in GOOD.items() if column != "kind"}
    with pytest.raises(InputError, match="line 2, kind: no such column"):
        record_of(Made, short, HERE)


def test_rows_of_a_table_are_its_rows() -> None:
    @dataclass(frozen=True)
    class Draw:
        bin: str
        daily_gal: float

    found = catalog.rows_of(Draw, "draw_patterns")
    assert [(d.bin, d.daily_gal) for d in found] == [
        (row["bin"], float(row["daily_gal"])) for row in catalog.table("draw_patterns")
    ]
    assert catalog.rows_of(Draw, "draw_patterns") is found
    assert catalog.rows_by(Draw, "draw_patterns", "bin")["medium"] is found[2]
    with pytest.raises(InputError, match=r"status: '.*' stands there already"):
        catalog.rows_by(Draw, "draw_patterns", "status")
    with pytest.raises(InputError, match="no table"):
        catalog.rows_of(Draw, "no_such_table")


def test_a_column_that_is_not_there_names_the_table() -> None:
    @dataclass(frozen=True)
    class Wrong:
        daily_gallons: float

    with pytest.raises(InputError, match=r"table 'draw_patterns', line 2, daily_gallons: no such column"):
        catalog.rows_of(Wrong, "draw_patterns")


def test_a_line_with_too_few_cells_is_named() -> None:
    short: dict[str, Any] = {**GOOD, "limit_ft": None}  # csv gives None for a cell that a short line lacks
    with pytest.raises(InputError, match="line 2, limit_ft: the line has too few cells"):
        record_of(Made, short, HERE)


READERS = ("rows.py", "catalog.py")
"""Modules that turn the cells of a table into numbers for all others."""
OWN_WAY = {
    "codes/co_limits.py:alarm_points": "no command asks it: to be moved to the tests, which may read cells",
    "risk/paper.py:probability_of": "its table holds numbers beside the hash of what the card was learned from",
    "risk/paper.py:full_probability": "its table holds numbers beside the hash of what the card was learned from",
}
"""Functions that convert a cell by themselves, and why."""


def is_cell(node: ast.AST) -> bool:
    """Return whether an expression takes a cell out of a row by its column, or a text out of a table by its key."""
    if isinstance(node, ast.Subscript):
        index = node.slice
        return isinstance(index, ast.JoinedStr) or (isinstance(index, ast.Constant) and isinstance(index.value, str))
    return isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr == "word"


def converts(node: ast.AST) -> bool:
    """Return whether an expression is ``float(...)`` or ``int(...)`` of a cell."""
    if not isinstance(node, ast.Call) or not isinstance(node.func, ast.Name) or node.func.id not in ("float", "int"):
        return False
    return any(is_cell(part) for given in node.args for part in ast.walk(given))


def converted(tree: ast.AST, name: str = "") -> Iterator[tuple[str, int]]:
    """Yield function and line of everything that converts a cell."""
    for node in ast.iter_child_nodes(tree):
        inside = node.name if isinstance(node, ast.FunctionDef | ast.ClassDef) else name
        if converts(node):
            yield inside, getattr(node, "lineno", 0)
        yield from converted(node, inside)


@pytest.mark.parametrize(
    "line",
    [
        "float(row['size_in'])",
        "int(row['count'] or 0)",
        "float(rows['a']['size_in'] or 'inf')",
        "[float(found[f'{end}_cfm']) for end in ends]",
        "float(next(row for row in rows)['size_in'])",
        "float(catalog.word('made', 'size_in'))",
    ],
)
def test_a_conversion_would_be_found(line: str) -> None:
    assert list(converted(ast.parse(f"def read():\n    return {line}"))) == [("read", 2)]


@pytest.mark.parametrize(
    "line", ["float(row.size_in)", "float(weight[spills].sum())", "row['size_in']", "float(flows[0])"]
)
def test_what_is_no_cell_is_let_pass(line: str) -> None:
    assert not list(converted(ast.parse(line)))


def test_no_module_converts_a_cell_by_itself() -> None:
    found = []
    for path in sorted(PACKAGE.rglob("*.py")):
        file = path.relative_to(PACKAGE).as_posix()
        for name, line in converted(ast.parse(path.read_text(encoding="utf-8"))):
            if file not in READERS and f"{file}:{name}" not in OWN_WAY:
                found.append(f"{file}:{line} in {name}")
    assert not found, "give the table a frozen record and read it with catalog.rows_of"
