"""The installed command as people use it."""

from __future__ import annotations

import json
import os
import subprocess
import sys

import jsonschema
import pytest
import readme_parts
from conftest import DEMOS, ROOT, said

DEMO = str(ROOT / "demo" / "stored_insulation.toml")
QUICK = str(ROOT / "demo" / "hood_and_dryer.toml")  # most of its situations are decided at once


def run(command, *args, **env):
    return subprocess.run(
        [command, *args], capture_output=True, text=True, cwd=ROOT, env={**os.environ, **env}, timeout=120
    )


def test_help_imports_nothing_heavy():
    heavy = ("numpy", "scipy", "pandas", "pydantic", "sklearn")
    code = f"import sys, advisor.cli; print([m for m in {heavy} if m in sys.modules])"
    out = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert out.stdout.strip() == "[]"


def test_help_and_version(command):
    assert "rank" in run(command, "--help").stdout
    assert run(command, "--version").stdout.startswith("advisor ")


def test_rank_prints_the_sections_in_order(command):
    out = run(command, "rank", QUICK, "--samples", "128", "--width", "80")
    assert out.returncode == 0, out.stderr
    heads = [
        "WHAT TO DO NOW",
        "WHAT WAS FOUND",
        "IN SHORT",
        "SAFE IN THE WORST CASE",
        "NOT SAFE ENOUGH",
        "ASSUMED",
        "CAUTIONS",
    ]
    places = [out.stdout.index(h) for h in heads]
    assert places == sorted(places)
    assert max(len(line) for line in out.stdout.splitlines()) <= 80
    assert "\033" not in out.stdout
    assert out.stderr == ""


def test_json_fits_the_published_schema_and_is_the_same_twice(command):
    first = run(command, "rank", QUICK, "--samples", "128", "--format", "json")
    again = run(command, "rank", QUICK, "--samples", "128", "--format", "json")
    assert first.stdout == again.stdout
    schema = json.loads(run(command, "schema").stdout)
    jsonschema.Draft202012Validator.check_schema(schema)
    data = json.loads(first.stdout)
    jsonschema.validate(data, schema)
    assert data["options"][0]["rank"] == 1
    other = json.loads(run(command, "rank", QUICK, "--samples", "128", "--format", "json", "--seed", "2").stdout)
    assert other["seed"] == 2


@pytest.mark.parametrize("layout", ["markdown", "csv"])
def test_other_layouts(command, layout, tmp_path):
    target = tmp_path / "out.txt"
    out = run(command, "rank", QUICK, "--samples", "128", "--format", layout, "--output", str(target))
    assert out.returncode == 0, out.stderr
    assert out.stdout == ""
    text = target.read_text(encoding="utf-8")
    assert "recirculating hood + ventless heat-pump dryer" in text


@pytest.mark.parametrize("name", DEMOS)
def test_check_reads_every_demo(command, name):
    out = run(command, "check", f"demo/{name}.toml")
    assert out.returncode == 0, out.stderr
    assert "the case file is valid" in out.stdout


def test_catalog_lists_and_shows_sources(command):
    assert "exhaust_flows" in run(command, "catalog").stdout
    shown = run(command, "catalog", "exhaust_flows").stdout
    assert "Sources" in shown
    assert "exhaust-list" in shown
    for table, words in (("remediation_measures", "permit"), ("remedies", "metal liner"), ("causes", "blocked")):
        assert words in run(command, "catalog", table).stdout.lower(), table
    wrong = run(command, "catalog", "exhaust_flow")
    assert wrong.returncode == 2
    assert "did you mean 'exhaust_flows'" in wrong.stderr


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "is empty"),
        ("[heater]\ninput_btuh = 40000\n[[run]]\nseen = 'spilling'\n", "did you mean 'input_btu_h'"),
        ("[heater]\ninput_btu_h = -1\n[[run]]\nseen = 'spilling'\n", "input_btu_h = -1"),
        ("[heater]\ninput_btu_h = nan\n[[run]]\nseen = 'spilling'\n", "finite"),
        ("[heater]\ninput_btu_h = 1e12\n[[run]]\nseen = 'spilling'\n", "400000"),
        ("[heater]\ninput_btu_h = '40 kW'\n[[run]]\nseen = 'spilling'\n", "valid number"),
        ("[heater]\ninput_btu_h = 1\ninput_btu_h = 2\n", "TOML"),
        ("[heater]\ninput_btu_h = 40000\n", "run: required"),
    ],
)
def test_bad_input_is_one_line_and_exit_code_two(command, tmp_path, text, words):
    path = tmp_path / "case.toml"
    path.write_text(text)
    out = run(command, "rank", str(path))
    assert out.returncode == 2
    assert out.stdout == ""
    assert len(out.stderr.strip().splitlines()) == 1
    assert words in out.stderr
    assert "Traceback" not in out.stderr


def test_bad_places(command, tmp_path):
    for place in (tmp_path, tmp_path / "missing.toml"):
        out = run(command, "check", str(place))
        assert out.returncode == 2
        assert len(out.stderr.strip().splitlines()) == 1
    (tmp_path / "b.toml").write_bytes(bytes(range(256)))
    assert run(command, "check", str(tmp_path / "b.toml")).returncode == 2
    assert run(command, "rank", QUICK, "--samples", "64", "--output", str(tmp_path / "no" / "x.txt")).returncode == 2


def test_a_price_file_changes_only_its_line(command, tmp_path):
    prices = tmp_path / "my.csv"
    from advisor.money.prices import write_price_file

    write_price_file(prices, said)
    lines = prices.read_text().splitlines()
    at = next(i for i, line in enumerate(lines) if line.startswith("CLEAR_AIR,"))
    head = lines[0].split(",")
    cells = lines[at].split(",")
    for column in ("low_usd", "typical_usd", "high_usd"):
        cells[head.index(column)] = "999"
    lines[at] = ",".join(cells)
    prices.write_text("\n".join(lines) + "\n")
    args = ("rank", DEMO, "--samples", "128", "--format", "json")
    before = json.loads(run(command, *args).stdout)["options"]
    after = json.loads(run(command, *args, "--prices", str(prices)).stdout)["options"]
    changed = {
        b["id"]
        for b in before
        for a in after
        if a["id"] == b["id"] and a["installed_cost_usd"] != b["installed_cost_usd"]
    }
    billed = {o["id"] for o in before if any(line["measure_id"] == "CLEAR_AIR" for line in o["bill"])}
    assert "clear_intake" in billed
    assert "power_vent" not in billed
    assert changed == billed


def test_readme_shows_what_is_really_printed():
    from refresh_docs import excerpt

    assert readme_parts.marked("excerpt").rstrip() == excerpt().rstrip()


def test_everything_unknown_still_gives_advice(command, tmp_path):
    path = tmp_path / "least.toml"
    path.write_text("[heater]\ninput_btu_h = 40000\n[[run]]\nseen = 'spilling'\n")
    out = run(command, "rank", str(path), "--samples", "128")
    assert out.returncode == 0, out.stderr
    assert "air leakage of the house" in out.stdout


def test_a_language_that_is_not_there_is_one_line_and_exit_code_two(command):
    out = run(command, "rank", QUICK, "--samples", "64", "--language", "xx")
    assert out.returncode == 2
    assert out.stdout == ""
    assert out.stderr.startswith("advisor: --language xx: no such language")
    assert len(out.stderr.strip().splitlines()) == 1
