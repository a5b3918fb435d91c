"""Rare kinds of a thing: drawn more often than they are likely, and weighted back."""

from __future__ import annotations

import numpy as np

from advisor import catalog
from advisor.ensemble.state import Array

OVERSAMPLED = 0.34
"""Share of the samples given to a rare fault; numerical, undone by the weights."""


def prior_numbers(key: str) -> tuple[float, float, float]:
    """Return low, typical, high of a prior."""
    row = catalog.parameter("priors", key)
    return row.low, row.typical, row.high


def choose_fault(uniform: Array, probabilities: tuple[float, ...]) -> tuple[Array, Array]:
    """Draw the kind of a fault (0: none, 1, 2 ...) with rare kinds over-sampled.

    Parameters
    ----------
    uniform : array (n,)
        Uniform numbers.
    probabilities : tuple
        Prior probabilities of kinds 1, 2, ...

    Returns
    -------
    kind : array (n,)
        Kind as a float.
    log_weight : array (n,)
        Log of prior over sampling probability.
    """
    prior = np.array([1.0 - sum(probabilities), *probabilities])
    share = OVERSAMPLED / max(len(probabilities), 1)
    sampled = np.array([0.0, *[max(p, share) if p > 0.0 else 0.0 for p in probabilities]])
    # the faultless kind keeps a share: of what is never drawn, the weights could give nothing back
    sampled *= min(1.0, max(0.6, 1.0 - prior[0]) / max(sampled.sum(), 1e-9))
    sampled[0] = 1.0 - sampled.sum()
    if prior[0] <= 0.0:
        sampled = prior
    kind = np.searchsorted(np.cumsum(sampled)[:-1], uniform, side="right")
    with np.errstate(divide="ignore"):
        log_weight = np.log(prior[kind]) - np.log(sampled[kind])
    return kind.astype(np.float64), log_weight
