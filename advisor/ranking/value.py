"""Value on fixed, documented scales, and the order of the options.

The scales never depend on the options present: striking one option does not reorder the others.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Literal, TypeVar

from advisor import catalog
from advisor.findings import Finding, finding, slug
from advisor.ranking.options import CRITERIA, Figures, Viewpoint

Ranked = TypeVar("Ranked", bound=Figures)
TIERS = {"robust": 0, "as tested": 1, "not enough": 2}


def criterion(name: str) -> Finding:
    """Return a criterion's name, to be said; ids stand in ``CRITERIA`` and as keys of an option's value parts."""
    return finding(f"ranking.criterion.{slug(name)}")


@dataclass(frozen=True, slots=True)
class Scale:
    """The anchored scale of a criterion (``scales``): value 1 at ``best``, 0 at ``worst``, both in the criterion's unit."""

    criterion: str
    best: float
    worst: float
    shape: Literal["linear", "log"]


@dataclass(frozen=True, slots=True)
class _Weight:
    """The weight of a criterion for a viewpoint, 0 to 1 (``viewpoints``)."""

    viewpoint: str
    criterion: str
    weight: float


def scales() -> Mapping[str, Scale]:
    """Return the anchored scales by criterion."""
    return catalog.rows_by(Scale, "scales", "criterion")


@cache
def weights(viewpoint: str) -> dict[str, float]:
    """Return the weights of a viewpoint; they sum to 1."""
    return {r.criterion: r.weight for r in catalog.rows_of(_Weight, "viewpoints") if r.viewpoint == viewpoint}


def scaled(criterion: str, amount: float) -> float:
    """Return an amount on its scale: 1 at the best anchor, 0 at the worst, clipped outside."""
    row = scales()[criterion]
    best, worst = row.best, row.worst
    if row.shape == "log":
        amount = math.log(max(amount, 1e-9) / best) / math.log(worst / best)
    else:
        amount = (amount - best) / (worst - best)
    return 1.0 - min(1.0, max(0.0, amount))


def value_parts(
    viewpoint: Viewpoint,
    risk_score: float,
    installed_usd: float,
    yearly_usd: float,
    stresses: tuple[float, ...],
    vent_runs_wet: float,
    disruption: float,
) -> dict[str, float]:
    """Return the weighted parts of an option's value; their sum is the value.

    A vent that runs wet counts like a stress that fails: it destroys itself.
    """
    stands = (sum(stresses) + vent_runs_wet) / (len(stresses) + 1)
    amounts = (risk_score, installed_usd, yearly_usd, stands, disruption)
    return {
        name: weights(viewpoint)[name] * scaled(name, amount) for name, amount in zip(CRITERIA, amounts, strict=True)
    }


def in_order(found: Sequence[Ranked]) -> tuple[Ranked, ...]:
    """Order the options: by grade, then by value; what is not possible or not enough has no rank and comes last."""
    able = [o for o in found if o.passes]
    rest = [o for o in found if not o.passes]
    able.sort(key=lambda o: (TIERS[o.safety], -o.value, o.installed_cost_usd.typical, o.id))
    rest.sort(key=lambda o: (not o.eligible, o.spillage.tested, -o.value, o.id))
    return (*able, *rest)
