"""The catalog files of `money`: statuses, sources, ranges, and no parameter that nothing reads."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import advisor.money
from advisor.catalog import PARAMETER_COLUMNS, STATUSES, parameter, sources, table

PARAMETERS = ("money_settings", "money_energy", "money_fit")
TABLES = (
    "money_class_fit",
    "appliance_classes",
    "remediation_measures",
    "energy_prices_state",
    "energy_prices_division",
    "degree_days_division",
    "unit_cost_sets",
    "conversions_emissions",
    "label_cost_ranges",
    "lcc_factors",
    "minimum_uef",
    "hot_water_by_bedrooms",
    "hot_water_by_occupants",
    "peak_hour_worksheet",
    "draw_patterns",
    "heat_pump_temperature",
    "gas_pipe_capacity",
    "vent_equivalent_lengths",
    "eligibility_constraints",
)


@pytest.mark.parametrize("name", [*PARAMETERS, *TABLES])
def test_status_and_source(name: str) -> None:
    assert table(name)
    for row in table(name):
        assert row["status"] in STATUSES
        if row["status"] != "own choice":
            assert set(row["source"].split(";")) <= set(sources())
        assert None not in row  # a comma too many in a note


@pytest.mark.parametrize("name", PARAMETERS)
def test_parameters_are_ranges(name: str) -> None:
    assert tuple(table(name)[0]) == PARAMETER_COLUMNS
    keys = [row["key"] for row in table(name)]
    assert len(set(keys)) == len(keys)
    for key in keys:
        item = parameter(name, key)
        assert item.low <= item.typical <= item.high


def test_every_parameter_is_read_somewhere() -> None:
    code = "".join(path.read_text(encoding="utf-8") for path in Path(advisor.money.__path__[0]).glob("*.py"))
    templates = [
        re.compile(re.sub(r"\\\{[^}]*\\\}", r"\\w+", re.escape(text)).replace("\\{", "{"))
        for text in re.findall(r'f"(\w*\{\w+\}\w*)"', code)
    ]
    for name in PARAMETERS:
        for row in table(name):
            key = row["key"]
            assert f'"{key}"' in code or any(pattern.fullmatch(key) for pattern in templates), f"{name}: {key}"


def test_classes_agree_with_their_typical_units() -> None:
    ids = [row["class_id"] for row in table("appliance_classes")]
    assert [row["class_id"] for row in table("money_class_fit")] == ids
    products = {row["product"] for row in table("minimum_uef")}
    for row in table("money_class_fit"):
        assert row["standard_product"] in products
    for row in table("appliance_classes"):
        assert float(row["uef_low"]) <= float(row["uef_typ"]) <= float(row["uef_high"])
        assert float(row["life_low_yr"]) <= float(row["life_typ_yr"]) <= float(row["life_high_yr"])
        low, high = float(row["upkeep_low_usd_yr"]), float(row["upkeep_high_usd_yr"])
        assert low <= float(row["upkeep_typ_usd_yr"]) <= high
