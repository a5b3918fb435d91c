"""The other appliances of the house as readers meet them: one table, one line each, said alike by every output."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from advisor.advice import Advice
from advisor.case.model import Run
from advisor.facts.appliances import ApplianceRecord
from advisor.facts.audit import Audit
from advisor.findings import Finding, Words, finding, quantity
from advisor.report.view.labels import named
from advisor.wording.speak import say, text

COLUMNS = ("name", "kind", "input", "vent", "tested", "verdict")
"""Columns of the table."""


def appliance_heads() -> list[str]:
    """Return the headings of the table of the other appliances."""
    return [text(f"view.appliance.{name}") for name in COLUMNS]


def _tested(one: ApplianceRecord) -> Words:
    if not one.runs:
        return finding("view.appliance.not_judged")
    return finding("view.appliance.judged", count=quantity(len(one.runs), "count"))


def verdict_words(one: ApplianceRecord) -> Finding:
    """Return the verdict of one of them; that nobody judged it since the last work where that is so."""
    state = named("state", one.state)
    return finding("view.appliance.stale", state=state) if one.stale else state


def _cells(one: ApplianceRecord) -> list[Words]:
    return [
        one.name,
        named("appliance_kind", one.kind),
        finding("appliances.input_unknown") if one.input_btu_h is None else quantity(one.input_btu_h, "btu_h"),
        named("appliance_vent", one.vent or "not written down"),
        _tested(one),
        verdict_words(one),
    ]


def appliance_rows(records: Sequence[ApplianceRecord]) -> list[list[str]]:
    """Return the table of the other appliances, said: name, kind, input, vent, tested, verdict."""
    return [[say(cell) for cell in _cells(one)] for one in records]


def appliance_lines(records: Sequence[ApplianceRecord]) -> list[Finding]:
    """Return one line for each of the other appliances."""
    return [finding("view.appliance.line", **dict(zip(COLUMNS, _cells(one), strict=True))) for one in records]


def audits_of_others(advice: Advice) -> list[tuple[Run, Audit]]:
    """Return the runs that judged another appliance, with what each shows, under the name of the appliance."""
    return [
        pair
        for one in advice.verdict.others
        for pair in zip((r for r in advice.as_read.run if r.appliance == one.name), one.audits, strict=True)
    ]


def run_label(run: Run) -> str:
    """Return the label of a run, with the name of the appliance that it judged where that is not the heater."""
    return run.label if run.appliance is None else text("view.appliance.run", name=run.appliance, label=run.label)


def common_view(advice: Advice) -> dict[str, Any]:
    """Return what every page prints of the other appliances."""
    records = advice.verdict.others
    return {
        "appliances": appliance_rows(records),
        "appliance_heads": appliance_heads() if records else [],
        "beside": [say(words) for words in advice.beside_options],
    }


__all__ = [
    "appliance_heads",
    "appliance_lines",
    "appliance_rows",
    "audits_of_others",
    "common_view",
    "run_label",
    "verdict_words",
]
