"""Work out one remedy for the situations that fit the record: its physics, money and risk."""

from __future__ import annotations

from dataclasses import dataclass, replace
from types import MappingProxyType

from advisor import catalog
from advisor.codes.check import Check
from advisor.ensemble import conditions
from advisor.ensemble.state import State
from advisor.findings import Words, finding
from advisor.money.bill import Bill, BillLine
from advisor.ranking.gates import LEAVES_IT, barred_by, grade, grade_reasons, limits
from advisor.ranking.lifetime import against, lifetime_of
from advisor.ranking.near import look_closer
from advisor.ranking.options import Band, Option, Range
from advisor.ranking.setting import AS_FOUND, Setting, hours_of, share_wet, spillage_of, weighted_band
from advisor.ranking.value import value_parts
from advisor.remedies.base import Job, Remedy, Sized
from advisor.remedies.replacement import fits
from advisor.review.option import broken_rules, lacks_air, option_checks
from advisor.risk.score import burning_of, everyday_counts, score_parts

SHARED_LINES = ("PERMIT", "RETEST", "GRILLE_PAIR", "OUT_120")
"""Lines of a bill that a bundle needs once."""
CODE_AIR_NOTE = (
    "the code also asks for combustion air here: a pair of openings to joined rooms or to outdoors is priced with it"
)


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
    lines, notes = sized.lines, sized.notes
    if remedy.id != "leave_as_found" and lacks_air(checks):
        lines = (*lines, job.line("GRILLE_PAIR", assumed=True))
        notes = (*notes, CODE_AIR_NOTE)
    if remedy.id != "leave_as_found" and (remedy.keeps_heater or remedy.id in ("like_for_like", "fan_assisted")):
        # whatever still needs the old vent is proven by a retest, so the retest is charged to it
        lines = (*lines, job.line("RETEST"))
    return replace(sized, lines=lines, checks=checks, notes=notes)


@dataclass(frozen=True, slots=True)
class Bundle(Remedy):
    """Several remedies carried out together, as one remedy."""

    members: tuple[Remedy, ...] = ()

    @property
    def row(self) -> catalog.Row:
        """Catalog row of the member that takes longest, with the bundle's own id, title and needs."""
        rows = [m.row for m in self.members]
        slowest = max(rows, key=lambda r: float(r["lead_days_typ"]))
        disruption = min(1.0, sum(float(r["disruption"]) for r in rows))
        return MappingProxyType(
            {
                **slowest,
                "id": self.id,
                "title": " + ".join(r["title"] for r in rows),
                "family": "bundle",
                "needs": "; ".join(r["needs"] for r in rows),
                "disruption": str(disruption),
            }
        )


def work_out_bundle(setting: Setting, members: tuple[Remedy, ...]) -> Option:
    """Return a bundle as one option: members applied in turn, shared lines of the bill once."""

    def alter(state: State, job: Job) -> State:
        for member in members:
            state = member.alter(state, job)
        return state

    def size(job: Job) -> Sized:
        lines: dict[tuple[str, str], BillLine] = {}
        parts: list[str] = []
        notes: list[str] = []
        checks: dict[str, Check] = {}
        for member in members:
            sized = member.size(job)
            for line in sized.lines:
                once = line.measure_id in SHARED_LINES
                lines.setdefault((line.measure_id, "" if once else member.id), line)
            parts += sized.parts
            notes += [n for n in sized.notes if n not in notes]
            checks |= {c.rule: c for c in sized.checks}
        return Sized(tuple(lines.values()), tuple(parts), tuple(checks.values()), tuple(notes))

    name = "+".join(m.id for m in members)
    bundle = Bundle(name, lambda _: (), alter, size, members)
    return replace(work_out(setting, bundle), members=tuple(m.id for m in members))


