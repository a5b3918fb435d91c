"""Risk score 0 to 100: likelihood of spillage beyond the allowed time, times severity of what it would spill."""

from __future__ import annotations

import numpy as np

from advisor import catalog
from advisor.ensemble.state import Array


def _number(key: str) -> float:
    return catalog.number("risk", key)


def severity(co_air_free_ppm: Array) -> Array:
    """Severity of a spilling burner, 0 to 1: a floor, rising with the log of the air-free CO.

    Parameters
    ----------
    co_air_free_ppm : array
        Air-free CO of the burner, ppm.
    """
    low, high, floor = _number("severity_from_ppm"), _number("severity_to_ppm"), _number("severity_floor")
    share = np.clip(np.log(np.maximum(co_air_free_ppm, 1e-3) / low) / np.log(high / low), 0.0, 1.0)
    return np.asarray(floor + (1.0 - floor) * share)


def likelihood(worst_case: float, stresses: tuple[float, ...]) -> float:
    """Likelihood part: weighted worst case, mean stress and hardest stress, 0 to 1."""
    mean, hardest = (sum(stresses) / len(stresses), max(stresses)) if stresses else (worst_case, worst_case)
    return _number("weight_worst_case") * worst_case + _number("weight_stress") * mean + _number(
        "weight_hardest"
    ) * hardest


def risk_score(worst_case: float, stresses: tuple[float, ...], mean_severity: float) -> float:
    """Return ``100 x likelihood x severity``."""
    return 100.0 * likelihood(worst_case, stresses) * mean_severity
