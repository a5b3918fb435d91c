"""Carbon monoxide in air and blood against published points, exact solutions and an independent integrator."""

from __future__ import annotations

import csv
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from oracles import carbon_monoxide as carbon_monoxide_oracle
from oracles import infiltration as infiltration_oracle
from oracles import properties as properties_oracle

from advisor import catalog
from advisor.ensemble import properties
from advisor.physics import carbon_monoxide as co
from advisor.units import J_PER_BTU, M3_PER_FT3, M3_S_PER_CFM, W_PER_BTU_H

DATA = Path(__file__).parents[1] / "data"
REST, LIGHT = properties.blood_model("rest"), properties.blood_model("light")
PUBLISHED_FD = 8710 * M3_PER_FT3 / (1e6 * J_PER_BTU)  # cfr40-75-f, second-hand
START_PCT = 0.8

ppm_values = st.floats(0, 5000)
cohb_values = st.floats(0, 60)


# --- source and rooms -------------------------------------------------------------------------------------------------


def full_spill(air_free_ppm: float) -> tuple[float, float, float]:
    source = co.source_m3_s(40_000 * W_PER_BTU_H, air_free_ppm, PUBLISHED_FD)
    volume = 10_000 * M3_PER_FT3
    return float(source), 0.35 * volume / 3600, volume


def test_full_spill_cc_34() -> None:
    """CC-34, exact: 40 kBtu/h, 400 ppm, Fd 8710, 10,000 ft3, 0.35 ach; 0.5 %."""
    source, flow, volume = full_spill(400)
    assert source / M3_PER_FT3 * 3600 == pytest.approx(0.1394, rel=5e-3)
    assert carbon_monoxide_oracle.steady_room_ppm(source, flow) == pytest.approx(39.8, rel=5e-3)
    found = carbon_monoxide_oracle.room_ppm(np.array([1.0, 4.0, 8.0]) * 3600, source, flow, volume)
    assert found == pytest.approx(np.array([11.8, 30.0, 37.4]), rel=5e-3)


@pytest.mark.parametrize(("air_free", "steady"), [(100, 10.0), (200, 19.9), (1000, 99.5), (2000, 199)])
def test_full_spill_cc_35(air_free: float, steady: float) -> None:
    """CC-35, exact; 0.5 %."""
    source, flow, _ = full_spill(air_free)
    assert carbon_monoxide_oracle.steady_room_ppm(source, flow) == pytest.approx(steady, rel=5e-3)


def test_full_spill_in_a_340_m3_house() -> None:
    """own-calc: 340 m3, 0.35 ach, 200 ppm: 16.6 ppm steady, 2.7 after 30 min; 3.9 steady with 300 cfm more; 2 %."""
    source = co.source_m3_s(40_000 * W_PER_BTU_H, 200, PUBLISHED_FD)
    flow = 0.35 * 340 / 3600
    assert carbon_monoxide_oracle.steady_room_ppm(source, flow) == pytest.approx(16.6, rel=0.02)
    assert carbon_monoxide_oracle.room_ppm(1800, source, flow, 340) == pytest.approx(2.7, rel=0.02)
    fans = infiltration_oracle.total_ventilation_half_rule(300 * M3_S_PER_CFM, flow)  # ashrae-f17-2021 eq. 14
    assert carbon_monoxide_oracle.steady_room_ppm(source, fans) == pytest.approx(3.9, rel=0.02)


def test_sealed_room_fills_without_end() -> None:
    """No air exchange: exact limit, concentration = source x time / volume."""
    assert carbon_monoxide_oracle.room_ppm(3600, 1e-6, 0.0, 100.0, 5.0) == pytest.approx(5.0 + 36.0)


