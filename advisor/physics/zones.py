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


def _newton(
    network: Network, house_pa: Array, zone_pa: Array, tolerance_kg_s: float, iterations: int
) -> Pressures:
    """Damped Newton on one block; samples that have converged leave the active set."""
    count = network.samples
    result_house, result_zone = house_pa.copy(), zone_pa.copy()
    result_residual = np.full(count, np.inf)
    active: Index | None = None
    p_house, p_zone, part = house_pa.copy(), zone_pa.copy(), network
    r_house, r_zone, a, b, d = imbalance(part, p_house, p_zone)
    worst = np.maximum(np.abs(r_house), np.abs(r_zone))
    for _ in range(iterations):
        done = worst < tolerance_kg_s
        if done.all():
            break
        if done.mean() > 0.4:
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
        trial = imbalance(part, trial_house, trial_zone)
        trial_worst = np.maximum(np.abs(trial[0]), np.abs(trial[1]))
        share = 1.0
        poor = np.flatnonzero((trial_worst > worst) & (worst > tolerance_kg_s))
        while poor.size and share > 0.02:
            share *= 0.5
            trial_house[poor] = p_house[poor] + share * step_house[poor]
            trial_zone[poor] = p_zone[poor] + share * step_zone[poor]
            again = imbalance(part.take(poor), trial_house[poor], trial_zone[poor])
            for kept, new in zip(trial, again, strict=True):
                kept[poor] = new
            trial_worst[poor] = np.maximum(np.abs(again[0]), np.abs(again[1]))
            poor = poor[trial_worst[poor] > worst[poor]]
        p_house, p_zone, worst = trial_house, trial_zone, trial_worst
        r_house, r_zone, a, b, d = trial
    index = np.arange(count) if active is None else active
    result_house[index], result_zone[index], result_residual[index] = p_house, p_zone, worst
    return Pressures(result_house, result_zone, result_residual)


def _guess(network: Network) -> tuple[Array, Array]:
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
    iterations: int = MAX_ITERATIONS,
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
        Imbalance at which Newton stops; the march takes a coarser one.
    iterations : int
        Newton steps at most. Fewer than the usual number means that a rest may stay: each step of the march goes on
        from the one before, so the rest is carried, not kept.

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
    house, zone = _guess(network) if start is None else start
    parts = [
        _newton(
            network.take(slice(i, i + BLOCK)) if count > BLOCK else network,
            house[i : i + BLOCK],
            zone[i : i + BLOCK],
            tolerance_kg_s,
            iterations,
        )
        for i in range(0, count, BLOCK)
    ]
    house, zone, residual = (
        np.concatenate([getattr(p, name) for p in parts]) for name in ("house_pa", "zone_pa", "residual_kg_s")
    )
    if iterations < MAX_ITERATIONS:
        return Pressures(house, zone, residual)
    left = np.flatnonzero(residual > max(1e-8, 10.0 * tolerance_kg_s))
    if left.size:
        mended = _bracketing(network.take(left))
        better = mended.residual_kg_s < residual[left]
        house[left] = np.where(better, mended.house_pa, house[left])
        zone[left] = np.where(better, mended.zone_pa, zone[left])
        residual[left] = np.where(better, mended.residual_kg_s, residual[left])
    return Pressures(house, zone, residual)
