"""The Category I vent tables as arrays: loaded once, read by linear interpolation, never extrapolated.

Every reading carries the weakest status and the sources of the cells it rests on. Four things can happen to a reading:
a number; ``NA`` printed in the code (not allowed); outside the table (engineered design); a cell that exists in the
code but was not available to this tool (unread).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from advisor import catalog
from advisor.catalog import by_edition
from advisor.codes.compose import STRENGTH
from advisor.codes.tables import ExteriorCell, VentCell, VentTable, vent_cells
from advisor.errors import InputError, suggest
from advisor.findings import Finding, finding

OK, NOT_ALLOWED, OUTSIDE_TABLE, UNREAD = 0, 1, 2, 3

OUTCOMES = ("read", "not_allowed", "outside", "unread")
"""Ids of the outcomes, in their order; each has a message (``codes_vent.reading.<id>``)."""

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Reading:
    """Capacities read from a table.

    Parameters
    ----------
    capacity_kbtu_h : array
        Sea-level input in kBtu/h; NaN unless ``outcome`` is ``OK``.
    outcome : array of int
        ``OK``, ``NOT_ALLOWED``, ``OUTSIDE_TABLE`` or ``UNREAD`` (ids in ``OUTCOMES``).
    strength : array of int
        Index into ``compose.STRENGTH`` of the weakest cell used.
    source_bits : array of int
        Bit set of the sources of the cells used; see ``sources_text``.
    """

    capacity_kbtu_h: Floats
    outcome: Ints
    strength: Ints
    source_bits: Ints

    @property
    def value(self) -> float:
        """The capacity of a one-element reading."""
        return float(self.capacity_kbtu_h.reshape(-1)[0])

    @property
    def code(self) -> int:
        """The outcome of a one-element reading."""
        return int(self.outcome.reshape(-1)[0])

    @property
    def status(self) -> str:
        """Weakest status word of all elements."""
        return STRENGTH[int(self.strength.max(initial=0))]

    @property
    def source(self) -> str:
        """Sources of all elements, ``;`` separated."""
        bits = int(np.bitwise_or.reduce(self.source_bits.reshape(-1)))
        return ";".join(name for k, name in enumerate(_source_names()) if bits >> k & 1)


def outcome_finding(outcome: int) -> Finding:
    """Return what happened to a reading, to be said."""
    return finding(f"codes_vent.reading.{OUTCOMES[outcome]}")


_FILES = {"single": "vent_capacity_single", "common": "vent_capacity_common", "connector": "vent_connector_capacity"}


@by_edition
def _source_names() -> tuple[str, ...]:
    names = {name for file in _FILES.values() for cell in catalog.rows_of(VentCell, file) for name in cell.source}
    names |= {name for cell in catalog.rows_of(ExteriorCell, "vent_exterior_masonry") for name in cell.source}
    return tuple(sorted(names))


@dataclass(frozen=True, slots=True)
class Grid:
    """One table and kind: nodes of height, of the second axis for each height (padded), sizes; cells of each."""

    heights: Floats  # (h,)
    seconds: Floats  # (h, s), padded with +inf
    sizes: Floats  # (d,)
    values: Floats  # (h, s, d), NaN unless the cell holds a number
    outcome: Ints  # (h, s, d)
    strength: Ints
    bits: Ints


def cells(file: str, table: str) -> tuple[VentCell, ...]:
    """Return the printed cells of a table; ``file`` is ``single``, ``common`` or ``connector``. Empty: no such table."""
    return vent_cells(_FILES[file], table)


def _heights_of(file: str, cell: VentCell) -> tuple[float, ...]:
    """Return the height nodes of a cell: a connector's may hold over a range, or 'and above'."""
    low = cell.height_ft
    if file != "connector":
        return (low,)
    high = math.inf if cell.height_to_ft is None else cell.height_to_ft
    return (low,) if high == low else (low, high)


