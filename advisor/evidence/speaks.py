"""Which observation speaks for or against a cause: the record with and without it, in odds; ids and numbers only."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from advisor.case.model import Case
from advisor.ensemble.state import Array, Index, State
from advisor.ensemble.weighted import normalized, pick
from advisor.evidence.likelihood import record_observations, total_log_likelihood
from advisor.evidence.observations import Observation, number
from advisor.evidence.posterior import Posterior
from advisor.evidence.signs import NO_SIGN

Cured = Callable[[State, Sequence[str]], tuple[Array, dict[str, Array]]]
"""From situations to where they spill in every failing run, and where each removal stops that in all of them."""

ADDED, BELOW_OUTDOORS = "added", "below outdoors"
"""A pressure with a baseline is what the fans added to it; one without stands against outdoors."""


@dataclass(frozen=True, slots=True)
class Speaks:
    """One observation that speaks for or against a cause.

    Parameters
    ----------
    run_index : int
        Position of its run in the record that was weighed; -1 for signs at the heater.
    run : str
        Label of the run; empty for signs at the heater.
    kind : str
        What was observed: ``seen``, ``seconds``, ``draft``, ``pressure``, ``baseline`` or ``signs``.
    observed : str
        What was seen at the hood (``drafting``, ``spilling``, ``reversed``), the signs, or against what a pressure was
        read (``ADDED``, ``BELOW_OUTDOORS``); else empty.
    value : float or None
        The reading, s or Pa; None where nothing was read.
    log_odds : float
        Change in the log odds of "removing this cause alone stops the spillage" that the observation brings: the odds
        with the whole record against the odds with this one observation left out. Positive speaks for the cause.
    """

    run_index: int
    run: str
    kind: str
    observed: str
    value: float | None
    log_odds: float


def _reading(case: Case, posterior: Posterior, one: Observation) -> tuple[str, float | None]:
    """Return what was seen and what was read."""
    if one.index < 0:
        return ", ".join(s for s in case.heater.signs if s != NO_SIGN) or NO_SIGN, None
    run = posterior.record[one.index]
    if one.kind == "seen":
        return run.seen, None
    below, baseline = run.zone_depressurization_pa, run.baseline_depressurization_pa
    if one.kind == "pressure" and below is not None:
        return (BELOW_OUTDOORS, below) if baseline is None else (ADDED, below - baseline)
    return "", {"seconds": run.seconds_to_draft, "draft": run.draft_pa, "baseline": baseline}.get(one.kind)


def _likelihoods(posterior: Posterior, first: Index, new: State) -> tuple[Array, list[Array]]:
    """Log likelihood of the record over prior samples and new ones, whole and with each observation left out."""
    parts = (
        tuple(o.at(first) for o in posterior.prior.observations),
        record_observations(posterior.case, new, posterior.record),
    )
    count = first.size
    total = np.concatenate([total_log_likelihood(part, count) for part in parts])
    # left out one by one: the floor of a failure is shared, so it cannot be taken off observation by observation
    without = [np.concatenate([total_log_likelihood(part, count, i) for part in parts]) for i in range(len(parts[0]))]
    return total, without


def speaking(
    case: Case, posterior: Posterior, names: Sequence[str], cured: Cured, seed: int
) -> dict[str, tuple[Speaks, ...]]:
    """For each cause, the observations that change its log odds, strongest first.

    Each observation is left out by re-weighting. Samples of the posterior alone would miss what the observation ruled
    out, samples of the prior alone what the record picked out: both are pooled, each weighed by the density of the
    mixture they were drawn from.

    Parameters
    ----------
    case : Case
        The case.
    posterior : Posterior
        Situations that fit its record.
    names : sequence of str
        Causes.
    cured : callable
        See ``Cured``.
    seed : int
        Chooses the situations.
    """
    observed = posterior.prior.observations
    if not observed:
        return {}
    count = int(number("reweighing_samples"))
    before, first = posterior.prior.state, pick(normalized(posterior.prior.state.chance.log_weight), count, seed)
    second = pick(posterior.weight, count, seed + 1)
    old, new = before.take(first), posterior.state.take(second)
    whole_record, left_out = _likelihoods(posterior, first, new)
    ratio = whole_record - posterior.log_evidence
    mixture = np.logaddexp(0.0, ratio)
    parts = [cured(state, names) for state in (old, new)]
    fails = np.concatenate([spills for spills, _ in parts])

    def log_odds(name: str, log_weight: Array) -> float:
        weight = normalized(log_weight) * fails
        floor = 1.0 / count
        stops = np.concatenate([by_name[name] for _, by_name in parts])
        share = float(np.sum(weight * stops) / max(float(weight.sum()), 1e-300))
        share = min(max(share, floor), 1.0 - floor)
        return float(np.log(share / (1.0 - share)))

    found: dict[str, tuple[Speaks, ...]] = {}
    for name in names:
        whole, speaks = log_odds(name, ratio - mixture), []
        for i, one in enumerate(observed):
            change = whole - log_odds(name, left_out[i] - mixture)
            if abs(change) >= number("speaks_from_log_odds"):
                seen, value = _reading(case, posterior, one)
                speaks.append(Speaks(one.index, one.run, one.kind, seen, value, change))
        found[name] = tuple(sorted(speaks, key=lambda s: -abs(s.log_odds)))
    return found
