"""The one path: case, situations that fit the record, causes, every remedy worked out, the ranking."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from types import MappingProxyType

from advisor import catalog
from advisor.case.model import Case
from advisor.catalog import Amendment
from advisor.codes.adoption import CodeInForce, code_in_force
from advisor.codes.check import Check
from advisor.ensemble import conditions
from advisor.ensemble.question import Question
from advisor.ensemble.weighted import Band, Range
from advisor.evidence.causes import Cause, causes
from advisor.evidence.coherence import Explanation
from advisor.evidence.contradictions import explained_by_nothing
from advisor.evidence.enough import Enough, enough_to_decide
from advisor.evidence.next_test import NextTest
from advisor.evidence.posterior import infer
from advisor.evidence.retest import PassLimits, Retest, pass_limits
from advisor.facts.assumed import assumed_values
from advisor.facts.audit import Audit, audits
from advisor.facts.beside import beside_options
from advisor.facts.judged import of_heater
from advisor.facts.now import cautions, now_list, place_comes_first
from advisor.facts.record import Verdict, verdict_of
from advisor.facts.spillage import allowed_seconds
from advisor.findings import Finding, Words
from advisor.money.prices import NO_OVERRIDES, Overrides
from advisor.ranking.acceptability import Comparison
from advisor.ranking.air_balance import AirBalance, air_before_after
from advisor.ranking.dated import Dated, dated_of
from advisor.ranking.follow_up import retests_of, tests_that_pay
from advisor.ranking.found import found_sentence
from advisor.ranking.household import Household
from advisor.ranking.options import Option, Spillage, Viewpoint
from advisor.ranking.ranked import ranking_of
from advisor.ranking.setting import Setting, failing_tests
from advisor.remedies.base import Job
from advisor.remedies.keep import interim_measures
from advisor.review.case import review
from advisor.risk.everyday import Everyday
from advisor.risk.exposure import Exposure
from advisor.risk.paper import PaperCard, disagreement, fill_card
from advisor.risk.score import ScoreParts, score_parts

SAMPLES = 4096
SEED = 1


@dataclass(frozen=True, slots=True)
class AsFound:
    """The house as it was found.

    Parameters
    ----------
    spillage : Spillage
        As for an option.
    sentence : Finding
        What was found, in one or two sentences a client understands.
    nothing_wrong : bool
        True when the verdict of the record is a valid worst-case pass and nothing speaks against it, nor the place.
    causes : tuple of Cause
        Likeliest first.
    zone_depressurization_pa : Range
        5th, 50th and 95th percentile in the worst case.
    risk_score, score_parts
        Risk score of the house as found, and its parts.
    exposure : Exposure
        CO, COHb, water and CO2 when it spills in the worst case.
    everyday : Everyday
        Hours of spillage a year in ordinary use.
    card : PaperCard
        The points card filled in.
    card_differs : Finding
        Whether card and simulation agree, and where not, why.
    """

    spillage: Spillage
    sentence: Words
    nothing_wrong: bool
    causes: tuple[Cause, ...]
    zone_depressurization_pa: Range
    risk_score: float
    score_parts: ScoreParts
    exposure: Exposure
    everyday: Everyday
    card: PaperCard
    card_differs: Words


@dataclass(frozen=True, slots=True)
class Advice:
    """Everything a report prints; reports compute nothing.

    Parameters
    ----------
    case : Case
        The input with the heater's own runs: what the advice rests on.
    as_read : Case
        The input with the runs of every appliance.
    viewpoint : str
        Whose weights ranked the options.
    catalog_hash : str
        Which data made the result.
    samples, seed : int
        Size and seed of the ensemble.
    effective_samples : float
        How many situations carry the weight.
    allowed_s : float
        Allowed spillage time.
    test_day_f : float
        Outdoor temperature of the worst case, F.
    verdict : Verdict
        What the record says, before anything was simulated: it leads every output.
    now : tuple of Finding
        What to do now, most urgent first.
    found : AsFound
        What was found.
    audits : tuple of Audit
        One for each recorded run.
    review : tuple of Check
        The codes applied to the case as found.
    code_in_force : CodeInForce
        Which code and edition the state has adopted, and whether its text was read.
    amendments : tuple of Amendment
        Local rules typed by the user that replaced published ones.
    beside_options : tuple of Finding
        What the ranking does not cover: other appliances that fail, and what their replacement does to the heater.
    options : tuple of Option
        In rank order, those without a rank last.
    dated : tuple of Dated
        Rules and payments that begin or end on a day, with the options that they touch; they rank nothing.
    comparison : Comparison
        How firm the ranking is: ties, and the unknowns that would change the winner.
    contradictions : tuple of Finding
        Parts of the record that no situation explains together.
    next_tests : tuple of NextTest
        Which test pays next, best first.
    enough : Enough
        Is the record enough to decide, and if not, why.
    retests : tuple of Retest
        What runs made after work have shown.
    pass_limits : PassLimits
        What a retest must meet.
    explanation : Explanation
        What the record says beside what the fitting situations would show.
    air_before, air_after : AirBalance
        Where the air goes in one situation (modelled), as it is now and after the first option; its vent does what the record
        says. After is None where none ranks, and once work was done.
    interim : tuple of Finding
        Measures until the work is done; never ranked.
    assumed : tuple of Finding
        Values that nobody measured.
    cautions : tuple of Finding
        Always printed.
    """

    case: Case
    as_read: Case
    viewpoint: Viewpoint
    catalog_hash: str
    samples: int
    seed: int
    effective_samples: float
    allowed_s: float
    test_day_f: float
    verdict: Verdict
    now: tuple[Words, ...]
    found: AsFound
    audits: tuple[Audit, ...]
    review: tuple[Check, ...]
    code_in_force: CodeInForce
    amendments: tuple[Amendment, ...]
    beside_options: tuple[Words, ...]
    options: tuple[Option, ...]
    dated: tuple[Dated, ...]
    comparison: Comparison
    contradictions: tuple[Words, ...]
    next_tests: tuple[NextTest, ...]
    enough: Enough
    retests: tuple[Retest, ...]
    pass_limits: PassLimits
    explanation: Explanation
    air_before: AirBalance
    air_after: AirBalance | None
    interim: tuple[Words, ...]
    assumed: tuple[Finding, ...]
    cautions: tuple[Words, ...]

    @property
    def explained(self) -> bool:
        """True where the model can show what was seen."""
        return self.explanation.explained


def advise(
    case: Case,
    viewpoint: Viewpoint = "homeowner",
    samples: int = SAMPLES,
    seed: int = SEED,
    prices: Overrides = NO_OVERRIDES,
    today: datetime.date | None = None,
) -> Advice:
    """Turn a case into ranked advice.

    Parameters
    ----------
    case : Case
        What was found.
    viewpoint : {"homeowner", "contractor", "inspector"}
        Whose weights rank the options.
    samples : int
        Number of situations, 64 to 65536.
    seed : int
        Same seed, same advice.
    prices : mapping
        A contractor's own prices.
    today : date, optional
        Day by which rules with a date are past or to come; the day of the facts where it is not given.

    Returns
    -------
    Advice
    """
    setting = setting_of(case, viewpoint, samples, seed, prices)
    whole, case = case, setting.job.case
    found = as_found(setting)
    ranking = ranking_of(setting)
    options, comparison = ranking.options, ranking.comparison
    tests = tests_that_pay(setting, options)
    after = retests_of(setting)
    first = next((o for o in options if o.rank == 1), None)
    air_before, air_after = air_before_after(setting, first, ranking.first_state)
    return Advice(
        case=case,
        as_read=whole,
        viewpoint=viewpoint,
        catalog_hash=catalog.digest(),
        samples=samples,
        seed=seed,
        effective_samples=setting.posterior.effective_samples,
        allowed_s=setting.allowed_s,
        test_day_f=conditions.test_day_f(case),
        verdict=setting.verdict,
        now=now_list(whole, setting.verdict),
        found=found,
        audits=audits(case, setting.verdict),
        review=review(whole),
        code_in_force=code_in_force(case.house.state, today),
        amendments=catalog.amendments(),
        beside_options=beside_options(whole, setting.verdict),
        options=options,
        dated=dated_of(case, options, today),
        comparison=comparison,
        contradictions=tuple(
            explained_by_nothing(setting.posterior.record, c) for c in setting.posterior.contradictions
        ),
        next_tests=tests,
        enough=enough_to_decide(case, setting.explained, comparison.tie, setting.verdict),
        retests=after,
        pass_limits=pass_limits(case),
        explanation=setting.explanation,
        air_before=air_before,
        air_after=air_after,
        interim=() if setting.verdict.leads == "passed" else interim_measures(setting.job),
        assumed=assumed_values(case),
        cautions=cautions(),
    )


def setting_of(
    case: Case, viewpoint: Viewpoint, samples: int = SAMPLES, seed: int = SEED, prices: Overrides = NO_OVERRIDES
) -> Setting:
    """Find the situations that fit the heater's runs, and put together what all options share.

    The verdict is that of the whole record: what was seen of another appliance on the vent holds the heater's options down.
    """
    verdict, case = verdict_of(case), of_heater(case)
    posterior = infer(case, samples, seed)
    worst = Question(conditions.worst_case(case, posterior.state), allowed_seconds(case))
    return Setting(
        job=Job(case, prices),
        verdict=verdict,
        posterior=posterior,
        question=worst,
        own=failing_tests(case, verdict, posterior.state),
        stresses=MappingProxyType(
            {name: worst.under(c) for name, c in conditions.stresses(case, posterior.state).items()}
        ),
        viewpoint=viewpoint,
        household=Household.of(case),
    )


def as_found(setting: Setting) -> AsFound:
    """Work out the house as it was found: spillage, causes, one sentence."""
    case, posterior = setting.job.case, setting.posterior
    found, spillage = setting.as_found, setting.as_found.spillage
    zone = Band.weighted(found.response.zone_depressurization_pa, posterior.weight)
    listed = causes(case, posterior, explained=setting.explained)
    parts = score_parts(
        spillage.worst_case,
        spillage.stresses,
        setting.everyday.hours_a_year.mean,
        setting.exposure.full_spill_severity,
        (1.0,) if setting.verdict.seen_to_spill else (),
    )
    card = fill_card(case)
    place_first = place_comes_first(case, setting.verdict)
    return AsFound(
        spillage=spillage,
        sentence=found_sentence(setting.verdict, spillage, listed, place_first),
        nothing_wrong=setting.verdict.leads == "passed" and not place_first,
        causes=listed,
        zone_depressurization_pa=Range(*(value or 0.0 for value in zone)),
        risk_score=parts.score,
        score_parts=parts,
        exposure=setting.exposure,
        everyday=setting.everyday,
        card=card,
        card_differs=disagreement(card, spillage.worst_case),
    )


__all__ = ["Advice", "AsFound", "Option", "advise"]
