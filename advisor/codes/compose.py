"""Put a ``Check`` together: weakest status and joined sources."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Protocol

from advisor.codes.check import Check, Verdict
from advisor.codes.code_texts import read_in
from advisor.findings import Words

# Strongest first. ``memory`` stands last: an unread number must stay visible through any mixture.
STRENGTH = ("seen", "derived", "second-hand", "common practice", "own choice", "memory")

OUTSIDE: Verdict = "outside the table: engineered design"


class Rated(Protocol):
    """Anything that carries a status word and source ids (a catalog parameter, a row of a table, a ``Basis``)."""

    @property
    def status(self) -> str:
        """Status word."""
        ...

    @property
    def source(self) -> str:
        """Source ids, ``;`` separated."""
        ...


@dataclass(frozen=True, slots=True)
class Basis:
    """Status and source of a number that is not a catalog parameter (a table cell, say)."""

    status: str
    source: str


def worst_status(*statuses: str) -> str:
    """Return the weakest of the status words; ``seen`` when none is given."""
    return max(statuses, key=STRENGTH.index, default=STRENGTH[0])


def joined_sources(*sources: str) -> str:
    """Return the distinct source ids of all arguments in order, ``;`` separated."""
    found: dict[str, None] = {}
    for text in sources:
        for name in text.split(";"):
            if name:
                found[name] = None
    return ";".join(found)


def verdict_of(ok: bool | None) -> Verdict:
    """Return ``pass``, ``fail`` or, for a missing number, ``unknown``."""
    if ok is None:
        return "unknown"
    return "pass" if ok else "fail"


def outcome(ok: bool | None) -> str:
    """Return how the id of a message ends that is said otherwise for each outcome: ``met``, ``not_met``, ``unknown``."""
    return "unknown" if ok is None else "met" if ok else "not_met"


def all_known(parts: Iterable[bool | None]) -> bool | None:
    """Return False where one part fails, None where none fails and one is not known, else True."""
    found = tuple(parts)
    return False if False in found else None if None in found else True


def compose(
    rule: str,
    clause: str,
    verdict: Verdict,
    client: Words,
    official: Words,
    basis: Iterable[Rated],
    *,
    required: Words = "",
    provided: Words = "",
    rests_on: Iterable[str] = (),
    about: str = "",
) -> Check:
    """Return a ``Check`` that carries the weakest status and the sources of every number used.

    Parameters
    ----------
    rule, clause, verdict, client, official, required, provided
        As in ``Check``; the two sentences end in a full stop.
    basis : iterable of Rated
        Every number used; the weakest status and all sources are carried.
    rests_on : iterable of str
        Numbers of the house that the verdict rests on (``catalog/codes/check_inputs.csv``).
    about : str
        As in ``Check``.
    """
    rated = tuple(basis)
    status = worst_status(*(item.status for item in rated))
    return Check(
        rule=rule,
        clause=clause,
        required=required,
        provided=provided,
        verdict=verdict,
        client=client,
        official=official,
        status=status,
        source=joined_sources(*(item.source for item in rated)),
        rests_on=tuple(rests_on),
        about=about,
        # a parameter cites its clause with its edition; a cell of a table has only its sources
        read_in=read_in(item.source for item in rated if isinstance(item, Basis)),
    )


def failed(checks: Iterable[Check]) -> bool:
    """Return whether any check fails or lies outside its table."""
    return any(check.verdict in ("fail", OUTSIDE) for check in checks)
