"""What it means to take one cause away: a changed state, a changed condition, or both."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from advisor import catalog, units
from advisor.case.model import Case, listed
from advisor.ensemble import conditions
from advisor.ensemble.question import Question
from advisor.ensemble.state import Condition, State
from advisor.ensemble.vent_draw import wall
from advisor.evidence.vent_size import of_published_size, table_of_case
from advisor.facts.exhaust import WHOLE_HOUSE, counted
from advisor.facts.record import verdict_of
from advisor.facts.run_conditions import ran
from advisor.findings import Finding, finding

NOT_LOOKED_AT = "not_looked_at"
"""What nobody looked at, and what only the model's own error explains: never removed, never attributed to a part."""


@dataclass(frozen=True, slots=True)
class Failure:
    """One failing run as it is simulated.

    Parameters
    ----------
    index : int
        Position in the record.
    question : Question
        Its own condition (its weather, its fans, its windows) and the allowed time that judged it.
    """

    index: int
    question: Question


def failures_of(case: Case, state: State) -> tuple[Failure, ...]:
    """Return the runs that failed before any work, each with its own condition and the time that judged it."""
    return tuple(
        Failure(r.index, Question(conditions.of_run(case, state.devices, case.run[r.index]), r.limit.limit_s))
        for r in verdict_of(case).failing
    )


def limit(key: str) -> float:
    """Return a typical value of ``catalog/evidence/causes_limits.csv``."""
    return catalog.number("causes_limits", key)


def without_fans(state: State, whole_house: bool) -> State:
    """Return the state without whole-house fans, or without all other exhaust devices."""
    kept = np.array([(d.kind == WHOLE_HOUSE) != whole_house for d in state.devices], dtype=np.float64)
    return replace(state, house=replace(state.house, device_m3_s=state.house.device_m3_s * kept[:, None]))


def _open_air(state: State) -> State:
    # as much air path to outdoors as anybody would build: what is left is not a lack of air to the zone
    area = np.full(state.samples, limit("plenty_of_air_ft2") * units.M2_PER_FT2)
    left = 1.0 - state.zone.intake_blocked
    return replace(
        state,
        zone=replace(
            state.zone,
            opening_low_m2=state.zone.opening_low_m2 * left + area,
            opening_high_m2=state.zone.opening_high_m2 * left + area,
            intake_blocked=0.0 * state.zone.intake_blocked,
        ),
    )


def _good_vent(state: State) -> State:
    warm = np.minimum(state.vent.vertical_u, wall("type b")[0])
    area = np.minimum(state.vent.vertical_area_m2, limit("good_vent_area_ratio") * state.vent.connector_area_m2)
    return replace(
        state,
        vent=replace(
            state.vent,
            vertical_u=warm,
            exterior_share=np.minimum(state.vent.exterior_share, limit("good_vent_exterior_share")),
            vertical_area_m2=area,
            vertical_perimeter_m=np.minimum(state.vent.vertical_perimeter_m, np.sqrt(4.0 * np.pi * area)),
            dilution_ratio=0.0 * state.vent.dilution_ratio,
        ),
    )


def _good_connector(state: State) -> State:
    """Short, rising, few elbows; size and material stay, the vent's top stays where it is."""
    wanted = np.minimum(limit("good_connector_rise_ft") * units.M_PER_FT, 0.9 * state.vent.height_m)
    rise = np.maximum(state.vent.connector_rise_m, wanted)
    lateral = np.maximum(state.vent.connector_length_m - state.vent.connector_rise_m, 0.0)
    short = np.minimum(lateral, limit("good_connector_lateral_ft") * units.M_PER_FT)
    return replace(
        state,
        vent=replace(
            state.vent,
            connector_rise_m=rise,
            connector_length_m=rise + short,
            connector_elbows=np.minimum(state.vent.connector_elbows, limit("good_connector_elbows")),
        ),
    )


def _tight_top(state: State) -> State:
    """Seal the leaks in the top of the house; floor and walls leak as before."""
    ceiling = np.minimum(state.house.ceiling_share, limit("tight_top_share"))
    left = 1.0 - state.house.ceiling_share + ceiling
    return replace(
        state,
        house=replace(
            state.house,
            leak_m3_s=state.house.leak_m3_s * left,
            ceiling_share=ceiling / left,
            floor_share=state.house.floor_share / left,
        ),
    )


def _balanced(state: State) -> State:
    return replace(
        state,
        house=replace(
            state.house,
            supply_leak_m3_s=0.0 * state.house.supply_leak_m3_s,
            supply_exhaust_m3_s=np.minimum(state.house.supply_exhaust_m3_s, state.house.supply_m3_s),
        ),
    )


