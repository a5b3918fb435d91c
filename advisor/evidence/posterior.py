"""From the record to the situations that fit it: weigh, and where few carry the weight, temper and move.

Prior samples are weighted by the likelihood of every run, and for the over-sampling of rare faults. Where too few of
them count, these weights are let in by steps, each small enough that half of the situations still count: they are
resampled and moved by a random walk in normal scores. Its stride follows what the record told, and each move is accepted
by the ratio of the targets. At full weights it moves on until enough independent situations count. Same seed, same answer.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from advisor.case.model import Case, Run
from advisor.ensemble.draw import draw, draw_at
from advisor.ensemble.state import Array, Index, State, blend
from advisor.ensemble.uniforms import Uniforms
from advisor.ensemble.unknown_draw import offset_log_density
from advisor.ensemble.weighted import effective, normalized, pick, systematic
from advisor.evidence.coherence import Explanation, explain
from advisor.evidence.contradictions import Contradiction, contradictions_of
from advisor.evidence.likelihood import (
    Observation,
    number,
    record_likelihood_above,
    record_observations,
    total_log_likelihood,
)
from advisor.facts.judged import of_heater

LONGEST, SHORTEST = 1.0, 0.6
"""Lengths of moves against the spread of the situations, drawn anew for each of them and every move: wide regions take
long ones, narrow corners only short ones; numerical."""
SHRINK, TOLD_MIDDLE, TOLD_SPREAD = 0.1, 0.2, 0.3
"""Share of the prior's spread in the stride, and how far the record must have moved a column's middle, or the logarithm of
its variance, for the stride to follow it; numerical."""
LEAST_MOVES = 2
"""Moves at full likelihood: one alone leaves the copies in clumps; numerical."""
HELP_RATIO_MOST = 20.0
"""Most that a re-weighting lifts a situation whose offset helps the draft; numerical, on the cautious side."""
KEPT_SHARE, STEP_HALVINGS = 0.5, 20
"""Share of the counting situations that a step of the tempering keeps, and halvings to find that step; numerical."""
OTHER_POINTS = 7919
"""Added to the seed for an enlarged posterior: its points are other ones."""


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
    effective_samples, wanted_samples : float
        How many independent situations the weighted ones are worth, and how many should count: ``1 / sum(weight^2)``
        of weighted draws; where they were moved, copies of one that hardly moved count as one.
    run_log_evidence : tuple of float
        Log of the mean likelihood of each run given the ones before it (signs at the heater before all).
    points : array (columns, n)
        The uniform points they were drawn from.
    moves : int
        Random-walk moves that were needed.
    prior : Prior
        Where it came from.
    contradictions : tuple of Contradiction
        Parts of the record that no situation explains.
    log_evidence : float
        Log of the mean likelihood of the whole record.
    record : tuple of Run
        The runs it was weighed by.
    case : Case
        The case.
    samples, seed : int
        What it was asked for.
    explanation : Explanation
        Every observation beside what these situations would show.
    """

    state: State
    weight: Array
    effective_samples: float
    wanted_samples: float
    run_log_evidence: tuple[float, ...]
    points: Array
    moves: int
    prior: Prior
    contradictions: tuple[Contradiction, ...]
    log_evidence: float
    record: tuple[Run, ...]
    case: Case
    samples: int
    seed: int
    explanation: Explanation

    @property
    def explained(self) -> bool:
        """True where the fitting situations show what was taken as true; where not, no share names a cause."""
        return self.explanation.explained

    @property
    def enough(self) -> bool:
        """True when as many situations count as should; where not, every share is to be read with care."""
        return self.effective_samples >= self.wanted_samples

    def some(self, count: int, seed: int) -> State:
        """Return ``count`` of the situations, chosen by their weights: equal weights afterwards; same seed, same choice."""
        return self.state.take(pick(self.weight, count, seed))

    def weights_for_offset(self, scale: float) -> Reweighted:
        """Return the weights that the same situations would have were the unknown offset of another size.

        Parameters
        ----------
        scale : float
            What its size is multiplied by, above 0; no new simulation is made.
        """
        offset = self.state.vent.draft_offset_pa
        log_ratio = offset_log_density(offset, scale) - offset_log_density(offset, 1.0)
        # a wider normal has no bound against a narrower one: a handful of situations would carry all the weight
        log_ratio = np.where(offset < 0.0, np.minimum(log_ratio, np.log(HELP_RATIO_MOST)), log_ratio)
        with np.errstate(divide="ignore"):
            weight = normalized(np.log(self.weight) + log_ratio)
        return Reweighted(weight, effective(weight), self.wanted_samples)


