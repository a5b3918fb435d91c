"""What all options of a case share: the situations, the tests that an option must hold in, the stresses."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from advisor import catalog
from advisor.case.model import Case
from advisor.ensemble import conditions
from advisor.ensemble.respond import Response, respond, vent_runs_wet
from advisor.ensemble.state import Array, Condition, Index, State
from advisor.evidence.coherence import Explanation
from advisor.evidence.posterior import Posterior, enlarged
from advisor.facts.record import Verdict
from advisor.ranking import household
from advisor.ranking.gates import limits, near
from advisor.ranking.options import Band, Spillage, Viewpoint
from advisor.remedies.base import Job
from advisor.risk.everyday import Everyday, everyday
from advisor.risk.exposure import Exposure, exposure
from advisor.risk.sampling import Percentiles, representative

AS_FOUND = "as found"
STRESS_LOOK = 1024
"""Situations in which the stresses of a failed option are looked at (numerical; a share is good to 1.5 points)."""


@dataclass(frozen=True, slots=True)
class Test:
    """A condition that an option must hold in, and the allowed spillage time there, s."""

    condition: Condition
    allowed_s: float

    def spills(self, state: State) -> Array:
        """Return whether each situation spills beyond the allowed time, (n,) of 0 and 1."""
        if state.appliance == "none":
            return np.zeros(state.samples)
        return respond(state, self.condition).spills_beyond(self.allowed_s)


def failing_tests(case: Case, verdict: Verdict, state: State) -> tuple[Test, ...]:
    """Return the own condition of each run that was seen to fail, equal ones once."""
    found: list[Test] = []
    for run in verdict.failing:
        own = replace(conditions.of_run(case, state.devices, case.run[run.index]), name="failing run")
        test = Test(own, run.limit.limit_s)
        if test not in found:
            found.append(test)
    return tuple(found)


@dataclass(frozen=True)
class Setting:
    """What all options of a case share."""

    job: Job
    verdict: Verdict
    posterior: Posterior
    worst: Condition
    own: tuple[Test, ...]
    stresses: dict[str, Condition]
    allowed_s: float
    viewpoint: Viewpoint
    household: household.Household

    @property
    def tests(self) -> tuple[Test, ...]:
        """All conditions that an option must hold in: the worst case, and that of each failing run."""
        return (Test(self.worst, self.allowed_s), *self.own)

    def spills_in_tests(self, state: State) -> Array:
        """Return whether each situation spills in any of the tests, (n,) of 0 and 1."""
        return np.asarray(np.maximum.reduce([test.spills(state) for test in self.tests]))

    @property
    def explanation(self) -> Explanation:
        """What the record says beside what the fitting situations would show."""
        return self.posterior.explanation

    @property
    def explained(self) -> bool:
        """True where the model can show what was seen."""
        return self.explanation.explained

    @cached_property
    def larger(self) -> Posterior:
        """More situations of the same record, for shares near a threshold."""
        return enlarged(self.posterior, int(catalog.number("safety", "near_limit_more_times")))

    @cached_property
    def exposure(self) -> Exposure:
        """What the house as found would expose people to."""
        case, posterior = self.job.case, self.posterior
        return exposure(case, posterior.state, posterior.weight, self.worst, self.as_found[1])

    @cached_property
    def everyday(self) -> Everyday:
        """Hours a year of spillage in ordinary use, as found."""
        return everyday(self.job.case, self.posterior.state, self.posterior.weight, self.allowed_s)

    @cached_property
    def outcomes(self) -> dict[str, dict[str, Array]]:
        """Spillage of every option in every situation, by option id and condition: filled as options are worked out."""
        return {}

    @cached_property
    def states(self) -> dict[str, State]:
        """The situations after the work, by option id: filled as options are worked out."""
        return {}

    @cached_property
    def as_found(self) -> tuple[Spillage, Response, float]:
        """Spillage, worst-case response and wet share of the house as it was found."""
        spillage, worst = spillage_of(self, self.posterior.state, AS_FOUND)
        return spillage, worst, share_wet(self, self.posterior.state)


def hours_of(setting: Setting, state: State) -> Percentiles:
    """Hours a year of spillage in ordinary use; as found where the state is the one found."""
    if state is setting.posterior.state:
        return setting.everyday.hours_a_year
    return everyday(setting.job.case, state, setting.posterior.weight, setting.allowed_s).hours_a_year


def share_wet(setting: Setting, state: State) -> float:
    """Share of the fitting situations in which the vent runs wet."""
    return float(np.sum(setting.posterior.weight * vent_runs_wet(state, setting.worst)))


def weighted_band(values: Array, weight: Array) -> Band:
    """Weighted 5th, 50th and 95th percentiles; None where the percentile is infinite."""
    order: Index = np.argsort(values)
    ordered, share = values[order], np.cumsum(weight[order])
    picks = [float(ordered[min(int(np.searchsorted(share, p)), len(ordered) - 1)]) for p in (0.05, 0.5, 0.95)]
    return Band(*(p if np.isfinite(p) else None for p in picks))


def spillage_of(setting: Setting, state: State, key: str = "") -> tuple[Spillage, Response]:
    """Spillage shares under the worst case and every stress, and the worst-case response; kept under ``key``.

    What fails the worst case has no rank: its stresses are shown, not decided by, and a thinned ensemble is enough.
    """
    weight = setting.posterior.weight
    worst = respond(state, setting.worst)
    spills = {"worst_case": worst.spills_beyond(setting.allowed_s)}
    shares = {"worst_case": float(np.sum(weight * spills["worst_case"]))}
    for i, test in enumerate(setting.own):
        spills[f"failing_run_{i}"] = test.spills(state)
    own = tuple(float(np.sum(weight * spills[f"failing_run_{i}"])) for i in range(len(setting.own)))
    tested, limit = max(shares["worst_case"], *own, 0.0), limits()[0]
    # a borderline share may still pass after a closer look: its stresses are looked at in full
    open_ = near(tested, limit, setting.posterior.effective_samples)
    failed = tested > limit and not open_ and key != AS_FOUND
    part = state.take(representative(weight, STRESS_LOOK)) if failed and weight.size > STRESS_LOOK else state
    each = weight if part is state else np.full(STRESS_LOOK, 1.0 / STRESS_LOOK)
    for name, condition in setting.stresses.items():
        quiet = state.appliance == "none"
        outcome = np.zeros(part.samples) if quiet else respond(part, condition).spills_beyond(setting.allowed_s)
        shares[name] = float(np.sum(each * outcome))
        if part is state:
            spills[name] = outcome
    if key:
        setting.outcomes[key] = spills
    return Spillage(**{name: shares[name] for name in ("worst_case", *conditions.STRESSES)}, failing_runs=own), worst
