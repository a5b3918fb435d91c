"""Gates: possible here, allowed by the codes, not barred by the record, safe enough by itself."""

from __future__ import annotations

import math

from advisor import catalog
from advisor.facts.record import Verdict
from advisor.ranking.options import Safety, Spillage

LEAVES_IT = ("leave_as_found", "like_for_like")
"""Options that leave vent, air and fans as they are: the record speaks of them directly."""
NEEDS_NO_VENT = ("none", "sealed")
"""Kinds of appliance that depend neither on the old vent nor on the room's pressure."""
NEEDS_A_DRAFT = ("natural draft", "fan-assisted")
"""Kinds of appliance that stay on a vent with a draft: what another appliance on it did speaks of them, too."""
HELD_DOWN = ("unexplained", "other spilled")
"""Words for which an option counts for no more than 'as tested', whatever is simulated."""


def limits() -> tuple[float, float]:
    """Return the largest shares allowed in the tests and under a stress, 0 to 1."""
    return catalog.number("safety", "worst_case_limit"), catalog.number("safety", "stress_limit")


def grade_of_shares(tested: float, hardest: float) -> Safety:
    """Return the grade of a share in the tests and of one under the hardest stress."""
    limit, stress = limits()
    return "not enough" if tested > limit else "as tested" if hardest > stress else "robust"


def barred_by(option_id: str, appliance: str, verdict: Verdict, explained: bool) -> str:
    """Return why the record holds an option down, whatever is simulated; empty when it does not.

    Parameters
    ----------
    option_id, appliance : str
        The option, and how the heater vents after the work.
    verdict : Verdict
        Of the record.
    explained : bool
        Can the model show what was seen?
    """
    if option_id in LEAVES_IT and not verdict.may_leave:
        return "failed" if verdict.failed else verdict.leads
    if not explained and appliance not in NEEDS_NO_VENT:
        return "unexplained"
    if verdict.vent_failed_by and appliance in NEEDS_A_DRAFT:
        return "other spilled"
    return ""


def grade(spillage: Spillage, option_id: str, appliance: str, verdict: Verdict, explained: bool) -> Safety:
    """Return the safety grade of an option: the record first, then the shares; thresholds in ``catalog/ranking/safety.csv``."""
    found = grade_of_shares(spillage.tested, max(spillage.stresses))
    barred = barred_by(option_id, appliance, verdict, explained)
    if option_id in LEAVES_IT:
        if barred and barred not in HELD_DOWN:
            return "not enough"
        # a valid pass is not argued away by a simulation
        found = "as tested" if found == "not enough" else found
    if barred in HELD_DOWN and found == "robust":
        return "as tested"
    return found


def near(share: float, limit: float, effective_samples: float) -> bool:
    """Return whether a share lies within its sampling error of a limit (95 %, with one pseudo-count at each side)."""
    size = effective_samples + 2.0
    middle = (share * effective_samples + 1.0) / size
    error = catalog.number("safety", "near_limit_deviations") * math.sqrt(middle * (1.0 - middle) / size)
    return abs(share - limit) <= error


def near_the_limit(spillage: Spillage, effective_samples: float) -> bool:
    """Return whether sampling leaves the grade of shares open."""
    limit, stress = limits()
    if near(spillage.tested, limit, effective_samples):
        return True
    return spillage.tested <= limit and near(max(spillage.stresses), stress, effective_samples)
