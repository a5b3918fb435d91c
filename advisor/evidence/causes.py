"""What is behind each failing run, and how sure: in which share of the situations does removing one cause stop it.

A cause is one of something that was seen: every failing run is simulated under its own condition. Where no run failed,
where hardly any situation spills in a failing run, or where the record is not explained, no cause gets a percentage.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np

from advisor import catalog
from advisor.case.model import Case
from advisor.ensemble.question import Question
from advisor.ensemble.state import Array, Flags, State, differs
from advisor.ensemble.weighted import pick
from advisor.evidence.not_looked_at import unseen_share
from advisor.evidence.observations import number
from advisor.evidence.posterior import Posterior
from advisor.evidence.presence import present
from advisor.evidence.removals import (
    NOT_LOOKED_AT,
    Failure,
    failures_of,
    limit,
    possible_causes,
    removed,
    removed_under,
    words_of,
)
from advisor.evidence.speaks import Speaks, speaking
from advisor.findings import Words

__all__ = ["Cause", "CauseShare", "Speaks", "causes", "possible_causes", "removed", "words_of"]


@dataclass(frozen=True, slots=True)
class CauseShare:
    """A cause in one failing run.

    Parameters
    ----------
    run_index : int
        Position of the run in the record.
    stops_alone : float
        Share of the fitting situations that spill in this run in which removing the cause alone stops it there.
    """

    run_index: int
    stops_alone: float


@dataclass(frozen=True, slots=True)
class Cause:
    """One possible cause of what was seen.

    Parameters
    ----------
    id : str
        Row of ``catalog/evidence/causes.csv``.
    words : Finding
        What it is.
    stops_alone : float
        Share of the situations that spill in every failing run in which removing this cause alone stops the spillage in
        all of them, scaled by what nobody looked at. For ``not_looked_at`` that share itself. 0 where ``named`` is False.
    present : float
        Share of all fitting situations in which the cause is there at all; 0 where ``named`` is False.
    part_of_cure : float
        As ``stops_alone``, where it is part of a smallest cure: it stops the spillage alone, or together with one other
        cause where neither of the two does alone.
    speaks_for, speaks_against : tuple of Speaks
        The observations that speak most for and against it, strongest first; at most three each.
    by_run : tuple of CauseShare
        The same for each failing run under its own condition; without the runs in which hardly any situation spills.
    named : bool
        False where no cause may be named: no run failed, hardly any situation spills in it, or it is not explained.
    """

    id: str
    words: Words
    stops_alone: float
    present: float
    part_of_cure: float = 0.0
    speaks_for: tuple[Speaks, ...] = ()
    speaks_against: tuple[Speaks, ...] = ()
    by_run: tuple[CauseShare, ...] = ()
    named: bool = True


def _spills(state: State, question: Question) -> Flags:
    return np.asarray(question.spills(state) > 0.5)


@dataclass(frozen=True, slots=True)
class _Runs:
    """The failing runs of a case, ready to be asked about any situations."""

    case: Case
    failures: tuple[Failure, ...]

    def spills(self, state: State) -> Flags:
        """Where each failing run spills, (runs, n)."""
        found = [_spills(state, f.question) for f in self.failures]
        return np.asarray(np.stack(found)) if found else np.zeros((0, state.samples), dtype=bool)

    def stops(self, names: Sequence[str], state: State, spills: Flags) -> Flags:
        """Where removing some causes together stops a run that spills, (runs, n)."""
        stopped = np.zeros_like(spills)
        for row, failure in enumerate(self.failures):
            after, condition = state, failure.question.condition
            for name in names:
                after, condition = removed_under(name, self.case, after, condition)
            same = condition == failure.question.condition
            wanted = spills[row] & differs(state, after) if same else spills[row]
            index = np.flatnonzero(wanted)
            if index.size:
                stopped[row, index] = ~_spills(after.take(index), failure.question.under(condition))
        return stopped

    def stops_every(self, names: Sequence[str], state: State, spills: Flags) -> Flags:
        """Where removing some causes together stops all the runs that spill, (n,); one run at a time, the rest let go."""
        alive = np.asarray(spills.any(axis=0))
        for row, failure in enumerate(self.failures):
            index = np.flatnonzero(alive & spills[row])
            if index.size:
                one = _Runs(self.case, (failure,))
                alive[index] = one.stops(names, state.take(index), spills[row : row + 1, index])[0]
        return alive

    def cured(self, state: State, names: Sequence[str]) -> tuple[Array, dict[str, Array]]:
        """Where a state spills in every failing run, and where each removal stops it in all of them, as 0 or 1."""
        joint = self.spills(state).all(axis=0)
        index = np.flatnonzero(joint)
        part, everywhere = state.take(index), np.ones((len(self.failures), index.size), dtype=bool)
        found: dict[str, Array] = {}
        for name in names:
            found[name] = np.zeros(state.samples)
            if index.size:
                found[name][index] = self.stops_every((name,), part, everywhere)
        return np.asarray(joint, dtype=np.float64), found


def causes(
    case: Case,
    posterior: Posterior,
    seed: int = 1,
    explained: bool = True,
) -> tuple[Cause, ...]:
    """Return the causes of what was seen, likeliest first. Their shares need not sum to 1: two removals may each be enough.

    Parameters
    ----------
    case : Case
        The case.
    posterior : Posterior
        Situations that fit its record.
    seed : int
        Chooses the situations for the parts that are worked out on fewer of them.
    explained : bool
        False where the fitting situations do not show what the record says: then no cause gets a percentage.
    """
    runs, names = _Runs(case, failures_of(case, posterior.state)), possible_causes(case)
    state, weight = _some(posterior, seed)
    spills = runs.spills(state)
    together = float(weight[spills.all(axis=0)].sum())
    if not explained or not runs.failures or together < limit("attributed_from_share"):
        return tuple(Cause(name, words_of(name), 0.0, 0.0, named=False) for name in (*names, NOT_LOOKED_AT))
    found = _named(posterior, runs, names, state, weight, spills, seed)
    order, tie = [row["id"] for row in catalog.table("causes")], limit("tie_share")
    # of causes that explain it equally well the more specific one comes first: the catalog's order
    return tuple(sorted(found, key=lambda c: (-round(c.stops_alone / tie), order.index(c.id))))


def _some(posterior: Posterior, seed: int) -> tuple[State, Array]:
    """Return as many of the fitting situations as each removal is tried in, with their weights."""
    count = int(limit("cause_samples"))
    if posterior.state.samples <= count:
        return posterior.state, posterior.weight
    return posterior.some(count, seed), np.full(count, 1.0 / count)


def _named(
    posterior: Posterior,
    runs: _Runs,
    names: Sequence[str],
    state: State,
    weight: Array,
    spills: Flags,
    seed: int,
) -> list[Cause]:
    case = runs.case
    joint = np.asarray(spills.all(axis=0))
    shared = weight * joint / float(weight[joint].sum())
    stopped = {name: runs.stops((name,), state, spills) for name in names}
    alone = {name: joint & np.asarray(stopped[name].all(axis=0)) for name in names}
    unseen = unseen_share(case)
    looked = 1.0 - unseen
    able = [name for name in names if stopped[name].any()]
    pairs = _parts_of_cures(state, shared, runs, able, seed)
    speaks = speaking(case, posterior, able, runs.cured, seed)
    most = int(number("speaks_most"))
    found = []
    for name in names:
        share = looked * float(shared @ alone[name])
        there = float(weight @ present(name, case, state, runs.failures))
        said = speaks.get(name, ())
        found.append(
            Cause(
                name,
                words_of(name),
                share,
                share if name == "air_supply" else there,
                min(looked, share + looked * pairs.get(name, 0.0)),
                tuple(s for s in said if s.log_odds > 0.0)[:most],
                tuple(s for s in said if s.log_odds < 0.0)[:most],
                _by_run(runs, weight, spills, stopped[name], looked),
            )
        )
    none = joint & ~np.any(np.stack([joint & stopped[name].all(axis=0) for name in names]), axis=0)
    rest = unseen + looked * float(shared @ _own_error(runs, state, spills, none))
    found.append(Cause(NOT_LOOKED_AT, words_of(NOT_LOOKED_AT), rest, rest, rest))
    return found


def _by_run(runs: _Runs, weight: Array, spills: Flags, stopped: Flags, looked: float) -> tuple[CauseShare, ...]:
    found = []
    for row, failure in enumerate(runs.failures):
        total = float(weight[spills[row]].sum())
        if total >= limit("attributed_from_share"):
            share = float(weight[stopped[row]].sum()) / total
            found.append(CauseShare(failure.index, looked * min(1.0, share)))
    return tuple(found)


def without_own_error(state: State) -> State:
    """Return the situations without what the model does not know, which is never named as a cause."""
    none = np.zeros(state.samples)
    return replace(
        state,
        house=replace(state.house, unlisted_m3_s=none),
        vent=replace(state.vent, draft_offset_pa=none, starts_reversed=none),
    )


def _own_error(runs: _Runs, state: State, spills: Flags, among: Flags) -> Array:
    """Return where nothing but what the model does not know explains the spillage, as 0 or 1, (n,)."""
    found = np.zeros(state.samples)
    index = np.flatnonzero(among)
    if not index.size:
        return found
    exact = without_own_error(state.take(index))
    still = [_spills(exact, f.question) & spills[row, index] for row, f in enumerate(runs.failures)]
    found[index] = ~np.any(np.stack(still), axis=0)
    return found


def _parts_of_cures(state: State, shared: Array, runs: _Runs, names: Sequence[str], seed: int) -> dict[str, float]:
    """Share of the spilling situations in which a cause is needed as one of a pair, neither of which is enough."""
    some = state.take(pick(shared, int(number("cure_samples")), seed))
    everywhere = np.ones((len(runs.failures), some.samples), dtype=bool)
    alone = {n: runs.stops_every((n,), some, everywhere) for n in names}
    paired = {n: np.zeros(some.samples, dtype=bool) for n in names}
    for first, second in combinations(names, 2):
        # open air already holds what a cleared intake gives
        if {first, second} == {"intake", "air_supply"}:
            continue
        index = np.flatnonzero(~alone[first] & ~alone[second])
        if index.size:
            both = runs.stops_every((first, second), some.take(index), everywhere[:, index])
            paired[first][index[both]] = paired[second][index[both]] = True
    return {n: float(np.mean(paired[n] & ~alone[n])) for n in names}
