"""Life-cycle cost of worked-out options: it adds up, the heater's age counts, typed prices and incentives act.

The formulas themselves are checked against nist-hb135 and the other published cases in test_money_*.py.
"""

from __future__ import annotations

import pytest
from conftest import DEMOS, ROOT
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.advice import advise
from advisor.case.read import parse_case, read_case

pytestmark = pytest.mark.xdist_group("demos")  # share the demos' advice on one worker

TEXT = (ROOT / "demo" / "stored_insulation.toml").read_text()


def option(advice, name):
    return next(o for o in advice.options if o.id == name)


@pytest.mark.parametrize("name", DEMOS)
def test_parts_add_up_and_ranges_are_in_order(advice_of, name):
    for o in advice_of(name).options:
        life = o.lifetime
        total = life.first_usd + life.replacement_usd - life.residual_usd + life.energy_usd + life.upkeep_usd
        assert total == pytest.approx(life.total_usd.typical, abs=1e-6)
        assert life.total_usd.low <= life.total_usd.typical <= life.total_usd.high
        assert o.yearly_cost_usd.low <= o.yearly_cost_usd.typical <= o.yearly_cost_usd.high
        assert life.cash_flow[-1].cumulative_usd == pytest.approx(total, rel=1e-6, abs=0.5)
        for line in o.bill:
            assert line.low_usd <= line.typical_usd <= line.high_usd
            assert line.status
            assert line.source


@pytest.mark.parametrize("name", DEMOS)
def test_one_study_period_for_all_and_the_money_caution(advice_of, name):
    from advisor.report.text.costs import costs_text

    advice = advice_of(name)
    assert len({o.lifetime.study_years for o in advice.options}) == 1
    text = costs_text(advice, 5, 100)
    # said only where a failure is on record: where nothing is wrong or nothing is proven there is nothing to compare; nor where
    # leaving the heater would not be cheaper
    leaving = option(advice, "leave_as_found").lifetime.total_usd.typical
    cheapest = min(o.lifetime.total_usd.typical for o in advice.options if o.rank is not None)
    assert ("On money alone" in text) == (advice.verdict.stands == "failed" and cheapest - leaving >= 5.0)
    assert "Incentives vary" in text


def test_an_old_heater_costs_more_to_keep_than_a_young_one():
    old = advise(parse_case(TEXT.replace("age_years = 6", "age_years = 14")), samples=64)
    young = advise(parse_case(TEXT.replace("age_years = 6", "age_years = 1")), samples=64)
    kept_old, kept_young = (option(a, "clear_intake").lifetime for a in (old, young))
    assert kept_old.remaining_years < kept_young.remaining_years
    assert kept_old.total_usd.typical > kept_young.total_usd.typical
    new_old, new_young = (option(a, "power_direct_vent").lifetime for a in (old, young))
    assert new_old.total_usd.typical == pytest.approx(new_young.total_usd.typical)


def test_incentives_are_zero_unless_typed_and_then_come_off():
    typed = (
        TEXT + '\n[money]\nincentive_usd = { heat_pump_240v = 1000 }\nincentive_source = "utility letter, 2026-10"\n'
    )
    without, with_it = advise(parse_case(TEXT), samples=64), advise(parse_case(typed), samples=64)
    assert option(without, "heat_pump_240v").incentive_usd == 0
    gain = (
        option(without, "heat_pump_240v").installed_cost_usd.typical
        - option(with_it, "heat_pump_240v").installed_cost_usd.typical
    )
    assert gain == pytest.approx(1000)
    assert option(without, "clear_intake").installed_cost_usd == option(with_it, "clear_intake").installed_cost_usd


def test_everything_unknown_is_priced_with_assumed_lines():
    advice = advise(parse_case("[heater]\ninput_btu_h = 40000\n[[run]]\nseen = 'spilling'\n"), samples=64)
    for o in advice.options:
        if o.id not in ("leave_as_found",):
            assert o.installed_cost_usd.high > o.installed_cost_usd.low
    assert any(line.assumed for line in option(advice, "power_vent").bill)
    assert option(advice, "heat_pump_240v").lifetime.energy.notes


def test_margin_tax_and_region_act_on_the_bill():
    plain = advise(parse_case(TEXT), samples=64)
    dear = advise(parse_case(TEXT + "\n[money]\nmargin_pct = 20\nregion_factor = 1.5\n"), samples=64)
    a, b = (option(x, "line_chimney").installed_cost_usd.typical for x in (plain, dear))
    assert b == pytest.approx(a * 1.5 * 1.2, rel=0.06)


@settings(max_examples=8, deadline=None)
@given(st.floats(0.5, 3.0), st.floats(0.0, 2.0))
def test_dearer_gas_never_lowers_a_life_cycle_cost(price, more):
    from advisor.ranking.household import Household
    from advisor.ranking.lifetime import lifetime_of
    from advisor.ranking.worked import bill_of
    from advisor.remedies import all_remedies
    from advisor.remedies.base import Job

    totals = []
    for gas in (price, price + more):
        case = parse_case(TEXT + f"\n[money]\ngas_usd_therm = {gas}\n")
        job, home = Job(case), Household.of(case)
        totals.append(
            [
                lifetime_of(job, r, bill_of(job, r.size(job)), home).total_usd.typical
                for r in all_remedies()
                if r.id not in ("smaller_hood", "recirculating_hood", "ventless_dryer")  # these save heated air
            ]
        )
    assert all(b >= a - 1e-6 for a, b in zip(*totals, strict=True))


def test_prices_command_writes_a_file_that_loads(tmp_path, command):
    import subprocess

    target = tmp_path / "my.csv"
    out = subprocess.run([command, "prices", str(target)], capture_output=True, text=True, check=False)
    assert out.returncode == 0, out.stderr
    from advisor.money.prices import load_price_file

    assert load_price_file(target) == {}
    again = subprocess.run([command, "prices", str(target)], capture_output=True, text=True, check=False)
    assert again.returncode == 2
    assert read_case(ROOT / "demo" / "sound_house.toml").title
