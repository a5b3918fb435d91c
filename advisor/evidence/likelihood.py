"""How well each situation explains the record: the likelihood of every observation, on the log scale.

An *observation* is one thing written down: what was seen at the hood in a run, the seconds to draft, the draft, the
zone pressure, or a sign at the heater. What was not written down costs nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from advisor import catalog, units
from advisor.case.model import Case, Run
from advisor.ensemble import conditions
from advisor.ensemble.respond import Response, respond, zone_pressure_pa
from advisor.ensemble.state import Array, Condition, State
from advisor.facts.spillage import allowed_seconds, limit_for
from advisor.physics.startup import SPILL_TOLERANCE

SEEN_WORDS = ("drafting", "spilling", "reversed")
"""What can be seen at a hood, in the order of the rows of `chances_of_seen`."""
NO_SIGN = "none seen"
WORST_METHOD = "hand"
"""What a run is taken to have been judged by when nobody wrote it down."""


def number(key: str) -> float:
    """Return a typical value of ``catalog/evidence.csv``."""
    return catalog.number("evidence", key)


@dataclass(frozen=True, slots=True)
class Predicted:
    """What every situation would show in a run.

    Parameters
    ----------
    ratio : array (n,) or None
        Flow up the vent over products when the hood was judged; None when nothing was judged.
    seconds : array (n,) or None
        Seconds to draft, infinite where it never drafts.
    draft_pa : array (n,) or None
        Draft behind the hood at the end of the firing.
    depressurization_pa, idle_pa : array (n,) or None
        Zone below outdoors in the run, and on the same day with everything off.
    """

    ratio: Array | None
    seconds: Array | None
    draft_pa: Array | None
    depressurization_pa: Array | None
    idle_pa: Array | None


@dataclass(frozen=True, slots=True)
class Observation:
    """One thing written down, held against every situation.

    Parameters
    ----------
    run : str
        Label of the run; empty for signs at the heater.
    kind : {"seen", "seconds", "draft", "pressure", "baseline", "signs"}
        What was observed.
    words : str
        Plain words, ready to print.
    log_likelihood : array (n,)
        Log of its chance (or density).
    misfit : array (n,)
        The same against a perfect agreement: 0 at best, negative where it does not fit.
    index : int
        Which run of the record; -1 for signs at the heater.
    """

    run: str
    kind: str
    words: str
    log_likelihood: Array
    misfit: Array
    index: int = -1


def judged_at_s(case: Case, run: Run) -> float:
    """Return when the hood was judged, s after the burner lit."""
    when = run.seconds_after_lit
    if when is None:
        when = limit_for(case, run.vent_cold_at_start).limit_s
    return max(when, 1.0)


def predict(case: Case, state: State, run: Run) -> Predicted:
    """Simulate a run, as far as its record asks for it, for every situation."""
    condition = conditions.of_run(case, state.devices, run)
    ratio = seconds = draft = below = idle = None
    if run.seen != "unclear" or run.seconds_to_draft is not None or run.draft_pa is not None:
        response: Response = respond(state, condition)
        ratio, seconds, draft = response.ratio_at(judged_at_s(case, run)), response.seconds_to_draft, response.draft_pa
    if run.zone_depressurization_pa is not None:
        below = -zone_pressure_pa(state, condition)
        if run.baseline_depressurization_pa is not None:
            idle = -zone_pressure_pa(state, conditions.idle_house(condition))
    return Predicted(ratio, seconds, draft, below, idle)


def observations(run: Run, predicted: Predicted) -> tuple[Observation, ...]:
    """Hold what a run's record says against what was predicted for every situation."""
    found = []
    if run.seen != "unclear" and predicted.ratio is not None:
        chances = chances_of_seen(run.method or WORST_METHOD, predicted.ratio)
        like = np.log(chances[SEEN_WORDS.index(run.seen)])
        perfect = float(np.log(1.0 - 1.5 * wrong_chance(run.method or WORST_METHOD)))
        words = {"drafting": "it drafted", "spilling": "it spilled", "reversed": "the vent ran backward"}[run.seen]
        found.append(Observation(run.label, "seen", words, like, np.minimum(like - perfect, 0.0)))
    if run.seconds_to_draft is not None and run.seen == "drafting" and predicted.seconds is not None:
        floor = number("seconds_floor_s")
        expected = np.log(np.clip(predicted.seconds, floor, 1200.0))
        like, misfit = _gauss(float(np.log(max(run.seconds_to_draft, floor))), expected, number("seconds_log_sd"))
        words = f"{run.seconds_to_draft:g} s to draft"
        found.append(Observation(run.label, "seconds", words, like, misfit))
    if run.draft_pa is not None and predicted.draft_pa is not None:
        like, misfit = _gauss(run.draft_pa, predicted.draft_pa, draft_deviation_pa(predicted.draft_pa))
        found.append(Observation(run.label, "draft", f"a draft of {run.draft_pa:g} Pa", like, misfit))
    found += _pressure(run, predicted)
    return tuple(found)


