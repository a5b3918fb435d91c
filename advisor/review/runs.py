"""The published test limits, held against the runs of the record."""

from __future__ import annotations

from dataclasses import replace

from advisor.case.model import Case, Run
from advisor.codes.check import Check
from advisor.codes.co_limits import check_ambient_co, check_flue_co
from advisor.codes.co_older import DraftResult, with_older_action
from advisor.codes.limits import (
    DepressurizationLimit,
    Shared,
    check_draft,
    check_possible_depressurization,
    depressurization_limit,
    spillage_checks,
)
from advisor.facts import burners
from advisor.facts.record import verdict_of
from advisor.facts.spillage import limit_for


def record_checks(case: Case) -> tuple[Check, ...]:
    """The published test limits, held against every run made before any work."""
    checks: list[Check] = []
    results = draft_results(case)
    for run in case.run:
        checks.extend(run_checks(case, run, results))
    return tuple(checks)


def draft_results(case: Case) -> tuple[DraftResult, ...]:
    """Return what the draft test before any work showed, as the older action levels sort it; several where it is not clear.

    Natural conditions are a run with no device on. A failure with none of those runs on record may be either.
    """
    before = [run for run in verdict_of(case).runs if run.after_work is None]
    failing = [case.run[run.index] for run in before if run.outcome == "failure"]
    drafting = [case.run[run.index] for run in before if run.outcome in ("pass", "unproven")]
    if any(run.devices_on == [] for run in failing):
        return ("fails_natural",)
    if failing:
        alone = any(run.devices_on == [] for run in drafting)
        return ("fails_worst_case",) if alone else ("fails_worst_case", "fails_natural")
    return ("passes",) if drafting else ()


def run_checks(case: Case, run: Run, results: tuple[DraftResult, ...] = ()) -> tuple[Check, ...]:
    """Pressure, draft, spillage time and CO of one run against their published lines."""
    checks: list[Check] = []
    if run.zone_depressurization_pa is not None and run.baseline_depressurization_pa is not None:
        net = run.zone_depressurization_pa - run.baseline_depressurization_pa
        checks.append(check_possible_depressurization(net, *pressure_limits(case)))
    if run.draft_pa is not None and run.outdoor_temp_f is not None:
        checks.append(check_draft(run.draft_pa, run.outdoor_temp_f))
    if run.seconds_to_draft is not None or run.seen in ("spilling", "reversed"):
        stopped = run.seconds_to_draft if run.seen == "drafting" else None
        line = limit_for(case, run.vent_cold_at_start)
        checks.extend(spillage_checks(stopped, line.key, watched_s=run.seconds_after_lit))
    if run.flue_co_ppm is not None:
        flue = check_flue_co(run.flue_co_ppm, oxygen_pct=run.flue_o2_pct)
        checks.append(with_older_action(flue, run.flue_co_ppm, results if run.after_work is None else ()))
    if run.ambient_co_ppm is not None:
        checks.append(check_ambient_co(run.ambient_co_ppm))
    return tuple(replace(c, run=run.label) for c in checks)


def pressure_limits(case: Case) -> tuple[tuple[DepressurizationLimit, ...], tuple[str, ...]]:
    """Return every depressurization limit that may hold here, and what one would have to know to tell them apart."""
    vent, appliance = case.vent, burners.shared_with(case)
    if appliance is not None:
        word: Shared = "induced draft" if burners.by_fan(appliance) else "furnace"
        # how it vents decides between two limits, and natural draft is only what the case file fills in
        words: tuple[Shared, ...] = (word,) if appliance.draft is not None else ("furnace", "induced draft")
        limits = tuple(depressurization_limit(orphan=False, masonry_or_exterior=False, shared=w) for w in words)
        return limits, ("other_draft",) if len(words) > 1 else ()
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
