"""A case checked without any ranking: the record audited, held against the explanation and the codes, and what is missing."""

from __future__ import annotations

import datetime
from dataclasses import dataclass

from advisor import catalog
from advisor.case.model import Case
from advisor.catalog import Amendment
from advisor.codes.adoption import CodeInForce, code_in_force
from advisor.codes.air_methods import AirMethod
from advisor.codes.check import Check
from advisor.evidence.coherence import Explanation
from advisor.evidence.posterior import infer
from advisor.facts.assumed import assumed_values
from advisor.facts.audit import Audit, audits
from advisor.facts.beside import beside_options, test_order
from advisor.facts.judged import of_heater
from advisor.facts.now import now_list
from advisor.facts.place import ways_barred
from advisor.facts.record import Verdict, verdict_of
from advisor.findings import Finding, Words
from advisor.remedies.air_facts import combustion_air_ways
from advisor.review.case import review


@dataclass(frozen=True, slots=True)
class CaseCheck:
    """What `advisor check` prints.

    Parameters
    ----------
    case : Case
        The input.
    verdict : Verdict
        What the record says.
    now : tuple of Finding
        What to do now, most urgent first.
    audits : tuple of Audit
        One for each recorded run.
    beside : tuple of Finding
        What no advice on the heater covers: other appliances that fail, and what their replacement does to the heater.
    order : tuple of Finding
        In which order the appliances on the heater's vent are tried; empty where it is alone.
    explanation : Explanation
        What the record says beside what the fitting situations would show.
    review : tuple of Check
        The codes applied to the case as found.
    code_in_force : CodeInForce
        Which code and edition the state has adopted, and whether its text was read.
    air_ways : tuple of AirMethod
        Ways to bring combustion air that the code allows where the heater stands.
    amendments : tuple of Amendment
        Local rules typed by the user that replaced published ones.
    assumed : tuple of Finding
        Values that nobody measured, the most useful first.
    """

    case: Case
    verdict: Verdict
    now: tuple[Words, ...]
    audits: tuple[Audit, ...]
    beside: tuple[Words, ...]
    order: tuple[Words, ...]
    explanation: Explanation
    review: tuple[Check, ...]
    code_in_force: CodeInForce
    air_ways: tuple[AirMethod, ...]
    amendments: tuple[Amendment, ...]
    assumed: tuple[Finding, ...]


def check_case(case: Case, samples: int, seed: int, today: datetime.date | None = None) -> CaseCheck:
    """Return what can be said of a case without ranking anything.

    Parameters
    ----------
    case : Case
        What was found.
    samples : int
        Number of situations that the record is held against, 64 to 65536.
    seed : int
        Same seed, same answer.
    today : date, optional
        Day by which a known change of edition is past or to come.
    """
    verdict, whole, case = verdict_of(case), case, of_heater(case)
    return CaseCheck(
        case=case,
        verdict=verdict,
        now=tuple(now_list(whole, verdict)),
        audits=audits(case, verdict),
        explanation=infer(case, samples, seed).explanation,
        beside=beside_options(whole, verdict),
        order=test_order(whole),
        review=review(whole),
        code_in_force=code_in_force(case.house.state, today),
        air_ways=tuple(way for way in combustion_air_ways(case) if way.key not in ways_barred(case)),
        amendments=catalog.amendments(),
        assumed=tuple(assumed_values(case)),
    )
