"""Numbers as people read them, rounded as their uncertainty deserves."""

from __future__ import annotations

import math

from advisor.ensemble.weighted import Band, Range
from advisor.ranking.options import Option
from advisor.wording.speak import percent

__all__ = [
    "band",
    "dollars",
    "dollars_range",
    "percent",
    "rounded_money",
    "seconds_words",
    "stress_range",
    "worst_case",
]


def rounded_money(usd: float) -> int:
    """Round to 10 dollars, from 10,000 on to 100."""
    step = 100 if abs(usd) >= 10_000 else 10
    return round(usd / step) * step


def dollars(usd: float) -> str:
    """Return ``$1,230``."""
    value = rounded_money(usd)
    return f"-${-value:,}" if value < 0 else f"${value:,}"


def dollars_range(costs: Range) -> str:
    """Return ``$450-1,300``: low to high."""
    if rounded_money(costs.high) == 0:
        return "$0"
    low, high = rounded_money(costs.low), rounded_money(costs.high)
    return f"${low:,}-{high:,}"


def stress_range(option: Option) -> str:
    """Return the smallest and largest share over the stresses."""
    if option.appliance == "none":
        return "none"
    low, high = min(option.spillage.stresses), max(option.spillage.stresses)
    last = percent(high)
    return last if percent(low) == last else f"{100.0 * low:.0f}-{last.replace('over ', '')}"


def worst_case(option: Option) -> str:
    """Return the share in the worst case; 'none' where nothing is left to spill."""
    return "none" if option.appliance == "none" else percent(option.spillage.worst_case)


def seconds_words(seconds: Band) -> str:
    """Return the time to draft as a band."""

    def one(value: float | None) -> str:
        return "never" if value is None or not math.isfinite(value) else f"{value:.0f} s"

    return f"{one(seconds.p05)} to {one(seconds.p95)}"


def band(values: Band, unit: str, digits: int = 1) -> str:
    """Return ``0.4 to 2.1 Pa``; 'never' where there is no number."""

    def one(value: float | None) -> str:
        return "never" if value is None else f"{value:.{digits}f}"

    return f"{one(values.p05)} to {one(values.p95)} {unit}"
