"""Scrambled Sobol points by column name, and the shapes that turn them into numbers.

Every uncertain number has its own column, so adding one leaves the others as they were: the columns are numbered in
the order of ``COLUMNS`` and new ones are appended.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from advisor import catalog
from advisor.ensemble.state import Array

COLUMNS = (
    *("leakage", "exponent", "floor_share", "ceiling_share", "floor_area", "story_height", "interior_doors"),
    *("room_temp", "unheated", "zone_leak", "zone_volume", "ceiling_height", "undercut", "door_width", "crack"),
    *("wall_crack", "discharge", "louver", "opening_area", "opening_loss", "intake_state", "intake_amount"),
    *("vent_state", "vent_amount", "fan_a", "fan_b", "fan_c", "fan_d", "fan_e", "fan_f", "fan_g", "fan_h", "strong"),
    *("strong_amount", "stall", "return_leak", "supply_leak", "efficiency", "excess_air", "co", "prompt", "lag"),
    *("plume", "hood_k", "elbow_k", "cap_k", "friction", "film", "u_connector", "u_vertical", "exterior", "height"),
    *("connector_length", "rise", "elbows", "hood_height", "flue_area", "terminal", "terminal_fault", "gust_cp"),
    *("wind_local", "wall_side", "roof_cp", "shared_share", "shared_gain", "own_draw", "cost", "price", "offset"),
    *("offset_tail", "offset_tail_size", "starts_reversed", "tester", "model", "unlisted", "unlisted_amount"),
    *("usual_a", "usual_b", "usual_c", "shared_unknown", "handler_unknown", "handler_zone", "supply_unknown"),
    *("supply_amount",),
)


@lru_cache(maxsize=4)
def _sobol(samples: int, seed: int) -> Array:
    import warnings

    from scipy.stats import qmc

    with warnings.catch_warnings():
        # sample numbers that are no power of two lose balance, not correctness
        warnings.simplefilter("ignore", UserWarning)
        points = qmc.Sobol(len(COLUMNS), scramble=True, seed=seed).random(samples)
    return np.ascontiguousarray(np.clip(points, 1e-9, 1.0 - 1e-9).T)


class Uniforms:
    """Columns of uniform numbers for one ensemble.

    Parameters
    ----------
    points : array (columns, n)
        Uniform numbers, one row a column of ``COLUMNS``.
    """

    def __init__(self, points: Array) -> None:
        self.points = points
        self.samples = int(points.shape[1])

    @classmethod
    def sobol(cls, samples: int, seed: int) -> Uniforms:
        """Return scrambled Sobol points; the same seed gives the same points."""
        return cls(_sobol(samples, seed))

    def column(self, name: str) -> Array:
        """Return the uniform numbers of one column, (n,)."""
        return np.asarray(self.points[COLUMNS.index(name)])

    def normal(self, name: str) -> Array:
        """Return standard normal numbers, (n,)."""
        from scipy.special import ndtri

        return np.asarray(ndtri(self.column(name)), dtype=np.float64)

    def prior(self, name: str, key: str, table: str = "priors") -> Array:
        """Draw from a triangular distribution between the low, typical and high values of a catalog row, (n,)."""
        row = catalog.parameter(table, key)
        return triangular(self.column(name), row.low, row.typical, row.high)

    def known_or(self, value: float | None, name: str, key: str, spread: float = 0.0) -> Array:
        """Return a measured value (with a relative spread) or, where it is unknown, the prior, (n,)."""
        if value is None:
            return self.prior(name, key)
        if spread == 0.0:
            return np.full(self.samples, float(value))
        return np.asarray(float(value) * (1.0 + spread * (2.0 * self.column(name) - 1.0)))


def triangular(uniform: Array, low: float, mode: float, high: float) -> Array:
    """Quantile function of the triangular distribution; a constant when low equals high."""
    if high <= low:
        return np.full(uniform.shape, mode)
    split = (mode - low) / (high - low)
    left = low + np.sqrt(uniform * (high - low) * (mode - low))
    right = high - np.sqrt((1.0 - uniform) * (high - low) * (high - mode))
    return np.where(uniform < split, left, right)
