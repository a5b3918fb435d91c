"""Mass balance of two connected spaces, the house and the combustion zone, for many samples at once.

Unknown are the two pressures relative to outdoors at the datum. Every path is monotone in them, so the solution is
unique: a damped Newton iteration with the analytic Jacobian finds it for nearly all samples, nested bracketing for
what is left (and for every sample with ``method="bracketing"``, the independent check of the Newton solver).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from advisor.physics.flow import Array, fan_flow, orifice_flow, power_law_flow

Index = NDArray[np.intp]

TOLERANCE_KG_S = 1e-9
BLOCK = 4096  # samples solved together: the working set then stays in the processor's cache
MAX_ITERATIONS = 40
BRACKET_PA = 2000.0


@dataclass(frozen=True, slots=True)
class Space:
    """Paths from one space to outdoors. ``n`` samples in the last axis.

    Parameters
    ----------
    leak_kg_s : array (leaks, n)
        Leak flows at 1 Pa.
    leak_offset_pa : array (leaks, n)
        What stack and wind add to the pressure difference across each leak, inside minus outside.
    exponent : array (n,)
        Exponent of all leaks of this space.
    opening_kg_s : array (openings, n)
        Flows at 1 Pa of openings with exponent 0.5; the vent is one of them.
    opening_offset_pa : array (openings, n)
        As for the leaks.
    exhaust_kg_s : array (n,)
        Exhaust fans at no counter-pressure.
    constant_kg_s : array (n,)
        Flows that no pressure changes, positive out: supply fans (negative), duct leaks.
    stall_pa : array (n,)
        Pressure at which the exhaust fans stall.
    """

    leak_kg_s: Array
    leak_offset_pa: Array
    exponent: Array
    opening_kg_s: Array
    opening_offset_pa: Array
    exhaust_kg_s: Array
    constant_kg_s: Array
    stall_pa: Array

    def take(self, index: Index | slice) -> Space:
        """Return the same space for a choice of samples."""
        return Space(
            self.leak_kg_s[:, index],
            self.leak_offset_pa[:, index],
            self.exponent[index],
            self.opening_kg_s[:, index],
            self.opening_offset_pa[:, index],
            self.exhaust_kg_s[index],
            self.constant_kg_s[index],
            self.stall_pa[index],
        )

    def flow(self, pressure_pa: Array) -> tuple[Array, Array]:
        """Net outflow to outdoors at a pressure, kg/s, and its slope."""
        leak, leak_slope = power_law_flow(self.leak_kg_s, self.exponent, pressure_pa + self.leak_offset_pa)
        opening, opening_slope = orifice_flow(self.opening_kg_s, pressure_pa + self.opening_offset_pa)
        flow = np.add.reduce(leak) + np.add.reduce(opening) + self.constant_kg_s
        slope = np.add.reduce(leak_slope) + np.add.reduce(opening_slope)
        if self.exhaust_kg_s.any():
            fan, fan_slope = fan_flow(self.exhaust_kg_s, pressure_pa, self.stall_pa)
            return flow + fan, slope + fan_slope
        return flow, slope


@dataclass(frozen=True, slots=True)
class Network:
    """Two spaces and the openings between them.

    Parameters
    ----------
    house, zone : Space
        The house and the combustion zone.
    link_kg_s, link_offset_pa : arrays (links, n)
        Openings between them (flow at 1 Pa from zone to house, offset from unequal temperatures).
    """

    house: Space
    zone: Space
    link_kg_s: Array
    link_offset_pa: Array

    def take(self, index: Index | slice) -> Network:
        """Return the same network for a choice of samples."""
        return Network(
            self.house.take(index), self.zone.take(index), self.link_kg_s[..., index], self.link_offset_pa[..., index]
        )

    @property
    def samples(self) -> int:
        """Number of samples."""
        return int(self.house.exponent.shape[-1])


@dataclass(frozen=True, slots=True)
class Pressures:
    """Solution: pressures relative to outdoors at the datum, Pa, and the largest imbalance, kg/s; each (n,)."""

    house_pa: Array
    zone_pa: Array
    residual_kg_s: Array


def imbalance(network: Network, house_pa: Array, zone_pa: Array) -> tuple[Array, ...]:
    """Net outflows and the Jacobian.

    Returns
    -------
    house_kg_s, zone_kg_s, d_house_d_house, d_cross, d_zone_d_zone : arrays (n,)
        The Jacobian is symmetric off the diagonal; ``d_cross`` is minus the slope of the links.
    """
    house, house_slope = network.house.flow(house_pa)
    zone, zone_slope = network.zone.flow(zone_pa)
    link, link_slope = orifice_flow(network.link_kg_s, zone_pa - house_pa + network.link_offset_pa)
    through, slope = np.add.reduce(link), np.add.reduce(link_slope)
    return house - through, zone + through, house_slope + slope, -slope, zone_slope + slope


class Packed:
    """A network laid out for speed: one array a kind of path, rows in the order house, zone, link.

    Paths with no flow in any sample are left out. The vent may be added as the last zone opening with `set_vent`.

    Parameters
    ----------
    network : Network
        What to lay out.
    vent : bool
        Keep a row for the vent.
    """

    __slots__ = (
        "exponent",
        "fans",
        "house_constant",
        "house_leaks",
        "house_openings",
        "leak_kg_s",
        "leak_offset_pa",
        "opening_kg_s",
        "opening_offset_pa",
        "samples",
        "zone_constant",
        "zone_openings",
    )

    def __init__(self, network: Network, vent: bool = False) -> None:
        house, zone, n = network.house, network.zone, network.samples
        h, z = (space.leak_kg_s.any(axis=1) for space in (house, zone))
        self.samples = n
        self.house_leaks = int(h.sum())
        self.leak_kg_s = np.concatenate([house.leak_kg_s[h], zone.leak_kg_s[z]])
        self.leak_offset_pa = np.concatenate([house.leak_offset_pa[h], zone.leak_offset_pa[z]])
        self.exponent: Array = house.exponent
        if zone.exponent is not house.exponent:
            rows = [house.exponent] * self.house_leaks + [zone.exponent] * int(z.sum())
            self.exponent = np.stack(rows) if rows else house.exponent
        h, z = (space.opening_kg_s.any(axis=1) for space in (house, zone))
        slot = [np.zeros((1, n))] if vent else []
        self.house_openings, self.zone_openings = int(h.sum()), int(z.sum()) + len(slot)
        self.opening_kg_s = np.concatenate([house.opening_kg_s[h], zone.opening_kg_s[z], *slot, network.link_kg_s])
        self.opening_offset_pa = np.concatenate(
            [house.opening_offset_pa[h], zone.opening_offset_pa[z], *slot, network.link_offset_pa]
        )
        self.house_constant, self.zone_constant = house.constant_kg_s, zone.constant_kg_s
        self.fans = tuple(
            (space.exhaust_kg_s, space.stall_pa) if space.exhaust_kg_s.any() else None for space in (house, zone)
        )

    def set_vent(self, coefficient_kg_s: Array, offset_pa: Array) -> None:
        """Set the vent's flow at 1 Pa and what its stack adds to the zone pressure."""
        row = self.house_openings + self.zone_openings - 1
        self.opening_kg_s[row], self.opening_offset_pa[row] = coefficient_kg_s, offset_pa

    def take(self, index: Index | slice) -> Packed:
        """Return the same layout for a choice of samples."""
        new = object.__new__(Packed)
        for name in ("house_leaks", "house_openings", "zone_openings"):
            setattr(new, name, getattr(self, name))
        for name in ("leak_kg_s", "leak_offset_pa", "opening_kg_s", "opening_offset_pa"):
            setattr(new, name, getattr(self, name)[:, index])
        for name in ("exponent", "house_constant", "zone_constant"):
            setattr(new, name, getattr(self, name)[..., index])
        new.fans = tuple(None if fan is None else (fan[0][index], fan[1][index]) for fan in self.fans)
        new.samples = int(new.house_constant.shape[-1])
        return new

    def imbalance(self, house_pa: Array, zone_pa: Array) -> tuple[Array, Array, Array, Array, Array]:
        """As the function `imbalance`, in fewer and longer array operations."""
        split, first = self.house_leaks, self.house_openings
        second = first + self.zone_openings
        dp = self.leak_offset_pa.copy()
        dp[:split] += house_pa
        dp[split:] += zone_pa
        leak, leak_slope = power_law_flow(self.leak_kg_s, self.exponent, dp)
        dp = self.opening_offset_pa.copy()
        dp[:first] += house_pa
        dp[first:second] += zone_pa
        dp[second:] += zone_pa - house_pa
        flow, slope = orifice_flow(self.opening_kg_s, dp)
        add = np.add.reduce
        through, link = add(flow[second:]), add(slope[second:])
        house = add(leak[:split]) + add(flow[:first]) - through + self.house_constant
        zone = add(leak[split:]) + add(flow[first:second]) + through + self.zone_constant
        house_slope = add(leak_slope[:split]) + add(slope[:first]) + link
        zone_slope = add(leak_slope[split:]) + add(slope[first:second]) + link
        if self.fans[0] is not None:
            fan, fan_slope = fan_flow(self.fans[0][0], house_pa, self.fans[0][1])
            house, house_slope = house + fan, house_slope + fan_slope
        if self.fans[1] is not None:
            fan, fan_slope = fan_flow(self.fans[1][0], zone_pa, self.fans[1][1])
            zone, zone_slope = zone + fan, zone_slope + fan_slope
        return house, zone, house_slope, -link, zone_slope


