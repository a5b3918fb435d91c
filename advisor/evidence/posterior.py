"""From the record to the situations that fit it: weigh, resample, and move until enough of them count.

Prior samples are weighted by the likelihood of every run. Where few of them carry the weight, they are resampled and
moved by a random walk that leaves the prior unchanged (normal scores shrunk by ``rho`` and refilled with noise), each
move accepted by the ratio of the weights. Same seed, same answer.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from advisor.case.model import Case, Run
from advisor.ensemble.draw import draw_at
from advisor.ensemble.state import Array, Index, State, blend
from advisor.ensemble.uniforms import Uniforms
from advisor.evidence.contradictions import contradictions_of
from advisor.evidence.likelihood import Observation, number, record_likelihood_above, record_observations

MOVE_RHOS = (0.9, 0.97, 0.8, 0.95, 0.85, 0.98)
"""Share of a normal score kept in successive moves: large and small steps in turn (numerical)."""


@dataclass(frozen=True, slots=True)
class Prior:
    """The situations before the record was looked at, with every observation held against them."""

    state: State
    observations: tuple[Observation, ...]


@dataclass(frozen=True, slots=True)
class Posterior:
    """Situations that fit the record.

    Parameters
    ----------
    state : State
        ``n`` situations.
    weight : array (n,)
        Their weights, summing to 1.
    effective_samples : float
        ``1 / sum(weight^2)`` over distinct situations.
    run_log_evidence : tuple of float
        Log of the mean likelihood of each run given the ones before it (signs at the heater before all).
    points : array (columns, n)
        The uniform points they were drawn from.
    moves : int
        Random-walk moves that were needed.
    prior : Prior
        Where it came from.
    contradictions : tuple of str
        Sentences about records that no situation explains together.
    log_evidence : float
        Log of the mean likelihood of the whole record.
    record : tuple of Run
        The runs it was weighed by.
    case : Case
        The case.
    """

    state: State
    weight: Array
    effective_samples: float
    run_log_evidence: tuple[float, ...]
    points: Array
    moves: int
    prior: Prior
    contradictions: tuple[str, ...]
    log_evidence: float
    record: tuple[Run, ...]
    case: Case
    explained: bool = True


def effective(weight: Array) -> float:
    """Effective sample size of normalized weights."""
    return float(1.0 / np.sum(weight**2))


def normalized(log_weight: Array) -> Array:
    """Weights that sum to 1 from their logs."""
    weight = np.exp(log_weight - log_weight.max())
    return np.asarray(weight / weight.sum())


def records(case: Case) -> list[Run]:
    """Return the runs made before any work."""
    return [run for run in case.run if run.after_work is None]


def pick(weight: Array, count: int, seed: int) -> Index:
    """Choose samples by their weights, systematically: equal weights afterwards; the same seed, the same choice."""
    ticks = (np.random.default_rng([seed, count]).random() + np.arange(count)) / count
    return np.minimum(np.searchsorted(np.cumsum(weight), ticks), weight.size - 1)


def infer(case: Case, samples: int = 4096, seed: int = 1, runs: Sequence[Run] | None = None) -> Posterior:
    """Find the situations that fit a case's record.

    Parameters
    ----------
    case : Case
        The case.
    samples : int
        Number of situations to work with.
    seed : int
        Seed of all random numbers.
    runs : sequence of Run, optional
        Record to use; all runs made before any work when absent. Without any run the signs at the heater count still.

    Returns
    -------
    Posterior
    """
    record = records(case) if runs is None else list(runs)
    u = Uniforms.sobol(samples, seed)
    state = draw_at(case, u)
    observed = record_observations(case, state, record)
    prior = Prior(state, observed)
    log_weight = state.log_weight.copy()
    for one in observed:
        log_weight = log_weight + one.log_likelihood
    evidence = _evidence(state, observed, len(record))
    points, moves = u.points, 0
    weight = normalized(log_weight)
    wanted = min(number("effective_samples_wanted"), samples / 4)
    rng = np.random.default_rng([seed, samples])
    if effective(weight) < wanted:
        points, log_weight, state = _resample(points, log_weight, state, rng)
        equal, size = np.full(samples, 1.0 / samples), 0.0
        while size < wanted and moves < len(MOVE_RHOS):
            # at least two moves: one alone leaves the copies in clumps
            for rho in MOVE_RHOS[moves : moves + 2]:
                points, log_weight, state = _move(case, record, points, log_weight, state, rho, rng)
                moves += 1
            merged = _merge(state, equal, points, log_weight)
            size = effective(merged[1])
        state, weight, points, log_weight = merged
    if moves == 0:
        keep = np.flatnonzero(weight > 1e-6 * weight.max())
        state, points = state.take(keep), points[:, keep]
        weight = weight[keep] / weight[keep].sum()
    return Posterior(
        state,
        weight,
        effective(weight),
        evidence,
        points,
        moves,
        prior,
        contradictions_of(record, observed, normalized(prior.state.log_weight)),
        float(sum(evidence)) + _sign_evidence(prior),
        tuple(record),
        case,
    )


def _mean_like(weight: Array, like: Array) -> float:
    top = like.max()
    return float(np.log(np.sum(weight * np.exp(like - top))) + top)


def _sign_evidence(prior: Prior) -> float:
    signs = [o.log_likelihood for o in prior.observations if o.kind == "signs"]
    return _mean_like(normalized(prior.state.log_weight), signs[0]) if signs else 0.0


def _evidence(state: State, observed: tuple[Observation, ...], runs: int) -> tuple[float, ...]:
    log_weight, found = state.log_weight.copy(), []
    for one in observed:
        if one.kind == "signs":
            log_weight = log_weight + one.log_likelihood
    for run in range(runs):
        like = sum((o.log_likelihood for o in observed if o.index == run), np.zeros(state.samples))
        found.append(_mean_like(normalized(log_weight), like))
        log_weight = log_weight + like
    return tuple(found)


def _resample(points: Array, log_weight: Array, state: State, rng: np.random.Generator) -> tuple[Array, Array, State]:
    """Systematic resampling to equal weights; ``log_weight`` becomes the log target density of each copy."""
    weight = normalized(log_weight)
    n = weight.size
    ticks = (rng.random() + np.arange(n)) / n
    index = np.minimum(np.searchsorted(np.cumsum(weight), ticks), n - 1)
    return points[:, index], log_weight[index], state.take(index)


def _move(
    case: Case,
    record: list[Run],
    points: Array,
    log_target: Array,
    state: State,
    rho: float,
    rng: np.random.Generator,
) -> tuple[Array, Array, State]:
    from scipy.special import ndtr, ndtri

    scores = ndtri(points)
    noise = rng.standard_normal(scores.shape)
    proposed = np.clip(ndtr(rho * scores + np.sqrt(1.0 - rho * rho) * noise), 1e-9, 1.0 - 1e-9)
    fresh = draw_at(case, Uniforms(proposed))
    threshold = log_target + np.log(rng.random(log_target.size))
    # most proposals fail on a cheap pressure already: the march up the vent is spared them
    target = record_likelihood_above(case, fresh, record, fresh.log_weight, threshold)
    accept = target > threshold
    return (
        np.where(accept[None], proposed, points),
        np.where(accept, target, log_target),
        blend(accept, fresh, state),
    )


def _merge(state: State, weight: Array, points: Array, log_target: Array) -> tuple[State, Array, Array, Array]:
    """Join copies that never moved, so that the effective size counts distinct situations."""
    _, first, inverse = np.unique(points[0] + points[-1], return_index=True, return_inverse=True)
    joined = np.asarray(np.bincount(inverse, weights=weight), dtype=np.float64)
    return state.take(first), joined, points[:, first], log_target[first]


def contradictions(case: Case, samples: int = 4096, seed: int = 1) -> tuple[str, ...]:
    """Return a sentence for every part of a case's record that no situation explains (`Posterior.contradictions`)."""
    record = records(case)
    state = draw_at(case, Uniforms.sobol(samples, seed))
    observed = record_observations(case, state, record)
    return contradictions_of(record, observed, normalized(state.log_weight))
