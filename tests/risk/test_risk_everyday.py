"""Everyday spillage: weather against published degree-day rules, coincidence against published monitoring, the year.

Sound reference systems (`sound_systems`) are held against the published minimum drafts and the scale of the field.
"""

from __future__ import annotations

import re
from dataclasses import astuple, replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from conftest import said
from hypothesis import given, settings
from hypothesis import strategies as st
from sound_systems import HOUSES, draft_after_five_minutes_pa, reference_systems, sound_case, sound_state

from advisor import catalog
from advisor.case.model import Case
from advisor.case.read import read_case
from advisor.ensemble.conditions import worst_case
from advisor.ensemble.draw import draw
from advisor.ensemble.respond import respond
from advisor.risk.everyday import Everyday, active_share, everyday, exhaust_levels, hours_by_reason, use_shares
from advisor.risk.firing import firing_pattern
from advisor.risk.score import everyday_counts
from advisor.risk.weather import temperature_below_share, temperatures_f, winds_m_s
from advisor.units import M_S_PER_MPH, kelvin_from_fahrenheit

DEMO = Path(__file__).parents[2] / "demo" / "sound_house.toml"
CASE = Case.model_validate(
    {
        "house": {"floor_area_ft2": 1500.0, "stories": 1, "leakage_cfm50": 1200.0, "climate_zone": "5A"},
        "zone": {"kind": "utility room", "door": "solid"},
        "heater": {"input_btu_h": 40000.0},
        "vent": {"vertical": "type b", "height_ft": 18.0, "condition": "clear", "inspected": True, "shared": False},
        "opening": [],
        "supply": [],
        "other_appliance": [],
        "air_handler": {"present": False},
        "exhaust": [
            {"name": "bath", "kind": "bath fan", "rated_cfm": 80.0},
            {"name": "hood", "kind": "range hood", "rated_cfm": 300.0},
            {"name": "dryer", "kind": "dryer"},
        ],
        "run": [{"seen": "spilling", "outdoor_temp_f": 45.0}],
    }
)
STATE = draw(CASE, 256)
WEIGHT = np.exp(STATE.chance.log_weight) / np.exp(STATE.chance.log_weight).sum()
ALLOWED_S = 120.0
ROWS = {row["zone"]: row for row in catalog.table("climate_zone_cities")}


@pytest.mark.parametrize("zone", sorted(ROWS))
def test_weather_has_the_design_temperature_and_the_degree_days_of_its_zone(zone: str) -> None:
    """zone-rules: 1 % of the hours below and above the design temperatures (+-3 F), and the zone's HDD18C band."""
    for share, column in ((0.01, "design_99pct_heating_f"), (0.99, "design_1pct_cooling_f")):
        assert float(temperatures_f(zone, np.array(share))) == pytest.approx(float(ROWS[zone][column]), abs=1.0)
    rule = ROWS[zone]["hdd18c_rule"]
    hourly = temperatures_f(zone, (np.arange(8760) + 0.5) / 8760)
    # hours instead of daily means: a little more than the published daily count, where it is mild
    degree_days = float(np.maximum(65.0 - hourly, 0.0).mean() * 365.0 / 1.8)
    if not rule:
        assert degree_days < 2300
        return
    numbers = [float(n) for n in re.findall(r"\d+", rule)]
    low, high = (0.0, numbers[0]) if rule[0] == "<" else (numbers[0], np.inf) if rule[0] == ">" else numbers
    assert 0.9 * low <= degree_days <= 1.1 * high


def test_temperatures_and_winds_are_quantiles() -> None:
    below = np.linspace(0.02, 0.98, 25)
    assert temperature_below_share("4A", temperatures_f("4A", below)) == pytest.approx(below, abs=2e-3)
    many = winds_m_s("4A", (np.arange(4000) + 0.5) / 4000)
    mean = next(float(r["wind_mean_mph"]) for r in catalog.table("weather") if r["zone"] == "4A")
    assert many.mean() == pytest.approx(mean * M_S_PER_MPH, rel=0.01)
    assert np.all(np.diff(many) > 0)


