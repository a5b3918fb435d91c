"""A walk through ``catalog/``: no number without a status and a source, no source without a number or a check.

The values themselves are compared with what was published in the tests of the rooms that use them.
"""

from __future__ import annotations

import csv
import itertools
import math
import re
from collections import Counter, defaultdict
from pathlib import Path

import pytest

from advisor import catalog
from advisor.catalog import PARAMETER_COLUMNS, STATUSES
from advisor.remedies import all_remedies

ROOT = Path(__file__).resolve().parents[2]
FILES = sorted((ROOT / "catalog").rglob("*.csv"))
SOURCE_LESS = ("own choice", "common practice")
"""Statuses that may stand without a source: a setting of this tool, and what the trade knows."""

UNITS = frozenset(
    (
        # numbers and shares
        *(
            "1",
            "-",
            "%",
            "count",
            "sizes",
            "samples",
            "cases",
            "houses",
            "draws",
            "groups",
            "unknowns",
            "situations",
            "bytes",
            "log",
            "rule",
            "points",
        ),
        *("draws", "groups", "unknowns", "situations"),
        *("ratio", "share", "share of minutes", "fraction", "probability", "velocity heads", "deg"),
        # lengths, areas, volumes
        *("in", "ft", "m", "in2", "ft2", "ft3", "gal", "mL", "in/ft", "in per in", "1/m"),
        # time
        *("s", "min", "h", "days", "yr", "year", "1/h", "h/day", "h/yr", "fraction/yr", "gal/day"),
        # temperature and weather
        *("F", "C", "K", "F day", "mph", "1/C", "1/C2", "1/%"),
        # pressure, flow, heat
        *("Pa", "in wc", "mmHg", "cfm", "L/s", "gpm", "ft3/h", "W", "A", "W/cfm", "Btu/h", "Btu/day", "Btu/(gal F)"),
        *("Btu/h per in2", "Btu/h per gpm F", "cfm/(kBtu/h)", "ft3/(kBtu/h)", "ft3/h per kBtu/h", "in2/(kBtu/h)"),
        *("%/1000 ft", "L/(s kW)", "L/(s m2)", "L/(s cm2)/1000", "L/(s cm2 m K)/1000"),
        # gas and matter
        *("ppm", "kg/MJ", "kg/kg", "g/(s kW)", "% g/(s kW)", "lb/ft3", "kg/m3", "lb/gal", "kJ/kg", "kJ/(kg C)", "dBA"),
        *("J/kgK", "J/kgK2", "J/kgK3", "J/kgK/%", "J/kgK2/%", "J/kgK3/%", "W/m2K", "J/m2K", "W/mK", "W/mK2"),
        *("Pa s", "Pa s/K", "Pa s/K2", "mL/min", "mL/mL", "mL/(min mmHg)"),
        # money
        *("usd", "usd/Mcf", "usd/gal", "usd/kWh"),
    )
)
"""Closed list of the units of parameter files: a new one is a decision, not an accident."""


def rows(path: Path) -> tuple[list[str], list[list[str]]]:
    with path.open(newline="", encoding="utf-8") as handle:
        head, *body = csv.reader(handle)
    return head, body


def records(path: Path) -> list[dict[str, str]]:
    head, body = rows(path)
    return [dict(zip(head, row, strict=True)) for row in body]


def is_parameter_file(path: Path) -> bool:
    return tuple(rows(path)[0]) == PARAMETER_COLUMNS


PARAMETER_FILES = [path for path in FILES if is_parameter_file(path)]


def named_sources() -> set[str]:
    """Return every source id that a catalog row names."""
    return {
        name.strip()
        for path in FILES
        for row in records(path)
        for column, text in row.items()
        if column == "source" or column.endswith("_source")
        for name in text.split(";")
        if name.strip()
    }


@pytest.mark.parametrize("path", FILES, ids=lambda p: p.stem)
def test_file_parses(path: Path) -> None:
    """One heading, no column twice, no ragged or empty row, no row twice, no stray space."""
    head, body = rows(path)
    assert body
    assert len(set(head)) == len(head)
    assert all(head)
    for line, row in enumerate(body, start=2):
        assert len(row) == len(head), f"line {line}: {len(row)} cells, {len(head)} columns"
        assert any(row), f"line {line} is empty"
        assert all(cell == cell.strip() for cell in row), f"line {line}: stray space"
    twice = [row for row, count in Counter(map(tuple, body)).items() if count > 1]
    assert not twice


