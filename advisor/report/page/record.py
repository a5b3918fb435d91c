"""The test record, code checks and unknowns as pages and workbook print them."""

from __future__ import annotations

from typing import Any

from advisor.advice import Advice
from advisor.case.model import Run
from advisor.codes.check import Check
from advisor.facts.assumed import assumed_values
from advisor.facts.audit import Audit
from advisor.report.view.units_text import Units
from advisor.wording.assumed import worth_words
from advisor.wording.checks import official_words, rule_words
from advisor.wording.speak import say, speaking

RUN_FIELDS = (
    ("outdoor_temp_f", "outdoor temperature", "F"),
    ("indoor_temp_f", "temperature at the heater", "F"),
    ("wind_mph", "wind", "mph"),
    ("baseline_depressurization_pa", "baseline depressurization", "Pa"),
    ("zone_depressurization_pa", "zone depressurization", "Pa"),
    ("draft_pa", "draft", "Pa"),
    ("seconds_after_lit", "judged after", "s"),
    ("seconds_to_draft", "time to draft", "s"),
    ("flue_co_ppm", "CO in the flue", "ppm"),
    ("flue_o2_pct", "O2 in the flue", "%"),
    ("ambient_co_ppm", "CO in the room", "ppm"),
    ("window_open_ft2", "window open", "ft2"),
)


def run_rows(run: Run, units: Units) -> list[tuple[str, str]]:
    """Return a run of the record as pairs of words and values."""
    rows = [
        ("seen at the draft hood", f"{run.seen} ({run.method})"),
        ("devices on", "not written down" if run.devices_on is None else ", ".join(run.devices_on) or "none"),
    ]
    rows += [
        ("door of the zone", run.zone_door or "not written down"),
        ("interior doors", run.interior_doors or "not written down"),
    ]
    rows += [("air handler", run.air_handler or "not written down"), ("air opening", run.intake or "not written down")]
    if run.shared_appliance == "firing":
        rows.append(("appliance on the same vent", "firing"))
    if run.after_work is not None:
        rows.append(("retest after", run.after_work))
    for name, words, unit in RUN_FIELDS:
        value = getattr(run, name)
        if value is None or (name == "window_open_ft2" and value == 0.0):
            continue
        number, shown = units.number(value, unit)
        rows.append((words, f"{number:.0f} {shown}" if unit == "F" else f"{number:.3g} {shown}"))
    return rows


def audit_view(run: Run, found: Audit, units: Units) -> dict[str, Any]:
    """Return a run and its audit."""
    return {
        "label": found.label,
        "shows": units.text(found.shows),
        "worst_case": "counts as a worst case" if found.worst_case else "does not count as a worst case",
        "rows": run_rows(run, units),
        "shortfalls": [units.text(s) for s in found.shortfalls],
        "unwritten": [] if found.worst_case else [units.text(u) for u in found.unwritten],
        "redo": [units.text(r) for r in found.redo],
        "missing": found.missing,
    }


VERDICT_SHAPES = {"pass": "✓", "fail": "✗", "unknown": "?", "not applicable": "–"}


def check_view(check: Check, units: Units) -> dict[str, str]:
    """Return a code check as text."""
    return {
        "verdict": check.verdict,
        "shape": VERDICT_SHAPES.get(check.verdict, "!"),
        "rule": units.text(rule_words(check)),
        "clause": check.clause,
        "status": check.status,
        "client": units.text(say(check.client)),
        "official": units.text(official_words(check)),
    }


def amendment_words(advice: Advice, units: Units) -> list[str]:
    """Return the local rules in force, each beside the published one."""
    return [
        units.text(f"{a.key}: {a.value:g} {a.unit} here ({a.source}); published {a.published:g} {a.unit} ({a.ref})")
        for a in advice.amendments
    ]


def worth_knowing(advice: Advice, units: Units) -> list[str]:
    """Return the unmeasured values, each with what knowing it would buy."""
    with speaking(units.system):  # by their ids, from the case: sentences that were said already have none
        return [worth_words(one) for one in assumed_values(advice.case)]


def worst_first(check: Check) -> int:
    """Return the place of a check in a list that shows what is wrong first."""
    return {"fail": 0, "outside the table: engineered design": 1, "unknown": 2, "pass": 3}.get(check.verdict, 4)