def _second_of(cell: VentCell) -> float:
    """Return where a cell stands on the second axis: lateral of a single vent, rise of a connector; a common vent has none."""
    return cell.lateral_ft or cell.rise_ft or 0.0


@by_edition
def _grid(file: str, table: str, kind: str) -> Grid:
    every = cells(file, table)
    if not every:
        tables = {cell.table for cell in catalog.rows_of(VentCell, _FILES[file])}
        raise InputError(f"vent table '{table}'{suggest(table, tables)}: one of {', '.join(sorted(tables))}")
    rows = [cell for cell in every if cell.kind == kind]
    if not rows:
        kinds = sorted({cell.kind for cell in every})
        raise InputError(f"vent table {table} has no column '{kind}': one of {', '.join(kinds)}")
    return grid_of(file, rows)


def grid_of(file: str, rows: Sequence[VentCell], frame: Sequence[VentCell] = ()) -> Grid:
    """Return the cells of one table and column as arrays; ``file`` as in ``cells``.

    Nodes for which there is no cell are ``UNREAD``; ``frame`` adds the heights and sizes of another column.
    """
    heights = sorted({height for row in (*rows, *frame) for height in _heights_of(file, row)})
    sizes = sorted({row.size for row in (*rows, *frame)})
    seconds: dict[float, list[float]] = {height: [] for height in heights}
    for row in (*rows, *frame):
        for height in _heights_of(file, row):
            second = _second_of(row)
            if second not in seconds[height]:
                seconds[height].append(second)
    width = max(len(found) for found in seconds.values())
    axis = np.full((len(heights), width), np.inf)
    for i, height in enumerate(heights):
        seconds[height].sort()
        axis[i, : len(seconds[height])] = seconds[height]
    shape = (len(heights), width, len(sizes))
    values = np.full(shape, np.nan)
    outcome = np.full(shape, UNREAD, dtype=np.int64)
    strength = np.zeros(shape, dtype=np.int64)
    bits = np.zeros(shape, dtype=np.int64)
    bit = {name: 1 << k for k, name in enumerate(_source_names())}
    for row in rows:
        for height in _heights_of(file, row):
            i = heights.index(height)
            j = seconds[height].index(_second_of(row))
            cell = (i, j, sizes.index(row.size))
            if row.capacity_kbtu_h == "NA":
                outcome[cell] = NOT_ALLOWED
            else:
                outcome[cell] = OK
                values[cell] = row.capacity_kbtu_h
            strength[cell] = STRENGTH.index(row.status)
            bits[cell] = sum(bit[name] for name in row.source)
    return Grid(np.array(heights), axis, np.array(sizes), values, outcome, strength, bits)


def _bracket(nodes: Floats, x: Floats) -> tuple[Ints, Ints, Floats]:
    """Return lower index, upper index and weight of the upper one along the last axis of ascending ``nodes``."""
    low = np.clip((nodes <= x[..., None]).sum(axis=-1) - 1, 0, nodes.shape[-1] - 1)
    high = np.minimum(low + 1, nodes.shape[-1] - 1)
    below = np.take_along_axis(np.broadcast_to(nodes, (*x.shape, nodes.shape[-1])), low[..., None], -1)[..., 0]
    above = np.take_along_axis(np.broadcast_to(nodes, (*x.shape, nodes.shape[-1])), high[..., None], -1)[..., 0]
    # A node at infinity stands for "and above": its weight is zero there, so the row is held constant.
    span = np.where(above > below, above - below, 1.0)
    with np.errstate(invalid="ignore"):
        weight = np.where(np.isinf(span), 0.0, (x - below) / span)
    return low, high, weight


