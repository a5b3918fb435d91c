"""How well each situation explains the whole record, on the log scale.

The floor of a failure that a situation does not show is paid once, however often the failure was seen.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from advisor.case.model import Case, Run
from advisor.ensemble.state import Array, State
from advisor.evidence.observations import (
    PARTS,
    Observation,
    Part,
    asks,
    draft_deviation_pa,
    number,
    observations,
    predict,
    pressure_deviation_pa,
    wrong_chance,
)
from advisor.evidence.signs import sign_observation, sign_ratio
from advisor.facts.spillage import allowed_seconds

__all__ = [
    "Observation",
    "allowed_seconds",
    "draft_deviation_pa",
    "highest",
    "log_likelihood",
    "number",
    "observations",
    "predict",
    "pressure_deviation_pa",
    "record_likelihood_above",
    "record_observations",
    "stages",
    "total_log_likelihood",
    "wrong_chance",
]


def log_likelihood(case: Case, state: State, run: Run) -> Array:
    """Log of the chance of what was seen in a run, for every situation.

    Parameters
    ----------
    case : Case
        The record's case.
    state : State
        ``n`` situations (as they were at the time of that run).
    run : Run
        What was done and seen; what was not observed costs nothing.

    Returns
    -------
    array (n,)
    """
    total = np.zeros(state.samples)
    for one in observations(case, run, predict(case, state, run)):
        total = total + one.log_likelihood
    return total


def total_log_likelihood(observed: Sequence[Observation], samples: int, without: int | None = None) -> Array:
    """Log likelihood of a record, the floor of its failures paid once.

    Parameters
    ----------
    observed : sequence of Observation
        Everything written down.
    samples : int
        Number of situations.
    without : int, optional
        Position of an observation to leave out.

    Returns
    -------
    array (n,)
    """
    total, missed = np.zeros(samples), np.zeros(samples, dtype=bool)
    for position, one in enumerate(observed):
        if position == without:
            continue
        if one.missed is None or one.soft is None:
            total = total + one.log_likelihood
        else:
            total = total + one.soft
            missed |= one.missed
    return np.asarray(total + number("failure_floor_log") * missed)


def record_observations(case: Case, state: State, record: Sequence[Run]) -> tuple[Observation, ...]:
    """Return every observation of a record, signs at the heater first; their log likelihoods add up to the record's."""
    found = list(sign_observation(case, state))
    missed = np.zeros(state.samples, dtype=bool)
    for index, run in enumerate(record):
        for one in observations(case, run, predict(case, state, run)):
            if one.missed is not None and one.soft is not None:
                like = one.soft + number("failure_floor_log") * (one.missed & ~missed)
                missed = missed | one.missed
                one = replace(one, log_likelihood=like)
            found.append(replace(one, index=index))
    return tuple(found)


Stage = tuple[Run, Part] | None
"""A part of one run's record; None stands for the signs at the heater."""


def stages(record: Sequence[Run]) -> tuple[Stage, ...]:
    """Split a record into parts by rising cost: pressures, then what needs the heater fired, then signs (None)."""
    return (*((run, part) for part in PARTS for run in record if asks(run, part)), None)


def highest(case: Case, stage: Stage) -> float:
    """Return what the log likelihood of a stage cannot exceed."""
    if stage is None:
        return max(0.0, float(np.log(sign_ratio(case))))
    run, part = stage
    if part == "pressure":
        readings = 1 if run.baseline_depressurization_pa is None else 2
        return -readings * float(np.log(number("pressure_sd_pa")))
    bound = 0.0
    if run.seconds_to_draft is not None:
        bound += max(0.0, -float(np.log(number("seconds_log_sd"))))
    if run.draft_pa is not None:
        bound += max(0.0, -float(np.log(number("draft_sd_pa"))))
    return bound


def _observed(case: Case, state: State, stage: Stage) -> tuple[Observation, ...]:
    if stage is None:
        return sign_observation(case, state)
    run, part = stage
    return observations(case, run, predict(case, state, run, (part,)))


def record_likelihood_above(
    case: Case, state: State, record: Sequence[Run], start: Array, threshold: Array, power: float = 1.0
) -> Array:
    """Log likelihood of a record on top of a start, given up as soon as it can no longer exceed a threshold.

    Parameters
    ----------
    case : Case
        The case.
    state : State
        ``n`` situations.
    record : sequence of Run
        Runs.
    start, threshold : array (n,)
        What is there already, and what is to be exceeded.
    power : float
        Above 0, up to 1: what the log likelihood is multiplied by.

    Returns
    -------
    array (n,)
        The sum where it exceeds the threshold; minus infinity or some value below it elsewhere.
    """
    total, parts = start.copy(), stages(record)
    left = sum(highest(case, stage) for stage in parts)
    missed = np.zeros(total.size, dtype=bool)
    for stage in parts:
        alive = np.flatnonzero(total + power * left > threshold)
        left -= highest(case, stage)
        given_up = np.ones(total.size, dtype=bool)
        given_up[alive] = False
        total[given_up] = -np.inf
        if not alive.size:
            break
        for one in _observed(case, state.take(alive), stage):
            total[alive] += power * one.log_likelihood
            if one.missed is not None:  # the floor is paid once a record
                total[alive] -= power * number("failure_floor_log") * (one.missed & missed[alive])
                missed[alive] |= one.missed
    return total