def _pressure(run: Run, predicted: Predicted) -> list[Observation]:
    expected, reading, baseline = predicted.depressurization_pa, run.zone_depressurization_pa, None
    if expected is None or reading is None:
        return []
    words = f"the zone {reading:g} Pa below outdoors"
    if predicted.idle_pa is None:
        like, misfit = _gauss(reading, expected, pressure_deviation_pa(run, expected))
        return [Observation(run.label, "pressure", words, like, misfit)]
    # two readings, two facts: what the fans add, and how far the house stands below outdoors by itself
    baseline, idle = float(run.baseline_depressurization_pa or 0.0), predicted.idle_pa
    fans = expected - idle
    like, misfit = _gauss(reading - baseline, fans, pressure_deviation_pa(run, fans))
    words = f"{reading - baseline:.1f} Pa of depressurization added to the baseline"
    still, still_misfit = _gauss(baseline, idle, pressure_deviation_pa(run, idle))
    return [
        Observation(run.label, "pressure", words, like, misfit),
        Observation(run.label, "baseline", f"a baseline of {baseline:g} Pa", still, still_misfit),
    ]


def wrong_chance(method: str) -> float:
    """Return the chance that the hood is misjudged by a method, or by the model."""
    return number(f"misread_{method}") + number("model_error")


def chances_of_seen(method: str, ratio: Array) -> Array:
    """Chance that each thing is seen, given the flow ratio of every situation.

    Parameters
    ----------
    method : {"hand", "smoke", "flame", "mirror", "instrument"}
        How the hood is judged.
    ratio : array (n,)
        Flow up the vent over products.

    Returns
    -------
    array (3, n)
        Chances of drafting, spilling, reversed; each column sums to 1.
    """
    wrong = wrong_chance(method)
    mixed = number("reversed_called_spilling")
    drafts, falls = ratio >= SPILL_TOLERANCE, ratio <= 0.0
    # rows: what is seen; columns: what the situation does. Spillage is seen more easily than told from reversal
    table = (
        (1.0 - wrong, wrong, 0.5 * wrong),
        (0.8 * wrong, 1.0 - 1.5 * wrong, mixed * (1.0 - 0.5 * wrong)),
        (0.2 * wrong, 0.5 * wrong, (1.0 - mixed) * (1.0 - 0.5 * wrong)),
    )
    return np.stack([np.where(drafts, row[0], np.where(falls, row[2], row[1])) for row in table])


def draft_deviation_pa(expected: Array) -> Array:
    """Standard deviation of a draft reading, Pa."""
    return np.asarray(np.hypot(number("draft_sd_pa"), number("draft_relative_sd") * np.abs(expected)))


def pressure_deviation_pa(run: Run, expected: Array) -> Array:
    """Standard deviation of a zone pressure of a run, Pa: gauge, wind, model, and a baseline that was not taken."""
    wind = (run.wind_mph or 0.0) * units.M_S_PER_MPH
    variance = number("pressure_sd_pa") ** 2 + (number("wind_pressure_sd_share") * 0.6 * wind * wind) ** 2
    if run.baseline_depressurization_pa is None:
        variance += number("pressure_no_baseline_sd_pa") ** 2
    return np.asarray(np.sqrt(variance + (number("pressure_relative_sd") * expected) ** 2))


def _gauss(observed: float, expected: Array, deviation: Array | float) -> tuple[Array, Array]:
    # a floor keeps one wild reading from silencing all the others
    z = (observed - expected) / deviation
    misfit = np.maximum(-0.5 * z * z, -0.5 * number("reading_floor_z") ** 2)
    return misfit - np.log(deviation), misfit


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
    total = np.zeros(state.samples)
    for one in observations(run, predict(case, state, run)):
        total = total + one.log_likelihood
    return total


