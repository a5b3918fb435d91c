"""A code edition is one folder of data: its rows stand in the place of those of the tables, or beside them.

The example editions are the tests' own: made-up numbers, under made-up names.
"""

from __future__ import annotations

import ast
import shutil
from pathlib import Path

import pytest
from conftest import ROOT, said
from typer.testing import CliRunner

from advisor import catalog
from advisor.cli import app
from advisor.codes.check import Check
from advisor.codes.combustion_air import check_standard_volume
from advisor.codes.terminals import check_sidewall_terminal
from advisor.codes.vent_sizing import SingleVent, check_single_vent
from advisor.codes.vent_tables import read_single
from advisor.errors import InputError
from advisor.money.energy import minimum_uef
from advisor.wording.checks import clause

ABOUT = """code = "ifgc"
year = 2030
cite = "EXAMPLE-2030"

[source.example-2030]
title = "an example of the tests"
edition = "2030"
"""
# 60 ft3 for each 1,000 Btu/h instead of the published 50 (NFPA 54-2012 9.3.2.1)
RULE = """key,low,typical,high,unit,status,source,ref,note
standard_volume_ft3_per_kbtu_h,60,60,60,ft3/(kBtu/h),memory,example-2030,EXAMPLE-2030 9.3.2.1,an example
"""
# two rows in the place of one: 9 in up to 150,000 Btu/h and 40 in above, instead of 12 in above 50,000 (12.9.3)
CLEARANCE = """scheme,key,item,condition,input_over_btu_h,input_to_btu_h,distance,unit,direction,status,source,ref,note
us_direct_vent,opening,building_opening,input_up_to,,150000,9,in,any,seen,example-2030,EXAMPLE-2030 T.12.9,
us_direct_vent,opening,building_opening,input_over,150000,,40,in,any,seen,example-2030,EXAMPLE-2030 T.12.9,
"""
# 504.2(1) H 10 L 5, 4 in NAT: printed 77 (IFGC-2012 App. B); a cell of a size that the table has not: 3.5 in
CELLS = """table,height_ft,lateral_ft,diameter_in,kind,capacity_kbtu_h,status,source,ref
504.2(1),10.0,5,4,NAT_MAX,31,seen,example-2030,EXAMPLE-2030 T.504.2(1)
504.2(1),10,5,3.5,NAT_MAX,25,seen,example-2030,EXAMPLE-2030 T.504.2(1)
"""
NO_CLAUSE = CELLS.replace(",ref\n", "\n").replace(",EXAMPLE-2030 T.504.2(1)", "")


def written(where: Path, **files: str) -> str:
    where.mkdir(parents=True, exist_ok=True)
    (where / "edition.toml").write_text(ABOUT, encoding="utf-8")
    for name, text in files.items():
        (where / f"{name}.csv").write_text(text, encoding="utf-8")
    return str(where)


@pytest.fixture(scope="module")
def example(tmp_path_factory: pytest.TempPathFactory) -> str:
    return written(
        tmp_path_factory.mktemp("data") / "example-2030",
        rules_combustion_air=RULE,
        terminal_clearances=CLEARANCE,
        vent_capacity_single=CELLS,
    )


# ---- a rule, a clearance, a cell


def test_a_rule_takes_the_place_of_another_with_its_clause_and_status(example: str) -> None:
    """By hand: 40,000 Btu/h need 50 x 40 = 2,000 ft3, by the example's rule 60 x 40 = 2,400 ft3."""
    plain = check_standard_volume(40_000.0, 2200.0)
    with catalog.in_edition(example):
        newer = check_standard_volume(40_000.0, 2200.0)
    after = check_standard_volume(40_000.0, 2200.0)
    assert (plain.verdict, newer.verdict) == ("pass", "fail")
    assert plain.clause == "NFPA 54-2012 9.3.2.1"
    assert (newer.clause, newer.status) == ("EXAMPLE-2030 9.3.2.1", "memory")
    assert after == plain


def opening(input_btu_h: float) -> Check:
    found = check_sidewall_terminal("us_direct_vent", input_btu_h, opening_ft=1.0)
    return next(check for check in found if check.rule == "terminal_to_openings_of_the_building")


def test_a_clearance_may_become_several(example: str) -> None:
    """By hand, at 12 in: 12.9.3 asks 12 in above 50,000 Btu/h; the example 9 in up to 150,000 and 40 in above."""
    assert [opening(heat).verdict for heat in (40_000.0, 100_000.0, 199_000.0)] == ["pass", "pass", "pass"]
    assert said(opening(100_000.0).required).startswith("at least 12 in")
    with catalog.in_edition(example):
        small, large = opening(100_000.0), opening(199_000.0)
    assert said(small.required).startswith("at least 9 in")
    assert said(large.required).startswith("at least 40 in")
    assert (small.verdict, large.verdict) == ("pass", "fail")
    assert small.clause == "EXAMPLE-2030 T.12.9"


