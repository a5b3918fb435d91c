"""The verdict of the record, from what was seen and read and from published rules alone; nothing is simulated here.

A failure stands until a valid worst-case pass after work. A pass is one only where every condition that could ease the
draft was met and written down. Every output, the gate, the drawing and the next test read this verdict.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from advisor.case.model import Case, Run
from advisor.codes.limits import SpillageLine
from advisor.facts.carbon_monoxide import highest_room_co_ppm, room_level
from advisor.facts.place import barred_by_place
from advisor.facts.run_conditions import FAILS, Held, held_against
from advisor.facts.spillage import limit_for

State = Literal["danger now", "not allowed here", "not confirmed", "failed", "unproven", "passed", "confirmed"]
Outcome = Literal["failure", "pass", "unproven", "early spillage", "covered for the test", "unclear"]
Danger = Literal["symptoms", "alarm", "co_evacuate", "co_act"]
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


@dataclass(frozen=True, slots=True)
class Verdict:
    """The verdict of the record.

    Parameters
    ----------
    states : tuple of State
        All that hold, the leading one first.
    dangers : tuple of Danger
        Why there is danger now, most urgent first.
    runs : tuple of RunVerdict
        In the order of the record.
    room_co_ppm : float or None
        Highest CO read in the room in the present state of the house.
    room_co_level : str or None
        Row of ``catalog/codes/co_limits.csv`` that it reaches.
    flue_co_over : bool
        Was CO in the flue over the limit in the present state of the house?
    after_work : str or None
        Work that the last retest followed; None before any work.
    holds_f : float or None
        Outdoor temperature of the valid pass, F: it proves nothing for milder days.
    """

    states: tuple[State, ...]
    dangers: tuple[Danger, ...]
    runs: tuple[RunVerdict, ...]
    room_co_ppm: float | None
    room_co_level: str | None
    flue_co_over: bool
    after_work: str | None
    holds_f: float | None

    @property
    def leads(self) -> State:
        """The one state that leads every output."""
        return self.states[0]

    @property
    def stands(self) -> State:
        """What the runs show, danger apart."""
        return self.states[-1]

    @property
    def present(self) -> tuple[RunVerdict, ...]:
        """Runs made in the present state of the house: since the last work, or all where none was done."""
        return tuple(r for r in self.runs if r.after_work == self.after_work)

    @property
    def failing(self) -> tuple[RunVerdict, ...]:
        """Failures seen before any work."""
        return tuple(r for r in self.runs if r.outcome == "failure" and r.after_work is None)

    @property
    def failed(self) -> bool:
        """True when a failure before any work is on record: it stands until a valid pass after work."""
        return bool(self.failing)

    @property
    def may_leave(self) -> bool:
        """True when the record allows to leave the heater as it is: a valid pass, nothing against it."""
        return self.leads == "passed"

    @property
    def all_clear(self) -> bool:
        """True when nothing on record speaks against using the heater."""
        return self.leads in ("passed", "confirmed")


def _fails(run: Run, limit: SpillageLine) -> bool:
    """Return whether a run shows spillage at or after the allowed time; a time that nobody wrote down counts as after."""
    if run.seen in FAILS:
        return run.seconds_after_lit is None or run.seconds_after_lit >= limit.limit_s
    # it drafted in the end, but gas came out for longer than is allowed
    return run.seen == "drafting" and run.seconds_to_draft is not None and run.seconds_to_draft > limit.limit_s


def judge_run(case: Case, index: int) -> RunVerdict:
    """Return what one run of a case shows by itself."""
    run = case.run[index]
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


def _dangers(case: Case, level: str | None) -> tuple[Danger, ...]:
    found: list[Danger] = []
    if case.occupants.symptoms == "now":
        found.append("symptoms")
    if case.occupants.alarm_sounded == "now":
        found.append("alarm")
    if level == "amb_evacuate":
        found.append("co_evacuate")
    if level == "amb_act":
        found.append("co_act")
    return tuple(found)


def _present(case: Case) -> tuple[str | None, list[Run]]:
    """Return the last work on record and the runs made since: what was read before it is history only once it is read anew."""
    work = next((r.after_work for r in reversed(case.run) if r.after_work is not None), None)
    return work, [r for r in case.run if r.after_work == work]


def _stage_state(outcomes: list[Outcome], after_work: bool) -> State:
    failed = "failure" in outcomes
    passed = "pass" in outcomes and not failed
    if after_work:
        return "confirmed" if passed else "not confirmed"
    return "failed" if failed else "passed" if passed else "unproven"


def verdict_of(case: Case) -> Verdict:
    """Return the verdict of a case's record.

    Parameters
    ----------
    case : Case
        What was found.

    Returns
    -------
    Verdict
    """
    runs = tuple(judge_run(case, i) for i in range(len(case.run)))
    work, present = _present(case)
    read = highest_room_co_ppm(present)
    # CO that was read before the work stays what is known until somebody reads it again
    ppm = read if read is not None else highest_room_co_ppm(case.run)
    level = room_level(ppm)
    dangers = _dangers(case, level)
    # a run written down behind the last retest without naming work is of the present, too: a failure there counts
    last = max((r.index for r in runs if r.after_work == work), default=-1)
    now = [r for r in runs if r.after_work == work or (r.index > last and r.outcome == "failure")]
    flue = any(h.id == "flue_co" and h.state == "not met" for r in now for h in r.conditions)
    state = _stage_state([r.outcome for r in now], work is not None)
    if state in ("passed", "confirmed") and level is not None:
        state = "not confirmed" if work is not None else "unproven"
    states: list[State] = [state]
    if state in ("passed", "confirmed") and barred_by_place(case, work):
        # a test shows that it drafts, never that it may stand there
        states.insert(0, "not allowed here")
    if dangers:
        states.insert(0, "danger now")
    passed = [case.run[r.index].outdoor_temp_f for r in now if r.outcome == "pass"]
    temps = [t for t in passed if t is not None]
    return Verdict(
        tuple(states),
        dangers,
        runs,
        ppm,
        level,
        flue,
        work,
        max(temps) if state in ("passed", "confirmed") and temps else None,
    )