@dataclass(frozen=True, slots=True)
class Reweighted:
    """Other weights of the situations of a posterior.

    Parameters
    ----------
    weight : array (n,)
        Weights, summing to 1.
    effective_samples, wanted_samples : float
        As in `Posterior`: few of them make the weights worth little.
    """

    weight: Array
    effective_samples: float
    wanted_samples: float

    @property
    def enough(self) -> bool:
        """True when as many situations count as should."""
        return self.effective_samples >= self.wanted_samples


def records(case: Case) -> list[Run]:
    """Return the runs made before any work."""
    return [run for run in case.run if run.after_work is None]


def infer(case: Case, samples: int = 4096, seed: int = 1, runs: Sequence[Run] | None = None) -> Posterior:
    """Find the situations that fit a case's record.

    Parameters
    ----------
    case : Case
        The case; runs that judged another appliance are left out.
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
    case = of_heater(case)
    record = records(case) if runs is None else list(runs)
    u = Uniforms.sobol(samples, seed)
    state = draw_at(case, u)
    observed = record_observations(case, state, record)
    prior = Prior(state, observed)
    cloud = Cloud(u.points, state, state.chance.log_weight + total_log_likelihood(observed, samples))
    evidence = _evidence(state, observed, len(record))
    moves, wanted = 0, number("effective_samples_wanted")
    weight = normalized(cloud.log_target)
    counting = effective(weight)
    if counting < min(wanted, samples / 4):
        cloud, moves = _tempered(case, record, cloud, min(wanted, samples / 4), seed)
        counting = cloud.count()
        cloud, weight = _merge(cloud)
    else:
        keep = np.flatnonzero(weight > 1e-6 * weight.max())
        cloud, weight = cloud.take(keep), weight[keep] / weight[keep].sum()
    odd = contradictions_of(case, record, observed, normalized(state.chance.log_weight))
    return Posterior(
        cloud.state,
        weight,
        counting,
        wanted,
        evidence,
        cloud.points,
        moves,
        prior,
        odd,
        float(sum(evidence)) + _sign_evidence(prior),
        tuple(record),
        case,
        samples,
        seed,
        explain(case, record, cloud.state, weight, odd, counting >= wanted),
    )


def enlarged(posterior: Posterior, factor: int) -> Posterior:
    """Return a larger posterior of the same record from other points, to look closer where a share is borderline.

    Parameters
    ----------
    posterior : Posterior
        From `infer`.
    factor : int
        How many times the situations, at least 1; ``most_samples`` of ``catalog/evidence/evidence.csv`` bounds them.
    """
    count = min(posterior.samples * factor, int(number("most_samples")))
    return infer(posterior.case, count, posterior.seed + OTHER_POINTS, posterior.record)


@dataclass(frozen=True, slots=True)
class Cloud:
    """Situations on their way.

    Parameters
    ----------
    points : array (columns, n)
        Where they were drawn.
    state : State
        What they are.
    log_target : array (n,)
        Log of prior over sampling density, plus log likelihood of the record.
    line : tuple of (family, tie)
        One pair a resampling, the last one last: which copies came from one situation then, and the correlation of each
        with it from then to the next resampling, 1 where it never moved; arrays (n,).
    """

    points: Array
    state: State
    log_target: Array
    line: tuple[tuple[Index, Array], ...] = ()

    def take(self, index: Index) -> Cloud:
        """Return a choice of them; copies of one are a family from now on."""
        line = tuple((family[index], tie[index]) for family, tie in self.line)
        return Cloud(
            self.points[:, index],
            self.state.take(index),
            self.log_target[index],
            (*line, (np.asarray(index), np.ones(index.size))),
        )

    def count(self) -> float:
        """How many independent situations the equally weighted copies are worth: copies that hardly moved are one.

        The variance of a mean over ``n`` copies against that of independent ones. Two copies are correlated by their
        moves since the last resampling at which they were one.
        """
        size = self.log_target.size
        pairs, tie = float(size), np.ones(size)
        inner = np.arange(size)
        for family, moved in reversed(self.line):
            tie = tie * moved
            pairs += float(np.sum(np.bincount(family, tie) ** 2) - np.sum(np.bincount(inner, tie) ** 2))
            inner = family
        return size * size / pairs


def _tempered(case: Case, record: Sequence[Run], cloud: Cloud, wanted: float, seed: int) -> tuple[Cloud, int]:
    """Let the likelihood in by steps and move after each until enough count; returns equal copies and moves made."""
    rng = np.random.default_rng([seed, cloud.log_target.size])
    power, moves = 0.0, 0
    while power < 1.0:
        step = _next_step(cloud.log_target, 1.0 - power)
        power = min(1.0, power + step)
        cloud = cloud.take(systematic(normalized(step * cloud.log_target), cloud.log_target.size, rng.random()))
        if power < 1.0:
            cloud = _move(case, record, cloud, power, rng)
            moves += 1
    least, most = moves + LEAST_MOVES, moves + number("moves_most")
    while moves < least or (cloud.count() < wanted and moves < most):
        cloud = _move(case, record, cloud, 1.0, rng)
        moves += 1
    return cloud, moves


def _next_step(log_target: Array, most: float) -> float:
    """Largest rise of the power after which half of the situations still count; the rest of the way if they do."""

    def keeps(step: float) -> bool:
        return effective(normalized(step * log_target)) >= KEPT_SHARE * log_target.size

    if keeps(most):
        return most
    low, high = 0.0, most
    for _ in range(STEP_HALVINGS):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if keeps(middle) else (low, middle)
    return high


def _mean_like(weight: Array, like: Array) -> float:
    top = like.max()
    return float(np.log(np.sum(weight * np.exp(like - top))) + top)


def _sign_evidence(prior: Prior) -> float:
    signs = [o.log_likelihood for o in prior.observations if o.kind == "signs"]
    return _mean_like(normalized(prior.state.chance.log_weight), signs[0]) if signs else 0.0


def _evidence(state: State, observed: tuple[Observation, ...], runs: int) -> tuple[float, ...]:
    log_weight, found = state.chance.log_weight.copy(), []
    for one in observed:
        if one.kind == "signs":
            log_weight = log_weight + one.log_likelihood
    for run in range(runs):
        like = sum((o.log_likelihood for o in observed if o.index == run), np.zeros(state.samples))
        found.append(_mean_like(normalized(log_weight), like))
        log_weight = log_weight + like
    return tuple(found)


def _move(case: Case, record: Sequence[Run], cloud: Cloud, power: float, rng: np.random.Generator) -> Cloud:
    """One step of the random walk at a power of the likelihood.

    Each half of the situations takes its stride from what the other one looks like, so that none shapes its own move.
    """
    from scipy.special import ndtr, ndtri

    size = cloud.log_target.size
    scores = np.asarray(ndtri(cloud.points), dtype=np.float64)
    length = SHORTEST + (LONGEST - SHORTEST) * rng.random(size)
    proposed, bend = np.empty_like(scores), np.empty(size)
    for turn in (0, 1):
        mine = np.arange(size) % 2 == turn
        stride = Stride.of(scores[:, ~mine])
        proposed[:, mine], bend[mine] = stride.step(scores[:, mine], length[mine], rng)
    points = np.clip(ndtr(proposed), 1e-9, 1.0 - 1e-9)
    fresh = draw_at(case, Uniforms(points))
    threshold = power * cloud.log_target + np.log(rng.random(size)) - bend
    # most proposals fail on a cheap pressure already: the march up the vent is spared them
    target = record_likelihood_above(case, fresh, record, power * fresh.chance.log_weight, threshold, power)
    taken = target > threshold
    family, tie = cloud.line[-1]
    return Cloud(
        np.where(taken[None], points, cloud.points),
        blend(taken, fresh, cloud.state),
        np.where(taken, target / power, cloud.log_target),
        (*cloud.line[:-1], (family, np.where(taken, np.sqrt(1.0 - length * length) * tie, tie))),
    )


@dataclass(frozen=True, slots=True)
class Stride:
    """What the walk follows: the columns that the record told something about, their middle and spread.

    Parameters
    ----------
    told : array of int (m,)
        Columns that the record moved far from the prior: a spread of all of them would follow chance.
    middle : array (m, 1)
        Their middle in normal scores.
    factor, inverse : array (m, m)
        A square root of their covariance, and its inverse.
    """

    told: Index
    middle: Array
    factor: Array
    inverse: Array

    @classmethod
    def of(cls, scores: Array) -> Stride:
        """Take the stride from the normal scores of some situations, (columns, n)."""
        middle, spread = scores.mean(axis=1), scores.var(axis=1)
        told = np.flatnonzero((np.abs(middle) > TOLD_MIDDLE) | (np.abs(np.log(spread)) > TOLD_SPREAD))
        factor = np.eye(told.size)
        if told.size:
            shape = SHRINK * factor + (1.0 - SHRINK) * np.atleast_2d(np.cov(scores[told]))
            factor = np.asarray(np.linalg.cholesky(shape), dtype=np.float64)
        return cls(told, middle[told][:, None], factor, np.asarray(np.linalg.inv(factor), dtype=np.float64))

    def step(self, scores: Array, length: Array, rng: np.random.Generator) -> tuple[Array, Array]:
        """Propose scores, (columns, n), and what the prior still has to add to the odds of taking them, (n,)."""
        left, noise = np.sqrt(1.0 - length * length), length * rng.standard_normal(scores.shape)
        proposed = left * scores + noise
        before = scores[self.told]
        after = self.middle + left * (before - self.middle) + self.factor @ noise[self.told]
        proposed[self.told] = after
        # alone it would keep the normal that these situations look like: the prior is put back in its place
        bend = _half_square(self.inverse @ (after - self.middle)) - _half_square(after)
        return proposed, bend - _half_square(self.inverse @ (before - self.middle)) + _half_square(before)


def _half_square(scores: Array) -> Array:
    return np.asarray(0.5 * (scores**2).sum(axis=0))


def _merge(cloud: Cloud) -> tuple[Cloud, Array]:
    """Join copies that never moved; returns distinct situations and their weights."""
    _, first, inverse = np.unique(cloud.points[0] + cloud.points[-1], return_index=True, return_inverse=True)
    weight = np.bincount(inverse) / cloud.log_target.size
    return cloud.take(first), np.asarray(weight, dtype=np.float64)


def contradictions(case: Case, samples: int = 4096, seed: int = 1) -> tuple[Contradiction, ...]:
    """Return every part of a case's record that no situation explains (`Posterior.contradictions`)."""
    case = of_heater(case)
    record = records(case)
    state = draw(case, samples, seed)
    observed = record_observations(case, state, record)
    return contradictions_of(case, record, observed, normalized(state.chance.log_weight))
