"""What all options of a case share: the situations, the tests that an option must hold in, the stresses."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from advisor import catalog
from advisor.case.model import Case
from advisor.ensemble import conditions
from advisor.ensemble.question import Question
from advisor.ensemble.respond import Response, respond, vent_runs_wet
from advisor.ensemble.state import Array, Condition, State
from advisor.ensemble.weighted import Percentiles, representative
from advisor.evidence.coherence import Explanation
from advisor.evidence.posterior import Posterior, enlarged
from advisor.facts.record import Verdict
from advisor.ranking import household
from advisor.ranking.gates import limits, near
from advisor.ranking.options import Outcomes, Spillage, Viewpoint
from advisor.remedies.base import Job
from advisor.risk.everyday import Everyday, everyday
from advisor.risk.exposure import Exposure, exposure
from advisor.risk.fellows import fellows

STRESS_LOOK = 1024
"""Situations in which the stresses of a failed option are looked at (numerical; a share is good to 1.5 points)."""


def failing_tests(case: Case, verdict: Verdict, state: State) -> tuple[Question, ...]:
    """Return the own condition of each run that was seen to fail, equal ones once."""
    found: list[Question] = []
    for run in verdict.failing:
        own = replace(conditions.of_run(case, state.devices, case.run[run.index]), name="failing run")
        test = Question(own, run.limit.limit_s)
        if test not in found:
            found.append(test)
    return tuple(found)


@dataclass(frozen=True, slots=True)
class Simulated:
    """What a state does in the tests and under the stresses; all of it is modelled.

    Parameters
    ----------
    spillage : Spillage
        Share that spills, by condition.
    outcomes : mapping
        Whether each situation spills, by condition, (n,) of 0 and 1; without what was looked at in fewer situations.
    response : Response
        In the worst case.
    vent_runs_wet : float
        Share in which the vent runs wet.
    """

    spillage: Spillage
    outcomes: Outcomes
    response: Response
    vent_runs_wet: float


@dataclass(frozen=True)
class Setting:
    """What all options of a case share; nothing in it changes while they are worked out.

    Parameters
    ----------
    job : Job
        The case, with prices.
    verdict : Verdict
        What the record says.
    posterior : Posterior
        The situations that fit it.
    question : Question
        The worst case.
    own : tuple of Question
        The own condition of each failing run, with the time that judged it.
    stresses : mapping
        The worst case under each stress, by name.
    viewpoint : Viewpoint
        Whose weights rank the options.
    household : Household
        Prices and use.
    """

    job: Job
    verdict: Verdict
    posterior: Posterior
    question: Question
    own: tuple[Question, ...]
    stresses: Mapping[str, Question]
    viewpoint: Viewpoint
    household: household.Household

    @property
    def worst(self) -> Condition:
        """Condition of the worst case."""
        return self.question.condition

    @property
    def allowed_s(self) -> float:
        """Allowed spillage time in the worst case, s."""
        return self.question.allowed_s

    @property
    def tests(self) -> tuple[Question, ...]:
        """All that an option must hold in: the worst case, and the condition of each failing run."""
        return (self.question, *self.own)

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
        others = fellows(case, self.verdict)
        return exposure(case, posterior.state, posterior.weight, self.worst, self.as_found.response, others=others)

    @cached_property
    def everyday(self) -> Everyday:
        """Hours a year of spillage in ordinary use, as found."""
        return everyday(self.job.case, self.posterior.state, self.posterior.weight, self.allowed_s)

    @cached_property
    def as_found(self) -> Simulated:
        """What the house does as it was found, looked at in full."""
        return simulated(self, self.posterior.state, in_full=True)


def hours_of(setting: Setting, state: State) -> Percentiles:
    """Hours a year of spillage in ordinary use; as found where the state is the one found."""
    if state is setting.posterior.state:
        return setting.everyday.hours_a_year
    return everyday(setting.job.case, state, setting.posterior.weight, setting.allowed_s).hours_a_year


def share_wet(setting: Setting, state: State) -> float:
    """Share of the fitting situations in which the vent runs wet."""
    return float(np.sum(setting.posterior.weight * vent_runs_wet(state, setting.worst)))


def simulated(setting: Setting, state: State, vent_runs_wet: float | None = None, in_full: bool = False) -> Simulated:
    """Put a state through the worst case, the conditions of the failing runs and every stress.

    What fails the tests has no rank: its stresses are shown, not decided by, and a thinned ensemble is enough.

    Parameters
    ----------
    setting : Setting
        Case, situations and conditions.
    state : State
        The situations after the work.
    vent_runs_wet : float, optional
        Share in which the vent runs wet, where it is known; worked out where it is left out.
    in_full : bool
        Look at the stresses in every situation, whatever the tests show.
    """
    weight = setting.posterior.weight
    response = respond(state, setting.worst)
    tests = {"worst_case": response.spills_beyond(setting.allowed_s)} | {
        f"failing_run_{i}": test.spills(state) for i, test in enumerate(setting.own)
    }
    worst, *own = (float(np.sum(weight * spills)) for spills in tests.values())
    tested, limit = max(worst, *own, 0.0), limits()[0]
    # a borderline share may still pass after a closer look: its stresses are looked at in full
    open_ = near(tested, limit, setting.posterior.effective_samples)
    thinned = tested > limit and not open_ and not in_full and weight.size > STRESS_LOOK
    part = state.take(representative(weight, STRESS_LOOK)) if thinned else state
    each = np.full(STRESS_LOOK, 1.0 / STRESS_LOOK) if thinned else weight
    stresses = {name: question.spills(part) for name, question in setting.stresses.items()}
    shares = (float(np.sum(each * spills)) for spills in stresses.values())
    return Simulated(
        spillage=Spillage(worst, tuple(shares), tuple(own)),
        outcomes=tests if thinned else tests | stresses,
        response=response,
        vent_runs_wet=share_wet(setting, state) if vent_runs_wet is None else vent_runs_wet,
    )
