"""The verdict of the record, from what was seen and read and from published rules alone; nothing is simulated here.

A failure stands until a valid worst-case pass after work. A pass is one only where every condition that could ease the
draft was met and written down. Every output, the gate, the drawing and the next test read this verdict.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from advisor.case.model import Case, Run
from advisor.case.upgrade import HEATER
from advisor.facts.appliances import ApplianceRecord, Stage, last_work, may_be_on_the_vent, records_of, stage_of
from advisor.facts.carbon_monoxide import highest_room_co_ppm, room_level
from advisor.facts.judged import runs_of
from advisor.facts.place import barred_by_place
from advisor.facts.run_verdict import VOIDS, Outcome, RunVerdict, judge_run
from advisor.facts.sharing import name_of

__all__ = ["VOIDS", "Danger", "Outcome", "RunVerdict", "State", "Verdict", "judge_run", "verdict_of"]

State = Literal[
    "danger now", "not allowed here", "not confirmed", "failed", "vent failed", "unproven", "passed", "confirmed"
]
Danger = Literal["symptoms", "alarm", "co_evacuate", "co_act"]


@dataclass(frozen=True, slots=True)
class Verdict:
    """The verdict of the record.

    Parameters
    ----------
    states : tuple of State
        All that hold of the heater, the leading one first; ``vent failed``: another appliance on its vent was seen to
        spill.
    dangers : tuple of Danger
        Why there is danger now, most urgent first.
    runs : tuple of RunVerdict
        Of the heater, in the order of the record.
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
    others : tuple of ApplianceRecord
        What the record says of every other appliance.
    stop : tuple of str
        Names of the appliances that are not to be used, ``heater`` for the heater: every one of a vent on which one was
        seen to spill.
    vent_failed_by : tuple of str
        Names of the other appliances on the heater's vent that were seen to spill.
    """

    states: tuple[State, ...]
    dangers: tuple[Danger, ...]
    runs: tuple[RunVerdict, ...]
    room_co_ppm: float | None
    room_co_level: str | None
    flue_co_over: bool
    after_work: str | None
    holds_f: float | None
    others: tuple[ApplianceRecord, ...] = ()
    stop: tuple[str, ...] = ()
    vent_failed_by: tuple[str, ...] = ()

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
    def seen_to_spill(self) -> bool:
        """True when the heater or another appliance on its vent was seen to spill before any work."""
        return self.failed or "vent failed" in self.states

    @property
    def all_clear(self) -> bool:
        """True when nothing on record speaks against using the heater."""
        return self.leads in ("passed", "confirmed")

    @property
    def house_clear(self) -> bool:
        """True when nothing on record speaks against using the heater, nor any other appliance of the house."""
        return self.all_clear and not self.stop


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


def _known_co_ppm(case: Case) -> float | None:
    """Return the highest CO in the room that is known now, ppm.

    What was read before the last work stays what is known until somebody reads it again while that appliance burns.
    """
    work, names = last_work(case.run), dict.fromkeys(name_of(run.appliance) for run in case.run)
    found: list[float] = []
    for name in names:
        burning = [run for run in case.run if name == name_of(run.appliance) or name in (run.firing or ())]
        read = highest_room_co_ppm([run for run in burning if run.after_work == work])
        known = read if read is not None else highest_room_co_ppm(burning)
        found += [] if known is None else [known]
    return max(found, default=None)


def _states(case: Case, heater: Stage, others: tuple[ApplianceRecord, ...], level: str | None) -> tuple[State, ...]:
    """Return what holds of the heater: its own runs, and never a pass while its vent failed or CO was read."""
    state: State = heater.state
    vent = bool(_failing_with(case, heater, others))
    doubt = level is not None or bool(_may_fail_with(case, heater, others))
    if state in ("passed", "confirmed") and doubt:
        state = "not confirmed" if heater.after_work is not None else "unproven"
    if not vent or heater.after_work is not None or state == "failed":
        return (state,)
    # a pass of the heater alone says nothing once the vent failed; a test that is still missing is still missing
    return ("vent failed",) if heater.state == "passed" and level is None else ("vent failed", "unproven")


def _left_the_vent(case: Case, heater: Stage) -> bool:
    """Return whether the heater was replaced by one without a draft hood: it no longer uses the vent."""
    own = runs_of(case, None)
    return any(own[r.index].seen == "no hood" for r in heater.now)


def _may_fail_with(case: Case, heater: Stage, others: tuple[ApplianceRecord, ...]) -> tuple[ApplianceRecord, ...]:
    """Return what was seen to spill on the heater's vent, or on one that may be the heater's."""
    if _left_the_vent(case, heater):
        return ()
    return tuple(one for one in others if one.spilled and may_be_on_the_vent(case, one))


def _failing_with(case: Case, heater: Stage, others: tuple[ApplianceRecord, ...]) -> tuple[str, ...]:
    """Return the names of what was seen to spill on the heater's vent."""
    return tuple(one.name for one in _may_fail_with(case, heater, others) if one.vent == "with the heater")


def _stopped(case: Case, heater: Stage, others: tuple[ApplianceRecord, ...]) -> tuple[str, ...]:
    """Return what is not to be used: each appliance of a failed vent."""
    failed = [one for one in others if one.spilled]
    with_heater = [one.name for one in others if one.vent == "with the heater"]
    if heater.spilled or _may_fail_with(case, heater, others):
        names = [HEATER, *with_heater]
    else:
        names = [HEATER] if heater.state == "not confirmed" else []
        names += with_heater if any(one.name in with_heater for one in failed) else []
    return (*names, *(one.name for one in failed if one.name not in names))


def verdict_of(case: Case) -> Verdict:
    """Return the verdict of a case's record.

    Parameters
    ----------
    case : Case
        What was found, with the runs of every appliance.

    Returns
    -------
    Verdict
    """
    heater, others = stage_of(case, None), records_of(case)
    ppm = _known_co_ppm(case)
    level = room_level(ppm)
    dangers = _dangers(case, level)
    states = _states(case, heater, others, level)
    if states[0] in ("passed", "confirmed") and barred_by_place(case, heater.after_work):
        # a test shows that it drafts, never that it may stand there
        states = ("not allowed here", *states)
    return Verdict(
        ("danger now", *states) if dangers else states,
        dangers,
        heater.runs,
        ppm,
        level,
        heater.flue_co_over,
        heater.after_work,
        _holds_f(case, heater) if states[-1] in ("passed", "confirmed") else None,
        others,
        _stopped(case, heater, others),
        _failing_with(case, heater, others),
    )


def _holds_f(case: Case, heater: Stage) -> float | None:
    """Return the mildest day of a valid pass, F."""
    own: list[Run] = runs_of(case, None)
    temps = [own[r.index].outdoor_temp_f for r in heater.now if r.outcome == "pass"]
    return max((t for t in temps if t is not None), default=None)
