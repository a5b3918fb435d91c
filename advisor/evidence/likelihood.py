"""How well each situation explains the record: the likelihood of every run, on the log scale."""

from __future__ import annotations

import numpy as np

from advisor import catalog, units
from advisor.case.model import Case, Run
from advisor.ensemble import conditions
from advisor.ensemble.respond import Response, respond, zone_pressure_pa
from advisor.ensemble.state import Array, State
from advisor.physics.startup import SPILL_TOLERANCE


def number(key: str) -> float:
    """Return a typical value of ``catalog/evidence.csv``."""
    return catalog.number("evidence", key)


def allowed_seconds(case: Case) -> float:
    """Return the allowed spillage time of the scheme that the case names, s."""
    for row in catalog.table("spillage_time"):
        if row["key"] == case.settings.spillage_scheme:
            return float(row["value"])
    raise KeyError(case.settings.spillage_scheme)


def log_likelihood(case: Case, state: State, run: Run) -> Array:
    """Log of the chance of what was seen in a run, for every situation.

    Parameters
    ----------
    case : Case
        The record's case.
    state : State
        ``n`` situations (as they were at the time of that run).
    run : Run
        What was done and seen; what was not observed costs nothing.

    Returns
    -------
    array (n,)
    """
    condition = conditions.of_run(case, state.devices, run)
    total = np.zeros(state.samples)
    needs_fire = run.seen != "unclear" or run.seconds_to_draft is not None or run.draft_pa is not None
    if needs_fire:
        response = respond(state, condition)
        total = total + _seen(case, run, response) + _seconds(run, response) + _draft(run, response)
    if run.zone_depressurization_pa is not None:
        total = total + _pressure(case, state, run)
    return total


def _seen(case: Case, run: Run, response: Response) -> Array:
    if run.seen == "unclear":
        return np.zeros_like(response.seconds_to_draft)
    when = run.seconds_after_lit if run.seconds_after_lit is not None else allowed_seconds(case)
    ratio = response.ratio_at(max(when, 1.0))
    wrong = number(f"misread_{run.method}") + number("model_error")
    mixed = number("reversed_called_spilling")
    drafts, falls = ratio >= SPILL_TOLERANCE, ratio <= 0.0
    # rows: what the situation does; the observer sees spillage more easily than he tells reversal from it
    chance = {
        "drafting": (1.0 - wrong, wrong, 0.5 * wrong),
        "spilling": (0.8 * wrong, 1.0 - 1.5 * wrong, mixed * (1.0 - 0.5 * wrong)),
        "reversed": (0.2 * wrong, 0.5 * wrong, (1.0 - mixed) * (1.0 - 0.5 * wrong)),
    }[run.seen]
    return np.log(np.where(drafts, chance[0], np.where(falls, chance[2], chance[1])))


def _gauss(observed: float, expected: Array, deviation: Array | float) -> Array:
    # a floor keeps one wild reading from silencing all the others
    z = (observed - expected) / deviation
    return np.maximum(-0.5 * z * z - np.log(deviation), -0.5 * 16.0 - np.log(deviation))


def _seconds(run: Run, response: Response) -> Array:
    if run.seconds_to_draft is None or run.seen != "drafting":
        return np.zeros_like(response.seconds_to_draft)
    floor = number("seconds_floor_s")
    expected = np.log(np.clip(response.seconds_to_draft, floor, 1200.0))
    return _gauss(float(np.log(max(run.seconds_to_draft, floor))), expected, number("seconds_log_sd"))


def _draft(run: Run, response: Response) -> Array:
    if run.draft_pa is None:
        return np.zeros_like(response.seconds_to_draft)
    deviation = np.hypot(number("draft_sd_pa"), number("draft_relative_sd") * np.abs(response.draft_pa))
    return _gauss(run.draft_pa, response.draft_pa, deviation)


def _pressure(case: Case, state: State, run: Run) -> Array:
    condition = conditions.of_run(case, state.devices, run)
    reading = float(run.zone_depressurization_pa or 0.0)
    expected = -zone_pressure_pa(state, condition)
    wind = (run.wind_mph or 0.0) * units.M_S_PER_MPH
    deviation = number("pressure_sd_pa") ** 2 + (number("wind_pressure_sd_share") * 0.6 * wind * wind) ** 2
    if run.baseline_depressurization_pa is None:
        deviation += number("pressure_no_baseline_sd_pa") ** 2
        return _gauss(reading, expected, _with_relative(deviation, expected))
    # two readings, two facts: what the fans add, and how far the house stands below outdoors by itself
    idle = -zone_pressure_pa(state, conditions.idle_house(condition))
    fans = expected - idle
    baseline = run.baseline_depressurization_pa
    return _gauss(reading - baseline, fans, _with_relative(deviation, fans)) + _gauss(
        baseline, idle, _with_relative(deviation, idle)
    )


def _with_relative(variance: float, expected: Array) -> Array:
    return np.asarray(np.sqrt(variance + (number("pressure_relative_sd") * expected) ** 2))