def newton(
    packed: Packed,
    house_pa: Array,
    zone_pa: Array,
    tolerance_kg_s: float = TOLERANCE_KG_S,
    iterations: int = MAX_ITERATIONS,
) -> Pressures:
    """Damped Newton on one block; samples that have converged leave the active set."""
    count = packed.samples
    result_house, result_zone = house_pa.copy(), zone_pa.copy()
    result_residual = np.full(count, np.inf)
    active: Index | None = None
    p_house, p_zone, part = house_pa.copy(), zone_pa.copy(), packed
    r_house, r_zone, a, b, d = part.imbalance(p_house, p_zone)
    worst = np.maximum(np.abs(r_house), np.abs(r_zone))
    for _ in range(iterations):
        done = worst < tolerance_kg_s
        finished = np.count_nonzero(done)
        if finished == done.size:
            break
        if finished > 0.4 * done.size:
            index = np.arange(count) if active is None else active
            result_house[index], result_zone[index], result_residual[index] = p_house, p_zone, worst
            keep = np.flatnonzero(~done)
            active = index[keep]
            part = part.take(keep)
            p_house, p_zone, worst = p_house[keep], p_zone[keep], worst[keep]
            r_house, r_zone, a, b, d = r_house[keep], r_zone[keep], a[keep], b[keep], d[keep]
        determinant = a * d - b * b
        step_house = -(d * r_house - b * r_zone) / determinant
        step_zone = -(a * r_zone - b * r_house) / determinant
        trial_house, trial_zone = p_house + step_house, p_zone + step_zone
        trial = part.imbalance(trial_house, trial_zone)
        trial_worst = np.maximum(np.abs(trial[0]), np.abs(trial[1]))
        share = 1.0
        poor = np.flatnonzero((trial_worst > worst) & (worst > tolerance_kg_s))
        while poor.size and share > 0.02:
            share *= 0.5
            trial_house[poor] = p_house[poor] + share * step_house[poor]
            trial_zone[poor] = p_zone[poor] + share * step_zone[poor]
            again = part.take(poor).imbalance(trial_house[poor], trial_zone[poor])
            for kept, new in zip(trial, again, strict=True):
                kept[poor] = new
            trial_worst[poor] = np.maximum(np.abs(again[0]), np.abs(again[1]))
            poor = poor[trial_worst[poor] > worst[poor]]
        p_house, p_zone, worst = trial_house, trial_zone, trial_worst
        r_house, r_zone, a, b, d = trial
    index = np.arange(count) if active is None else active
    result_house[index], result_zone[index], result_residual[index] = p_house, p_zone, worst
    return Pressures(result_house, result_zone, result_residual)


