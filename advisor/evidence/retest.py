"""After the work: what a retest should find, and what it says about the work once it was made."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np

from advisor.case.model import Case, Run
from advisor.ensemble import conditions
from advisor.ensemble.question import Question
from advisor.ensemble.respond import respond, zone_pressure_pa
from advisor.ensemble.state import Array, State
from advisor.ensemble.weighted import Band, normalized
from advisor.evidence.causes import possible_causes, removed
from advisor.evidence.likelihood import log_likelihood
from advisor.evidence.observations import draft_deviation_pa, number, pressure_deviation_pa
from advisor.evidence.posterior import Posterior
from advisor.facts.carbon_monoxide import ambient_level_ppm, flue_co_limit_ppm
from advisor.facts.record import Outcome, judge_run, verdict_of
from advisor.facts.spillage import limit_for
from advisor.findings import Finding, Value, finding, quantity

Alter = Callable[[State], State]
Verdict = Literal["confirmed", "heater alone", "not confirmed", "passed, but not in a worst case", "unclear"]


@dataclass(frozen=True, slots=True)
class Expected:
    """What a retest in the worst case should read, with the error of the reading in it.

    Parameters
    ----------
    net_depressurization_pa, zone_depressurization_pa, draft_pa, seconds_to_draft : Band
        What the fans add to the baseline, the zone below outdoors, draft in the connector, seconds to draft.
    drafts : float
        Probability that it drafts within the allowed time.
    appliance : str
        How the heater vents after the work: only ``natural draft`` has a draft to read.
    """

    net_depressurization_pa: Band
    zone_depressurization_pa: Band
    draft_pa: Band
    seconds_to_draft: Band
    drafts: float
    appliance: str


@dataclass(frozen=True, slots=True)
class PassLimits:
    """What a retest must meet, by published rules; no forecast.

    Parameters
    ----------
    seconds_s : float
        Spillage must stop within, on a cold vent.
    scheme : str
        Whose line that is.
    room_co_ppm, flue_co_ppm : float
        CO in the room must stay below, and air-free in the flue at most.
    """

    seconds_s: float
    scheme: str
    room_co_ppm: float
    flue_co_ppm: float


@dataclass(frozen=True, slots=True)
class Reading:
    """One reading before the work and at the retest; None where it was not taken.

    Parameters
    ----------
    key : str
        Key of the run.
    before, after : float or None
        In the unit of the key.
    """

    key: str
    before: float | None
    after: float | None


@dataclass(frozen=True, slots=True)
class Reason:
    """One explanation of a retest that failed (modelled).

    Parameters
    ----------
    id : str
        ``no_effect``, ``misjudged``, or the id of a cause that is left.
    probability : float
        Its weight. They need not sum to 1.
    """

    id: str
    probability: float


@dataclass(frozen=True, slots=True)
class Retest:
    """What a retest says about the work: its own record decides, what is modelled stands beside it.

    Parameters
    ----------
    index : int
        Position of the run in the record.
    run, option_id : str
        Label of the run and the work that was done before it.
    verdict : Verdict
        See there; ``heater alone``: the heater's own run is a valid pass, but another appliance on its vent spilled.
    drafts : float or None
        Modelled share in which the heater now drafts in the worst case; None where nothing is left to draft.
    reasons : tuple of Reason
        Where it is not confirmed: likeliest first.
    shortfalls : tuple of str
        Ids of the conditions for which the run proves no pass.
    readings : tuple of Reading
        Before and after.
    """

    index: int
    run: str
    option_id: str
    verdict: Verdict
    drafts: float | None
    reasons: tuple[Reason, ...]
    shortfalls: tuple[str, ...]
    readings: tuple[Reading, ...]


READ = (
    "seconds_to_draft",
    "zone_depressurization_pa",
    "baseline_depressurization_pa",
    "draft_pa",
    "ambient_co_ppm",
    "flue_co_ppm",
)
"""Readings that are compared before and after the work."""


def pass_limits(case: Case) -> PassLimits:
    """Return what a retest must meet: the published line for a cold vent, and the published levels of CO."""
    line = limit_for(case, vent_cold=True)
    return PassLimits(line.limit_s, line.scheme, ambient_level_ppm("amb_tell"), flue_co_limit_ppm())


def retest_of_left(case: Case, appliances: Value) -> Finding:
    """Return how what stays on the vent is retested once the heater has left it: the same limits as for the heater."""
    limits = pass_limits(case)
    return finding(
        "evidence.retest_of_left",
        appliances=appliances,
        seconds=quantity(limits.seconds_s, "s"),
        scheme=limits.scheme,
        room=quantity(limits.room_co_ppm, "ppm"),
        flue=quantity(limits.flue_co_ppm, "ppm"),
    )


def _readings(case: Case, run: Run) -> tuple[Reading, ...]:
    """Hold the retest beside the first failing run before the work, or the first run where none failed."""
    failing = verdict_of(case).failing
    before = case.run[failing[0].index] if failing else next((r for r in case.run if r.after_work is None), None)
    found = [Reading(k, None if before is None else getattr(before, k), getattr(run, k)) for k in READ]
    return tuple(r for r in found if r.before is not None or r.after is not None)


def expected_at_retest(case: Case, posterior: Posterior, alter: Alter, question: Question, seed: int = 1) -> Expected:
    """Return the numbers to expect when an option's work is checked in the worst case.

    Parameters
    ----------
    case : Case
        The case.
    posterior : Posterior
        Situations that fit its record.
    alter : callable
        Returns the situations after the work.
    question : Question
        The worst case.
    seed : int
        Chooses situations and reading errors.
    """
    state = alter(posterior.some(int(number("next_test_samples")), seed))
    response = respond(state, question.condition)
    zone = response.zone_depressurization_pa
    net = zone + zone_pressure_pa(state, conditions.idle_house(question.condition))
    rng = np.random.default_rng([seed, 7])
    # a reading in calm air with its baseline
    run = case.run[0].model_copy(update={"wind_mph": None, "baseline_depressurization_pa": 0.0})
    error = rng.standard_normal((4, state.samples))
    draft = response.draft_pa + error[2] * draft_deviation_pa(response.draft_pa)
    bands = (
        Band.of(net + error[0] * pressure_deviation_pa(run, net)),
        Band.of(zone + error[1] * pressure_deviation_pa(run, zone)),
        Band.of(draft),
        Band.of(response.seconds_to_draft * np.exp(error[3] * number("seconds_log_sd"))),
    )
    drafts = 1.0 - float(response.spills_beyond(question.allowed_s).mean())
    return Expected(*bands, drafts, state.appliance)


def retests(
    case: Case,
    posterior: Posterior,
    alters: Mapping[str, Alter],
    question: Question,
    seed: int = 1,
) -> tuple[Retest, ...]:
    """Judge every run made after work, in the order of the record; works add up.

    Two explanations are held against each retest: the work does what it should, or it does not (prior chance
    ``work_ineffective``), each for every situation that fits the record before the work.

    Parameters
    ----------
    case : Case
        The case.
    posterior : Posterior
        Situations that fit the runs before any work.
    alters : mapping
        By option id: returns the situations after the work; every work of the record must be in it.
    question : Question
        The worst case.
    seed : int
        Chooses the situations that are looked at.
    """
    state = posterior.some(int(number("retest_samples")), seed)
    log_weight, found = np.zeros(state.samples), []
    done: str | None = None
    before = after = state
    doubt = number("work_ineffective")
    pair = np.stack([log_weight + np.log(1.0 - doubt), log_weight + np.log(doubt)])
    for index, run in enumerate(case.run):
        if run.after_work is None:
            continue
        if run.after_work != done:
            # what is known about earlier work goes on: its own two explanations are folded into one
            log_weight = np.logaddexp(pair[0], pair[1]) if done is not None else log_weight
            before, after, done = after, alters[run.after_work](after), run.after_work
            pair = np.stack([log_weight + np.log(1.0 - doubt), log_weight + np.log(doubt)])
        if run.seen != "no hood":
            pair = pair + np.stack([log_likelihood(case, after, run), log_likelihood(case, before, run)])
        weight = normalized(pair.reshape(-1)).reshape(pair.shape)
        found.append(_judged(case, index, (after, before), weight, question))
    return tuple(found)


def _judged(case: Case, index: int, states: tuple[State, State], weight: Array, question: Question) -> Retest:
    run, after = case.run[index], states[0]
    hooded = after.appliance == "natural draft"
    spills = np.stack([question.spills(s) for s in states])
    drafts = 1.0 - float(np.sum(weight * spills)) if hooded else None
    # the run itself decides, by the published procedure; what is modelled only stands beside it
    shown = judge_run(case, index)
    verdict = VERDICTS[shown.outcome]
    reasons = _reasons(case, run, after, weight, spills, question) if hooded and verdict == "not confirmed" else ()
    short = tuple(h.id for h in shown.spoiling)
    return Retest(index, run.label, str(run.after_work), verdict, drafts, reasons, short, _readings(case, run))


VERDICTS: dict[Outcome, Verdict] = {
    "pass": "confirmed",
    "unproven": "passed, but not in a worst case",
    "unclear": "unclear",
    "failure": "not confirmed",
    "early spillage": "not confirmed",
    "covered for the test": "not confirmed",
}


def _reasons(
    case: Case, run: Run, after: State, weight: Array, spills: Array, question: Question
) -> tuple[Reason, ...]:
    """Why it still spills: the work has no effect, the run was misjudged, or a cause is left."""
    found = [Reason("no_effect", float(np.sum(weight[1])))]
    misjudged = float(np.sum(weight[0] * (1.0 - spills[0])))
    if run.seen != "drafting":
        found.append(Reason("misjudged", misjudged))
    index = np.flatnonzero(spills[0] > 0.5)
    if index.size:
        part, share = after.take(index), weight[0][index]
        for name in possible_causes(case):
            cured = question.spills(removed(name, part)) < 0.5
            found.append(Reason(name, float(np.sum(share * cured))))
    found = [r for r in found if r.probability >= number("reason_least_share")]
    return tuple(sorted(found, key=lambda r: -r.probability))


__all__ = [
    "Expected",
    "PassLimits",
    "Reading",
    "Reason",
    "Retest",
    "expected_at_retest",
    "pass_limits",
    "retest_of_left",
    "retests",
]