def test_two_rooms_against_an_independent_integrator() -> None:
    """scipy (DOP853) on the same balance, flows drawn at random; 1e-6."""
    from scipy.integrate import solve_ivp

    random = np.random.default_rng(7)
    for _ in range(20):
        from_zone, from_house, to_house, to_zone = random.uniform(0, 0.2, 4) * (random.uniform(0, 1, 4) > 0.2)
        zone_volume, house_volume = random.uniform(5, 60), random.uniform(150, 600)
        source, outdoor = random.uniform(0, 2e-6), random.uniform(0, 3)
        zone0, house0 = random.uniform(0, 50, 2)

        def balance(
            _: float, x: np.ndarray, a: float = from_zone, b: float = from_house, c: float = to_house,
            d: float = to_zone, vz: float = zone_volume, vh: float = house_volume, s: float = source,
            o: float = outdoor,
        ) -> list[float]:  # fmt: skip
            zone = (1e6 * s + a * o + d * x[1] - (a + d) * x[0]) / vz
            return [zone, (b * o + c * x[0] - (b + c) * x[1]) / vh]

        solved = solve_ivp(balance, (0, 5400), [zone0, house0], rtol=1e-10, atol=1e-10, method="DOP853").y[:, -1]
        exchange = co.AirExchange(from_zone, from_house, to_house, to_zone)
        found = co.two_room_step(zone0, house0, 5400, source, exchange, zone_volume, house_volume, outdoor)
        assert np.array(found) == pytest.approx(solved, rel=1e-6, abs=1e-6)


def test_two_rooms_become_one_when_the_door_is_wide() -> None:
    """Exact limit: strong mixing makes one room of both volumes; 0.5 %."""
    exchange = co.AirExchange(0.01, 0.02, 50.0, 50.0)
    zone, house = co.two_room_step(0.0, 0.0, 3600, 1e-6, exchange, 20.0, 280.0)
    assert zone == pytest.approx(house, rel=5e-3)
    assert house == pytest.approx(carbon_monoxide_oracle.room_ppm(3600, 1e-6, 0.03, 300.0), rel=5e-3)


def test_series_equals_one_long_step_and_takes_samples() -> None:
    exchange = co.AirExchange(
        np.array([0.01, 0.0]), np.array([0.02, 0.0]), np.array([0.03, 0.0]), np.array([0.03, 0.0])
    )
    times = np.array([0.0, 10.0, 600.0, 3600.0])
    zone, house = carbon_monoxide_oracle.two_room_series(
        times, np.full(3, 1e-6), exchange, 20.0, np.array([280.0, 300.0])
    )
    assert zone.shape == house.shape == (4, 2)
    direct = co.two_room_step(0.0, 0.0, 3600.0, 1e-6, exchange, 20.0, np.array([280.0, 300.0]))
    assert zone[-1] == pytest.approx(direct[0])
    assert house[-1] == pytest.approx(direct[1])
    assert zone[-1, 1] == pytest.approx(1e6 * 1e-6 * 3600 / 20.0)  # no air at all: the sealed closet
    assert house[-1, 1] == pytest.approx(0.0, abs=1e-9)


@given(st.floats(0, 0.3), st.floats(0, 0.3), st.floats(0, 0.3), st.floats(0, 0.3), st.floats(1, 1e5))
def test_rooms_stay_sane(a: float, b: float, c: float, d: float, time_s: float) -> None:
    """Never negative; more source or less air never lowers a room; what is in the air never exceeds what came in."""
    exchange = co.AirExchange(a, b, c, d)
    zone, house = co.two_room_step(3.0, 1.0, time_s, 1e-6, exchange, 20.0, 280.0)
    assert zone >= -1e-9
    assert house >= -1e-9
    more = co.two_room_step(3.0, 1.0, time_s, 2e-6, exchange, 20.0, 280.0)
    assert more[0] >= zone - 1e-9
    assert more[1] >= house - 1e-9
    if abs(c - d) < 1e-12:  # balanced exchange: the total is bounded by what was there and what entered
        assert 20 * zone + 280 * house <= 20 * 3 + 280 * 1 + time_s * (1 + 1e-6)
    airier = co.two_room_step(3.0, 1.0, time_s, 1e-6, co.AirExchange(a + 0.1, b, c, d), 20.0, 280.0)
    assert airier[0] <= zone + 1e-9


def test_more_depressurization_can_lower_room_co() -> None:
    """lbnl-5798e (second-hand): once all products spill, more outdoor air down the vent lowers the steady level."""
    source = co.source_m3_s(40_000 * W_PER_BTU_H, 200, PUBLISHED_FD, np.array([0.2, 0.6, 1.0, 1.0, 1.0]))
    air_flow = 0.05 + np.array([0.0, 0.0, 0.0, 0.02, 0.05])
    level = carbon_monoxide_oracle.steady_room_ppm(source, air_flow)
    assert np.argmax(level) == 2


