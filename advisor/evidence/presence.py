"""Where a cause is there at all, situation by situation and in the weather of the failing runs."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from advisor import units
from advisor.case.model import Case
from advisor.ensemble.state import Array, Flags, State
from advisor.evidence.removals import Failure, limit, mild_from_k, upper_window, without_fans
from advisor.evidence.vent_size import table_of_case, too_small


def _any(state: State, holds: bool) -> Flags:
    return np.full(state.samples, holds)


def _connector_is_poor(state: State) -> Flags:
    lateral = state.vent.connector_length_m - state.vent.connector_rise_m
    return np.asarray(
        (lateral > limit("poor_connector_lateral_ft") * units.M_PER_FT)
        | (state.vent.connector_rise_m < limit("poor_connector_rise_ft") * units.M_PER_FT)
        | (state.vent.connector_elbows > limit("good_connector_elbows"))
    )


def _large_or_cold(state: State) -> Flags:
    large = state.vent.vertical_area_m2 > limit("large_vent_area_ratio") * state.vent.connector_area_m2
    return np.asarray(large | (state.vent.exterior_share > limit("cold_vent_exterior_share")))


def _exhausts(state: State, whole_house: bool) -> Flags:
    flow = without_fans(state, not whole_house).house.device_m3_s.sum(axis=0)
    return np.asarray(flow > limit("exhaust_cfm") * units.M3_S_PER_CFM)


def _unbalanced(state: State) -> Flags:
    net = state.house.supply_leak_m3_s + np.maximum(state.house.supply_exhaust_m3_s - state.house.supply_m3_s, 0.0)
    return np.asarray(net > limit("supply_leak_cfm") * units.M3_S_PER_CFM)


def present(name: str, case: Case, state: State, failures: Sequence[Failure]) -> Array:
    """Return where a cause is there at all, as 0 or 1, (n,).

    Parameters
    ----------
    name : str
        A cause.
    case : Case
        The case.
    state : State
        ``n`` situations.
    failures : sequence of Failure
        The failing runs: weather, windows and a whole-house fan are those of the runs.
    """
    table = table_of_case(case)
    mild = any(np.any(np.asarray(f.question.condition.outdoor_k) >= mild_from_k()) for f in failures)
    upper = any(upper_window(f.question.condition) for f in failures)
    holds: dict[str, Callable[[], Flags]] = {
        "intake": lambda: state.zone.intake_blocked > limit("intake_blocked"),
        "exhaust": lambda: _exhausts(state, whole_house=False),
        "whole_house_fan": lambda: _exhausts(state, whole_house=True),
        # a lack of air shows only by what more air does: see `causes`
        "air_supply": lambda: _any(state, False),
        "return_leak": lambda: state.zone.return_leak_m3_s > limit("return_leak_cfm") * units.M3_S_PER_CFM,
        "supply_leak": lambda: _unbalanced(state),
        "vent_blocked": lambda: state.vent.blocked > limit("vent_blocked"),
        "vent_too_small": lambda: _any(state, False) if table is None else too_small(state, table),
        "connector_poor": lambda: _connector_is_poor(state),
        "vent_cold_or_large": lambda: _large_or_cold(state),
        "terminal": lambda: state.vent.terminal_cp > limit("terminal_cp"),
        "house_stack": lambda: (state.house.ceiling_share > limit("leaky_top_share")) | upper,
        "weather_against_stack": lambda: _any(state, mild),
    }
    return np.asarray(holds[name](), dtype=np.float64)