def test_both_fans_coincide_as_monitored() -> None:
    """lbnl-wall-furnace: bath fan 3.9 % of minutes, cooking 4.6 %, both together 0.34 %."""
    shares = use_shares(CASE, STATE.devices)
    active = active_share()
    assert active * shares[0] == pytest.approx(0.039)
    assert active * shares[1] == pytest.approx(0.046)
    assert active * shares[0] * shares[1] == pytest.approx(0.0034)
    # and with the burner (2.8 % of minutes) and all of them: "almost never"
    assert catalog.number("risk_everyday", "use_burner") * shares[0] * shares[1] < 0.001


@given(st.lists(st.floats(10, 600), min_size=0, max_size=6), st.floats(0.1, 4.0))
def test_levels_share_out_all_sets_of_devices(flows: list[float], factor: float) -> None:
    shares = tuple(0.02 + 0.05 * i for i in range(len(flows)))
    array = np.array(flows)
    levels = exhaust_levels(array, shares, np.array([1.0, factor]))
    assert levels.probability.sum(axis=0) == pytest.approx(np.ones(2))
    # the usual household: mean exhaust over the levels equals the mean over the devices
    mean = float(levels.probability[:, 0] @ (levels.running @ array))
    assert mean == pytest.approx(float(np.array(shares) @ array), rel=1e-9)
    if flows:
        assert levels.probability[0, 0] == pytest.approx(np.prod(1.0 - np.array(shares)))


def test_rare_devices_count_less() -> None:
    rare = CASE.model_copy(update={"exhaust": [d.model_copy(update={"weight_of_use": "rare"}) for d in CASE.exhaust]})
    assert all(a < b for a, b in zip(use_shares(rare, STATE.devices), use_shares(CASE, STATE.devices), strict=True))


def test_worst_case_fails_far_more_often_than_everyday() -> None:
    """lbnl-wall-furnace and lbnl-5798e: houses that fail the stress test rarely spill in a monitored week."""
    worst = respond(STATE, worst_case(CASE, STATE)).spills_beyond(ALLOWED_S).mean()
    year = everyday(CASE, STATE, WEIGHT, ALLOWED_S)
    assert worst > 0.8
    assert year.share_of_firings.mean < 0.3 * worst
    assert year.hours_a_year.p05 <= year.hours_a_year.p50 <= year.hours_a_year.p95
    assert year.hours_a_year.mean < year.firings_a_year * 14.0 / 60.0


def test_small_grid_stands_for_a_large_one() -> None:
    small = everyday(CASE, STATE, WEIGHT, ALLOWED_S)
    large = everyday(CASE, STATE, WEIGHT, ALLOWED_S, samples=256, days=40)
    assert small.share_of_firings.mean == pytest.approx(large.share_of_firings.mean, abs=0.03)


def test_same_call_same_answer() -> None:
    assert everyday(CASE, STATE, WEIGHT, ALLOWED_S) == everyday(CASE, STATE, WEIGHT, ALLOWED_S)


@given(st.floats(1.5, 6.0))
@settings(max_examples=5, deadline=None)
def test_stronger_fans_never_shorten_the_year(factor: float) -> None:
    weak = everyday(CASE, STATE, WEIGHT, ALLOWED_S, samples=40)
    strong = replace(STATE, house=replace(STATE.house, device_m3_s=STATE.house.device_m3_s * factor))
    assert everyday(CASE, strong, WEIGHT, ALLOWED_S, samples=40).hours_a_year.mean >= weak.hours_a_year.mean - 1e-9


def test_a_zone_open_to_outdoors_spills_less() -> None:
    wide = replace(STATE, zone=replace(STATE.zone, opening_low_m2=STATE.zone.opening_low_m2 + 0.15))
    assert (
        everyday(CASE, wide, WEIGHT, ALLOWED_S).hours_a_year.mean
        < everyday(CASE, STATE, WEIGHT, ALLOWED_S).hours_a_year.mean
    )


