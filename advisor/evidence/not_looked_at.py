"""What nobody looked at: a share of its own for each answer that is missing, so that no answer taken away makes surer.

``catalog/evidence/not_looked_at.csv`` says which keys answer what, where a question does not matter, and the share. An answer
that is taken away can only add to the sum, and the shares of all named causes are scaled by what the sum leaves.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from advisor import catalog
from advisor.case.model import Case

LISTS = ("opening", "appliance", "exhaust", "supply", "run")
"""Tables of a case that may come several times."""
NO_ANSWER: tuple[Any, ...] = (None, "unknown")
MISSING_FLAGS = ("vent.inspected",)
"""Keys that are plainly False where nobody did it."""


@dataclass(frozen=True, slots=True)
class _Question:
    """A question, the keys that answer it, where it does not matter, and its share (``not_looked_at``)."""

    id: str
    keys: tuple[str, ...]
    unless: str
    share: float


def _answered(value: Any, key: str) -> bool:
    return value not in NO_ANSWER and not (key in MISSING_FLAGS and value is False)


def _value(case: Case, key: str, item: Any) -> Any:
    """Return what a key holds: of one item of a list, of a table, or of the case."""
    table, _, name = key.partition(".")
    if table in LISTS and name:
        return getattr(item, name)
    found = getattr(case, table)
    return getattr(found, name) if name else found


def _shown(value: Any) -> str:
    return "[]" if isinstance(value, list) and not value else str(value)


def _matters(case: Case, unless: str, item: Any) -> bool:
    if not unless:
        return True
    key, _, words = unless.partition("=")
    return _shown(_value(case, key, item)) not in words.split("|")


def _items(case: Case, keys: Sequence[str]) -> list[Any]:
    """Return the items that are asked about: those of a list (None stands for a list that is not known), or one."""
    table, _, name = keys[0].partition(".") if keys else ("", "", "")
    if table not in LISTS or not name:
        return [None]
    if table == "run":
        return [r for r in case.run if r.after_work is None] or [None]
    items = getattr(case, table)
    return [None] if items is None else list(items)


def _missing(case: Case, keys: Sequence[str], unless: str, item: Any) -> bool:
    if not keys:
        return True
    in_list = keys[0].partition(".")[0] in LISTS and "." in keys[0]
    if in_list and item is None:
        return True
    return _matters(case, unless, item) and not any(_answered(_value(case, key, item), key) for key in keys)


def unseen_parts(case: Case) -> dict[str, float]:
    """Return the share of each thing that nobody looked at, by row of ``catalog/evidence/not_looked_at.csv``, 0 to 1.

    In a list the share is that of the items that lack the answer.
    """
    found = {}
    for row in catalog.rows_of(_Question, "not_looked_at"):
        items = _items(case, row.keys)
        lacking = sum(_missing(case, row.keys, row.unless, item) for item in items)
        if lacking:
            found[row.id] = row.share * lacking / len(items)
    return found


def unseen_share(case: Case) -> float:
    """Return the share of everything that nobody looked at, 0 to 1: one less the product of what each part leaves."""
    left = 1.0
    for share in unseen_parts(case).values():
        left *= 1.0 - share
    return 1.0 - left