def test_highest_running_mean() -> None:
    """By hand: a triangle of 0-100-0 ppm over 2 h has a best hour of 75 ppm, and 50 over its whole length."""
    times = np.array([0.0, 3600.0, 7200.0])
    triangle = np.array([[0.0, 10.0], [100.0, 10.0], [0.0, 10.0]])
    assert co.highest_mean_ppm(times, triangle, 3600.0) == pytest.approx(np.array([75.0, 10.0]))
    assert co.highest_mean_ppm(times, triangle, 7200.0) == pytest.approx(np.array([50.0, 10.0]))
    assert co.highest_mean_ppm(times, triangle[:, 0], 14_400.0) == pytest.approx(25.0)


@given(st.lists(st.floats(0, 400), min_size=3, max_size=12), st.floats(100, 5000))
def test_highest_running_mean_against_a_fine_grid(levels: list[float], window: float) -> None:
    times = np.arange(len(levels)) * 700.0
    best = co.highest_mean_ppm(times, np.array(levels), window)
    fine = np.linspace(0, times[-1], 40_001)
    dose = np.concatenate([[0], np.cumsum(np.diff(fine) * 0.5 * np.add(*[np.interp(f, times, levels) for f in
                                                                           (fine[1:], fine[:-1])]))])  # fmt: skip
    grid = np.max(dose - np.interp(fine - window, fine, dose)) / window
    assert best == pytest.approx(grid, rel=2e-3, abs=0.05)
    assert best <= max(levels) + 1e-9


# --- blood ------------------------------------------------------------------------------------------------------------


def test_exact_step_against_an_independent_integrator() -> None:
    """scipy (LSODA) on the printed differential equation (cfk-note), uptake and release; 0.001 percent."""
    from scipy.integrate import solve_ivp

    for ppm, start, minutes in [(35, 0.8, 480), (400, 0.8, 120), (1600, 0.8, 300), (0, 40, 300), (50, 60, 90),
                                (20_000, 1, 60), (100, 97, 30)]:  # fmt: skip
        for blood in (REST, LIGHT):
            resistance = 1 / blood.diffusivity_ml_min_mmhg + 713 / blood.ventilation_ml_min
            inspired = ppm * 713e-6

            def rate(_: float, x: np.ndarray, b: float = resistance, p: float = inspired) -> np.ndarray:
                back = x * 100 / (218 * (0.20 - x))
                return 0.007 / 5500 + (p - back) / (5500 * b)

            solved = solve_ivp(rate, (0, minutes), [start / 500], rtol=1e-10, atol=1e-12, method="LSODA").y[0, -1]
            found = co.cohb_step_pct(start, ppm, minutes, blood)
            assert found == pytest.approx(solved * 500, abs=1e-3), (ppm, start)


def test_lambert_function_against_scipy() -> None:
    """scipy.special.lambertw, both signs, to beyond the range of a float exponential; 1e-6."""
    from scipy.special import lambertw

    z = np.concatenate([-np.exp(-1) + np.logspace(-10, -0.5, 200), np.logspace(-12, 250, 400)])
    z = z[z != 0]
    found = co._lambert_from_log(np.sign(z), np.log(np.abs(z)))
    assert found == pytest.approx(lambertw(z).real, rel=1e-6, abs=1e-9)
    huge = co._lambert_from_log(np.array([1.0]), np.array([2000.0]))[0]
    assert huge + np.log(huge) == pytest.approx(2000.0)


def test_rate_is_the_slope_of_the_step() -> None:
    """Finite difference of the exact solution equals the printed equation; 1e-5."""
    ppm, now = np.array([0.0, 50.0, 400.0, 3000.0]), np.array([20.0, 2.0, 10.0, 30.0])
    slope = (co.cohb_step_pct(now, ppm, 1e-3, REST) - now) / 1e-3
    assert slope == pytest.approx(carbon_monoxide_oracle.cohb_rate_pct_min(now, ppm, REST), rel=1e-3, abs=1e-5)


def test_own_reference_table() -> None:
    """own-calc (regression, beside the published points below): every row, half a last digit."""
    with (DATA / "cohb_reference.csv").open(newline="", encoding="utf-8") as handle:
        rows = list(csv.DictReader(handle))
    assert len(rows) == 140
    for row in rows:
        blood = properties.blood_model(row["activity"])
        found = co.cohb_step_pct(START_PCT, float(row["co_ppm"]), float(row["minutes"]), blood)
        assert found == pytest.approx(float(row["cohb_pct"]), abs=0.0051)


