"""Plain numbers or arrays of them: the two distributions of `money`, with its one type and range check (`facts.amounts`)."""

from __future__ import annotations

import numpy as np

from advisor.catalog import number
from advisor.errors import InputError
from advisor.facts.amounts import TYPED, Amount, require

__all__ = ["TYPED", "Amount", "pert_quantile", "require", "triangular_chance_below", "triangular_quantile"]


def _steps(low: float, typical: float, high: float) -> tuple[float, float]:
    if not (np.isfinite([low, typical, high]).all() and low <= typical <= high):
        raise InputError(f"range {low:g}, {typical:g}, {high:g}: give low <= typical <= high")
    width = high - low
    return width, ((typical - low) / width if width > 0.0 else 0.0)


def triangular_quantile(low: float, typical: float, high: float, uniforms: Amount) -> Amount:
    """Return quantiles of the triangular distribution.

    Parameters
    ----------
    low, typical, high : float
        Ends and mode, any unit.
    uniforms : float or ndarray
        Probabilities in [0, 1].

    Returns
    -------
    float or ndarray
        Values in the unit of `low`, of the shape of `uniforms`.
    """
    chance = np.asarray(require("probability", uniforms, 0.0, 1.0), dtype=float)
    width, mode = _steps(low, typical, high)
    rising = np.sqrt(chance * mode)
    falling = 1.0 - np.sqrt((1.0 - chance) * (1.0 - mode))
    value = np.clip(low + width * np.where(chance < mode, rising, falling), low, high)
    return value if value.ndim else float(value)


def triangular_chance_below(low: float, typical: float, high: float, value: Amount) -> Amount:
    """Return the probability that a triangular number is at most `value`: the inverse of `triangular_quantile`."""
    width, mode = _steps(low, typical, high)
    if width == 0.0:
        step = np.where(np.asarray(value) >= low, 1.0, 0.0)
        return step if step.ndim else float(step)
    share = np.clip((np.asarray(value, dtype=float) - low) / width, 0.0, 1.0)
    rising = share**2 / mode if mode > 0.0 else np.zeros_like(share)
    falling = 1.0 - (1.0 - share) ** 2 / (1.0 - mode) if mode < 1.0 else np.ones_like(share)
    chance = np.where(share < mode, rising, falling)
    return chance if chance.ndim else float(chance)


def pert_quantile(low: float, typical: float, high: float, uniforms: Amount) -> Amount:
    """Return quantiles of the PERT (scaled beta) distribution; arguments as `triangular_quantile`.

    The weight of the typical value is the catalog's ``pert_weight``.
    """
    from scipy.special import betaincinv

    chance = np.asarray(require("probability", uniforms, 0.0, 1.0), dtype=float)
    width, mode = _steps(low, typical, high)
    chance = np.where(chance < 1e-12, 0.0, chance)  # scipy gives NaN for probabilities near the smallest number
    weight = number("money_settings", "pert_weight")
    value = low + width * np.asarray(betaincinv(1.0 + weight * mode, 1.0 + weight * (1.0 - mode), chance), dtype=float)
    value = np.clip(value, low, high)
    return value if value.ndim else float(value)
