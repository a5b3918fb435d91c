"""Rules and payments with a day: beside the options that they touch and no others, told as past or to come; they rank nothing.

Sources by row of ``regulatory_timeline``; the days are those of the notices and news named there.
"""

from __future__ import annotations

import dataclasses
import datetime
import functools
import json
import re

import pytest
from conftest import ROOT, said

from advisor import catalog
from advisor.advice import Advice, advise
from advisor.case.model import Case
from advisor.case.read import parse_case
from advisor.codes.adoption import code_in_force
from advisor.codes.timeline import DatedRow, dated_rules
from advisor.ranking.dated import Dated, dated_of
from advisor.ranking.options import Option
from advisor.report.data.advice_model import schema
from advisor.report.data.as_json import as_dict, as_json
from advisor.report.page.build import render_page
from advisor.report.text.check import check_text
from advisor.report.text.explain import explain_text
from advisor.report.text.matrix import as_markdown, as_text
from advisor.report.view.in_force import dated_of_option, dated_of_options
from advisor.wording.messages import has

TODAY = datetime.date(2026, 11, 25)
GAS_TANKS = {
    "like_for_like",
    "fan_assisted",
    "power_vent",
    "power_direct_vent",
    "gravity_direct_vent",
    "condensing_storage",
}
US = {"gas_storage_damper", "gas_storage", "electric_storage", "tankless", "credit_25c"}


def house(lines: str = "", name: str = "hood_and_dryer") -> Case:
    text = (ROOT / "demo" / f"{name}.toml").read_text(encoding="utf-8")
    text = re.sub(r'^state = "[A-Z]{2}"\n', lines, text, count=1, flags=re.M)
    return parse_case(text)


@functools.cache
def advice(lines: str = 'state = "GA"\n', today: datetime.date = TODAY) -> Advice:
    return advise(house(lines), samples=64, today=today)


def dates(lines: str, name: str = "hood_and_dryer", options: tuple[Option, ...] = ()) -> tuple[Dated, ...]:
    """Return the dates of a house, beside the options of the one that is worked out."""
    return dated_of(house(lines, name), options or advice().options, TODAY)


def touching(found: tuple[Dated, ...]) -> dict[str, set[str]]:
    return {rule.id: set(rule.option_ids) for rule in found}


# ---- which rules hold where


def test_rules_of_the_country_hold_everywhere_and_those_of_a_district_there_alone() -> None:
    def ids(*where: str | None, shared: bool = False) -> set[str]:
        return {rule.row.id for rule in dated_rules(*where, TODAY, shared_vent=shared)}

    assert ids(None, None) == ids("VA", None) == ids("CA", "other") == US
    assert ids("VA", None, shared=True) == US | {"furnaces"}
    assert ids("CA", "bay area") == ids(None, "bay area") == US | {"bay_area_small_tanks"}
    assert ids("CA", "bay area", shared=True) == US | {"furnaces", "bay_area_small_tanks", "bay_area_furnaces"}
    assert ids("CA", "south coast") == US | {"south_coast_targets"}
    assert ids("CA", None) == US | {"bay_area_small_tanks", "south_coast_targets"}


def test_a_district_that_nobody_wrote_down_is_a_condition() -> None:
    rules = {rule.row.id: rule for rule in dated_rules("CA", None, TODAY)}
    rule = rules["bay_area_small_tanks"]
    assert rule.if_there
    assert said(rule.words).startswith(
        "If the house lies in the Bay Area air district (house.air_district is not written): "
    )
    there = {rule.row.id: rule for rule in dated_rules("CA", "bay area", TODAY)}["bay_area_small_tanks"]
    assert not there.if_there
    assert said(there.words).startswith(
        "In the Bay Area small gas tank heaters (up to 75,000 Btu/h: from memory) made from"
    )
    assert said(there.words).endswith("a softening is under discussion since 2025-10-24: ask the district (seen).")


# ---- before and after