@pytest.mark.parametrize(("minutes", "low", "high"), [(10, 1, 2), (30, 3, 4), (60, 5, 6), (200, 12, 16), (240, 12, 16)])
def test_published_bands_cc_21(minutes: float, low: float, high: float) -> None:
    """CC-21, physiology-doc: rest, 200 ppm; inside the printed band."""
    assert low <= co.cohb_step_pct(START_PCT, 200, minutes, REST) <= high


@pytest.mark.parametrize(
    ("ppm", "hours", "published"), [(50, 24, 8.0), (100, 8, 12.0), (200, 4, 16.0), (500, 2.3, 25.0)]
)
def test_published_points_cc_25(ppm: float, hours: float, published: float) -> None:
    """CC-25, memory: 15 %."""
    assert co.cohb_step_pct(START_PCT, ppm, hours * 60, REST) == pytest.approx(published, rel=0.15)


def test_equilibrium_without_exposure_cc_26() -> None:
    """CC-26, nap-12040: 0.2 to 0.8 % (published 0.5-0.8; own 0.23)."""
    assert 0.2 <= carbon_monoxide_oracle.cohb_equilibrium_pct(0.0, REST) <= 0.8
    assert 0.2 <= catalog.number("blood_model", "initial_cohb_pct") <= 0.8


def test_equilibrium_is_haldane_equation() -> None:
    """Haldane: COHb/O2Hb = M PCO/PO2 with 713 mmHg of dry air (cfk-note), body's own share small; 1.5 % at 1000 ppm."""
    ratio = 218 * 1000e-6 * 713 / 100
    assert carbon_monoxide_oracle.cohb_equilibrium_pct(1000, REST) == pytest.approx(
        100 * ratio / (1 + ratio), rel=0.015
    )


def test_half_life_in_clean_air() -> None:
    """own-calc nonlinear, 20 to 10 %: 220 min (2 %); clinical-halflife: 320 min in room air, seen range of patients.

    The range allowed is that of the catalog row half_life_room_air_min, widened to the nonlinear value.
    """
    minutes = float(carbon_monoxide_oracle.minutes_to_cohb(10.0, 0.0, 20.0, REST))
    assert minutes == pytest.approx(220, rel=0.02)
    small = float(carbon_monoxide_oracle.minutes_to_cohb(1.1, 0.0, 2.0, REST))  # above the equilibrium of 0.23 %
    assert 200 < small < catalog.parameter("blood_model", "half_life_room_air_min").high


def test_time_to_level_inverts_the_step() -> None:
    for ppm, start, target in [(200, 0.8, 10), (1600, 0.8, 40), (0, 30, 8), (35, 20, 6)]:
        minutes = carbon_monoxide_oracle.minutes_to_cohb(target, ppm, start, REST)
        assert co.cohb_step_pct(start, ppm, minutes, REST) == pytest.approx(target, abs=1e-6)
    assert np.isinf(carbon_monoxide_oracle.minutes_to_cohb(10, 35, 0.8, REST))
    assert np.isinf(carbon_monoxide_oracle.minutes_to_cohb(0.1, 400, 5, REST))
    assert carbon_monoxide_oracle.minutes_to_cohb(5, 400, 5, REST) == 0


def test_water_vapour_in_the_lung_matters() -> None:
    """pubmed-3578032: leaving lung water vapour out over-predicts; the equilibrium ratio by 760/713 (7 %)."""
    from dataclasses import replace

    dry = replace(REST, dry_pressure_mmhg=760.0)
    assert carbon_monoxide_oracle.cohb_equilibrium_pct(100, dry) > carbon_monoxide_oracle.cohb_equilibrium_pct(
        100, REST
    )
    assert dry.resistance_mmhg_min_ml > REST.resistance_mmhg_min_ml
    ratio = [
        x / (100 - x)
        for x in (
            carbon_monoxide_oracle.cohb_equilibrium_pct(1000, dry),
            carbon_monoxide_oracle.cohb_equilibrium_pct(1000, REST),
        )
    ]
    assert ratio[0] / ratio[1] == pytest.approx(760 / 713, rel=0.01)


