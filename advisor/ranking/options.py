"""What an option is once it is worked out: figures only, nothing left to compute."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from advisor.codes.check import Check
from advisor.ensemble.conditions import STRESSES
from advisor.ensemble.state import Array, State
from advisor.ensemble.weighted import Band, Range
from advisor.evidence.retest import Expected
from advisor.findings import Words
from advisor.money.bill import BillLine
from advisor.money.site import Fit
from advisor.ranking.lifetime import Lifetime, LifetimeCost
from advisor.risk.score import ScoreParts

Safety = Literal["robust", "as tested", "not enough"]
Viewpoint = Literal["contractor", "inspector", "homeowner"]
VIEWPOINTS: tuple[Viewpoint, ...] = ("contractor", "inspector", "homeowner")
Outcomes = Mapping[str, Array]
"""Whether each situation spills, by condition, (n,) of 0 and 1."""
CRITERIA = ("residual risk", "installed cost", "yearly cost", "robustness", "disruption")


@dataclass(frozen=True, slots=True)
class Spillage:
    """Share of the fitting situations that spill beyond the allowed time, by condition, 0 to 1; all of it is modelled.

    Parameters
    ----------
    worst_case : float
        With everything running that takes air out, on the test day.
    stresses : tuple of float
        Under each stress, in the order of ``STRESSES``.
    failing_runs : tuple of float
        Under the own condition (weather, fans, windows) of each run that was seen to fail.
    """

    worst_case: float
    stresses: tuple[float, ...]
    failing_runs: tuple[float, ...] = ()

    @property
    def tested(self) -> float:
        """Largest share over the worst case and the conditions of the failing runs: what the gate judges."""
        return max(self.worst_case, *self.failing_runs, 0.0)

    @property
    def by_stress(self) -> dict[str, float]:
        """Share under each stress by its id."""
        return dict(zip(STRESSES, self.stresses, strict=True))

    def under(self, condition: str) -> float:
        """Return the share under the worst case (``worst_case``) or a stress, by its id."""
        return self.worst_case if condition == "worst_case" else self.by_stress[condition]


@dataclass(frozen=True, slots=True)
class HoldsUntil:
    """How far the house may change before the option stops being safe enough.

    Parameters
    ----------
    more_exhaust_cfm : float or None
        Exhaust that may be added; None when more than the largest tried still holds.
    leakage_cfm50 : float or None
        Air leakage below which it fails; None when it holds down to the tightest tried.
    words : Finding
        One sentence a homeowner keeps.
    """

    more_exhaust_cfm: float | None
    leakage_cfm50: float | None
    words: Words


@dataclass(frozen=True, slots=True)
class Figures:
    """A remedy worked out for this case by itself, before it is held against the others.

    Parameters
    ----------
    id, family : str
        From the catalog.
    title : Finding
        Plain title.
    appliance : str
        How the heater vents after the work; "none" has nothing to spill.
    eligible : bool
        Can it be done here?
    safety : Safety
        Grade.
    near_limit : bool
        True where a share lies within its sampling error of a threshold, or where halving or doubling what the model does
        not know changes the grade.
    barred_by : str
        Why the record or the explanation bars it or holds its grade down, whatever is simulated: ``failed``, ``unproven``,
        ``danger now``, ``vent failed``, ``unexplained``, ``other spilled``; empty when nothing does.
    reasons : tuple of Finding
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
    parts, notes : tuple of Finding
        Sizes in trade words; what the client should know.
    checks : tuple of Check
        Code rules held against the sized parts.
    needs : Finding
        What it needs.
    lead_days : float
        Usual days until it can be done.
    lifetime : LifetimeCost
        Life-cycle cost, cash flow and energy.
    fit : tuple of Fit
        For a replacement, every need held against the place.
    incentive_usd : float
        Typed by the user; already taken off the installed cost.
    score_parts : ScoreParts
        The risk score as a sum of points.
    everyday_hours : Band
        Hours a year of spillage beyond the allowed time in ordinary use.
    members : tuple of str
        Ids of the remedies of a bundle; empty for a single remedy.
    broken_rules : tuple of str
        Code rules that bar it: it is possible here but for them.
    """

    id: str
    title: Words
    family: str
    appliance: str
    eligible: bool
    safety: Safety
    near_limit: bool
    barred_by: str
    reasons: tuple[Words, ...]
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
    parts: tuple[Words, ...]
    notes: tuple[Words, ...]
    checks: tuple[Check, ...]
    needs: Words
    lead_days: float
    lifetime: LifetimeCost
    fit: tuple[Fit, ...]
    incentive_usd: float
    score_parts: ScoreParts
    everyday_hours: Band
    members: tuple[str, ...]
    broken_rules: tuple[str, ...]

    @property
    def safe_enough(self) -> bool:
        """True unless the grade is 'not enough'."""
        return self.safety != "not enough"

    @property
    def passes(self) -> bool:
        """True for what is possible here and safe enough: it has a rank."""
        return self.eligible and self.safe_enough


@dataclass(frozen=True, slots=True)
class Option(Figures):
    """A remedy in the ranking: its figures, and how it stands among the others.

    Parameters
    ----------
    lifetime : Lifetime
        Life-cycle cost, held against the cheapest safe option that keeps a natural-draft heater.
    rank : int or None
        None when it is not safe enough or not possible.
    further_stress : mapping
        Spillage shares under neglect and a bigger hood, by name; empty where it was not asked.
    holds_until : HoldsUntil or None
        For options that pass.
    rank_share : tuple or None
        In what share of draws over cost, price, weights and physics it is first, second, third.
    expected : Expected or None
        What a retest should read, for the first options that can spill.
    """

    lifetime: Lifetime
    rank: int | None
    further_stress: Mapping[str, float]
    holds_until: HoldsUntil | None
    rank_share: tuple[float, float, float] | None
    expected: Expected | None


@dataclass(frozen=True, slots=True)
class Worked:
    """What working out a remedy gives: its figures, and the situations after the work.

    Parameters
    ----------
    figures : Figures
        See there.
    outcomes : mapping
        Whether each situation spills after the work, by condition.
    state : State
        The situations after the work.
    """

    figures: Figures
    outcomes: Outcomes
    state: State