@pytest.mark.parametrize(
    ("rule", "day", "shared"),
    [
        ("gas_storage_damper", "2029-05-06", False),  # wh-maker-notice-2024
        ("gas_storage", "2029-05-06", False),
        ("electric_storage", "2029-05-06", False),
        ("tankless", "2025-05-09", False),  # repealed
        ("furnaces", "2028-12-18", True),  # cfr10-430-32-2024
        ("credit_25c", "2025-12-31", False),  # irs-fs-2025-05
        ("bay_area_small_tanks", "2027-01-01", False),  # baaqmd-9-6
        ("bay_area_furnaces", "2029-01-01", True),
        ("south_coast_targets", "2025-06-06", False),  # scaqmd-2025
    ],
)
def test_the_day_itself_is_the_first_of_what_is_past(rule: str, day: str, shared: bool) -> None:
    first = datetime.date.fromisoformat(day)
    before, after = (
        {one.row.id: one for one in dated_rules("CA", None, when, shared_vent=shared)}[rule]
        for when in (first - datetime.timedelta(days=1), first)
    )
    assert (before.when, after.when) == ("to come", "past")
    assert before.row.date == day
    assert said(before.words) != said(after.words)
    assert day in said(before.words)
    assert day in said(after.words)
    # what lay ahead when the facts were put together may have changed since
    if day > "2026-11-25":
        assert "was to" in said(after.words) or "were to" in said(after.words)


def test_without_a_day_the_day_of_the_facts_decides() -> None:
    assert [rule.when for rule in dated_rules("CA", None, shared_vent=True)] == [
        rule.when for rule in dated_rules("CA", None, TODAY, shared_vent=True)
    ]


def test_every_row_has_its_words_and_its_options() -> None:
    remedies = {row["id"] for row in catalog.table("remedies")}
    for row in catalog.rows_of(DatedRow, "regulatory_timeline"):
        assert set(row.remedy_ids) <= remedies, row.id
        assert bool(row.remedy_ids) != row.hood_on_shared_vent, row.id
        forms = {"to_come", "past"} | ({"was_to_come"} if row.date > row.as_of else set())
        assert all(has(f"dated.{row.id}_{form}") for form in forms), row.id
        assert not row.district or row.state


# ---- beside the right options


def test_each_rule_stands_beside_its_options_and_no_others() -> None:
    found = touching(dates('state = "VA"\n'))
    assert found["gas_storage_damper"] == {"like_for_like"}
    assert found["gas_storage"] == GAS_TANKS - {"like_for_like", "condensing_storage"}
    assert found["electric_storage"] == {"electric_resistance"}
    assert found["tankless"] == {"condensing_tankless"}
    assert found["credit_25c"] == {"heat_pump_240v", "heat_pump_120v"}
    assert set(found) == US


def test_the_furnace_rules_stand_beside_every_hood_on_a_shared_vent() -> None:
    lines = 'state = "CA"\nair_district = "bay area"\n'
    shared = dates(lines, "shared_furnace_firing")
    hoods = {option.id for option in advice().options if option.appliance == "natural draft"}
    assert {"leave_as_found", "like_for_like", "clear_vent"} <= hoods
    found = touching(shared)
    assert found["furnaces"] == found["bay_area_furnaces"] == hoods
    assert found["bay_area_small_tanks"] == GAS_TANKS
    words = said(next(rule.words for rule in shared if rule.id == "furnaces"))
    assert "95 % AFUE" in words
    assert "vacated the judgement that had upheld it on 2026-06-08, so it is open" in words
    assert "ask which furnace is planned" in words
    assert "furnaces" not in touching(dates(lines))  # the heater has the vent for itself
    boiler = house(lines, "shared_furnace_firing")
    assert boiler.appliance is not None
    others = [one.model_copy(update={"kind": "boiler"}) for one in boiler.appliance]
    assert "furnaces" not in touching(
        dated_of(boiler.model_copy(update={"appliance": others}), advice().options, TODAY)
    )


def test_the_south_coast_keeps_gas_for_sale() -> None:
    coast = dates('state = "CA"\nair_district = "south coast"\n')
    assert touching(coast)["south_coast_targets"] == GAS_TANKS | {"condensing_tankless"}
    assert "bay_area_small_tanks" not in touching(coast)


def test_several_remedies_together_are_touched_by_what_touches_one() -> None:
    both = dataclasses.replace(
        next(o for o in advice().options if o.id == "clear_vent"),
        id="clear_vent+heat_pump_120v",
        members=("clear_vent", "heat_pump_120v"),
    )
    assert touching(dates('state = "VA"\n', options=(both,))) == {"credit_25c": {both.id}}


def test_dates_rank_nothing_and_bar_nothing() -> None:
    """The same house before any of the days to come, and after all of them where gas tanks may not be sold."""
    early, late = advice(), advice('state = "GA"\nair_district = "bay area"\n', datetime.date(2030, 6, 1))
    assert "bay_area_small_tanks" in touching(late.dated)
    assert {rule.when for rule in late.dated} == {"past"}

    def standing(found: Advice) -> list[tuple[object, ...]]:
        return [(o.id, o.rank, o.eligible, o.safety, o.value, o.reasons, o.fit) for o in found.options]

    assert standing(early) == standing(late)


