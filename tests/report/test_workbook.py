"""The workbook: its formulas recalculate to the printed totals, its numbers are those of the JSON, texts stay texts."""

from __future__ import annotations

import datetime
import warnings
import zipfile
from dataclasses import replace
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from conftest import ROOT, few_situations

from advisor.advice import Advice, advise
from advisor.case.model import Case
from advisor.case.read import read_case
from advisor.report.data.as_json import as_dict
from advisor.report.data.workbook import BILL, CHECKS, FLOW, MATRIX, RECORD, SOURCES, VERDICT, write_workbook
from advisor.report.view.figures import rounded_money
from advisor.wording.speak import speaking

pytestmark = pytest.mark.xdist_group("pages")  # share the demos' advice on one worker


@pytest.fixture(scope="module")
def advice_of():  # type: ignore[no-untyped-def]
    """Advice from few situations: what a page shows does not depend on how many there are."""
    return few_situations


SHEETS = [VERDICT, MATRIX, BILL, FLOW, CHECKS, RECORD, SOURCES]


def values(path: Path, formulas: bool = False) -> Any:
    return openpyxl.load_workbook(path, data_only=not formulas)


def recalculated(path: Path) -> dict[tuple[str, str], Any]:
    """Return every cell as a formula library works it out, by sheet and cell in capitals."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # the library's own
        import formulas

        solution = formulas.ExcelModel().loads(str(path)).finish().calculate()
    found = {}
    for key, ranges in solution.items():
        text = str(key)
        if "!" in text and ":" not in text.split("!")[1]:
            sheet, cell = text.strip("'").split("]")[1].split("'!")
            found[sheet, cell] = ranges.value[0, 0]
    return found


@pytest.fixture(scope="module")
def short_advice() -> Advice:
    """Return an advice with margin, tax, a price level and an incentive, cut to a few options: recalculation is slow."""
    case = read_case(ROOT / "demo" / "stored_insulation.toml").model_dump()
    case["money"] |= {"margin_pct": 20.0, "tax_pct": 6.0, "region_factor": 1.1}
    case["money"] |= {"incentive_usd": {"two_outdoor_openings": 75.0}, "incentive_source": "=typed, 2026"}
    whole = advise(Case.model_validate(case), "contractor", 256, 1)
    kept = [o for o in whole.options if o.id in ("clear_intake", "two_outdoor_openings", "power_direct_vent")]
    return replace(whole, options=(*kept, *(o for o in whole.options if o.id == "leave_as_found")))


def rows_of(sheet: Any) -> list[tuple[Any, ...]]:
    return list(sheet.iter_rows(values_only=True))


def test_sheets_and_no_macros(advice_of, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    path = tmp_path / "w.xlsx"
    write_workbook(advice_of("new_range_hood"), path)
    assert values(path).sheetnames == SHEETS
    names = zipfile.ZipFile(path).namelist()
    assert not [n for n in names if "vba" in n.lower() or "macro" in n.lower() or "externalLink" in n]


def test_matrix_is_that_of_the_json(advice_of, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    advice = advice_of("stored_insulation")
    path = tmp_path / "w.xlsx"
    write_workbook(advice, path)
    rows = rows_of(values(path)[MATRIX])[3 : 3 + len(advice.options)]
    for row, option in zip(rows, as_dict(advice)["options"], strict=True):
        assert row[0] == option["rank"]
        if not option["eligible"]:
            continue
        cost = option["installed_cost_usd"]
        assert [rounded_money(v) for v in row[5:8]] == [cost["low"], cost["typical"], cost["high"]]
        assert rounded_money(row[8]) == option["yearly_cost_usd"]["typical"]
        assert round(row[3], 2) == option["spillage"]["worst_case"]


def test_formulas_recalculate_to_the_printed_totals(short_advice: Advice, tmp_path: Path) -> None:
    path = tmp_path / "w.xlsx"
    write_workbook(short_advice, path)
    cells = recalculated(path)
    matrix = rows_of(values(path, formulas=True)[MATRIX])
    for number, option in enumerate(short_advice.options, 4):
        cost = option.installed_cost_usd
        if str(matrix[number - 1][5]).startswith("="):
            for column, usd in zip("FGH", (cost.low, cost.typical, cost.high), strict=True):
                assert cells[MATRIX.upper(), f"{column}{number}"] == pytest.approx(usd, abs=0.005)
    flow = rows_of(values(path)[FLOW])
    ends = [i for i, row in enumerate(flow, 1) if row[0] == short_advice.options[0].lifetime.study_years]
    ranked = [o for o in short_advice.options if o.rank is not None]
    assert len(ends) == len(ranked)
    for row_number, option in zip(ends, ranked, strict=True):
        total = cells[FLOW.upper(), f"J{row_number}"]
        assert total == pytest.approx(option.lifetime.total_usd.typical, abs=0.01)
    # every number that is kept beside a formula, for readers that do not recalculate, is the formula's own
    kept, written = values(path), values(path, formulas=True)
    checked = 0
    for name in (MATRIX, BILL, FLOW):
        for row in written[name].iter_rows():
            for cell in row:
                if isinstance(cell.value, str) and cell.value.startswith("=") and cell.data_type == "f":
                    checked += 1
                    assert cells[name.upper(), cell.coordinate] == pytest.approx(
                        kept[name][cell.coordinate].value, abs=0.005
                    )
    assert checked > 50


def test_a_changed_price_moves_the_total(short_advice: Advice, tmp_path: Path) -> None:
    path, changed = tmp_path / "w.xlsx", tmp_path / "changed.xlsx"
    write_workbook(short_advice, path)
    book = openpyxl.load_workbook(path)
    sheet = book[BILL]
    line = next(r for r in range(8, 20) if sheet.cell(r, 2).value and sheet.cell(r, 8).value == "catalog")
    before = sheet.cell(line, 6).value
    sheet.cell(line, 6).value = before + 100.0
    book.save(changed)
    was, now = recalculated(path), recalculated(changed)
    # 100 dollars, at the local price level, with margin and tax
    moved = 100.0 * sheet.cell(line, 3).value * 1.1 * 1.2 * 1.06
    assert now[MATRIX.upper(), "G4"] - was[MATRIX.upper(), "G4"] == pytest.approx(moved)
    assert now[FLOW.upper(), "J7"] - was[FLOW.upper(), "J7"] == pytest.approx(moved)


def test_what_a_user_types_is_no_formula(tmp_path: Path) -> None:
    base = read_case(ROOT / "demo" / "stored_insulation.toml").model_dump()
    base["title"] = "=HYPERLINK(1)"
    for i, (device, sign) in enumerate(zip(base["exhaust"], "=+-@", strict=False)):
        device["name"] = f"{sign}{i}+cmd"
    for run, sign in zip(base["run"], "@=", strict=False):
        run["label"] = f"{sign}SUM(A1:A9)"
        run["devices_on"] = [d["name"] for d in base["exhaust"]]
    base["money"] |= {"incentive_usd": {"clear_intake": 1.0}, "incentive_source": "=1+1"}
    path = tmp_path / "w.xlsx"
    write_workbook(advise(Case.model_validate(base), "contractor", 128, 1), path)
    book = openpyxl.load_workbook(path)
    texts = []
    for sheet in book:
        for row in sheet.iter_rows():
            for cell in row:
                if cell.data_type == "f":
                    assert sheet.title in (MATRIX, BILL, FLOW)
                    assert "cmd" not in cell.value
                    assert "HYPERLINK" not in cell.value
                elif isinstance(cell.value, str):
                    texts.append(cell.value)
    assert "=HYPERLINK(1)" in texts
    assert "@SUM(A1:A9)" in texts
    assert any("=0+cmd" in t for t in texts)
    assert not [n for n in zipfile.ZipFile(path).namelist() if "hyperlink" in n.lower()]


def test_si_turns_the_record_and_the_checks(advice_of, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    path = tmp_path / "w.xlsx"
    with speaking("si"):
        write_workbook(advice_of("stored_insulation"), path)
    record = {row[0]: row for row in rows_of(values(path)[RECORD])}
    assert record["outdoor temperature"][1:3] == (pytest.approx((45 - 32) / 1.8), "C")
    assert record["wind"][1:3] == (pytest.approx(3 * 0.44704), "m/s")
    findings = " ".join(row[4] for row in rows_of(values(path)[CHECKS]))
    assert " mm" in findings
    assert " ft" not in findings


def test_same_advice_same_file(advice_of, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    for name in ("a", "b"):
        write_workbook(advice_of("sound_house"), tmp_path / f"{name}.xlsx", today=datetime.date(2026, 3, 2))
    assert (tmp_path / "a.xlsx").read_bytes() == (tmp_path / "b.xlsx").read_bytes()


def test_workbook_that_cannot_be_written(advice_of, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    from advisor.errors import InputError

    with pytest.raises(InputError, match="cannot be written"):
        write_workbook(advice_of("sound_house"), tmp_path / "none" / "w.xlsx")


def test_every_source_named_is_spelled_out(advice_of, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    path = tmp_path / "w.xlsx"
    write_workbook(advice_of("stored_insulation"), path)
    book = values(path)
    listed = {row[0] for row in rows_of(book[SOURCES])}
    used = {s for row in rows_of(book[BILL])[7:] if row[14] for s in row[14].split(";")}
    used |= {s for row in rows_of(book[CHECKS])[1:] if row[6] for s in row[6].split(";")}
    assert used
    assert {s.strip() for s in used} <= listed
