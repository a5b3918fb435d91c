"""The tables of ``catalog/money`` that the code reads, one frozen record a row.

A field is a column; what a number means and its unit stand in its name. Words for ids are messages: ``money.measure.<id>``
and ``money.class.<id>`` name a part and a class.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Literal

from advisor.catalog import rows_by, rows_of
from advisor.errors import InputError, suggest
from advisor.findings import Finding, finding, quantity

VentCategory = Literal[
    "none",
    "draft_hood",
    "fan_assisted",
    "power_vent",
    "direct_mechanical",
    "direct_gravity",
    "condensing",
    "stainless_or_sealed",
]
Condensate = Literal["none", "usually_none", "acid", "vent_trap", "plain"]
Kind = Literal["storage", "tankless", "heat_pump", "resistance"]


@dataclass(frozen=True, slots=True)
class Measure:
    """Price, hours and life of a part (``remediation_measures``); empty where nobody published or judged them."""

    measure_id: str
    usd_year: str
    low_usd: float
    typ_usd: float
    high_usd: float
    unit: str
    status: str
    source: str
    labour_typ_h: float | None
    life_yr: float | None
    lead_time_days: str


@dataclass(frozen=True, slots=True)
class MeasureSize:
    """A number in the name of a part or in what is said of it, by its place in the message (``measure_sizes``)."""

    measure_id: str
    place: str
    value: float
    unit: str


@dataclass(frozen=True, slots=True)
class HeaterClass:
    """A replacement class: installed price, efficiency, life, upkeep and what it needs (``appliance_classes``)."""

    class_id: str
    fuel: str
    includes_measures: tuple[str, ...]
    vent_category: VentCategory
    usd_year: str
    installed_low_usd: float
    installed_typ_usd: float
    installed_high_usd: float
    status: str
    source: str
    uef_typ: float
    uef_high: float
    uef_status: str
    life_low_yr: float
    life_typ_yr: float
    life_high_yr: float
    upkeep_low_usd_yr: float
    upkeep_typ_usd_yr: float
    upkeep_high_usd_yr: float
    lead_time_days: str
    needs_120v: Literal["yes", "no", "depends"]
    needs_240v: bool
    condensate: Condensate
    removes_natural_draft: Literal["yes", "no", "partly"]

    @property
    def keeps_natural_draft(self) -> bool:
        """Does it still draft by itself, at least in part?"""
        return self.removes_natural_draft != "yes"

    @property
    def makes_condensate(self) -> bool:
        """Does it need a drain?"""
        return self.condensate not in ("none", "usually_none")


@dataclass(frozen=True, slots=True)
class ClassUnit:
    """What the units of a class have in common (``money_class_fit``); a tankless heater has no sizes of tank.

    `input_btu_h` is None where it goes with the size; `product_above_limit` is the product class of the standards above
    the input that `standard_product` ends at; `element`: an element heats where the compressor does not.
    """

    class_id: str
    size_family: str
    input_btu_h: float | None
    recovery_efficiency: float
    standard_product: str
    product_above_limit: str | None
    kind: Kind
    element: bool


@dataclass(frozen=True, slots=True)
class SizeClass:
    """A size of tank that classes of a family are sold in (``size_classes``).

    Inputs are None where they go with the class; `factor_*` times the price of the `anchor` size is its price.
    """

    id: str
    family: str
    tank_gal: float
    anchor: bool
    input_low_btu_h: float | None
    input_typ_btu_h: float | None
    input_high_btu_h: float | None
    factor_low: float
    factor_typ: float
    factor_high: float
    status: str
    source: str

    @property
    def name(self) -> str:
        """Return the size's own name within its family."""
        return self.id.removeprefix(f"{self.family}_")


@dataclass(frozen=True, slots=True)
class TankShape:
    """A shape that a size of tank is sold in, the usual one first (``tank_shapes``)."""

    size_id: str
    shape: Literal["tall", "short", "lowboy"]
    height_in: float
    diameter_in: float
    dry_weight_lb: float
    status: str
    source: str


@dataclass(frozen=True, slots=True)
class Conversion:
    """A heat content, an emission factor or a price index (``conversions_emissions``)."""

    quantity: str
    value: float
    unit: str
    year: str
    status: str
    source: str


@dataclass(frozen=True, slots=True)
class DrawPattern:
    """A draw pattern of the federal test (``draw_patterns``)."""

    bin: str
    fhr_min_gal: float
    tankless_min_gpm: float


@dataclass(frozen=True, slots=True)
class PeakUse:
    """Hot water of one use on one version of the peak-hour worksheet (``peak_hour_worksheet``)."""

    version: str
    use: str
    gal_per_use: float
    status: str


@dataclass(frozen=True, slots=True)
class StatePrices:
    """Energy prices and grid factor of a state (``energy_prices_state``); None where no figure is published."""

    state: str
    census_division: str
    electricity_usd_kwh: float | None
    electricity_year: str
    gas_usd_mcf: float | None
    gas_year: str
    propane_usd_gal: float | None
    propane_week: str
    grid_kg_co2_kwh_incl_losses_2023: float | None
    status: str
    source: str


