"""Published chimney forms against worked examples and the friction library."""

from __future__ import annotations

import csv
from pathlib import Path

import fluids
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from oracles import chimney
from oracles import combustion as combustion_oracle
from oracles.air import stack_pressure_pa
from oracles.properties import en_coefficients, vent_gas_formula

from advisor import catalog
from advisor.ensemble.properties import fuel
from advisor.units import (
    J_PER_BTU,
    KG_PER_LB,
    M_PER_FT,
    M_PER_IN,
    PA_PER_IN_WC,
    W_PER_BTU_H,
    celsius_from_kelvin,
    fahrenheit_from_kelvin,
    kelvin_from_celsius,
    kelvin_from_fahrenheit,
)

PA_PER_IN_HG = 3386.389  # conventional mercury column at 32 F
RANKINE = 1 / 1.8
DATA = Path(__file__).parents[1] / "data"


def test_theoretical_draft_cc_01() -> None:
    """CC-01, manual-vent-accessory: 29.92 in Hg, 25 ft, 530 and 710 R: 0.0914 in wc (printed 0.091); 0.5 %."""
    draft = chimney.theoretical_draft_pa(530 * RANKINE, 710 * RANKINE, 25 * M_PER_FT, 29.92 * PA_PER_IN_HG)
    assert draft / PA_PER_IN_WC == pytest.approx(0.0914, rel=5e-3)


@pytest.mark.parametrize(("height_ft", "expected_pa"), [(20, 26.8), (10, 13.4), (6, 8.04)])
def test_theoretical_draft_cc_03(height_ft: float, expected_pa: float) -> None:
    """CC-03, own-calc: 60 F outdoors, rise of 300 F, no loss; 0.5 %; 20 ft is 0.1075 in wc."""
    outdoor = kelvin_from_fahrenheit(60.0)
    draft = chimney.theoretical_draft_pa(outdoor, outdoor + 300 / 1.8, height_ft * M_PER_FT, 29.92 * PA_PER_IN_HG)
    assert draft == pytest.approx(expected_pa, rel=5e-3)
    if height_ft == 20:
        assert draft / PA_PER_IN_WC == pytest.approx(0.1075, rel=5e-3)


def test_published_constants_of_the_draft() -> None:
    """ashrae-chimney (second-hand): 0.03413 in SI, 0.2554 in US units; 3463 at sea level (memory); within 0.3 %."""
    outdoor, gas, height = kelvin_from_celsius(5.0), kelvin_from_celsius(160.0), 5.0
    exact = chimney.theoretical_draft_pa(outdoor, gas, height, 95_000)
    assert exact == pytest.approx(0.03413 * 95_000 * height * (1 / outdoor - 1 / gas), rel=2e-3)
    inches = 0.2554 * 95_000 / PA_PER_IN_HG * height / M_PER_FT * (RANKINE / outdoor - RANKINE / gas)
    assert exact / PA_PER_IN_WC == pytest.approx(inches, rel=3e-3)
    at_sea_level = chimney.theoretical_draft_pa(outdoor, gas, height, 101_325)
    assert at_sea_level == pytest.approx(3463 * height * (1 / outdoor - 1 / gas), rel=1e-3)


@pytest.mark.parametrize(
    ("gas_f", "expected"), [(250, (29.1, 25.7, 22.5, 19.6, 16.9)), (120, (17.1, 13.7, 10.5, 7.6, 4.9))]
)
def test_draft_of_a_hot_vent(gas_f: float, expected: tuple[float, ...]) -> None:
    """own-calc table, 20 ft, outdoors 0 to 80 F: last printed digit; and the same column by densities."""
    outdoor = kelvin_from_fahrenheit(np.array([0.0, 20.0, 40.0, 60.0, 80.0]))
    draft = chimney.theoretical_draft_pa(outdoor, kelvin_from_fahrenheit(float(gas_f)), 20 * M_PER_FT)
    assert draft == pytest.approx(np.array(expected), abs=0.06)
    by_density = stack_pressure_pa(outdoor, kelvin_from_fahrenheit(float(gas_f)), 20 * M_PER_FT)
    assert draft == pytest.approx(by_density, rel=1e-12)


