"""The documentation says what is so: shown output, references, links, examples, the walk-through, the coverage."""

from __future__ import annotations

import csv
import functools
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import docs_build
import docs_reference
import pytest
from conftest import ROOT

from advisor import catalog, read_case
from advisor.case import fields
from advisor.case.local_rules import read_amendments
from advisor.case.read import parse_case
from advisor.facts.record import verdict_of
from advisor.money.prices import load_price_file

DOCS = docs_reference.DOCS
PAGES = sorted([ROOT / "README.md", ROOT / "DEVELOPERS.md", *DOCS.rglob("*.md")])
EXAMPLES = sorted(docs_build.EXAMPLES.iterdir())
RENEW = "run: python tests/docs_build.py"
FENCED = re.compile(r"^```.*?^```$", re.DOTALL | re.MULTILINE)
LINK = re.compile(r"(?<!\!)\[[^\]\n]+\]\(([^)\s]+)\)")


def names(paths: list[Path]) -> list[str]:
    return [p.relative_to(ROOT).as_posix() for p in paths]


def read(path: Path) -> str:
    return path.read_text(encoding="utf-8")


# ---- what is generated


@pytest.mark.parametrize("name", [p.name for p in docs_build.pages()])
def test_page_shows_what_is_so_now(name: str) -> None:
    """Shown output comes from running the command; reference parts from the code."""
    path = DOCS / name
    assert docs_build.built(path) == read(path), RENEW


def test_no_page_shows_the_hash_of_the_data() -> None:
    for path in PAGES:
        assert catalog.digest() not in read(path), path.name


def test_every_key_of_a_case_is_explained() -> None:
    text = read(DOCS / "case_file.md")
    for table, name in docs_reference.case_keys():
        what = fields.field(f"{table}.{name}" if table else name)
        assert what.words.strip(), f"{table}.{name} has no description"
        head = f"`[[{table}]]`" if table in fields.LISTS else f"`[{table}]`" if table else "Top level"
        part = text.split(f"\n## {head}\n", 1)[1].split("\n## ", 1)[0]
        assert f"| `{name}` |" in part, f"{table}.{name}"


def test_every_command_and_option_is_documented(command: str) -> None:
    """Held against what the installed command itself prints, not only against the source of the page."""
    text = read(DOCS / "cli.md")
    listed = subprocess.run([command, "--help"], capture_output=True, text=True, check=True, timeout=60).stdout
    assert set(docs_reference.commands()) == set(re.findall(r"^  ([a-z-]+)  ", listed.split("Commands:")[1], re.M))
    for name, function in docs_reference.commands().items():
        part = text.split(f"\n## `advisor {name}`\n", 1)[1].split("\n## ", 1)[0]
        assert (function.__doc__ or "").strip()
        for shown, _, _, info, _ in docs_reference.parameters(function):
            assert (info.help or "").strip(), f"{name} {shown} has no help"
            assert f"| `{shown}` |" in part
        helped = subprocess.run([command, name, "--help"], capture_output=True, text=True, check=True, timeout=60)
        shown_options = helped.stdout.split("Options:", 1)[1]
        options = set(re.findall(r"^  (--[a-z-]+)", shown_options, re.M)) - {"--help"}
        assert options == set(re.findall(r"^\| `(--[a-z-]+)` \|", part, re.M)), name


def test_every_table_of_the_catalog_is_described() -> None:
    words = docs_reference.described()
    missing = sorted(set(catalog.names()) - set(words))
    assert not missing, f"say in docs/catalog.toml what they hold: {missing}"
    gone = sorted(set(words) - set(catalog.names()))
    assert not gone, f"take out of docs/catalog.toml: {gone}"
    assert all(len(w) > 10 for w in words.values())


# ---- coverage


PARTS = docs_reference.parts()


@pytest.mark.parametrize("part", PARTS, ids=lambda p: p["title"])
def test_coverage_names_what_exists(part: dict) -> None:
    assert part["state"] in ("complete", "partial", "not covered")
    assert part["covered"]
    assert part["open"]
    for pattern in part["tests"]:
        assert list(ROOT.glob(pattern)), pattern
    for pattern in part["code"]:
        assert list(ROOT.glob(pattern)), pattern
    if part["state"] == "not covered":
        assert not part["code"]
        assert not part["sources"]
    else:
        assert part["code"]
        assert part["tests"]


@pytest.mark.parametrize("part", PARTS, ids=lambda p: p["title"])
def test_coverage_claims_only_sources_that_a_test_names(part: dict) -> None:
    texts = [read(path) for pattern in part["tests"] for path in ROOT.glob(pattern)]
    for table in part.get("data", ()):
        assert any(table in text for text in texts), f"no test here reads {table}"
        texts.append(read(catalog.path_of(table)))
    words = set(re.findall(r"[a-z0-9][a-z0-9-]*[a-z0-9]", " ".join(texts)))
    for source in part["sources"]:
        assert source in catalog.sources(), source
        assert source in words, f"{source} is named in none of {part['tests']}"


