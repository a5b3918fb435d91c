"""Records that no situation explains: said, not averaged away.

Two runs contradict each other when (1) the situation that fits both best fits them much worse than the best situation
for each alone, and (2) both together are much less likely than each by itself. The first alone would also flag noise,
the second alone would flag surprises that have an explanation.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

import numpy as np

from advisor import catalog
from advisor.case.model import Run
from advisor.ensemble.state import Array
from advisor.evidence.likelihood import Observation


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


def contradictions_of(record: Sequence[Run], observed: Sequence[Observation], weight: Array) -> tuple[str, ...]:
    """Return a sentence for every reading, run, pair of runs and at last whole record that nothing explains.

    Parameters
    ----------
    record : sequence of Run
        Runs.
    observed : sequence of Observation
        Their observations, held against prior samples.
    weight : array (n,)
        Prior weights of those samples.
    """
    found, of_run = [], {i: [o for o in observed if o.index == i] for i in range(len(record))}
    odd: set[int] = set()
    for i, parts in of_run.items():
        for one in parts:
            if float(one.misfit.max()) <= -_limit("contradiction_single_drop"):
                found.append(f"no situation explains one reading of {_name(record, i)} ({one.words}): check the record")
                odd.add(i)
        for first, second in combinations(parts, 2):
            pair = [(first.log_likelihood, first.misfit), (second.log_likelihood, second.misfit)]
            if i not in odd and clash(weight, pair):
                found.append(
                    f"no situation explains {first.words} and {second.words} together in {_name(record, i)}: "
                    "check the record"
                )
                odd.add(i)
    totals = {
        i: (
            np.sum([o.log_likelihood for o in parts], axis=0),
            np.sum([o.misfit for o in parts], axis=0),
        )
        for i, parts in of_run.items()
        if parts and i not in odd
    }
    pairs = [(i, j) for i, j in combinations(totals, 2) if clash(weight, [totals[i], totals[j]])]
    found += [
        f"no situation explains {_name(record, i)} and {_name(record, j)} together: check the record" for i, j in pairs
    ]
    if not pairs and len(totals) > 2 and clash(weight, list(totals.values())):
        found.append("every two runs go together, but no situation explains all of them: check the record")
    return tuple(found)


def _name(record: Sequence[Run], index: int) -> str:
    label = record[index].label
    return f"run {index + 1}" + (f" ('{label}')" if label != "run" else "")
