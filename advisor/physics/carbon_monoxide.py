"""Carbon monoxide: what spills, what the air of zone and house then holds, what the blood takes up.

Concentrations of air are ppm by volume, blood is percent carboxyhemoglobin (COHb) of the capacity. The blood follows
the nonlinear Coburn-Forster-Kane equation, integrated exactly over each interval of constant air: no step is too long.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from advisor.physics.air import Array, as_array


def source_m3_s(
    input_w: ArrayLike, air_free_ppm: ArrayLike, dry_flue_m3_j: ArrayLike, spilled_fraction: ArrayLike = 1.0
) -> Array:
    """Return the carbon monoxide that enters the room, m3/s at 20 C.

    Parameters
    ----------
    input_w : array_like
        Gas input (higher heating value), W.
    air_free_ppm : array_like
        Carbon monoxide of the flue gas on the air-free basis, ppm.
    dry_flue_m3_j : array_like
        Dry flue gas at no excess air, m3/J (``Fuel.dry_flue_m3_j``, the factor Fd).
    spilled_fraction : array_like
        Share of the combustion products that leaves at the draft hood, 0 to 1.
    """
    dry_flue = as_array(input_w) * as_array(dry_flue_m3_j)
    return dry_flue * as_array(air_free_ppm) * 1e-6 * as_array(spilled_fraction)


def _relaxation(rate: Array, time: Array) -> Array:
    """Return ``(exp(rate t) - 1) / rate``, and its limit t where the rate is 0."""
    product = rate * time
    small = np.abs(product) < 1e-9
    safe = np.where(small, -1.0, product)
    growth: Array = time * np.where(small, 1.0 + 0.5 * product, np.expm1(safe) / safe)
    return growth


@dataclass(frozen=True, slots=True)
class AirExchange:
    """Air flows between outdoors, house and combustion zone, m3/s, all 0 or more; scalars or one value a sample.

    Parameters
    ----------
    zone_from_outdoor, house_from_outdoor : array_like
        Outdoor air entering, through leaks, openings and a reversed vent.
    zone_to_house, house_to_zone : array_like
        Air through the door, grille or ducts between the two; both may flow at once.
    """

    zone_from_outdoor: ArrayLike
    house_from_outdoor: ArrayLike
    zone_to_house: ArrayLike
    house_to_zone: ArrayLike


def two_room_step(
    zone_ppm: ArrayLike,
    house_ppm: ArrayLike,
    duration_s: ArrayLike,
    zone_source_m3_s: ArrayLike,
    exchange: AirExchange,
    zone_volume_m3: ArrayLike,
    house_volume_m3: ArrayLike,
    outdoor_ppm: ArrayLike = 0.0,
) -> tuple[Array, Array]:
    """Advance zone and house, each mixed, over a time of constant source and flows: the exact solution.

    Both rooms lose what enters them (air in equals air out). ``house_volume_m3`` is the house without the zone.

    Returns
    -------
    zone_ppm, house_ppm : ndarray
        Concentrations at the end, ppm. Exact for any duration, so steps may be as long as the flows are steady.
    """
    zone_volume, house_volume = as_array(zone_volume_m3), as_array(house_volume_m3)
    duration, outdoor = as_array(duration_s), as_array(outdoor_ppm)
    into_zone, into_house = as_array(exchange.house_to_zone), as_array(exchange.zone_to_house)
    zone_out, house_out = as_array(exchange.zone_from_outdoor), as_array(exchange.house_from_outdoor)
    # excess over outdoors, x' = A x + b, A = [[-a, c], [d, -e]]
    a, c = (zone_out + into_zone) / zone_volume, into_zone / zone_volume
    e, d = (house_out + into_house) / house_volume, into_house / house_volume
    b = 1e6 * as_array(zone_source_m3_s) / zone_volume
    x, y = as_array(zone_ppm) - outdoor, as_array(house_ppm) - outdoor

    # Lagrange form of a function of a 2x2 matrix with the two real eigenvalues mean +- half
    mean = -0.5 * (a + e)
    half = np.sqrt(0.25 * (a - e) ** 2 + c * d)
    half = np.maximum(half, 1e-6 * np.abs(mean) + 1e-12)  # equal eigenvalues: nudged apart, error below 1e-9
    first, second = np.minimum(mean + half, 0.0), mean - half
    span = first - second
    decay1, decay2 = np.exp(first * duration), np.exp(second * duration)
    decay_slope = (decay1 - decay2) / span
    growth1, growth2 = _relaxation(first, duration), _relaxation(second, duration)
    growth_slope = (growth1 - growth2) / span
    new_x = decay1 * x + decay_slope * ((-a - first) * x + c * y) + growth1 * b + growth_slope * (-a - first) * b
    new_y = decay1 * y + decay_slope * (d * x + (-e - first) * y) + growth_slope * d * b
    return new_x + outdoor, new_y + outdoor


def highest_mean_ppm(times_s: ArrayLike, ppm: Array, window_s: float) -> Array:
    """Return the highest running mean over a window, for limits stated as a mean over a time.

    Parameters
    ----------
    times_s : array_like, shape (k,)
        Rising times, s; the concentration runs straight between them.
    ppm : ndarray, shape (k,) or (k, n)
        Concentration at the times.
    window_s : float
        Averaging time, s; a record shorter than the window counts as followed by nothing (mean over the window).
    """
    times, values = as_array(times_s), as_array(ppm)
    widths = np.diff(times).reshape((-1,) + (1,) * (values.ndim - 1))
    dose = np.concatenate([np.zeros_like(values[:1]), np.cumsum(0.5 * (values[1:] + values[:-1]) * widths, axis=0)])
    ends = np.unique(np.concatenate([times, times + window_s]))
    ends = ends[(ends >= times[0]) & (ends <= times[-1])]

    def dose_at(moment: Array) -> Array:
        where = np.clip(np.searchsorted(times, moment, side="right") - 1, 0, len(times) - 2)
        share = np.clip(moment - times[where], 0.0, None).reshape((-1,) + (1,) * (values.ndim - 1))
        slope = (values[where + 1] - values[where]) / widths[where]
        inside: Array = dose[where] + share * (values[where] + 0.5 * slope * share)
        return inside

    def inside_window(moment: Array) -> Array:
        return dose_at(moment) - dose_at(np.maximum(moment - window_s, times[0]))

    # between two breakpoints the windowed dose is a parabola: its ends, and its crest when that lies between
    at_ends, at_middle = inside_window(ends), inside_window(0.5 * (ends[1:] + ends[:-1]))
    slope = 0.5 * (at_ends[1:] - at_ends[:-1])
    bend = 0.5 * (at_ends[1:] + at_ends[:-1]) - at_middle
    crest = (bend < 0.0) & (np.abs(slope) < -2.0 * bend)
    top = np.where(crest, at_middle - slope**2 / np.where(crest, 4.0 * bend, 1.0), 0.0)
    best: Array = np.maximum(at_ends.max(axis=0), top.max(axis=0)) / window_s
    return best


@dataclass(frozen=True, slots=True)
class BloodModel:
    """Constants of the Coburn-Forster-Kane equation, built by ``advisor.ensemble.properties.blood_model``.

    Parameters
    ----------
    affinity : float
        Haldane's M, carbon monoxide over oxygen.
    endogenous_ml_min : float
        Carbon monoxide the body makes, mL/min.
    blood_volume_ml : float
        Blood volume, mL.
    capacity_ml_ml : float
        Gas the blood can bind, mL/mL.
    capillary_oxygen_mmhg : float
        Mean oxygen pressure in the lung capillaries, mmHg.
    diffusivity_ml_min_mmhg : float
        Lung diffusing capacity for carbon monoxide, mL/(min mmHg).
    ventilation_ml_min : float
        Alveolar ventilation, mL/min.
    dry_pressure_mmhg : float
        Barometric pressure less lung water vapour, mmHg; leaving the vapour out over-predicts (``pubmed-3578032``).
    """

    affinity: float
    endogenous_ml_min: float
    blood_volume_ml: float
    capacity_ml_ml: float
    capillary_oxygen_mmhg: float
    diffusivity_ml_min_mmhg: float
    ventilation_ml_min: float
    dry_pressure_mmhg: float

    @property
    def resistance_mmhg_min_ml(self) -> float:
        """Resistance B to uptake, ``1/DL + PL/VA``, mmHg min/mL."""
        return 1.0 / self.diffusivity_ml_min_mmhg + self.dry_pressure_mmhg / self.ventilation_ml_min


def _rates_per_min(ppm: ArrayLike, blood: BloodModel) -> tuple[Array, float]:
    """Uptake A and release B of ``ds/dt = A - B s / (1 - s)``, s the saturation with carbon monoxide, 1/min."""
    bound = blood.blood_volume_ml * blood.capacity_ml_ml
    release = blood.capillary_oxygen_mmhg / (blood.affinity * blood.resistance_mmhg_min_ml * bound)
    inspired_mmhg = as_array(ppm) * 1e-6 * blood.dry_pressure_mmhg
    uptake = (blood.endogenous_ml_min + inspired_mmhg / blood.resistance_mmhg_min_ml) / bound
    return uptake, release


def _lambert_from_log(sign: Array, log_size: Array) -> Array:
    """Solve ``w exp(w) = sign exp(log_size)`` for the principal branch, w >= -1, in logs so that nothing overflows."""
    size = np.exp(np.minimum(log_size, 1.0))
    z = np.maximum(sign * size, -np.exp(-1.0))
    # start: series near the branch point, z / (1 + z) elsewhere; then Halley
    root = np.sqrt(np.maximum(2.0 * (np.e * z + 1.0), 0.0))
    w = np.where(z < -0.25, -1.0 + root * (1.0 - root / 3.0), z / (1.0 + np.maximum(z, -0.25)))
    for _ in range(6):
        grown = np.exp(w)
        miss = w * grown - z
        step = grown * (w + 1.0) - (w + 2.0) * miss / np.maximum(2.0 * (w + 1.0), 1e-12)
        w = np.maximum(w - np.where(np.abs(step) > 1e-12, miss / np.where(step == 0.0, 1.0, step), 0.0), -1.0)
    large = np.maximum(log_size, 1.0)
    v = np.maximum(large - np.log(large), 1.0)  # w + ln w = log_size by Newton
    for _ in range(4):
        v = v * (1.0 + large - np.log(v)) / (1.0 + v)
    result: Array = np.where((sign > 0.0) & (log_size > 1.0), v, w)
    return result


def cohb_step_pct(cohb_pct: ArrayLike, ppm: ArrayLike, duration_min: ArrayLike, blood: BloodModel) -> Array:
    """Return COHb after breathing a constant concentration for a time: exact for the nonlinear equation.

    Parameters
    ----------
    cohb_pct : array_like
        COHb at the start, percent, 0 to below 100.
    ppm : array_like
        Carbon monoxide in the air breathed, ppm.
    duration_min : array_like
        Time in minutes, any length.

    Notes
    -----
    With s the saturation and s* its equilibrium, ``ds/dt = -(A + B)(s - s*) / (1 - s)`` separates, and
    ``w = (s* - s) / (1 - s*)`` obeys ``w exp(w) = w0 exp(w0) exp(-(A + B) t / (1 - s*))``: Lambert's function.
    """
    uptake, release = _rates_per_min(ppm, blood)
    total = uptake + release
    free = release / total  # 1 - s*
    start = (1.0 - free - as_array(cohb_pct) / 100.0) / free
    decay = total * as_array(duration_min) / free
    size = np.abs(start)
    log_size = np.log(np.maximum(size, 1e-300)) + start - decay
    end = np.where(size < 1e-300, 0.0, _lambert_from_log(np.sign(start), log_size))
    return 100.0 * (1.0 - free - free * end)


def cohb_series_pct(times_s: ArrayLike, ppm: Array, initial_pct: ArrayLike, blood: BloodModel) -> Array:
    """Return COHb along a concentration series.

    Parameters
    ----------
    times_s : array_like, shape (k,)
        Rising times, s.
    ppm : ndarray, shape (k,) or (k, n)
        Concentration at the times; an interval counts with the mean of its ends.
    initial_pct : array_like
        COHb at the first time, percent.

    Returns
    -------
    ndarray, shape of ``ppm`` (broadcast with ``initial_pct``)
        COHb at the times, percent.
    """
    minutes, values = as_array(times_s) / 60.0, as_array(ppm)
    now = np.broadcast_to(as_array(initial_pct), np.broadcast_shapes(values[0].shape, np.shape(initial_pct)))
    series = [now]
    for step, duration in enumerate(np.diff(minutes)):
        now = cohb_step_pct(now, 0.5 * (values[step] + values[step + 1]), duration, blood)
        series.append(now)
    return np.stack(series)


def band_index(cohb_pct: ArrayLike, upper_edges_pct: ArrayLike) -> NDArray[np.intp]:
    """Return the index of the symptom band of a COHb; an edge itself belongs to the lower band.

    Parameters
    ----------
    upper_edges_pct : array_like, shape (k,)
        Upper edges of the first k bands, rising; values above the last edge get index k.
    """
    return np.searchsorted(as_array(upper_edges_pct), as_array(cohb_pct), side="left")
