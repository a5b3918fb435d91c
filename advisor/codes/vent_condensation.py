"""Cells of the masonry tables where water may keep condensing, as an older edition marks them: a warning, no verdict."""

from __future__ import annotations

from collections.abc import Iterable

from advisor import catalog
from advisor.codes import vent_tables
from advisor.codes.tables import CondensationFlag


def _around(nodes: Iterable[float], value: float) -> tuple[float, ...]:
    """Return the printed numbers that a value is read between: one where it is printed itself, none beyond the ends."""
    printed = sorted(set(nodes))
    below = [node for node in printed if node <= value]
    above = [node for node in printed if node >= value]
    return tuple(dict.fromkeys((below[-1], above[0]))) if below and above else ()


def condensation_flags(
    table: str, height_ft: float, lateral_ft: float, connector_in: float
) -> tuple[CondensationFlag, ...]:
    """Return the marked cells among those that a capacity of a draft hood is read from.

    Parameters
    ----------
    table : str
        Table of one appliance on a masonry chimney.
    height_ft, lateral_ft, connector_in : float
        What it is entered with.

    Returns
    -------
    tuple of CondensationFlag
        Empty where none is marked, which says nothing: the list is not complete (manual-furnace-1991, second-hand).
    """
    marked = {
        (row.height_ft, row.lateral_ft): row
        for row in catalog.rows_of(CondensationFlag, "vent_masonry_condensation_1991")
        if row.table == table and row.diameter_in == connector_in
    }
    if not marked:
        return ()
    printed = [cell for cell in vent_tables.cells("single", table) if cell.kind == "NAT_MAX"]
    read = [
        (height, lateral)
        for height in _around((cell.height_ft for cell in printed), height_ft)
        for lateral in _around((cell.lateral_ft or 0.0 for cell in printed if cell.height_ft == height), lateral_ft)
    ]
    return tuple(marked[node] for node in read if node in marked)