def read_grid(grid: Grid, height: Floats, second: Floats, size: Floats) -> Reading:
    """Read a grid at points of one shape: linear in height and second axis, on a printed size, never beyond the ends."""
    d = np.clip(np.searchsorted(grid.sizes, size), 0, len(grid.sizes) - 1)
    outside = (grid.sizes[d] != size) | ~np.isfinite(height) | ~np.isfinite(second)
    outside |= (height < grid.heights[0]) | (height > grid.heights[-1])
    low, high, weight = _bracket(grid.heights, height)
    total = np.zeros(height.shape)
    outcome = np.zeros(height.shape, dtype=np.int64)
    strength = np.zeros(height.shape, dtype=np.int64)
    bits = np.zeros(height.shape, dtype=np.int64)
    for i, share in ((low, 1.0 - weight), (high, weight)):
        nodes = grid.seconds[i]
        j0, j1, part = _bracket(nodes, second)
        top = np.where(np.isfinite(nodes), nodes, -np.inf).max(axis=-1)
        used_row = share > 0.0
        outside |= used_row & ((second < nodes[:, 0]) | (second > top))
        for j, fraction in ((j0, 1.0 - part), (j1, part)):
            used = used_row & (fraction > 0.0)
            total += np.where(used, share * fraction * np.nan_to_num(grid.values[i, j, d]), 0.0)
            outcome = np.maximum(outcome, np.where(used, grid.outcome[i, j, d], OK))
            strength = np.maximum(strength, np.where(used, grid.strength[i, j, d], 0))
            bits |= np.where(used, grid.bits[i, j, d], 0)
    outcome = np.where(outside, OUTSIDE_TABLE, outcome)
    found = outcome == OK
    keep = found | (outcome == NOT_ALLOWED)
    return Reading(
        np.where(found, total, np.nan), outcome, np.where(keep, strength, 0), np.where(keep, bits, 0).astype(np.int64)
    )


def _broadcast(*values: ArrayLike) -> list[Floats]:
    arrays = np.broadcast_arrays(*(np.asarray(value, dtype=np.float64) for value in values))
    return [np.atleast_1d(array) for array in arrays]


def read_single(table: str, kind: str, height_ft: ArrayLike, lateral_ft: ArrayLike, diameter_in: ArrayLike) -> Reading:
    """Read a single-appliance table (IFGC 504.2(1)-(5) = NFPA 54-2012 ch. 13).

    Parameters
    ----------
    table : str
        ``504.2(1)`` to ``504.2(5)``.
    kind : str
        ``FAN_MIN``, ``FAN_MAX`` or ``NAT_MAX``.
    height_ft, lateral_ft : array_like
        Vent height (outlet to top) and horizontal length. A lateral between 0 and 2 ft is read on the 2 ft row:
        the 0 ft row has no elbow, so mixing them would overstate (catalog ``rules_venting``).
    diameter_in : array_like
        Vent diameter; in the masonry tables the connector's.

    Returns
    -------
    Reading
        Arrays of the broadcast shape (at least one-dimensional).

    Raises
    ------
    InputError
        If the table or the column does not exist.
    """
    grid = _grid("single", table, kind)
    height, lateral, diameter = _broadcast(height_ft, lateral_ft, diameter_in)
    least = catalog.number("rules_venting", "lateral_above_zero_read_at_least_ft")
    lateral = np.where((lateral > 0.0) & (lateral < least), least, lateral)
    return read_grid(grid, height, lateral, diameter)


def single_capacity_kbtu_h(
    table: str, kind: str, height_ft: ArrayLike, lateral_ft: ArrayLike, diameter_in: ArrayLike
) -> Floats:
    """Return the capacities of ``read_single``; NaN where not allowed or outside the table."""
    return read_single(table, kind, height_ft, lateral_ft, diameter_in).capacity_kbtu_h


