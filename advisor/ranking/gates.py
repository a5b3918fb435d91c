"""Gates: possible here, allowed by the codes, safe enough by itself."""

from __future__ import annotations

from advisor import catalog
from advisor.ranking.options import Safety, Spillage

STRESS_WORDS = {
    "mild_day": "on a mild day",
    "gusty": "on a gusty day",
    "tightened": "after the house is tightened",
    "more_exhaust": "with one more 150 cfm fan",
}


def grade(spillage: Spillage) -> Safety:
    """Return the safety grade of an option; thresholds in ``catalog/safety.csv``."""
    if spillage.worst_case > catalog.number("safety", "worst_case_limit"):
        return "not enough"
    if max(spillage.stresses) > catalog.number("safety", "stress_limit"):
        return "as tested"
    return "robust"


def grade_reasons(spillage: Spillage, test_f: float) -> tuple[str, ...]:
    """Say why an option has not the highest grade: the numbers and the conditions by name."""
    limit, stress = catalog.number("safety", "worst_case_limit"), catalog.number("safety", "stress_limit")
    if spillage.worst_case > limit:
        return (
            f"still spills in {percent(spillage.worst_case)} of the situations that fit the record, in the worst case at "
            f"{test_f:.0f} F (at most {percent(limit)} is allowed)",
        )
    found = [
        f"{percent(value)} {STRESS_WORDS[name]}"
        for name, value in (
            ("mild_day", spillage.mild_day),
            ("gusty", spillage.gusty),
            ("tightened", spillage.tightened),
            ("more_exhaust", spillage.more_exhaust),
        )
        if value > stress
    ]
    return (f"holds on a day like the test day, but may spill: {', '.join(found)}",) if found else ()


def percent(share: float) -> str:
    """Return a probability as its uncertainty deserves: whole percents, 'under 1 %' and 'over 99 %' at the ends."""
    if share < 0.01:
        return "under 1 %"
    if share > 0.99:
        return "over 99 %"
    return f"{100.0 * share:.0f} %"
