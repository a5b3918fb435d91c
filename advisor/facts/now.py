"""What to do now and what every output warns of: which sentence applies, by id."""

from __future__ import annotations

from advisor import catalog
from advisor.case.model import Case
from advisor.facts.carbon_monoxide import ambient_stop_ppm
from advisor.facts.record import State, Verdict
from advisor.facts.scope import beyond
from advisor.findings import Finding, Value, quantity

NOW_OF: dict[State, str] = {
    "failed": "spills",
    "unproven": "unsure",
    "passed": "fine",
    "confirmed": "confirmed",
    "not confirmed": "not_confirmed",
}
"""Row of ``catalog/codes/now.csv`` that says what each state of the record asks for."""


def _sourced(table: str, room: str, key: str, **values: Value) -> Finding:
    """Return a finding with the sources that its row of a table names."""
    for row in catalog.table(table):
        if row["key"] == key:
            return Finding(f"{room}.{key}", tuple(values.items()), (row["source"],) if row["source"] else ())
    raise KeyError(key)


def to_do(key: str) -> Finding:
    """Return what one row of ``catalog/codes/now.csv`` asks for."""
    return _sourced("now", "now", key)


def now_list(case: Case, verdict: Verdict) -> tuple[Finding, ...]:
    """Return what to do now, most urgent first; what sounds like an all-clear stands alone or not at all."""
    keys: list[str] = ["symptoms" if danger in ("symptoms", "alarm") else danger for danger in verdict.dangers]
    state = next((s for s in verdict.states if s != "danger now"), verdict.leads)
    clear = state in ("passed", "confirmed")
    early = any(r.outcome == "early spillage" for r in verdict.runs)
    no_hood = state == "confirmed" and any(run.seen == "no hood" for run in case.run)
    if not (clear and verdict.dangers):
        keys.append("early" if state == "unproven" and early else "no_hood" if no_hood else NOW_OF[state])
    if verdict.room_co_level == "amb_tell":
        keys.append("co_tell")
    if verdict.flue_co_over:
        keys.append("flue_co")
    if case.vent.condition in ("blocked", "disconnected") and not any(run.after_work for run in case.run):
        keys.append("vent_broken")
    if "in the past" in (case.occupants.symptoms, case.occupants.alarm_sounded):
        keys.append("past")
    keys.extend(beyond(case))
    if not case.occupants.co_alarms:
        keys.append("alarm")
    return tuple(to_do(key) for key in dict.fromkeys(keys))


def cautions() -> tuple[Finding, ...]:
    """Return the cautions that every output carries, in the order of ``catalog/codes/cautions.csv``."""
    stops = {"tester": quantity(ambient_stop_ppm(), "ppm")}
    return tuple(
        _sourced("cautions", "now.caution", key, **({"stop": stops[key]} if key in stops else {}))
        for key in (row["key"] for row in catalog.table("cautions"))
    )
