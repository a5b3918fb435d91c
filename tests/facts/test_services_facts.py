"""Services: what is there already is credited on the bill that every command prints, and charged nowhere else."""

from __future__ import annotations

from typing import Any

import pytest
from conftest import ROOT

from advisor.case.read import read_case
from advisor.facts import services
from advisor.money.bill import Bill
from advisor.money.prices import catalog_prices, price, sized_id
from advisor.ranking.options import Option
from advisor.remedies import all_remedies
from advisor.remedies.base import Job
from advisor.remedies.replacement import choice, site_facts

CIRCUIT_USD = 1250.0
"""natlab-stock-data: 240 V 30 A circuit to the heater, typical (row CIR_240 of remediation_measures)."""
REPLACEMENTS = [r.id for r in all_remedies() if r.family == "replacement"]


def case_with(**answers: Any):  # type: ignore[no-untyped-def]
    case = read_case(ROOT / "demo" / "hood_and_dryer.toml")
    return case.model_copy(update={"services": case.services.model_copy(update=answers)})


def bill(option: str, overrides: Any = None, **answers: Any) -> Bill:
    job = Job(case_with(**answers)) if overrides is None else Job(case_with(**answers), overrides)
    return Bill(next(r for r in all_remedies() if r.id == option).size(job).lines)


@pytest.mark.parametrize("option", ["heat_pump_240v", "electric_resistance"])
def test_a_circuit_that_is_there_is_credited_and_not_charged_again(option: str) -> None:
    """The typical bill falls by one circuit, and by what a panel without room would have needed; the rest stays."""
    with_it, without = bill(option, circuit_240v=True), bill(option, circuit_240v=False)
    assert price("CIR_240").typical_usd == CIRCUIT_USD
    assert without.typical_usd - with_it.typical_usd == pytest.approx(CIRCUIT_USD)
    # its breaker was not read: at worst it does not serve, and then nothing is gained
    assert with_it.low_usd <= without.low_usd
    assert with_it.high_usd <= without.high_usd
    charged = sum(line.typical_usd for line in with_it.lines if line.measure_id == "CIR_240")
    assert charged == 0.0


def test_the_whole_advice_credits_the_circuit() -> None:
    from advisor.advice import advise

    found: dict[bool, dict[str, Option]] = {}
    for there in (True, False):
        advice = advise(case_with(circuit_240v=there), "homeowner", 64, 1)
        found[there] = {option.id: option for option in advice.options}
    for option in ("heat_pump_240v", "electric_resistance"):
        paid = {there: found[there][option].installed_cost_usd.typical for there in (True, False)}
        assert paid[False] - paid[True] == pytest.approx(CIRCUIT_USD, abs=1.0), option


def test_a_price_that_the_user_typed_is_neither_credited_nor_charged_again() -> None:
    """Its author knew the job: the circuit is in it or it is not."""
    own = {"HP_240": catalog_prices()["HP_240"].__class__(**_typed("HP_240", 5000.0))}
    lines = {line.measure_id: line for line in bill("heat_pump_240v", own, circuit_240v=True).lines}
    assert lines["HP_240_50"].typical_usd == 5000.0  # a smaller size than the usual one, at the price that was typed
    assert lines["CIR_240"].high_usd == 0.0


def _typed(measure_id: str, usd: float) -> dict[str, Any]:
    item = catalog_prices()[measure_id]
    fields = {name: getattr(item, name) for name in item.__dataclass_fields__}
    return fields | {"low_usd": usd, "typical_usd": usd, "high_usd": usd, "status": "typed"}


@pytest.mark.parametrize("option", REPLACEMENTS)
def test_a_replacement_is_priced_with_everything_unknown(option: str) -> None:
    case = case_with(**dict.fromkeys(type(case_with().services).model_fields))
    remedy = next(r for r in all_remedies() if r.id == option)
    found = Bill(remedy.size(Job(case)).lines)
    size = choice(case, remedy.class_id).size
    assert found.lines[0].measure_id == (remedy.class_id if size is None else sized_id(remedy.class_id, size))
    assert "PERMIT" in [line.measure_id for line in found.lines]
    assert found.low_usd < found.typical_usd < found.high_usd
    own = {"PERMIT": catalog_prices()["PERMIT"].__class__(**_typed("PERMIT", 95.0))}
    other = Bill(remedy.size(Job(case, own)).lines)
    for line, same in zip(found.lines, other.lines, strict=True):
        assert same.typical_usd == (95.0 if line.measure_id == "PERMIT" else line.typical_usd)


@pytest.mark.parametrize("near", [True, False, None])
@pytest.mark.parametrize("panel", [True, False, None])
def test_a_fan_is_barred_where_nothing_electric_can_be_added(near: bool | None, panel: bool | None) -> None:
    case = case_with(receptacle_120v=near, panel_room=panel)
    none = near is False and panel is False
    assert services.no_power(case) is none
    barred = next(r for r in all_remedies() if r.id == "mechanical_air").eligible(Job(case))
    assert bool(barred) is none


def test_what_the_money_room_is_told_is_what_the_facts_say() -> None:
    case = case_with(circuit_240v=True, outside_wall_distance_ft=14.0, outside_wall_elbows=3, drain=True)
    site = site_facts(case)
    assert (site.vent_straight_ft, site.vent_elbows_90, site.vent_elbows_45) == services.wall_route(case) == (14, 3, 0)
    assert site.circuit_240_v is services.circuit_240_v(case) is True
    assert site.outside_wall_ft == services.wall_ft(case)
    assert site.circuit_240_amp is None  # a yes is no reading of a breaker
