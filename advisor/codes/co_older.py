"""The older action levels: what flue CO and draft together asked for before today's limits. Shown beside, deciding nothing."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from advisor.catalog import rows_of
from advisor.codes.check import Check
from advisor.codes.vent_types import require_positive
from advisor.findings import finding, listed, quantity

DraftResult = Literal["passes", "fails_worst_case", "fails_natural"]
"""What the draft test showed: it holds; it fails at worst case only; it fails with no fan on."""


@dataclass(frozen=True, slots=True)
class OlderAction:
    """A row of the older action levels (``older_bpi_actions``), strictest first; ppm in the flue as the meter shows it.

    With ``logic`` ``or`` the draft result is enough by itself. A missing end is open.
    """

    key: str
    to_ppm: float | None
    logic: Literal["and", "or"]
    result: Literal["passes", "fails_worst_case", "fails_natural", "fails_any"]
    status: str
    source: str

    @property
    def most_ppm(self) -> float:
        """Upper end of the band, ppm."""
        return math.inf if self.to_ppm is None else self.to_ppm

    def asks(self, over_ppm: float, co_ppm: float, result: DraftResult) -> bool:
        """Return whether the row speaks of a reading; ``over_ppm`` is where the band below it ends."""
        inside = over_ppm < co_ppm <= self.most_ppm
        shown = result != "passes" if self.result == "fails_any" else result == self.result
        return (inside or (shown and co_ppm <= self.most_ppm)) if self.logic == "or" else inside and shown


def older_action(co_as_measured_ppm: float, result: DraftResult) -> OlderAction:
    """Return the older action for an *as-measured* flue reading and a draft result.

    Never for an air-free value: the bands were made for undiluted readings as the meter shows them. Whole-number bands
    are read as half-open ones and touch at 100 and 400 ppm, where the stricter one starts above.

    Parameters
    ----------
    co_as_measured_ppm : float
        CO in the flue before the hood, ppm.
    result : str
        What the draft test showed (``DraftResult``).

    Raises
    ------
    InputError
        If the reading is negative or not finite.
    """
    require_positive("co_as_measured_ppm", co_as_measured_ppm, zero=True)
    rows = rows_of(OlderAction, "older_bpi_actions")
    ends = {row.most_ppm for row in rows}
    # the first band begins below any reading
    below = {row.key: max((end for end in ends if end < row.most_ppm), default=-1.0) for row in rows}
    return next(row for row in rows if row.asks(below[row.key], co_as_measured_ppm, result))


def with_older_action(check: Check, co_as_measured_ppm: float, results: Sequence[DraftResult]) -> Check:
    """Return a check of flue CO with the older action said beside it; its verdict stays.

    Parameters
    ----------
    check : Check
        By today's limit.
    co_as_measured_ppm : float
        The reading, ppm.
    results : sequence of str
        What the draft test may have shown: more than one where the record does not tell them apart; empty: nothing.
    """
    if not results:
        return check
    actions = dict.fromkeys(older_action(co_as_measured_ppm, result).key for result in results)
    official = finding(
        "codes_co.older_beside",
        now=check.official,
        co=quantity(co_as_measured_ppm, "ppm_as_measured"),
        result=listed((finding(f"codes_co.older_result.{result}") for result in results), "or"),
        action=listed((finding(f"codes_co.older.{key}") for key in actions), "or"),
    )
    return replace(check, official=official)
