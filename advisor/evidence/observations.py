"""What was written down, held against every situation: each observation of one run, on the log scale.

An *observation* is one thing written down: what was seen at the hood in a run, the seconds to draft, the draft, the
zone pressure, or a sign at the heater. What was not written down costs nothing.

A failure seen is *binding*: a situation that does not show it gets a floor, once for the whole record, however often it
was seen. What drafted may have been misread: a tester who misses spillage misses it in all his runs, and where the model
errs it errs in all of them, so each of these errors is one property of the situation (``State.tester_luck``,
``State.model_luck``).
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import Literal

import numpy as np

from advisor import catalog, units
from advisor.case.model import Case, Run
from advisor.ensemble import conditions
from advisor.ensemble.respond import Response, respond, zone_pressure_pa
from advisor.ensemble.state import Array, Flags, Index, State
from advisor.facts.record import Outcome, judge_run
from advisor.facts.run_conditions import FAILS
from advisor.facts.spillage import limit_for
from advisor.findings import Finding, Words, finding, quantity
from advisor.physics.startup import SPILL_TOLERANCE

JUDGED = ("drafting", "spilling", "reversed")
"""What can be seen at a hood that could be judged."""
LONGEST_S = 1200.0
"""What a vent that never drafts counts as beside seconds that were read; numerical, beyond any firing."""
WORST_METHOD = "hand"
"""What a run is taken to have been judged by when nobody wrote it down."""


def number(key: str) -> float:
    """Return a typical value of ``catalog/evidence/evidence.csv``."""
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
    tester_luck, model_luck : array (n,)
        Uniform numbers of the situation: below the chance of an error it is there, in all runs.
    """

    ratio: Array | None
    seconds: Array | None
    draft_pa: Array | None
    depressurization_pa: Array | None
    idle_pa: Array | None
    tester_luck: Array
    model_luck: Array


@dataclass(frozen=True, slots=True)
class Observation:
    """One thing written down, held against every situation.

    Parameters
    ----------
    run : str
        Label of the run; empty for signs at the heater.
    kind : {"seen", "seconds", "draft", "pressure", "baseline", "signs"}
        What was observed.
    words : Finding
        What was observed, to be said.
    log_likelihood : array (n,)
        Log of its chance (or density), as it counts in the sum over the record: the floor of a binding failure only
        where no earlier one was missed already.
    misfit : array (n,)
        Against a perfect agreement: 0 at best, negative where it does not fit, no error of tester or model allowed for.
    index : int
        Which run of the record; -1 for signs at the heater.
    missed : array of bool (n,) or None
        For a binding failure: situations that do not show it. None for all else.
    soft : array (n,) or None
        For what was seen: its log likelihood without that floor, and without the errors shared by all runs.
    """

    run: str
    kind: str
    words: Words
    log_likelihood: Array
    misfit: Array
    index: int = -1
    missed: Flags | None = None
    soft: Array | None = None

    @property
    def alone(self) -> Array:
        """Log likelihood as if nothing else had been observed and nobody erred in all runs, (n,)."""
        if self.soft is None:
            return self.log_likelihood
        return self.soft if self.missed is None else self.soft + number("failure_floor_log") * self.missed

    def at(self, index: Index) -> Observation:
        """Return the same observation for a choice of samples."""
        arrays = {f.name: value[index] for f in fields(self) if isinstance(value := getattr(self, f.name), np.ndarray)}
        return replace(self, **arrays)  # type: ignore[arg-type]


def judged_at_s(case: Case, run: Run) -> float:
    """Return when the hood was judged, s after the burner lit."""
    when = run.seconds_after_lit
    if when is None:
        when = limit_for(case, run.vent_cold_at_start).limit_s
    return max(when, 1.0)


def outcome_of(case: Case, run: Run) -> Outcome:
    """Return what a run shows by itself, by the published procedure."""
    return judge_run(case.model_copy(update={"run": [run]}), 0).outcome


def observed_words(run: Run, kind: str) -> Finding:
    """Return what a run's record says.

    Parameters
    ----------
    run : Run
        The run.
    kind : {"seen", "seconds", "draft", "pressure", "baseline"}
        Which of its observations.
    """
    reading, baseline = run.zone_depressurization_pa or 0.0, run.baseline_depressurization_pa
    if kind == "seen":
        return finding(f"evidence.observed.{run.seen}")
    if kind == "seconds":
        return finding("evidence.observed.seconds", seconds=quantity(run.seconds_to_draft, "s", 1))
    if kind == "draft":
        return finding("evidence.observed.draft", draft=quantity(run.draft_pa, "pa", 2))
    if kind == "baseline":
        return finding("evidence.observed.baseline", pressure=quantity(baseline, "pa", 2))
    if baseline is None:
        return finding("evidence.observed.pressure", pressure=quantity(reading, "pa", 2))
    return finding("evidence.observed.added", pressure=quantity(reading - baseline, "pa"))


Part = Literal["pressure", "fired"]
PARTS: tuple[Part, ...] = ("pressure", "fired")
"""Parts of a run's record by rising cost: pressures before firing, and what needs the heater fired."""


def asks(run: Run, part: Part) -> bool:
    """Return whether a run's record holds anything of a part."""
    if part == "pressure":
        return run.zone_depressurization_pa is not None
    return run.seen in JUDGED or run.seconds_to_draft is not None or run.draft_pa is not None


