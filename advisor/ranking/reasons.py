"""Why an option has the grade it has, as findings: the record first, then the shares and the stresses by name."""

from __future__ import annotations

from advisor.findings import Finding, finding, listed, quantity, share, slug
from advisor.ranking.gates import HELD_DOWN, limits
from advisor.ranking.options import Spillage
from advisor.ranking.stresses import stress

BARRED = ("failed", "vent failed", "unproven", "danger now", "not allowed here", "not confirmed", "confirmed")
"""Words of `barred_by` for which the record alone is the reason; each has its message ``ranking.barred.<word>``."""


def grade_reasons(spillage: Spillage, test_f: float, barred: str) -> tuple[Finding, ...]:
    """Say why an option has not the highest grade: the record, the numbers and the conditions by name."""
    if barred in BARRED:
        return (finding(f"ranking.barred.{slug(barred)}"),)
    limit, stress_limit = limits()
    held = (finding(f"ranking.barred.{slug(barred)}"),) if barred in HELD_DOWN else ()
    if spillage.worst_case > limit:
        day = quantity(test_f, "f")
        return (
            *held,
            finding("ranking.spills_in_the_worst_case", share=share(spillage.worst_case), day=day, limit=share(limit)),
        )
    if spillage.tested > limit:
        return (*held, finding("ranking.spills_as_in_a_run", share=share(spillage.tested), limit=share(limit)))
    weak = weak_under(spillage, stress_limit)
    return (*held, *((finding("ranking.may_spill_under", stresses=listed(weak)),) if weak else ()))


def weak_under(spillage: Spillage, limit: float) -> tuple[Finding, ...]:
    """Return the stresses under which more than a share of the situations spills, each with its share."""
    return tuple(
        finding("ranking.share_under_stress", share=share(value), stress=stress(name))
        for name, value in spillage.by_stress.items()
        if value > limit
    )
