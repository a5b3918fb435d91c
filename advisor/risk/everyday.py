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
from advisor.case.model import Case, listed
from advisor.ensemble.question import Question
from advisor.ensemble.respond import respond
from advisor.ensemble.state import Array, Condition, Device, Index, State
from advisor.ensemble.weighted import Percentiles, representative
from advisor.facts.exhaust import KIND_ROW
from advisor.findings import Finding, Quantity, Words, finding, quantity
from advisor.risk.firing import firing_pattern
from advisor.risk.weather import temperatures_f, winds_m_s, zone_of

SAMPLES, DAYS = 100, 10
"""Situations, and days that each of them meets; numerical, measured against many more in the tests."""
LATTICE = 0.6180339887498949
"""Step of the wind from one day to the next, warmer one: temperatures and winds fill the square evenly (numerical)."""
FLOW_EDGES = (0.0, 1.0 / 3.0, 2.0 / 3.0, 1.0)
"""Levels of running exhaust as shares of all of it; a level stands for all sets of devices between its edges."""
MOST_DEVICES = 7
"""Devices counted one by one, the largest; 2^7 sets of running devices."""
_STEPS = {"household": 2, "handler": 3, "use": 7, "warmth": 11, "wind": 13}
"""Fractions of multiples of these square roots spread evenly, independent of each other: numerical."""


NONE = Percentiles(0.0, 0.0, 0.0, 0.0)


def _number(key: str) -> float:
    return catalog.number("risk_everyday", key)


@dataclass(frozen=True, slots=True)
class HoursByReason:
    """Modelled hours a year of spillage beyond the allowed time, mean over the situations, by what it takes away to end it.

    Reasons are taken away in the order fans, wind, warm weather; an hour counts for the first whose removal ends the
    spillage. The field names are the ids.

    Parameters
    ----------
    warm_weather : float
        Calm and with nothing running, but not on a cold day, h/yr.
    wind : float
        With nothing running, but not in still air, h/yr.
    fans : float
        Only with exhaust or air handler running, h/yr.
    vent : float
        On a cold calm day with nothing running too: the vent itself, h/yr.
    """

    warm_weather: float
    wind: float
    fans: float
    vent: float

    @property
    def total(self) -> float:
        """Return all hours a year."""
        return self.warm_weather + self.wind + self.fans + self.vent


NO_HOURS = HoursByReason(0.0, 0.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True)
class Everyday:
    """Spillage in an ordinary year, all of it modelled.

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
    text : Finding
        In words a homeowner understands.
    by_reason : HoursByReason
        The mean of ``hours_a_year``, parted by what causes it.
    start_up_hours_a_year : Percentiles
        Hours of any spillage, the usual seconds after each start included.
    modelled : bool
        Always True: simulated, never measured, and no ground against what was seen or read at the house.
    """

    hours_a_year: Percentiles
    share_of_firings: Percentiles
    firings_a_year: float
    climate_zone: str
    assumed_zone: bool
    text: Words
    by_reason: HoursByReason = NO_HOURS
    start_up_hours_a_year: Percentiles = NONE
    modelled: bool = True


def active_share() -> float:
    """Share of the time in which the household uses fans and hot water at all.

    Bath fan and cooking coincide more often than independent use gives (``lbnl-wall-furnace``). Taken as independent
    within the active time a, ``p_both = p_bath p_cooking / a``.
    """
    return _number("use_bath_fan") * _number("use_range_hood") / _number("use_both_fans")


