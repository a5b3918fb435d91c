"""What every run of the record shows, and what is still to be written down or done again: findings, run by run."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

from advisor.case.model import Case, Run
from advisor.facts.judged import runs_of
from advisor.facts.run_conditions import STRONG_SIGNS, Held
from advisor.facts.run_verdict import RunVerdict
from advisor.findings import Finding, Listed, Quantity, Words, finding, listed, quantity, slug

READINGS = (
    "outdoor_temp_f",
    "wind_mph",
    "seconds_after_lit",
    "zone_depressurization_pa",
    "baseline_depressurization_pa",
    "flue_co_ppm",
    "ambient_co_ppm",
)
"""Keys of a run that are read off an instrument."""
UNITS = {"judged_in_time": "s", "wind": "mph", "room_co": "ppm", "flue_co": "ppm"}
"""Unit of value and limit of the conditions that compare numbers."""
WHOLE_FROM = 10.0
"""Readings from here on are said in whole numbers."""


@dataclass(frozen=True, slots=True)
class Audit:
    """What one run shows.

    Parameters
    ----------
    label : str
        The run's label.
    worst_case : bool
        Was every condition of the worst case met and written down?
    shows : Finding
        What the run shows, in one sentence without its end.
    shortfalls : tuple of Finding
        Conditions that were not met.
    unwritten : tuple of Finding
        Conditions that nobody wrote down, where that spoils a pass.
    missing : tuple of Finding
        Readings that were not written down.
    redo : tuple of Finding
        What to write down or do again so that the run can prove a pass.
    """

    label: str
    worst_case: bool
    shows: Words
    shortfalls: tuple[Words, ...]
    unwritten: tuple[Words, ...]
    missing: tuple[Words, ...]
    redo: tuple[Words, ...]


def _names(held: Held) -> Listed:
    """Return devices and readings as typed, signs by their id."""
    shown = (finding(f"record.sign.{slug(n)}") if n in STRONG_SIGNS else n for n in held.names)
    return listed(finding("record.quoted", name=one) for one in shown)


def _number(value: float | None, unit: str) -> Quantity:
    return quantity(value, unit, 0 if value is not None and value >= WHOLE_FROM else 2)


def _about(what: str, held: Held) -> Finding:
    return finding(f"record.{what}.{held.id}")


def condition(held: Held) -> Finding:
    """Return what is short of a condition that is not met or not written down."""
    if held.state != "not met":
        return finding("record.not_written_down", what=unwritten(held))
    found, unit = _about("not_met", held), UNITS.get(held.id)
    if held.names:
        found = found.with_values(names=_names(held))
    if unit is not None:
        found = found.with_values(value=_number(held.value, unit), limit=_number(held.limit, unit))
    return found


def asked(held: Held) -> Finding:
    """Return what a condition asks for."""
    return _about("asks", held)


def unwritten(held: Held) -> Finding:
    """Return what nobody wrote down of a condition."""
    return _about("not_written", held)


def redo(held: Held) -> Finding:
    """Return what to write down or do again so that a condition is met."""
    found, unit = _about("redo", held), UNITS.get(held.id)
    return found if unit is None else found.with_values(limit=_number(held.limit, unit))


def _shows(run: Run, verdict: RunVerdict) -> Finding:
    name = slug(verdict.outcome)
    if verdict.outcome == "failure" and verdict.hardened:
        name = "failure_hardened"
    elif verdict.outcome == "failure" and verdict.eased:
        name = "failure_eased"
    elif verdict.outcome == "unproven" and verdict.void:
        name = "unproven_void"
    elif verdict.outcome == "pass" and run.seen == "no hood":
        name = "pass_no_hood"
    if verdict.outcome == "failure" and run.appliance is not None:
        name = f"{name}_other"
    found = finding(f"record.shows.{name}", limit=_number(verdict.limit.limit_s, "s"), scheme=verdict.limit.scheme)
    if run.appliance is not None:
        found = found.with_values(name=run.appliance)
    if verdict.outcome == "early spillage":
        return found.with_values(when=_number(run.seconds_after_lit or 0.0, "s"))
    if name.startswith("failure_hardened"):
        return found.with_values(why=listed((condition(h) for h in verdict.hardened), "semicolon"))
    if verdict.outcome == "unproven":
        told = next((h for h in verdict.spoiling if h.state == "not met"), None)
        return found.with_values(why=finding("record.shows.too_little") if told is None else condition(told))
    return found


def audits_of(runs: Sequence[Run], verdicts: Sequence[RunVerdict]) -> tuple[Audit, ...]:
    """Return what every run of an appliance shows.

    Parameters
    ----------
    runs : sequence of Run
        The runs that judged it.
    verdicts : sequence of RunVerdict
        What each shows by itself, in the same order.

    Returns
    -------
    tuple of Audit
        One a run, in the order of the record.
    """
    found = []
    for run, one in zip(runs, verdicts, strict=True):
        # a failure needs no valid worst case: what was not written down takes nothing from it
        open_ = () if one.outcome == "failure" else tuple(h for h in one.spoiling if h.state == "not written down")
        found.append(
            Audit(
                one.label,
                not one.spoiling,
                _shows(run, one),
                tuple(condition(h) for h in one.conditions if h.state == "not met"),
                tuple(unwritten(h) for h in open_),
                tuple(finding(f"record.reading.{key}") for key in READINGS if getattr(run, key) is None),
                tuple(dict.fromkeys(redo(h) for h in one.spoiling)),
            )
        )
    return tuple(found)


class _Judged(Protocol):
    """What was judged run by run."""

    @property
    def runs(self) -> tuple[RunVerdict, ...]: ...


def audits(case: Case, verdict: _Judged) -> tuple[Audit, ...]:
    """Return what every run of the heater shows.

    Parameters
    ----------
    case : Case
        What was found.
    verdict : Verdict
        Of its record.

    Returns
    -------
    tuple of Audit
        One a run, in the order of the record.
    """
    return audits_of(runs_of(case, None), verdict.runs)