def test_available_draft_cc_08() -> None:
    """CC-08, manual-vent-accessory: -0.091 + 0.039 = -0.052 in wc; 0.1 in wc depressurization: +0.048, back-draft."""
    assert chimney.available_draft_pa(0.091, 0.039) == pytest.approx(0.052)
    assert chimney.available_draft_pa(0.091, 0.039, 0.1) == pytest.approx(-0.048)


def test_vent_gas_formula_cc_04() -> None:
    """CC-04, ashrae-chimney (second-hand): 0.66 kg/MJ at 5.3 %, LP 0.68 at 6.0 %; 1.538 and 1.585 lb/1000 Btu; 1 %."""
    for name, co2, si, us in [("natural_gas", 5.3, 0.66, 1.538), ("propane", 6.0, 0.68, 1.585)]:
        mass = chimney.vent_gas_kg_j(vent_gas_formula(name), co2)
        assert mass * 1e6 == pytest.approx(si, rel=0.01)
        assert mass * 1000 * J_PER_BTU / KG_PER_LB == pytest.approx(us, rel=0.01)


def test_pipe_resistance_cc_05() -> None:
    """CC-05, manual-vent-accessory: 8 in single wall, 25 ft, F 0.32: k 1.0, exact; F 0.4 is Darcy 0.033 (printed)."""
    factors = {row["part"]: float(row["k_typical"]) for row in catalog.table("vent_resistance")}
    assert factors["pipe friction F, single wall"] * 25 / 8 == pytest.approx(1.0)
    general = factors["pipe friction F in k = F L_ft / d_in, general"]
    assert general * M_PER_IN / M_PER_FT == pytest.approx(0.033, abs=5e-4)


def test_steady_input_us_form() -> None:
    """ashrae-chimney (memory): I = 4.13e5 d^2 / M (dp B / (k Tm))^0.5 Btu/h; own derivation 4.136e5; 0.5 %."""
    diameter, mass, pressure, barometer, k, temp_r = 4.0, 1.54, 0.05, 29.92, 4.0, 760.0
    printed = 4.13e5 * diameter**2 / mass * (pressure * barometer / (k * temp_r)) ** 0.5
    flow = chimney.steady_flow_kg_s(
        np.pi / 4 * (diameter * M_PER_IN) ** 2,
        temp_r * RANKINE,
        pressure * PA_PER_IN_WC,
        k,
        barometer * PA_PER_IN_HG,
    )
    watts = chimney.vent_capacity_w(flow, mass * KG_PER_LB / (1000 * J_PER_BTU))
    assert watts / W_PER_BTU_H == pytest.approx(printed, rel=5e-3)


def test_reversed_driving_pressure_reverses_the_flow() -> None:
    up = chimney.steady_flow_kg_s(0.008, 400.0, 5.0, 4.0)
    assert chimney.steady_flow_kg_s(0.008, 400.0, -5.0, 4.0) == pytest.approx(-up)
    assert up > 0


def test_minimum_mean_gas_temperature() -> None:
    """own-calc (idea iea-aivc): 30 F, 70 F, 20 ft: 53 F, neutral level 12 ft above the hood, 45 F with 8; 1 F."""
    outdoor, house = kelvin_from_fahrenheit(30.0), kelvin_from_fahrenheit(70.0)
    for neutral_ft, expected_f in [(12, 53), (8, 45)]:
        temp = chimney.minimum_mean_gas_temp_k(outdoor, house, 20 * M_PER_FT, neutral_ft * M_PER_FT)
        assert fahrenheit_from_kelvin(temp) == pytest.approx(expected_f, abs=1)
    full = chimney.minimum_mean_gas_temp_k(outdoor, house, 6.0, 6.0)
    assert full == pytest.approx(house)  # neutral level at the top: the vent must be as warm as the house


