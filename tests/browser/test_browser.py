"""A real browser opens the pages: phone, desk, dark and print; accessibility; no request to any network.

Needs Chromium (Debian package ``chromium``, or its path in ``CHROMIUM``) and, once, ``npm install`` in this folder. Without
them the check is skipped on a machine of one's own, and fails where ``CI`` is set.
"""

from __future__ import annotations

import datetime
import json
import os
import shutil
import subprocess
from pathlib import Path
from typing import Any

import pytest
from conftest import ROOT

from advisor.advice import setting_of
from advisor.case.read import read_case
from advisor.ranking.air_balance import air_balance
from advisor.ranking.drawn_situation import drawn_situation
from advisor.remedies import all_remedies
from advisor.report.page.build import render_page
from advisor.report.view.firm import Firm

HERE = Path(__file__).resolve().parent
VIEWS = ("phone", "desk", "dark", "print")
PAGES = (
    ("stored_insulation", "homeowner"),
    ("return_leak_in_the_closet", "homeowner"),
    ("stored_insulation", "inspector"),
    ("stored_insulation", "contractor"),
)
SERIOUS = ("serious", "critical")
LEAST_RULES = 20
"""Fewer rules than this would mean that the check did not really run (numerical guard)."""


def missing() -> str:
    """Say what is not installed; empty when all is there."""
    chromium = os.environ.get("CHROMIUM", "/usr/bin/chromium")
    if not Path(chromium).exists():
        return f"no browser at {chromium}: apt install chromium"
    if shutil.which("node") is None:
        return "no node: apt install nodejs npm"
    if not (HERE / "node_modules" / "axe-core").is_dir():
        return "run once: npm install --prefix tests/browser"
    return ""


@pytest.fixture(scope="module")
def found(advice_of, tmp_path_factory) -> list[dict[str, Any]]:  # type: ignore[no-untyped-def]
    lacking = missing()
    if lacking:
        if os.environ.get("CI"):
            pytest.fail(f"the browser check must run here: {lacking}")
        pytest.skip(lacking)
    folder = tmp_path_factory.mktemp("pages")
    case = read_case(ROOT / "demo" / "stored_insulation.toml")
    setting = setting_of(case, "homeowner", 256, 1)
    drawn = drawn_situation(setting)
    clear = next(r for r in all_remedies() if r.id == "clear_intake")
    before = air_balance(setting, drawn)
    after = air_balance(setting, drawn, None, clear.alter(setting.posterior.state, setting.job))
    paths = []
    for name, viewpoint in PAGES:
        firm = Firm(name="A Firm", license="No. 7") if viewpoint == "contractor" else None
        html = render_page(
            advice_of(name), viewpoint, firm, today=datetime.date(2026, 3, 2), air_before=before, air_after=after
        )  # type: ignore[arg-type]
        path = folder / f"{name}_{viewpoint}.html"
        path.write_text(html, encoding="utf-8")
        paths.append(str(path))
    done = subprocess.run(
        ["node", str(HERE / "check_pages.mjs"), *paths], capture_output=True, text=True, timeout=170, check=False
    )
    assert done.returncode == 0, done.stderr[-2000:]
    results: list[dict[str, Any]] = json.loads(done.stdout)
    assert len(results) == len(PAGES) * len(VIEWS)
    return results


@pytest.mark.parametrize("view", VIEWS)
def test_no_serious_accessibility_issue(found: list[dict[str, Any]], view: str) -> None:
    for result in (r for r in found if r["view"] == view):
        assert result["rules_run"] > LEAST_RULES
        serious = [v for v in result["violations"] if v["impact"] in SERIOUS]
        assert not serious, (result["page"], serious)


@pytest.mark.parametrize("view", VIEWS)
def test_page_asks_nothing_of_any_network(found: list[dict[str, Any]], view: str) -> None:
    for result in (r for r in found if r["view"] == view):
        assert result["requests"] == []
        assert result["errors"] == []
        assert result["dialogs"] == []
        assert result["scripts"] == 0


@pytest.mark.parametrize("view", VIEWS)
def test_page_fits_the_width(found: list[dict[str, Any]], view: str) -> None:
    for result in (r for r in found if r["view"] == view):
        assert result["too_wide"] <= 0, result["page"]


def test_the_check_finds_what_is_wrong(found: list[dict[str, Any]], tmp_path: Path) -> None:
    """A page with known faults is reported: no language, no text for a picture, pale words, a request."""
    page = tmp_path / "bad.html"
    page.write_text(
        "<html><head><title>x</title></head><body><img src='http://127.0.0.1:9/x.png'>"
        "<p style='color:#bbb;background:#fff'>pale</p></body></html>"
    )
    done = subprocess.run(
        ["node", str(HERE / "check_pages.mjs"), str(page)], capture_output=True, text=True, timeout=100, check=True
    )
    result = json.loads(done.stdout)[1]
    assert {"html-has-lang", "image-alt", "color-contrast"} <= {v["id"] for v in result["violations"]}
    assert result["requests"] == ["http://127.0.0.1:9/x.png"]
