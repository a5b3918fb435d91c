"""The vent with its draft hood: stack, resistance, heat loss, the steady hot state and the idle state.

Flow ``w`` is positive up the vent, ``wf`` is the flow of combustion products at temperature ``Tf``.
``w >= wf``: the hood draws ``w - wf`` of room air and nothing spills; ``0 < w < wf``: ``wf - w`` spills; ``w <= 0``:
everything spills and outdoor air comes down. Momentum: stack minus depressurization plus wind equals
``K w|w| / (2 rho)`` with ``K`` the sum of loss coefficients over area squared.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

from advisor.physics.flow import Array

Index = NDArray[np.intp]

GRAVITY_M_S2 = 9.80665
GAS_CONSTANT_AIR_J_KGK = 287.055  # dry air; flue gas at 5 % CO2 is 2 % lighter (own-calc in the sources)
CP_GAS_J_KGK = 1089.0  # diluted gas at 180 C, own-calc
CP_AIR_J_KGK = 1006.0  # dry air at room temperature, coolprop

VERTICAL_SEGMENTS = 3
SEGMENTS = VERTICAL_SEGMENTS + 1  # the connector is the first


@dataclass(frozen=True, slots=True)
class Vent:
    """A connector and a vertical vent, ``n`` samples in every array.

    Parameters
    ----------
    connector_area_m2, vertical_area_m2 : arrays
        Flow areas.
    connector_perimeter_m, vertical_perimeter_m : arrays
        Inside perimeters.
    connector_length_m, connector_rise_m, vertical_height_m : arrays
        Whole length and rise of the connector above the hood; height of the vertical part above it.
    connector_u_w_m2k, vertical_u_w_m2k : arrays
        Heat loss coefficients, gas to surroundings.
    connector_capacity_j_m2k, vertical_capacity_j_m2k : arrays
        Heat capacities of the walls.
    film_w_m2k : array
        Inside film coefficient.
    connector_ambient_k, vertical_ambient_k : arrays
        Temperatures of the surroundings.
    resistance_m4 : array
        ``K``: loss coefficients divided by area squared, 1/m4.
    dilution_ratio : array
        Cold flow through an idle shared appliance's hood per flow from the heater's own hood.
    terminal_pa : array
        Wind pressure at the terminal, positive against the draft.
    pressure_pa : array
        Barometric pressure.
    """

    connector_area_m2: Array
    vertical_area_m2: Array
    connector_perimeter_m: Array
    vertical_perimeter_m: Array
    connector_length_m: Array
    connector_rise_m: Array
    vertical_height_m: Array
    connector_u_w_m2k: Array
    vertical_u_w_m2k: Array
    connector_capacity_j_m2k: Array
    vertical_capacity_j_m2k: Array
    film_w_m2k: Array
    connector_ambient_k: Array
    vertical_ambient_k: Array
    resistance_m4: Array
    dilution_ratio: Array
    terminal_pa: Array
    pressure_pa: Array

    def take(self, index: Index | slice) -> Vent:
        """Return the same vent for a choice of samples."""
        return replace(self, **{f.name: getattr(self, f.name)[index] for f in fields(self)})

    def lengths_m(self) -> Array:
        """Lengths of the segments, connector first, shape (segments, n)."""
        part = self.vertical_height_m / VERTICAL_SEGMENTS
        return np.stack([self.connector_length_m, *([part] * VERTICAL_SEGMENTS)])

    def rises_m(self) -> Array:
        """Rises of the segments, shape (segments, n)."""
        part = self.vertical_height_m / VERTICAL_SEGMENTS
        return np.stack([self.connector_rise_m, *([part] * VERTICAL_SEGMENTS)])

    def by_segment(self, name: str) -> Array:
        """Stack ``connector_<name>`` and ``vertical_<name>`` to shape (segments, n)."""
        rest = [getattr(self, f"vertical_{name}")] * VERTICAL_SEGMENTS
        return np.stack([getattr(self, f"connector_{name}"), *rest])

    def wall_areas_m2(self) -> Array:
        """Inside wall areas of the segments, shape (segments, n)."""
        return self.by_segment("perimeter_m") * self.lengths_m()

    def flow_share(self) -> Array:
        """Flow through each segment per flow from the heater's hood: more in a shared vertical vent."""
        one = np.ones_like(self.dilution_ratio)
        return np.stack([one, *([one + self.dilution_ratio] * VERTICAL_SEGMENTS)])


def density_kg_m3(temp_k: Array, pressure_pa: Array) -> Array:
    """Ideal-gas density of air (flue gas is taken as air, which is 2 % on the safe side), kg/m3."""
    return pressure_pa / (GAS_CONSTANT_AIR_J_KGK * temp_k)


def stack_pa(vent: Vent, gas_k: Array, outdoor_k: Array) -> Array:
    """Buoyancy of the gas column between hood and terminal, Pa.

    Parameters
    ----------
    vent : Vent
        Geometry.
    gas_k : array (segments, n)
        Mean gas temperature of each segment.
    outdoor_k : array (n,)
        Outdoor temperature.
    """
    outdoor = density_kg_m3(outdoor_k, vent.pressure_pa)
    inside = density_kg_m3(gas_k, vent.pressure_pa)
    return np.asarray(GRAVITY_M_S2 * ((outdoor - inside) * vent.rises_m()).sum(axis=0))


def mean_density_kg_m3(vent: Vent, gas_k: Array) -> Array:
    """Density at the length-weighted mean temperature of the vent, kg/m3."""
    lengths = vent.lengths_m()
    return density_kg_m3((gas_k * lengths).sum(axis=0) / lengths.sum(axis=0), vent.pressure_pa)


