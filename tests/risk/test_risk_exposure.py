"""Exposure: published mass-balance and COHb cases through the room's own functions, and the shape of the whole."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from conftest import said
from hypothesis import given, settings
from hypothesis import strategies as st
from oracles import carbon_monoxide as carbon_monoxide_oracle
from oracles import properties as properties_oracle

from advisor import catalog
from advisor.case.model import Case
from advisor.ensemble import properties
from advisor.ensemble.conditions import idle_house, worst_case
from advisor.ensemble.draw import draw
from advisor.ensemble.respond import respond
from advisor.ensemble.state import Condition, State
from advisor.ensemble.weighted import Percentiles, representative
from advisor.physics import carbon_monoxide as co
from advisor.risk.air_exchange import air_exchange, doorway_exchange_m3_s
from advisor.risk.exposure import blood_pct, day_series, exposure, spilled_shares, with_margin
from advisor.risk.firing import firing_pattern
from advisor.units import J_PER_BTU, M3_PER_FT3, M3_S_PER_CFM, W_PER_BTU_H, kelvin_from_fahrenheit

PUBLISHED_FD = 8710 * M3_PER_FT3 / (1e6 * J_PER_BTU)  # cfr40-75-f, second-hand
HOUR = 3600.0


def made(**more: object) -> Case:
    given: dict[str, object] = {
        "house": {"floor_area_ft2": 1500.0, "stories": 1, "leakage_cfm50": 1500.0, "climate_zone": "4A"},
        "zone": {"kind": "utility room", "door": "solid"},
        "heater": {"input_btu_h": 40000.0},
        "vent": {"vertical": "type b", "height_ft": 15.0, "condition": "clear", "inspected": True, "shared": False},
        # written down what is not there: what nobody wrote down would be drawn
        "opening": [],
        "exhaust": [],
        "supply": [],
        "other_appliance": [],
        "air_handler": {"present": False},
        "run": [{"seen": "spilling", "flue_co_ppm": 200.0, "flue_o2_pct": 7.0, "outdoor_temp_f": 40.0}],
    }
    return Case.model_validate({**given, **more})


CASE = made()
NONE = np.zeros(64)
# the known physics alone, without what the model does not know of a house
DRAWN = draw(CASE, 64)
STATE = replace(
    DRAWN,
    house=replace(DRAWN.house, unlisted_m3_s=NONE),
    vent=replace(DRAWN.vent, draft_offset_pa=NONE, starts_reversed=NONE),
)
WEIGHT = np.full(STATE.samples, 1.0 / STATE.samples)
WORST = worst_case(CASE, STATE)


def with_exhaust(cfm: float) -> Condition:
    return replace(WORST, extra_exhaust_m3_s=cfm * M3_S_PER_CFM)


def found(state: State, condition: Condition, case: Case = CASE):  # type: ignore[no-untyped-def]
    return exposure(case, state, np.full(state.samples, 1.0 / state.samples), condition, respond(state, condition))


# --- published mass balance and blood ---------------------------------------------------------------------------------


@pytest.mark.parametrize("air_free", [100.0, 200.0, 400.0, 1000.0, 2000.0])
def test_day_of_full_spill_cc_34_and_cc_35(air_free: float) -> None:
    """CC-34 and CC-35, exact: 40 kBtu/h, Fd 8710, 10,000 ft3, 0.35 ach; 0.5 %. One long firing of `day_series`."""
    volume = 10_000 * M3_PER_FT3
    outside = np.array([0.35 * volume / HOUR])
    none = np.zeros(1)
    source = co.source_m3_s(40_000 * W_PER_BTU_H, air_free, PUBLISHED_FD)
    edges = np.array([0.0, 1.0, 4.0, 8.0, 400.0]) * HOUR
    air = co.AirExchange(outside, np.array([1e-6]), none, none)
    day = day_series(np.full((4, 1), source), edges, air, air, (np.array([volume]), np.array([1.0])), 1, 400 * HOUR)
    steady = {100.0: 10.0, 200.0: 19.9, 400.0: 39.8, 1000.0: 99.5, 2000.0: 199.0}[air_free]
    assert day.zone[-1, 0] == pytest.approx(steady, rel=5e-3)
    if air_free == 400.0:
        assert day.zone[1:4, 0] == pytest.approx([11.8, 30.0, 37.4], rel=5e-3)


@pytest.mark.parametrize(
    ("ppm", "minutes", "low", "high"),
    [(200, 10, 1, 2), (200, 30, 3, 4), (200, 60, 5, 6), (200, 200, 12, 16), (200, 240, 12, 16)],
)
def test_cohb_cc_21(ppm: float, minutes: float, low: float, high: float) -> None:
    """CC-21: physiology-doc bands at rest, 200 ppm."""
    series = np.full((2, 1), float(ppm))
    assert low <= blood_pct(np.array([0.0, minutes * 60.0]), series, "rest")[0] <= high


@pytest.mark.parametrize(("ppm", "minutes", "pct"), [(50, 1440, 8), (100, 480, 12), (200, 240, 16), (500, 138, 25)])
def test_cohb_cc_25(ppm: float, minutes: float, pct: float) -> None:
    """CC-25, values from memory; 15 %."""
    series = np.full((2, 1), float(ppm))
    assert blood_pct(np.array([0.0, minutes * 60.0]), series, "rest")[0] == pytest.approx(pct, rel=0.15)


def test_cohb_stays_where_the_air_is_clean_cc_26() -> None:
    """CC-26: 0.2-0.8 % at 0 ppm (nap-12040); a day in clean air never rises above the usual start."""
    assert 0.2 <= carbon_monoxide_oracle.cohb_equilibrium_pct(0.0, properties.blood_model("rest")) <= 0.8
    clean = blood_pct(np.array([0.0, 24 * HOUR]), np.zeros((2, 1)), "rest")[0]
    assert clean == catalog.number("blood_model", "initial_cohb_pct")


def test_alarm_points_cc_20_against_the_nonlinear_day() -> None:
    """CC-20: alarm points of ul-2034 stand for 10 % COHb by a linear form; at rest the nonlinear one lies below it."""
    form = properties_oracle.alarm_form()
    for row in catalog.table("co_alarm_points"):
        if not row["must_alarm_by_min"]:
            continue
        ppm, minutes = float(row["ppm"]), float(row["must_alarm_by_min"])
        linear = carbon_monoxide_oracle.alarm_cohb_pct(form, ppm, minutes)
        assert linear == pytest.approx(10.0, abs=0.8)  # 10.7, 10.0 and 9.5 in the check
        assert blood_pct(np.array([0.0, minutes * 60]), np.full((2, 1), ppm), "rest")[0] < linear


def test_light_activity_takes_up_more_and_margins_more_still() -> None:
    day, ppm = np.array([0.0, HOUR]), np.full((2, 1), 100.0)
    rest, light = blood_pct(day, ppm, "rest")[0], blood_pct(day, ppm, "light")[0]
    assert rest < light
    start = catalog.number("blood_model", "initial_cohb_pct")
    assert with_margin(np.array([light]), 1.5)[0] - start == pytest.approx(1.5 * (light - start))
    assert with_margin(np.array([start]), 2.0)[0] == start


# --- air that moves ---------------------------------------------------------------------------------------------------


def test_open_door_moves_what_the_formula_says() -> None:
    """own-calc, open door: ``m = (Cd W / 3) H^1.5 sqrt(g rho d_rho)``; 0.8 m x 2 m, 1 K at 294 K, by mass."""
    width, height, rho = 0.8, 2.0, 1.2
    difference = rho * 1.0 / 294.0
    discharge = catalog.number("priors", "discharge_coefficient")
    mass = discharge * width / 3.0 * height**1.5 * np.sqrt(9.80665 * rho * difference)
    got = doorway_exchange_m3_s(np.array([width * height]), np.array([height]), np.array([294.0]), 1.0)
    assert got[0] * rho == pytest.approx(mass, rel=1e-6)


def test_idle_house_breathes_about_a_twentieth_of_its_blower_door_number() -> None:
    """ashrae-f16-2021 quick rule ACH50/20, which ignores weather: within a factor of 2 at 20 F, calm."""
    cold = replace(idle_house(WORST), outdoor_k=kelvin_from_fahrenheit(20.0), interior_doors_shut=False)
    air = air_exchange(STATE, cold, np.zeros(STATE.samples)).air
    total = np.mean(np.asarray(air.house_from_outdoor) + np.asarray(air.zone_from_outdoor)) / M3_S_PER_CFM
    assert 0.5 < total / (1500.0 / 20.0) < 2.0


def test_fans_bring_in_what_they_take_out() -> None:
    """Mass balance: far beyond stack and wind all leaks flow in, so outdoor air equals exhaust and vent flow."""
    vent = np.full(STATE.samples, 0.005)
    strong = with_exhaust(600.0)
    moved = air_exchange(STATE, strong, vent)
    air = moved.air
    came = np.asarray(air.house_from_outdoor) + np.asarray(air.zone_from_outdoor)
    stall = np.clip(1.0 - -moved.house_pa / STATE.house.stall_pa, 0.0, 1.0)
    assert np.all(came < 600.0 * M3_S_PER_CFM + 0.006)
    assert np.all(came > 600.0 * M3_S_PER_CFM * stall)


def test_a_reversed_vent_dilutes() -> None:
    still = air_exchange(STATE, WORST, np.zeros(STATE.samples)).air
    down = air_exchange(STATE, WORST, np.full(STATE.samples, -0.01)).air
    assert np.all(np.asarray(down.zone_from_outdoor) > np.asarray(still.zone_from_outdoor))


# --- the whole --------------------------------------------------------------------------------------------------------


def test_past_the_tipping_point_more_depressurization_lowers_room_co() -> None:
    """lbnl-5798e (second-hand): CO in the room has a maximum; beyond it, air coming down the vent and fans dilute."""
    flows = [0.0, 100.0, 200.0, 300.0, 500.0, 1000.0, 2000.0]
    peaks = [found(STATE, with_exhaust(cfm)).zone_peak_ppm.mean for cfm in flows]
    top = int(np.argmax(peaks))
    assert 0 < top < len(flows) - 1
    assert peaks[top] > 3.0 * peaks[0]
    assert peaks[-1] < 0.5 * peaks[top]
    assert all(a > b for a, b in zip(peaks[top:], peaks[top + 1 :], strict=False))


def test_water_and_carbon_dioxide_of_a_full_spill() -> None:
    """own-calc: 40 kBtu/h gives 1.71 kg of water an hour; 15 min add 1010 ppm of CO2 to 10,000 ft3; 2 %."""
    result = found(STATE, with_exhaust(1500.0))
    share = result.firing_minutes / 60.0
    assert result.water_kg_firing.p50 == pytest.approx(1.71 * share, rel=0.02)
    assert result.water_kg_day.p50 == pytest.approx(result.water_kg_firing.p50 * result.firings_day)
    # the same mixed room without any air change, 15 min of the CO2 that co_kg_per_m3_ratio counts
    fuel = properties.fuel("natural_gas")
    volume, none = 10_000 * M3_PER_FT3, np.array([1e-12])
    unit = co.source_m3_s(np.array([40_000 * W_PER_BTU_H]), 1.0, fuel.dry_flue_m3_j)
    air = co.AirExchange(none, none, none, none)
    room = (np.array([volume]), np.array([1.0]))
    day = day_series(unit[None], np.array([0.0, 900.0]), air, air, room, 1, 900.0)
    ppm = day.zone[1, 0] * fuel.carbon_dioxide_max_dry_pct / 100.0 * 1e6
    assert ppm == pytest.approx(1010.0, rel=0.02)


def test_carbon_dioxide_of_the_zone_follows_the_carbon_monoxide() -> None:
    """Both leave with the same gas: CO2 over CO is maximum CO2 over air-free CO (11.9 % for natural gas)."""
    result = found(STATE, with_exhaust(400.0))
    added = result.co2_zone_ppm.mean - catalog.number("risk_exposure", "outdoor_co2_ppm")
    air_free = float(STATE.burner.co_air_free_ppm[0])
    assert added / result.zone_peak_ppm.mean == pytest.approx(0.119 * 1e6 / air_free, rel=0.01)


def test_carbon_monoxide_released_by_hand() -> None:
    """CC-34: 400 ppm air-free is 0.253 lb/MMBtu, 4.6 g/h at 40 kBtu/h; here 300.6 air-free (200 ppm at 7 % O2); 2 %."""
    result = found(STATE, with_exhaust(1500.0))
    assert result.co_source_g_h.p50 == pytest.approx(4.6 * 300.6 / 400.0, rel=0.02)


@given(st.floats(1.2, 20.0))
@settings(max_examples=8, deadline=None)
def test_a_dirtier_burner_is_worse_everywhere(factor: float) -> None:
    clean = found(STATE, with_exhaust(400.0))
    dirty = found(
        replace(STATE, burner=replace(STATE.burner, co_air_free_ppm=STATE.burner.co_air_free_ppm * factor)),
        with_exhaust(400.0),
    )
    assert dirty.zone_peak_ppm.mean == pytest.approx(factor * clean.zone_peak_ppm.mean, rel=1e-9)
    assert dirty.cohb_light_pct.p95 >= clean.cohb_light_pct.p95
    assert dirty.full_spill_severity >= clean.full_spill_severity
    for a, b in zip(clean.levels, dirty.levels, strict=True):
        assert b.share_above >= a.share_above


def test_percentiles_are_in_order_and_levels_come_from_the_catalog() -> None:
    result = found(STATE, with_exhaust(400.0))
    for name in result.__dataclass_fields__:
        value = getattr(result, name)
        if isinstance(value, Percentiles):
            assert value.p05 <= value.p50 <= value.p95
    assert result.cohb_rest_pct.p95 <= result.cohb_light_pct.p95 <= result.cohb_pregnancy_pct.p95
    assert result.cohb_pregnancy_pct.p95 <= result.cohb_child_pct.p95
    assert set(said([level.name for level in result.levels])) == {
        r["name"] for r in catalog.table("physics_co_thresholds")
    }


def test_nothing_to_spill() -> None:
    empty = replace(STATE, appliance="none")
    result = found(empty, WORST)
    assert result.zone_peak_ppm.p95 == result.full_spill_severity == result.spilling_share == 0.0


def test_spilled_shares_keep_the_dose() -> None:
    response = respond(STATE, with_exhaust(250.0))
    edges, shares = spilled_shares(response, 600.0)
    dose = (shares * np.diff(edges)[:, None]).sum(axis=0) / 600.0
    assert dose == pytest.approx(response.spilled_share, abs=1e-9)


def test_burner_time_from_hot_water_lies_in_the_published_range() -> None:
    """Monitored burners ran 2.8 % of minutes, at most 8.9 % (lbnl-wall-furnace, wall furnaces): same size."""
    use = catalog.parameter("risk_everyday", "use_burner")
    for people in range(1, 7):
        share = firing_pattern(made(occupants={"people": people})).burner_share
        assert use.low < share < use.high
    assert share > firing_pattern(made(occupants={"people": 2})).burner_share  # six draw more than two


def test_representative_situations_keep_the_weights() -> None:
    rng = np.random.default_rng(3)
    weight = rng.random(500) ** 4
    weight /= weight.sum()
    index = representative(weight, 200)
    values = rng.random(500)
    assert values[index].mean() == pytest.approx(float(weight @ values), abs=0.03)
    assert np.array_equal(index, representative(3.0 * weight, 200))
