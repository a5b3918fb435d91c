"""Is the vent too small for its heater, situation by situation: the published capacity tables held against the state."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from advisor import catalog, units
from advisor.case.model import Case
from advisor.codes import vent_tables
from advisor.ensemble.state import Array, State
from advisor.errors import InputError
from advisor.facts.burners import on_the_vent

BEST_TABLE = "504.2(1)"
"""Type B vent with a Type B connector: where even this table says too small, every other one does."""
SIZE_HAIR_IN = 1e-6
"""Rounding of a diameter that went through its area; numerical."""
_MATERIAL = {"single wall": "single wall", "masonry": "masonry"}
_CONNECTOR = {"single wall": "single wall", "type b": "type B"}


def table_of_case(case: Case) -> str | None:
    """Return the published table for the vent that was noted; None where none covers it.

    What nobody noted is taken as the best vent: 'too small' is then said only where it holds for every material.
    """
    if on_the_vent(case):
        return None  # two appliances: the tables for one do not apply
    vent = _MATERIAL.get(case.vent.vertical or "", "type B")
    connector = _CONNECTOR[case.vent.connector or "type b"]
    try:
        return vent_tables.table_for(vent, connector, "one").table
    except InputError:
        return None


def _lateral_ft(state: State) -> Array:
    return np.asarray(np.maximum(state.vent.connector_length_m - state.vent.connector_rise_m, 0.0) / units.M_PER_FT)


def _round_in(area_m2: Array) -> Array:
    return np.asarray(np.sqrt(4.0 * area_m2 / np.pi) / units.M_PER_IN)


def capacity_w(state: State, table: str, diameter_in: Array) -> Array:
    """Return the largest input that a published table allows, W; NaN where the table says nothing.

    Parameters
    ----------
    state : State
        ``n`` situations: vent height, lateral and elbows are read from it.
    table : str
        ``504.2(1)`` to ``504.2(5)`` (NFPA 54-2012 13.1).
    diameter_in : array (n,)
        Size of vent and connector, in; in the masonry tables the connector's.
    """
    height, lateral = state.vent.height_m / units.M_PER_FT, _lateral_ft(state)
    least = catalog.number("rules_venting", "lateral_above_zero_read_at_least_ft")
    # the 0 ft row is for a straight vertical vent: with elbows the first row that includes them is read
    lateral = np.where((state.vent.connector_elbows > 0.0) & (lateral < least), least, lateral)
    cells = vent_tables.single_capacity_kbtu_h(table, "NAT_MAX", height, lateral, diameter_in)
    included = catalog.number("rules_venting", "elbows_included")
    further = np.maximum(state.vent.connector_elbows - included, 0.0)
    factor = np.maximum(0.0, 1.0 - further * catalog.number("rules_venting", "elbow_90_cut"))
    return np.asarray(cells * factor * 1000.0 * units.W_PER_BTU_H)


def size_in(state: State, table: str) -> Array:
    """Return the diameter with which a table is entered, in: the smaller of connector and vent (13.1.9), a printed size."""
    sizes = np.array(sorted(vent_tables.sizes_in("single", table, "NAT_MAX")))
    found = _round_in(np.minimum(state.vent.connector_area_m2, state.vent.vertical_area_m2))
    # a size between two printed ones is read as the smaller; a hair is left for the way over the area
    index = np.searchsorted(sizes, found + SIZE_HAIR_IN, side="right") - 1
    return np.asarray(np.where(index < 0, found, sizes[np.maximum(index, 0)]))


def too_small(state: State, table: str) -> NDArray[np.bool_]:
    """Return whether the published capacity lies below the input; False where the table says nothing.

    The input is the fired one (derated for altitude), so that 'too small' is not said too easily.
    """
    allowed = capacity_w(state, table, size_in(state, table))
    return np.asarray(np.isfinite(allowed) & (allowed < state.burner.input_w))


def of_published_size(state: State, table: str = BEST_TABLE) -> State:
    """Return the state with a vent and connector of the smallest published size for the input, where they are smaller."""
    small = too_small(state, table)
    if not small.any():
        return state
    sizes = sorted(vent_tables.sizes_in("single", table, "NAT_MAX"))
    wanted = np.full(state.samples, sizes[-1])
    for size in reversed(sizes):
        allowed = capacity_w(state, table, np.full(state.samples, size))
        wanted = np.where(np.isfinite(allowed) & (allowed >= state.burner.input_w), size, wanted)
    area = np.where(small, np.pi / 4.0 * (wanted * units.M_PER_IN) ** 2, 0.0)
    vertical = np.maximum(state.vent.vertical_area_m2, area)
    wider = np.sqrt(vertical / state.vent.vertical_area_m2)
    return replace(
        state,
        vent=replace(
            state.vent,
            connector_area_m2=np.maximum(state.vent.connector_area_m2, area),
            vertical_area_m2=vertical,
            vertical_perimeter_m=state.vent.vertical_perimeter_m * wider,
        ),
    )
