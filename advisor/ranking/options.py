"""What an option is once it is worked out: figures only, nothing left to compute."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from advisor.codes.check import Check
from advisor.money.bill import BillLine
from advisor.money.site import Fit

if TYPE_CHECKING:  # lifetime.py uses the ranges defined here
    from advisor.ranking.lifetime import Lifetime

Safety = Literal["robust", "as tested", "not enough"]
Viewpoint = Literal["contractor", "inspector", "homeowner"]
VIEWPOINTS: tuple[Viewpoint, ...] = ("contractor", "inspector", "homeowner")
CRITERIA = ("residual risk", "installed cost", "yearly cost", "robustness", "disruption")


@dataclass(frozen=True, slots=True)
class Band:
    """5th, 50th and 95th percentile over the fitting situations; None where no number exists (never drafts)."""

    p05: float | None
    p50: float | None
    p95: float | None


@dataclass(frozen=True, slots=True)
class Range:
    """Low, typical, high."""

    low: float
    typical: float
    high: float


@dataclass(frozen=True, slots=True)
class Spillage:
    """Share of the fitting situations that spill beyond the allowed time, by condition."""

    worst_case: float
    mild_day: float
    gusty: float
    tightened: float
    more_exhaust: float

    @property
    def stresses(self) -> tuple[float, ...]:
        """The four stresses."""
        return (self.mild_day, self.gusty, self.tightened, self.more_exhaust)


@dataclass(frozen=True, slots=True)
class Option:
    """A remedy worked out for this case.

    Parameters
    ----------
    id, title, family : str
        From the catalog.
    rank : int or None
        None when it is not safe enough or not possible.
    appliance : str
        How the heater vents after the work; "none" has nothing to spill.
    eligible : bool
        Can it be done here?
    safety : Safety
        Grade.
    reasons : tuple of str
        Why it is not possible, not enough, or only as tested.
    spillage : Spillage
        See there.
    vent_runs_wet : float
        Share of situations in which the vent stays below the dew point in steady firing.
    zone_depressurization_pa, seconds_to_draft, draft_pa : Band
        In the worst case: what a retest should find.
    installed_cost_usd : Range
        Bill of work.
    yearly_cost_usd : Range
        Energy and upkeep.
    risk_score, value : float
        0 to 100 (lower is safer); 0 to 1 (higher is better).
    value_parts : dict
        Weighted parts of the value; they add up to it.
    bill : tuple of BillLine
        Lines.
    parts, notes : tuple of str
        Sizes in trade words; what the client should know.
    checks : tuple of Check
        Code rules held against the sized parts.
    needs : str
        What it needs.
    lead_days : float
        Usual days until it can be done.
    lifetime : Lifetime
        Life-cycle cost, cash flow and energy.
    fit : tuple of Fit
        For a replacement, every need held against the place.
    incentive_usd : float
        Typed by the user; already taken off the installed cost.
    """

    id: str
    title: str
    family: str
    rank: int | None
    appliance: str
    eligible: bool
    safety: Safety
    reasons: tuple[str, ...]
    spillage: Spillage
    vent_runs_wet: float
    zone_depressurization_pa: Band
    seconds_to_draft: Band
    draft_pa: Band
    installed_cost_usd: Range
    yearly_cost_usd: Range
    risk_score: float
    value: float
    value_parts: dict[str, float]
    bill: tuple[BillLine, ...]
    parts: tuple[str, ...]
    notes: tuple[str, ...]
    checks: tuple[Check, ...]
    needs: str
    lead_days: float
    lifetime: Lifetime
    fit: tuple[Fit, ...]
    incentive_usd: float

    @property
    def safe_enough(self) -> bool:
        """True unless the grade is 'not enough'."""
        return self.safety != "not enough"