@pytest.mark.parametrize(
    ("ppm", "minutes", "expected"), [(70, 240, 10.7), (150, 50, 10.0), (400, 15, 9.5), (30, 43_200, 5.0)]
)
def test_alarm_points_cc_20(ppm: float, minutes: float, expected: float) -> None:
    """CC-20, ul-2034 alarm points; 0.1 abs. Formula from memory."""
    assert carbon_monoxide_oracle.alarm_cohb_pct(properties_oracle.alarm_form(), ppm, minutes) == pytest.approx(
        expected, abs=0.1
    )


def test_alarm_times_cc_20() -> None:
    """CC-20, ul-2034: 10 % after 189, 49.7, 15.8 min; 0.5 %; every printed alarm time is within 30 % of these."""
    minutes = carbon_monoxide_oracle.alarm_minutes(properties_oracle.alarm_form(), np.array([70.0, 150.0, 400.0]), 10.0)
    assert minutes == pytest.approx(np.array([189, 49.7, 15.8]), rel=5e-3)
    rows = [row for row in catalog.table("co_alarm_points") if row["must_alarm_by_min"]]
    latest = np.array([float(row["must_alarm_by_min"]) for row in rows])
    assert latest == pytest.approx(minutes, rel=0.3)
    assert np.isinf(carbon_monoxide_oracle.alarm_minutes(properties_oracle.alarm_form(), 30.0, 10.0))


def test_alarm_constants_follow_from_the_blood_model() -> None:
    """own derivation: 2398 = 5500 / 2.2936 and 218 = 100 / (2.2936 x 0.2), the linear equation; 0.1 %."""
    form = properties_oracle.alarm_form()
    slope = REST.capillary_oxygen_mmhg / (REST.affinity * REST.capacity_ml_ml)
    assert REST.blood_volume_ml / slope == pytest.approx(form.time_constant_min, rel=1e-3)
    assert 100 / (slope * REST.capacity_ml_ml) == pytest.approx(form.affinity, rel=1e-3)


def test_alarm_form_runs_ahead_of_resting_people() -> None:
    """It stands for hard-working lungs without release: faster than light work at every alarm point."""
    for row in catalog.table("co_alarm_points"):
        if row["must_alarm_by_min"]:
            ppm, minutes = float(row["ppm"]), float(row["must_alarm_by_min"])
            alarm = carbon_monoxide_oracle.alarm_cohb_pct(properties_oracle.alarm_form(), ppm, minutes, START_PCT)
            assert (
                alarm
                > co.cohb_step_pct(START_PCT, ppm, minutes, LIGHT)
                > co.cohb_step_pct(START_PCT, ppm, minutes, REST)
            )


@pytest.mark.parametrize(
    ("ppm", "minutes", "breathing", "expected"), [(400, 15, 10, 2.47), (1000, 30, 8.5, 10.85), (5000, 10, 25, 56.3)]
)
def test_short_exposure_cc_27(ppm: float, minutes: float, breathing: float, expected: float) -> None:
    """CC-27, co-short-formula; 0.5 %."""
    found = carbon_monoxide_oracle.short_exposure_cohb_pct(properties_oracle.short_exposure(), ppm, breathing, minutes)
    assert found == pytest.approx(expected, rel=5e-3)


def test_short_formula_and_blood_model_agree_on_short_exposures() -> None:
    """Two independent methods (co-short-formula 1973, cfk-note): 15 min at 400-1600 ppm, 9 L/min breathed; 25 %."""
    ppm = np.array([400.0, 800.0, 1600.0])
    gained = co.cohb_step_pct(START_PCT, ppm, 15, REST) - START_PCT
    quick = carbon_monoxide_oracle.short_exposure_cohb_pct(properties_oracle.short_exposure(), ppm, 9.0, 15)
    assert gained == pytest.approx(quick, rel=0.25)


def test_series_follows_the_steps() -> None:
    times = np.linspace(0, 8 * 3600, 97)
    ppm = np.full((97, 3), [9.0, 100.0, 400.0])
    series = co.cohb_series_pct(times, ppm, START_PCT, REST)
    assert series.shape == (97, 3)
    assert series[-1] == pytest.approx(co.cohb_step_pct(START_PCT, np.array([9.0, 100.0, 400.0]), 480, REST), abs=1e-9)
    assert series[0] == pytest.approx(START_PCT)
    many = co.cohb_series_pct(times, ppm[:, 1], np.array([0.5, 5.0]), REST)
    assert many.shape == (97, 2)


