"""Work out one remedy for the situations that fit the record: its physics, money and risk."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from advisor import catalog
from advisor.codes.check import Check
from advisor.codes.places import RULES as PLACE_RULES
from advisor.ensemble import conditions
from advisor.ensemble.state import State
from advisor.ensemble.weighted import Band, Range
from advisor.findings import Finding, Words, finding, listed
from advisor.money.bill import Bill, BillLine
from advisor.ranking.gates import LEAVES_IT, barred_by, grade, limits
from advisor.ranking.left_behind import later_notes, leaves_others, left_notes
from advisor.ranking.lifetime import lifetime_of
from advisor.ranking.near import look_closer
from advisor.ranking.options import Figures, Outcomes, Spillage, Worked
from advisor.ranking.parallel import in_two, two_cores
from advisor.ranking.reasons import grade_reasons
from advisor.ranking.setting import Setting, Simulated, hours_of, simulated
from advisor.ranking.value import value_parts
from advisor.remedies.base import Job, Remedy, RemedyRow, Sized
from advisor.remedies.combustion_air import code_air, makeup_line
from advisor.remedies.replacement import fits, needs_here
from advisor.review.exhaust import owes_makeup
from advisor.review.option import broken_rules, lacks_air, option_checks, place_notes
from advisor.risk.score import ScoreParts, burning_of, everyday_counts, score_parts

SHARED_LINES = ("PERMIT", "RETEST", "GRILLE_PAIR", "OUT_120", "CLEAR_AIR")
"""Lines of a bill that a bundle needs once."""
MAKEUP_NOTE = finding("ranking.makeup_air_is_priced")
MAKES_UP = {"passive_makeup_air", "powered_makeup_air"}
"""Remedies that bring make-up air of their own: none is charged beside it."""


def bill_of(job: Job, sized: Sized) -> Bill:
    """Return the bill of work of a sized remedy, with the contractor's settings of the case."""
    money = job.case.money
    return Bill(
        sized.lines,
        margin_fraction=money.margin_pct / 100.0,
        tax_fraction=money.tax_pct / 100.0,
        region_factor=money.region_factor,
    )


def with_code(job: Job, remedy: Remedy, sized: Sized) -> Sized:
    """Add the code checks of what an option ends up with, and the air openings that the code asks of a kept heater."""
    checks = option_checks(job, remedy, sized)
    lines, notes = sized.lines, (*sized.notes, *place_notes(checks))
    if remedy.id != "leave_as_found" and lacks_air(checks):
        air, note = code_air(job)
        lines, notes = (*lines, *air), (*notes, note)
    if remedy.id != "leave_as_found" and not MAKES_UP & set(remedy.id.split("+")) and owes_makeup(checks):
        lines = (*lines, makeup_line(job))
        notes = (*notes, MAKEUP_NOTE)
    if remedy.id != "leave_as_found" and (remedy.keeps_heater or remedy.id in ("like_for_like", "fan_assisted")):
        # whatever still needs the old vent is proven by a retest, so the retest is charged to it
        lines = (*lines, job.line("RETEST"))
    elif leaves_others(job.case, remedy):
        # what stays on the vent is tested without the heater
        lines = (*lines, job.line("RETEST"))
    notes = (*notes, *later_notes(job.case, checks))
    return replace(sized, lines=lines, checks=checks, notes=notes)


@dataclass(frozen=True, slots=True)
class Bundle(Remedy):
    """Several remedies carried out together, as one remedy."""

    members: tuple[Remedy, ...] = ()

    @property
    def row(self) -> RemedyRow:
        """Catalog row of the member that takes longest, with the bundle's own id and disruption."""
        rows = [m.row for m in self.members]
        slowest = max(rows, key=lambda r: r.lead_days_typ)
        disruption = min(1.0, sum(r.disruption for r in rows))
        return replace(slowest, id=self.id, family="bundle", disruption=disruption)

    @property
    def title(self) -> Finding:
        """Titles of the members, in order."""
        first, *others = (m.title for m in self.members)
        for other in others:
            first = finding("ranking.together", first=first, second=other)
        return first

    @property
    def needs(self) -> Finding:
        """What the members need, in order."""
        return finding("ranking.needs_together", needs=listed((m.needs for m in self.members), "semicolon"))


