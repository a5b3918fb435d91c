"""Work out one remedy for the situations that fit the record: its physics, money and risk."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from types import MappingProxyType

import numpy as np

from advisor import catalog
from advisor.case.model import Case
from advisor.codes.check import Check
from advisor.ensemble import conditions
from advisor.ensemble.respond import Response, respond, vent_runs_wet
from advisor.ensemble.state import Array, Condition, Index, State
from advisor.evidence.posterior import Posterior
from advisor.facts.record import Verdict
from advisor.money.bill import Bill, BillLine
from advisor.ranking import household
from advisor.ranking.gates import LEAVES_IT, barred_by, grade, grade_reasons, limits, near_the_limit
from advisor.ranking.lifetime import against, lifetime_of
from advisor.ranking.options import Band, Option, Range, Spillage, Viewpoint
from advisor.ranking.value import value_parts
from advisor.remedies.base import Job, Remedy, Sized
from advisor.remedies.replacement import fits
from advisor.remedies.review import broken_rules, lacks_air, option_checks
from advisor.risk.everyday import Everyday, everyday
from advisor.risk.exposure import Exposure, exposure
from advisor.risk.sampling import Percentiles, representative
from advisor.risk.score import burning_of, score_parts

AS_FOUND = "as found"
STRESS_LOOK = 1024
"""Situations in which the stresses of a failed option are looked at (numerical; a share is good to 1.5 points)."""
SHARED_LINES = ("PERMIT", "RETEST", "GRILLE_PAIR", "OUT_120")
"""Lines of a bill that a bundle needs once."""
CODE_AIR_NOTE = (
    "the code also asks for combustion air here: a pair of openings to joined rooms or to outdoors is priced with it"
)


@dataclass(frozen=True, slots=True)
class Test:
    """A condition that an option must hold in, and the allowed spillage time there, s."""

    condition: Condition
    allowed_s: float

    def spills(self, state: State) -> Array:
        """Return whether each situation spills beyond the allowed time, (n,) of 0 and 1."""
        if state.appliance == "none":
            return np.zeros(state.samples)
        return respond(state, self.condition).spills_beyond(self.allowed_s)


def failing_tests(case: Case, verdict: Verdict, state: State) -> tuple[Test, ...]:
    """Return the own condition of each run that was seen to fail, equal ones once."""
    found: list[Test] = []
    for run in verdict.failing:
        own = replace(conditions.of_run(case, state.devices, case.run[run.index]), name="failing run")
        test = Test(own, run.limit.limit_s)
        if test not in found:
            found.append(test)
    return tuple(found)


@dataclass(frozen=True)
class Setting:
    """What all options of a case share."""

    job: Job
    verdict: Verdict
    posterior: Posterior
    worst: Condition
    own: tuple[Test, ...]
    stresses: dict[str, Condition]
    allowed_s: float
    viewpoint: Viewpoint
    household: household.Household

    @property
    def tests(self) -> tuple[Test, ...]:
        """All conditions that an option must hold in: the worst case, and that of each failing run."""
        return (Test(self.worst, self.allowed_s), *self.own)

    def spills_in_tests(self, state: State) -> Array:
        """Return whether each situation spills in any of the tests, (n,) of 0 and 1."""
        return np.asarray(np.maximum.reduce([test.spills(state) for test in self.tests]))

    @cached_property
    def exposure(self) -> Exposure:
        """What the house as found would expose people to."""
        case, posterior = self.job.case, self.posterior
        return exposure(case, posterior.state, posterior.weight, self.worst, self.as_found[1])

    @cached_property
    def everyday(self) -> Everyday:
        """Hours a year of spillage in ordinary use, as found."""
        return everyday(self.job.case, self.posterior.state, self.posterior.weight, self.allowed_s)

    @cached_property
    def outcomes(self) -> dict[str, dict[str, Array]]:
        """Spillage of every option in every situation, by option id and condition: filled as options are worked out."""
        return {}

    @cached_property
    def states(self) -> dict[str, State]:
        """The situations after the work, by option id: filled as options are worked out."""
        return {}

    @cached_property
    def as_found(self) -> tuple[Spillage, Response, float]:
        """Spillage, worst-case response and wet share of the house as it was found."""
        spillage, worst = spillage_of(self, self.posterior.state, AS_FOUND)
        return spillage, worst, share_wet(self, self.posterior.state)


def hours_of(setting: Setting, state: State) -> Percentiles:
    """Hours a year of spillage in ordinary use; as found where the state is the one found."""
    if state is setting.posterior.state:
        return setting.everyday.hours_a_year
    return everyday(setting.job.case, state, setting.posterior.weight, setting.allowed_s).hours_a_year


def share_wet(setting: Setting, state: State) -> float:
    """Share of the fitting situations in which the vent runs wet."""
    return float(np.sum(setting.posterior.weight * vent_runs_wet(state, setting.worst)))


def weighted_band(values: Array, weight: Array) -> Band:
    """Weighted 5th, 50th and 95th percentiles; None where the percentile is infinite."""
    order: Index = np.argsort(values)
    ordered, share = values[order], np.cumsum(weight[order])
    picks = [float(ordered[min(int(np.searchsorted(share, p)), len(ordered) - 1)]) for p in (0.05, 0.5, 0.95)]
    return Band(*(p if np.isfinite(p) else None for p in picks))


def spillage_of(setting: Setting, state: State, key: str = "") -> tuple[Spillage, Response]:
    """Spillage shares under the worst case and every stress, and the worst-case response; kept under ``key``.

    What fails the worst case has no rank: its stresses are shown, not decided by, and a thinned ensemble is enough.
    """
    weight = setting.posterior.weight
    worst = respond(state, setting.worst)
    spills = {"worst_case": worst.spills_beyond(setting.allowed_s)}
    shares = {"worst_case": float(np.sum(weight * spills["worst_case"]))}
    for i, test in enumerate(setting.own):
        spills[f"failing_run_{i}"] = test.spills(state)
    own = tuple(float(np.sum(weight * spills[f"failing_run_{i}"])) for i in range(len(setting.own)))
    failed = max(shares["worst_case"], *own, 0.0) > limits()[0] and key != AS_FOUND
    part = state.take(representative(weight, STRESS_LOOK)) if failed and weight.size > STRESS_LOOK else state
    each = weight if part is state else np.full(STRESS_LOOK, 1.0 / STRESS_LOOK)
    for name, condition in setting.stresses.items():
        quiet = state.appliance == "none"
        outcome = np.zeros(part.samples) if quiet else respond(part, condition).spills_beyond(setting.allowed_s)
        shares[name] = float(np.sum(each * outcome))
        if part is state:
            spills[name] = outcome
    if key:
        setting.outcomes[key] = spills
    return Spillage(**{name: shares[name] for name in ("worst_case", *conditions.STRESSES)}, failing_runs=own), worst


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
    setting.states[remedy.id] = state
    bill = bill_of(job, sized)
    off = job.case.money.incentive_usd.get(remedy.id, 0.0)
    cost = Range(*(max(0.0, v - off) for v in (bill.low_usd, bill.typical_usd, bill.high_usd)))
    yearly = setting.household.yearly_cost(remedy.id, remedy.class_id)
    hours = hours_of(setting, state)
    # the same burner in the same room: what it would spill is the same for every option that keeps it
    points = score_parts(
        spillage.worst_case,
        spillage.stresses,
        hours.mean,
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
    explained = setting.posterior.explained
    barred = barred_by(remedy.id, state.appliance, setting.verdict, explained)
    reasons = refused or grade_reasons(spillage, test_f, barred)
    if wet > catalog.number("safety", "wet_named_from") and not refused:
        reasons = (*reasons, "the vent runs wet inside: it corrodes or crumbles even where it drafts")
    broken = broken_rules(sized.checks)
    failed = tuple(f"breaks a code rule ({c.clause}): {c.client}" for c in broken)
    return Option(
        id=remedy.id,
        title=remedy.title,
        family=remedy.family,
        rank=None,
        appliance=state.appliance,
        eligible=not refused and not failed,
        safety=grade(spillage, remedy.id, state.appliance, setting.verdict, explained),
        near_limit=near_the_limit(spillage, setting.posterior.effective_samples),
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
        everyday_hours=Band(hours.p05, hours.p50, hours.p95),
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
