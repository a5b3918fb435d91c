"""Is the record enough to decide? Not while it is unproven, unexplained or tied, nor with a vent that nobody looked through."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from advisor.case.model import Case
from advisor.facts.record import Verdict, verdict_of


def lacks_worst_case(case: Case) -> bool:
    """Return whether no full worst case is on record yet: every condition met and written down, and the hood judged."""
    return not any(
        r.outcome in ("pass", "failure") and not r.spoiling and r.after_work is None for r in verdict_of(case).runs
    )


def void_runs(case: Case) -> tuple[int, ...]:
    """Return the runs that wind or contradicting readings make void; they are to be repeated on a calm day."""
    return tuple(r.index for r in verdict_of(case).runs if r.after_work is None and r.void)


Lack = Literal["danger", "unproven", "unexplained", "tie", "vent_not_looked_through", "void_run"]


@dataclass(frozen=True, slots=True)
class Enough:
    """Whether the record is enough to decide.

    Parameters
    ----------
    enough : bool
        True when nothing below speaks against it.
    lacks : tuple of Lack
        Why not.
    void : tuple of int
        Runs of the record that are void.
    """

    enough: bool
    lacks: tuple[Lack, ...]
    void: tuple[int, ...]


def enough_to_decide(case: Case, explained: bool, tie: bool, record: Verdict | None = None) -> Enough:
    """Return whether the record is enough to decide, from the verdict, the explanation and the ranking.

    Parameters
    ----------
    case : Case
        The case.
    explained : bool
        Can the model show what was seen?
    tie : bool
        Do the first options tie within their error?
    record : Verdict, optional
        Of the whole record; that of the case's own runs where it is left out.
    """
    verdict, void = record or verdict_of(case), void_runs(case)
    looked = case.vent.inspected or case.vent.condition != "unknown"
    reasons: tuple[tuple[Lack, bool], ...] = (
        ("danger", bool(verdict.dangers)),
        ("unproven", "unproven" in verdict.states),
        ("unexplained", not explained),
        ("tie", tie),
        ("vent_not_looked_through", not looked and not verdict.all_clear),
        ("void_run", bool(void) and not verdict.all_clear),
    )
    lacks = tuple(name for name, holds in reasons if holds)
    return Enough(not lacks, lacks, void)