def test_plug_flow_is_the_solution_of_its_equation() -> None:
    """Outlet and mean temperature (ashrae-chimney, en-13384-1) against a fine Euler march of the equation."""
    number = 0.8
    temps = [450.0]
    for _ in range(20_000):
        temps.append(temps[-1] - number / 20_000 * (temps[-1] - 290.0))
    assert chimney.outlet_temp_k(450.0, 290.0, number) == pytest.approx(temps[-1], abs=0.01)
    assert chimney.mean_temp_k(450.0, 290.0, number) == pytest.approx(np.mean(temps), abs=0.01)
    assert chimney.mean_temp_k(450.0, 290.0, 0.0) == pytest.approx(450.0)
    assert chimney.heat_loss_number(3.41, np.pi * 0.1016, 6.096, 0.008, 1089.0) == pytest.approx(0.7616, rel=1e-3)


@given(st.floats(0.0, 6.0))
def test_mean_is_between_inlet_and_outlet(number: float) -> None:
    mean, end = chimney.mean_temp_k(450.0, 290.0, number), chimney.outlet_temp_k(450.0, 290.0, number)
    assert end - 1e-9 <= mean <= 450.0 + 1e-9


def test_friction_cc_38() -> None:
    """CC-38, fluids: Re 4000, eps/D 0.0015: 0.0414; Re 1000: 0.064; 1 %. The printed row for 0.15 mm in 4 in; 1 %."""
    assert chimney.friction_factor(4000, 0.0015) == pytest.approx(0.0414, rel=0.01)
    assert chimney.friction_factor(1000, 0.0015) == pytest.approx(0.064, rel=0.01)
    reynolds = np.array([2000, 3000, 4000, 5000, 8000, 10_000, 20_000])
    printed = np.array([0.032, 0.0448, 0.0414, 0.0390, 0.0348, 0.0331, 0.0288])
    assert chimney.friction_factor(reynolds, 0.15 / 101.6) == pytest.approx(printed, rel=0.01)


@given(st.floats(3000, 2e5), st.floats(0.0, 0.05))
def test_friction_equals_the_library_when_turbulent(reynolds: float, roughness: float) -> None:
    """Source fluids, 0.2 %: the library prints 3.7 in the rough term, en-13384-1 3.71."""
    library = fluids.friction_factor(reynolds, roughness, Method="Colebrook")
    assert chimney.friction_factor(reynolds, roughness) == pytest.approx(library, rel=2e-3)


@given(st.floats(1, 2000), st.floats(0.0, 0.05))
def test_friction_equals_the_library_when_laminar(reynolds: float, roughness: float) -> None:
    assert chimney.friction_factor(reynolds, roughness) == pytest.approx(fluids.friction_factor(reynolds, roughness))


def test_friction_has_no_jump() -> None:
    reynolds = np.linspace(1500, 3500, 4001)
    factor = chimney.friction_factor(reynolds, 0.0015)
    assert np.max(np.abs(np.diff(factor))) < 1e-4
    assert np.all(np.isfinite(chimney.friction_factor(np.array([0.0, 1.0]), 0.0)))


def test_reynolds_number_of_a_heater() -> None:
    """own-calc: a 40 kBtu/h heater runs at Re about 4100 in 4 in and 5400 in 3 in (8.0 g/s, gas near 180 C); 5 %."""
    for diameter_in, flow, expected in [(4, 7.8e-3, 4100), (3, 7.7e-3, 5400)]:
        assert chimney.reynolds_number(flow, diameter_in * M_PER_IN, 2.39e-5) == pytest.approx(expected, rel=0.05)


def test_equivalent_height_cc_07() -> None:
    """CC-07, bs-5440-1 (second-hand): 100 mm, Ha 6.2 m, sum K 8.01: 3.793 m; 0.1 %. Factors from the catalog."""

    def factor(key: str) -> float:
        return catalog.number("physics_chimney", f"bs5440_{key}_100mm")

    ends = 2 * factor("inlet_or_outlet")
    pipe = factor("pipe_per_m")
    total = factor("inlet_or_outlet") + factor("bend_90") + 4 * pipe + 1.5 * pipe
    assert total == pytest.approx(8.01, abs=0.005)  # 2.5 + 1.22 + 3.12 + 1.17
    height = chimney.equivalent_height_m(6.2, ends, ends, pipe, 8.01)
    assert height == pytest.approx(3.793, rel=1e-3)
    # a straight flue of the same pipe is its own equivalent
    assert chimney.equivalent_height_m(6.2, ends, ends, pipe, 6.2 * pipe) == pytest.approx(6.2)


