"""Risk score 0 to 100: how likely spillage is, times how much harm it would do, on a log scale through anchors.

The likelihood is a weighted sum of shares of situations that spill (worst case or the own condition of a failing run,
mean and hardest stress); the severity is the largest that any published level gives. Their product is read off a curve,
straight in the logarithm, through the anchor points of ``catalog/risk/risk_anchors.csv``. The score is shown as parts that add
up to it. Everyday hours are shown beside the score and count in it only when ``everyday_counts`` of ``catalog/risk/risk.csv``
says so: while the simulated hours do not hold against the field, their noise must not order options. A burner that is
left never scores 0.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Literal

import numpy as np

from advisor import catalog
from advisor.ensemble.state import ApplianceKind, Array

MEASURES = ("cohb_pct", "mean_8h_ppm", "mean_1h_ppm", "peak_ppm", "co_air_free_ppm")


def _number(key: str) -> float:
    return catalog.number("risk", key)


@dataclass(frozen=True, slots=True)
class ScoreParts:
    """The score as points that add up to it.

    Parameters
    ----------
    worst_case, everyday, stresses : float
        Points for the likelihood, at the severity of clean products. The worst case carries what a burner that is left
        is given at least; everyday is 0 while hours do not count.
    severity : float
        Points that the severity adds above clean products.
    """

    worst_case: float
    everyday: float
    stresses: float
    severity: float

    @property
    def score(self) -> float:
        """Return the sum of the parts, 0 to 100; lower is safer."""
        return self.worst_case + self.everyday + self.stresses + self.severity


@dataclass(frozen=True, slots=True)
class Anchor:
    """A point of a scale: its inputs, and the score that it gets (``risk_anchors``)."""

    scale: str
    worst_case: float
    everyday_hours_year: float
    stress: float
    severity: float
    score: float

    @property
    def risk(self) -> float:
        """Return likelihood times severity of the anchor, 0 to 1."""
        stresses = (self.stress,)
        return sum(likelihood_parts(self.worst_case, stresses, self.everyday_hours_year)) * self.severity


def everyday_counts() -> bool:
    """Whether everyday hours count in the score (``catalog/risk/risk.csv``)."""
    return _number("everyday_counts") > 0.0


def anchors() -> tuple[Anchor, ...]:
    """Return the anchors of the scale in use, rising: with hours, or of shares alone."""
    return _anchors("with hours" if everyday_counts() else "shares alone")


@cache
def _anchors(scale: str) -> tuple[Anchor, ...]:
    return tuple(row for row in catalog.rows_of(Anchor, "risk_anchors") if row.scale == scale)


@dataclass(frozen=True, slots=True)
class _SeverityLevel:
    """The severity of a published level of a measure (``risk_severity``)."""

    measure: str
    value: float
    severity: float


@cache
def _severity_curve(measure: str) -> tuple[tuple[float, ...], tuple[float, ...]]:
    rows = [row for row in catalog.rows_of(_SeverityLevel, "risk_severity") if row.measure == measure]
    return tuple(float(np.log(row.value)) for row in rows), tuple(row.severity for row in rows)


def severity_of(levels: Mapping[str, Array]) -> Array:
    """Return the severity of what people breathe: the largest that any measure gives.

    Parameters
    ----------
    levels : mapping
        Arrays (n,) by measure of ``MEASURES``: COHb in percent, means over 8 h and 1 h and the peak in ppm, air-free
        CO of the burner in ppm.

    Returns
    -------
    array (n,)
        From the floor (clean products spill) to 1; straight between the published levels in their logarithm.
    """
    worst: Array | None = None
    for measure, values in levels.items():
        at, level = _severity_curve(measure)
        one = np.interp(np.log(np.maximum(values, 1e-9)), at, level)
        worst = one if worst is None else np.maximum(worst, one)
    if worst is None:
        raise ValueError("severity: no measure given")
    return np.clip(worst, _number("severity_floor"), 1.0)


def severity(co_air_free_ppm: Array) -> Array:
    """Return the severity by the burner's air-free CO alone, (n,): for lack of a worked-out exposure."""
    return severity_of({"co_air_free_ppm": co_air_free_ppm})


