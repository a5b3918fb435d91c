"""Life-cycle cost: published factors and worked examples, closed forms, and properties that must always hold."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.catalog import table
from advisor.errors import InputError
from advisor.facts.hot_water import household_use
from advisor.money import energy
from advisor.money import lifecycle as lcc
from advisor.money.existing import RemainingLife, kept_heater, remaining_life
from advisor.money.fuel_prices import EnergyPrices, UnitPrice, energy_prices
from advisor.money.prices import price
from advisor.money.tables import class_row

rates = st.floats(0.0, 0.15)
growths = st.floats(-0.02, 0.05)
dollars = st.floats(0.0, 20000.0)


def test_factors_of_the_catalog() -> None:
    for row in table("lcc_factors"):  # own-calc, after nist-hb135
        n = float(row["n_years"])
        for pct in (3, 5, 7):
            assert lcc.single_present_value(pct / 100.0, n) == pytest.approx(float(row[f"spv_{pct}pct"]), abs=0.00006)
            assert lcc.uniform_present_value(pct / 100.0, n) == pytest.approx(float(row[f"upv_{pct}pct"]), abs=0.0006)


def test_published_factors() -> None:
    assert 30000.0 * np.asarray(lcc.uniform_present_value(0.08, 30)) == pytest.approx(
        337733.5, abs=0.1
    )  # F01 econ-package
    assert lcc.uniform_present_value(0.03, 20) == pytest.approx(14.88, abs=0.005)  # F03, nist-hb135 (memory)
    assert lcc.single_present_value(0.03, 12) == pytest.approx(0.701, abs=0.0005)  # F04, nist-hb135 (memory)
    assert lcc.single_present_value(0.03, 20) == pytest.approx(0.554, abs=0.0005)  # F04, nist-hb135 (memory)


def _worked_example(first: float, again: float, residual: float, energy_usd: float, upkeep: float) -> lcc.LifeCycle:
    return lcc.life_cycle_cost(
        (lcc.Asset("system", first),),
        (lcc.Stream("energy", energy_usd, factor=15.13), lcc.Stream("upkeep", upkeep, "upkeep")),
        (lcc.Payment("replacement", again, 12.0), lcc.Payment("residual", -residual, 20.0, "residual")),
        study_years=20,
        discount_rate=0.03,
    )


def test_worked_example_of_two_systems() -> None:
    """nist-lcca-page (memory, it closes): the print uses rounded factors, 516,233 and 432,443."""
    base = _worked_example(103000.0, 12000.0, 3500.0, 20000.0, 7000.0)
    option = _worked_example(110000.0, 12500.0, 3700.0, 13000.0, 8000.0)
    assert base.total_usd == pytest.approx(516221.0, abs=1.0)  # F05 unrounded
    assert base.total_usd == pytest.approx(516233.0, rel=0.0001)  # F05 as printed
    assert option.total_usd == pytest.approx(432428.0, abs=1.0)  # F06 unrounded
    assert option.total_usd == pytest.approx(432443.0, rel=0.0001)  # F06 as printed
    assert lcc.net_savings(base, option) == pytest.approx(83790.0, rel=0.0001)  # F07
    ratio = lcc.savings_ratio(91030.0, 7240.0)
    assert ratio == pytest.approx(12.57, abs=0.05)  # F08
    assert lcc.savings_to_investment(base, option) == pytest.approx(12.57, abs=0.05)  # F08 from the whole example
    assert lcc.adjusted_return(ratio, 0.03, 20) == pytest.approx(0.169, abs=0.001)  # F09


@pytest.mark.parametrize(
    ("class_id", "extra", "kwh_or_therm", "expected"),
    [
        ("GS_ATM", 0.0, 1.42, 5750.0),
        ("HP_240", 0.0, 0.16, 6900.0),
        ("GS_PV", 0.0, 1.42, 6970.0),
        ("ER_240", 1250.0, 0.16, 9770.0),
    ],
)
def test_main_decision_finding(class_id: str, extra: float, kwh_or_therm: float, expected: float) -> None:
    """LC, own-calc: 55 gal/day, 1.42 usd/therm, 0.16 usd/kWh, 3 %, 15 years, typical costs."""
    row = class_row(class_id)
    btu = energy.annual_energy_btu(row.uef_typ, 55.0)
    units = energy.therm(btu) if row.fuel == "gas" else energy.kwh(btu)
    life = price(class_id).life_years
    found = lcc.life_cycle_cost(
        (lcc.Asset("heater", price(class_id).typical_usd, life), lcc.Asset("circuit", extra)),
        (
            lcc.Stream("energy", np.asarray(units) * kwh_or_therm),
            lcc.Stream("upkeep", row.upkeep_typ_usd_yr, "upkeep"),
        ),
        study_years=15,
        discount_rate=0.03,
    )
    assert found.total_usd == pytest.approx(expected, abs=6.0)  # printed to ten dollars


def test_tankless_of_the_main_finding() -> None:
    """LC: the print, 7480, carries 124 usd of auxiliary electricity that the UEF contains already; ours does not."""
    row = class_row("TL_C")
    therms = np.asarray(energy.therm(energy.annual_energy_btu(0.95, 55.0)))
    found = lcc.life_cycle_cost(
        (lcc.Asset("heater", 4700.0, 20.0),),
        (lcc.Stream("gas", therms * 1.42), lcc.Stream("upkeep", row.upkeep_typ_usd_yr, "upkeep")),
        study_years=15,
        discount_rate=0.03,
    )
    assert np.asarray(found.total_usd) + 124.0 == pytest.approx(7480.0, abs=6.0)


def test_break_even_closed_form_of_100_random_cases() -> None:
    """costs: usd/kWh = 0.03412 (UEF electric / UEF gas) usd/therm; and both really cost the same to run."""
    draws = np.random.default_rng(7).uniform([0.5, 0.5, 0.5, 20.0], [4.0, 0.98, 4.0, 120.0], (100, 4))
    for uef_e, uef_g, gas, gal in draws:
        power = lcc.break_even_electricity_usd_kwh(uef_e, uef_g, gas)
        assert power == pytest.approx(0.03412 * uef_e / uef_g * gas, rel=1e-12)
        electric = np.asarray(energy.kwh(energy.annual_energy_btu(uef_e, gal))) * power
        burner = np.asarray(energy.therm(energy.annual_energy_btu(uef_g, gal))) * gas
        assert electric == pytest.approx(burner, rel=1e-9)


@pytest.mark.parametrize(("electric", "gas", "expected"), [(3.3, 0.61, 0.185), (2.8, 0.61, 0.157), (0.92, 0.61, 0.051)])
def test_break_even_factor(electric: float, gas: float, expected: float) -> None:
    assert lcc.break_even_electricity_usd_kwh(electric, gas, 1.0) == pytest.approx(expected, abs=0.0005)  # own-calc


def test_break_even_price_over_the_life() -> None:
    factor = float(np.asarray(lcc.uniform_present_value(0.03, 15)))
    usd = lcc.break_even_price(5000.0, 6000.0, 900.0, factor)
    rest = lcc.life_cycle_cost((lcc.Asset("heater", 5000.0),), (lcc.Stream("power", 900.0 * np.asarray(usd)),))
    assert rest.total_usd == pytest.approx(6000.0)


def test_growth_equal_to_the_rate() -> None:
    assert lcc.uniform_present_value(0.03, 15, 0.03) == pytest.approx(15.0)  # limit of the formula
    assert lcc.uniform_present_value(0.0, 15) == pytest.approx(15.0)
    assert lcc.uniform_present_value(0.03, 15, 0.03 + 1e-10) == pytest.approx(15.0, rel=1e-6)


@settings(deadline=None)
@given(rates, growths, st.integers(1, 40))
def test_factor_is_the_sum_of_its_years(rate: float, growth: float, years: int) -> None:
    step = (1.0 + growth) / (1.0 + rate)
    summed = sum(step**year for year in range(1, years + 1))
    assert lcc.uniform_present_value(rate, years, growth) == pytest.approx(summed, rel=1e-6)


@settings(deadline=None)
@given(dollars, st.floats(0.5, 40.0), dollars, rates, growths, st.integers(1, 30), st.floats(0.0, 40.0))
def test_cash_flow_adds_up_to_the_life_cycle_cost(
    first: float, life: float, yearly: float, rate: float, growth: float, years: int, remaining: float
) -> None:
    assets = (
        lcc.Asset("new", first, life),
        lcc.Asset("kept", 0.0, 14.5, 2300.0, remaining),
        lcc.Asset("permit", 140.0),
    )
    streams = (lcc.Stream("gas", yearly, growth=growth), lcc.Stream("upkeep", 25.0, "upkeep"))
    whole = lcc.life_cycle_cost(assets, streams, study_years=years, discount_rate=rate)
    rows = lcc.cash_flow(assets, streams, study_years=years, discount_rate=rate)
    assert len(rows) == years + 1
    assert rows[-1].cumulative_usd == pytest.approx(float(np.asarray(whole.total_usd)), rel=1e-9, abs=1e-6)
    assert sum(row.replacement_usd for row in rows) >= 0.0


@settings(deadline=None)
@given(dollars, dollars, rates, rates)
def test_a_higher_discount_rate_never_raises_the_value_of_savings(
    saved: float, extra: float, rate_a: float, rate_b: float
) -> None:
    low, high = sorted((rate_a, rate_b))
    at_low = saved * np.asarray(lcc.uniform_present_value(low, 15))
    assert saved * np.asarray(lcc.uniform_present_value(high, 15)) <= at_low + 1e-6
    assert np.asarray(lcc.discounted_payback_years(extra, saved, high)) >= np.asarray(
        lcc.discounted_payback_years(extra, saved, low)
    ) - 1e-6 or np.isinf(np.asarray(lcc.discounted_payback_years(extra, saved, high)))


def _prices(gas: float, power: float) -> EnergyPrices:
    usual = energy_prices()

    def typed(value: float, old: UnitPrice) -> UnitPrice:
        return UnitPrice(value, value, value, old.unit, "", "typed", "bill", False)

    return EnergyPrices(
        typed(power, usual.electricity_usd_kwh),
        typed(gas, usual.gas_usd_therm),
        usual.propane_usd_gal,
        usual.grid_kg_co2_kwh,
        "typed",
    )


@settings(deadline=None)
@given(
    st.sampled_from([row["class_id"] for row in table("appliance_classes")]),
    st.floats(0.2, 5.0),
    st.floats(0.05, 0.6),
    st.floats(0.0, 3.0),
    st.floats(0.0, 0.5),
)
def test_a_dearer_fuel_never_lowers_the_cost(
    class_id: str, gas: float, power: float, more_gas: float, more_power: float
) -> None:
    def total(prices: EnergyPrices) -> float:
        cost = energy.running_cost(class_id, household_use(people=3), prices)
        asset = lcc.Asset("heater", price(class_id).typical_usd, price(class_id).life_years)
        return float(np.asarray(lcc.life_cycle_cost((asset,), (lcc.Stream("energy", cost.energy_usd),)).total_usd))

    assert total(_prices(gas + more_gas, power + more_power)) >= total(_prices(gas, power)) - 1e-9


@settings(deadline=None)
@given(st.floats(1.0, 5000.0), st.floats(1.0, 2000.0), rates, growths)
def test_payback_repays_exactly(extra: float, saved: float, rate: float, growth: float) -> None:
    years = float(np.asarray(lcc.discounted_payback_years(extra, saved, rate, growth)))
    if np.isfinite(years) and years < 500.0:
        worth = saved * float(np.asarray(lcc.uniform_present_value(rate, years, growth)))
        assert worth == pytest.approx(extra, rel=1e-5)
    elif np.isinf(years):
        assert saved * float(np.asarray(lcc.uniform_present_value(rate, 2000.0, growth))) <= extra * (1.0 + 1e-6)


def test_payback_edges() -> None:
    assert lcc.discounted_payback_years(0.0, 100.0, 0.03) == 0.0
    assert lcc.discounted_payback_years(-50.0, 100.0, 0.03) == 0.0
    assert np.isinf(np.asarray(lcc.discounted_payback_years(1000.0, -5.0, 0.03)))
    assert np.isinf(np.asarray(lcc.discounted_payback_years(10000.0, 100.0, 0.03)))  # 100/0.03 = 3333 at most
    assert lcc.discounted_payback_years(1000.0, 100.0, 0.0) == pytest.approx(10.0)


def test_a_14_year_old_heater_is_not_a_3_year_old_one() -> None:
    old, young = remaining_life("GS_ATM", 14.0), remaining_life("GS_ATM", 3.0)
    assert np.asarray(old.years) < np.asarray(young.years)
    assert np.asarray(old.years) >= 1.0
    assert not old.assumed
    assert remaining_life("GS_ATM", None).assumed
    assert remaining_life("GS_ATM", 35.0).years == 1.0  # older than any life of the catalog: the floor

    def keep(age: float) -> float:
        asset, left = kept_heater("GS_ATM", age)
        assert isinstance(left, RemainingLife)
        return float(np.asarray(lcc.life_cycle_cost((asset,), study_years=15, discount_rate=0.03).total_usd))

    # the old one is replaced within a few years: most of 2300 (natlab-stock-data) less what is left of it in year 15
    assert keep(14.0) > keep(3.0) + 500.0


@settings(deadline=None)
@given(st.floats(0.0, 25.0), st.floats(0.0, 25.0), st.floats(0.01, 0.99))
def test_older_heaters_never_have_more_left(age_a: float, age_b: float, chance: float) -> None:
    low, high = sorted((age_a, age_b))
    left_young = np.asarray(remaining_life("GS_ATM", low, chance).years)
    assert np.asarray(remaining_life("GS_ATM", high, chance).years) <= left_young + 1e-6
    # what it has reached plus what it has left: never dead before now
    assert np.asarray(remaining_life("GS_ATM", high, chance).years) >= 1.0


def test_arrays_equal_their_elements() -> None:
    costs, lives = np.array([1000.0, 2000.0, 3000.0]), np.array([4.0, 14.5, 30.0])
    drates, left = np.array([0.0, 0.03, 0.07]), np.array([0.5, 6.0, 40.0])
    many = lcc.life_cycle_cost(
        (lcc.Asset("a", costs, lives), lcc.Asset("b", 0.0, lives, costs, left)),
        (lcc.Stream("e", costs / 10.0),),
        study_years=15,
        discount_rate=drates,
    )
    for index in range(3):
        one = lcc.life_cycle_cost(
            (
                lcc.Asset("a", costs[index], lives[index]),
                lcc.Asset("b", 0.0, lives[index], costs[index], left[index]),
            ),
            (lcc.Stream("e", costs[index] / 10.0),),
            study_years=15,
            discount_rate=float(drates[index]),
        )
        assert np.asarray(many.total_usd)[index] == pytest.approx(one.total_usd)


def test_straight_line_residual() -> None:
    found = lcc.life_cycle_cost((lcc.Asset("tankless", 4000.0, 20.0),), study_years=15, discount_rate=0.0)
    assert found.residual_usd == pytest.approx(1000.0)  # 5 of 20 years left, nist-hb135
    exact = lcc.life_cycle_cost((lcc.Asset("tank", 4000.0, 15.0),), study_years=15, discount_rate=0.0)
    assert (exact.replacement_usd, exact.residual_usd) == (0.0, 0.0)


def test_no_extra_investment_has_no_ratio() -> None:
    cheap = lcc.life_cycle_cost((lcc.Asset("a", 100.0),))
    assert np.isnan(np.asarray(lcc.savings_to_investment(cheap, cheap)))


def test_ties() -> None:
    assert lcc.is_tie(1000.0, 2000.0, 1200.0, 2400.0)  # common practice: more than half
    assert not lcc.is_tie(1000.0, 2000.0, 1800.0, 2400.0)
    assert lcc.is_tie(5.0, 5.0, 1.0, 9.0)


@pytest.mark.parametrize(
    ("call", "word"),
    [
        (lambda: lcc.life_cycle_cost((lcc.Asset("x", float("nan")),)), r"x\.cost_usd"),
        (lambda: lcc.life_cycle_cost((lcc.Asset("x", 1.0, 0.0),)), r"x\.life_years"),
        (lambda: lcc.life_cycle_cost((), study_years=7.5), "whole years"),
        (lambda: lcc.life_cycle_cost((), (lcc.Stream("e", 1.0),), discount_rate=-1.0), "discount_rate"),
        (lambda: lcc.cash_flow((), (lcc.Stream("e", 1.0, factor=15.0),)), "published factor"),
        (lambda: remaining_life("GS_ATM", -1.0), "age_of_the_heater_years"),
        (lambda: remaining_life("XX", 1.0), "class 'XX'"),
    ],
)
def test_bad_numbers(call: object, word: str) -> None:
    with pytest.raises(InputError, match=word):
        call()  # type: ignore[operator]
