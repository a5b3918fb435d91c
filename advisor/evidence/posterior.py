"""From the record to the situations that fit it: weigh, resample, and move until enough of them count.

Prior samples are weighted by the likelihood of every run. Where few of them carry the weight, they are resampled and
moved by a random walk that leaves the prior unchanged (normal scores shrunk by ``rho`` and refilled with noise), each
move accepted by the ratio of the weights. Same seed, same answer.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from advisor.case.model import Case, Run
from advisor.ensemble.draw import draw_at
from advisor.ensemble.state import Array, State, blend
from advisor.ensemble.uniforms import Uniforms
from advisor.evidence.likelihood import log_likelihood, number

MOVE_RHOS = (0.9, 0.97, 0.8, 0.95, 0.85, 0.98)
"""Share of a normal score kept in successive moves: large and small steps in turn (numerical)."""


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
        Log of the mean likelihood of each run given the ones before it.
    points : array (columns, n)
        The uniform points they were drawn from.
    moves : int
        Random-walk moves that were needed.
    """

    state: State
    weight: Array
    effective_samples: float
    run_log_evidence: tuple[float, ...]
    points: Array
    moves: int


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


def infer(case: Case, samples: int = 4096, seed: int = 1, runs: list[Run] | None = None) -> Posterior:
    """Find the situations that fit a case's record.

    Parameters
    ----------
    case : Case
        The case.
    samples : int
        Number of situations to work with.
    seed : int
        Seed of all random numbers.
    runs : list of Run, optional
        Record to use; all runs made before any work when absent.

    Returns
    -------
    Posterior
    """
    record = records(case) if runs is None else runs
    u = Uniforms.sobol(samples, seed)
    state = draw_at(case, u)
    log_weight, evidence = state.log_weight.copy(), []
    for run in record:
        before = normalized(log_weight)
        like = log_likelihood(case, state, run)
        top = like.max()
        evidence.append(float(np.log(np.sum(before * np.exp(like - top))) + top))
        log_weight = log_weight + like
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
    return Posterior(state, weight, effective(weight), tuple(evidence), points, moves)


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
    target = fresh.log_weight.copy()
    for run in record:
        target = target + log_likelihood(case, fresh, run)
    with np.errstate(over="ignore"):
        accept = np.log(rng.random(target.size)) < target - log_target
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
