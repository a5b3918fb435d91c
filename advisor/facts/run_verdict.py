"""What one run of an appliance shows by itself, by the published lines and the procedure, condition by condition."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from advisor.case.model import Case, Run
from advisor.codes.limits import SpillageLine
from advisor.facts.judged import runs_of
from advisor.facts.run_conditions import FAILS, Held, held_against
from advisor.facts.spillage import limit_for

Outcome = Literal["failure", "pass", "unproven", "early spillage", "covered for the test", "unclear"]
StageState = Literal["not confirmed", "failed", "unproven", "passed", "confirmed"]
VOIDS = ("wind", "readings_agree")
"""Conditions without which a run is void: it is repeated on a calm day."""


@dataclass(frozen=True, slots=True)
class RunVerdict:
    """What one run shows.

    Parameters
    ----------
    index : int
        Position in the record.
    label : str
        The run's label.
    after_work : str or None
        Option that was carried out before it.
    outcome : Outcome
        ``failure``: spillage or reversal at or after the allowed time; ``pass``: a valid worst-case pass; ``unproven``: it
        drafted, but the run proves no pass; ``early spillage``: spillage seen before the allowed time was over.
    limit : SpillageLine
        Published line that judged it, with its time in s.
    conditions : tuple of Held
        The procedure, condition by condition.
    """

    index: int
    label: str
    after_work: str | None
    outcome: Outcome
    limit: SpillageLine
    conditions: tuple[Held, ...]

    @property
    def spoiling(self) -> tuple[Held, ...]:
        """Conditions for which the run cannot prove a pass."""
        return tuple(h for h in self.conditions if h.spoils_pass)

    @property
    def eased(self) -> tuple[Held, ...]:
        """Conditions that were not met and made the draft easier."""
        return tuple(h for h in self.conditions if h.state == "not met" and h.errs == "easier")

    @property
    def void(self) -> bool:
        """True where wind or readings that contradict each other make what the run shows worthless as a pass."""
        return any(h.id in VOIDS and h.state == "not met" for h in self.conditions)

    @property
    def hardened(self) -> tuple[Held, ...]:
        """Conditions that were not met and made the draft harder."""
        return tuple(h for h in self.conditions if h.state == "not met" and h.errs == "harder")


def judged_runs(case: Case, judged: str | None = None) -> tuple[RunVerdict, ...]:
    """Return what each run of an appliance shows, in the order of the record; the heater's where none is named."""
    return tuple(judge_run(case, i, judged) for i in range(len(runs_of(case, judged))))


def stage_state(outcomes: Sequence[Outcome], after_work: bool) -> StageState:
    """Return what the runs of one stage show together: before any work, or after one.

    Parameters
    ----------
    outcomes : sequence of Outcome
        Of the runs in the present state of the house.
    after_work : bool
        Were they made after work?
    """
    failed = "failure" in outcomes
    passed = "pass" in outcomes and not failed
    if after_work:
        return "confirmed" if passed else "not confirmed"
    return "failed" if failed else "passed" if passed else "unproven"


def _fails(run: Run, limit: SpillageLine) -> bool:
    """Return whether a run shows spillage at or after the allowed time; a time that nobody wrote down counts as after."""
    if run.seen in FAILS:
        return run.seconds_after_lit is None or run.seconds_after_lit >= limit.limit_s
    # it drafted in the end, but gas came out for longer than is allowed
    return run.seen == "drafting" and run.seconds_to_draft is not None and run.seconds_to_draft > limit.limit_s


def judge_run(case: Case, index: int, judged: str | None = None) -> RunVerdict:
    """Return what one run shows by itself.

    Parameters
    ----------
    case : Case
        What was found, with the runs of every appliance.
    index : int
        Position among the runs that judged this appliance.
    judged : str, optional
        Name of the appliance; the heater where it is left out.
    """
    run = runs_of(case, judged)[index]
    limit = limit_for(case, run.vent_cold_at_start)
    conditions = held_against(case, run)
    outcome: Outcome
    if run.seen == "unclear":
        outcome = "unclear"
    elif run.seen in FAILS and not _fails(run, limit):
        outcome = "early spillage"
    elif _fails(run, limit):
        outcome = "covered for the test" if run.intake == "covered" and run.after_work is None else "failure"
    else:
        outcome = "unproven" if any(h.spoils_pass for h in conditions) else "pass"
    return RunVerdict(index, run.label, run.after_work, outcome, limit, conditions)
