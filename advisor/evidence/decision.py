"""Choosing among options under uncertainty: the rule, what a wrong choice costs, and how often the choice is best."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from advisor import catalog
from advisor.ensemble.question import Question
from advisor.ensemble.state import Array, Index, State
from advisor.findings import Words


@dataclass(frozen=True, slots=True)
class Choice:
    """An option as the decision sees it.

    Parameters
    ----------
    id : str
        Name.
    title : Finding
        Its title.
    cost_usd : float
        Typical cost: whatever the caller compares options by.
    alter : callable or None
        Returns the situations after the work; None for an option with nothing left to spill.
    """

    id: str
    title: Words
    cost_usd: float
    alter: Callable[[State], State] | None


@dataclass(frozen=True, slots=True)
class Table:
    """Options against situations, cheapest option first.

    Parameters
    ----------
    choices : tuple of Choice
        ``m`` options by rising cost; the last is always safe, or the list ends without one.
    spills : array (m, n)
        1 where the option still spills in the worst case.
    cost_usd : array (m,)
        Their costs.
    regret_usd : array (m, n)
        Cost of choosing the option in a situation, beyond that of the cheapest one that works there.
    best : array of int (n,)
        Cheapest option that works, situation by situation; -1 where none does.
    """

    choices: tuple[Choice, ...]
    spills: Array
    cost_usd: Array
    regret_usd: Array
    best: Index


def outcomes(choices: Sequence[Choice], state: State, question: Question) -> Array:
    """Work out which option spills in which situation in the worst case, (options, n) of 0 and 1."""
    as_found: Array | None = None
    rows = []
    for choice in choices:
        altered = state if choice.alter is None else choice.alter(state)
        if choice.alter is None:
            rows.append(np.zeros(state.samples))
        elif altered is state:
            as_found = question.spills(state) if as_found is None else as_found
            rows.append(as_found)
        else:
            rows.append(question.spills(altered))
    return np.stack(rows)


def decision_table(choices: Sequence[Choice], spills: Array) -> Table:
    """Order options by cost and work out the regret of each in every situation.

    Where the chosen option spills, the next dearer one that works there must be paid too (any that works where none is
    dearer), and a penalty (``catalog/evidence/next_tests_settings.csv``).
    """
    order: Index = np.argsort([c.cost_usd for c in choices], kind="stable")
    ordered = tuple(choices[int(i)] for i in order)
    spills = spills[order]
    cost = np.array([c.cost_usd for c in ordered])
    works = spills < 0.5
    best: Index = np.where(works.any(axis=0), works.argmax(axis=0), -1)
    least = np.where(best >= 0, cost[best], 0.0)
    number = catalog.number
    penalty, redo = number("next_tests_settings", "penalty_usd"), number("next_tests_settings", "redo_share")
    regret = np.zeros_like(spills)
    for i in range(len(ordered)):
        later = works[i + 1 :]
        nxt = (
            np.where(later.any(axis=0), cost[i + 1 :][later.argmax(axis=0)] if len(later) else 0.0, least)
            if len(later)
            else least
        )
        regret[i] = np.where(works[i], cost[i] - least, cost[i] + redo * nxt + penalty - least)
    return Table(ordered, spills, cost, regret, best)


LEAVE = "leave_as_found"
"""Id of the option of doing nothing: a choice only where a worst-case test was passed and none failed."""


def decide(table: Table, weight: Array, may_leave: bool = True) -> int:
    """Return the cheapest option that passes the worst-case gate under some weights; the least spilling if none does.

    Parameters
    ----------
    table : Table
        Options against situations.
    weight : array (n,)
        Weights that sum to 1.
    may_leave : bool
        May it be left as it is?
    """
    share = table.spills @ weight
    if not may_leave:
        share = np.where([c.id == LEAVE for c in table.choices], np.inf, share)
    passing = np.flatnonzero(share <= catalog.number("safety", "worst_case_limit"))
    return int(passing[0]) if passing.size else int(np.argmin(share))


def expected_regret_usd(table: Table, weight: Array, chosen: int) -> float:
    """Return the expected cost of a choice beyond the cheapest one that works, usd."""
    return float(table.regret_usd[chosen] @ weight)


def best_share(table: Table, weight: Array, chosen: int) -> float:
    """Return the weight of the situations in which a choice is the cheapest one that works."""
    return float(weight[table.best == chosen].sum())
