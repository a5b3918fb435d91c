"""The heater that is there now: how long it still lasts, and what keeping it costs."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from advisor.catalog import number
from advisor.money.amount import Amount, require, triangular_chance_below, triangular_quantile
from advisor.money.lifecycle import Asset
from advisor.money.prices import NO_OVERRIDES, Overrides, price
from advisor.money.tables import class_row


@dataclass(frozen=True, slots=True)
class RemainingLife:
    """Years a heater still has, whether its age was assumed, and the years assumed or given."""

    years: Amount
    age_years: float
    assumed: bool


def remaining_life(class_id: str, age_years: float | None, uniforms: Amount = 0.5) -> RemainingLife:
    """Return the years that an existing heater still has.

    The life of the class is a triangular number; a heater that has reached `age_years` belongs to those that last
    longer, so a 14-year-old heater still has a few years and never a negative number. With `uniforms` = 0.5 the
    answer is the median; give the ranking's uniform numbers for draws.

    Parameters
    ----------
    class_id : str
        Class of the heater, usually ``GS_ATM``.
    age_years : float or None
        None assumes the catalog's share of a typical life.
    uniforms : float or ndarray
        Probabilities in [0, 1].

    Raises
    ------
    InputError
        If the class is unknown or the age is negative.
    """
    row = class_row(class_id)
    low, typical, high = row.life_low_yr, row.life_typ_yr, row.life_high_yr
    assumed = age_years is None
    share = number("money_settings", "unknown_age_share_of_life")
    age = typical * share if age_years is None else float(require("age_of_the_heater_years", age_years, 0.0, 100.0))
    floor = number("money_settings", "minimum_remaining_life_years")
    dead_by_now = np.asarray(triangular_chance_below(low, typical, high, age))
    chance = dead_by_now + np.asarray(require("probability", uniforms, 0.0, 1.0)) * (1.0 - dead_by_now)
    death = triangular_quantile(low, typical, high, np.minimum(chance, 1.0))
    years = np.maximum(np.asarray(death) - age, floor)
    return RemainingLife(years if years.ndim else float(years), age, assumed)


def kept_heater(
    class_id: str,
    age_years: float | None,
    overrides: Overrides = NO_OVERRIDES,
    *,
    uniforms: Amount = 0.5,
    replacement_usd: Amount | None = None,
) -> tuple[Asset, RemainingLife]:
    """Return the existing heater as an asset: free now, replaced like for like when it dies.

    Parameters
    ----------
    class_id : str
        Class of the existing heater.
    age_years : float or None
        None is assumed and said so in the second value.
    overrides : mapping
        The user's own prices.
    uniforms : float or ndarray
        Probabilities for the remaining life; 0.5 gives the median.
    replacement_usd : float or ndarray, optional
        Draws of the like-for-like price; default its typical price.
    """
    left = remaining_life(class_id, age_years, uniforms)
    usd = price(class_id, overrides).typical_usd if replacement_usd is None else replacement_usd
    return Asset("existing_heater", 0.0, class_row(class_id).life_typ_yr, usd, left.years), left