def test_bs_5440_factors_scale_as_physics_says() -> None:
    """bs-5440-1: fittings go as d^-4 and pipe as d^-5, within the two printed digits (6 %)."""
    for part, power in [("inlet_or_outlet", 4), ("bend_90", 4), ("turn_45", 4), ("pipe_per_m", 5)]:
        base = catalog.number("physics_chimney", f"bs5440_{part}_100mm")
        for size in (125, 150):
            scaled = base * (100 / size) ** power
            printed = catalog.number("physics_chimney", f"bs5440_{part}_{size}mm")
            assert printed == pytest.approx(scaled, rel=0.06, abs=0.02)


EN_CASES = [  # height m, diameter m, outer diameter m
    (3.048, 0.1016, 0.12),
    (6.096, 0.1016, 0.12),
    (3.048, 0.0762, 0.09),
]


def en_case(height: float, diameter: float, outer: float) -> chimney.EnDraught:
    net = 1 - fuel("natural_gas").latent_loss_fraction
    return chimney.en_draught(
        en_coefficients(), net_input_w=40_000 * W_PER_BTU_H * net, co2_pct=5.3, inlet_temp_k=kelvin_from_celsius(180.0),
        diameter_m=diameter, height_m=height, lateral_m=1.524, roughness_m=1e-3, wall_resistance_m2k_w=0.1,
        outer_diameter_m=outer, outer_film_w_m2k=8.0, ambient_temp_k=kelvin_from_celsius(15.0),
        outdoor_temp_k=kelvin_from_celsius(15.0), sum_zeta=4.0,
    )  # fmt: skip


def test_en_13384_cc_09() -> None:
    """CC-09, own-calc from the EN 13384-1 forms (memory): every step within 1 %; regression, never alone."""
    first = en_case(*EN_CASES[0])
    expected = [
        (first.flow_kg_s * 1e3, 7.995), (first.gas_constant_j_kgk, 292.88), (first.specific_heat_j_kgk, 1076.9),
        (first.reynolds, 4653), (first.velocity_m_s, 1.20), (first.friction, 0.0477), (first.inside_film_w_m2k, 5.62),
        (first.transmittance_w_m2k, 2.606), (first.loss_number, 0.442),
        (celsius_from_kelvin(first.mean_temp_k), 148.4), (celsius_from_kelvin(first.outlet_temp_k), 121.1),
        (first.stack_pa, 11.97), (first.resistance_pa, 3.64), (first.draught_pa, 8.33),
        (celsius_from_kelvin(first.dew_point_k), 45.3),
    ]  # fmt: skip
    for value, wanted in expected:
        assert value == pytest.approx(wanted, rel=0.01)
    tall = en_case(*EN_CASES[1])
    assert celsius_from_kelvin(tall.mean_temp_k) == pytest.approx(132.1, rel=0.01)
    assert tall.draught_pa == pytest.approx(17.66, rel=0.01)
    # a small difference of two large numbers: 1 % of the resistance of 13 Pa
    assert en_case(*EN_CASES[2]).draught_pa == pytest.approx(-0.94, abs=0.13)


def test_en_13384_against_independent_physics() -> None:
    """The standard's forms (memory) agree with this project's gas: flow 3 %, cp 1.5 %, stack 5 %, dew point 1.5 K."""
    from advisor.physics import combustion

    gas = fuel("natural_gas")
    result = en_case(*EN_CASES[0])
    excess = combustion_oracle.excess_air_from_co2(gas, 5.3)
    own_flow = combustion.flue_mass_flow_kg_s(gas, 40_000 * W_PER_BTU_H, excess)
    assert result.flow_kg_s == pytest.approx(own_flow, rel=0.03)
    own_cp = combustion.flue_specific_heat_j_kgk(gas, excess, result.mean_temp_k, 1.0)
    assert result.specific_heat_j_kgk == pytest.approx(own_cp, rel=0.015)
    assert result.dew_point_k == pytest.approx(combustion.flue_dew_point_k(gas, excess, 1.0, 0.006), abs=1.5)
    own_stack = chimney.theoretical_draft_pa(kelvin_from_celsius(15.0), result.mean_temp_k, EN_CASES[0][0])
    assert result.stack_pa == pytest.approx(own_stack, rel=0.05)


