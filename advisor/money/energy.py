"""Energy of a water heater in a year: by the federal test formula, or for a real household in its room."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from advisor.catalog import number, rows_of
from advisor.facts.hot_water import HotWaterUse, heat_btu_day
from advisor.findings import Words, finding
from advisor.money.amount import Amount, require
from advisor.money.conversions import conversion
from advisor.money.fuel_prices import Emissions, EnergyPrices, emissions
from advisor.money.heat_pump import heat_from_room_btu, in_room
from advisor.money.tables import MinimumUef, class_row
from advisor.units import DAYS_PER_YEAR

_FILE = "money_energy"

HeatingFuel = Literal["gas", "propane", "electricity"]


def _out(value: Amount) -> Amount:
    array = np.asarray(value, dtype=float)
    return array if array.ndim else float(array)


def delivered_btu_year(gal_day: Amount, set_f: Amount | None = None, mains_f: Amount | None = None) -> Amount:
    """Return the heat in the hot water of a year, 365 V 8.24 (Tset - Tmains).

    Parameters
    ----------
    gal_day : float or ndarray
        Hot water a day.
    set_f, mains_f : float or ndarray, optional
        Default 125 F and 58 F, those of the federal test (`cfr10-430-appe`).
    """
    return _out(DAYS_PER_YEAR * np.asarray(heat_btu_day(gal_day, set_f, mains_f)))


def annual_energy_btu(
    uef: Amount,
    gal_day: Amount,
    *,
    set_f: Amount | None = None,
    mains_f: Amount | None = None,
    field_factor: Amount = 1.0,
) -> Amount:
    """Return the energy a heater takes in a year, delivered heat / (UEF x field factor).

    UEF contains pilot, standby and fan: add nothing to this. With the default temperatures and factor it is the
    rated annual energy of the federal test.
    """
    uef = require("uef", uef, 0.0, 20.0, above_low=True)
    factor = require("field_factor", field_factor, 0.0, 2.0, above_low=True)
    return _out(np.asarray(delivered_btu_year(gal_day, set_f, mains_f)) / (np.asarray(uef) * factor))


def therm(btu: Amount) -> Amount:
    """Return therms."""
    return _out(np.asarray(btu) / conversion("therm"))


def kwh(btu: Amount) -> Amount:
    """Return kWh at the heat content of the label rule."""
    return _out(np.asarray(btu) / conversion("electricity_heat_content"))


def propane_gal(btu: Amount) -> Amount:
    """Return gallons of propane."""
    return _out(np.asarray(btu) / conversion("propane_heat_content"))


def field_factor(class_id: str) -> float:
    """Return the share of the rating that a class reaches in place: storage, tankless, else 1 (`mn-field-2010`)."""
    row = class_row(class_id)
    kind = "tankless" if class_id.startswith("TL") else "storage" if row.fuel == "gas" else "other"
    return number(_FILE, f"field_factor_{kind}")


@dataclass(frozen=True, slots=True)
class RoomHeat:
    """What the heat a heat pump takes from a heated room costs: fuel bought back in winter, cooling spared."""

    heating_therm: Amount
    heating_propane_gal: Amount
    heating_kwh: Amount
    cooling_credit_kwh: Amount
    assumed: bool


def room_heat_charge(
    heat_btu: Amount,
    room_heated: bool | None,
    *,
    heating_fuel: HeatingFuel = "gas",
    heating_efficiency: Amount | None = None,
    heating_season_share: Amount | None = None,
    cooled: bool = False,
) -> RoomHeat:
    """Return what the heat taken from a room costs the house.

    Parameters
    ----------
    heat_btu : float or ndarray
        Heat taken in a year, from `heat_pump.heat_from_room_btu`.
    room_heated : bool or None
        False: nothing is charged (garage, vented attic). None: the catalog's part of it, marked as assumed.
    heating_fuel : {"gas", "propane", "electricity"}
        Fuel of the house heating.
    heating_efficiency : float or ndarray, optional
        Of the furnace or boiler; COP for electric heating. Default of the catalog, for electricity 1.
    heating_season_share : float or ndarray, optional
        Share of the year in which the room is heated.
    cooled : bool
        True if the house is cooled: the summer share is credited.
    """
    part = number(_FILE, "unknown_room_coupling") if room_heated is None else float(room_heated)
    usual = 1.0 if heating_fuel == "electricity" else number(_FILE, "heating_efficiency")
    efficiency = require(
        "heating_efficiency", usual if heating_efficiency is None else heating_efficiency, 0.0, 6.0, above_low=True
    )
    share = number(_FILE, "heating_season_share") if heating_season_share is None else heating_season_share
    heat = np.asarray(require("heat_taken_from_the_room_btu", heat_btu)) * part
    bought = heat * require("heating_season_share", share, 0.0, 1.0) / efficiency
    spared = heat * number(_FILE, "cooling_season_share") / number(_FILE, "cooling_cop") if cooled else 0.0 * heat
    return RoomHeat(
        therm(bought if heating_fuel == "gas" else 0.0 * bought),
        propane_gal(bought if heating_fuel == "propane" else 0.0 * bought),
        kwh(bought if heating_fuel == "electricity" else 0.0 * bought),
        kwh(spared),
        room_heated is None,
    )


@dataclass(frozen=True, slots=True)
class RunningCost:
    """Energy, its cost and CO2 of one class in one household, for a year.

    Parameters
    ----------
    gas_therm, propane_gal, electricity_kwh : float or ndarray
        All energy, the heat bought back for a heat pump's room included, its cooling credit taken off.
    energy_usd, upkeep_usd : float or ndarray
        Cost of energy at today's prices, and upkeep.
    room_heat_usd : float or ndarray
        The part of `energy_usd` that pays for heat taken from the room.
    uef_in_service : float or ndarray
        UEF after room and field factor.
    emissions : Emissions
        CO2 and its factors.
    notes : tuple of Finding
        What was assumed.
    """

    gas_therm: Amount
    propane_gal: Amount
    electricity_kwh: Amount
    energy_usd: Amount
    upkeep_usd: Amount
    room_heat_usd: Amount
    uef_in_service: Amount
    emissions: Emissions
    notes: tuple[Words, ...]


def running_cost(
    class_id: str,
    use: HotWaterUse,
    prices: EnergyPrices,
    *,
    gal_day: Amount | None = None,
    uef: Amount | None = None,
    upkeep_usd: Amount | None = None,
    propane: bool = False,
    in_place: bool = False,
    room_f: Amount | None = None,
    humidity_pct: Amount | None = None,
    small_closed_room: bool | None = None,
    room_heated: bool | None = None,
    heating_fuel: HeatingFuel = "gas",
    heating_efficiency: Amount | None = None,
    heating_season_share: Amount | None = None,
    cooled: bool = False,
) -> RunningCost:
    """Return what a class costs to run for a year in one household.

    Parameters
    ----------
    class_id : str
        Replacement class of the catalog.
    use : HotWaterUse
        Household and temperatures.
    prices : EnergyPrices
        Prices; their typical values are used.
    gal_day, uef, upkeep_usd : float or ndarray, optional
        Draws in place of the typical values.
    propane : bool
        The burner uses propane instead of natural gas.
    in_place : bool
        Apply the optional field factor.
    room_f, humidity_pct, small_closed_room, room_heated : optional
        The heat pump's room; unknown ones are assumed and noted.
    heating_fuel, heating_efficiency, heating_season_share, cooled : optional
        The house the heat comes from; see `room_heat_charge`.
    """
    row = class_row(class_id)
    rated = row.uef_typ if uef is None else uef
    gallons = use.typical_gal_day if gal_day is None else gal_day
    upkeep = row.upkeep_typ_usd_yr if upkeep_usd is None else upkeep_usd
    service: Amount = np.asarray(rated) * (field_factor(class_id) if in_place else 1.0)
    notes = [finding("money.assumed.hot_water_use")] if use.assumed else []
    delivered = delivered_btu_year(gallons, use.set_f, use.mains_f)
    room = RoomHeat(0.0, 0.0, 0.0, 0.0, False)
    if class_id.startswith("HP"):
        found = in_room(rated, room_f, humidity_pct, small_closed_room=small_closed_room)
        service = found.uef
        taken = heat_from_room_btu(delivered, found.cop)
        room = room_heat_charge(
            taken,
            room_heated,
            heating_fuel=heating_fuel,
            heating_efficiency=heating_efficiency,
            heating_season_share=heating_season_share,
            cooled=cooled,
        )
        if found.locked_out:
            notes.append(finding("money.compressor_locked_out"))
        if found.assumed:
            notes.append(finding("money.assumed.room"))
        if room.assumed:
            notes.append(finding("money.assumed.room_heated"))
    btu = annual_energy_btu(service, gallons, set_f=use.set_f, mains_f=use.mains_f)
    burns = row.fuel == "gas"
    gas = np.asarray(therm(btu) if burns and not propane else 0.0 * np.asarray(btu)) + room.heating_therm
    gallon = np.asarray(propane_gal(btu) if burns and propane else 0.0 * np.asarray(btu)) + room.heating_propane_gal
    power = (
        np.asarray(0.0 * np.asarray(btu) if burns else kwh(btu))
        + room.heating_kwh
        - np.asarray(room.cooling_credit_kwh)
    )
    dollars = (prices.gas_usd_therm.typical, prices.propane_usd_gal.typical, prices.electricity_usd_kwh.typical)
    room_usd = (
        np.asarray(room.heating_therm) * dollars[0]
        + np.asarray(room.heating_propane_gal) * dollars[1]
        + (np.asarray(room.heating_kwh) - room.cooling_credit_kwh) * dollars[2]
    )
    if prices.electricity_usd_kwh.assumed or (burns and prices.gas_usd_therm.assumed):
        notes.append(finding("money.assumed.energy_prices"))
    return RunningCost(
        _out(gas),
        _out(gallon),
        _out(power),
        _out(gas * dollars[0] + gallon * dollars[1] + power * dollars[2]),
        _out(upkeep),
        _out(room_usd),
        _out(service),
        emissions(_out(gas), _out(gallon), _out(power), prices.grid_kg_co2_kwh),
        tuple(notes),
    )


def minimum_uef_row(product: str, rated_volume_gal: float, pattern: str) -> MinimumUef | None:
    """Return the row of the federal minimum UEF now in force; None where no row applies.

    Parameters
    ----------
    product : str
        Product class of the table, for example ``gas storage``.
    rated_volume_gal : float
        Rated (not nominal) storage volume.
    pattern : str
        Draw pattern: very_small, low, medium or high.
    """
    require("rated_volume_gal", rated_volume_gal, 0.0, 200.0)
    for row in rows_of(MinimumUef, "minimum_uef"):
        if not row.decides:
            continue
        low, high = row.rated_volume_min_gal, row.rated_volume_max_gal
        # the table starts a larger size at 55.01 or 75.01: "above 55", so anything between belongs to it
        above = rated_volume_gal > np.floor(low) if low != np.floor(low) else rated_volume_gal >= low
        within = above and (high is None or rated_volume_gal <= high)
        if row.product == product and row.draw_pattern == pattern and within:
            return row
    return None


def minimum_uef(product: str, rated_volume_gal: float, pattern: str) -> float | None:
    """Return the federal minimum UEF now in force, base - slope x rated volume; None where no row applies."""
    row = minimum_uef_row(product, rated_volume_gal, pattern)
    return None if row is None else row.base - row.slope_per_gal * rated_volume_gal
