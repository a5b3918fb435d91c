"""Which situation is drawn: the record says what the vent does, the situation only how the air may move while it does.

Where spillage is on record, a situation that spills under the own condition of the failing run is taken, near the zone
pressure that was read in it. Where the record proves nothing, or the model has no such situation, the vent is unknown.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from advisor.ensemble import conditions
from advisor.ensemble.question import Question
from advisor.ensemble.respond import Response, respond
from advisor.ensemble.state import Array, State
from advisor.ensemble.weighted import quantiles
from advisor.facts.leakage import cfm50
from advisor.facts.record import RunVerdict, Verdict
from advisor.ranking.follow_up import alter_of
from advisor.ranking.setting import Setting

Shows = Literal["spills", "drafts", "unknown"]
SPREAD = (0.25, 0.5, 0.75)
"""Quantiles that centre and scale the search for the middle situation; numerical."""
LEAST_WEIGHT = 0.1
"""Weight, against the mean, from which a situation counts as one that fits the record; numerical."""
AS_NEAR_PA = 0.25
"""Situations whose zone pressure is this much farther from the reading than the nearest one's are as good; numerical."""


@dataclass(frozen=True)
class Drawn:
    """The situation that is drawn.

    Parameters
    ----------
    seen : Shows
        What the record says of the vent in the present state of the house.
    shows : Shows
        What can be drawn of it: ``unknown`` where no fitting situation does what was seen, or the model does not explain it.
    question : Question
        Condition and allowed time: those of the run that decides, else the worst case.
    state : State
        The situations in the present state of the house.
    position : int
        Which of them.
    read_zone_pa : float or None
        Zone below outdoors as read in that run.
    """

    seen: Shows
    shows: Shows
    question: Question
    state: State
    position: int
    read_zone_pa: float | None


def seen_of(verdict: Verdict) -> Shows:
    """Return what the record says of the vent now: a danger leaves no pass standing."""
    if verdict.stands in ("failed", "not confirmed") and any(r.outcome == "failure" for r in verdict.present):
        return "spills"
    # that a heater may not stand there takes nothing from what the test showed of its vent
    return "drafts" if verdict.all_clear or verdict.leads == "not allowed here" else "unknown"


def drawn_situation(setting: Setting) -> Drawn:
    """Return the situation that stands for the fitting ones in a drawing of the house as it is now."""
    seen = seen_of(setting.verdict)
    state, weight = _present(setting), setting.posterior.weight
    run = _deciding(setting, seen)
    asked = setting.question if run is None else _own(setting, run, state)
    read = None if run is None else setting.job.case.run[run.index].zone_depressurization_pa
    response = respond(state, asked.condition)
    fits = weight > LEAST_WEIGHT * weight.mean()
    wanted = fits & _does(seen, response, asked.allowed_s) if setting.explained else np.zeros_like(fits)
    if run is not None and setting.job.case.run[run.index].seen == "reversed":  # seen to come down: it is drawn so
        wanted = wanted & (response.ratio_at(asked.allowed_s) <= 0.0)
    shows: Shows = seen if wanted.any() else "unknown"
    position = _nearest(setting, state, asked, response, wanted if wanted.any() else fits, read)
    return Drawn(seen, shows, asked, state, position, read)


def _present(setting: Setting) -> State:
    """Return the situations after the works on record."""
    state = setting.posterior.state
    for done in dict.fromkeys(run.after_work for run in setting.job.case.run if run.after_work is not None):
        alter = alter_of(setting, done)
        state = state if alter is None else alter(state)
    return state


def _deciding(setting: Setting, seen: Shows) -> RunVerdict | None:
    """Return the run whose condition is drawn: one that shows what was seen, with a zone pressure if any has one."""
    case, runs = setting.job.case, setting.verdict.present
    outcome = {"spills": "failure", "drafts": "pass"}.get(seen)
    runs = tuple(r for r in runs if outcome is None or r.outcome == outcome)
    read = [r for r in runs if case.run[r.index].zone_depressurization_pa is not None]
    if outcome is None:  # nothing is proven: the run with the lowest zone, else the worst case
        return max(read, key=lambda r: case.run[r.index].zone_depressurization_pa or 0.0, default=None)
    return next(iter((*read, *runs)), None)


def _own(setting: Setting, run: RunVerdict, state: State) -> Question:
    condition = conditions.of_run(setting.job.case, state.devices, setting.job.case.run[run.index])
    return Question(replace(condition, name="drawn run"), run.limit.limit_s)


def _does(seen: Shows, response: Response, allowed_s: float) -> Array:
    late, ratio = response.spills_beyond(allowed_s) > 0.5, response.ratio_at(allowed_s)
    if seen == "spills":
        return np.asarray(late & (ratio < 1.0))
    return np.asarray(~late & (ratio >= 1.0)) if seen == "drafts" else np.zeros_like(late)


def _nearest(
    setting: Setting, state: State, asked: Question, response: Response, wanted: Array, read: float | None
) -> int:
    """Return the middle of the wanted situations; of those nearest the zone pressure where it was read."""
    zone, weight = response.zone_depressurization_pa, setting.posterior.weight
    if read is not None:
        gap = np.where(wanted, np.abs(zone - read), np.inf)
        wanted = wanted & (gap <= gap.min() + AS_NEAR_PA)
    on = np.array(asked.condition.devices_on, dtype=np.float64)
    exhaust = on @ state.house.device_m3_s if on.size else np.zeros(state.samples)
    leak = cfm50(setting.job.case, state.house.leak_m3_s, state.zone.leak_m3_s, state.house.exponent)
    columns = (zone, response.ratio_at(asked.allowed_s), exhaust, leak)
    distance = np.where(wanted, 0.0, np.inf)
    inside = weight[wanted]
    for values in columns:
        low, middle, high = quantiles(values[wanted], inside, SPREAD, float(inside.sum()))
        distance = distance + np.abs(values - middle) / max(high - low, 1e-9)
    return int(np.argmin(distance))
