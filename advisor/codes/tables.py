"""The tables of ``catalog/codes`` that the rules read, one frozen record a row.

A field is a column; its name carries the unit. A row with ``status`` and ``source`` is ``compose.Rated`` as it stands.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from advisor.catalog import by_edition, rows_by, rows_of

TerminalUnit = Literal["ft", "in"]
TerminalKey = Literal[
    "forced_inlet",
    "opening_below_or_beside",
    "opening_above",
    "grade",
    "opening",
    "adjacent_opening",
    "walkway",
    "meter",
    "regulator_vent",
    "under_porch",
]
"""What a clearance is asked for: a row of another key would never be read."""
TerminalItem = Literal[
    "forced_air_inlet",
    "door_window_or_gravity_inlet",
    "grade_or_expected_snow",
    "building_opening",
    "grade_porch_or_deck",
    "opening_of_an_adjacent_building",
    "public_walkway",
    "meter_regulator_or_relief",
    "grade",
    "window_door_or_other_inlet",
    "mechanical_air_supply_inlet",
    "public_sidewalk_or_driveway",
    "meter_or_regulator_centre_line",
    "service_regulator_vent",
    "under_porch_deck_or_balcony",
]
TerminalCondition = Literal[
    "within_radius",
    "terminal_below_or_beside",
    "terminal_above",
    "all",
    "input_up_to",
    "input_between",
    "input_over",
    "unless_below_or_above",
    "never_over_a_shared_one",
    "each_side_and_above",
    "open_on_two_sides",
]
"""Things and conditions that have words (``codes_terminals``)."""


@dataclass(frozen=True, slots=True)
class DepressurizationRow:
    """A published depressurization limit (``depressurization_limits``); empty where the scheme has no pascal limit."""

    key: str
    max_depressurization_pa: float | None
    scheme_id: str
    situations: tuple[str, ...]
    scheme: str
    status: str
    source: str
    ref: str


@dataclass(frozen=True, slots=True)
class DraftRow:
    """The least draft at an outdoor temperature (``min_draft``)."""

    fuel: Literal["gas", "oil"]
    outdoor_temp_f: float
    min_draft_pa: float
    status: str
    source: str
    ref: str


@dataclass(frozen=True, slots=True)
class SpillageRow:
    """A line of the spillage test (``spillage_time``): a time in s or, for a guideline of draft, a pressure in Pa."""

    value: float
    scheme: str
    status: str
    source: str


@dataclass(frozen=True, slots=True)
class CoLevel:
    """A published level of carbon monoxide (``co_limits``), ppm on its ``basis``; an open end is None."""

    key: str
    from_ppm: float | None
    to_ppm: float | None
    basis: Literal["air-free", "as measured", "not stated", "room", "air"]
    scheme: str
    status: str
    source: str
    ref: str


@dataclass(frozen=True, slots=True)
class TerminalClearance:
    """A clearance of a terminal (``terminal_clearances``), for a range of inputs; an open end is None."""

    scheme: str
    key: TerminalKey
    item: TerminalItem
    condition: TerminalCondition
    input_over_btu_h: float | None
    input_to_btu_h: float | None
    distance: float
    unit: TerminalUnit
    direction: Literal["above", "below", "horizontal", "below or horizontal", "any"]
    status: str
    source: str
    ref: str


@dataclass(frozen=True, slots=True)
class RoofPitch:
    """The least height of a listed cap above a roof up to a pitch (``roof_pitch_height``)."""

    pitch_rise_per_12_to: float
    min_height_above_roof_ft: float
    status: str
    source: str


@dataclass(frozen=True, slots=True)
class TradeSize:
    """A size that a supply house stocks (``rules_trade_sizes``)."""

    shape: Literal["round", "grille"]
    width_in: float
    height_in: float


@dataclass(frozen=True, slots=True)
class MakeUpFactor:
    """The infiltration allowed for in a column of the factor method (``makeup_air_factors``)."""

    column: str
    factor_cfm_per_ft2: float
    status: str
    source: str


@dataclass(frozen=True, slots=True)
class StateAirChanges:
    """The air changes per hour that the form of a state gives a house by its year (``state_air_changes``)."""

    state: str
    built_from: int
    built_to: int
    air_changes_per_hour: float
    status: str
    source: str
    ref: str


@dataclass(frozen=True, slots=True)
class ConnectorLength:
    """The listed horizontal length of a connector (``connector_max_length``)."""

    connector_diameter_in: float
    max_horizontal_length_ft: float


@dataclass(frozen=True, slots=True)
class VentTable:
    """Which table holds for a vent, a connector and how many appliances (``rules_vent_tables``).

    ``frame``, where only a part of the connectors could be read, is the table that shares its heights, rises and sizes.
    """

    table: str
    vent: str
    connector: str
    appliances: Literal["one", "several"]
    status: str
    source: str
    ref: str
    frame: str = ""


@dataclass(frozen=True, slots=True)
class VentCell:
    """A printed cell of a vent table (``vent_capacity_single``, ``vent_capacity_common``, ``vent_connector_capacity``).

    The three files share their form; a column that one of them lacks is None. ``NA`` is printed where the code allows no
    such vent. Masonry is entered by ``area_in2`` in the common tables, everything else by ``diameter_in``.
    """

    table: str
    kind: str
    height_ft: float
    capacity_kbtu_h: float | Literal["NA"]
    status: str
    source: tuple[str, ...]
    note: str
    diameter_in: float | None = None
    area_in2: float | None = None
    lateral_ft: float | None = None
    rise_ft: float | None = None
    height_to_ft: float | None = None

    @property
    def size(self) -> float:
        """Diameter in inches, or area in in2 where the table is entered by it."""
        found = self.diameter_in or self.area_in2
        if found is None:
            raise ValueError(f"vent table {self.table}: a cell without a size")
        return found


@dataclass(frozen=True, slots=True)
class ExteriorCell:
    """A printed cell for an exterior masonry chimney that several appliances share (``vent_exterior_masonry``).

    A minimum holds in a band of the 99 % design temperature, F; an open end is None, and a maximum has no band. A row
    without height and area says what is printed for the whole band.
    """

    table: str
    kind: Literal["NAT+NAT_MAX", "FAN+NAT_MAX", "FURNACE_MIN"]
    design_from_f: float | None
    design_to_f: float | None
    height_ft: float | None
    area_in2: float | None
    capacity_kbtu_h: float | Literal["NA"]
    status: str
    source: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CondensationFlag:
    """A cell of a table for one draft hood on a masonry chimney where water may keep condensing.

    Source: ``vent_masonry_condensation_1991``; the list is not complete.
    """

    table: str
    height_ft: float
    lateral_ft: float
    diameter_in: float
    status: str
    source: str


def depressurization_pa(key: str) -> float:
    """Return a depressurization limit, Pa.

    Raises
    ------
    KeyError
        If there is no such row, or its scheme has no pascal limit: an error of the program.
    """
    return _printed(rows_by(DepressurizationRow, "depressurization_limits", "key")[key].max_depressurization_pa, key)


def co_level(key: str) -> CoLevel:
    """Return a level of carbon monoxide by its key; KeyError where there is none, an error of the program."""
    return rows_by(CoLevel, "co_limits", "key")[key]


def co_from_ppm(key: str) -> float:
    """Return from where a level of carbon monoxide holds, ppm.

    Raises
    ------
    KeyError
        If there is no such level, or it is not printed where it begins: an error of the program.
    """
    return _printed(co_level(key).from_ppm, key)


def co_to_ppm(key: str) -> float:
    """Return up to where a level of carbon monoxide holds, ppm.

    Raises
    ------
    KeyError
        If there is no such level, or it is not printed where it ends: an error of the program.
    """
    return _printed(co_level(key).to_ppm, key)


def _printed(value: float | None, key: str) -> float:
    if value is None:
        raise KeyError(f"{key}: no number is printed there")
    return value


@by_edition
def vent_cells(name: str, table: str) -> tuple[VentCell, ...]:
    """Return the cells of one table of a file of vent tables, in its order; empty where the file has no such table."""
    return tuple(cell for cell in rows_of(VentCell, name) if cell.table == table)
