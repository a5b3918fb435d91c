"""After the work: what a retest should find, and what it says about the work once it was made."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np

from advisor.case.model import Case, Run
from advisor.ensemble import conditions
from advisor.ensemble.respond import respond, zone_pressure_pa
from advisor.ensemble.state import Array, Condition, State
from advisor.evidence.causes import possible_causes, removed, words_of
from advisor.evidence.likelihood import draft_deviation_pa, log_likelihood, number, pressure_deviation_pa
from advisor.evidence.posterior import Posterior, normalized, pick
from advisor.facts.record import verdict_of

Alter = Callable[[State], State]
Band = tuple[float | None, float | None, float | None]
"""5th, 50th and 95th percentile; None where it never drafts."""
Verdict = Literal["confirmed", "not confirmed", "passed, but not in a worst case", "unclear"]


@dataclass(frozen=True, slots=True)
class Expected:
    """What a retest in the worst case should read, with the error of the reading in it.

    Parameters
    ----------
    net_depressurization_pa, zone_depressurization_pa, draft_pa, seconds_to_draft : Band
        What the fans add to the baseline, the zone below outdoors, draft in the connector, seconds to draft.
    drafts : float
        Probability that it drafts within the allowed time.
    words : str
        One sentence to print.
    """

    net_depressurization_pa: Band
    zone_depressurization_pa: Band
    draft_pa: Band
    seconds_to_draft: Band
    drafts: float
    words: str


@dataclass(frozen=True, slots=True)
class Reason:
    """One explanation of a retest that failed.

    Parameters
    ----------
    words : str
        Plain words.
    probability : float
        Its weight. They need not sum to 1.
    """

    words: str
    probability: float


@dataclass(frozen=True, slots=True)
class Retest:
    """What a retest says about the work.

    Parameters
    ----------
    run, option_id : str
        Label of the run and the work that was done before it.
    verdict : Verdict
        See there.
    drafts : float
        Probability that the heater now drafts in the worst case, with everything on record.
    reasons : tuple of Reason
        Where it is not confirmed: likeliest first.
    shortfalls : tuple of str
        Why the run was no worst case.
    words : str
        One sentence to print.
    """

    run: str
    option_id: str
    verdict: Verdict
    drafts: float
    reasons: tuple[Reason, ...]
    shortfalls: tuple[str, ...]
    words: str


def _band(values: Array) -> Band:
    low, middle, high = (float(v) for v in np.quantile(values, (0.05, 0.5, 0.95), method="higher"))
    return (
        low if np.isfinite(low) else None,
        middle if np.isfinite(middle) else None,
        high if np.isfinite(high) else None,
    )


def expected_at_retest(
    case: Case, posterior: Posterior, alter: Alter, worst: Condition, allowed_s: float, seed: int = 1
) -> Expected:
    """Return the numbers to expect when an option's work is checked in the worst case.

    Parameters
    ----------
    case : Case
        The case.
    posterior : Posterior
        Situations that fit its record.
    alter : callable
        Returns the situations after the work.
    worst : Condition
        The worst case.
    allowed_s : float
        Allowed spillage time, s.
    seed : int
        Chooses situations and reading errors.
    """
    state = alter(posterior.state.take(pick(posterior.weight, int(number("next_test_samples")), seed)))
    response = respond(state, worst)
    zone = response.zone_depressurization_pa
    net = zone + zone_pressure_pa(state, conditions.idle_house(worst))
    rng = np.random.default_rng([seed, 7])
    # a reading in calm air with its baseline
    run = case.run[0].model_copy(update={"wind_mph": None, "baseline_depressurization_pa": 0.0})
    error = rng.standard_normal((4, state.samples))
    draft = response.draft_pa + error[2] * draft_deviation_pa(response.draft_pa)
    bands = (
        _band(net + error[0] * pressure_deviation_pa(run, net)),
        _band(zone + error[1] * pressure_deviation_pa(run, zone)),
        _band(draft),
        _band(response.seconds_to_draft * np.exp(error[3] * number("seconds_log_sd"))),
    )
    drafts = 1.0 - float(response.spills_beyond(allowed_s).mean())
    return Expected(*bands, drafts, _expected_words(bands, state.appliance))


def _expected_words(bands: tuple[Band, Band, Band, Band], appliance: str) -> str:
    if appliance in ("none", "sealed"):
        return "no draft hood is left to test; hold the new heater against its instructions"
    net, _, draft, seconds = bands
    parts = [f"with everything on the zone reads {net[0]:.1f} to {net[2]:.1f} Pa below its baseline"]
    if appliance == "natural draft":
        parts.append(f"draft {draft[0]:.1f} to {draft[2]:.1f} Pa")
        late = seconds[2]
        parts.append("it may not draft at all" if late is None else f"it drafts within {max(late, 1.0):.0f} s")
    return "; ".join(parts) + " (90 % of readings)"


def retests(
    case: Case,
    posterior: Posterior,
    alters: Mapping[str, Alter],
    worst: Condition,
    allowed_s: float,
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
        By option id: returns the situations after the work. Works that it does not hold are called unclear.
    worst : Condition
        The worst case.
    allowed_s : float
        Allowed spillage time, s.
    seed : int
        Chooses the situations that are looked at.
    """
    state = posterior.state.take(pick(posterior.weight, int(number("retest_samples")), seed))
    log_weight, found = np.zeros(state.samples), []
    done: str | None = None
    before = after = state
    doubt = number("work_ineffective")
    pair = np.stack([log_weight + np.log(1.0 - doubt), log_weight + np.log(doubt)])
    for run in case.run:
        if run.after_work is None:
            continue
        if run.after_work not in alters:
            found.append(_unknown(run))
            continue
        if run.after_work != done:
            # what is known about earlier work goes on: its own two explanations are folded into one
            log_weight = np.logaddexp(pair[0], pair[1]) if done is not None else log_weight
            before, after, done = after, alters[run.after_work](after), run.after_work
            pair = np.stack([log_weight + np.log(1.0 - doubt), log_weight + np.log(doubt)])
        pair = pair + np.stack([log_likelihood(case, after, run), log_likelihood(case, before, run)])
        weight = normalized(pair.reshape(-1)).reshape(pair.shape)
        found.append(_judged(case, run, (after, before), weight, worst, allowed_s))
    return tuple(found)