VENT = SingleVent(
    input_btu_h=40_000.0,
    appliance="draft hood",
    outlet_diameter_in=4.0,
    vent="type B",
    connector="type B",
    height_ft=10.0,
    lateral_ft=5.0,
    elbows_90=2,
    vent_diameter_in=4.0,
)


def capacity() -> Check:
    return next(check for check in check_single_vent(VENT) if check.rule == "vent_capacity")


def test_a_cell_of_a_vent_table_names_the_text_it_was_read_from(example: str) -> None:
    """By hand: 40 kBtu/h fit the printed 77 and not the example's 31."""
    plain = capacity()
    with catalog.in_edition(example):
        newer = capacity()
        added = read_single("504.2(1)", "NAT_MAX", 10.0, 5.0, 3.5)
        elsewhere = read_single("504.2(1)", "NAT_MAX", 20.0, 5.0, 4.0)
    assert read_single("504.2(1)", "NAT_MAX", 10.0, 5.0, 4.0).value == 77.0
    assert (plain.verdict, newer.verdict) == ("pass", "fail")
    assert "EXAMPLE-2030" in said(clause(newer))
    assert "EXAMPLE-2030" not in said(clause(plain))
    assert "NFPA 54-2012" in said(clause(plain))
    assert added.value == 25.0
    assert elsewhere.value == read_single("504.2(1)", "NAT_MAX", 20.0, 5.0, 4.0).value
    assert not read_single("504.2(1)", "NAT_MAX", 10.0, 5.0, 3.5).value > 0.0


def test_between_an_older_and_a_newer_cell_both_texts_are_named(example: str) -> None:
    with catalog.in_edition(example):
        sources = read_single("504.2(1)", "NAT_MAX", 11.0, 5.0, 4.0).source.split(";")
    assert "example-2030" in sources
    assert len(sources) > 1


# ---- through the commands


def run(*args: str) -> str:
    result = CliRunner().invoke(app, [*args])
    assert result.exit_code == 0, result.output
    return " ".join(result.output.split())


def test_check_and_explain_print_the_edition_that_was_chosen(example: str) -> None:
    case = str(ROOT / "demo" / "sound_house.toml")
    plain = run("check", case, "--samples", "64")
    newer = run("check", case, "--samples", "64", "--edition", example)
    assert "EXAMPLE-2030" not in plain
    assert "2,400 ft3" in newer
    assert "[EXAMPLE-2030 9.3.2.1; memory]" in newer
    assert "confirmed in the locally adopted code" in newer
    assert newer.count("Rows of EXAMPLE-2030 stand in the place of older ones") == 1
    assert "the edition in force" not in newer
    working = run("explain", case, "correct_connector", "--samples", "64", "--edition", example)
    assert "Rows of EXAMPLE-2030" in working
    assert "EXAMPLE-2030" in run("rank", case, "--samples", "64", "--edition", example, "--format", "json")


def test_the_catalog_still_shows_its_tables_and_sources() -> None:
    shown = run("catalog", "fuel_gas_code_adoption", "--width", "400")
    assert "open repository of per-state" in shown
    assert "GA" in shown
    assert "edition_keys" in run("catalog")