def guess(network: Network) -> tuple[Array, Array]:
    """Pressure of the two spaces taken as one, without stack and wind: near enough to start from."""
    house, zone = network.house, network.zone
    out = house.exhaust_kg_s + house.constant_kg_s + zone.exhaust_kg_s + zone.constant_kg_s
    leak = house.leak_kg_s.sum(axis=0) + zone.leak_kg_s.sum(axis=0)
    opening = house.opening_kg_s.sum(axis=0) + zone.opening_kg_s.sum(axis=0)
    total = np.maximum(leak + opening, 1e-9)
    pressure = -np.sign(out) * np.minimum((np.abs(out) / total) ** (1.0 / house.exponent), 100.0)
    stack = (house.leak_kg_s * house.leak_offset_pa).sum(axis=0) / np.maximum(house.leak_kg_s.sum(axis=0), 1e-9)
    return pressure - stack, pressure - stack


def _house_for_zone(network: Network, zone_pa: Array) -> Array:
    """House pressure that balances the house for a given zone pressure, by bisection."""
    low, high = np.full_like(zone_pa, -BRACKET_PA), np.full_like(zone_pa, BRACKET_PA)
    for _ in range(60):
        middle = 0.5 * (low + high)
        out = imbalance(network, middle, zone_pa)[0] > 0.0
        high, low = np.where(out, middle, high), np.where(out, low, middle)
    return 0.5 * (low + high)