@dataclass(frozen=True, slots=True)
class DivisionPrices:
    """Grid factor of a census division (``energy_prices_division``)."""

    census_division: str
    grid_kg_co2_kwh: float


@dataclass(frozen=True, slots=True)
class DivisionDays:
    """Heating degree days of a census division (``degree_days_division``)."""

    census_division: str
    hdd65: float
    period: str
    status: str
    source: str


@dataclass(frozen=True, slots=True)
class Running:
    """Outdoor air and fan of a remedy in a year (``remedy_running``); negative flows are saved."""

    id: str
    cfm_low: float
    cfm_typ: float
    cfm_high: float
    hours_day: float
    fan_w: float


@dataclass(frozen=True, slots=True)
class Constraint:
    """What a class asks of a place, by hearsay or manual (``eligibility_constraints``).

    Limits that may come and what bears on safety are said by ``fit.constraint.<id>``, with their `size` where they have one.
    """

    id: str
    class_id: tuple[str, ...]
    constraint: str
    size: float | None
    unit: str
    status: str
    source: str


@dataclass(frozen=True, slots=True)
class MinimumUef:
    """Federal minimum of a product at a draw pattern, base - slope x rated volume (``minimum_uef``); None: no largest one."""

    product: str
    rated_volume_min_gal: float
    rated_volume_max_gal: float | None
    input_limit_btu_h: float | None
    draw_pattern: str
    base: float
    slope_per_gal: float
    effective: str
    status: str
    source: str

    @property
    def decides(self) -> bool:
        """True for what is in force and was read or quoted: a day to come and an equation from memory decide nothing."""
        return self.effective == "in force" and self.status != "memory"


@dataclass(frozen=True, slots=True)
class VentLength:
    """Longest vent of a family of heaters, and the feet an elbow counts for (``vent_equivalent_lengths``)."""

    class_ids: tuple[str, ...]
    pipe_diameter_in: float
    max_equivalent_ft: float
    elbow_90_ft: float | None
    elbow_45_ft: float | None


@dataclass(frozen=True, slots=True)
class GasPipe:
    """Capacity of a steel gas pipe at a length (``gas_pipe_capacity``)."""

    nominal_sch40_in: float
    length_ft: float
    pressure_drop_in_wc: float
    capacity_cfh: float


def classes() -> Mapping[str, HeaterClass]:
    """Return the replacement classes by their ids."""
    return rows_by(HeaterClass, "appliance_classes", "class_id")


def class_row(class_id: str) -> HeaterClass:
    """Return a replacement class.

    Raises
    ------
    InputError
        If there is no such class.
    """
    if class_id not in classes():
        raise InputError(f"class '{class_id}'{suggest(class_id, classes())}: one of {', '.join(classes())}")
    return classes()[class_id]


def class_unit(class_id: str) -> ClassUnit:
    """Return the typical unit of a class.

    Raises
    ------
    InputError
        If there is no such class.
    """
    units = rows_by(ClassUnit, "money_class_fit", "class_id")
    if class_id not in units:
        raise InputError(f"class '{class_id}': not in the catalog")
    return units[class_id]


def sizes_of(class_id: str) -> tuple[SizeClass, ...]:
    """Return the sizes of tank that a class is sold in, smallest first; none for a tankless one."""
    family = class_unit(class_id).size_family
    return tuple(row for row in rows_of(SizeClass, "size_classes") if row.family == family)


def anchor_of(class_id: str) -> SizeClass:
    """Return the size whose price is the class's own; every other size is priced by its factor on it.

    Raises
    ------
    InputError
        If the class has no tank.
    """
    for size in sizes_of(class_id):
        if size.anchor:
            return size
    raise InputError(f"class '{class_id}': has no tank")


def shapes_of(size: SizeClass) -> tuple[TankShape, ...]:
    """Return the shapes of a size of tank, the usual one first."""
    return tuple(row for row in rows_of(TankShape, "tank_shapes") if row.size_id == size.id)


def class_words(class_id: str) -> Finding:
    """Return the name of a replacement class, to be said."""
    return finding(f"money.class.{class_id}")


def measures() -> Mapping[str, Measure]:
    """Return the priced parts by their ids."""
    return rows_by(Measure, "remediation_measures", "measure_id")


def measure_words(measure_id: str, what: Literal["measure", "can_fix", "cannot_fix"] = "measure") -> Finding:
    """Return the name of a part, what it can mend or what it cannot, to be said (not every part has the last two)."""
    rows = rows_of(MeasureSize, "measure_sizes")
    sizes = {row.place: quantity(row.value, row.unit, 2) for row in rows if row.measure_id == measure_id}
    return finding(f"money.{what}.{measure_id}", **sizes)


@cache
def vent_lengths(class_id: str | None = None) -> tuple[VentLength, ...]:
    """Return the published vent lengths: of one class, or all."""
    rows = rows_of(VentLength, "vent_equivalent_lengths")
    return rows if class_id is None else tuple(row for row in rows if class_id in row.class_ids)
