"""Sizes that a supply house stocks: round pipe, grille openings, areas of circles."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

from advisor.catalog import rows_of
from advisor.codes.tables import TradeSize
from advisor.errors import InputError


def round_area_in2(diameter_in: float) -> float:
    """Return the area of a circle of the diameter, in2."""
    return math.pi * diameter_in**2 / 4.0


@cache
def trade_rounds_in() -> tuple[float, ...]:
    """Return the stock round pipe diameters in inches, ascending (``trade-practice``)."""
    rows = rows_of(TradeSize, "rules_trade_sizes")
    return tuple(sorted(row.width_in for row in rows if row.shape == "round"))


@cache
def trade_grilles_in() -> tuple[tuple[float, float], ...]:
    """Return the stock grille openings (width, height) in inches by ascending area (``trade-practice``)."""
    rows = rows_of(TradeSize, "rules_trade_sizes")
    pairs = [(row.width_in, row.height_in) for row in rows if row.shape == "grille"]
    return tuple(sorted(pairs, key=lambda pair: pair[0] * pair[1]))


def _positive(area_in2: float) -> None:
    if not math.isfinite(area_in2) or area_in2 < 0:
        raise InputError(f"area_in2 = {area_in2}: must be a finite number of at least 0")


def next_trade_round_in(area_in2: float) -> float | None:
    """Return the smallest stock round pipe whose area is at least ``area_in2``.

    Parameters
    ----------
    area_in2 : float
        Free area wanted, at least 0.

    Returns
    -------
    float or None
        Diameter in inches; None when even the largest stock size is too small.

    Raises
    ------
    InputError
        If the area is negative or not finite.
    """
    _positive(area_in2)
    return next((size for size in trade_rounds_in() if round_area_in2(size) >= area_in2), None)


def next_trade_grille_in(gross_area_in2: float) -> tuple[float, float] | None:
    """Return the smallest stock grille opening (width, height) of at least this gross area, or None.

    Raises
    ------
    InputError
        If the area is negative or not finite.
    """
    _positive(gross_area_in2)
    return next((pair for pair in trade_grilles_in() if pair[0] * pair[1] >= gross_area_in2), None)


@dataclass(frozen=True, slots=True)
class TradeOpening:
    """A stock size of an opening or duct: round, or width and height.

    Parameters
    ----------
    round_in : float or None
        Diameter; None where it is not round.
    width_in, height_in : float or None
        Sides of one that is not round.
    """

    round_in: float | None = None
    width_in: float | None = None
    height_in: float | None = None

    @property
    def inside_in2(self) -> float:
        """Inside area."""
        if self.round_in is not None:
            return round_area_in2(self.round_in)
        return (self.width_in or 0.0) * (self.height_in or 0.0)

    @property
    def least_side_in(self) -> float:
        """Diameter, or the shorter side."""
        return self.round_in or min(self.width_in or 0.0, self.height_in or 0.0)


def trade_openings() -> tuple[TradeOpening, ...]:
    """Return every stock size by ascending area: round pipe first, above the largest of it rectangular ones."""
    rounds = [TradeOpening(round_in=size) for size in trade_rounds_in()]
    larger = [TradeOpening(width_in=w, height_in=h) for w, h in trade_grilles_in() if w * h > rounds[-1].inside_in2]
    return (*rounds, *larger)


def size_steps(small_in: float, large_in: float) -> int | None:
    """Return how many trade sizes ``large_in`` lies above ``small_in`` (negative if below), None if not stock."""
    sizes = trade_rounds_in()
    if small_in not in sizes or large_in not in sizes:
        return None
    return sizes.index(large_in) - sizes.index(small_in)