@pytest.mark.parametrize("kind", ["power vent", "sealed", "fan-assisted", "none"])
def test_without_a_draft_hood_nothing_spills(kind: str) -> None:
    year = everyday(CASE, replace(STATE, appliance=kind), WEIGHT, ALLOWED_S)  # type: ignore[arg-type]
    assert year.hours_a_year.p95 == year.share_of_firings.mean == 0.0
    assert "No draft hood" in said(year.text)


def test_the_text_says_that_worst_case_tests_flag_houses_that_rarely_spill() -> None:
    cold = CASE.model_copy(update={"house": CASE.house.model_copy(update={"climate_zone": "8"})})
    clear = STATE.vent.blocked * 0.0  # a vent that was looked through
    tall = replace(
        STATE,
        vent=replace(STATE.vent, height_m=STATE.vent.height_m + 3.0, blocked=clear),
        house=replace(STATE.house, device_m3_s=STATE.house.device_m3_s * 0.6),
    )
    year = everyday(cold, tall, WEIGHT, ALLOWED_S)
    assert year.share_of_firings.mean < 0.05
    assert "still the standard" in said(year.text)
    assert not year.assumed_zone
    assert everyday(
        CASE.model_copy(update={"house": CASE.house.model_copy(update={"climate_zone": None})}),
        STATE, WEIGHT, ALLOWED_S, samples=20,
    ).assumed_zone  # fmt: skip


def test_no_device_at_all() -> None:
    bare = CASE.model_copy(update={"exhaust": []})
    state = draw(bare, 64)
    year = everyday(bare, state, np.full(64, 1.0 / 64), ALLOWED_S, samples=40)
    assert 0.0 <= year.share_of_firings.mean <= 1.0


# ---- sound reference systems against the published minimum drafts (bpi-older, wx-form-reprint)

MIN_DRAFT_PA = {
    float(r["outdoor_temp_f"]): float(r["min_draft_pa"]) for r in catalog.table("min_draft") if r["fuel"] == "gas"
}
SOUND_SHARE = 0.95
HELD_FROM_IDLE_F = 90.0
"""Up to here the minimum is reached from an idle vent too. Hotter, cool room air stands in the vent of a cooled house: 18 F
between room and outdoors weigh 2 Pa in a 20 ft vent, more than plume and idle heat lift. A vent that draws already holds."""


@cache
def reaching_share(outdoor_f: float, warm: bool) -> float:
    """Return the share of the sound systems whose draft after five minutes reaches the minimum."""
    drafts = [draft_after_five_minutes_pa(one, outdoor_f, warm) for one in reference_systems()]
    return float(np.mean(np.stack(drafts) >= MIN_DRAFT_PA[outdoor_f]))


def test_the_reference_systems_are_many_and_correctly_sized() -> None:
    names = [one.name for one in reference_systems()]
    assert len(set(names)) == len(names) >= 24
    for house in HOUSES:
        assert any(house.name in name for name in names)
    assert {one.case.heater.hood_diameter_in for one in reference_systems()} == {3, 4}


@pytest.mark.parametrize("outdoor_f", sorted(MIN_DRAFT_PA))
def test_sound_systems_reach_the_published_minimum_draft_once_they_draw(outdoor_f: float) -> None:
    """bpi-older, wx-form-reprint: established draft at every printed temperature, 0 to 100 F."""
    assert reaching_share(outdoor_f, warm=True) >= SOUND_SHARE


@pytest.mark.parametrize("outdoor_f", [t for t in sorted(MIN_DRAFT_PA) if t <= HELD_FROM_IDLE_F])
def test_sound_systems_reach_the_published_minimum_draft_from_an_idle_vent(outdoor_f: float) -> None:
    """bpi-older, wx-form-reprint: lit with the vent idle, nothing running, calm."""
    assert reaching_share(outdoor_f, warm=False) >= SOUND_SHARE


