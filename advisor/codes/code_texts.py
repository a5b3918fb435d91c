"""Which texts of which code the numbers of the catalog were read from."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from advisor.catalog import by_edition, edition_in_force, rows_of
from advisor.findings import Finding, finding, slug

Extent = Literal["rules", "part", "examples", "manual", "none"]
READ: tuple[Extent, ...] = ("rules", "part", "examples")
"""How much of an official text was read, most first."""


@dataclass(frozen=True, slots=True)
class CodeText:
    """A text behind numbers of the codes (``code_texts``).

    Parameters
    ----------
    source : str
        Id of the source list.
    code, year : str, int or None
        Code and edition; of a local code, those of the model code that it is based on. Empty where there is none.
    state : str
        State whose own code it is; empty for a model code.
    extent : str
        What was read of it: its rules, parts, examples; a maker's manual that prints it; nothing (from memory).
    """

    source: str
    code: str
    year: int | None
    state: str
    extent: Extent


@by_edition
def texts() -> tuple[CodeText, ...]:
    """Return the texts behind the numbers, with that of the edition in force."""
    edition = edition_in_force()
    added = () if edition is None else edition.sources
    newer = [CodeText(source, edition.code, edition.year, "", "part") for source in added] if edition else []
    return (*rows_of(CodeText, "code_texts"), *newer)


def read_in(sources: Iterable[str]) -> tuple[Finding | str, ...]:
    """Return how those of some sources (``;`` separated ids) that are texts of a code are cited, each once, in order."""
    # a cell from memory was read nowhere: its status says so
    known = {text.source for text in texts() if text.extent != "none"}
    return tuple(dict.fromkeys(_cited(name) for ids in sources for name in ids.split(";") if name in known))


def _cited(source: str) -> Finding | str:
    """Return how a text is cited, to be said; the text of an added edition as its folder says."""
    edition = edition_in_force()
    if edition is not None and source in edition.sources:
        return edition.cite
    return finding(f"adoption.text.{slug(source)}")


def years_read(code: str = "") -> tuple[int, int]:
    """Return the oldest and the newest edition of which rules or parts were read for the tables of this tool.

    Parameters
    ----------
    code : str
        Of this code alone; empty for all.
    """
    years = [
        row.year
        for row in rows_of(CodeText, "code_texts")
        if row.year is not None and row.extent in READ and code in ("", row.code)
    ]
    return min(years), max(years)
