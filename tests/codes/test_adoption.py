"""Which fuel-gas code a state has adopted, and whether its text was read (``state-adoption-map``, reports of June 2026)."""

from __future__ import annotations

import datetime
import re

import pytest
from conftest import said

from advisor import catalog
from advisor.codes.adoption import NOT_SETTLED, AdoptionRow, CodeInForce, code_in_force
from advisor.codes.code_texts import CodeText, years_read
from advisor.findings import listed
from advisor.wording.messages import has

TODAY = datetime.date(2026, 11, 25)
STATES = tuple(
    re.findall(
        "..",
        "ALAKAZARCACOCTDEFLGAHIIDILINIAKSKYLAMEMDMAMIMNMSMOMTNENVNHNJNMNYNCNDOHOKORPARISCSDTNTXUTVTVAWAWVWIWY",
    )
)


def line(state: str | None, today: datetime.date | None = TODAY) -> tuple[CodeInForce, str]:
    code = code_in_force(state, today)
    return code, said(listed(code.words, "space"))


def test_every_state_has_one_row_and_no_other() -> None:
    rows = catalog.rows_of(AdoptionRow, "fuel_gas_code_adoption")
    assert [row.state for row in rows] == list(STATES)
    assert len(STATES) == 50


@pytest.mark.parametrize("state", [*STATES, "DC"])
def test_each_state_prints_one_line_that_claims_no_more_than_was_read(state: str) -> None:
    code, words = line(state)
    assert "\n" not in words
    assert state in words
    assert words.count("The rules shown are of editions from 2012 to 2018.") == 1
    assert "The local authority may have adopted another edition" in words
    if code.known in ("adopted", "in part", "not settled"):
        assert code.report_date in words
        assert code.status == "second-hand"
        assert "(second-hand)" in words
    if code.year is None:
        assert "not known" in words or "could not be settled" in words
    else:
        assert str(code.year) in words
    if code.text_read in ("none", "examples"):
        assert "was not read for this tool" in words or "only examples" in words or code.year is None
        assert not re.search(r"Chapters of .* were read", words)
    assert code.newer_than_read == (code.year is not None and code.year > 2018)


@pytest.mark.parametrize(
    ("state", "known", "code", "year", "scope", "effective", "text_read"),
    [
        ("GA", "adopted", "ifgc", 2024, "statewide", "2026-01-01", "none"),  # IFGC 2024, current_mandatory
        ("TX", "in part", "ifgc", 2021, "limited", "2024-07-01", "none"),  # industrialized housing only
        ("CA", "not settled", "umc_upc", None, "unresolved", "", "none"),  # UMC/UPC-based parts 4 and 5
        ("IN", "adopted", "ifgc", 2012, "statewide", "2014-12-01", "examples"),  # 2014 Indiana Fuel Gas Code
        ("AR", "not settled", "", None, "unresolved", "", "none"),  # state gas code, cross-reference only
        ("IL", "in part", "ifgc", 2024, "limited", "2025-01-30", "none"),  # public schools only
        ("ND", "in part", "ifgc", 2024, "electing", "2026-01-01", "none"),  # electing local governments
        ("NV", "in part", "nfpa54", 2024, "fire_rules", "2026-01-01", "none"),
        ("KY", "adopted", "nfpa54", 2012, "statewide", "2024-12-03", "rules"),
        ("NC", "adopted", "ifgc", 2015, "statewide", "2019-01-01", "part"),  # nc-fgc-2018 is its own code
        ("CO", "adopted", "ifgc", 2018, "statewide", "2026-02-14", "part"),
        ("MA", "adopted", "nfpa54", None, "statewide", "2021-04-30", "none"),
        ("AZ", "not settled", "", None, "local", "", "none"),
        ("KS", "not settled", "", None, "unresolved", "", "none"),
    ],
)
def test_rows_by_hand(
    state: str, known: str, code: str, year: int | None, scope: str, effective: str, text_read: str
) -> None:
    found = code_in_force(state, TODAY)
    assert (found.known, found.code, found.year, found.scope) == (known, code, year, scope)
    assert (found.effective, found.text_read) == (effective, text_read)


