"""Records that no situation explains: found, not averaged away.

Two runs contradict each other when (1) the situation that fits both best fits them much worse than the best situation
for each alone, and (2) both together are much less likely than each by itself. The first alone would also flag noise,
the second alone would flag surprises that have an explanation. An error of the tester is no explanation here: the first
is judged without it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Literal

import numpy as np

from advisor import catalog
from advisor.ensemble.state import Array
from advisor.evidence.likelihood import Observation

Kind = Literal["reading", "readings", "runs", "record"]


@dataclass(frozen=True, slots=True)
class Contradiction:
    """A part of a record that no situation explains.

    Parameters
    ----------
    kind : {"reading", "readings", "runs", "record"}
        One reading by itself, two observations of one run, two runs, or the whole record.
    runs : tuple of int
        Positions of the runs in the record.
    observations : tuple of str
        Kinds of the observations, for ``reading`` and ``readings``.
    """

    kind: Kind
    runs: tuple[int, ...]
    observations: tuple[str, ...] = ()


def _limit(key: str) -> float:
    return catalog.number("evidence", key)


def _mean(weight: Array, like: Array) -> float:
    top = like.max()
    return float(np.log(np.sum(weight * np.exp(like - top))) + top)


def clash(weight: Array, parts: Sequence[tuple[Array, Array]]) -> bool:
    """Say whether pieces of evidence contradict each other.

    Parameters
    ----------
    weight : array (n,)
        Prior weights.
    parts : sequence of (log likelihood, misfit), each (n,)
        Pieces of evidence.
    """
    drop = sum(float(m.max()) for _, m in parts) - float(np.sum([m for _, m in parts], axis=0).max())
    together = _mean(weight, np.sum([like for like, _ in parts], axis=0))
    apart = sum(_mean(weight, like) for like, _ in parts)
    return drop >= _limit("contradiction_best_drop") and apart - together >= _limit("contradiction_log_ratio")


def contradictions_of(observed: Sequence[Observation], weight: Array) -> tuple[Contradiction, ...]:
    """Return every reading, run, pair of runs and at last whole record that nothing explains.

    Parameters
    ----------
    observed : sequence of Observation
        What was observed, held against prior samples.
    weight : array (n,)
        Prior weights of those samples.
    """
    found: list[Contradiction] = []
    indices = sorted({o.index for o in observed if o.index >= 0})
    of_run = {i: [o for o in observed if o.index == i] for i in indices}
    odd: set[int] = set()
    for i, parts in of_run.items():
        for one in parts:
            if float(one.misfit.max()) <= -_limit("contradiction_single_drop"):
                found.append(Contradiction("reading", (i,), (one.kind,)))
                odd.add(i)
        for first, second in combinations(parts, 2):
            if i not in odd and clash(weight, [(first.alone, first.misfit), (second.alone, second.misfit)]):
                found.append(Contradiction("readings", (i,), (first.kind, second.kind)))
                odd.add(i)
    totals = {
        i: (np.sum([o.alone for o in parts], axis=0), np.sum([o.misfit for o in parts], axis=0))
        for i, parts in of_run.items()
        if i not in odd
    }
    pairs = [(i, j) for i, j in combinations(totals, 2) if clash(weight, [totals[i], totals[j]])]
    found += [Contradiction("runs", pair) for pair in pairs]
    if not pairs and len(totals) > 2 and clash(weight, list(totals.values())):
        found.append(Contradiction("record", tuple(totals)))
    return tuple(found)
