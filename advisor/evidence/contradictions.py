"""Records that no situation explains: found, not averaged away.

Two runs contradict each other when (1) the situation that fits both best fits them much worse than the best situation
for each alone, and (2) both together are much less likely than each by itself. The first alone would also flag noise,
the second alone would flag surprises that have an explanation. An error of the tester is no explanation here. The same
test with opposite results contradicts itself, whatever a situation could make of what was not written down.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Literal

import numpy as np

from advisor import catalog
from advisor.case.model import Case, Run
from advisor.ensemble.state import Array
from advisor.evidence.observations import Observation, observed_words, outcome_of
from advisor.findings import Finding, finding

Kind = Literal["reading", "readings", "runs", "record"]
UNNAMED_RUN = "run"
"""Label of a run that nobody named."""


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


def explained_by_nothing(record: Sequence[Run], one: Contradiction) -> Finding:
    """Return what is to be said about a part of a record that no situation explains.

    Parameters
    ----------
    record : sequence of Run
        The runs that were held against each other (``Posterior.record``).
    one : Contradiction
        What does not fit.
    """
    found = finding(f"evidence.contradiction.{one.kind}")
    if one.kind == "record":
        return found
    runs = [_run(record, i) for i in one.runs]
    what = [observed_words(record[one.runs[0]], kind) for kind in one.observations]
    other = runs[1:] if one.kind == "runs" else what[1:]
    values: dict[str, Finding] = {"run": runs[0]}
    values |= {"what": what[0]} if what else {}
    values |= {"other": other[0]} if other else {}
    return found.with_values(**values)


def _run(record: Sequence[Run], index: int) -> Finding:
    label = record[index].label
    if label == UNNAMED_RUN:
        return finding("evidence.run", number=index + 1)
    return finding("evidence.run_labelled", number=index + 1, label=label)


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


CONDITION_KEYS = (
    *("devices_on", "supply_on", "window_open_ft2", "zone_window_open_ft2", "zone_door", "interior_doors"),
    *("air_handler", "firing", "fireplace_damper", "intake", "vent_cold_at_start", "after_work"),
)
"""What makes two runs the same test, as far as it was written down; the weather is compared apart."""


def opposed(case: Case, record: Sequence[Run]) -> tuple[Contradiction, ...]:
    """Return the pairs of runs made under the same written condition, in like weather, one a failure, one drafting."""
    outcomes = [outcome_of(case, run) for run in record]
    failed = [i for i, outcome in enumerate(outcomes) if outcome == "failure"]
    drafted = [i for i, run in enumerate(record) if run.seen == "drafting" and outcomes[i] != "failure"]
    pairs = sorted({(min(i, j), max(i, j)) for i in failed for j in drafted if _same_test(record[i], record[j])})
    return tuple(Contradiction("runs", pair) for pair in pairs)


def _same_test(first: Run, second: Run) -> bool:
    if any(getattr(first, key) != getattr(second, key) for key in CONDITION_KEYS):
        return False
    warm = abs((first.outdoor_temp_f or 0.0) - (second.outdoor_temp_f or 0.0)) <= _limit("same_weather_f")
    calm = abs((first.wind_mph or 0.0) - (second.wind_mph or 0.0)) <= _limit("same_weather_mph")
    written = all((getattr(first, k) is None) == (getattr(second, k) is None) for k in ("outdoor_temp_f", "wind_mph"))
    return warm and calm and written


def contradictions_of(
    case: Case, record: Sequence[Run], observed: Sequence[Observation], weight: Array
) -> tuple[Contradiction, ...]:
    """Return every reading, run, pair of runs and at last whole record that nothing explains.

    Parameters
    ----------
    case : Case
        The case.
    record : sequence of Run
        Runs.
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
    same = opposed(case, record)
    pairs = [(i, j) for i, j in combinations(totals, 2) if clash(weight, [totals[i], totals[j]])]
    found += [*same, *(c for c in (Contradiction("runs", pair) for pair in pairs) if c not in same)]
    if not pairs and not same and len(totals) > 2 and clash(weight, list(totals.values())):
        found.append(Contradiction("record", tuple(totals)))
    return tuple(found)