@given(st.floats(2.0, 12.0), st.floats(0.09, 0.2), st.floats(0.0, 3.0))
def test_en_13384_trends(height: float, diameter: float, lateral: float) -> None:
    """A wider flue resists less; a better insulated one draws more."""
    args = {
        "net_input_w": 10_000.0, "co2_pct": 5.3, "inlet_temp_k": 450.0, "height_m": height, "lateral_m": lateral,
        "roughness_m": 1e-3, "outer_film_w_m2k": 8.0, "ambient_temp_k": 288.0, "outdoor_temp_k": 288.0, "sum_zeta": 4.0,
    }  # fmt: skip
    base = chimney.en_draught(
        en_coefficients(), diameter_m=diameter, outer_diameter_m=diameter + 0.02, wall_resistance_m2k_w=0.1, **args
    )
    wide = chimney.en_draught(
        en_coefficients(), diameter_m=diameter * 1.2, outer_diameter_m=diameter * 1.2 + 0.02,
        wall_resistance_m2k_w=0.1, **args,
    )  # fmt: skip
    warm = chimney.en_draught(
        en_coefficients(), diameter_m=diameter, outer_diameter_m=diameter + 0.02, wall_resistance_m2k_w=0.4, **args
    )
    assert wide.resistance_pa < base.resistance_pa
    assert warm.stack_pa > base.stack_pa


def test_published_capacities_by_the_closed_forms() -> None:
    """CC-06 by hand calculation: 33 rows of irc-2018 Table 504.2(1), F 0.4 fixed beforehand; RMS 6 %, -3 to +10 %.

    Assumptions as listed: 1.538 lb/1000 Btu, 60 F, entering rise 300 F, U 0.6, cp 0.26, lateral then vertical loss,
    k = 1.5 + 1.0 + 2 x 0.75 (no elbows without lateral) + F (H + L) / d.
    """
    with (DATA / "vent_check_rows.csv").open(newline="", encoding="utf-8") as handle:
        rows = list(csv.DictReader(handle))
    assert len(rows) == 33
    mass = 1.538 * KG_PER_LB / (1000 * J_PER_BTU)
    outdoor = kelvin_from_fahrenheit(60.0)
    errors = []
    for row in rows:
        diameter_in, height_ft, lateral_ft = (float(row[key]) for key in ("diameter_in", "height_ft", "lateral_ft"))
        diameter = diameter_in * M_PER_IN
        k = 2.5 + (1.5 if lateral_ft else 0.0) + 0.4 * (height_ft + lateral_ft) / diameter_in
        flow = 0.01
        for _ in range(60):
            per_m = chimney.heat_loss_number(3.407, np.pi * diameter, 1.0, flow, 0.26 * 4186.8)
            start = chimney.outlet_temp_k(outdoor + 300 / 1.8, outdoor, per_m * lateral_ft * M_PER_FT)
            mean = chimney.mean_temp_k(start, outdoor, per_m * height_ft * M_PER_FT)
            draft = chimney.theoretical_draft_pa(outdoor, mean, height_ft * M_PER_FT)
            flow = 0.5 * (flow + float(chimney.steady_flow_kg_s(np.pi / 4 * diameter**2, mean, draft, k)))
        model = float(chimney.vent_capacity_w(flow, mass)) / W_PER_BTU_H / 1000
        assert model == pytest.approx(float(row["model_f_0_033_kbtu_h"]), rel=0.01)
        errors.append(model / float(row["published_nat_max_kbtu_h"]) - 1)
    assert np.sqrt(np.mean(np.square(errors))) <= 0.06
    assert min(errors) > -0.035
    assert max(errors) < 0.105