@pytest.mark.parametrize("path", FILES, ids=lambda p: p.stem)
def test_every_row_has_a_status_and_a_source(path: Path) -> None:
    known = catalog.sources()
    head, _ = rows(path)
    assert "status" in head
    assert "source" in head
    for line, row in enumerate(records(path), start=2):
        assert row["status"] in STATUSES, f"line {line}: status '{row['status']}'"
        for column, text in row.items():
            if column.endswith("_status"):
                assert text in ("", *STATUSES), f"line {line}: {column} '{text}'"
            if column == "source" or column.endswith("_source"):
                for name in filter(None, (part.strip() for part in text.split(";"))):
                    assert name in known, f"line {line}: no source '{name}' in sources.toml"
        if not row["source"]:
            assert row["status"] in SOURCE_LESS, f"line {line}: a {row['status']} number needs a source"


def test_no_orphan_source() -> None:
    """A source stands in a catalog row, or a test or page of the project leans on it; else it goes."""
    used = named_sources()
    folders = [path for name in ("docs", "tests", "advisor") for path in (ROOT / name).rglob("*")]
    texts = [
        path.read_text(encoding="utf-8")
        for path in [*folders, *ROOT.glob("*.md"), *FILES]
        if path.suffix in (".py", ".md", ".csv")
    ]
    words = set(re.findall(r"[a-z0-9][a-z0-9-]*[a-z0-9]", " ".join(texts)))
    orphans = [name for name in catalog.sources() if name not in used and name not in words]
    assert not orphans


def test_sources_say_what_they_are() -> None:
    for name, record in catalog.sources().items():
        assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", name), name
        assert len(record["title"]) > 10, name
        assert record["edition"], name
        assert set(record) <= {"title", "edition", "url"}, name


@pytest.mark.parametrize("path", PARAMETER_FILES, ids=lambda p: p.stem)
def test_parameters_are_ordered_and_have_known_units(path: Path) -> None:
    keys = [row["key"] for row in records(path)]
    assert len(set(keys)) == len(keys), [key for key, count in Counter(keys).items() if count > 1]
    for key in keys:
        assert re.fullmatch(r"[a-z][A-Za-z0-9_]*", key), key
        parameter = catalog.parameter(path.stem, key)
        assert all(math.isfinite(x) for x in (parameter.low, parameter.typical, parameter.high)), key
        assert parameter.low <= parameter.typical <= parameter.high, key
        assert parameter.unit in UNITS, f"{key}: unit '{parameter.unit}'"


SUFFIX_UNITS = {
    "_pa": {"Pa"},
    "_cfm": {"cfm"},
    "_btu_h": {"Btu/h"},
    "_in2": {"in2"},
    "_lb_ft3": {"lb/ft3"},
    "_ft3": {"ft3"},
    "_ft2": {"ft2"},
    "_ft": {"ft"},
    "_in": {"in", "count"},
    "_ppm": {"ppm"},
    "_mph": {"mph"},
    "_s": {"s"},
    "_w_m2k": {"W/m2K"},
    "_j_m2k": {"J/m2K"},
}


@pytest.mark.parametrize("path", PARAMETER_FILES, ids=lambda p: p.stem)
def test_the_unit_is_the_suffix_of_the_key(path: Path) -> None:
    """Longest suffix first; ratios "per" something carry both units and are left out."""
    for row in records(path):
        for suffix in sorted(SUFFIX_UNITS, key=len, reverse=True):
            if row["key"].endswith(suffix) and "_per_" not in row["key"]:
                assert row["unit"] in SUFFIX_UNITS[suffix], f"{row['key']}: {row['unit']}"
                break


@pytest.mark.parametrize("path", FILES, ids=lambda p: p.stem)
def test_keys_are_unique_and_ranges_are_ordered(path: Path) -> None:
    head, body = rows(path)
    if head[0] in ("key", "id"):
        twice = [key for key, count in Counter(row[0] for row in body).items() if count > 1]
        assert not twice
    for row in records(path):
        for column, text in row.items():
            partner = column.replace("low", "high")
            if partner == column or partner not in row or not text or not row[partner]:
                continue
            low, high = float(text), float(row[partner])
            assert low <= high, row
            for middle in ("typical", "typ"):
                between = row.get(column.replace("low", middle))
                if between:
                    assert low <= float(between) <= high, row


# ---- what hangs together


def test_weights_of_each_viewpoint_sum_to_one_and_have_a_scale() -> None:
    weights: dict[str, dict[str, float]] = defaultdict(dict)
    for row in catalog.table("viewpoints"):
        assert row["criterion"] not in weights[row["viewpoint"]]
        weights[row["viewpoint"]][row["criterion"]] = float(row["weight"])
    assert set(weights) == {"homeowner", "contractor", "inspector"}
    scales = {row["criterion"] for row in catalog.table("scales")}
    for viewpoint, by_criterion in weights.items():
        assert math.fsum(by_criterion.values()) == pytest.approx(1.0), viewpoint
        assert min(by_criterion.values()) >= 0.0
        assert set(by_criterion) == scales, viewpoint


def test_scales_have_two_ends() -> None:
    for row in catalog.table("scales"):
        best, worst = float(row["best"]), float(row["worst"])
        assert best != worst
        if row["shape"] == "log":
            assert min(best, worst) > 0.0


