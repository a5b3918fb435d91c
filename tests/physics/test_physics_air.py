"""Air properties against tables and reference libraries; CC-.. are ids of the list in docs/physics_air_and_co.md."""

from __future__ import annotations

import numpy as np
import psychrolib
import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import given
from hypothesis import strategies as st
from oracles import air as air_oracle

from advisor import catalog
from advisor.physics import air
from advisor.units import M_PER_FT, kelvin_from_celsius, kelvin_from_fahrenheit


@pytest.fixture(autouse=True)
def _si_units() -> None:
    # the library's unit system is global, and other tests use the other one
    psychrolib.SetUnitSystem(psychrolib.SI)


def rows(quantity: str) -> list[tuple[float, float]]:
    found = [
        (float(row["at"]), float(row["value"]))
        for row in catalog.table("air_properties")
        if row["quantity"] == quantity
    ]
    assert len(found) >= 8
    return found


def test_density_repeats_the_table() -> None:
    """Source coolprop, table air_properties; tolerance 0.1 % (ideal gas), 0.12 % at -20 F where air is less ideal."""
    for temp_f, density in rows("dry air density at 101325 Pa"):
        assert air.density_kg_m3(kelvin_from_fahrenheit(temp_f)) == pytest.approx(
            density, rel=1.2e-3 if temp_f < 0 else 1e-3
        )


def test_density_at_altitude_repeats_the_table() -> None:
    """Sources psychrolib and coolprop; tolerance 0.1 %."""
    for altitude_ft, density in rows("dry air density 20 C at altitude"):
        pressure = air.standard_pressure_pa(altitude_ft * M_PER_FT)
        assert air.density_kg_m3(kelvin_from_celsius(20.0), pressure) == pytest.approx(density, rel=1e-3)


def test_standard_pressure_at_5280_ft_cc_37() -> None:
    """CC-37, source psychrolib: 83,428 Pa, ratio 0.8234, tolerance 0.1 %; and the whole table."""
    assert air.standard_pressure_pa(5280 * M_PER_FT) == pytest.approx(83_428, rel=1e-3)
    for altitude_ft, pressure in rows("standard pressure at altitude"):
        assert air.standard_pressure_pa(altitude_ft * M_PER_FT) == pytest.approx(pressure, rel=1e-3)


@given(st.floats(-400, 4500))
def test_standard_pressure_equals_psychrolib(altitude_m: float) -> None:
    assert air.standard_pressure_pa(altitude_m) == pytest.approx(
        psychrolib.GetStandardAtmPressure(altitude_m), rel=1e-5
    )


@pytest.mark.parametrize("temp_f", [0, 70, 200, 360, 600])
def test_transport_properties_against_coolprop(temp_f: float) -> None:
    """Source coolprop; cp 0.3 %, viscosity and conductivity 2.5 % (published simple laws)."""
    temp = kelvin_from_fahrenheit(float(temp_f))
    assert air_oracle.specific_heat_j_kgk(temp) == pytest.approx(PropsSI("C", "T", temp, "P", 101325, "Air"), rel=3e-3)
    assert air_oracle.viscosity_pa_s(temp) == pytest.approx(PropsSI("V", "T", temp, "P", 101325, "Air"), rel=0.025)
    assert air_oracle.thermal_conductivity_w_mk(temp) == pytest.approx(
        PropsSI("L", "T", temp, "P", 101325, "Air"), rel=0.025
    )


def test_fitted_heat_capacity_is_rederived_from_the_library() -> None:
    """The cubic in the code is the least-squares fit to coolprop, 250-900 K."""
    temps = np.linspace(250, 900, 66)
    cp = [PropsSI("Cp0mass", "T", t, "Dmass", 1e-6, "Air") for t in temps]
    fit = np.polynomial.Polynomial.fit(temps, cp, 3)
    assert air_oracle.specific_heat_j_kgk(temps) == pytest.approx(fit(temps), rel=1e-5)
    assert air_oracle.specific_heat_j_kgk(temps) == pytest.approx(np.array(cp), rel=1e-3)


@pytest.mark.parametrize("temp_c", [0.5, 10, 20, 40, 60])
def test_water_vapour_against_psychrolib(temp_c: float) -> None:
    """Source psychrolib; Magnus form 0.3 %, dew point 0.1 K, density of moist air 0.1 %."""
    temp = kelvin_from_celsius(temp_c)
    pressure = psychrolib.GetSatVapPres(temp_c)
    assert air.saturation_pressure_pa(temp) == pytest.approx(pressure, rel=3e-3)
    assert air.dew_point_k(pressure) == pytest.approx(temp, abs=0.1)
    ratio = psychrolib.GetHumRatioFromRelHum(temp_c, 0.5, 101325)
    assert air.humidity_ratio_kg_kg(temp, 0.5) == pytest.approx(ratio, rel=5e-3)
    moist = psychrolib.GetMoistAirDensity(temp_c, ratio, 101325)
    assert air.density_kg_m3(temp, 101325, ratio) == pytest.approx(moist, rel=1e-3)


def test_moist_air_at_20_c_and_half_humidity() -> None:
    """Source coolprop humid air: 1.1994 kg/m3, tolerance 0.1 %."""
    temp = kelvin_from_celsius(20.0)
    assert air.density_kg_m3(temp, 101325, air.humidity_ratio_kg_kg(temp, 0.5)) == pytest.approx(1.1994, rel=1e-3)


@pytest.mark.parametrize(("outdoor_f", "expected_pa"), [(0, 5.46), (20, 3.74), (40, 2.15), (60, 0.69)])
def test_idle_draft_cc_31(outdoor_f: float, expected_pa: float) -> None:
    """CC-31, coolprop densities: 70 F air, 10 ft; tolerance 0.5 % and the last printed digit; 20 ft doubles."""
    outdoor, room = kelvin_from_fahrenheit(float(outdoor_f)), kelvin_from_fahrenheit(70.0)
    ten = air_oracle.stack_pressure_pa(outdoor, room, 10 * M_PER_FT)
    assert ten == pytest.approx(expected_pa, rel=5e-3, abs=0.005)
    assert air_oracle.stack_pressure_pa(outdoor, room, 20 * M_PER_FT) == pytest.approx(2 * ten)


def test_stack_effect_of_a_house_ashrae() -> None:
    """Source own-calc from ashrae-f16-2021 eq. 24: 0.417/0.865/1.347 Pa a metre for 10/20/30 K below 20 C; 0.5 %."""
    room = kelvin_from_celsius(20.0)
    drop = np.array([10.0, 20.0, 30.0])
    assert air_oracle.stack_pressure_pa(room - drop, room, 1.0) == pytest.approx(
        np.array([0.417, 0.865, 1.347]), rel=5e-3
    )


@given(st.floats(220, 900), st.floats(1, 100))
def test_warmer_air_is_lighter_and_carries_upward(temp_k: float, warmer_k: float) -> None:
    assert air.density_kg_m3(temp_k + warmer_k) < air.density_kg_m3(temp_k)
    assert air_oracle.stack_pressure_pa(temp_k, temp_k + warmer_k, 3.0) > 0
    assert air_oracle.stack_pressure_pa(temp_k + warmer_k, temp_k, 3.0) < 0


def test_polynomial_integral_is_the_integral() -> None:
    """Against the trapezoid rule on a fine grid."""
    temps = np.linspace(280, 600, 20_001)
    expected = np.trapezoid(air_oracle.specific_heat_j_kgk(temps), temps)
    assert air.polynomial_integral(air.AIR_SPECIFIC_HEAT_J_KGK, 280.0, 600.0) == pytest.approx(expected, rel=1e-8)
