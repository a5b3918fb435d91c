"""The parts of a state, each a frozen struct of arrays: air, house, zone, burner, vent, and what chance decides.

Every array has shape (n,) unless stated; SI units, ``share`` and ``factor`` are plain numbers.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields, replace
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Index = NDArray[np.intp]
Flags = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class AirState:
    """Temperatures, pressure and the local wind.

    Parameters
    ----------
    room_k : array
        Usual room temperature, K.
    room_summer_k : array
        What the room stays at in hot weather, cooled or floating, K.
    zone_k_share : array
        Temperature of the heater's space, 0 to 1: 0 that of the room, 1 that of outdoors.
    pressure_pa : array
        Air pressure at the site, Pa.
    wind_factor : array
        Wind at the house over that of the weather station.
    """

    room_k: Array
    room_summer_k: Array
    zone_k_share: Array
    pressure_pa: Array
    wind_factor: Array


@dataclass(frozen=True, slots=True)
class HouseState:
    """The house without the heater's space: leaks, fans, supply and ducts.

    Parameters
    ----------
    leak_m3_s : array
        Flow through its leaks at 1 Pa, m3/s.
    exponent : array
        Exponent of the leaks' flow, of the heater's space too.
    floor_share, ceiling_share : array
        Share of the leaks at the floor and at the ceiling, 0 to 1; the walls have the rest.
    height_m : array
        From the lowest floor to the highest ceiling, m.
    volume_m3 : array
        Volume, m3.
    interior_doors_factor : array
        What is left of the leaks with interior doors shut, 0 to 1.
    device_m3_s : array (devices, n)
        Flow of each exhaust device without resistance, m3/s.
    unlisted_m3_s : array
        Exhaust that nobody listed, m3/s; runs with "all".
    stall_pa : array
        Depressurization at which the fans move nothing, Pa.
    supply_m3_s, supply_exhaust_m3_s : array
        What supply and balanced ventilation bring in and take out, m3/s.
    supply_leak_m3_s : array
        Supply air of the air handler that is lost outdoors, m3/s.
    relief_m2 : array
        Passive make-up opening that follows the exhaust devices, effective, m2.
    makeup_share : array
        Share of the running exhaust that a powered make-up fan replaces, 0 to 1.
    roof_cp : array
        Wind pressure coefficient at the ceiling's leaks.
    """

    leak_m3_s: Array
    exponent: Array
    floor_share: Array
    ceiling_share: Array
    height_m: Array
    volume_m3: Array
    interior_doors_factor: Array
    device_m3_s: Array
    unlisted_m3_s: Array
    stall_pa: Array
    supply_m3_s: Array
    supply_exhaust_m3_s: Array
    supply_leak_m3_s: Array
    relief_m2: Array
    makeup_share: Array
    roof_cp: Array


@dataclass(frozen=True, slots=True)
class ZoneState:
    """The heater's space: its leaks, openings and the link to the house.

    Parameters
    ----------
    leak_m3_s : array
        Flow through its own leaks to outdoors at 1 Pa, m3/s.
    height_m : array
        Floor to ceiling, m.
    volume_m3 : array
        Volume, m3.
    link_closed_m2, link_open_m2 : array
        Open area to the house with the door closed and open, m2.
    opening_high_m2, opening_low_m2 : array
        Effective area of the openings to outdoors near ceiling and floor when clear, m2.
    intake_blocked : array
        Share of these openings that is blocked, 0 to 1.
    supply_m3_s : array
        Mechanical combustion air, runs with the burner, m3/s.
    discharge : array
        Discharge coefficient of its openings, and of the house's.
    return_leak_m3_s : array
        What a leaky return of the air handler takes from the space, m3/s.
    cp : array
        Wind pressure coefficient at its outer wall.
    """

    leak_m3_s: Array
    height_m: Array
    volume_m3: Array
    link_closed_m2: Array
    link_open_m2: Array
    opening_high_m2: Array
    opening_low_m2: Array
    intake_blocked: Array
    supply_m3_s: Array
    discharge: Array
    return_leak_m3_s: Array
    cp: Array


@dataclass(frozen=True, slots=True)
class BurnerState:
    """The burner and its products.

    Parameters
    ----------
    input_w : array
        Input, W.
    products_kg_s : array
        Flue gas before the draft hood, kg/s.
    products_k : array
        Its temperature, K.
    excess_air : array
        Air beyond what the flame needs, as a share of that.
    co_air_free_ppm : array
        CO in the undiluted products, ppm air-free.
    plume_pa : array
        Push of the hot plume into the vent, Pa.
    prompt_share : array
        Share of the products' heat that comes at once, 0 to 1.
    lag_s : array
        Time constant of the rest, s.
    own_draw_m3_s : array
        Room air that a heater without a draft hood takes by its own fan, m3/s.
    idle_heat_w : array
        What pilot and hot tank send up the flue between firings, W.
    """

    input_w: Array
    products_kg_s: Array
    products_k: Array
    excess_air: Array
    co_air_free_ppm: Array
    plume_pa: Array
    prompt_share: Array
    lag_s: Array
    own_draw_m3_s: Array
    idle_heat_w: Array


@dataclass(frozen=True, slots=True)
class VentState:
    """Draft hood, connector, vertical vent and terminal.

    Parameters
    ----------
    connector_area_m2, vertical_area_m2 : array
        Inner cross-sections, m2.
    vertical_perimeter_m : array
        Inner perimeter of the vertical vent, m.
    connector_length_m, connector_rise_m : array
        Length and rise of the connector, m.
    connector_elbows, connector_elbows_45 : array
        Elbows of 90 and of 45 degrees, number.
    height_m : array
        Hood to top, m.
    hood_height_m : array
        Hood above the floor of the heater's space, m.
    hood_k, elbow_k, elbow_45_k, cap_k : array
        Loss coefficients of the hood, of one elbow of each kind and of the cap, velocity heads.
    friction : array
        Friction factor of smooth pipe.
    corrugation : array
        Multiplies the friction of the vertical vent: 1 for smooth pipe.
    blocked : array
        Share of the vertical vent's area that is blocked, 0 to 1.
    connector_u, vertical_u : array
        Heat loss through the walls, W/m2K.
    connector_capacity, vertical_capacity : array
        Heat capacity of the walls, J/m2K.
    film : array
        Heat transfer inside, W/m2K.
    exterior_share : array
        How far the vertical vent stands outdoors, 0 to 1.
    dilution_ratio : array
        Cold air through an idle appliance's hood, per flow from the heater's.
    shared_gain_k : array
        What a firing appliance on the same vent adds to the temperature around it, K.
    inducer_pa : array
        Suction of a listed draft inducer while firing, Pa.
    terminal_cp, gust_cp : array
        Wind pressure coefficient at the top, usual and in gusts.
    draft_offset_pa : array
        Pressure at the top that nothing else explains, positive against the draft, Pa. What the model does not know:
        the same in every run and after every remedy that keeps a draft hood, as is the next one.
    starts_reversed : array
        1 where, both idle states being stable, a cold start finds the vent reversed; else 0.
    """

    connector_area_m2: Array
    vertical_area_m2: Array
    vertical_perimeter_m: Array
    connector_length_m: Array
    connector_rise_m: Array
    connector_elbows: Array
    connector_elbows_45: Array
    height_m: Array
    hood_height_m: Array
    hood_k: Array
    elbow_k: Array
    elbow_45_k: Array
    cap_k: Array
    friction: Array
    corrugation: Array
    blocked: Array
    connector_u: Array
    vertical_u: Array
    connector_capacity: Array
    vertical_capacity: Array
    film: Array
    exterior_share: Array
    dilution_ratio: Array
    shared_gain_k: Array
    inducer_pa: Array
    terminal_cp: Array
    gust_cp: Array
    draft_offset_pa: Array
    starts_reversed: Array


@dataclass(frozen=True, slots=True)
class Chance:
    """What belongs to the draw, not to the house.

    Parameters
    ----------
    log_weight : array
        Log of prior over sampling density: undoes the over-sampling of rare faults.
    tester_luck, model_luck : array
        Who errs, the same in all runs, 0 to 1: below the chance of an error it is there.
    """

    log_weight: Array
    tester_luck: Array
    model_luck: Array


Part = TypeVar("Part", AirState, HouseState, ZoneState, BurnerState, VentState, Chance)
Combine = Callable[[tuple[Array, ...]], Array]
"""What makes one array of the same array of several states."""


def arrays(part: AirState | HouseState | ZoneState | BurnerState | VentState | Chance) -> dict[str, Array]:
    """Return the arrays of a part by name."""
    return {field.name: getattr(part, field.name) for field in fields(part)}


def combine(parts: Sequence[Part], how: Combine) -> Part:
    """Return one part, each array of it made of the same array of every given one."""
    each = [arrays(part) for part in parts]
    return replace(parts[-1], **{name: how(tuple(one[name] for one in each)) for name in each[-1]})
