"""The names of the rows of a table whose words are messages: what ``advisor catalog TABLE`` shows beside an id."""

from __future__ import annotations

from collections.abc import Callable

from advisor import catalog
from advisor.findings import Finding, finding
from advisor.money.tables import class_words, measure_words
from advisor.wording.speak import say


def _by(prefix: str) -> Callable[[str], Finding]:
    return lambda name: finding(f"{prefix}.{name}")


NAMED: dict[str, Callable[[str], Finding]] = {
    "remediation_measures": measure_words,
    "appliance_classes": class_words,
    "remedies": _by("remedies.title"),
    "causes": _by("evidence.cause"),
    "check_inputs": _by("codes.input"),
}
"""Tables whose first column is an id that has a name in words."""


def row_names(table: str) -> tuple[str, ...]:
    """Return the name of every row of a table in the reader's language; empty where the table has no such names."""
    named = NAMED.get(table)
    return () if named is None else tuple(say(named(next(iter(row.values())))) for row in catalog.table(table))
