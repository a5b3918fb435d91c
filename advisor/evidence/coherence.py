"""What the record says beside what the situations that fit it would show, observation by observation.

An observation that was taken as true (a binding failure, a valid pass) and that the fitting situations hardly show makes
the record *unexplained*: no share worked out from them may then name a cause. So do records that no situation explains.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from advisor.case.model import Case, Run
from advisor.ensemble.state import Array, State
from advisor.ensemble.weighted import BAND, quantiles
from advisor.evidence.contradictions import Contradiction
from advisor.evidence.observations import (
    JUDGED,
    LONGEST_S,
    Predicted,
    draft_deviation_pa,
    number,
    outcome_of,
    predict,
    pressure_deviation_pa,
    shows,
)
from advisor.evidence.signs import NO_SIGN, ordinary_use
from advisor.facts.spillage import limit_for

Kind = Literal["seen", "seconds", "draft", "pressure", "baseline", "signs"]
NODES = 15
"""Points of the error of a reading at which its predicted spread is taken; numerical."""


@dataclass(frozen=True, slots=True)
class Coherence:
    """One observation, and what the fitting situations would show.

    Parameters
    ----------
    run_index : int
        Which run of the record; -1 for signs at the heater.
    kind : {"seen", "seconds", "draft", "pressure", "baseline", "signs"}
        What was observed.
    observed : float or str
        The reading (Pa or s; a pressure less its baseline where one was taken), or the word that was written.
    expected : tuple of float or None
        5th, 50th and 95th percentile of what would be read, the error of the reading included; infinite for seconds where
        it never drafts. None for words.
    probability : float
        For a word, in which share of the fitting situations it is so; for a reading, how likely one at least as far out
        is (two-sided).
    taken_as_true : bool
        Is it a binding failure or a valid pass?
    fits : bool
        Is it likely enough?
    """

    run_index: int
    kind: Kind
    observed: float | str
    expected: tuple[float, float, float] | None
    probability: float
    taken_as_true: bool
    fits: bool

    @property
    def id(self) -> str:
        """Name of the observation within its record."""
        return f"{self.run_index}:{self.kind}"


@dataclass(frozen=True, slots=True)
class Explanation:
    """How well the fitting situations explain the record.

    Parameters
    ----------
    observations : tuple of Coherence
        In the order of the record, signs at the heater last.
    contradictions : tuple of Contradiction
        Parts of the record that no situation explains.
    enough_situations : bool
        Do as many situations count as should?
    """

    observations: tuple[Coherence, ...]
    contradictions: tuple[Contradiction, ...]
    enough_situations: bool

    @property
    def explained(self) -> bool:
        """True where everything taken as true is likely in the fitting situations and the record goes together."""
        taken = [o for o in self.observations if o.taken_as_true]
        return all(o.fits for o in taken) and not self.contradictions

    @property
    def odd(self) -> tuple[str, ...]:
        """Ids of the observations that do not fit, those of contradictory runs among them."""
        found = [o.id for o in self.observations if not o.fits]
        for one in self.contradictions:
            kinds = one.observations or ("seen",)
            found += [f"{run}:{kind}" for run in one.runs for kind in kinds]
        return tuple(dict.fromkeys(found))


def explain(
    case: Case,
    record: Sequence[Run],
    state: State,
    weight: Array,
    contradictions: tuple[Contradiction, ...] = (),
    enough_situations: bool = True,
) -> Explanation:
    """Hold every observation of a record against what the fitting situations would show.

    Parameters
    ----------
    case : Case
        The case.
    record : sequence of Run
        Its runs.
    state : State
        ``n`` situations that fit the record.
    weight : array (n,)
        Their weights, summing to 1.
    contradictions : tuple of Contradiction
        What no situation explains.
    enough_situations : bool
        Do as many of them count as should?

    Returns
    -------
    Explanation
    """
    found: list[Coherence] = []
    for index, run in enumerate(record):
        found += _of_run(case, index, run, state, weight)
    found += _signs(case, state, weight)
    return Explanation(tuple(found), contradictions, enough_situations)


def _of_run(case: Case, index: int, run: Run, state: State, weight: Array) -> list[Coherence]:
    shown = predict(case, state, run)
    found = [_seen(case, run, index, shown, weight)] if run.seen in JUDGED else []
    if run.seconds_to_draft is not None and run.seen == "drafting" and shown.seconds is not None:
        floor = number("seconds_floor_s")
        seconds = np.log(np.clip(shown.seconds, floor, LONGEST_S))
        spread = np.full(seconds.size, number("seconds_log_sd"))
        read = float(np.log(max(run.seconds_to_draft, floor)))
        found.append(_reading(index, "seconds", run.seconds_to_draft, read, seconds, spread, weight, _seconds))
    if run.draft_pa is not None and shown.draft_pa is not None:
        spread = draft_deviation_pa(shown.draft_pa)
        found.append(_reading(index, "draft", run.draft_pa, run.draft_pa, shown.draft_pa, spread, weight))
    return found + _pressures(run, index, shown, weight)


def _pressures(run: Run, index: int, shown: Predicted, weight: Array) -> list[Coherence]:
    reading, expected, idle = run.zone_depressurization_pa, shown.depressurization_pa, shown.idle_pa
    if reading is None or expected is None:
        return []
    if idle is None or run.baseline_depressurization_pa is None:
        spread = pressure_deviation_pa(run, expected)
        return [_reading(index, "pressure", reading, reading, expected, spread, weight)]
    baseline, fans = run.baseline_depressurization_pa, expected - idle
    added = reading - baseline
    return [
        _reading(index, "pressure", added, added, fans, pressure_deviation_pa(run, fans), weight),
        _reading(index, "baseline", baseline, baseline, idle, pressure_deviation_pa(run, idle), weight),
    ]


def _seen(case: Case, run: Run, index: int, shown: Predicted, weight: Array) -> Coherence:
    outcome = outcome_of(case, run)
    flags = shows(run, outcome, limit_for(case, run.vent_cold_at_start).limit_s, shown)
    probability = min(1.0, float(weight @ flags))
    taken = outcome in ("failure", "pass")
    fits = probability >= number("coherence_least_probability")
    return Coherence(index, "seen", run.seen, None, probability, taken, fits)


def _seconds(log_seconds: float) -> float:
    return float("inf") if log_seconds >= np.log(LONGEST_S) else float(np.exp(log_seconds))


def _plain(value: float) -> float:
    return value


def _reading(
    index: int,
    kind: Kind,
    observed: float,
    read: float,
    expected: Array,
    spread: Array,
    weight: Array,
    back: Callable[[float], float] = _plain,
) -> Coherence:
    """Hold a reading against its predicted spread: the situations' own, and the error of the reading on top."""
    from scipy.special import ndtr, ndtri

    below = float(weight @ ndtr((read - expected) / spread))
    probability = min(1.0, 2.0 * min(below, 1.0 - below))
    errors = ndtri((np.arange(NODES) + 0.5) / NODES)
    values = (expected[:, None] + spread[:, None] * errors[None]).ravel()
    low, middle, high = quantiles(values, np.repeat(weight / NODES, NODES), BAND)
    fits = probability >= number("coherence_least_tail")
    return Coherence(index, kind, observed, (back(low), back(middle), back(high)), probability, False, fits)


def _signs(case: Case, state: State, weight: Array) -> list[Coherence]:
    signs = set(case.heater.signs)
    if not signs:
        return []
    spills = float(weight @ ordinary_use(case, state).spills(state))
    none = signs == {NO_SIGN}
    words = NO_SIGN if none else ", ".join(sorted(signs - {NO_SIGN}))
    # spillage often leaves no sign, and a sign has other causes: it is shown, and never called odd
    return [Coherence(-1, "signs", words, None, 1.0 - spills if none else spills, False, True)]
