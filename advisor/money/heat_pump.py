"""A heat-pump water heater in its room: efficiency by air temperature and humidity, and the heat it takes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from advisor.catalog import number
from advisor.money.amount import Amount, require
from advisor.units import STANDARD_PRESSURE_PA, celsius_from_kelvin, fahrenheit_from_kelvin, kelvin_from_celsius
from advisor.units import kelvin_from_fahrenheit as _kelvin

_FILE = "money_energy"


def _celsius(temp_f: Amount) -> Amount:
    return celsius_from_kelvin(_kelvin(np.asarray(temp_f, dtype=float)))


def _saturation_pa(temp_c: Amount) -> Amount:
    slope, offset = number(_FILE, "magnus_slope"), number(_FILE, "magnus_offset_c")
    return number(_FILE, "magnus_pressure_pa") * np.exp(slope * temp_c / (offset + temp_c))


def _humidity_ratio(vapour_pa: Amount, pressure_pa: Amount) -> Amount:
    return number(_FILE, "vapour_mass_ratio") * vapour_pa / (pressure_pa - vapour_pa)


def wet_bulb_f(dry_bulb_f: Amount, humidity_pct: Amount, pressure_pa: Amount = STANDARD_PRESSURE_PA) -> Amount:
    """Return the thermodynamic wet-bulb temperature above freezing.

    Parameters
    ----------
    dry_bulb_f : float or ndarray
        Air temperature, 33 to 150 F.
    humidity_pct : float or ndarray
        Relative humidity, 1 to 100 %.
    pressure_pa : float or ndarray
        Air pressure.

    Returns
    -------
    float or ndarray
        Wet bulb, F, by bisection of the heat balance of saturation (ASHRAE Fundamentals ch. 1; checked against
        `psychrolib` within 0.1 F).
    """
    dry_f = np.asarray(require("air_temperature_f", dry_bulb_f, 33.0, 150.0), dtype=float)
    humidity = np.asarray(require("relative_humidity_pct", humidity_pct, 1.0, 100.0), dtype=float)
    dry = np.asarray(_celsius(dry_f))
    ratio = _humidity_ratio(humidity / 100.0 * _saturation_pa(dry), pressure_pa)
    hot, slope = number(_FILE, "vaporization_kj_kg"), number(_FILE, "vaporization_slope_kj_kg_c")
    air, vapour = number(_FILE, "dry_air_heat_kj_kg_c"), number(_FILE, "vapour_heat_kj_kg_c")
    water = number(_FILE, "water_heat_kj_kg_c")
    low, high = np.broadcast_arrays(dry - 40.0, dry + 0.0 * humidity)
    for _ in range(40):  # 40 K halved 40 times: far below any reading
        wet = 0.5 * (low + high)
        full = _humidity_ratio(_saturation_pa(wet), pressure_pa)
        there = ((hot - slope * wet) * full - air * (dry - wet)) / (hot + vapour * dry - water * wet)
        low, high = np.where(there < ratio, wet, low), np.where(there < ratio, high, wet)
    result = fahrenheit_from_kelvin(kelvin_from_celsius(0.5 * (low + high)))
    return result if result.ndim else float(result)


def _curve(name: str, wet_f: Amount, tank_f: Amount) -> Amount:
    wet, tank = _celsius(wet_f), _celsius(tank_f)
    value = (
        number(_FILE, f"{name}_c0")
        + number(_FILE, f"{name}_tw") * wet
        + number(_FILE, f"{name}_tw2") * wet**2
        + number(_FILE, f"{name}_tt") * tank
        + number(_FILE, f"{name}_tt2") * tank**2
        + number(_FILE, f"{name}_twtt") * wet * tank
    )
    return value if np.ndim(value) else float(value)


def cop_factor(wet_f: Amount, tank_f: Amount | None = None) -> Amount:
    """Return f_COP, the published curve over air wet bulb and tank temperature (F); about 1 at the rating point."""
    return _curve("cop", wet_f, number(_FILE, "rating_tank_f") if tank_f is None else tank_f)


def cop_multiplier(air_f: Amount, humidity_pct: Amount) -> Amount:
    """Return the COP beside that at the rating point (67.5 F dry and 56.4 F wet bulb), 120 F tank."""
    return cop_factor(wet_bulb_f(air_f, humidity_pct)) / cop_factor(number(_FILE, "rating_wet_bulb_f"))


def rated_cop(uef: Amount) -> Amount:
    """Return the compressor's COP at the rating point of a heater with this UEF (`hpwh-curves`)."""
    return number(_FILE, "cop_per_uef") * require("uef", uef, 0.0, 20.0, above_low=True)


@dataclass(frozen=True, slots=True)
class RoomEfficiency:
    """A heat pump in its room: `uef` in service, compressor `cop`, `multiplier` on both; `locked_out` where the air is
    too cold or hot for the compressor and only the element heats (COP 1); `assumed` if temperature or room size is."""

    uef: Amount
    cop: Amount
    multiplier: Amount
    locked_out: bool
    assumed: bool


def in_room(
    uef: Amount,
    air_f: Amount | None = None,
    humidity_pct: Amount | None = None,
    *,
    small_closed_room: bool | None = None,
) -> RoomEfficiency:
    """Return the efficiency of a heat pump in its room.

    Parameters
    ----------
    uef : float or ndarray
        Rated UEF.
    air_f, humidity_pct : float or ndarray, optional
        Yearly mean beside the heater; defaults of the catalog, then marked as assumed.
    small_closed_room : bool or None
        True: below the volume limit and not opened; the room factor applies. None: assumed small.

    Raises
    ------
    InputError
        If a number is out of range.
    """
    assumed = air_f is None or small_closed_room is None
    air = number(_FILE, "default_room_f") if air_f is None else air_f
    damp = number(_FILE, "default_humidity_pct") if humidity_pct is None else humidity_pct
    air = require("air_temperature_beside_the_heat_pump_f", air, -60.0, 160.0)
    room = number(_FILE, "open_room_factor" if small_closed_room is False else "room_size_factor")
    low, high = number(_FILE, "compressor_minimum_air_f"), number(_FILE, "compressor_maximum_air_f")
    locked = (np.asarray(air) < low) | (np.asarray(air) > high)
    multiplier = np.asarray(cop_multiplier(np.clip(air, low, high), damp)) * room
    cop = np.maximum(1.0, np.asarray(rated_cop(uef)) * multiplier)
    lowest = number(_FILE, "resistance_uef")
    service = np.where(locked, lowest, np.maximum(lowest, np.asarray(uef) * multiplier))
    cop = np.where(locked, 1.0, cop)
    plain = service.ndim == 0
    return RoomEfficiency(
        float(service) if plain else service,
        float(cop) if cop.ndim == 0 else cop,
        float(multiplier) if multiplier.ndim == 0 else multiplier,
        bool(np.any(locked)),
        assumed,
    )


def heat_from_room_btu(delivered_btu: Amount, cop: Amount) -> Amount:
    """Return the heat the compressor takes from its room, delivered (1 - 1/COP), in the unit of `delivered_btu`."""
    cop = require("cop", cop, 1.0, 20.0)
    taken = np.asarray(require("delivered_heat_btu", delivered_btu)) * (1.0 - 1.0 / np.asarray(cop))
    return taken if taken.ndim else float(taken)