def test_a_folder_of_the_catalog_is_chosen_by_its_name(
    tmp_path: Path, example: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    from advisor import editions

    copy = tmp_path / "catalog"
    (copy / "codes" / "editions").mkdir(parents=True)
    shutil.copytree(example, copy / "codes" / "editions" / "example-2030")
    editions.editions.cache_clear()
    monkeypatch.setattr(editions, "folder", lambda: copy)
    try:
        assert catalog.editions() == ("example-2030",)
        with catalog.in_edition("example-2030"):
            assert catalog.number("rules_combustion_air", "standard_volume_ft3_per_kbtu_h") == 60.0
        with pytest.raises(InputError, match="did you mean 'example-2030'"), catalog.in_edition("example-2031"):
            pass
    finally:
        editions.editions.cache_clear()


# ---- what cannot stand is told


@pytest.mark.parametrize(
    ("files", "message"),
    [
        ({"rules_combustion_air": RULE.replace("standard_volume_ft3_per_kbtu_h", "standard_volum")}, "no rule 'standard_volum'"),
        ({"rules_combustion_air": RULE.replace("EXAMPLE-2030 9.3.2.1", "")}, "line 2, ref: each row of an edition says"),
        ({"rules_combustion_air": RULE.replace("example-2030,", "exampel,")}, "source: 'exampel' is not in edition.toml"),
        ({"rules_combustion_air": RULE.replace(",memory,", ",believed,")}, "status: 'believed' is none of"),
        ({"vent_capacity_single": NO_CLAUSE}, "column 'ref' is missing"),
        ({"vent_capacity_single": CELLS.replace("lateral_ft", "latteral_ft")}, "no column 'latteral_ft'"),
        ({"safety": RULE}, "an edition cannot change this table"),
        ({"remedies": "id,ref,status,source\n"}, "an edition cannot change this table"),
        ({"terminal_clearance": CLEARANCE}, "did you mean 'terminal_clearances'"),
    ],
)  # fmt: skip
def test_what_an_edition_cannot_say(tmp_path: Path, files: dict[str, str], message: str) -> None:
    with pytest.raises(InputError, match=message), catalog.in_edition(written(tmp_path / "slip", **files)):
        pass


def test_an_edition_says_what_text_it_is(tmp_path: Path) -> None:
    for text, message in (("", "needs code"), ("code = ", "not valid TOML"), (None, "missing; it says code, year")):
        where = tmp_path / str(len(message))
        written(where, rules_combustion_air=RULE)
        (where / "edition.toml").write_text(text, encoding="utf-8") if text is not None else (
            where / "edition.toml"
        ).unlink()
        with pytest.raises(InputError, match=message), catalog.in_edition(str(where)):
            pass


def test_a_cell_that_is_no_number_is_named_by_its_file_and_line(tmp_path: Path) -> None:
    where = written(tmp_path / "slip", vent_capacity_single=CELLS.replace(",31,", ",much,"))
    with (
        catalog.in_edition(where),
        pytest.raises(InputError, match=r"edition 'slip', vent_capacity_single.csv, line 2, capacity"),
    ):
        read_single("504.2(1)", "NAT_MAX", 10.0, 5.0, 4.0)


def test_every_table_that_an_edition_may_change_keeps_its_rules_apart() -> None:
    """No two rows of the catalog have one identity, but for a clearance's ranges of input: each would replace both."""
    from advisor.editions import identity

    ranges = {"terminal_clearances"}
    tables = [row["table"] for row in catalog.table("edition_keys")]
    for name in tables:
        columns = identity(name)
        assert set(columns) <= set(catalog.table(name)[0]), name
        found = [tuple(row[column] for column in columns) for row in catalog.table(name)]
        assert name in ranges or len(set(found)) == len(found), name


KEPT_FOR_ALL = {"unknown.py:_hows", "trade_sizes.py:trade_rounds_in", "trade_sizes.py:trade_grilles_in"}
"""What is kept of tables that no edition may change."""


def test_what_is_kept_of_a_table_of_the_codes_is_kept_for_each_edition() -> None:
    """A result kept with `cache` would be that of the edition that asked first."""
    found = {
        f"{path.name}:{node.name}"
        for path in (ROOT / "advisor" / "codes").glob("*.py")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.FunctionDef)
        and any(isinstance(d, ast.Name) and d.id in ("cache", "lru_cache") for d in node.decorator_list)
    }
    assert found == KEPT_FOR_ALL


def test_an_unknown_edition_is_told() -> None:
    with pytest.raises(InputError, match="no such code edition"), catalog.in_edition("nfpa54-2099"):
        pass


def test_the_equations_of_2029_from_memory_decide_nothing(tmp_path: Path) -> None:
    """minimum_uef: gas storage, high draw, 40 gal rated: 0.692 - 0.0013 x 40 = 0.640 (10 CFR 430.32(d)), not 0.6904."""
    head = ",".join([*catalog.table("minimum_uef")[0]])
    later = f"{head}\ngas storage,20,55,75000,high,0.7424,0.0013,%s,%s,doe-rule-2024,89 FR 37778\n"
    now = minimum_uef("gas storage", 40.0, "high")
    assert now == pytest.approx(0.640)
    for effective, status in (("2029-05-06", "memory"), ("2029-05-06", "second-hand"), ("in force", "memory")):
        where = written(tmp_path / f"{effective}-{status}", minimum_uef=later % (effective, status))
        with catalog.in_edition(where):
            # a day to come stands beside what is in force; what is in force from memory is not used in its place
            assert minimum_uef("gas storage", 40.0, "high") == (None if effective == "in force" else now)
    for row in catalog.table("minimum_uef"):
        assert row["effective"] == "in force"
        assert row["status"] != "memory"
