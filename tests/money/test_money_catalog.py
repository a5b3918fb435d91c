"""The catalog files of `money`: statuses, sources, ranges, and no parameter that nothing reads."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from conftest import ROOT, said

import advisor.facts
import advisor.money
from advisor.catalog import PARAMETER_COLUMNS, STATUSES, parameter, rows_of, sources, table
from advisor.findings import quantity
from advisor.money import tables
from advisor.money.tables import class_words, classes, measure_words, measures
from advisor.wording.messages import has

PARAMETERS = ("money_settings", "money_energy", "money_fit")
MODULES = sorted(Path(advisor.money.__path__[0]).glob("*.py"))
FACTS = sorted(Path(advisor.facts.__path__[0]).glob("*.py"))
"""Hot water of a household is a fact of the house: its numbers stand in the files of money."""
ORACLES = [ROOT / "tests" / "oracles" / name for name in ("money.py", "hot_water.py")]
"""Formulae of the tests, with published numbers of their own."""
RECORDS = {
    "remediation_measures": tables.Measure,
    "measure_sizes": tables.MeasureSize,
    "appliance_classes": tables.HeaterClass,
    "money_class_fit": tables.ClassUnit,
    "size_classes": tables.SizeClass,
    "tank_shapes": tables.TankShape,
    "conversions_emissions": tables.Conversion,
    "draw_patterns": tables.DrawPattern,
    "peak_hour_worksheet": tables.PeakUse,
    "energy_prices_state": tables.StatePrices,
    "energy_prices_division": tables.DivisionPrices,
    "degree_days_division": tables.DivisionDays,
    "remedy_running": tables.Running,
    "eligibility_constraints": tables.Constraint,
    "minimum_uef": tables.MinimumUef,
    "vent_equivalent_lengths": tables.VentLength,
    "gas_pipe_capacity": tables.GasPipe,
}
TEXTS = ROOT / "catalog" / "texts" / "en"
CONSTRAINTS = "eligibility_constraints"
TABLES = (
    "measure_sizes",
    "money_class_fit",
    "size_classes",
    "tank_shapes",
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
    code = "".join(path.read_text(encoding="utf-8") for path in (*MODULES, *FACTS, *ORACLES))
    code = re.sub(r'require\(\s*"\w+"', "", code)  # the name of a number is not the key of a parameter
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
    for row in classes().values():
        assert row.life_low_yr <= row.life_typ_yr <= row.life_high_yr
        assert row.upkeep_low_usd_yr <= row.upkeep_typ_usd_yr <= row.upkeep_high_usd_yr


@pytest.mark.parametrize(("name", "model"), RECORDS.items())
def test_every_row_is_a_record(name: str, model: type) -> None:
    assert len(rows_of(model, name)) == len(table(name)) > 0


def test_no_cell_is_read_as_text_that_has_a_record() -> None:
    """`table` and `Row` are not used in the room: a table is read through its record."""
    for path in MODULES:
        names = {node.id for node in ast.walk(_parsed(path)) if isinstance(node, ast.Name)}
        assert not names & {"table", "Row"}, path.name


# ---- words


def _parsed(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


def _texts(node: ast.AST) -> Iterator[str]:
    """Return the text of every string below a node, but for docstrings and what is raised; places count as no word."""
    if isinstance(node, ast.Raise) or (isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)):
        return
    if isinstance(node, ast.JoinedStr):
        yield "".join(str(part.value) if isinstance(part, ast.Constant) else "" for part in node.values)
        for part in node.values:
            if isinstance(part, ast.FormattedValue):
                yield from _texts(part.value)
        return
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        yield node.value
    for child in ast.iter_child_nodes(node):
        yield from _texts(child)


def test_money_holds_no_sentence() -> None:
    found = [f"{path.name}: {text}" for path in MODULES for text in _texts(_parsed(path)) if len(text.split()) >= 3]
    assert not found
    # the count finds one, in an f-string too, and leaves docstrings and raised text alone
    code = 'def f(x):\n  "Return a whole sentence."\n  raise ValueError("not a good one")\n  return f"about {x} lb when full"'
    assert list(_texts(ast.parse(code))) == ["about  lb when full"]


def test_every_measure_class_and_unit_has_its_message() -> None:
    for measure_id in measures():
        assert said(measure_words(measure_id)), measure_id
        for what in ("can_fix", "cannot_fix"):
            if has(f"money.{what}.{measure_id}"):
                assert said(measure_words(measure_id, what)), measure_id
    assert {row.measure_id for row in rows_of(tables.MeasureSize, "measure_sizes")} <= set(measures())
    for class_id in classes():
        assert said(class_words(class_id)), class_id
    for unit in {part.unit for part in measures().values()}:
        assert said(quantity(2.0, unit)) == f"2 {unit}"


def test_every_pattern_and_coming_limit_has_its_message() -> None:
    assert all(has(f"money.draw_pattern.{row.bin}") for row in rows_of(tables.DrawPattern, "draw_patterns"))
    limits = [row for row in rows_of(tables.Constraint, "eligibility_constraints") if row.constraint == "future_limit"]
    assert limits
    assert all(has(f"fit.constraint.{row.id}") for row in limits)
    assert all(has(f"fit.efficiency.{way}") for way in ("met", "choose_better", "not_for_sale"))


def test_messages_of_measures_and_classes_name_no_other_id() -> None:
    """A message whose id is in no table would never be said."""
    for path, known in (
        ("money.po", {*measures(), *classes()}),
        ("fit.po", {row["id"] for row in table(CONSTRAINTS) if row["constraint"] in ("future_limit", "safety")}),
    ):
        text = (TEXTS / path).read_text(encoding="utf-8")
        ids = re.findall(
            r'^msgid "(?:money\.(?:measure|class|can_fix|cannot_fix)|fit\.constraint)\.(\w+)"$', text, re.M
        )
        assert ids
        assert set(ids) <= known