def use_shares(case: Case, devices: tuple[Device, ...]) -> tuple[float, ...]:
    """Return for each device the share of the active time, hence of the burner's time, in which it runs, 0 to 1."""
    found = {device.name: device for device in listed(case.exhaust)}
    shares = []
    for device in devices:
        row = KIND_ROW[device.kind]
        share = _number(f"use_{row}")
        how_often = found[device.name].weight_of_use if device.name in found else None
        if how_often in ("weekly", "rare"):
            share *= _number(f"use_{how_often}")
        shares.append(min(share / active_share(), 0.95) if device.counts_in_worst_case else 0.0)
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
class _Cells:
    """Firings to simulate: a situation each, on a day of it, at a level of exhaust; arrays (cells,)."""

    where: Index
    level: Index
    outdoor_f: Array
    wind_m_s: Array
    handler_on: Array

    @staticmethod
    def joined(parts: tuple[_Cells, ...]) -> _Cells:
        """Return all parts one after the other: small batches cost almost as much as one large one."""
        names = ("where", "level", "outdoor_f", "wind_m_s", "handler_on")
        return _Cells(*(np.concatenate([getattr(part, name).ravel() for part in parts]) for name in names))


@dataclass(frozen=True)
class _Fired:
    """Seconds of spillage of every firing, and 1 where it goes beyond the allowed time."""

    seconds: Array
    beyond: Array


@dataclass(frozen=True)
class _Year:
    """Situations and the days they meet; weather arrays (days, n)."""

    state: State
    question: Question
    levels: Levels
    outdoor_f: Array
    wind_m_s: Array
    handler_on: Array
    firing_s: float

    def fire(self, cells: _Cells) -> _Fired:
        """Simulate firings."""
        kelvin = units.kelvin_from_fahrenheit(cells.outdoor_f)
        state = self.state.take(cells.where)
        tiled = replace(
            state,
            # the wind is carried by the sample's own factor: the condition blows at 1 m/s
            air=replace(state.air, wind_factor=state.air.wind_factor * cells.wind_m_s),
            house=replace(
                state.house,
                device_m3_s=state.house.device_m3_s * self.levels.running[cells.level].T,
                supply_leak_m3_s=state.house.supply_leak_m3_s * cells.handler_on,
            ),
            zone=replace(state.zone, return_leak_m3_s=state.zone.return_leak_m3_s * cells.handler_on),
        )
        # a temperature a sample: `scene_of` broadcasts it
        response = respond(tiled, replace(self.question.condition, outdoor_k=kelvin, wind_m_s=1.0))
        return _Fired(
            np.minimum(response.seconds_to_draft, self.firing_s), response.spills_beyond(self.question.allowed_s)
        )

    def run(self) -> tuple[_Fired, _Fired, _Fired, Array]:
        """Fire on every day: at every level (levels, days, n), with nothing running, in still air too (days, n), and
        whether a situation spills beyond the allowed time on a cold calm day (n,)."""
        days, n = self.outdoor_f.shape
        levels = len(self.levels.running)
        level, day, where = np.indices((levels, days, n))
        still, first = np.zeros((days, n)), np.zeros((days, n), dtype=np.intp)
        all_of_it = _Cells(where, level, self.outdoor_f[day, where], self.wind_m_s[day, where], self.handler_on[where])
        quiet = _Cells(where[0], first, self.outdoor_f, self.wind_m_s, still)
        calm = replace(quiet, wind_m_s=still)
        cold = _Cells(where[0, 0], first[0], np.full(n, _number("cold_day_f")), still[0], still[0])
        fired = self.fire(_Cells.joined((all_of_it, quiet, calm, cold)))
        edges = np.cumsum([levels * days * n, days * n, days * n])
        seconds, beyond = np.split(fired.seconds, edges), np.split(fired.beyond, edges)
        shapes = ((levels, days, n), (days, n), (days, n))
        each = [_Fired(s.reshape(k), b.reshape(k)) for s, b, k in zip(seconds, beyond, shapes, strict=False)]
        return each[0], each[1], each[2], beyond[3]


