"""Numbers as people read them, rounded as their uncertainty deserves."""

from __future__ import annotations

import math

from advisor.ensemble.weighted import Band, Range
from advisor.findings import Value, finding, quantity, share, usd
from advisor.ranking.options import Option
from advisor.wording.speak import say, text
from advisor.wording.units import rounded_money

__all__ = [
    "band",
    "dollars",
    "dollars_range",
    "flow",
    "percent",
    "pressure",
    "rounded_money",
    "seconds_words",
    "stress_range",
    "whole",
    "worst_case",
]

READ_DIGITS = 3
"""Most decimals of a reading: it stands as it was written down."""


def percent(value: float) -> str:
    """Return a probability: whole percents, 'under 1 %' and 'over 99 %' at the ends."""
    return say(share(value))


def dollars(amount_usd: float) -> str:
    """Return ``$1,230``."""
    return say(usd(amount_usd))


def dollars_range(costs: Range) -> str:
    """Return ``$450-1,300``: low to high."""
    if rounded_money(costs.high) == 0:
        return dollars(0.0)
    return text("view.money_range", low=usd(costs.low), high=usd(costs.high))


def whole(value: float) -> str:
    """Return a number without decimals."""
    return say(quantity(value, "count"))


def flow(cfm: float) -> str:
    """Return an air flow."""
    return say(quantity(cfm, "cfm"))


def pressure(pascals: float) -> str:
    """Return a pressure."""
    return say(quantity(pascals, "pa"))


def stress_range(option: Option) -> str:
    """Return the smallest and largest share over the stresses."""
    if option.appliance == "none":
        return text("view.nothing_to_spill")
    low, high = min(option.spillage.stresses), max(option.spillage.stresses)
    last = percent(high)
    if percent(low) == last:
        return last
    return text("view.share_range", low=quantity(100.0 * low, "count"), high=quantity(min(100.0 * high, 99.0), "count"))


def worst_case(option: Option) -> str:
    """Return the share in the worst case; 'none' where nothing is left to spill."""
    return text("view.nothing_to_spill") if option.appliance == "none" else percent(option.spillage.worst_case)


def seconds_words(seconds: Band) -> str:
    """Return the time to draft as a band."""
    return text("view.band", low=_or_never(seconds.p05, "s", 0), high=_or_never(seconds.p95, "s", 0))


def band(values: Band, unit: str, digits: int = 1) -> str:
    """Return ``0.4 to 2.1 Pa``; 'never' where there is no number.

    Parameters
    ----------
    values : Band
        5th to 95th percentile.
    unit : str
        Suffix of their unit.
    digits : int
        Most decimals.
    """
    message = "view.band" if values.p05 is None or values.p95 is None else "view.band_one_unit"
    return text(message, low=_or_never(values.p05, unit, digits), high=_or_never(values.p95, unit, digits))


def _or_never(value: float | None, unit: str, digits: int) -> Value:
    if value is None or not math.isfinite(value):
        return finding("view.never")
    return quantity(value, unit, digits)