def work_out(setting: Setting, remedy: Remedy) -> Option:
    """Return one option with all its figures but its rank."""
    job, weight = setting.job, setting.posterior.weight
    refused = remedy.eligible(job)
    sized = with_code(job, remedy, remedy.size(job))
    state = setting.posterior.state if refused else remedy.alter(setting.posterior.state, job)
    if state is setting.posterior.state:
        spillage, worst, wet = setting.as_found
        setting.outcomes[remedy.id] = setting.outcomes[AS_FOUND]
    else:
        spillage, worst = spillage_of(setting, state, remedy.id)
        wet = (
            share_wet(setting, state)
            if remedy.family in ("venting", "bundle") or not remedy.keeps_heater
            else setting.as_found[2]
        )
    close = False
    if not refused and state.appliance != "none":
        spillage, close = look_closer(setting, remedy, spillage, setting.outcomes[remedy.id])
    setting.states[remedy.id] = state
    bill = bill_of(job, sized)
    off = job.case.money.incentive_usd.get(remedy.id, 0.0)
    cost = Range(*(max(0.0, v - off) for v in (bill.low_usd, bill.typical_usd, bill.high_usd)))
    yearly = setting.household.yearly_cost(remedy.id, remedy.class_id)
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
        (1.0,) if setting.verdict.failed and remedy.id in LEAVES_IT else spillage.failing_runs,
        burning_of(state.appliance),
    )
    score = points.score
    lead = float(remedy.row["lead_days_typ"])
    disruption = 0.5 * float(remedy.row["disruption"]) + 0.5 * min(
        1.0, lead / catalog.number("risk", "lead_time_full_days")
    )
    parts = value_parts(setting.viewpoint, score, cost.typical, yearly.typical, spillage.stresses, wet, disruption)
    test_f = conditions.test_day_f(job.case)
    explained = setting.explained
    barred = barred_by(remedy.id, state.appliance, setting.verdict, explained)
    reasons: tuple[Words, ...] = refused or grade_reasons(spillage, test_f, barred)
    if wet > catalog.number("safety", "wet_named_from") and not refused:
        reasons = (*reasons, "the vent runs wet inside: it corrodes or crumbles even where it drafts")
    broken = broken_rules(sized.checks)
    failed = tuple(finding("ranking.breaks_code_rule", clause=c.clause, client=c.client) for c in broken)
    return Option(
        id=remedy.id,
        title=remedy.title,
        family=remedy.family,
        rank=None,
        appliance=state.appliance,
        eligible=not refused and not failed,
        safety=grade(spillage, remedy.id, state.appliance, setting.verdict, explained),
        near_limit=close,
        barred_by=barred,
        reasons=(*reasons, *failed),
        spillage=spillage,
        vent_runs_wet=wet,
        zone_depressurization_pa=weighted_band(worst.zone_depressurization_pa, weight),
        seconds_to_draft=weighted_band(worst.seconds_to_draft, weight),
        draft_pa=weighted_band(worst.draft_pa, weight),
        installed_cost_usd=cost,
        yearly_cost_usd=yearly,
        risk_score=score,
        value=sum(parts.values()),
        value_parts=parts,
        bill=sized.lines,
        parts=sized.parts,
        notes=sized.notes,
        checks=sized.checks,
        needs=remedy.row["needs"],
        lead_days=lead,
        lifetime=lifetime_of(job, remedy, bill, setting.household, off),
        fit=() if remedy.keeps_heater else fits(job, remedy.class_id),
        incentive_usd=off,
        score_parts=points,
        everyday_hours=Band(None, None, None) if hours is None else Band(hours.p05, hours.p50, hours.p95),
        further_stress={},
        broken_rules=() if refused else tuple(c.rule for c in broken),
    )


def compared(options: list[Option]) -> list[Option]:
    """Fill in savings-to-investment and payback against the cheapest safe option that keeps a natural-draft heater."""
    safe = [o for o in options if o.eligible and o.safe_enough and o.appliance == "natural draft"]
    if not safe:
        return options
    base = min(safe, key=lambda o: o.lifetime.total_usd.typical)
    found = []
    for option in options:
        if option.id != base.id:
            ratio, years = against(
                base.lifetime, option.lifetime, base.yearly_cost_usd.typical, option.yearly_cost_usd.typical
            )
            lifetime = replace(option.lifetime, savings_to_investment=ratio, payback_years=years)
            option = replace(option, lifetime=lifetime)
        found.append(option)
    return found
