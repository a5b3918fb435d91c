"""Bill of work: sized quantities times prices, with a range."""

from __future__ import annotations

import datetime
from dataclasses import dataclass, replace
from typing import Literal

from advisor.errors import InputError
from advisor.findings import Words, finding
from advisor.money.amount import TYPED, require
from advisor.money.prices import NO_OVERRIDES, Overrides, Price, price


@dataclass(frozen=True, slots=True)
class BillLine:
    """One line of a bill of work.

    Parameters
    ----------
    measure_id : str
        The part.
    words : Finding
        Its plain name.
    quantity : float
        How many `unit` are needed.
    unit : str
        Suffix of the unit: ``each``, ``job``, ``ft``, ``pair`` or ``zone`` (``units.<unit>``).
    low_usd, typical_usd, high_usd : float
        Cost of the whole quantity.
    labour_h : float or None
        Typical hours of the whole quantity; None if unknown.
    life_years : float or None
        Life of the part, for the residual value; None if it is used up at once.
    status, source : str
        Status and source of the price.
    assumed : bool
        True if nobody has said that the part is needed: the line is there to be on the safe side.
    """

    measure_id: str
    words: Words
    quantity: float
    unit: str
    low_usd: float
    typical_usd: float
    high_usd: float
    labour_h: float | None
    life_years: float | None
    status: str
    source: str
    assumed: bool = False


@dataclass(frozen=True, slots=True)
class Incentive:
    """A rebate or credit the user typed: places, incomes and dates vary and programs end without notice.

    Parameters
    ----------
    words, source, date : str
        What it is as typed, who said so, and the ISO date on which it was looked up.
    amount_usd : float
        Fixed amount off the total.
    share : float
        Share of what is left after all fixed amounts, 0 to 1.
    """

    words: str
    source: str
    date: str
    amount_usd: float = 0.0
    share: float = 0.0

    def __post_init__(self) -> None:
        """Check the amounts, the source and the date."""
        require(f"incentive_usd '{self.words}'", self.amount_usd)
        require(f"incentive_share '{self.words}'", self.share, 0.0, 1.0)
        if not self.source.strip():
            raise InputError(f"incentive '{self.words}': no source; say who offers it")
        try:
            datetime.date.fromisoformat(self.date)
        except (TypeError, ValueError):
            raise InputError(f"incentive '{self.words}': date '{self.date}' is not a date like 2026-03-31") from None


@dataclass(frozen=True, slots=True)
class Bill:
    """All lines of one option.

    Parameters
    ----------
    lines : tuple of BillLine
        May be empty (doing nothing costs nothing).
    margin_fraction, tax_fraction : float
        Added to the sum of the lines, tax on top of the margin.
    region_factor : float
        Local price level; applied to catalog prices only, a typed price is local already.
    incentives : tuple of Incentive
        Taken off the total: fixed amounts first, then shares of the rest.
    """

    lines: tuple[BillLine, ...] = ()
    margin_fraction: float = 0.0
    tax_fraction: float = 0.0
    region_factor: float = 1.0
    incentives: tuple[Incentive, ...] = ()

    def __post_init__(self) -> None:
        """Check the factors."""
        require("margin_fraction", self.margin_fraction, 0.0, 5.0)
        require("tax_fraction", self.tax_fraction, 0.0, 1.0)
        require("region_factor", self.region_factor, 0.0, 10.0, above_low=True)

    def line_factor(self, line: BillLine) -> float:
        """Return what a line is multiplied by: region (catalog prices only), margin and tax."""
        region = 1.0 if line.status == TYPED else self.region_factor
        return region * (1.0 + self.margin_fraction) * (1.0 + self.tax_fraction)

    def _total(self, which: Literal["low_usd", "typical_usd", "high_usd"]) -> float:
        whole = sum(getattr(line, which) * self.line_factor(line) for line in self.lines)
        return float(after_incentives(float(whole), self.incentives))

    @property
    def low_usd(self) -> float:
        """Total with every line at its low price."""
        return self._total("low_usd")

    @property
    def typical_usd(self) -> float:
        """Total with every line at its typical price."""
        return self._total("typical_usd")

    @property
    def high_usd(self) -> float:
        """Total with every line at its high price."""
        return self._total("high_usd")

    @property
    def labour_h(self) -> float:
        """Hours of the lines whose hours are known."""
        return sum(line.labour_h or 0.0 for line in self.lines)


def after_incentives(total_usd: float, incentives: tuple[Incentive, ...]) -> float:
    """Return what is left to pay: fixed amounts first, then shares; never below zero."""
    left = max(0.0, total_usd - sum(item.amount_usd for item in incentives))
    for item in incentives:
        left *= 1.0 - item.share
    return left


def line_of(item: Price, quantity: float = 1.0, *, assumed: bool = False) -> BillLine:
    """Return the line for `quantity` units of a priced part.

    Raises
    ------
    InputError
        If the quantity is negative or not a number.
    """
    require(f"{item.measure_id}.quantity_{item.unit}", quantity)
    return BillLine(
        item.measure_id,
        item.words,
        float(quantity),
        item.unit,
        item.low_usd * quantity,
        item.typical_usd * quantity,
        item.high_usd * quantity,
        None if item.labour_typical_h is None else item.labour_typical_h * quantity,
        item.life_years,
        item.status,
        item.source,
        assumed,
    )


def bill_line(
    measure_id: str, quantity: float = 1.0, overrides: Overrides = NO_OVERRIDES, *, assumed: bool = False
) -> BillLine:
    """Return the line for `quantity` units of a part, at the user's own price where there is one."""
    return line_of(price(measure_id, overrides), quantity, assumed=assumed)


def perhaps(line: BillLine) -> BillLine:
    """Return a line for a part that what is there already may replace: from nothing up to its whole cost.

    Nobody measured what is there, so it is credited in the typical price and not in the high one.
    """
    words = finding("money.perhaps", what=line.words)
    return replace(line, words=words, low_usd=0.0, typical_usd=0.0, labour_h=None, assumed=True)