def _unknown(run: Run) -> Retest:
    words = f"'{run.label}': '{run.after_work}' is no option here, so nothing is said about it"
    return Retest(run.label, str(run.after_work), "unclear", 0.0, (), (), words)


def _judged(
    case: Case, run: Run, states: tuple[State, State], weight: Array, worst: Condition, allowed_s: float
) -> Retest:
    after = states[0]
    spills = np.stack([respond(s, worst).spills_beyond(allowed_s) for s in states])
    drafts = 1.0 - float(np.sum(weight * spills))
    # the run itself decides, by the published procedure; what is modelled only stands beside it
    shown = next(r for r in verdict_of(case).runs if case.run[r.index] is run)
    short = tuple(h.id for h in shown.spoiling)
    option = str(run.after_work)
    if shown.outcome == "pass":
        return Retest(run.label, option, "confirmed", drafts, (), short, "")
    if shown.outcome == "unproven":
        return Retest(run.label, option, "passed, but not in a worst case", drafts, (), short, "")
    if shown.outcome == "unclear":
        return Retest(run.label, option, "unclear", drafts, (), short, "")
    reasons = _reasons(case, run, after, weight, spills, worst, allowed_s)
    return Retest(run.label, option, "not confirmed", drafts, reasons, short, "")


def _reasons(
    case: Case, run: Run, after: State, weight: Array, spills: Array, worst: Condition, allowed_s: float
) -> tuple[Reason, ...]:
    """Why it still spills: the work has no effect, the run was misjudged, or a cause is left."""
    found = [Reason("the work does not do what it should: check it", float(np.sum(weight[1])))]
    misjudged = float(np.sum(weight[0] * (1.0 - spills[0])))
    if run.seen != "drafting":
        found.append(Reason("the hood was misjudged, or the run was harder than the worst case", misjudged))
    index = np.flatnonzero(spills[0] > 0.5)
    if index.size:
        part, share = after.take(index), weight[0][index]
        for name in possible_causes(case):
            cured = respond(removed(name, part), worst).spills_beyond(allowed_s) < 0.5
            found.append(Reason(f"what is left: {words_of(name)}", float(np.sum(share * cured))))
    found = [r for r in found if r.probability >= number("reason_least_share")]
    return tuple(sorted(found, key=lambda r: -r.probability))


__all__ = ["Expected", "Reason", "Retest", "expected_at_retest", "retests"]
