"""Prices, the price file, the bill and its draws."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest
from conftest import said
from hypothesis import given, settings
from hypothesis import strategies as st
from oracles.money import draw_total, pert_quantile

from advisor.errors import InputError
from advisor.money import prices as pricing
from advisor.money.amount import triangular_chance_below, triangular_quantile
from advisor.money.bill import Bill, BillLine, Incentive, after_incentives, bill_line
from advisor.money.prices import catalog_prices, load_price_file, price, write_price_file

HEADER = "measure_id,low_usd,typical_usd,high_usd,note\n"


def _plain(words: str, usd: float) -> BillLine:
    return BillLine(words, words, 1.0, "each", usd, usd, usd, None, None, "seen", "contractor-2012")


def _range(low: float, typical: float, high: float) -> BillLine:
    return BillLine("x", "x", 1.0, "each", low, typical, high, None, None, "seen", "own-calc")


def _file(folder: Path, text: str) -> Path:
    place = folder / "own.csv"
    place.write_text(text, encoding="utf-8")
    return place


def test_published_bills() -> None:
    natural = Bill(tuple(_plain(w, usd) for w, usd in (("unit", 350), ("labour", 300), ("pipe", 0), ("liner", 400))))
    assert natural.typical_usd == 1050.0  # B01, contractor-2012
    power = Bill(
        tuple(_plain(w, usd) for w, usd in (("unit", 900), ("labour", 300), ("pipe", 150), ("outlet", 50))),
        incentives=(Incentive("rebate", "utility", "2012-06-01", amount_usd=50.0),),
    )
    assert power.typical_usd == 1350.0  # B02, contractor-2012
    rebate = Incentive("rebate", "county", "2023-01-01", amount_usd=4000.0)
    credit = Incentive("tax credit", "federal", "2023-01-01", share=0.3)
    assert after_incentives(6500.0, (credit, rebate)) == pytest.approx(1750.0)  # B03, county-guide-2023


def test_every_price_is_a_range() -> None:
    for item in catalog_prices().values():
        assert 0.0 <= item.low_usd <= item.typical_usd <= item.high_usd
        assert item.status
        assert item.source
        assert said(item.words)


def test_price_of_a_part_and_of_a_class() -> None:
    assert price("OUT_120").typical_usd == 240.0  # trade-prices
    assert price("GS_PV").typical_usd == 3100.0  # trade-practice
    with pytest.raises(InputError, match="did you mean 'LINER'"):
        price("LINNER")


def test_a_circuit_that_is_there_already_is_not_paid_twice() -> None:
    whole, less = price("HP_240"), pricing.price_with_parts_present("HP_240", ("CIR_240",))
    assert less.typical_usd == whole.typical_usd - price("CIR_240").typical_usd
    assert less.low_usd == whole.low_usd
    assert less.low_usd <= less.typical_usd <= less.high_usd
    assert pricing.price_with_parts_present("ER_240", ("CIR_240",)) == price("ER_240")


def test_line_of_a_quantity() -> None:
    line = bill_line("BVENT_FT", 20.0)
    assert (line.low_usd, line.typical_usd, line.high_usd) == (500.0, 1100.0, 2200.0)  # trade-practice, 25/55/110 a ft
    assert line.labour_h == pytest.approx(8.0)
    assert bill_line("LINER_FT", 20.0).labour_h is None
    with pytest.raises(InputError, match=r"BVENT_FT\.quantity_ft"):
        bill_line("BVENT_FT", -1.0)


@settings(deadline=None)
@given(st.lists(st.sampled_from(sorted(catalog_prices())), max_size=8), st.floats(0.0, 0.5), st.floats(0.5, 2.0))
def test_bills_are_additive(ids: list[str], margin: float, region: float) -> None:
    lines = tuple(bill_line(one, 1.0 + index) for index, one in enumerate(ids))
    for cut in range(len(lines) + 1):
        left = Bill(lines[:cut], margin, 0.07, region)
        right = Bill(lines[cut:], margin, 0.07, region)
        whole = Bill(lines, margin, 0.07, region)
        for which in ("low_usd", "typical_usd", "high_usd", "labour_h"):
            assert getattr(whole, which) == pytest.approx(getattr(left, which) + getattr(right, which))
    assert whole.low_usd <= whole.typical_usd <= whole.high_usd


def test_region_factor_spares_typed_prices(tmp_path: Path) -> None:
    own = load_price_file(_file(tmp_path, HEADER + "CAP,,200,,\n"))
    bill = Bill((bill_line("CAP", 1.0, own), bill_line("OUT_120")), region_factor=2.0)
    assert bill.typical_usd == pytest.approx(200.0 + 2.0 * 240.0)
    taxed = Bill((bill_line("CAP", 1.0, own),), margin_fraction=0.1, tax_fraction=0.05)
    assert taxed.typical_usd == pytest.approx(200.0 * 1.1 * 1.05)


uniforms = np.linspace(0.0, 1.0, 41)


@pytest.mark.parametrize("shape", ["triangular", "pert"])
def test_draws_stay_in_range_and_move_together(shape: str) -> None:
    bill = Bill((bill_line("LINER"), bill_line("CAP"), bill_line("PERMIT")), region_factor=1.2)
    drawn = draw_total(bill, uniforms, shape)  # type: ignore[arg-type]
    assert drawn[0] == pytest.approx(bill.low_usd)
    assert drawn[-1] == pytest.approx(bill.high_usd)
    assert np.all(np.diff(drawn) >= 0.0)
    # perfectly correlated: the total's quantile is the sum of the lines' quantiles
    parts = sum(draw_total(Bill((line,), region_factor=1.2), uniforms, shape) for line in bill.lines)  # type: ignore[arg-type]
    assert drawn == pytest.approx(np.asarray(parts))


def test_draws_of_an_empty_bill_and_with_a_rebate() -> None:
    assert np.all(draw_total(Bill(), uniforms) == 0.0)
    big = Incentive("rebate", "utility", "2026-01-01", amount_usd=1e6)
    assert np.all(draw_total(Bill((bill_line("CAP"),), incentives=(big,)), uniforms) == 0.0)


def test_distributions_against_scipy() -> None:
    from scipy import stats

    points = np.linspace(0.01, 0.99, 25)
    for low, typical, high in ((100.0, 250.0, 900.0), (0.0, 0.0, 5.0), (1.0, 4.0, 4.0)):
        mode = (typical - low) / (high - low)
        expected = stats.triang.ppf(points, mode, loc=low, scale=high - low)
        assert triangular_quantile(low, typical, high, points) == pytest.approx(expected)
        assert triangular_chance_below(low, typical, high, expected) == pytest.approx(points)
        # PERT: beta with 1 + 4 mode and 1 + 4 (1 - mode)
        beta = stats.beta.ppf(points, 1.0 + 4.0 * mode, 1.0 + 4.0 * (1.0 - mode), loc=low, scale=high - low)
        assert pert_quantile(low, typical, high, points) == pytest.approx(beta)
    assert triangular_quantile(7.0, 7.0, 7.0, 0.3) == 7.0
    assert pert_quantile(7.0, 7.0, 7.0, 0.3) == 7.0


@settings(deadline=None)
@given(st.lists(st.floats(0.0, 1e5), min_size=3, max_size=3), st.floats(0.0, 1.0))
def test_quantile_within_its_range(ends: list[float], chance: float) -> None:
    low, typical, high = sorted(ends)
    for quantile in (triangular_quantile, pert_quantile):
        assert low <= np.asarray(quantile(low, typical, high, chance)) <= high


@pytest.mark.parametrize("bad", [np.array([0.5, 1.1]), np.array([np.nan]), np.array([-0.1])])
def test_bad_uniforms(bad: np.ndarray) -> None:
    with pytest.raises(InputError, match="uniform_numbers"):
        draw_total(Bill((_range(1.0, 2.0, 3.0),)), bad)


def test_copy_of_all_prices_changes_nothing(tmp_path: Path) -> None:
    place = write_price_file(tmp_path / "prices.csv", said)
    assert load_price_file(place) == {}
    text = place.read_text(encoding="utf-8")
    assert text.count("\n") == 1 + len(catalog_prices())
    # who edits the file reads what each line is
    rows = {row["measure_id"]: row for row in csv.DictReader(text.splitlines())}
    assert rows["OUT_120"]["words"] == "120 V receptacle on an existing circuit within 6 ft"
    assert rows["ER_240"]["words"] == "electric resistance storage, 50 gal, installed"
    with pytest.raises(InputError, match="exists already"):
        write_price_file(place, said)
    assert place.read_text(encoding="utf-8") == text
    write_price_file(place, said, overwrite=True)
    edited = text.replace("OUT_120,140,240,370", "OUT_120,150,180,260")
    assert edited != text
    place.write_text(edited, encoding="utf-8")
    own = load_price_file(place)
    assert set(own) == {"OUT_120"}
    assert own["OUT_120"].words == price("OUT_120").words
    assert own["OUT_120"].typical_usd == 180.0
    assert own["OUT_120"].status == "typed"


def test_only_the_lines_of_the_file_change(tmp_path: Path) -> None:
    own = load_price_file(_file(tmp_path, HEADER + "LINER,900,1000,1500,my quote of May\n"))
    for one in catalog_prices():
        if one != "LINER":
            assert bill_line(one, 1.0, own) == bill_line(one)
    assert bill_line("LINER", 1.0, own).typical_usd == 1000.0
    assert own["LINER"].source == "price file: my quote of May"
    assert own["LINER"].life_years == price("LINER").life_years


def test_a_note_confirms_a_catalog_price(tmp_path: Path) -> None:
    own = load_price_file(_file(tmp_path, HEADER + "OUT_120,140,240,370,confirmed\n"))
    assert own["OUT_120"].status == "typed"


def test_byte_order_mark_blank_lines_and_column_order(tmp_path: Path) -> None:
    place = tmp_path / "own.csv"
    place.write_bytes("\ufefftypical_usd,measure_id\r\n\r\n 99 , CAP \r\n".encode())
    assert load_price_file(place)["CAP"].high_usd == 99.0


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (HEADER + "LINR,1,2,3,\n", r"line 2: unknown measure_id 'LINR' \(did you mean 'LINER'\?\)"),
        (HEADER + "CAP,1,2,3,\nLINER,nan,2,3,\n", "line 3: low_usd nan"),
        (HEADER + "CAP,1,inf,3,\n", "line 2: typical_usd inf"),
        (HEADER + "CAP,-1,2,3,\n", "line 2: low_usd -1"),
        (HEADER + "CAP,1,2,1e9,\n", "line 2: high_usd 1e9"),
        (HEADER + "CAP,5,2,9,\n", "line 2: low 5, typical 2, high 9"),
        (HEADER + "CAP,1,2,1.5,\n", "low <= typical <= high"),
        (HEADER + "CAP,1,$2,3,\n", r"'\$2' is not a number"),
        (HEADER + 'CAP,1,"1,200",1300,\n', "without"),
        (HEADER + "CAP,1,1,200,3,x\n", "line 2: more cells"),
        (HEADER + "CAP,1,,3,\n", "line 2: typical_usd of CAP is empty"),
        (HEADER + "CAP,1,2,3,\nCAP,1,2,4,\n", "line 3: CAP was given on line 2"),
        (HEADER + 'CAP,1,"2,3,\n', "not a readable CSV line"),
        ("measure_id,typcal_usd\n", "did you mean 'typical_usd'"),
        ("measure_id;typical_usd\nCAP;2\n", "separated by commas"),
        ("measure_id,note\n", "needs each of the columns"),
        ("", "is empty"),
        ("\n \n", "is empty"),
        ("measure_id,typical_usd\nCAP,\0\n", "binary"),
    ],
)
def test_bad_price_files(tmp_path: Path, text: str, words: str) -> None:
    with pytest.raises(InputError, match=words):
        load_price_file(_file(tmp_path, text))


def test_files_that_are_not_price_files(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="is a directory"):
        load_price_file(tmp_path)
    with pytest.raises(InputError, match="not found"):
        load_price_file(tmp_path / "none.csv")
    with pytest.raises(InputError, match=r"cannot be read|not found"):
        load_price_file("a\0b")
    image = tmp_path / "image.csv"
    image.write_bytes(bytes(range(256)) * 4)
    with pytest.raises(InputError, match="not UTF-8"):
        load_price_file(image)
    huge = tmp_path / "huge.csv"
    huge.write_bytes(b"x" * 300_000)
    with pytest.raises(InputError, match="more than 200000 bytes"):
        load_price_file(huge)
    with pytest.raises(InputError, match="cannot be written"):
        write_price_file(tmp_path / "no" / "such" / "folder.csv", said)


@settings(deadline=None)
@given(st.binary(max_size=300))
def test_any_bytes_give_a_clear_error_or_prices(tmp_path_factory: pytest.TempPathFactory, data: bytes) -> None:
    place = tmp_path_factory.getbasetemp() / "fuzz.csv"
    place.write_bytes(HEADER.encode() + data)
    try:
        found = load_price_file(place)
    except InputError:
        return
    assert all(item.low_usd <= item.typical_usd <= item.high_usd for item in found.values())


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: Incentive("rebate", "", "2026-01-01", 5.0), "no source"),
        (lambda: Incentive("rebate", "utility", "last May", 5.0), "not a date"),
        (lambda: Incentive("rebate", "utility", "2026-01-01", -5.0), "incentive_usd 'rebate'"),
        (lambda: Bill((), margin_fraction=-0.1), "margin"),
        (lambda: Bill((), region_factor=0.0), "region_factor"),
        (lambda: triangular_quantile(3.0, 2.0, 4.0, 0.5), "low <= typical <= high"),
    ],
)
def test_bad_bills(call: object, words: str) -> None:
    with pytest.raises(InputError, match=words):
        call()  # type: ignore[operator]