def bundled(members: tuple[Remedy, ...]) -> Bundle:
    """Return several remedies as one: members applied in turn, shared lines of the bill once."""

    def alter(state: State, job: Job) -> State:
        for member in members:
            state = member.alter(state, job)
        return state

    def size(job: Job) -> Sized:
        lines: dict[tuple[str, str], BillLine] = {}
        parts: list[Words] = []
        notes: list[Words] = []
        checks: dict[tuple[str, str], Check] = {}
        for member in members:
            sized = member.size(job)
            for line in sized.lines:
                once = line.measure_id in SHARED_LINES
                lines.setdefault((line.measure_id, "" if once else member.id), line)
            parts += sized.parts
            notes += [n for n in sized.notes if n not in notes]
            checks |= {(c.rule, c.about): c for c in sized.checks}
        return Sized(tuple(lines.values()), tuple(parts), tuple(checks.values()), tuple(notes))

    return Bundle("+".join(m.id for m in members), lambda _: (), alter, size, members=members)


def work_out(setting: Setting, remedy: Remedy) -> Worked:
    """Return all that can be said of one remedy by itself."""
    state = state_after(setting, remedy)
    figures, outcomes = figures_of(setting, remedy, state)
    return Worked(figures, outcomes, state)


def work_out_all(setting: Setting, remedies: Sequence[Remedy]) -> list[Worked]:
    """Work out every remedy, on two cores where that helps; the answer is the same either way."""
    # what all share is worked out before the fork, so that both halves find it ready
    _ = (setting.as_found, setting.exposure, setting.everyday)
    pairs = [(remedy, state_after(setting, remedy)) for remedy in remedies]

    def work(pair: tuple[Remedy, State]) -> tuple[Figures, Outcomes]:
        return figures_of(setting, *pair)

    found = in_two(pairs, work, two_cores(setting))
    return [Worked(figures, outcomes, state) for (_, state), (figures, outcomes) in zip(pairs, found, strict=True)]


def state_after(setting: Setting, remedy: Remedy) -> State:
    """Return the situations after a remedy's work; those as found where it is not possible here."""
    found = setting.posterior.state
    return found if remedy.refused(setting.job) else remedy.alter(found, setting.job)


def _simulated(setting: Setting, remedy: Remedy, state: State) -> Simulated:
    if state is setting.posterior.state:
        return setting.as_found
    own_vent = remedy.family in ("venting", "bundle") or not remedy.keeps_heater
    return simulated(setting, state, None if own_vent else setting.as_found.vent_runs_wet)


def _points(setting: Setting, remedy: Remedy, state: State, spillage: Spillage) -> tuple[ScoreParts, Band]:
    """Return the risk score as a sum of points, and the hours of spillage in a year."""
    # hours that do not count in the score are worked out only where somebody will read them
    wanted = everyday_counts() or spillage.tested <= limits()[0] or state is setting.posterior.state
    hours = hours_of(setting, state) if wanted else None
    # the same burner in the same room: what it would spill is the same for every option that keeps it
    points = score_parts(
        spillage.worst_case,
        spillage.stresses,
        0.0 if hours is None else hours.mean,
        setting.exposure.full_spill_severity,
        # what was seen of the house as it is counts in full, whatever is simulated
        (1.0,) if setting.verdict.seen_to_spill and remedy.id in LEAVES_IT else spillage.failing_runs,
        burning_of(state.appliance),
    )
    return points, Band(None, None, None) if hours is None else hours.band


def _disruption(remedy: Remedy) -> float:
    """How much a remedy disturbs the household, 0 to 1: half by the work, half by the wait for it."""
    lead = remedy.row.lead_days_typ
    return 0.5 * remedy.row.disruption + 0.5 * min(1.0, lead / catalog.number("risk", "lead_time_full_days"))


