"""Arithmetic of weighted situations: weights, picking, quantiles, and the bands and ranges that all rooms report."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from advisor.ensemble.parts import Array, Index

BAND = (0.05, 0.5, 0.95)
"""Quantiles of a band: nine of ten situations lie in it."""


@dataclass(frozen=True, slots=True)
class Range:
    """Low, typical, high."""

    low: float
    typical: float
    high: float


class Band(NamedTuple):
    """5th, 50th and 95th percentile over situations or readings; None where no number exists (never drafts)."""

    p05: float | None
    p50: float | None
    p95: float | None

    @classmethod
    def weighted(cls, values: Array, weight: Array) -> Band:
        """Return the band of weighted values, (n,) each; None where a percentile is infinite."""
        return cls(*(_finite(value) for value in quantiles(values, weight, BAND)))

    @classmethod
    def of(cls, values: Array) -> Band:
        """Return the band of equally weighted values (n,), of two neighbours the higher one; None where infinite."""
        return cls(*(_finite(float(value)) for value in np.quantile(values, BAND, method="higher")))


@dataclass(frozen=True, slots=True)
class Percentiles:
    """5th, 50th and 95th percentile, and the mean: of what is always a number."""

    p05: float
    p50: float
    p95: float
    mean: float

    @classmethod
    def of(cls, values: Array) -> Percentiles:
        """Return the percentiles of equally weighted values (n,), between neighbours; zeros where there are none."""
        if values.size == 0:
            return cls(0.0, 0.0, 0.0, 0.0)
        low, middle, high = np.quantile(values, BAND)
        return cls(float(low), float(middle), float(high), float(values.mean()))

    @property
    def band(self) -> Band:
        """The percentiles alone."""
        return Band(self.p05, self.p50, self.p95)


def _finite(value: float) -> float | None:
    return value if np.isfinite(value) else None


def normalized(log_weight: Array) -> Array:
    """Weights that sum to 1 from their logs."""
    weight = np.exp(log_weight - log_weight.max())
    return np.asarray(weight / weight.sum())


def effective(weight: Array) -> float:
    """Effective sample size of normalized weights."""
    return float(1.0 / np.sum(weight**2))


def quantiles(values: Array, weight: Array, at: tuple[float, ...], total: float = 1.0) -> tuple[float, ...]:
    """Return weighted quantiles: the least value up to which the given share of the weight lies.

    Parameters
    ----------
    values, weight : array (n,)
        Values, infinite ones too, and their weights.
    at : tuple of float
        Shares of the weight, 0 to 1.
    total : float
        Sum of the weights.
    """
    order = np.argsort(values, kind="stable")
    share = np.cumsum(weight[order]) / total
    last = values.size - 1
    return tuple(float(values[order[min(int(np.searchsorted(share, q)), last)]]) for q in at)


def systematic(weight: Array, count: int, start: float) -> Index:
    """Return ``count`` positions, each standing for the same weight: a comb of equal steps laid over the weights.

    Parameters
    ----------
    weight : array (n,)
        Weights, of any sum.
    count : int
        How many.
    start : float
        Where in its step the comb begins, 0 to 1.
    """
    total = np.cumsum(weight)
    ticks = (np.arange(count) + start) / count * total[-1]
    return np.asarray(np.minimum(np.searchsorted(total, ticks), weight.size - 1), dtype=np.intp)


def representative(weight: Array, count: int) -> Index:
    """Return positions that stand for the same weight each, with no random number.

    The same weights give the same positions, so all options of a case are judged in the same situations.
    """
    return systematic(weight, count, 0.5)


def pick(weight: Array, count: int, seed: int) -> Index:
    """Choose positions by their weights: equal weights afterwards; the same seed, the same choice."""
    return systematic(weight, count, float(np.random.default_rng([seed, count]).random()))
