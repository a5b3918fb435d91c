"""A small set of situations that stands for the weighted ensemble, and percentiles as plain floats."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from advisor.ensemble.state import Array, Index


@dataclass(frozen=True, slots=True)
class Percentiles:
    """5th, 50th and 95th percentile, and the mean."""

    p05: float
    p50: float
    p95: float
    mean: float

    @classmethod
    def of(cls, values: Array) -> Percentiles:
        """Return the percentiles of equally weighted values (n,); zeros where there are none."""
        if values.size == 0:
            return cls(0.0, 0.0, 0.0, 0.0)
        low, middle, high = np.quantile(values, (0.05, 0.5, 0.95))
        return cls(float(low), float(middle), float(high), float(values.mean()))


def representative(weight: Array, count: int) -> Index:
    """Return ``count`` positions, each standing for the same weight: systematic, no random number.

    The same weights give the same positions, so all options of a case are judged in the same situations.
    """
    total = np.cumsum(weight)
    ticks = (np.arange(count) + 0.5) / count * total[-1]
    return np.asarray(np.minimum(np.searchsorted(total, ticks), weight.size - 1), dtype=np.intp)