def _bracketing(network: Network) -> Pressures:
    """Nested bisection: slow, certain, no derivative."""
    low, high = np.full(network.samples, -BRACKET_PA), np.full(network.samples, BRACKET_PA)
    for _ in range(60):
        middle = 0.5 * (low + high)
        out = imbalance(network, _house_for_zone(network, middle), middle)[1] > 0.0
        high, low = np.where(out, middle, high), np.where(out, low, middle)
    zone = 0.5 * (low + high)
    house = _house_for_zone(network, zone)
    r_house, r_zone, *_ = imbalance(network, house, zone)
    return Pressures(house, zone, np.maximum(np.abs(r_house), np.abs(r_zone)))


def solve_zones(
    network: Network,
    start: tuple[Array, Array] | None = None,
    method: str = "newton",
    tolerance_kg_s: float = TOLERANCE_KG_S,
) -> Pressures:
    """Find the two pressures that balance both spaces.

    Parameters
    ----------
    network : Network
        Paths, ``n`` samples.
    start : pair of arrays (n,), optional
        Pressures to start from, Pa; zero when absent.
    method : {"newton", "bracketing"}
        Solver. Newton hands what it cannot finish to bracketing.
    tolerance_kg_s : float
        Imbalance at which Newton stops.

    Returns
    -------
    Pressures
        Residual below the tolerance, or below 1e-8 kg/s where bracketing finished, for every sample.

    Raises
    ------
    ValueError
        If the method is unknown.
    """
    if method not in ("newton", "bracketing"):
        raise ValueError(f"method {method!r}: 'newton' or 'bracketing'")
    if method == "bracketing":
        return _bracketing(network)
    count = network.samples
    house, zone = guess(network) if start is None else start
    packed = Packed(network)
    parts = [
        newton(
            packed.take(slice(i, i + BLOCK)) if count > BLOCK else packed,
            house[i : i + BLOCK],
            zone[i : i + BLOCK],
            tolerance_kg_s,
        )
        for i in range(0, count, BLOCK)
    ]
    house, zone, residual = (
        np.concatenate([getattr(p, name) for p in parts]) for name in ("house_pa", "zone_pa", "residual_kg_s")
    )
    left = np.flatnonzero(residual > max(1e-8, 10.0 * tolerance_kg_s))
    if left.size:
        mended = _bracketing(network.take(left))
        better = mended.residual_kg_s < residual[left]
        house[left] = np.where(better, mended.house_pa, house[left])
        zone[left] = np.where(better, mended.zone_pa, zone[left])
        residual[left] = np.where(better, mended.residual_kg_s, residual[left])
    return Pressures(house, zone, residual)
