"""One declaration of the output: JSON, schema, csv, workbook and page come from the same models, and nothing is left out."""

from __future__ import annotations

import csv
import dataclasses
import io
import json
from pathlib import Path
from typing import Any

import jsonschema
import openpyxl
import pytest
from conftest import DEMOS, demo_advice

from advisor.advice import Advice, AsFound
from advisor.findings import finding, listed, quantity, share
from advisor.ranking.air_balance import AirBalance
from advisor.ranking.options import Option
from advisor.report.data import advice_model, fields, house_model, option_model, table, workbook
from advisor.report.data.advice_model import declared, schema
from advisor.report.data.as_json import as_dict, as_json
from advisor.report.data.table import OptionRow, as_csv, columns
from advisor.report.data.workbook import MATRIX, write_workbook
from advisor.risk.everyday import Everyday
from advisor.risk.exposure import Exposure
from advisor.wording.speak import speaking

RENAMED = {"allowed_s": "allowed_seconds", "lifetime": "life_cycle", "everyday_hours": "everyday_hours_year"}
INSIDE = {
    "causes": "of the advice",
    "expected": "expected_at_retest of the advice",
    "broken_rules": "the failed checks say it",
    "as_read": "the case of the output",
}


@pytest.mark.parametrize(
    ("record", "model"),
    [
        (Advice, advice_model.Advice),
        (AsFound, house_model.Found),
        (Option, option_model.Option),
        (Exposure, house_model.Exposure),
        (Everyday, house_model.Everyday),
        (AirBalance, house_model.AirBalance),
    ],
    ids=lambda c: c.__name__,
)
def test_no_field_of_a_record_is_left_out(record: type[Any], model: type[fields.Record]) -> None:
    names = {RENAMED.get(f.name, f.name) for f in dataclasses.fields(record)} - set(INSIDE)
    assert names - set(model.model_fields) == set()


@pytest.mark.parametrize("name", DEMOS)
def test_the_output_fits_its_own_schema(name: str) -> None:
    """By a general-purpose implementation of JSON Schema draft 2020-12."""
    published = schema()
    jsonschema.Draft202012Validator.check_schema(published)
    jsonschema.validate(json.loads(as_json(demo_advice(name, samples=256))), published)


def test_a_missing_or_further_key_breaks_the_schema() -> None:
    data = as_dict(demo_advice(DEMOS[0], samples=256))
    for broken in ({**data, "more": 1}, {k: v for k, v in data.items() if k != "verdict"}):
        with pytest.raises(jsonschema.ValidationError):
            jsonschema.validate(broken, schema())


def test_what_is_said_stands_as_data_and_as_text() -> None:
    words = finding("codes.rule_of_run", rule=finding("codes.not_yet"), run="4 in run")

    class One(fields.Record):
        said: fields.Said

    with speaking("si"):
        found = One.model_validate({"said": words}).model_dump()["said"]
        size = One.model_validate({"said": quantity(4.0, "in")}).model_dump()["said"]
    assert found["id"] == "codes.rule_of_run"
    assert found["values"] == {"rule": {"id": "codes.not_yet", "values": {}}, "run": "4 in run"}
    assert found["text"] == "known only with what is missing (run '4 in run')"
    # values keep the unit of the program, the text has the reader's
    assert size == {"id": "units.in", "values": {"number": 4.0}, "text": "102 mm"}
    both = One.model_validate({"said": listed([share(0.5), share(0.001)])}).model_dump()["said"]
    assert both["text"] == "50 %, under 1 %"
    assert both["values"] == {"items": [{"value": 0.5, "unit": "share"}, {"value": 0.001, "unit": "share"}]}


def test_csv_and_workbook_have_the_columns_of_the_one_row(tmp_path: Path) -> None:
    advice = demo_advice("stored_insulation", samples=256)
    rows = list(csv.DictReader(io.StringIO(as_csv(advice))))
    assert list(rows[0]) == [c.name for c in columns()]
    path = tmp_path / "matrix.xlsx"
    write_workbook(advice, path)
    sheet = list(openpyxl.load_workbook(path)[MATRIX].iter_rows(values_only=True))
    assert [h for h in sheet[2] if h] == [c.heading for c in columns() if c.sheet]
    for row, option, line in zip(rows, as_dict(advice)["options"], sheet[3:], strict=False):
        assert row["id"] == option["id"]
        assert float(row["spillage_worst_case"]) == option["spillage"]["worst_case"]
        assert int(float(row["installed_typical_usd"])) == option["installed_cost_usd"]["typical"]
        assert line[1] == row["option"][:1].upper() + row["option"][1:]


def test_a_new_column_is_one_field(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """A field added to the row model is a column of the csv and of the sheet; only its heading is a further message."""

    class Wider(OptionRow):
        lead_days: float = table.column("number", 9)

    plain_text, plain = table.text, OptionRow

    def wide(option: Option) -> Wider:
        monkeypatch.setattr(table, "OptionRow", plain)
        found = Wider(**plain_row(option).model_dump(), lead_days=option.lead_days)
        monkeypatch.setattr(table, "OptionRow", Wider)
        return found

    plain_row = table.row_of
    monkeypatch.setattr(table, "OptionRow", Wider)
    monkeypatch.setattr(
        table,
        "text",
        lambda name, **values: "days to wait" if name == "column.lead_days" else plain_text(name, **values),
    )
    monkeypatch.setattr(table, "row_of", wide)
    monkeypatch.setattr(workbook, "row_of", wide)
    advice = demo_advice("stored_insulation", samples=256)
    assert "lead_days" in as_csv(advice).splitlines()[0]
    path = tmp_path / "matrix.xlsx"
    write_workbook(advice, path)
    sheet = list(openpyxl.load_workbook(path)[MATRIX].iter_rows(values_only=True))
    assert sheet[2].index("days to wait") == len([c for c in columns() if c.sheet]) - 1
    assert [line[-1] for line in sheet[3 : 3 + len(advice.options)]] == [o.lead_days for o in advice.options]


def test_the_air_balance_is_in_it_whole() -> None:
    data = as_dict(demo_advice("stored_insulation", samples=256))
    air = data["air_before"]
    out = sum(f["cfm"] for f in air["flows"]) + air["vent_cfm"]
    assert abs(out) < 1.0 + 0.05 * len(air["flows"])  # mass balance; every flow is rounded to 0.1 cfm
    assert declared(demo_advice("stored_insulation", samples=256)).model_dump(mode="json") == data
