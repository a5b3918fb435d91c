"""Tables as typed records: each annotation reads its kind of cell, and what does not fit is named."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import pytest

from advisor import catalog
from advisor.errors import InputError
from advisor.rows import record_of

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
    note: str = "not written"


GOOD = {
    "name": " as typed ",
    "size_in": "4",
    "count": "3",
    "listed": "yes",
    "kind": "storage",
    "ids": "a; b;",
    "limit_ft": "",
    "status": "not read",
}


def test_every_annotation_reads_its_kind_of_cell() -> None:
    assert record_of(Made, GOOD, HERE) == Made(" as typed ", 4.0, 3, True, "storage", ("a", "b"), None)
    more = record_of(Made, {**GOOD, "limit_ft": "2.5", "note": "", "ids": "", "listed": "no"}, HERE)
    assert (more.limit_ft, more.note, more.ids, more.listed) == (2.5, "", (), False)


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