def test_series_converges_for_a_changing_room() -> None:
    """A ramp sampled coarsely and finely: second order, so 16 times finer changes little."""
    coarse, fine = np.linspace(0, 7200, 13), np.linspace(0, 7200, 193)
    ends = [co.cohb_series_pct(t, t / 7200 * 600, START_PCT, REST)[-1] for t in (coarse, fine)]
    assert ends[0] == pytest.approx(ends[1], rel=2e-3)


@given(cohb_values, ppm_values, st.floats(0.1, 2000), st.floats(1, 500))
def test_more_exposure_means_more_cohb(start: float, ppm: float, minutes: float, more: float) -> None:
    """More CO, or more to start with, never gives less; the result stays between start and equilibrium."""
    found = co.cohb_step_pct(start, ppm, minutes, REST)
    assert co.cohb_step_pct(start, ppm + more, minutes, REST) >= found - 1e-9
    assert co.cohb_step_pct(start + 0.5, ppm, minutes, REST) >= found - 1e-9
    level = carbon_monoxide_oracle.cohb_equilibrium_pct(ppm, REST)
    assert min(start, level) - 1e-7 <= found <= max(start, level) + 1e-7


@given(cohb_values, ppm_values, st.floats(0.1, 500), st.floats(0.1, 500))
def test_two_steps_are_one(start: float, ppm: float, first: float, second: float) -> None:
    halfway = co.cohb_step_pct(start, ppm, first, REST)
    assert co.cohb_step_pct(halfway, ppm, second, REST) == pytest.approx(
        co.cohb_step_pct(start, ppm, first + second, REST), abs=1e-6
    )


# --- symptoms and limits ----------------------------------------------------------------------------------------------


def test_symptom_bands() -> None:
    """symptom-table: up to 10 % none, 15 slight headache, 20 headache, 25 nausea, 30 drowsy, 35-40, 40-50, 50-70."""
    bands = properties.symptom_bands()
    assert bands[0].from_pct == 0
    assert bands[-1].to_pct == 100
    for lower, upper in pairwise(bands):
        assert lower.to_pct == upper.from_pct
    for cohb, word in [(2, "none"), (10, "none"), (15, "slight_headache"), (20, "headache"), (25, "nausea"),
                       (30, "drowsiness"), (38, "collapse"), (45, "confusion"), (60, "death")]:  # fmt: skip
        assert word in properties.symptoms(cohb)
    assert "slight" not in properties.symptoms(20)
    edges = [band.to_pct for band in bands[:-1]]
    assert co.band_index(np.array([0.0, 99.0]), edges).tolist() == [0, len(bands) - 1]


def test_air_thresholds() -> None:
    """epa-naaqs 9 and 35 ppm; who-2010 (memory) 10 mg/m3 = 8.7 ppm, 100 mg/m3 = 87 ppm at 25 C; 1 %."""
    found = {limit.name: limit for limit in properties.air_thresholds()}
    assert found["outdoor air standard 8 h"].ppm == 9
    assert found["outdoor air standard 1 h"].averaging_min == 60
    assert found["indoor guideline 8 h"].ppm == pytest.approx(8.7, rel=0.01)
    assert found["indoor guideline 15 min"].ppm == pytest.approx(87, rel=0.01)


def test_guideline_levels_keep_the_blood_below_two_percent() -> None:
    """who-2010 (memory): its indoor values were set to keep COHb at 2 % or less in light work; 1.3 to 2.1 %."""
    limits = [limit for limit in properties.air_thresholds() if limit.kind == "indoor guideline"]
    assert len(limits) == 4
    for limit in limits:
        level = co.cohb_step_pct(START_PCT, limit.ppm, limit.averaging_min, LIGHT)
        assert (1.3 if limit.averaging_min <= 480 else 0.9) <= level <= 2.1, limit.name


def test_life_threatening_levels_share_one_dose() -> None:
    """nrc-aegl-2010 (memory): level 3 was derived from this equation at 15 % COHb; light work, 15 %, all five."""
    limits = [limit for limit in properties.air_thresholds() if limit.kind == "acute level 3"]
    assert len(limits) == 5
    for limit in limits:
        level = co.cohb_step_pct(START_PCT, limit.ppm, limit.averaging_min, LIGHT)
        assert level == pytest.approx(15.0, rel=0.15), limit.name
