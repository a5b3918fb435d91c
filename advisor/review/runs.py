"""The published test limits, held against the runs of the record."""

from __future__ import annotations

from dataclasses import replace

from advisor.case.model import Case, Run
from advisor.case.parts import Appliance
from advisor.codes.check import Check
from advisor.codes.co_limits import check_ambient_co, check_flue_co
from advisor.codes.co_older import DraftResult, with_older_action
from advisor.codes.limits import (
    ApplianceDraft,
    DepressurizationLimit,
    Shared,
    check_draft,
    check_possible_depressurization,
    depressurization_limit,
    spillage_checks,
)
from advisor.facts import burners, sharing
from advisor.facts.carbon_monoxide import flue_level
from advisor.facts.judged import runs_of
from advisor.facts.run_verdict import judged_runs
from advisor.facts.spillage import limit_for


def record_checks(case: Case) -> tuple[Check, ...]:
    """The published test limits, held against every run of every appliance."""
    checks: list[Check] = []
    results = {name: draft_results(case, name) for name in {run.appliance for run in case.run}}
    for run in case.run:
        checks.extend(run_checks(case, run, results[run.appliance]))
    return tuple(checks)


def draft_results(case: Case, judged: str | None = None) -> tuple[DraftResult, ...]:
    """Return what the draft test before any work showed, as the older action levels sort it; several where it is not clear.

    Natural conditions are a run with no device on. A failure with none of those runs on record may be either.
    """
    runs = runs_of(case, judged)
    before = [run for run in judged_runs(case, judged) if run.after_work is None]
    failing = [runs[run.index] for run in before if run.outcome == "failure"]
    drafting = [runs[run.index] for run in before if run.outcome in ("pass", "unproven")]
    if any(run.devices_on == [] for run in failing):
        return ("fails_natural",)
    if failing:
        alone = any(run.devices_on == [] for run in drafting)
        return ("fails_worst_case",) if alone else ("fails_worst_case", "fails_natural")
    return ("passes",) if drafting else ()


def run_checks(case: Case, run: Run, results: tuple[DraftResult, ...] = ()) -> tuple[Check, ...]:
    """Pressure, draft, spillage time and CO of one run against the published lines of the appliance that was judged."""
    checks: list[Check] = []
    if run.zone_depressurization_pa is not None and run.baseline_depressurization_pa is not None:
        net = run.zone_depressurization_pa - run.baseline_depressurization_pa
        limits, missing = pressure_limits_of(case, run.appliance)
        checks += [check_possible_depressurization(net, limits, missing)] if limits else []
    if run.draft_pa is not None and run.outdoor_temp_f is not None:
        checks.append(check_draft(run.draft_pa, run.outdoor_temp_f))
    if run.seconds_to_draft is not None or run.seen in ("spilling", "reversed"):
        stopped = run.seconds_to_draft if run.seen == "drafting" else None
        line = limit_for(case, run.vent_cold_at_start)
        checks.extend(spillage_checks(stopped, line.key, watched_s=run.seconds_after_lit))
    level = flue_level(sharing.kind_of(case, run.appliance))
    if run.flue_co_ppm is not None and level is not None:
        flue = check_flue_co(run.flue_co_ppm, oxygen_pct=run.flue_o2_pct, key=level.key)
        checks.append(with_older_action(flue, run.flue_co_ppm, results if run.after_work is None else ()))
    if run.ambient_co_ppm is not None:
        checks.append(check_ambient_co(run.ambient_co_ppm))
    label = run.label if run.appliance is None else f"{run.appliance}: {run.label}"
    return tuple(replace(c, run=label) for c in checks)


def pressure_limits_of(case: Case, judged: str | None) -> tuple[tuple[DepressurizationLimit, ...], tuple[str, ...]]:
    """Return every depressurization limit that may hold for an appliance, and what would tell them apart.

    Parameters
    ----------
    case : Case
        What was found.
    judged : str or None
        Name of the appliance; None for the heater.

    Returns
    -------
    tuple
        No limit where none is printed for its kind.
    """
    one = sharing.appliance_of(case, judged)
    if one is None:
        return pressure_limits(case)
    if one.kind not in LIMITED_KINDS:
        return (), ()
    common = () if one.vent in ("own", "none") else _common(one)
    alone = () if one.vent == "with the heater" else _alone(one)
    missing = (*(("other_draft",) if one.draft is None else ()), *(("shared",) if one.vent is None else ()))
    return (*common, *alone), missing


LIMITED_KINDS = ("water heater", "furnace", "boiler", "room heater")
"""Kinds of appliance that the lists of depressurization limits are printed for."""


def _common(one: Appliance) -> tuple[DepressurizationLimit, ...]:
    """Return the limits of an appliance that shares the heater's vent."""
    words: tuple[Shared, ...] = ("induced draft" if burners.by_fan(one) else "furnace",)
    # how it vents decides between two limits, and natural draft is only what is usual
    words = words if one.draft is not None else ("furnace", "induced draft")
    return tuple(depressurization_limit(orphan=False, masonry_or_exterior=False, shared=word) for word in words)


ALONE: dict[str, ApplianceDraft] = {
    "natural": "natural draft",
    "fan-assisted": "induced draft",
    "power-vented": "power vent",
    "sealed": "sealed",
}
"""How an appliance alone on its vent drafts, as the lists of limits call it."""


def _alone(one: Appliance) -> tuple[DepressurizationLimit, ...]:
    """Return the limits of an appliance with a vent of its own."""
    drafts = ("natural", "fan-assisted") if one.draft is None else (one.draft,)
    return tuple(
        depressurization_limit(orphan=False, masonry_or_exterior=False, appliance=ALONE[draft]) for draft in drafts
    )


def pressure_limits(case: Case) -> tuple[tuple[DepressurizationLimit, ...], tuple[str, ...]]:
    """Return every depressurization limit that may hold here, and what one would have to know to tell them apart."""
    vent, appliance = case.vent, burners.shared_with(case)
    if appliance is not None:
        return _common(appliance), ("other_draft",) if appliance.draft is None else ()
    answers = {
        "shared": vent.shared,
        "was_shared": vent.was_shared,
        "vent_material": None if vent.vertical is None else vent.vertical == "masonry",
        "exposure": vent.exterior,
    }
    missing = tuple(name for name, answer in answers.items() if answer is None or (name == "shared" and answer))
    strict = depressurization_limit(orphan=True, masonry_or_exterior=False)
    lax = depressurization_limit(orphan=False, masonry_or_exterior=False)
    cold = any(answers[name] for name in ("was_shared", "vent_material", "exposure"))
    if cold and "shared" not in missing:
        return (strict,), ()
    return ((strict, lax), missing) if missing else ((lax,), ())