def test_plume_and_idle_heat_are_what_their_notes_say() -> None:
    """lbnl-gas-losses: 43 % of the losses without delivered heat leave by the flue. Plume: jet 0.5-1 Pa, first rise 1-2 Pa.

    The first rise again from its buoyancy: 0.3 to 0.6 m of gas half and half of products and room air at 70 F.
    """
    idle, standby = catalog.parameter("priors", "idle_heat_btu_h"), catalog.parameter("risk_exposure", "standby_btu_h")
    assert idle.typical == pytest.approx(0.43 * standby.typical, rel=0.03)
    assert idle.high == pytest.approx(0.43 * standby.high, rel=0.03)
    plume = catalog.parameter("priors", "plume_pa")
    assert (plume.low, plume.high) == (0.5, 1.0 + 2.0)
    room, products = kelvin_from_fahrenheit(70.0), kelvin_from_fahrenheit(481.0)
    mixed = 0.5 * (room + products)
    rise_pa = [9.81 * height * 353.0 * (1.0 / room - 1.0 / mixed) for height in (0.3, 0.6)]
    assert 0.8 <= rise_pa[0] < rise_pa[1] <= 2.2  # 1 to 2 Pa within the rounding of the estimate
    assert rise_pa[0] < plume.typical < rise_pa[1] + 1.0


# ---- sound houses in an ordinary year

SLABS = [house for house in HOUSES if house.zone != "basement"]
CLIMATES = [
    # no basements where the ground does not freeze (common practice)
    *((zone, house) for zone in ("1A", "2A", "3B-coast", "3C") for house in SLABS),
    *((zone, house) for zone in ("3A", "4A", "4C", "5A", "5B", "6A", "7") for house in HOUSES),
]
DESERTS = ("2B", "3B")
"""Not held: up to a tenth of their hours lie above 95 F, and no sunlit attic warms the vent in this model."""


@cache
def sound_year(zone: str, name: str, allowed_s: float) -> Everyday:
    """Return the year of a 40,000 Btu/h system, the tallest vent of its house."""
    house = next(one for one in HOUSES if one.name == name)
    case = sound_case(40_000.0, house.heights_ft[-1], house, zone)
    state = sound_state(case)
    return everyday(case, state, np.exp(state.chance.log_weight), allowed_s)


@pytest.mark.parametrize("allowed_s", [120.0, 300.0])
@pytest.mark.parametrize(("zone", "house"), CLIMATES, ids=lambda v: getattr(v, "name", v))
def test_a_sound_leaky_house_seldom_spills(zone: str, house, allowed_s: float) -> None:  # type: ignore[no-untyped-def]
    """lbnl-5798e, lbnl-wall-furnace, aivc-survey-backdraft: a monitored week finds sustained spillage seldom (2 %)."""
    assert sound_year(zone, house.name, allowed_s).share_of_firings.mean <= _field("field_sustained_share")


@pytest.mark.parametrize("allowed_s", [120.0, 300.0])
def test_the_sound_demo_seldom_spills_when_it_is_sound(allowed_s: float) -> None:
    """demo/sound_house.toml with its fans, without the faults that a look through the vent may have missed."""
    case = read_case(DEMO)
    state = sound_state(case, 256)
    assert everyday(case, state, np.exp(state.chance.log_weight), allowed_s).share_of_firings.mean <= _field(
        "field_sustained_share"
    )


def _field(key: str) -> float:
    return catalog.number("risk_everyday", key)


def test_the_field_scale_is_its_own_arithmetic() -> None:
    """fire-findings-1995: 11 starts and 1 h of burner a day; 30 s a start is 33 h a year, no draft at all 365 h."""
    starts = catalog.parameter("risk_everyday", "field_starts_a_day").typical
    seconds, hours = (catalog.parameter("risk_everyday", f"field_start_up_{unit}") for unit in ("s", "h_year"))
    assert hours.typical == pytest.approx(starts * seconds.typical * 365.0 / 3600.0, rel=0.02)
    assert hours.low == pytest.approx(starts * seconds.low * 365.0 / 3600.0, rel=0.02)
    assert _field("field_never_drafts_h_year") == 365.0 * _field("field_burner_h_day")