def predict(case: Case, state: State, run: Run, parts: tuple[Part, ...] = PARTS) -> Predicted:
    """Simulate a run, as far as its record asks for it, for every situation."""
    condition = conditions.of_run(case, state.devices, run)
    ratio = seconds = draft = below = idle = None
    if "fired" in parts and asks(run, "fired"):
        response: Response = respond(state, condition)
        ratio, seconds, draft = response.ratio_at(judged_at_s(case, run)), response.seconds_to_draft, response.draft_pa
    if "pressure" in parts and asks(run, "pressure"):
        below = -zone_pressure_pa(state, condition)
        if run.baseline_depressurization_pa is not None:
            idle = -zone_pressure_pa(state, conditions.idle_house(condition))
    return Predicted(ratio, seconds, draft, below, idle, state.chance.tester_luck, state.chance.model_luck)


def observations(case: Case, run: Run, predicted: Predicted) -> tuple[Observation, ...]:
    """Hold what a run's record says against what was predicted for every situation."""
    found = []
    if run.seen in JUDGED and predicted.ratio is not None:
        found.append(_seen(case, run, predicted))
    if run.seconds_to_draft is not None and run.seen == "drafting" and predicted.seconds is not None:
        expected = np.log(np.clip(predicted.seconds, number("seconds_floor_s"), LONGEST_S))
        seen = float(np.log(max(run.seconds_to_draft, number("seconds_floor_s"))))
        found.append(_reading(run, "seconds", *_gauss(seen, expected, number("seconds_log_sd"))))
    if run.draft_pa is not None and predicted.draft_pa is not None:
        found.append(
            _reading(run, "draft", *_gauss(run.draft_pa, predicted.draft_pa, draft_deviation_pa(predicted.draft_pa)))
        )
    return (*found, *_pressure(run, predicted))


def _reading(run: Run, kind: str, like: Array, misfit: Array) -> Observation:
    return Observation(run.label, kind, observed_words(run, kind), like, misfit)


def shows(run: Run, outcome: Outcome, limit_s: float, predicted: Predicted) -> Flags:
    """Return which situations show what was seen at the hood, however a failure is called, (n,) of bool."""
    assert predicted.ratio is not None
    assert predicted.seconds is not None
    if outcome == "failure" and run.seen not in FAILS:
        return np.asarray(predicted.seconds >= limit_s)  # it drafted in the end, but too late
    drafts = predicted.ratio >= SPILL_TOLERANCE
    return np.asarray(drafts if run.seen == "drafting" else ~drafts)


def blind(run: Run, predicted: Predicted) -> Flags:
    """Return the situations in which tester or model errs, in all runs: what drafted tells nothing there."""
    tester = predicted.tester_luck < number(f"misread_{run.method or WORST_METHOD}")
    return np.asarray(tester | (predicted.model_luck < number("model_error")))


def _seen(case: Case, run: Run, predicted: Predicted) -> Observation:
    outcome = outcome_of(case, run)
    shown = shows(run, outcome, limit_for(case, run.vent_cold_at_start).limit_s, predicted)
    called = np.where(shown, _called(run, predicted), 0.0)
    words, floor = observed_words(run, "seen"), number("failure_floor_log")
    perfect = float(called.max())
    if outcome == "failure":
        like = called + floor * ~shown
        misfit = np.minimum(called - perfect, 0.0) + floor * ~shown
        return Observation(run.label, "seen", words, like, misfit, missed=~shown, soft=called)
    slip = number("misread_independent")
    fair = np.where(shown, np.log(1.0 - slip), np.log(slip))
    like = np.where(blind(run, predicted), 0.0, fair + called)
    misfit = fair - np.log(1.0 - slip) + np.minimum(called - perfect, 0.0)
    return Observation(run.label, "seen", words, like, misfit, soft=fair + called)


def _called(run: Run, predicted: Predicted) -> Array:
    """Log of the chance that a failure is called spillage or reversal, whichever was written, (n,); 0 for a draft."""
    assert predicted.ratio is not None
    if run.seen not in FAILS:
        return np.zeros(predicted.ratio.size)
    spilling, falling = word_chances(run.method or WORST_METHOD)
    row = FAILS.index(run.seen)
    return np.asarray(np.log(np.where(predicted.ratio <= 0.0, falling[row], spilling[row])))


def word_chances(method: str) -> tuple[tuple[float, float], tuple[float, float]]:
    """Return the chances that a failure is called spilling, reversed: where it spills, and where the vent is reversed.

    Spillage is seen more easily than told from reversal.
    """
    slip, mixed = 0.5 * wrong_chance(method), number("reversed_called_spilling")
    return (1.0 - slip, slip), (mixed, 1.0 - mixed)


def _pressure(run: Run, predicted: Predicted) -> list[Observation]:
    expected, reading = predicted.depressurization_pa, run.zone_depressurization_pa
    if expected is None or reading is None:
        return []
    if predicted.idle_pa is None:
        return [_reading(run, "pressure", *_gauss(reading, expected, pressure_deviation_pa(run, expected)))]
    # two readings, two facts: what the fans add, and how far the house stands below outdoors by itself
    baseline, idle = float(run.baseline_depressurization_pa or 0.0), predicted.idle_pa
    fans = expected - idle
    return [
        _reading(run, "pressure", *_gauss(reading - baseline, fans, pressure_deviation_pa(run, fans))),
        _reading(run, "baseline", *_gauss(baseline, idle, pressure_deviation_pa(run, idle))),
    ]


def wrong_chance(method: str) -> float:
    """Return the chance that the hood is misjudged by a method, or by the model."""
    return number(f"misread_{method}") + number("model_error")


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