def test_every_remedy_has_its_code_and_its_row() -> None:
    listed = [row["id"] for row in catalog.table("remedies")]
    assert len(set(listed)) == len(listed)
    assert [remedy.id for remedy in all_remedies()] == listed
    from advisor.remedies import combustion_air, exhaust, keep, replacement, venting

    coded = [r.id for family in (keep, combustion_air, venting, exhaust, replacement) for r in family.REMEDIES]
    assert sorted(coded) == sorted(listed)
    running = {row["id"] for row in catalog.table("remedy_running")}
    assert running <= set(listed)
    classes = {row["class_id"] for row in catalog.table("appliance_classes")}
    assert {row["class_id"] for row in catalog.table("remedies")} - {""} <= classes


def test_safety_limits_are_shares_and_the_stress_is_the_looser() -> None:
    worst, stress = (catalog.number("safety", key) for key in ("worst_case_limit", "stress_limit"))
    assert 0.0 < worst < stress < 1.0


def test_probabilities_leave_room_for_nothing_being_wrong() -> None:
    def prior(key: str) -> float:
        return catalog.number("priors", key)

    assert prior("intake_prob_partly_blocked") + prior("intake_prob_blocked") < 1.0
    assert prior("vent_prob_partly_blocked") + prior("vent_prob_blocked") < 1.0
    assert prior("leak_floor_share") + prior("leak_ceiling_share") < 1.0
    for row in records(ROOT / "catalog" / "evidence" / "priors.csv"):
        if row["unit"] in ("probability",) or row["key"].endswith("_blocked_fraction"):
            assert 0.0 <= float(row["low"]) <= float(row["high"]) <= 1.0, row["key"]


# ---- monotone where physics says so


def line(table: str, x: str, y: str, **where: str) -> list[tuple[float, float]]:
    chosen = [row for row in catalog.table(table) if all(row[k] == v for k, v in where.items())]
    return sorted((float(row[x]), float(row[y])) for row in chosen if row[x] and row[y])


def rises(points: list[tuple[float, float]], sign: int = 1) -> bool:
    assert len(points) > 2
    return all(sign * (b[1] - a[1]) >= 0.0 for a, b in itertools.pairwise(points))


def test_more_excess_air_dilutes() -> None:
    for column, sign in (("co2_dry_pct", -1), ("o2_dry_pct", 1), ("flue_lb_per_1000_btu", 1), ("dew_point_f", -1)):
        assert rises(line("natural_gas_excess_air", "excess_air_pct", column), sign), column


def test_longer_gas_pipe_carries_less_and_wider_more() -> None:
    by_size = defaultdict(list)
    for row in catalog.table("gas_pipe_capacity"):
        key = row["pressure_drop_in_wc"], row["source"], row["ref"]
        by_size[(*key, float(row["nominal_sch40_in"]))].append((float(row["length_ft"]), float(row["capacity_cfh"])))
    for points in by_size.values():
        assert all(b[1] < a[1] for a, b in itertools.pairwise(sorted(points)))
    at_length = defaultdict(list)
    for (*key, size), points in by_size.items():
        for length, capacity in points:
            at_length[(*key, length)].append((size, capacity))
    for points in at_length.values():
        assert all(b[1] > a[1] for a, b in itertools.pairwise(sorted(points)))


def test_other_tables_go_the_right_way() -> None:
    assert rises(
        line("min_draft", "outdoor_temp_f", "min_draft_pa", fuel="gas"), -1
    )  # bpi-older: the milder, the less draft
    assert rises(line("connector_max_length", "connector_diameter_in", "max_horizontal_length_ft"))
    assert rises(line("hood_sizes", "up_to_btu_h", "diameter_in"))
    assert rises(line("co_alarm_points", "ppm", "must_alarm_by_min"), -1)  # ul-2034: more CO, sooner
    assert rises(line("lcc_factors", "n_years", "upv_3pct"))
    assert rises(line("lcc_factors", "n_years", "spv_3pct"), -1)
    density = line("air_properties", "at", "value", quantity="dry air density at 101325 Pa", at_unit="F")
    assert rises(density, -1)


def test_vent_walls_lose_heat_in_the_known_order() -> None:
    """ashrae-chimney (memory): insulated chimney, Type B, single wall; the middle column is the typical one."""
    u = {row["wall"]: float(row["u_typical_btu_h_ft2_f"]) for row in catalog.table("vent_heat_transfer")}
    assert u["insulated factory-built chimney"] < u["double-wall gas vent, 1/4 in gap (Type B)"]
    assert u["double-wall gas vent, 1/4 in gap (Type B)"] < u["single-wall galvanized"]
    for row in catalog.table("vent_heat_transfer"):
        si = float(row["u_typical_btu_h_ft2_f"]) * 5.678263
        assert float(row["u_typical_w_m2k"]) == pytest.approx(si, abs=0.01)
