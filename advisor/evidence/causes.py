"""What is wrong, and how sure: for each cause, in which share of situations does removing it alone stop the spillage."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np

from advisor import catalog, units
from advisor.case.model import Case, listed
from advisor.ensemble.respond import respond
from advisor.ensemble.state import Array, Condition, State
from advisor.ensemble.vent_draw import wall
from advisor.evidence.likelihood import Observation, number, record_observations, total_log_likelihood
from advisor.evidence.posterior import Posterior, normalized, pick


@dataclass(frozen=True, slots=True)
class Speaks:
    """One observation that speaks for or against a cause.

    Parameters
    ----------
    run : str
        Label of the run; empty for signs at the heater.
    observation : str
        What was observed, in plain words.
    log_odds : float
        Change in the log odds of "removing this cause alone stops the spillage" that the observation brings: the odds
        with the whole record against the odds with this one observation left out. Positive speaks for the cause.
    words : str
        The same as a phrase to print.
    """

    run: str
    observation: str
    log_odds: float
    words: str


@dataclass(frozen=True, slots=True)
class Cause:
    """One possible cause.

    Parameters
    ----------
    id, words : str
        Name and plain words.
    stops_alone : float
        Share of the spilling situations in which removing this cause alone stops the spillage.
    present : float
        Share of all fitting situations in which the cause is there at all.
    part_of_cure : float
        Share of the spilling situations in which it is part of a smallest cure: it stops the spillage alone, or
        together with one other cause where neither of the two does alone.
    speaks_for, speaks_against : tuple of Speaks
        The observations that speak most for and against it, strongest first; at most three each.
    """

    id: str
    words: str
    stops_alone: float
    present: float
    part_of_cure: float = 0.0
    speaks_for: tuple[Speaks, ...] = ()
    speaks_against: tuple[Speaks, ...] = ()


def _limit(key: str) -> float:
    return catalog.number("causes_limits", key)


def _off(state: State) -> State:
    return replace(state, device_m3_s=0.0 * state.device_m3_s)


def _open_air(state: State) -> State:
    # as much air path to outdoors as anybody would build: what is left is not a lack of air to the zone
    area = np.full(state.samples, _limit("plenty_of_air_ft2") * units.M2_PER_FT2)
    left = 1.0 - state.intake_blocked
    return replace(
        state,
        opening_low_m2=state.opening_low_m2 * left + area,
        opening_high_m2=state.opening_high_m2 * left + area,
        intake_blocked=0.0 * state.intake_blocked,
    )


def _good_vent(state: State) -> State:
    warm = np.minimum(state.vertical_u, wall("type b")[0])
    area = np.minimum(state.vertical_area_m2, _limit("good_vent_area_ratio") * state.connector_area_m2)
    return replace(
        state,
        vertical_u=warm,
        exterior_share=np.minimum(state.exterior_share, _limit("good_vent_exterior_share")),
        vertical_area_m2=area,
        vertical_perimeter_m=np.minimum(state.vertical_perimeter_m, np.sqrt(4.0 * np.pi * area)),
        dilution_ratio=0.0 * state.dilution_ratio,
    )


def vent_made_good(state: State) -> State:
    """Return the state with every vent fault removed: blockage, a cold or oversized vent, pressure at its top."""
    cleared = replace(
        state,
        vent_blocked=0.0 * state.vent_blocked,
        terminal_cp=np.minimum(state.terminal_cp, 0.0),
        gust_cp=np.minimum(state.gust_cp, 0.0),
    )
    return _good_vent(cleared)


Removal = Callable[[State], State]
REMOVALS: dict[str, Removal] = {
    "intake": lambda s: replace(s, intake_blocked=0.0 * s.intake_blocked),
    "exhaust": _off,
    "air_supply": _open_air,
    "return_leak": lambda s: replace(s, return_leak_m3_s=0.0 * s.return_leak_m3_s),
    "vent_blocked": lambda s: replace(s, vent_blocked=0.0 * s.vent_blocked),
    "vent_cold_or_large": _good_vent,
    "terminal": lambda s: replace(s, terminal_cp=np.minimum(s.terminal_cp, 0.0), gust_cp=np.minimum(s.gust_cp, 0.0)),
}


def _present(name: str, case: Case, state: State) -> Array:
    large = state.vertical_area_m2 > _limit("large_vent_area_ratio") * state.connector_area_m2
    table = {
        "intake": state.intake_blocked > _limit("intake_blocked"),
        "exhaust": state.device_m3_s.sum(axis=0) > _limit("exhaust_cfm") * units.M3_S_PER_CFM,
        "air_supply": np.zeros(state.samples, dtype=bool),
        "return_leak": state.return_leak_m3_s > _limit("return_leak_cfm") * units.M3_S_PER_CFM,
        "vent_blocked": state.vent_blocked > _limit("vent_blocked"),
        "vent_cold_or_large": large | (state.exterior_share > _limit("cold_vent_exterior_share")),
        "terminal": state.terminal_cp > _limit("terminal_cp"),
    }
    return np.asarray(table[name], dtype=np.float64)


def words_of(name: str) -> str:
    """Plain words of a cause."""
    for row in catalog.table("causes"):
        if row["id"] == name:
            return row["words"]
    raise KeyError(name)


def causes(case: Case, posterior: Posterior, worst: Condition, allowed_s: float, seed: int = 1) -> tuple[Cause, ...]:
    """Return the causes, likeliest first. Their shares need not sum to 1: two removals may each be enough.

    Parameters
    ----------
    case : Case
        The case.
    posterior : Posterior
        Situations that fit its record.
    worst : Condition
        The worst case.
    allowed_s : float
        Allowed spillage time, s.
    seed : int
        Chooses the situations for the parts that are worked out on fewer of them.
    """
    state, weight = posterior.state, posterior.weight
    spills = respond(state, worst).spills_beyond(allowed_s) > 0.5
    total = float(weight[spills].sum())
    index = np.flatnonzero(spills)
    part = state.take(index) if index.size else state
    names = possible_causes(case)
    shares = _parts_of_cures(part, weight[index] / total, names, worst, allowed_s, seed) if index.size else {}
    speaking = _speaking(posterior, names, worst, allowed_s, seed) if index.size else {}
    found = []
    for name in names:
        present = float(np.sum(weight * _present(name, case, state)))
        stops = 0.0
        if index.size:
            cured = respond(REMOVALS[name](part), worst).spills_beyond(allowed_s) < 0.5
            stops = float(np.sum(weight[index] * cured)) / total
        if name == "air_supply":
            present = stops
        speaks = speaking.get(name, ())
        found.append(
            Cause(
                name,
                words_of(name),
                stops,
                present,
                min(1.0, stops + shares.get(name, 0.0)),
                tuple(s for s in speaks if s.log_odds > 0.0)[: int(number("speaks_most"))],
                tuple(s for s in speaks if s.log_odds < 0.0)[: int(number("speaks_most"))],
            )
        )
    order = [row["id"] for row in catalog.table("causes")]
    # of causes that explain it equally well the more specific one comes first: the catalog's order
    return tuple(sorted(found, key=lambda c: (-round(c.stops_alone, 2), order.index(c.id))))


def _parts_of_cures(
    part: State, weight: Array, names: list[str], worst: Condition, allowed_s: float, seed: int
) -> dict[str, float]:
    """Share of the spilling situations in which a cause is needed as one of a pair, neither of which is enough."""
    some = part.take(pick(weight, int(number("cure_samples")), seed))
    alone = {n: respond(REMOVALS[n](some), worst).spills_beyond(allowed_s) < 0.5 for n in names}
    paired = {n: np.zeros(some.samples, dtype=bool) for n in names}
    for first, second in combinations(names, 2):
        # open air already holds what a cleared intake gives
        if {first, second} == {"intake", "air_supply"}:
            continue
        index = np.flatnonzero(~alone[first] & ~alone[second])
        if index.size:
            both = REMOVALS[second](REMOVALS[first](some.take(index)))
            cured = index[respond(both, worst).spills_beyond(allowed_s) < 0.5]
            paired[first][cured] = paired[second][cured] = True
    return {n: float(np.mean(paired[n] & ~alone[n])) for n in names}


def _speaking(
    posterior: Posterior, names: list[str], worst: Condition, allowed_s: float, seed: int
) -> dict[str, tuple[Speaks, ...]]:
    """For each cause, the observations that change its log odds, strongest first.

    Each observation is left out by re-weighting. Samples of the posterior alone would miss what the observation ruled
    out, samples of the prior alone what the record picked out: both are pooled, each weighed by the density of the
    mixture they were drawn from.
    """
    if not posterior.prior.observations:
        return {}
    count = int(number("reweighing_samples"))
    before, first = posterior.prior.state, pick(normalized(posterior.prior.state.log_weight), count, seed)
    second = pick(posterior.weight, count, seed + 1)
    old, new = before.take(first), posterior.state.take(second)
    parts = (
        tuple(o.at(first) for o in posterior.prior.observations),
        record_observations(posterior.case, new, posterior.record),
    )
    ratio = np.concatenate([total_log_likelihood(p, count) for p in parts]) - posterior.log_evidence
    mixture = np.logaddexp(0.0, ratio)
    without = [
        np.concatenate([total_log_likelihood(p, count, i) for p in parts]) for i in range(len(parts[0]))
    ]  # left out one by one: the floor of a failure is shared, so it cannot be taken off observation by observation
    spills: list[Array] = []
    cured: dict[str, list[Array]] = {n: [] for n in names}
    for state in (old, new):
        fails = respond(state, worst).spills_beyond(allowed_s)
        spills.append(fails)
        index = np.flatnonzero(fails > 0.5)
        for n in names:
            stops = np.zeros(state.samples)
            if index.size:
                stops[index] = respond(REMOVALS[n](state.take(index)), worst).spills_beyond(allowed_s) < 0.5
            cured[n].append(stops)
    fails = np.concatenate(spills)

    def log_odds(name: str, log_weight: Array) -> float:
        weight = normalized(log_weight) * fails
        floor = 1.0 / count
        share = float(np.sum(weight * np.concatenate(cured[name])) / max(float(weight.sum()), 1e-300))
        share = min(max(share, floor), 1.0 - floor)
        return float(np.log(share / (1.0 - share)))

    found: dict[str, tuple[Speaks, ...]] = {}
    for n in names:
        whole, speaks = log_odds(n, ratio - mixture), []
        for i, one in enumerate(posterior.prior.observations):
            change = whole - log_odds(n, without[i] - mixture)
            if abs(change) >= number("speaks_from_log_odds"):
                speaks.append(Speaks(one.run, one.words, change, _speaks_words(one, change)))
        found[n] = tuple(sorted(speaks, key=lambda s: -abs(s.log_odds)))
    return found


def _speaks_words(one: Observation, change: float) -> str:
    where = f"'{one.run}': {one.words}" if one.run else one.words
    times = float(np.exp(abs(change)))
    size = "over 20" if times > 20.0 else f"{times:.0f}" if times >= 3.0 else f"{times:.1f}"
    return f"{where} (odds {'times' if change > 0.0 else 'divided by'} {size})"


def _possible(name: str, case: Case) -> bool:
    if name == "intake":
        return bool(listed(case.opening))
    if name == "exhaust":
        return any(e.ducted_outdoors for e in listed(case.exhaust))
    if name == "return_leak":
        return case.air_handler.present is True
    return True


def possible_causes(case: Case) -> list[str]:
    """Return the names of the causes that a case can have at all."""
    return [name for name in REMOVALS if _possible(name, case)]


def removed(name: str, state: State) -> State:
    """Return the situations with one cause removed."""
    return REMOVALS[name](state)