def test_coverage_leaves_no_module_out() -> None:
    claimed = {path for part in PARTS for pattern in part["code"] for path in ROOT.glob(pattern)}
    modules = {p for p in (ROOT / "advisor").rglob("*.py") if p.name not in ("__init__.py", "__main__.py")}
    assert names(sorted(modules - claimed)) == []


def test_coverage_leaves_no_test_out() -> None:
    named = {path for part in PARTS for pattern in part["tests"] for path in ROOT.glob(pattern)}
    left_out = names(sorted(set((ROOT / "tests").glob("*/test_*.py")) - named))
    assert not left_out, f"say in docs/coverage.toml which part they check: {left_out}"


# ---- links and reach


def targets(path: Path) -> list[str]:
    return LINK.findall(FENCED.sub("", read(path)))


def anchors(path: Path) -> set[str]:
    """Return the anchors of a page's headings, as the usual renderers make them."""
    heads = re.findall(r"^#+ (.+)$", FENCED.sub("", read(path)), re.M)
    return {re.sub(r"[^\w\- ]", "", h.lower()).replace(" ", "-") for h in heads}


@pytest.mark.parametrize("path", PAGES, ids=names(PAGES))
def test_links_lead_somewhere(path: Path) -> None:
    for target in targets(path):
        if re.match(r"[a-z]+:", target):
            continue
        place, _, anchor = target.partition("#")
        there = (path.parent / place).resolve() if place else path
        assert there.exists(), target
        assert there.is_relative_to(ROOT), target
        if anchor:
            assert anchor in anchors(there), target


def test_every_page_is_reached_from_the_index() -> None:
    found, waiting = set(), [DOCS / "index.md"]
    while waiting:
        path = waiting.pop()
        found.add(path)
        near = [(path.parent / t.partition("#")[0]).resolve() for t in targets(path) if not re.match(r"[a-z]+:", t)]
        waiting += [p for p in near if p.suffix == ".md" and p not in found and p.is_file()]
    assert names(sorted(set(DOCS.rglob("*.md")) - found)) == []


def test_the_link_check_sees_a_broken_link() -> None:
    assert LINK.findall("see [this](nowhere.md#part) and [that](docs)") == ["nowhere.md#part", "docs"]


# ---- examples


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda p: p.name)
def test_example_is_valid_and_is_shown(path: Path) -> None:
    if path.suffix == ".csv":
        assert load_price_file(path)
    elif "[[amendment]]" in read(path):
        assert read_amendments(path)
    else:
        assert read_case(path).run
    assert path.name in read(DOCS / "tutorial.md")


NEEDED = (
    "outdoor_temp_f", "wind_mph", "window_open_ft2", "fireplace_damper", "devices_on", "dryer_filter_clean", "interior_doors",
    "air_handler", "zone_door", "vent_cold_at_start", "method", "ambient_co_ppm",
)  # fmt: skip


def test_the_examples_say_what_the_tutorial_says_of_them() -> None:
    """First notes and full case fail; the retest is a valid pass, and no line of what a pass needs can be left out."""
    for name, state in (("laundry_first", "failed"), ("laundry", "failed"), ("laundry_retest", "confirmed")):
        assert verdict_of(read_case(docs_build.EXAMPLES / f"{name}.toml")).states == (state,)
    text = read(docs_build.EXAMPLES / "laundry_retest.toml")
    before, retest = text.split('label = "retest')
    for key in NEEDED:
        without = re.sub(rf"^{key} = .*\n", "", retest, flags=re.M)
        assert without != retest, key
        assert verdict_of(parse_case(f'{before}label = "retest{without}')).states == ("not confirmed",), key
    for line in ("opening = []", "supply = []", "shared = false"):
        assert text.count(f"\n{line}") == 1
        assert verdict_of(parse_case(text.replace(f"\n{line}", "\n"))).states == ("not confirmed",), line


def test_the_tutorial_tells_what_its_output_shows() -> None:
    """What the text around the blocks claims, held against the output in them (common practice of the trade)."""
    outputs = "\n".join(m.group(0) for m in FENCED.finditer(read(DOCS / "tutorial.md")))
    upper, lower = outputs.split("SAFE ON A DAY LIKE THE TEST DAY", 2)[:2]
    assert "ventless heat-pump dryer" in upper.split("SAFE IN THE WORST CASE AND UNDER EVERY STRESS TRIED")[1]
    assert "electric resistance heater" in upper
    assert "two grilles to the adjoining" in lower
    assert "code-sized openings to outdoors" in outputs.split("NOT SAFE ENOUGH")[1]


@pytest.mark.parametrize("name", ["for_contractors", "limits"])
def test_pages_quote_the_thresholds_of_the_grades(name: str) -> None:
    text = " ".join(read(DOCS / f"{name}.md").split())
    worst, stress = (catalog.number("safety", key) for key in ("worst_case_limit", "stress_limit"))
    for share in (worst, stress):
        assert f"{100 * share:.0f} %" in text


# ---- plain language


