"""Expected hours of spillage in an ordinary year: burner, fans, weather and wind as they coincide.

Each of a small set of situations meets a few equally likely days, each with its temperature and its wind, at a few
levels of running exhaust, simulated in batches. How often each level runs while the burner fires comes from
published monitoring.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import product

import numpy as np

from advisor import catalog, units
from advisor.case.model import Case
from advisor.ensemble.draw import KIND_ROW
from advisor.ensemble.respond import respond
from advisor.ensemble.state import Array, Condition, Device, Index, State
from advisor.risk.firing import firing_pattern
from advisor.risk.sampling import Percentiles, representative
from advisor.risk.weather import temperatures_f, winds_m_s, zone_of

SAMPLES, DAYS = 80, 10
"""Situations, and days that each of them meets; numerical, measured against many more in the tests."""
LATTICE = 0.6180339887498949
"""Step of the wind from one day to the next, warmer one: temperatures and winds fill the square evenly (numerical)."""
FLOW_EDGES = (0.0, 1.0 / 3.0, 2.0 / 3.0, 1.0)
"""Levels of running exhaust as shares of all of it; a level stands for all sets of devices between its edges."""
MOST_DEVICES = 7
"""Devices counted one by one, the largest; 2^7 sets of running devices."""
_STEPS = {"household": 2, "handler": 3, "use": 7, "warmth": 11, "wind": 13}
"""Fractions of multiples of these square roots spread evenly, independent of each other: numerical."""


def _number(key: str) -> float:
    return catalog.number("risk_everyday", key)


@dataclass(frozen=True, slots=True)
class Everyday:
    """Spillage in an ordinary year.

    Parameters
    ----------
    hours_a_year : Percentiles
        Hours of spillage in firings that spill beyond the allowed time; 90 % band over situations and households.
    share_of_firings : Percentiles
        Share of the firings that spill beyond the allowed time.
    firings_a_year : float
        At the typical use.
    climate_zone : str
        Whose weather was taken.
    assumed_zone : bool
        True when the case names none.
    text : str
        In words a homeowner understands.
    """

    hours_a_year: Percentiles
    share_of_firings: Percentiles
    firings_a_year: float
    climate_zone: str
    assumed_zone: bool
    text: str


def active_share() -> float:
    """Share of the time in which the household uses fans and hot water at all.

    Bath fan and cooking coincide more often than independent use gives (``lbnl-wall-furnace``). Taken as independent
    within the active time a, ``p_both = p_bath p_cooking / a``.
    """
    return _number("use_bath_fan") * _number("use_range_hood") / _number("use_both_fans")


def use_shares(case: Case, devices: tuple[Device, ...]) -> tuple[float, ...]:
    """Return for each device the share of the active time, hence of the burner's time, in which it runs, 0 to 1."""
    found = {device.name: device for device in case.exhaust}
    shares = []
    for device in devices:
        row = KIND_ROW[device.kind]
        share = _number(f"use_{row}")
        how_often = found[device.name].weight_of_use if device.name in found else None
        if how_often in ("weekly", "rare"):
            share *= _number(f"use_{how_often}")
        runs = device.ducted_outdoors and device.kind != "whole-house fan"
        shares.append(min(share / active_share(), 0.95) if runs else 0.0)
    return tuple(shares)


@dataclass(frozen=True, slots=True)
class Levels:
    """Levels of running exhaust.

    Parameters
    ----------
    running : array (levels, devices)
        Mean share of each device that runs at a level.
    probability : array (levels, n)
        How likely each level is while the burner fires, for every situation's household.
    """

    running: Array
    probability: Array


def exhaust_levels(flows_m3_s: Array, shares: tuple[float, ...], household: Array) -> Levels:
    """Group all sets of running devices into levels by their flow.

    Parameters
    ----------
    flows_m3_s : array (devices,)
        Usual flows.
    shares : tuple of float
        From `use_shares`.
    household : array (n,)
        Factor on the use of all devices, for every situation.
    """
    use = np.array(shares)
    counted = [int(i) for i in np.argsort(-flows_m3_s, kind="stable") if use[i] > 0.0 and flows_m3_s[i] > 0.0]
    counted = counted[:MOST_DEVICES]
    sets = np.array(list(product((0.0, 1.0), repeat=len(counted)))).reshape(2 ** len(counted), len(counted))
    each = np.minimum(use[counted][:, None] * household[None], 0.95)  # (devices, n)
    chance = np.prod(np.where(sets[:, :, None] > 0.0, each[None], 1.0 - each[None]), axis=1)  # (sets, n)
    usual = np.prod(np.where(sets > 0.0, use[counted], 1.0 - use[counted]), axis=1)
    total = sets @ flows_m3_s[counted]
    share = total / max(float(total.max()), 1e-12)
    level = np.where(total <= 0.0, 0, np.searchsorted(np.array(FLOW_EDGES[1:-1]), share, side="left") + 1)
    running, probability = [], []
    for one in np.unique(level):
        inside = level == one
        mean = np.zeros(len(use))
        mean[counted] = usual[inside] @ sets[inside] / usual[inside].sum()
        running.append(mean)
        probability.append(chance[inside].sum(axis=0))
    return Levels(np.stack(running), np.stack(probability))


def _spread(name: str, samples: int) -> Array:
    """Evenly spread numbers between 0 and 1, (n,): every situation its own, without random numbers."""
    return np.asarray(np.mod((np.arange(samples) + 0.5) * np.sqrt(_STEPS[name]), 1.0))


def _between(uniform: Array, low: float, typical: float, high: float) -> Array:
    """Values with median ``typical``, running to ``low`` and ``high`` evenly in the logarithm."""
    return np.asarray(np.exp(np.interp(uniform, (0.0, 0.5, 1.0), np.log((low, typical, high)))))


