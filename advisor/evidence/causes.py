"""What is wrong, and how sure: for each cause, in which share of situations does removing it alone stop the spillage."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from advisor import catalog, units
from advisor.case.model import Case
from advisor.ensemble.respond import respond
from advisor.ensemble.state import Condition, State
from advisor.evidence.posterior import Posterior


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
    """

    id: str
    words: str
    stops_alone: float
    present: float


def _off(state: State) -> State:
    return replace(state, device_m3_s=0.0 * state.device_m3_s)


def _open_air(state: State) -> State:
    # as much air path to outdoors as anybody would build: what is left is not a lack of air to the zone
    area = np.full(state.samples, 1.0 * units.M2_PER_FT2)
    left = 1.0 - state.intake_blocked
    return replace(
        state,
        opening_low_m2=state.opening_low_m2 * left + area,
        opening_high_m2=state.opening_high_m2 * left + area,
        intake_blocked=0.0 * state.intake_blocked,
    )


def _good_vent(state: State) -> State:
    warm = np.minimum(state.vertical_u, 3.41)
    hood_area = state.connector_area_m2
    return replace(
        state,
        vertical_u=warm,
        exterior_share=np.minimum(state.exterior_share, 0.15),
        vertical_area_m2=np.minimum(state.vertical_area_m2, 1.6 * hood_area),
        vertical_perimeter_m=np.minimum(state.vertical_perimeter_m, np.sqrt(4.0 * np.pi * 1.6 * hood_area)),
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


def _present(name: str, case: Case, state: State) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    number = catalog.number
    table = {
        "intake": state.intake_blocked > number("causes_limits", "intake_blocked"),
        "exhaust": state.device_m3_s.sum(axis=0) > number("causes_limits", "exhaust_cfm") * units.M3_S_PER_CFM,
        "air_supply": np.zeros(state.samples, dtype=bool),
        "return_leak": state.return_leak_m3_s > number("causes_limits", "return_leak_cfm") * units.M3_S_PER_CFM,
        "vent_blocked": state.vent_blocked > number("causes_limits", "vent_blocked"),
        "vent_cold_or_large": (state.vertical_area_m2 > 2.5 * state.connector_area_m2) | (state.exterior_share > 0.5),
        "terminal": state.terminal_cp > number("causes_limits", "terminal_cp"),
    }
    return np.asarray(table[name], dtype=np.float64)


def words_of(name: str) -> str:
    """Plain words of a cause."""
    for row in catalog.table("causes"):
        if row["id"] == name:
            return row["words"]
    raise KeyError(name)


def causes(case: Case, posterior: Posterior, worst: Condition, allowed_s: float) -> tuple[Cause, ...]:
    """Return the causes, likeliest first. Their shares need not sum to 1: two removals may each be enough."""
    state, weight = posterior.state, posterior.weight
    spills = respond(state, worst).spills_beyond(allowed_s) > 0.5
    total = float(weight[spills].sum())
    found = []
    index = np.flatnonzero(spills)
    part = state.take(index) if index.size else state
    for name, remove in REMOVALS.items():
        if not _possible(name, case):
            continue
        present = float(np.sum(weight * _present(name, case, state)))
        stops = 0.0
        if index.size:
            cured = respond(remove(part), worst).spills_beyond(allowed_s) < 0.5
            stops = float(np.sum(weight[index] * cured)) / total
        if name == "air_supply":
            present = stops
        found.append(Cause(name, words_of(name), stops, present))
    order = [row["id"] for row in catalog.table("causes")]
    # of causes that explain it equally well the more specific one comes first: the catalog's order
    return tuple(sorted(found, key=lambda c: (-round(c.stops_alone, 2), order.index(c.id))))


def _possible(name: str, case: Case) -> bool:
    if name == "intake":
        return bool(case.opening)
    if name == "exhaust":
        return any(e.ducted_outdoors for e in case.exhaust)
    if name == "return_leak":
        return case.air_handler.present
    return True