# ---- an incentive that was typed


def test_an_incentive_typed_for_a_new_heater_is_not_the_ended_credit() -> None:
    typed = {"power_vent": 600.0, "clear_vent": 50.0}
    options = tuple(dataclasses.replace(o, incentive_usd=typed.get(o.id, 0.0)) for o in advice().options)
    case = house('state = "VA"\n')
    paid = dataclasses.replace(advice(), options=options, dated=dated_of(case, options, TODAY))
    rule = next(rule for rule in paid.dated if rule.id == "credit_25c")
    assert rule.incentive_ids == ("power_vent",)
    assert set(rule.option_ids) == {"heat_pump_240v", "heat_pump_120v", "power_vent"}
    remark = "The incentive of $600 typed for this option cannot be that credit"
    assert any(remark in words for words in said(dated_of_option(paid, of(paid, "power_vent"))))
    assert not any("typed" in words for words in said(dated_of_option(paid, of(paid, "heat_pump_240v"))))
    assert any("typed for" in words for words in said(dated_of_options(paid, list(options))))
    assert next(r for r in advice().dated if r.id == "credit_25c").incentive_ids == ()
    early = dated_of(case, options, datetime.date(2025, 6, 1))
    assert next(r for r in early if r.id == "credit_25c").incentive_ids == ()


# ---- in every output


def flat(text: str) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", text).split())


def of(found: Advice, option_id: str) -> Option:
    return next(option for option in found.options if option.id == option_id)


def test_text_markdown_and_explain_print_dates_and_edition_once() -> None:
    found = advice()
    words = "A US rule for tankless gas heaters that only condensing ones could meet was repealed on 2025-05-09"
    for printed in (flat(as_text(found)), flat(as_markdown(found))):
        assert printed.count("GA has adopted IFGC 2024") == 1
        assert printed.count("every rule below may have changed in it") == 1
        assert printed.count("The federal tax credit 25C has ended") == 1
    assert words in flat(explain_text(found, "condensing_tankless"))
    assert words not in flat(explain_text(found, "heat_pump_240v"))
    assert "DATES THAT TOUCH IT" not in explain_text(found, "clear_vent")
    assert flat(explain_text(found, "clear_vent")).count("GA has adopted IFGC 2024") == 1


def test_check_prints_the_edition_once_and_asks_for_the_state() -> None:
    from advisor.case_check import check_case

    georgia = flat(check_text(check_case(house('state = "GA"\n'), 64, 1, TODAY)))
    assert georgia.count("GA has adopted IFGC 2024") == 1
    nowhere = flat(check_text(check_case(house(), 64, 1, TODAY)))
    assert "Which fuel-gas code and edition is in force here: not known: write house.state." in nowhere
    assert "has adopted" not in nowhere


@pytest.mark.parametrize("viewpoint", ["contractor", "inspector"])
def test_the_pages_of_contractor_and_inspector_print_both(viewpoint) -> None:  # type: ignore[no-untyped-def]
    found = advice()
    page = flat(render_page(found, viewpoint))
    assert page.count("GA has adopted IFGC 2024") == 1
    ranked = [o for o in found.options if o.rank is not None]
    if viewpoint == "inspector":
        assert all(words in page for words in said(dated_of_options(found, ranked)))
    else:
        shown = [o for o in ranked if o.bill][:3]
        wanted = [words for o in shown for words in said(dated_of_option(found, o))]
        assert all(words in page for words in wanted)


def test_the_json_declares_both() -> None:
    found = advice()
    data = as_dict(found)
    import jsonschema

    jsonschema.validate(json.loads(as_json(found)), schema())
    code = data["code_in_force"]
    assert (code["known"], code["code"], code["year"], code["text_read"]) == ("adopted", "ifgc", 2024, "none")
    assert (code["newer_than_read"], code["read_from_year"], code["read_to_year"]) == (True, 2012, 2018)
    assert code["report_date"] == "2026-06-25"
    rules = {rule["id"]: rule for rule in data["dated"]}
    assert rules["electric_storage"]["option_ids"] == ["electric_resistance"]
    assert (rules["electric_storage"]["when"], rules["credit_25c"]["when"]) == ("to come", "past")
    assert rules["electric_storage"]["words"]["id"] == "dated.line"
    options = {option["id"]: option for option in data["options"]}
    assert options["electric_resistance"]["dated"] == ["electric_storage"]
    assert options["clear_vent"]["dated"] == []
    nowhere = dataclasses.replace(found, code_in_force=code_in_force(None))
    assert as_dict(nowhere)["code_in_force"]["known"] == "no state"