@dataclass(frozen=True)
class _Year:
    """Situations and the days they meet; weather arrays (days, n)."""

    state: State
    base: Condition
    levels: Levels
    outdoor_f: Array
    wind_m_s: Array
    handler_on: Array
    allowed_s: float
    firing_s: float

    def spill_seconds(self, level: Index, day: Index, where: Index) -> Array:
        """Seconds of spillage of firings that spill beyond the allowed time, 0 for others, for days of situations."""
        kelvin = units.kelvin_from_fahrenheit(self.outdoor_f[day, where])
        state = self.state.take(where)
        tiled = replace(
            state,
            device_m3_s=state.device_m3_s * self.levels.running[level].T,
            # the wind is carried by the sample's own factor: the condition blows at 1 m/s
            wind_factor=state.wind_factor * self.wind_m_s[day, where],
            return_leak_m3_s=state.return_leak_m3_s * self.handler_on[where],
            supply_leak_m3_s=state.supply_leak_m3_s * self.handler_on[where],
        )
        # a temperature a sample: `scene_of` broadcasts it
        response = respond(tiled, replace(self.base, outdoor_k=kelvin, wind_m_s=1.0))
        lasting = np.minimum(response.seconds_to_draft, self.firing_s)
        return np.asarray(response.spills_beyond(self.allowed_s) * lasting)

    def seconds(self) -> Array:
        """Seconds at every level on every day, (levels, days, n), in one batch: small batches cost almost as much."""
        shape = (len(self.levels.running), *self.outdoor_f.shape)
        level, day, where = (axis.ravel() for axis in np.indices(shape))
        return self.spill_seconds(level, day, where).reshape(shape)


def everyday(
    case: Case,
    state: State,
    weight: Array,
    allowed_s: float,
    samples: int = SAMPLES,
    days: int = DAYS,
) -> Everyday:
    """Work out the expected hours of spillage a year of a state.

    Parameters
    ----------
    case : Case
        For climate, household and how often devices are used.
    state : State
        ``n`` situations, as found or after a remedy.
    weight : array (n,)
        Their weights.
    allowed_s : float
        Allowed spillage time, s; shorter spillage at a cold start does not count.
    samples, days : int
        Situations, and days that each meets; the days of each situation stand elsewhere within the parts of the year.

    Returns
    -------
    Everyday
        Zero for an appliance without a draft hood: it holds to its listed class, or fails the gates. The vent counts
        as idle before every firing (warmed by pilot and tank only), and windows as shut all year: both err toward more
        spillage.
    """
    firing = firing_pattern(case)
    zone, assumed = zone_of(case)
    if state.appliance != "natural draft":
        zero = Percentiles(0.0, 0.0, 0.0, 0.0)
        return Everyday(zero, zero, 0.0, zone, assumed, "No draft hood is left that could spill in everyday use.")
    state = state.take(representative(weight, samples))
    spread = catalog.parameter("risk_everyday", "household_use_factor")
    household = _between(_spread("household", samples), spread.low, spread.typical, spread.high)
    flows = np.median(state.device_m3_s, axis=1) if state.devices else np.zeros(0)
    levels = exhaust_levels(flows, use_shares(case, state.devices), household)
    part = np.arange(days)[:, None]
    year = _Year(
        state,
        Condition(
            name="everyday",
            devices_on=tuple(True for _ in state.devices),
            zone_door=case.zone.door_position,
            air_handler="on",
        ),
        levels,
        temperatures_f(zone, (part + _spread("warmth", samples)) / days),
        winds_m_s(zone, np.mod(part * LATTICE + _spread("wind", samples), 1.0)),
        (_spread("handler", samples) < _number("air_handler_share")).astype(np.float64),
        allowed_s,
        firing.minutes * units.S_PER_MIN,
    )
    found = year.seconds()
    chance = levels.probability[:, None] / days
    seconds, share = (chance * found).sum(axis=(0, 1)), (chance * (found > 0.0)).sum(axis=(0, 1))
    yearly = _between(_spread("use", samples), firing.firings_low, firing.firings_typical, firing.firings_high)
    hours = Percentiles.of(seconds * yearly * units.DAYS_PER_YEAR / units.S_PER_H)
    shares = Percentiles.of(share)
    a_year = firing.firings_typical * units.DAYS_PER_YEAR
    return Everyday(hours, shares, a_year, zone, assumed, _text(hours, shares))


def _text(hours: Percentiles, shares: Percentiles) -> str:
    if hours.p95 < 0.05 and hours.mean < 0.05:
        return (
            "In everyday use it would hardly ever spill beyond the allowed time. A worst-case test is harder than "
            "everyday use, and it is still the standard: the day on which everything runs is the day that counts."
        )
    if shares.p50 < 0.005:
        text = (
            "In everyday use the middle of the situations that fit the record hardly ever spills beyond the allowed time; "
            f"on average over all of them it is about {_plain(hours.mean)} hours a year (90 % band {_plain(hours.p05)} to "
            f"{_plain(hours.p95)}), mostly in hot or windy hours."
        )
    else:
        often = max(1.0, round(1.0 / max(shares.mean, 1e-6)))
        usual = "about every firing" if shares.mean > 0.66 else f"about one firing in {often:,.0f}"
        text = (
            f"In everyday use {usual} would spill beyond the allowed time: about {_plain(hours.mean)} hours a year "
            f"(90 % band {_plain(hours.p05)} to {_plain(hours.p95)})."
        )
    if shares.mean < 0.05:
        text += " Worst-case tests flag houses that rarely spill, and they are still the standard."
    return text


def _plain(hours: float) -> str:
    return f"{hours:.1f}" if hours < 9.95 else f"{hours:,.0f}"