def _no_pressure_at_top(state: State) -> State:
    return replace(
        state,
        vent=replace(
            state.vent, terminal_cp=np.minimum(state.vent.terminal_cp, 0.0), gust_cp=np.minimum(state.vent.gust_cp, 0.0)
        ),
    )


def vent_made_good(state: State) -> State:
    """Return the state with every vent fault removed: blockage, a cold or oversized vent, pressure at its top."""
    return _good_vent(_no_pressure_at_top(replace(state, vent=replace(state.vent, blocked=0.0 * state.vent.blocked))))


def mild_from_k() -> float:
    """Return the outdoor temperature from which the weather counts as mild, K."""
    return units.kelvin_from_fahrenheit(catalog.parameter("conditions", "mild_day_outdoor_temp_f").low)


def _cold_day(condition: Condition) -> Condition:
    cold = units.kelvin_from_fahrenheit(limit("cold_day_outdoor_temp_f"))
    outdoor = np.where(np.asarray(condition.outdoor_k) >= mild_from_k(), cold, condition.outdoor_k)
    return replace(condition, outdoor_k=float(outdoor) if outdoor.ndim == 0 else outdoor)


def upper_window(condition: Condition) -> bool:
    """Return whether a window stands open above the heater's own storey."""
    usual = catalog.number("conditions", "window_height_ft") * units.M_PER_FT
    return condition.window_m2 > 0.0 and condition.window_height_m is not None and condition.window_height_m > usual


def _upper_window_shut(condition: Condition) -> Condition:
    return replace(condition, window_m2=0.0, window_height_m=None) if upper_window(condition) else condition


Removal = Callable[[State], State]
REMOVALS: dict[str, Removal] = {
    "intake": lambda s: replace(s, zone=replace(s.zone, intake_blocked=0.0 * s.zone.intake_blocked)),
    "exhaust": lambda s: without_fans(s, whole_house=False),
    "whole_house_fan": lambda s: without_fans(s, whole_house=True),
    "air_supply": _open_air,
    "return_leak": lambda s: replace(s, zone=replace(s.zone, return_leak_m3_s=0.0 * s.zone.return_leak_m3_s)),
    "supply_leak": _balanced,
    "vent_blocked": lambda s: replace(s, vent=replace(s.vent, blocked=0.0 * s.vent.blocked)),
    "vent_too_small": of_published_size,
    "connector_poor": _good_connector,
    "vent_cold_or_large": _good_vent,
    "terminal": _no_pressure_at_top,
    "house_stack": _tight_top,
    "weather_against_stack": lambda s: s,
}
"""What the removal of each cause does to the state."""
OF_CONDITION: dict[str, Callable[[Condition], Condition]] = {
    "house_stack": _upper_window_shut,
    "weather_against_stack": _cold_day,
}
"""What it does to the condition of the run."""


def removed(name: str, state: State) -> State:
    """Return the situations with one cause removed, as far as it lies in the house (weather and windows do not)."""
    return REMOVALS[name](state)


def removed_under(name: str, case: Case, state: State, condition: Condition) -> tuple[State, Condition]:
    """Return situations and condition with one cause removed.

    Parameters
    ----------
    name : str
        A cause, see `possible_causes`.
    case : Case
        Says by which published table a vent is too small.
    state : State
        ``n`` situations.
    condition : Condition
        What ran, what stood open, the weather.
    """
    table = table_of_case(case)
    if name == "vent_too_small":
        return (state if table is None else of_published_size(state, table)), condition
    change = OF_CONDITION.get(name)
    return removed(name, state), condition if change is None else change(condition)


def _whole_house_fan_ran(case: Case) -> bool:
    fans = [d for d in listed(case.exhaust) if d.kind == WHOLE_HOUSE]
    return any(ran(case.run[r.index], d) for r in verdict_of(case).failing for d in fans)


_POSSIBLE: dict[str, Callable[[Case], bool]] = {
    "intake": lambda c: bool(listed(c.opening)),
    # a list that nobody wrote down does not say that there is nothing on it
    "exhaust": lambda c: c.exhaust is None or bool(counted(c)),
    "whole_house_fan": _whole_house_fan_ran,
    "return_leak": lambda c: c.air_handler.present is True,
    "supply_leak": lambda c: (
        c.air_handler.present is True or any(s.exhaust_cfm > s.supply_cfm for s in listed(c.supply))
    ),
    "vent_too_small": lambda c: table_of_case(c) is not None,
}


def possible_causes(case: Case) -> list[str]:
    """Return the names of the causes that a case can have at all."""
    return [name for name in REMOVALS if name not in _POSSIBLE or _POSSIBLE[name](case)]


def words_of(name: str) -> Finding:
    """Return a cause as something to say."""
    return finding(f"evidence.cause.{name}")
