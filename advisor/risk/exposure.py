"""What a spilling heater puts into the air of zone and house, over one firing and over a day, and into the blood."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from advisor import catalog, units
from advisor.case.model import Case
from advisor.ensemble import properties
from advisor.ensemble.conditions import idle_house
from advisor.ensemble.respond import Response
from advisor.ensemble.state import Array, Condition, Index, State
from advisor.ensemble.weighted import Percentiles, representative
from advisor.facts.space import apart
from advisor.findings import Finding, Words, finding, slug
from advisor.physics import carbon_monoxide as co
from advisor.physics import combustion
from advisor.physics.startup import SPILL_TOLERANCE
from advisor.risk.air_exchange import air_exchange
from advisor.risk.fellows import ALONE, Fellow, co_with, gas_with
from advisor.risk.firing import Firing, firing_pattern
from advisor.risk.score import severity_of

SAMPLES = 192
"""Situations that stand for the ensemble; numerical."""
FIRING_EDGES_S = (0.0, 60.0, 300.0)
"""Where the spilled share may change within a firing, s; the last interval runs to the end of the firing. Numerical."""
PAUSE_SHARES = (0.25, 1.0)
"""Ends of the intervals between two firings as shares of the pause. Numerical."""
LIVED_IN = ("kitchen", "open plan", "bedroom", "bathroom")
"""Kinds of zone whose air people breathe all day."""
LEAST_HOUSE_SHARE, MOST_COHB_PCT = 0.3, 99.0
"""Guards against a zone drawn larger than its house, and against a margin beyond all blood; numerical."""
WINDOW_8H_S, WINDOW_1H_S = 8.0 * units.S_PER_H, units.S_PER_H


def _number(key: str) -> float:
    return catalog.number("risk_exposure", key)


@dataclass(frozen=True, slots=True)
class LevelCheck:
    """A published level held against what people breathe.

    Parameters
    ----------
    name : Finding
        Name of the level.
    ppm, averaging_min : float
        Level as a mean over this time; 0 minutes is a ceiling.
    highest : Percentiles
        Highest mean over that time, ppm.
    share_above : float
        Share of the situations above the level.
    source : str
        Source id.
    """

    name: Words
    ppm: float
    averaging_min: float
    highest: Percentiles
    share_above: float
    source: str


@dataclass(frozen=True, slots=True)
class Exposure:
    """Exposure over one firing and over a day in which every firing is as bad as the condition makes it.

    All percentiles run over the situations that fit the record, those that do not spill included.

    Parameters
    ----------
    condition : str
        Condition it was worked out for.
    others : tuple of str
        Names of the other burners that are counted as spilling with the heater (`advisor.risk.fellows`).
    firings_day, firing_minutes : float
        Typical day.
    spilling_share : float
        Share of the situations that spill at all after the first minute.
    co_source_g_h : Percentiles
        Carbon monoxide spilled, mean over a firing, g/h.
    zone_peak_ppm, house_peak_ppm : Percentiles
        At the end of one firing into clean air.
    zone_day_ppm, breathed_8h_ppm, breathed_1h_ppm : Percentiles
        Highest of the day in the zone, and highest means of what people breathe (the house's air, or the zone's
        where people live in it).
    cohb_rest_pct, cohb_light_pct : Percentiles
        Highest of the day for an adult at rest and at light activity.
    cohb_child_pct, cohb_pregnancy_pct : Percentiles
        The gain at light activity times the margin of the catalog: margins and not medical figures.
    fouled_peak_ppm, fouled_cohb_pct : Percentiles
        The same day if the burner fouls: peak in the zone, COHb at light activity.
    water_kg_firing, water_kg_day : Percentiles
        Water vapour spilled.
    co2_zone_ppm, co2_house_ppm : Percentiles
        Carbon dioxide at the end of one firing, outdoor air included.
    levels : tuple of LevelCheck
        Published levels.
    symptoms : Finding
        Symptoms of the 95th percentile at light activity.
    full_spill_severity : float
        Mean severity of a day in which all products of every firing spill, 0 to 1: the score's severity.
    """

    condition: str
    others: tuple[str, ...]
    firings_day: float
    firing_minutes: float
    spilling_share: float
    co_source_g_h: Percentiles
    zone_peak_ppm: Percentiles
    house_peak_ppm: Percentiles
    zone_day_ppm: Percentiles
    breathed_8h_ppm: Percentiles
    breathed_1h_ppm: Percentiles
    cohb_rest_pct: Percentiles
    cohb_light_pct: Percentiles
    cohb_child_pct: Percentiles
    cohb_pregnancy_pct: Percentiles
    fouled_peak_ppm: Percentiles
    fouled_cohb_pct: Percentiles
    water_kg_firing: Percentiles
    water_kg_day: Percentiles
    co2_zone_ppm: Percentiles
    co2_house_ppm: Percentiles
    levels: tuple[LevelCheck, ...]
    symptoms: Words
    full_spill_severity: float


@dataclass(frozen=True, slots=True)
class Day:
    """Series over a day for one part a million of source strength: times (k,), ppm (k, n) a unit of air-free CO."""

    times_s: Array
    zone: Array
    house: Array
    firing_end: int


def spilled_shares(response: Response, firing_s: float) -> tuple[Array, Array]:
    """Return the edges (k + 1,) of the intervals of a firing, s, and the spilled share in each, (k, n).

    Beyond the simulated ten minutes the last share stays.
    """
    edges = np.array([*(edge for edge in FIRING_EDGES_S if edge < firing_s), firing_s])
    spilled = np.clip(1.0 - response.flow_ratio, 0.0, 1.0)
    steps = np.concatenate([[0.0], response.times_s])
    total = np.concatenate([np.zeros_like(spilled[:1]), np.cumsum(spilled * np.diff(steps)[:, None], axis=0)])

    def until(moment: float) -> Array:
        inside = min(moment, float(steps[-1]))
        step = min(int(np.searchsorted(steps, inside, side="right")) - 1, len(steps) - 2)
        partial = total[step] + spilled[step] * (inside - steps[step])
        return np.asarray(partial + spilled[-1] * max(moment - float(steps[-1]), 0.0))

    dose = np.stack([until(float(edge)) for edge in edges])
    return edges, np.diff(dose, axis=0) / np.diff(edges)[:, None]


def day_series(
    source_m3_s: Array, edges_s: Array, firing: co.AirExchange, pause: co.AirExchange, volumes: tuple[Array, Array],
    firings: int, cycle_s: float,
) -> Day:  # fmt: skip
    """March zone and house through a day of equal firings.

    Parameters
    ----------
    source_m3_s : array (k, n)
        Gas entering the zone in each interval of a firing.
    edges_s : array (k + 1,)
        Edges of those intervals.
    firing, pause : AirExchange
        Flows while the burner fires, and between.
    volumes : pair of arrays (n,)
        Zone, and house without the zone, m3.
    firings : int
        Number of firings.
    cycle_s : float
        From the start of one firing to the next.
    """
    zone, house = np.zeros_like(source_m3_s[0]), np.zeros_like(source_m3_s[0])
    times, zones, houses = [0.0], [zone], [house]
    burn = np.diff(edges_s)
    rest = max(cycle_s - float(edges_s[-1]), 0.0)
    pauses = np.diff(np.concatenate([[0.0], PAUSE_SHARES])) * rest
    silent = np.zeros_like(source_m3_s[0])
    for _ in range(firings):
        for i, duration in enumerate(burn):
            zone, house = co.two_room_step(zone, house, float(duration), source_m3_s[i], firing, *volumes)
            times.append(times[-1] + float(duration))
            zones.append(zone)
            houses.append(house)
        for duration in pauses if rest > 0.0 else ():
            zone, house = co.two_room_step(zone, house, float(duration), silent, pause, *volumes)
            times.append(times[-1] + float(duration))
            zones.append(zone)
            houses.append(house)
    return Day(np.array(times), np.stack(zones), np.stack(houses), len(burn))


def blood_pct(times_s: Array, ppm: Array, activity: str) -> Array:
    """Return the highest COHb along a series, percent, (n,), from the usual level of somebody who does not smoke."""
    start = catalog.number("blood_model", "initial_cohb_pct")
    series = co.cohb_series_pct(times_s, ppm, start, properties.blood_model(activity))
    return np.asarray(series.max(axis=0))


def with_margin(cohb_pct: Array, factor: float) -> Array:
    """Return COHb with the gain above the usual level multiplied by a margin."""
    start = catalog.number("blood_model", "initial_cohb_pct")
    return np.asarray(np.minimum(start + factor * np.maximum(cohb_pct - start, 0.0), MOST_COHB_PCT))


def _volumes(case: Case, state: State) -> tuple[Array, Array]:
    inside = 0.0 if apart(case) else 1.0
    house = np.maximum(state.house.volume_m3 - inside * state.zone.volume_m3, LEAST_HOUSE_SHARE * state.house.volume_m3)
    return state.zone.volume_m3, house


def exposure(
    case: Case, state: State, weight: Array, condition: Condition, response: Response, samples: int = SAMPLES,
    others: tuple[Fellow, ...] = ALONE,
) -> Exposure:  # fmt: skip
    """Work out the exposure of a state under a condition.

    Parameters
    ----------
    case : Case
        For household and kind of zone.
    state : State
        ``n`` situations, as found or after a remedy.
    weight : array (n,)
        Their weights.
    condition : Condition
        What runs during the firings; between them everything is off.
    response : Response
        Of that state under that condition.
    samples : int
        Situations that stand for the ensemble.
    others : tuple of Fellow
        Burners that spill with the heater whenever it fires.

    Returns
    -------
    Exposure

    Notes
    -----
    Zone and house are mixed rooms with the solved flows of `advisor.risk.air_exchange`; the exchange of the firing is
    that at its end. Inflow through a reversed vent dilutes: past the tipping point more depressurization can lower the
    concentration (``lbnl-5798e``).
    """
    firing = firing_pattern(case)
    if state.appliance == "none":
        return _nothing(condition, firing, tuple(one.name for one in others))
    index = representative(weight, samples)
    state = state.take(index)
    response = _take_response(response, index)
    n = state.samples
    firing_s = firing.minutes * units.S_PER_MIN
    firings = max(1, round(firing.firings_typical))
    cycle_s = max(_number("waking_hours") * units.S_PER_H / firings, firing_s)
    edges, shares = spilled_shares(response, firing_s)
    fuel = properties.fuel(state.fuel)
    ratio = response.flow_ratio[-1]
    flow = np.where(state.appliance == "natural draft", ratio * state.burner.products_kg_s, 0.0)
    # the same situations twice: as they spill, and with all products spilling from a vent that stands still
    twice = np.concatenate([np.arange(n), np.arange(n)])
    both = state.take(twice)
    still = np.zeros(n)
    during = air_exchange(both, condition, np.concatenate([flow, still])).air
    between = air_exchange(both, replace(idle_house(condition), name="between firings"), np.zeros(2 * n)).air
    # ppm a ppm of air-free CO: all else is linear in the source
    unit = co.source_m3_s(both.burner.input_w, 1.0, fuel.dry_flue_m3_j)
    both_shares = np.concatenate([shares, np.ones_like(shares)], axis=1)
    volumes = _volumes(case, both)
    day = day_series(both_shares * unit, edges, during, between, volumes, firings, cycle_s)
    breathed = np.maximum(day.zone, day.house) if case.zone.kind in LIVED_IN else day.house
    gas, co_ppm = gas_with(others), co_with(both.burner.co_air_free_ppm, others)
    ppm = co_ppm * breathed
    rest_pct, light_pct = blood_pct(day.times_s, ppm[:, :n], "rest"), blood_pct(day.times_s, ppm, "light")
    mean_8h = co.highest_mean_ppm(day.times_s, ppm, WINDOW_8H_S)
    mean_1h = co.highest_mean_ppm(day.times_s, ppm, WINDOW_1H_S)
    zone_day = (co_ppm * day.zone).max(axis=0)
    severity = severity_of(
        {
            "cohb_pct": light_pct[n:],
            "mean_8h_ppm": mean_8h[n:],
            "mean_1h_ppm": mean_1h[n:],
            "peak_ppm": zone_day[n:],
            "co_air_free_ppm": state.burner.co_air_free_ppm,
        }
    )
    fouled = gas * _number("fouled_co_air_free_ppm")
    fouled_pct = blood_pct(day.times_s, fouled * breathed[:, :n], "light")
    spilled = (shares * np.diff(edges)[:, None]).sum(axis=0) / firing_s
    water = gas * combustion.water_mass_flow_kg_s(fuel, state.burner.input_w) * spilled * firing_s
    co2_unit = (
        gas * combustion.co2_mass_flow_kg_s(fuel, state.burner.input_w) / co_kg_per_m3_ratio(fuel, state.burner.input_w)
    )
    end = day.firing_end
    rest_p, light_p = Percentiles.of(rest_pct), Percentiles.of(light_pct[:n])
    late = shares[min(1, len(shares) - 1) :].max(axis=0)
    outdoor_co2 = _number("outdoor_co2_ppm")
    grams_h = 3.6e6 * combustion.co_mass_flow_kg_s(fuel, state.burner.input_w, co_ppm[:n]) * spilled
    return Exposure(
        condition=condition.name,
        others=tuple(one.name for one in others),
        firings_day=float(firings),
        firing_minutes=firing.minutes,
        spilling_share=float((late > 1.0 - SPILL_TOLERANCE).mean()),
        co_source_g_h=Percentiles.of(grams_h),
        zone_peak_ppm=Percentiles.of(co_ppm[:n] * day.zone[end, :n]),
        house_peak_ppm=Percentiles.of(co_ppm[:n] * day.house[end, :n]),
        zone_day_ppm=Percentiles.of(zone_day[:n]),
        breathed_8h_ppm=Percentiles.of(mean_8h[:n]),
        breathed_1h_ppm=Percentiles.of(mean_1h[:n]),
        cohb_rest_pct=rest_p,
        cohb_light_pct=light_p,
        cohb_child_pct=Percentiles.of(with_margin(light_pct[:n], _number("child_factor"))),
        cohb_pregnancy_pct=Percentiles.of(with_margin(light_pct[:n], _number("pregnancy_factor"))),
        fouled_peak_ppm=Percentiles.of(fouled * day.zone[:, :n].max(axis=0)),
        fouled_cohb_pct=Percentiles.of(fouled_pct),
        water_kg_firing=Percentiles.of(water),
        water_kg_day=Percentiles.of(water * firings),
        co2_zone_ppm=Percentiles.of(outdoor_co2 + co2_unit * day.zone[end, :n]),
        co2_house_ppm=Percentiles.of(outdoor_co2 + co2_unit * day.house[end, :n]),
        levels=_levels(day.times_s, ppm[:, :n]),
        symptoms=_symptoms(light_p.p95),
        full_spill_severity=float(severity.mean()),
    )


def co_kg_per_m3_ratio(fuel: combustion.Fuel, input_w: Array) -> Array:
    """Return the mass of carbon dioxide that fills the volume of one ppm of air-free CO, kg/s, (n,)."""
    molar_mass_co2 = fuel.carbon_dioxide_kg_j / (fuel.dry_flue_mol_j * fuel.carbon_dioxide_max_dry_pct / 100.0)
    return np.asarray(input_w * fuel.dry_flue_mol_j * 1e-6 * molar_mass_co2)


def _name(level: properties.AirThreshold) -> Finding:
    return finding(f"risk.level.{slug(level.name)}")


def _symptoms(cohb_pct: float) -> Finding:
    return finding(f"risk.symptoms.{properties.symptoms(cohb_pct)}")


def _levels(times_s: Array, ppm: Array) -> tuple[LevelCheck, ...]:
    found = []
    means: dict[float, Array] = {}
    for level in properties.air_thresholds():
        if level.averaging_min not in means:
            window = level.averaging_min * units.S_PER_MIN
            means[level.averaging_min] = (
                co.highest_mean_ppm(times_s, ppm, window) if window > 0.0 else np.asarray(ppm.max(axis=0))
            )
        highest = means[level.averaging_min]
        above = float((highest > level.ppm).mean())
        found.append(
            LevelCheck(_name(level), level.ppm, level.averaging_min, Percentiles.of(highest), above, level.source)
        )
    return tuple(found)


def _take_response(response: Response, index: Index) -> Response:
    return replace(
        response,
        **{name: getattr(response, name)[..., index] for name in Response.__dataclass_fields__ if name != "times_s"},
    )


def _nothing(condition: Condition, firing: Firing, others: tuple[str, ...]) -> Exposure:
    zero = Percentiles(0.0, 0.0, 0.0, 0.0)
    start = catalog.number("blood_model", "initial_cohb_pct")
    usual = Percentiles(start, start, start, start)
    outdoor = _number("outdoor_co2_ppm")
    air = Percentiles(outdoor, outdoor, outdoor, outdoor)
    levels = tuple(
        LevelCheck(_name(level), level.ppm, level.averaging_min, zero, 0.0, level.source)
        for level in properties.air_thresholds()
    )
    return Exposure(
        condition=condition.name,
        others=others,
        firings_day=0.0,
        firing_minutes=firing.minutes,
        spilling_share=0.0,
        co_source_g_h=zero,
        zone_peak_ppm=zero,
        house_peak_ppm=zero,
        zone_day_ppm=zero,
        breathed_8h_ppm=zero,
        breathed_1h_ppm=zero,
        cohb_rest_pct=usual,
        cohb_light_pct=usual,
        cohb_child_pct=usual,
        cohb_pregnancy_pct=usual,
        fouled_peak_ppm=zero,
        fouled_cohb_pct=usual,
        water_kg_firing=zero,
        water_kg_day=zero,
        co2_zone_ppm=air,
        co2_house_ppm=air,
        levels=levels,
        symptoms=_symptoms(start),
        full_spill_severity=0.0,
    )