def ordinary_use(case: Case, state: State) -> Condition:
    """Return ordinary use: one everyday device runs, doors as usual, nothing set for the worst."""
    flows = state.device_m3_s.mean(axis=1) if state.devices else np.zeros(0)
    usual = [i for i, d in enumerate(state.devices) if d.counts_in_worst_case]
    # the middle one by flow: neither the quiet bath fan alone nor the large hood decides what a year leaves behind
    usual.sort(key=lambda i: float(flows[i]))
    chosen = usual[len(usual) // 2] if usual else -1
    return replace(
        conditions.idle_house(conditions.worst_case(case, state)),
        name="ordinary use",
        devices_on=tuple(i == chosen for i in range(len(state.devices))),
        zone_door=case.zone.door_position,
        interior_doors_shut=False,
        air_handler="on" if case.air_handler.present else "off",
    )


def sign_ratio(case: Case) -> float:
    """Return how much likelier the signs at the heater are where it spills in ordinary use; 1 without any word."""
    signs = set(case.heater.signs)
    if not signs:
        return 1.0
    if signs == {NO_SIGN}:
        return number("sign_ratio_none_seen")
    ratio = 1.0
    for sign in signs - {NO_SIGN}:
        ratio *= number(f"sign_ratio_{sign.replace(' ', '_')}")
    # signs come together from one cause: they are no independent witnesses
    return min(ratio, number("sign_ratio_most"))


def sign_observation(case: Case, state: State) -> tuple[Observation, ...]:
    """Hold the signs at the heater against ordinary use: weak evidence that it spills there."""
    ratio = sign_ratio(case)
    if ratio == 1.0:
        return ()
    spills = respond(state, ordinary_use(case, state)).spills_beyond(allowed_seconds(case))
    like = spills * float(np.log(ratio))
    seen = [s for s in case.heater.signs if s != NO_SIGN]
    words = f"signs at the heater ({', '.join(seen)})" if seen else "no sign of earlier spillage at the heater"
    return (Observation("", "signs", words, like, like - max(0.0, float(np.log(ratio)))),)


def record_observations(case: Case, state: State, record: Sequence[Run]) -> tuple[Observation, ...]:
    """Return every observation of a record, signs at the heater first."""
    found = list(sign_observation(case, state))
    for index, run in enumerate(record):
        found += [replace(one, index=index) for one in observations(run, predict(case, state, run))]
    return tuple(found)


def stages(record: Sequence[Run]) -> tuple[Run | None, ...]:
    """Split a record into parts by rising cost: pressures, then what needs the heater fired, then signs (None)."""
    pressures = [
        run.model_copy(update={"seen": "unclear", "seconds_to_draft": None, "draft_pa": None})
        for run in record
        if run.zone_depressurization_pa is not None
    ]
    fired = [
        run.model_copy(update={"zone_depressurization_pa": None, "baseline_depressurization_pa": None})
        for run in record
        if run.seen != "unclear" or run.seconds_to_draft is not None or run.draft_pa is not None
    ]
    return (*pressures, *fired, None)


def highest(case: Case, stage: Run | None) -> float:
    """Return what the log likelihood of a stage cannot exceed."""
    if stage is None:
        return max(0.0, float(np.log(sign_ratio(case))))
    bound = 0.0
    if stage.zone_depressurization_pa is not None:
        readings = 1 if stage.baseline_depressurization_pa is None else 2
        bound -= readings * float(np.log(number("pressure_sd_pa")))
    if stage.seconds_to_draft is not None:
        bound += max(0.0, -float(np.log(number("seconds_log_sd"))))
    if stage.draft_pa is not None:
        bound += max(0.0, -float(np.log(number("draft_sd_pa"))))
    return bound


def record_likelihood_above(case: Case, state: State, record: Sequence[Run], start: Array, threshold: Array) -> Array:
    """Log likelihood of a record on top of a start, given up as soon as it can no longer exceed a threshold.

    Parameters
    ----------
    case : Case
        The case.
    state : State
        ``n`` situations.
    record : sequence of Run
        Runs.
    start, threshold : array (n,)
        What is there already, and what is to be exceeded.

    Returns
    -------
    array (n,)
        The sum where it exceeds the threshold; minus infinity or some value below it elsewhere.
    """
    total, parts = start.copy(), stages(record)
    left = sum(highest(case, stage) for stage in parts)
    for stage in parts:
        alive = np.flatnonzero(total + left > threshold)
        left -= highest(case, stage)
        given_up = np.ones(total.size, dtype=bool)
        given_up[alive] = False
        total[given_up] = -np.inf
        if not alive.size:
            break
        some = state.take(alive)
        seen = sign_observation(case, some) if stage is None else observations(stage, predict(case, some, stage))
        for one in seen:
            total[alive] += one.log_likelihood
    return total
