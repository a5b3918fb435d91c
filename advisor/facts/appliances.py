"""The record of every other appliance, judged by the same published lines as the heater; nothing is simulated here.

A vent is one: where one appliance on it was seen to spill, none of it is used until that is corrected and retested.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from advisor.case.model import Case, Run, listed
from advisor.case.parts import Appliance
from advisor.facts import burners
from advisor.facts.audit import Audit, audits_of
from advisor.facts.carbon_monoxide import flue_co_air_free_ppm
from advisor.facts.judged import runs_of
from advisor.facts.run_verdict import RunVerdict, StageState, judged_runs, stage_state

ApplianceState = Literal[StageState, "not tested", "no draft to judge"]
VentPlace = Literal["with the heater", "own", "none"]
TESTED_KINDS = ("water heater", "furnace", "boiler", "room heater")
"""Kinds that the spillage lines are printed for: one of them that nobody judged is asked for."""


@dataclass(frozen=True, slots=True)
class Stage:
    """What the runs of one appliance show in the present state of the house.

    Parameters
    ----------
    runs : tuple of RunVerdict
        All of them, in the order of the record.
    now : tuple of RunVerdict
        Those that speak of the present.
    state : StageState
        What they show together.
    after_work : str or None
        Work that its last retest followed; None before any.
    stale : bool
        True where the house was worked on since, and nobody judged this appliance again.
    """

    runs: tuple[RunVerdict, ...]
    now: tuple[RunVerdict, ...]
    state: StageState
    after_work: str | None
    stale: bool

    @property
    def spilled(self) -> bool:
        """True where a failure is on record that no valid pass after work has lifted."""
        return self.state in ("failed", "not confirmed") and any(r.outcome == "failure" for r in self.runs)

    @property
    def flue_co_over(self) -> bool:
        """True where CO in its flue was over the limit of its kind."""
        return any(h.id == "flue_co" and h.state == "not met" for r in self.now for h in r.conditions)


STALE: dict[StageState, StageState] = {"passed": "unproven", "confirmed": "not confirmed"}
"""What a pass is worth once the house was worked on and nobody judged the appliance again."""


def last_work(runs: list[Run]) -> str | None:
    """Return the last work that a run names; None before any."""
    return next((r.after_work for r in reversed(runs) if r.after_work is not None), None)


def stage_of(case: Case, judged: str | None) -> Stage:
    """Return what the runs of an appliance show now: since its last work, or all where none was done.

    Parameters
    ----------
    case : Case
        With the runs of every appliance.
    judged : str or None
        Its name; None for the heater. It must have been judged at least once.
    """
    runs, own = judged_runs(case, judged), runs_of(case, judged)
    work = last_work(own)
    # a run written down behind the last retest without naming work is of the present, too: a failure there counts
    last = max((r.index for r in runs if r.after_work == work), default=-1)
    now = tuple(r for r in runs if r.after_work == work or (r.index > last and r.outcome == "failure"))
    state = stage_state([r.outcome for r in now], work is not None)
    of_house = last_work(case.run)
    stale = of_house is not None and of_house not in {r.after_work for r in own}
    return Stage(runs, now, STALE.get(state, state) if stale else state, work, stale)


@dataclass(frozen=True, slots=True)
class ApplianceRecord:
    """What the record says of one other appliance.

    Parameters
    ----------
    name, kind : str
        As written down.
    input_btu_h : float or None
        From its plate; None where nobody read it.
    vent : str or None
        ``with the heater``, ``own``, ``none``; None where nobody wrote it down.
    state : ApplianceState
        ``not tested``: nobody judged it; ``no draft to judge``: it has no draft hood whose draft could fail.
    spilled : bool
        True where a failure is on record that no valid pass after work has lifted.
    stale : bool
        True where the house was worked on since it was judged.
    flue_co_over : bool
        Was CO in its flue over the limit of its kind?
    flue_co_air_free_ppm : float or None
        Highest air-free CO that was read in its flue, ppm; None where nobody read it together with O2.
    after_work : str or None
        Work that its last retest followed.
    runs : tuple of RunVerdict
        Its runs.
    audits : tuple of Audit
        One for each of them.
    """

    name: str
    kind: str
    input_btu_h: float | None
    vent: VentPlace | None
    state: ApplianceState
    spilled: bool
    stale: bool
    flue_co_over: bool
    flue_co_air_free_ppm: float | None
    after_work: str | None
    runs: tuple[RunVerdict, ...]
    audits: tuple[Audit, ...]

    @property
    def asked_for(self) -> bool:
        """True where a worst-case test of it is still to be made."""
        open_ = self.state in ("not tested", "unproven") or (self.state == "not confirmed" and not self.spilled)
        return open_ and self.kind in TESTED_KINDS


def without_draft(one: Appliance) -> bool:
    """Return whether an appliance has no draft that could fail: no vent, a fan or a sealed vent, or it stands outdoors."""
    by_kind = one.kind in burners.WITHOUT_DRAFT or one.vent == "none"
    return by_kind or one.draft in ("sealed", "power-vented") or one.place == "outdoors"


def _record_of(case: Case, one: Appliance) -> ApplianceRecord:
    own = runs_of(case, one.name)
    if not own:
        state: ApplianceState = "no draft to judge" if without_draft(one) else "not tested"
        return ApplianceRecord(
            one.name, one.kind, one.input_btu_h, one.vent, state, False, False, False, None, None, (), ()
        )
    found = stage_of(case, one.name)
    return ApplianceRecord(
        name=one.name,
        kind=one.kind,
        input_btu_h=one.input_btu_h,
        vent=one.vent,
        state=found.state,
        spilled=found.spilled,
        stale=found.stale,
        flue_co_over=found.flue_co_over,
        flue_co_air_free_ppm=flue_co_air_free_ppm(own),
        after_work=found.after_work,
        runs=found.runs,
        audits=audits_of(own, found.runs),
    )


def records_of(case: Case) -> tuple[ApplianceRecord, ...]:
    """Return the record of every other appliance of the house, in the order of the case.

    Parameters
    ----------
    case : Case
        With the runs of every appliance.
    """
    return tuple(_record_of(case, one) for one in listed(case.appliance))


def may_be_on_the_vent(case: Case, one: ApplianceRecord) -> bool:
    """Return whether an appliance uses the heater's vent, or may: where nobody wrote down which vent it uses."""
    return one.vent == "with the heater" or (one.vent is None and case.vent.shared is not False)