def _needs(needs: Finding, checks: tuple[Check, ...]) -> Finding:
    """Return what an option needs here; a rule of the place that fails unread is asked of the authority before it."""
    doubtful = any(c.rule in PLACE_RULES and c.verdict == "fail" and c.status == "memory" for c in checks)
    return finding("ranking.needs_place", needs=needs) if doubtful else needs


def _breaks(check: Check) -> Finding:
    """Say which rule bars an option; what bars a heater from its place is said once, on top, and only named here."""
    if check.rule in PLACE_RULES:
        return finding("ranking.barred_by_place", clause=check.clause, rule=check.name)
    return finding("ranking.breaks_code_rule", clause=check.clause, client=check.client)


def _reasons(
    setting: Setting, refused: tuple[Words, ...], spillage: Spillage, barred: str, wet: float
) -> tuple[Words, ...]:
    reasons: tuple[Words, ...] = refused or grade_reasons(spillage, conditions.test_day_f(setting.job.case), barred)
    if wet > catalog.number("safety", "wet_named_from") and not refused:
        reasons = (*reasons, finding("ranking.vent_runs_wet"))
    return reasons


def figures_of(setting: Setting, remedy: Remedy, state: State) -> tuple[Figures, Outcomes]:
    """Return the figures of one remedy, and whether each situation spills after it, by condition.

    Parameters
    ----------
    setting : Setting
        What all options share.
    remedy : Remedy
        What is done.
    state : State
        From `state_after`.
    """
    job, weight = setting.job, setting.posterior.weight
    refused = remedy.refused(job)
    sized = with_code(job, remedy, remedy.size(job))
    found = _simulated(setting, remedy, state)
    spillage, close = found.spillage, False
    if not refused and state.appliance != "none":
        spillage, close = look_closer(setting, remedy, found)
    bill = bill_of(job, sized)
    off = job.case.money.incentive_usd.get(remedy.id, 0.0)
    cost = Range(*(max(0.0, v - off) for v in (bill.low_usd, bill.typical_usd, bill.high_usd)))
    yearly = setting.household.yearly_cost(remedy.id, remedy.class_id)
    points, hours = _points(setting, remedy, state, spillage)
    wet, score = found.vent_runs_wet, points.score
    parts = value_parts(
        setting.viewpoint, score, cost.typical, yearly.typical, spillage.stresses, wet, _disruption(remedy)
    )
    barred = barred_by(remedy.id, state.appliance, setting.verdict, setting.explained)
    broken = broken_rules(sized.checks)
    failed = tuple(_breaks(check) for check in broken)
    fit = () if remedy.keeps_heater else fits(job, remedy.class_id)
    figures = Figures(
        id=remedy.id,
        title=remedy.title,
        family=remedy.family,
        appliance=state.appliance,
        eligible=not refused and not failed,
        safety=grade(spillage, remedy.id, state.appliance, setting.verdict, setting.explained),
        near_limit=close,
        barred_by=barred,
        reasons=(*_reasons(setting, refused, spillage, barred, wet), *failed),
        spillage=spillage,
        vent_runs_wet=wet,
        zone_depressurization_pa=Band.weighted(found.response.zone_depressurization_pa, weight),
        seconds_to_draft=Band.weighted(found.response.seconds_to_draft, weight),
        draft_pa=Band.weighted(found.response.draft_pa, weight),
        installed_cost_usd=cost,
        yearly_cost_usd=yearly,
        risk_score=score,
        value=sum(parts.values()),
        value_parts=parts,
        bill=sized.lines,
        parts=sized.parts,
        notes=(*sized.notes, *left_notes(setting, remedy, state)),
        checks=sized.checks,
        needs=_needs(needs_here(remedy, fit), sized.checks),
        lead_days=remedy.row.lead_days_typ,
        lifetime=lifetime_of(job, remedy, bill, setting.household, off),
        fit=fit,
        incentive_usd=off,
        score_parts=points,
        everyday_hours=hours,
        members=tuple(m.id for m in remedy.members) if isinstance(remedy, Bundle) else (),
        broken_rules=() if refused else tuple(c.rule for c in broken),
    )
    return figures, found.outcomes