def read_connector(table: str, kind: str, height_ft: ArrayLike, rise_ft: ArrayLike, diameter_in: ArrayLike) -> Reading:
    """Read the connector part of a common-vent table (504.3(1)-(5)); arguments as in ``read_single``.

    ``rise_ft`` goes from the appliance outlet to the centre of the merge (NFPA 54-2012 13.2.12). Where only a part of a
    table is in the catalog, what lies between its ends and those of its frame (``rules_vent_tables``) is unread.
    """
    at = _broadcast(height_ft, rise_ft, diameter_in)
    found = read_grid(_grid("connector", table, kind), *at)
    frame = frame_of(table)
    if not frame:
        return found
    printed = read_grid(_grid("connector", frame, kind), *at).outcome != OUTSIDE_TABLE
    return replace(found, outcome=np.where((found.outcome == OUTSIDE_TABLE) & printed, UNREAD, found.outcome))


@by_edition
def frame_of(table: str) -> str:
    """Return the table with the same heights, rises and sizes where a table is in the catalog in part only, else ``""``."""
    return next((row.frame for row in catalog.rows_of(VentTable, "rules_vent_tables") if row.table == table), "")


def read_common(table: str, kind: str, height_ft: ArrayLike, size: ArrayLike) -> Reading:
    """Read the common-vent part of 504.3(1)-(5).

    Parameters
    ----------
    kind : str
        ``FAN+FAN``, ``FAN+NAT`` or ``NAT+NAT``.
    height_ft : array_like
        From the highest outlet to the vent top.
    size : array_like
        Diameter in inches, or for masonry (504.3(3)-(4)) the flue area in in2: the next printed area below is read,
        which is safe for a maximum.
    """
    grid = _grid("common", table, kind)
    height, wanted = _broadcast(height_ft, size)
    if is_by_area(table):
        k = np.searchsorted(grid.sizes, wanted, side="right") - 1
        wanted = np.where(k >= 0, grid.sizes[np.clip(k, 0, None)], wanted)
    return read_grid(grid, height, np.zeros(height.shape), wanted)


@by_edition
def is_by_area(table: str) -> bool:
    """Return whether a common-vent table is entered with the flue area instead of a diameter."""
    return any(cell.area_in2 for cell in cells("common", table))


def has_column(file: str, table: str, kind: str) -> bool:
    """Return whether a table has a column; ``file`` is ``single``, ``common`` or ``connector``."""
    return any(cell.kind == kind for cell in cells(file, table))


def unread() -> Reading:
    """Return the reading of a column that this tool does not have."""
    return Reading(np.array([np.nan]), np.array([UNREAD]), np.array([0]), np.array([0]))


def not_allowed(source: str) -> Reading:
    """Return the reading of a column that a table does not have: the appliance is not allowed on such a vent."""
    bits = sum(1 << k for k, name in enumerate(_source_names()) if name == source)
    return Reading(np.array([np.nan]), np.array([NOT_ALLOWED]), np.array([0]), np.array([bits]))


@by_edition
def sizes_in(file: str, table: str, kind: str) -> tuple[float, ...]:
    """Return the printed sizes of a table; ``file`` is ``single``, ``common`` or ``connector``."""
    return tuple(float(size) for size in _grid(file, table, kind).sizes)


@by_edition
def height_range_ft(file: str, table: str, kind: str) -> tuple[float, float]:
    """Return the lowest and highest printed height of a table."""
    heights: Sequence[float] = _grid(file, table, kind).heights.tolist()
    return heights[0], heights[-1]


def clause_of(table: str) -> str:
    """Return how the clause of a table is cited.

    Raises
    ------
    InputError
        If there is no such table.
    """
    for row in catalog.rows_of(VentTable, "rules_vent_tables"):
        if row.table == table:
            return row.ref
    raise InputError(f"vent table '{table}': not in the catalog")


def table_for(vent: str, connector: str, appliances: str) -> VentTable:
    """Return the catalog row of the table for a vent, a connector and ``one`` or ``several`` appliances.

    Raises
    ------
    InputError
        If no table covers the combination.
    """
    for row in catalog.rows_of(VentTable, "rules_vent_tables"):
        if (row.vent, row.connector, row.appliances) == (vent, connector, appliances):
            return row
    raise InputError(f"no vent table for a {vent} vent with a {connector} connector and {appliances} appliance(s)")