def flow_coefficient(vent: Vent, gas_k: Array) -> Array:
    """Mass flow from the hood at 1 Pa of net draft, kg/s/Pa^0.5: ``sqrt(2 rho / K)``."""
    return np.sqrt(2.0 * mean_density_kg_m3(vent, gas_k) / vent.resistance_m4)


def obstruction_coefficient(blocked_fraction: Array) -> Array:
    """Loss coefficient of a blockage, velocity heads of the open pipe: ``(1/(Cc s) - 1)^2``.

    ``s`` is the share of the area left open and ``Cc = 0.63 + 0.37 s^3`` the contraction (Weisbach's orifice-in-pipe
    form, from memory).
    """
    left = np.maximum(1.0 - blocked_fraction, 1e-3)
    contraction = 0.63 + 0.37 * left**3
    return np.asarray((1.0 / (contraction * left) - 1.0) ** 2)


def inlet_temperature_k(flow_kg_s: Array, products_kg_s: Array, products_k: Array, room_k: Array) -> Array:
    """Gas temperature behind the hood: the mixture of products and drawn-in room air, or the products alone."""
    total = np.maximum(flow_kg_s, products_kg_s)
    mixed = (products_kg_s * products_k + (total - products_kg_s) * room_k) / np.maximum(total, 1e-9)
    return np.where(products_kg_s > 0.0, mixed, room_k)


def plug_flow(vent: Vent, flow_kg_s: Array, inlet_k: Array, room_k: Array) -> tuple[Array, Array]:
    """Steady gas temperatures along the vent for upward flow.

    ``T(x) = Ta + (T1 - Ta) exp(-U p x / (w cp))`` in each segment (sources: ashrae-chimney, en-13384-1; memory).
    Where a shared vertical vent begins, room air from the idle appliance's hood mixes in.

    Returns
    -------
    mean_k, outlet_k : arrays (segments, n)
        Mean and outlet temperatures.
    """
    ambient, u_value = vent.by_segment("ambient_k"), vent.by_segment("u_w_m2k")
    loss = u_value * vent.wall_areas_m2() / CP_GAS_J_KGK
    flow = np.maximum(flow_kg_s, 1e-7) * vent.flow_share()
    temp, means, outlets = inlet_k, [], []
    for i in range(SEGMENTS):
        if i == 1:
            temp = (temp + vent.dilution_ratio * room_k) / (1.0 + vent.dilution_ratio)
        k = loss[i] / flow[i]
        decay = np.exp(-np.minimum(k, 50.0))
        rise = temp - ambient[i]
        means.append(ambient[i] + rise * (1.0 - decay) / np.maximum(k, 1e-9))
        temp = ambient[i] + rise * decay
        outlets.append(temp)
    return np.stack(means), np.stack(outlets)


def net_draft_pa(
    vent: Vent, flow_kg_s: Array, products_kg_s: Array, products_k: Array, room_k: Array, outdoor_k: Array
) -> tuple[Array, Array]:
    """Draft left over for depressurization at a steady upward flow, Pa, and the mean gas temperatures.

    The largest flow at which this equals the depressurization at the hood is the steady hot state.
    """
    inlet = inlet_temperature_k(flow_kg_s, products_kg_s, products_k, room_k)
    gas, _ = plug_flow(vent, flow_kg_s, inlet, room_k)
    friction = vent.resistance_m4 * flow_kg_s**2 / (2.0 * mean_density_kg_m3(vent, gas))
    return stack_pa(vent, gas, outdoor_k) - vent.terminal_pa - friction, gas


def steady_flow_kg_s(
    vent: Vent,
    products_kg_s: Array,
    products_k: Array,
    room_k: Array,
    outdoor_k: Array,
    depressurization_pa: Array,
    points: int = 96,
    halvings: int = 40,
) -> Array:
    """Flow of the hot steady state at a fixed depressurization, kg/s; zero where there is none.

    The largest root is bracketed on a grid of flows (several states coexist: see the module's text) and bisected.
    """
    top = np.sqrt(2.0 * 1.3 * 200.0 / vent.resistance_m4)
    grid = np.linspace(0.002, 1.0, points)[:, None] * top
    left_over = np.stack(
        [net_draft_pa(vent, g, products_kg_s, products_k, room_k, outdoor_k)[0] - depressurization_pa for g in grid]
    )
    positive = left_over > 0.0
    last = points - 1 - np.argmax(positive[::-1], axis=0)
    none = ~positive.any(axis=0)
    columns = np.arange(top.size)
    low = grid[np.minimum(last, points - 1), columns]
    high = grid[np.minimum(last + 1, points - 1), columns]
    for _ in range(halvings):
        middle = 0.5 * (low + high)
        up = net_draft_pa(vent, middle, products_kg_s, products_k, room_k, outdoor_k)[0] > depressurization_pa
        low, high = np.where(up, middle, low), np.where(up, high, middle)
    return np.where(none, 0.0, 0.5 * (low + high))


def wall_temperature_k(vent: Vent, gas_k: Array, segment: int = SEGMENTS - 1) -> Array:
    """Inner wall temperature of a segment in the steady state, K: ``Tg - (U / h) (Tg - Ta)``."""
    u_value = vent.by_segment("u_w_m2k")[segment]
    ambient = vent.by_segment("ambient_k")[segment]
    return np.asarray(gas_k - (u_value / vent.film_w_m2k) * (gas_k - ambient))
