"""The test record and code checks as pages and workbook print them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from advisor.case.model import Run
from advisor.codes.check import Check
from advisor.facts.audit import Audit
from advisor.findings import Quantity, Words, listed, quantity
from advisor.report.view.appliances import run_label
from advisor.report.view.labels import label
from advisor.wording.checks import clause, official_words, rule_words
from advisor.wording.speak import say, say_all, text

RUN_FIELDS = (
    ("outdoor_temp_f", "f"),
    ("indoor_temp_f", "f"),
    ("wind_mph", "mph"),
    ("baseline_depressurization_pa", "pa"),
    ("zone_depressurization_pa", "pa"),
    ("draft_pa", "pa"),
    ("seconds_after_lit", "s"),
    ("seconds_to_draft", "s"),
    ("flue_co_ppm", "ppm"),
    ("flue_o2_pct", "pct"),
    ("ambient_co_ppm", "ppm"),
    ("window_open_ft2", "ft2"),
)
"""Readings of a run, and their units."""
TYPED_DIGITS = 3


def readings(run: Run) -> list[tuple[str, Quantity]]:
    """Return the readings of a run that were taken: their names and what was read."""
    found = []
    for name, unit in RUN_FIELDS:
        value = getattr(run, name)
        if value is not None and not (name == "window_open_ft2" and value == 0.0):
            found.append((text(f"page.run.{name}"), quantity(value, unit, 0 if unit == "f" else TYPED_DIGITS)))
    return found


def answers(run: Run) -> list[tuple[str, str]]:
    """Return how a run was made: the names of its conditions and what was written down."""
    seen = text(
        "page.run.seen_by", seen=label("answer", run.seen), method=label("answer", run.method or "not written down")
    )
    rows = [(text("page.run.seen"), seen), (text("page.run.devices_on"), _devices(run.devices_on))]
    for name in ("zone_door", "interior_doors", "air_handler", "intake"):
        answer = getattr(run, name)
        rows.append((text(f"page.run.{name}"), label("answer", answer or "not written down")))
    if run.firing:
        rows.append((text("page.run.firing"), say(listed(run.firing))))
    if run.after_work is not None:
        rows.append((text("page.run.after_work"), run.after_work))
    return rows


def _devices(names: Sequence[str] | None) -> str:
    if names is None:
        return label("answer", "not written down")
    return say(listed(names)) if names else label("answer", "none")


def run_rows(run: Run) -> list[tuple[str, str]]:
    """Return a run of the record as pairs of words and values."""
    return [*answers(run), *((name, say(read)) for name, read in readings(run))]


def audit_view(run: Run, found: Audit) -> dict[str, Any]:
    """Return a run and its audit."""
    return {
        "label": run_label(run),
        "shows": say(found.shows),
        "worst_case": text("page.run.worst_case" if found.worst_case else "page.run.no_worst_case"),
        "rows": run_rows(run),
        "shortfalls": say_all(found.shortfalls),
        "unwritten": [] if found.worst_case else say_all(found.unwritten),
        "redo": say_all(found.redo),
        "missing": say(listed(found.missing)),
    }


VERDICT_SHAPES = {"pass": "✓", "fail": "✗", "unknown": "?", "not applicable": "–"}


def check_view(check: Check) -> dict[str, str]:
    """Return a code check as text."""
    return {
        "verdict": label("verdict", check.verdict),
        "kind": {"pass": "good", "fail": "bad"}.get(check.verdict, ""),
        "shape": VERDICT_SHAPES.get(check.verdict, "!"),
        "rule": rule_words(check),
        "clause": _clause(check),
        "status": label("status", check.status),
        "client": say(check.client),
        "official": official_words(check),
    }


def _clause(check: Check) -> str:
    words = clause(check)
    return text("page.clause_from_memory", clause=words) if check.status == "memory" else say(words)


def worst_first(check: Check) -> int:
    """Return the place of a check in a list that shows what is wrong first."""
    return {"fail": 0, "outside the table: engineered design": 1, "unknown": 2, "pass": 3}.get(check.verdict, 4)


def sentences(items: Sequence[Words]) -> list[str]:
    """Return things said, each with a capital first letter."""
    return [said[:1].upper() + said[1:] for said in say_all(items)]
