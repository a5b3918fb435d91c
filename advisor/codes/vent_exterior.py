"""Several appliances on one exterior masonry chimney: NFPA 54-2012 Tables 13.2(f)-(i).

A cold chimney has two bounds: the largest combined input, and the least input of the furnace that has to keep it warm,
which grows with the cold. The tables of interior chimneys (504.3(3)-(4)) say nothing about it.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from advisor import catalog
from advisor.catalog import by_edition
from advisor.codes import vent_tables
from advisor.codes.altitude import derated_input_btu_h
from advisor.codes.check import Check, Verdict
from advisor.codes.compose import OUTSIDE, Basis, Rated, compose
from advisor.codes.tables import ExteriorCell, VentCell
from advisor.codes.vent_findings import at_least, feet, kbtu_h
from advisor.codes.vent_tables import NOT_ALLOWED, OK, OUTSIDE_TABLE, Grid, Reading
from advisor.findings import Finding, Quantity, Words, finding, quantity

_CELLS = "vent_exterior_masonry"
_RULE = "exterior_chimney_furnace_minimum"
MAXIMUM = {"NAT+NAT": "13.2(f)", "FAN+NAT": "13.2(h)"}
"""Table of the largest combined input by the column of a common vent; two fan-assisted appliances have none here."""
MINIMUM = {"NAT+NAT": "13.2(g)", "FAN+NAT": "13.2(i)"}
"""Table of the least furnace input by the column of a common vent."""


@dataclass(frozen=True, slots=True)
class Band:
    """A band of the 99 % design temperature in a table of furnace minima.

    Parameters
    ----------
    table : str
        ``13.2(g)`` or ``13.2(i)``.
    from_f, to_f : float or None
        Its ends, F; None where it is open.
    not_recommended : ExteriorCell or None
        The row that says so for the whole band.
    """

    table: str
    from_f: float | None
    to_f: float | None
    not_recommended: ExteriorCell | None

    @property
    def words(self) -> Finding:
        """The band, to be said."""
        if self.from_f is None:
            return finding("codes_vent.cold_chimney.band_to", high=quantity(self.to_f, "f"))
        if self.to_f is None:
            return finding("codes_vent.cold_chimney.band_from", low=quantity(self.from_f, "f"))
        return finding("codes_vent.cold_chimney.band", low=quantity(self.from_f, "f"), high=quantity(self.to_f, "f"))


def _rows(table: str) -> list[ExteriorCell]:
    return [cell for cell in catalog.rows_of(ExteriorCell, _CELLS) if cell.table == table]


@by_edition
def bands(table: str) -> tuple[Band, ...]:
    """Return the bands of a table of furnace minima that are in the catalog, warmest first."""
    whole = {(row.design_from_f, row.design_to_f): row for row in _rows(table) if row.height_ft is None}
    ends = {(row.design_from_f, row.design_to_f) for row in _rows(table)}
    ordered = sorted(ends, key=lambda pair: -math.inf if pair[0] is None else pair[0], reverse=True)
    return tuple(Band(table, low, high, whole.get((low, high))) for low, high in ordered)


def band_of(table: str, design_temperature_f: float) -> Band | None:
    """Return the band of a 99 % design temperature, F; None where the catalog holds none for it.

    The ends are printed as whole degrees: a temperature between two bands belongs to the colder one.
    """
    for band in bands(table):
        if band.from_f is None or design_temperature_f >= band.from_f:
            # one whole degree lies between the end of a band and the start of the next
            over = band.to_f is not None and design_temperature_f >= band.to_f + 1.0
            return None if over else band
    return None


def _as_cells(rows: Sequence[ExteriorCell]) -> tuple[VentCell, ...]:
    return tuple(
        VentCell(
            row.table, row.kind, row.height_ft, row.capacity_kbtu_h, row.status, row.source, "", area_in2=row.area_in2
        )
        for row in rows
        if row.height_ft is not None
    )


@by_edition
def _maximum_grid(kind: str) -> Grid:
    return vent_tables.grid_of("common", _as_cells(_rows(MAXIMUM[kind])))


@by_edition
def _minimum_grid(kind: str, from_f: float | None) -> Grid:
    """Return the cells of one band; heights and areas that could not be read are there, as in the table of maxima."""
    rows = [row for row in _rows(MINIMUM[kind]) if row.design_from_f == from_f]
    return vent_tables.grid_of("common", _as_cells(rows), _as_cells(_rows(MAXIMUM[kind])))


def _read(grid: Grid, height_ft: float, area_in2: float) -> Reading:
    return vent_tables.read_grid(grid, np.array([height_ft]), np.array([0.0]), np.array([area_in2]))


def _columns(kind: str, area_in2: float) -> tuple[float, float | None]:
    """Return the printed area at or below an area, and the one at or above it (None beyond the last)."""
    sizes = _maximum_grid(kind).sizes
    below, above = sizes[sizes <= area_in2], sizes[sizes >= area_in2]
    # a flue below the first column is read where nothing is printed: outside the table
    return float(below[-1]) if below.size else area_in2, float(above[0]) if above.size else None


def read_exterior_maximum(kind: str, height_ft: float, area_in2: float) -> Reading:
    """Read the largest combined input for an exterior masonry chimney, kBtu/h.

    Parameters
    ----------
    kind : str
        ``NAT+NAT`` (13.2(f)) or ``FAN+NAT`` (13.2(h)); ``FAN+FAN`` is unread: there is no such table here.
    height_ft : float
        From the highest outlet to the chimney top; linear between the printed heights.
    area_in2 : float
        Inside area of the flue; the printed area at or below it is read, which is safe for a maximum.
    """
    if kind not in MAXIMUM:
        return vent_tables.unread()
    return _read(_maximum_grid(kind), height_ft, _columns(kind, area_in2)[0])


@dataclass(frozen=True, slots=True)
class FurnaceMinimum:
    """The least furnace input in one band, at a height and a flue area.

    Parameters
    ----------
    band : Band
        Where it holds.
    column : Reading
        At the printed area at or below the flue: the column that the code is entered with.
    next_column : Reading
        At the printed area at or above it. A wider flue asks for more: between two columns only an input that meets
        both is enough.
    """

    band: Band
    column: Reading
    next_column: Reading


def read_furnace_minimum(kind: str, band: Band, height_ft: float, area_in2: float) -> FurnaceMinimum:
    """Read the least furnace input of a band of 13.2(g) or 13.2(i), kBtu/h; arguments as in ``read_exterior_maximum``."""
    low, high = _columns(kind, area_in2)
    grid = _minimum_grid(kind, band.from_f)
    above = vent_tables.unread() if high is None else _read(grid, height_ft, high)
    return FurnaceMinimum(band, _read(grid, height_ft, low), above)


def _of_reading(reading: Reading, inputs_kbtu_h: Sequence[float]) -> Verdict:
    """Return the verdict of one column; where furnaces lie on both sides of it nobody can say which one is meant."""
    if reading.code == OK:
        least = reading.value
        return "pass" if min(inputs_kbtu_h) >= least else "fail" if max(inputs_kbtu_h) < least else "unknown"
    if reading.code == NOT_ALLOWED:
        return "fail"
    return OUTSIDE if reading.code == OUTSIDE_TABLE else "unknown"


def verdict_of_minimum(minimum: FurnaceMinimum, inputs_kbtu_h: Sequence[float]) -> Verdict:
    """Return whether the furnaces of a chimney burn enough in a band.

    Parameters
    ----------
    minimum : FurnaceMinimum
        From ``read_furnace_minimum``.
    inputs_kbtu_h : sequence of float
        Derated input of every space-heating appliance on the chimney; none: unknown.
    """
    if minimum.band.not_recommended is not None:
        return "fail"
    if not inputs_kbtu_h:
        return "unknown"
    found = _of_reading(minimum.column, inputs_kbtu_h)
    if found != "pass":
        return found
    return "pass" if _of_reading(minimum.next_column, inputs_kbtu_h) == "pass" else "unknown"


def _basis(minima: Sequence[FurnaceMinimum]) -> list[Rated]:
    rated: list[Rated] = [catalog.parameter("rules_venting", "interpolation")]
    for one in minima:
        whole = one.band.not_recommended
        if whole is not None:
            rated.append(Basis(whole.status, ";".join(whole.source)))
            continue
        rated.extend(Basis(read.status, read.source) for read in (one.column, one.next_column) if read.source)
    return rated


def check_furnace_minimum(
    kind: str,
    furnace_inputs_btu_h: Sequence[float],
    *,
    height_ft: float,
    area_in2: float,
    design_temperature_f: float | None,
    temperature_given: bool = True,
    altitude_ft: float = 0.0,
    type_b_connectors: bool = True,
    rests_on: tuple[str, ...] = (),
) -> Check:
    """Check that the furnace keeps an exterior masonry chimney warm enough (13.2(g), 13.2(i)).

    Parameters
    ----------
    kind : str
        Column of the common vent: ``NAT+NAT``, ``FAN+NAT`` or ``FAN+FAN`` (no table here: unknown).
    furnace_inputs_btu_h : sequence of float
        Nameplate input of every space-heating appliance on the chimney; compared after the cut for altitude.
    height_ft, area_in2 : float
        Of the chimney.
    design_temperature_f : float or None
        99 % winter design temperature.
    temperature_given : bool
        Whether somebody gave it; a guess decides nothing and stands in ``rests_on``.
    altitude_ft : float
        Above sea level.
    type_b_connectors : bool
        Whether all connectors are Type B: with single-wall ones a minimum that is met says nothing.
    rests_on : tuple of str
        Numbers of the house that it rests on (``catalog/codes/check_inputs.csv``), beside temperature and altitude.

    Returns
    -------
    Check
        ``unknown`` without the temperature, unless every band that there is fails.
    """
    if kind not in MINIMUM:
        return _no_table(MINIMUM["FAN+NAT"], rests_on)
    inputs = [derated_input_btu_h(given, altitude_ft) / 1000.0 for given in furnace_inputs_btu_h]
    place = _Place(inputs, height_ft, rests_on)
    minima = [read_furnace_minimum(kind, band, height_ft, area_in2) for band in bands(MINIMUM[kind])]
    known = temperature_given and design_temperature_f is not None
    if not known and _whole(kind) and all(verdict_of_minimum(one, inputs) == "fail" for one in minima):
        least = min(minima, key=lambda one: one.column.value if one.column.code == OK else math.inf)
        return _compose(least, "fail", "every", place, minima)
    if design_temperature_f is None:
        return _no_temperature(MINIMUM[kind], place)
    band = band_of(MINIMUM[kind], design_temperature_f)
    if band is None:
        return _no_table(MINIMUM[kind], (*rests_on, "design_temperature"))
    found = read_furnace_minimum(kind, band, height_ft, area_in2)
    verdict = verdict_of_minimum(found, inputs)
    place = replace(place, rests_on=(*rests_on, "design_temperature"))
    if verdict != "pass":
        return _compose(found, verdict, "not_recommended" if band.not_recommended else "band", place, [found])
    # at altitude the burner makes less heat: what is too little at sea level is too little there as well
    place = replace(place, rests_on=(*place.rests_on, "altitude"))
    if not type_b_connectors:
        return _compose(found, "unknown", "single_wall", place, [found])
    return _compose(found, "pass", "band", place, [found])


@dataclass(frozen=True, slots=True)
class _Place:
    """What every wording of the check names: derated inputs, kBtu/h; height, ft; and what it rests on."""

    inputs_kbtu_h: Sequence[float]
    height_ft: float
    rests_on: tuple[str, ...]

    @property
    def given(self) -> Quantity | Finding:
        """The smallest furnace, to be said."""
        if not self.inputs_kbtu_h:
            return finding("codes_vent.cold_chimney.no_furnace")
        return kbtu_h(min(self.inputs_kbtu_h))


def _whole(kind: str) -> bool:
    """Return whether the bands in the catalog leave no temperature out: open at both ends, with no gap."""
    every = bands(MINIMUM[kind])
    gapless = all(a.from_f is not None and b.to_f == a.from_f - 1.0 for a, b in itertools.pairwise(every))
    return gapless and every[0].to_f is None and every[-1].from_f is None


def _compose(
    shown: FurnaceMinimum, verdict: Verdict, how: str, place: _Place, minima: Sequence[FurnaceMinimum]
) -> Check:
    """Return the check, said with one band; ``how``: end of the id of its official sentence."""
    asked = _asked(shown)
    official = finding(
        f"codes_vent.cold_chimney.official_{how}", table=shown.band.table, band=shown.band.words, input=place.given
    )
    if how != "not_recommended":
        official = official.with_values(asked=asked, height=feet(place.height_ft))
    return compose(
        _RULE,
        vent_tables.clause_of(shown.band.table),
        verdict,
        finding(f"codes_vent.cold_chimney.client_{verdict if verdict in ('pass', 'fail') else 'unknown'}"),
        official,
        _basis(minima),
        required=asked,
        provided=place.given,
        rests_on=place.rests_on,
    )


def _asked(minimum: FurnaceMinimum) -> Words:
    """Return what a band asks of the furnace, to be said."""
    if minimum.band.not_recommended is not None:
        return finding("codes_vent.cold_chimney.not_recommended")
    low, high = minimum.column, minimum.next_column
    if low.code != OK:
        return vent_tables.outcome_finding(low.code)
    if high.code == OK and high.value != low.value:
        return finding("codes_vent.cold_chimney.columns", least=kbtu_h(low.value), next=kbtu_h(high.value))
    return at_least(kbtu_h(low.value))


def _no_table(table: str, rests_on: tuple[str, ...]) -> Check:
    """Return the check where this tool has no cell that could answer it."""
    why = vent_tables.outcome_finding(vent_tables.UNREAD)
    return compose(
        _RULE,
        vent_tables.clause_of(table),
        "unknown",
        finding("codes_vent.cold_chimney.client_unknown"),
        finding("codes_vent.cold_chimney.official_no_table", why=why),
        (catalog.parameter("rules_venting", "not_exposed"),),
        required=why,
        provided=why,
        rests_on=rests_on,
    )


def _no_temperature(table: str, place: _Place) -> Check:
    """Return the check without the design temperature, where it decides."""
    return compose(
        _RULE,
        vent_tables.clause_of(table),
        "unknown",
        finding("codes_vent.cold_chimney.client_unknown"),
        finding("codes_vent.cold_chimney.official_no_temperature", table=table, input=place.given),
        (catalog.parameter("rules_venting", "interpolation"),),
        required=finding("codes_vent.cold_chimney.by_temperature"),
        provided=place.given,
        rests_on=(*place.rests_on, "design_temperature"),
    )