def test_a_heater_that_never_drafts_spills_on_the_scale_of_the_field() -> None:
    """fire-findings-1995 (one heater): 1 h of burner a day, 11 starts, 365 h a year; households differ by a factor of 2."""
    firing = firing_pattern(CASE)
    assert 0.5 <= firing.burner_share * 24.0 / _field("field_burner_h_day") <= 2.0
    assert 0.4 <= firing.firings_typical / _field("field_starts_a_day") <= 2.0
    blocked = replace(STATE, vent=replace(STATE.vent, blocked=np.full(STATE.samples, 0.99)))
    year = everyday(CASE, blocked, WEIGHT, ALLOWED_S)
    assert year.share_of_firings.mean > 0.95
    assert 0.5 <= year.hours_a_year.mean / _field("field_never_drafts_h_year") <= 2.0
    assert year.by_reason.vent > 0.9 * year.hours_a_year.mean


def start_up_hours_of_sound_houses() -> float:
    """Return the hours a year of spillage that ends within the allowed time, mean over the climates."""
    years = [sound_year(zone, house.name, ALLOWED_S) for zone, house in CLIMATES]
    return float(np.mean([year.start_up_hours_a_year.mean - year.hours_a_year.mean for year in years]))


def test_sound_start_ups_do_not_spill_more_than_the_field_scale() -> None:
    """own-calc on fire-findings-1995: 33 h a year if every start spilled for 30 s."""
    assert 0.0 < start_up_hours_of_sound_houses() < catalog.parameter("risk_everyday", "field_start_up_h_year").typical


def test_hours_count_in_the_score_only_when_everything_above_holds() -> None:
    """Today they do not: 95-100 F from an idle vent, deserts, and the seconds of a start are not held."""
    drafts = all(reaching_share(t, warm=False) >= SOUND_SHARE for t in MIN_DRAFT_PA)
    seldom = all(
        sound_year(zone, house.name, ALLOWED_S).share_of_firings.mean <= _field("field_sustained_share")
        for zone in DESERTS
        for house in SLABS
    )
    starts = start_up_hours_of_sound_houses() > 0.1 * _field("field_start_up_h_year")
    assert not everyday_counts() or (drafts and seldom and starts)


# ---- hours by reason


def test_reasons_are_taken_away_one_after_the_other() -> None:
    """One situation, one hour each: spills only with fans, in wind, in warm weather, always."""
    hours = np.ones((1, 4, 1))
    quiet, calm = np.array([[0.0], [1.0], [1.0], [1.0]]), np.array([[1.0], [0.0], [1.0], [1.0]])
    found = hours_by_reason(hours, quiet, calm, np.zeros(1))
    assert astuple(found) == (2.0, 1.0, 1.0, 0.0)
    found = hours_by_reason(hours, quiet, calm, np.ones(1))
    assert astuple(found) == (0.0, 1.0, 1.0, 2.0)


@pytest.mark.parametrize("allowed_s", [120.0, 300.0])
def test_reasons_add_up_to_the_hours(allowed_s: float) -> None:
    year = everyday(CASE, STATE, WEIGHT, allowed_s)
    assert year.by_reason.total == pytest.approx(year.hours_a_year.mean)
    assert year.start_up_hours_a_year.mean >= year.hours_a_year.mean
    assert year.modelled
    assert min(astuple(year.by_reason)) >= 0.0


def test_each_reason_goes_with_its_cause() -> None:
    year = everyday(CASE, STATE, WEIGHT, ALLOWED_S)
    fanless = replace(
        STATE,
        house=replace(
            STATE.house, device_m3_s=STATE.house.device_m3_s * 0.0, supply_leak_m3_s=STATE.house.supply_leak_m3_s * 0.0
        ),
        zone=replace(STATE.zone, return_leak_m3_s=STATE.zone.return_leak_m3_s * 0.0),
    )
    assert year.by_reason.fans > 0.0
    assert everyday(CASE, fanless, WEIGHT, ALLOWED_S).by_reason.fans == 0.0
    still = replace(STATE, air=replace(STATE.air, wind_factor=STATE.air.wind_factor * 0.0))
    assert year.by_reason.wind > 0.0
    assert everyday(CASE, still, WEIGHT, ALLOWED_S).by_reason.wind == 0.0
    hot = CASE.model_copy(update={"house": CASE.house.model_copy(update={"climate_zone": "2B"})})
    assert everyday(hot, STATE, WEIGHT, ALLOWED_S).by_reason.warm_weather > year.by_reason.warm_weather