def hours_by_reason(hours: Array, quiet: Array, calm: Array, cold: Array) -> HoursByReason:
    """Part the hours of spillage by what has to be taken away to end them.

    Parameters
    ----------
    hours : array (levels, days, n)
        Hours a year that each firing stands for, 0 where it does not spill beyond the allowed time; their sum over
        levels and days, averaged over ``n``, is the mean of the year.
    quiet, calm : array (days, n)
        1 where it spills beyond the allowed time with nothing running, and in still air too.
    cold : array (n,)
        1 where it does so on a cold calm day.
    """
    windless = quiet * calm

    def mean(share: Array) -> float:
        return float((hours * share).sum(axis=(0, 1)).mean())

    return HoursByReason(
        warm_weather=mean(windless * (1.0 - cold)),
        wind=mean(quiet * (1.0 - calm)),
        fans=mean(1.0 - quiet),
        vent=mean(windless * cold),
    )


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
        return Everyday(NONE, NONE, 0.0, zone, assumed, finding("risk.everyday.no_hood"))
    state = state.take(representative(weight, samples))
    spread = catalog.parameter("risk_everyday", "household_use_factor")
    household = _between(_spread("household", samples), spread.low, spread.typical, spread.high)
    flows = np.median(state.house.device_m3_s, axis=1) if state.devices else np.zeros(0)
    levels = exhaust_levels(flows, use_shares(case, state.devices), household)
    part = np.arange(days)[:, None]
    year = _Year(
        state,
        Question(
            Condition(
                name="everyday",
                devices_on=tuple(True for _ in state.devices),
                zone_door=case.zone.door_position,
                air_handler="on",
            ),
            allowed_s,
        ),
        levels,
        temperatures_f(zone, (part + _spread("warmth", samples)) / days),
        winds_m_s(zone, np.mod(part * LATTICE + _spread("wind", samples), 1.0)),
        (_spread("handler", samples) < _number("air_handler_share")).astype(np.float64),
        firing.minutes * units.S_PER_MIN,
    )
    fired, quiet, calm, cold = year.run()
    a_day = _between(_spread("use", samples), firing.firings_low, firing.firings_typical, firing.firings_high)
    chance = levels.probability[:, None] / days
    yearly = chance * a_day * units.DAYS_PER_YEAR / units.S_PER_H * fired.seconds
    each = yearly * fired.beyond
    hours, shares = Percentiles.of(each.sum(axis=(0, 1))), Percentiles.of((chance * fired.beyond).sum(axis=(0, 1)))
    reasons = hours_by_reason(each, quiet.beyond, calm.beyond, cold)
    return Everyday(
        hours_a_year=hours,
        share_of_firings=shares,
        firings_a_year=firing.firings_typical * units.DAYS_PER_YEAR,
        climate_zone=zone,
        assumed_zone=assumed,
        text=_text(hours, shares, reasons),
        by_reason=reasons,
        start_up_hours_a_year=Percentiles.of(yearly.sum(axis=(0, 1))),
    )


REASONS = ("warm_weather", "wind", "fans", "vent")
"""Ids of `HoursByReason`."""
HARDLY_H, SELDOM_SHARE, EVERY_SHARE, RARE_SHARE = 0.05, 0.005, 0.66, 0.05
"""Hours a year that are hardly any; shares of the firings that are hardly any, about all, and few. Numerical."""
WHOLE_FROM_H = 9.95
"""Hours from here on are said in whole numbers."""


def _text(hours: Percentiles, shares: Percentiles, reasons: HoursByReason) -> Finding:
    if hours.p95 < HARDLY_H and hours.mean < HARDLY_H:
        return finding("risk.everyday.hardly_ever")
    largest = max(REASONS, key=lambda name: float(getattr(reasons, name)))
    if shares.p50 < SELDOM_SHARE:
        text = finding("risk.everyday.mostly_not", reason=finding(f"risk.reason.{largest}"))
    elif shares.mean > EVERY_SHARE:
        text = finding("risk.everyday.every_firing")
    else:
        often = max(1.0, round(1.0 / max(shares.mean, 1e-6)))
        text = finding("risk.everyday.one_firing_in", often=quantity(often, "count"))
    text = text.with_values(mean=_shown(hours.mean), low=_shown(hours.p05), high=_shown(hours.p95))
    return finding("risk.everyday.still_the_standard", what=text) if shares.mean < RARE_SHARE else text


def _shown(hours: float) -> Quantity:
    return quantity(hours, "h", 1 if hours < WHOLE_FROM_H else 0)