def test_what_is_said_of_georgia_texas_california_indiana_arkansas() -> None:
    assert line("GA")[1].startswith(
        "GA has adopted IFGC 2024 (International Fuel Gas Code, with Georgia Amendments), says a report of 2026-06-25 "
        "(second-hand). In force from 2026-01-01. The text of IFGC 2024 was not read for this tool; it is newer"
    )
    assert "for some buildings or parts only" in line("TX")[1]
    assert "whether it holds for this house is not known" in line("TX")[1]
    assert line("CA")[1].startswith(
        "CA has rules based on the UMC and the UPC; which edition is in force could not be settled"
    )
    assert "Of IFGC 2012 only examples were read" in line("IN")[1]
    assert "newer" not in line("IN")[1]
    assert line("AR")[1].startswith(
        "AR has a code of its own (Arkansas State Gas Code); which edition it stands on could not"
    )


def test_a_state_that_nobody_wrote_down_is_not_guessed() -> None:
    code, words = line(None)
    assert (code.known, code.state, code.code, code.year) == ("no state", "", "", None)
    assert words.startswith("Which fuel-gas code and edition is in force here: not known: write house.state.")
    assert code_in_force("DC", TODAY).known == "no row"
    assert "not known" in line("DC")[1]


def test_utah_changes_its_edition_on_the_day_that_the_report_names() -> None:
    before, after = (code_in_force("UT", datetime.date(2026, *day)) for day in ((6, 30), (7, 1)))
    assert (before.year, after.year) == (2021, 2024)
    assert "In force from 2025-07-01." in said(before.words)
    assert "In force from 2026-07-01." in said(after.words)
    assert code_in_force("UT").year == 2021  # of the report's day


def test_oregon_names_the_day_from_which_nothing_older_may_be_used() -> None:
    assert "In force from 2025-10-01, the only one from 2026-04-01." in line("OR")[1]


def test_what_was_read_is_what_the_sources_are() -> None:
    assert years_read() == (2012, 2018)
    assert years_read("nfpa54") == (2012, 2012)
    rows = catalog.rows_of(CodeText, "code_texts")
    assert {row.source for row in rows} <= set(catalog.sources())
    cells = {
        source
        for table in (
            "vent_capacity_single",
            "vent_capacity_common",
            "vent_connector_capacity",
            "vent_exterior_masonry",
        )
        for row in catalog.table(table)
        for source in row["source"].split(";")
    }
    assert cells <= {row.source for row in rows}, "every text behind a cell is named where the cell is used"


def test_an_edition_that_was_added_counts_as_read_in_part(tmp_path) -> None:  # type: ignore[no-untyped-def]
    (tmp_path / "edition.toml").write_text('code = "ifgc"\nyear = 2024\ncite = "IFGC-2024"\n', encoding="utf-8")
    with catalog.in_edition(str(tmp_path)):
        code, words = line("GA")
    assert (code.text_read, code.chosen) == ("part", "IFGC-2024")
    assert "Rows of IFGC-2024 stand in the place of older ones" in words
    assert "Of IFGC 2024 only parts were read" in words
    with catalog.in_edition(str(tmp_path)):
        assert code_in_force("FL", TODAY).text_read == "none"  # 2021


def test_every_code_and_scope_of_the_table_has_its_words() -> None:
    for row in catalog.rows_of(AdoptionRow, "fuel_gas_code_adoption"):
        assert not row.code or has(f"adoption.code.{row.code}")
        assert row.state_code_name or row.scope in NOT_SETTLED, row.state
        assert has(f"adoption.scope.{row.scope}")
        datetime.date.fromisoformat(row.report_date)
        assert not row.effective or datetime.date.fromisoformat(row.effective) < TODAY