def everyday_share(hours_a_year: float) -> float:
    """Return how far the expected hours of spillage a year count, 0 to 1 on a log scale."""
    low, high = _number("everyday_from_h"), _number("everyday_to_h")
    return float(np.clip(np.log(max(hours_a_year, 1e-12) / low) / np.log(high / low), 0.0, 1.0))


def likelihood_parts(
    worst_case: float,
    stresses: tuple[float, ...],
    everyday_hours_year: float,
    own_conditions: tuple[float, ...] = (),
) -> tuple[float, float, float]:
    """Return what worst case, everyday and stresses add to the likelihood, 0 to 1 in all.

    Without a stress the worst case stands in. The weight of what does not count goes to the others.

    Parameters
    ----------
    worst_case : float
        Share of the situations that spill beyond the allowed time in the worst case, 0 to 1.
    stresses : tuple of float
        The same under each stress.
    everyday_hours_year : float
        Expected hours of spillage a year.
    own_conditions : tuple of float
        The same under the own condition of each failing run that must not fail again: the largest of them and of the
        worst case counts, since a house that was seen to fail in the wind is no safer for a good worst case in still
        air.
    """
    hours = _number("weight_everyday") * everyday_share(everyday_hours_year) if everyday_counts() else 0.0
    counted = 1.0 if everyday_counts() else 1.0 - _number("weight_everyday")
    first = max((worst_case, *own_conditions))
    mean, hardest = (sum(stresses) / len(stresses), max(stresses)) if stresses else (worst_case, worst_case)
    return (
        _number("weight_worst_case") * first / counted,
        hours,
        (_number("weight_stress") * mean + _number("weight_hardest") * hardest) / counted,
    )


def points_of(risk: float) -> float:
    """Return the score of a risk (likelihood times severity), 0 to 1: through every anchor, straight in the log."""
    first = anchors()[0]
    if risk <= first.risk:
        return first.score * max(risk, 0.0) / first.risk
    at = [float(np.log(anchor.risk)) for anchor in anchors()]
    return float(np.interp(np.log(risk), at, [anchor.score for anchor in anchors()]))


Burning = Literal["open", "sealed", "none"]
"""What is left that burns: with air of the room, sealed from it, or nothing."""


def burning_of(appliance: ApplianceKind) -> Burning:
    """Return what burns in a kind of appliance: all but sealed ones take room air, and 'none' is electric."""
    return "none" if appliance == "none" else "sealed" if appliance == "sealed" else "open"


def least_points(burning: Burning) -> float:
    """Return the points that what is left is given at least: faults that nobody drew, and years of neglect."""
    return 0.0 if burning == "none" else _number(f"least_points_{burning}")


def score_parts(
    worst_case: float,
    stresses: tuple[float, ...],
    everyday_hours_year: float,
    mean_severity: float,
    own_conditions: tuple[float, ...] = (),
    burning: Burning = "open",
) -> ScoreParts:
    """Return the risk score as a sum of parts.

    Parameters
    ----------
    worst_case, stresses, everyday_hours_year, own_conditions
        See `likelihood_parts`.
    mean_severity : float
        Weighted mean of `severity_of` over the situations, 0 to 1; below the floor it counts as the floor.
    burning : {"open", "sealed", "none"}
        What is left that burns; see `burning_of`.

    Returns
    -------
    ScoreParts
        Never lower when any input rises; all parts 0 only when nothing burns and nothing can spill.
    """
    contributions = likelihood_parts(worst_case, stresses, everyday_hours_year, own_conditions)
    likelihood, floor = sum(contributions), _number("severity_floor")
    if likelihood <= 0.0:
        return ScoreParts(least_points(burning), 0.0, 0.0, 0.0)
    clean = points_of(likelihood * floor)
    full = points_of(likelihood * min(max(mean_severity, floor), 1.0))
    worst, everyday, stress = (clean * part / likelihood for part in contributions)
    return ScoreParts(worst + max(0.0, least_points(burning) - full), everyday, stress, full - clean)