def reading_grade(text: str) -> float:
    """Return the automated readability index of a page's sentences: a US school grade.

    Formula of Senter and Smith (1967), coefficients from memory; it counts letters, so it needs no dictionary.
    """
    text = re.sub(r"<!--.*?-->", "", FENCED.sub("", text), flags=re.DOTALL)
    text = re.sub(r"^(\||    |#).*$", "", text, flags=re.M)
    text = re.sub(r"[*`\[]|\]\([^)]*\)", "", text)
    parts = [" ".join(p.split()) for p in re.split(r"\n\s*\n|\n(?=- |\d+\. )", text)]
    sentences = [s for p in parts for s in re.split(r"(?<=[.?!:])\s+", p) if re.search(r"\w", s)]
    words = [w for s in sentences for w in re.findall(r"[A-Za-z0-9'$%-]+", s)]
    letters = sum(len(re.sub(r"[^A-Za-z0-9]", "", w)) for w in words)
    return 4.71 * letters / len(words) + 0.5 * len(words) / len(sentences) - 21.43


def test_reading_grade_tells_plain_from_heavy() -> None:
    plain = "The cat sat on the mat. It was warm. Then it went out."
    heavy = (
        "Notwithstanding considerable institutional reservations, the aforementioned recommendations concerning "
        "depressurization necessitate comprehensive reconsideration of contemporary ventilation methodologies."
    )
    assert reading_grade(plain) < 3
    assert reading_grade(heavy) > 16


@pytest.mark.parametrize(
    ("name", "grade"),
    [("for_homeowners", 6), ("for_contractors", 8), ("for_inspectors", 8), ("tutorial", 8), ("limits", 8)],
)
def test_pages_for_people_are_plain(name: str, grade: float) -> None:
    assert reading_grade(read(DOCS / f"{name}.md")) <= grade


# ---- the walk-through


WALK = DOCS / "add_a_remedy.md"
STEP = re.compile(r"<!-- step: (.+?) -->\n```\w*\n(.*?)^```$", re.DOTALL | re.MULTILINE)


@functools.cache
def code_words() -> frozenset[str]:
    paths = [*(ROOT / "advisor").rglob("*.py"), *(ROOT / "catalog").rglob("*.csv"), *(ROOT / "tests").rglob("*.py")]
    return frozenset(re.findall(r"\w+", " ".join(read(p) for p in paths)))


def test_the_walk_through_names_what_exists() -> None:
    text = FENCED.sub("", read(WALK))
    new = set(re.findall(r"\w+", " ".join(block for _, block in STEP.findall(read(WALK)))))
    for span in re.findall(r"`([^`\n]+)`", text):
        if "/" in span:
            assert (ROOT / span).exists(), span
        else:
            for word in re.findall(r"[A-Za-z_]\w{2,}", span):
                assert word in code_words() or word in new or word == "MEASURE_ID", span
    for line in re.findall(r"^    .venv/bin/(.+)$", text, re.M):
        for word in line.split():
            if word.endswith((".toml", ".py")):
                assert (ROOT / word).is_file(), word


def carry_out(where: Path) -> list[str]:
    """Do the steps of the walk-through in a copy."""
    done = []
    for what, block in STEP.findall(read(WALK)):
        place, _, name = what.rpartition(" ")
        path = where / name
        text = read(path)
        if place == "append to":
            text = text.rstrip("\n") + "\n" + block
        elif place == "before REMEDIES in":
            before, after = text.split("\nREMEDIES:", 1)
            text = f"{before}\n{block}\n\nREMEDIES:{after}"
        else:
            assert place == "end of REMEDIES in"
            assert text.endswith("\n)\n")
            text = text.removesuffix(")\n") + block + ")\n"
        path.write_text(text, encoding="utf-8")
        done.append(what)
    return done


def test_the_walk_through_works_as_written(tmp_path: Path) -> None:
    """The new remedy is built in a copy of the program and run: it is sized, priced, graded and ranked."""
    for name in ("advisor", "catalog"):
        shutil.copytree(ROOT / name, tmp_path / name, ignore=shutil.ignore_patterns("__pycache__"))
    assert len(carry_out(tmp_path)) == 6
    for name in ("remedies", "remediation_measures"):
        with next((tmp_path / "catalog").rglob(f"{name}.csv")).open(newline="", encoding="utf-8") as handle:
            head, *rows = csv.reader(handle)
        assert all(len(r) == len(head) for r in rows)
    case = str(docs_build.EXAMPLES / "laundry.toml")
    args = ("-m", "advisor.cli", "explain", case, "move_dryer", "--samples", "256")
    env = {**os.environ, "PYTHONPATH": str(tmp_path), "COLUMNS": "100"}
    done = subprocess.run([sys.executable, *args], capture_output=True, text=True, cwd=tmp_path, env=env, timeout=120)
    assert done.returncode == 0, done.stderr
    assert "possible here" in done.stdout
    assert re.search(r"rank \d+ for the homeowner; grade: (robust|as tested)", done.stdout)
    assert "move a dryer" in done.stdout
    assert re.search(r"worst case, test day +over 99 % +under 1 %", done.stdout)
