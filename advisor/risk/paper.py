"""The paper card: whole points that an inspector adds up without a computer, and the probability they stand for.

The points are learned by `training.paper_training` and kept as plain numbers in ``catalog/paper_score*.csv``; here
they are only looked up and added. Nothing but numpy is needed.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

import numpy as np

from advisor import catalog
from advisor.case.model import Case, Run
from advisor.ensemble.conditions import test_day_f
from advisor.ensemble.state import Array
from advisor.facts.exhaust import all_installed_cfm
from advisor.facts.leakage import exponent, measured_cfm50
from advisor.findings import Finding, Words, finding, share
from advisor.findings import listed as together
from advisor.physics.infiltration import depressurization_pa
from advisor.risk.paper_answers import UNKNOWN, answers_of_case, question, questions


@dataclass(frozen=True, slots=True)
class CardLine:
    """One line of a filled card.

    Parameters
    ----------
    question : str
        Short name.
    prompt : Finding
        The question.
    answer : str
        Short name of the answer given.
    text : Finding
        That answer.
    points : int
        Its points.
    known : bool
        False when nobody answered: the middle points were taken.
    remark : Finding or str
        How the answer was found, where it was not simply written down; else an empty string.
    """

    question: str
    prompt: Words
    answer: str
    text: Words
    points: int
    known: bool
    remark: Words


@dataclass(frozen=True, slots=True)
class PaperCard:
    """A filled card.

    Parameters
    ----------
    lines : tuple of CardLine
        One a question.
    total, highest : int
        Points of this case, and the most that the card can give.
    probability : float
        Chance that such a house spills beyond the allowed time in the worst case, 0 to 1.
    low, high : float
        The same with every unanswered question at its best and at its worst answer.
    text : Finding
        In a few sentences.
    """

    lines: tuple[CardLine, ...]
    total: int
    highest: int
    probability: float
    low: float
    high: float
    text: Words


@dataclass(frozen=True, slots=True)
class _ScoredAnswer:
    """The points of an answer (``paper_score``)."""

    question: str
    answer: str
    points: int


def _scored() -> tuple[_ScoredAnswer, ...]:
    return catalog.rows_of(_ScoredAnswer, "paper_score")


@cache
def card_points() -> Mapping[tuple[str, str], int]:
    """Return the points by question and answer; the answer ``unknown`` has the middle points."""
    return {(row.question, row.answer): row.points for row in _scored()}


def points_columns(points: Array) -> Array:
    """Return the two columns whose weighted sum is the logit, (n, 2): the points, and how far they are below a knee.

    Below the knee the chance falls more slowly: faults that nobody can see remain whatever the answers are.
    """
    values = np.asarray(points, dtype=np.float64)
    knee = catalog.number("paper_score_settings", "low_points")
    return np.column_stack([values, np.maximum(knee - values, 0.0)])


def probability_of(points: Array) -> Array:
    """Return the probability for totals of points, (n,)."""
    slope, low_slope, offset = (
        float(catalog.word("paper_score_metrics", key)) for key in ("slope", "low_slope", "offset")
    )
    logit = points_columns(np.atleast_1d(points)) @ np.array([slope, low_slope]) + offset
    return np.asarray(1.0 / (1.0 + np.exp(-logit)))


def _answer_range(key: str) -> tuple[int, int]:
    points = [card_points()[key, answer] for answer in question(key).answers]
    return min(points), max(points)


def _hardest_run(case: Case) -> Run | None:
    """Run whose net zone pressure is lowest, among those before any work."""
    measured = [run for run in case.run if run.zone_depressurization_pa is not None and run.after_work is None]
    return max(measured, key=_net_pa, default=None)


def _net_pa(run: Run) -> float:
    return (run.zone_depressurization_pa or 0.0) - (run.baseline_depressurization_pa or 0.0)


def pressure_from_labels_pa(exhaust_cfm: float, leakage_cfm50: float, flow_exponent: float) -> float:
    """Return the fan-induced depressurization by the power law, Pa: ``50 (Q / CFM50)^(1 / n)`` (no stack, no wind)."""
    return float(depressurization_pa(exhaust_cfm, leakage_cfm50, flow_exponent))


def _pressure(case: Case) -> tuple[str, Words]:
    """Answer to the pressure question and how it was found."""
    run = _hardest_run(case)
    if run is not None:
        known = run.baseline_depressurization_pa is not None
        return question("pressure").answer_for(_net_pa(run)), "" if known else finding("risk.remark.no_baseline")
    leakage = measured_cfm50(case)
    if leakage is None:
        return UNKNOWN, finding("risk.remark.not_measured")
    pressure = pressure_from_labels_pa(all_installed_cfm(case), leakage, exponent(case))
    return question("pressure").answer_for(pressure), finding("risk.remark.from_labels")


def fill_card(case: Case) -> PaperCard:
    """Fill the card from a case.

    Parameters
    ----------
    case : Case
        What was found. What it does not say gets the middle points of the question, and is named.

    Returns
    -------
    PaperCard
    """
    pressure, pressure_remark = _pressure(case)
    stated = any(run.outdoor_temp_f is not None for run in case.run)
    answers = answers_of_case(case)
    answers["pressure"] = pressure
    answers["outdoor"] = question("outdoor").answer_for(test_day_f(case)) if stated else UNKNOWN
    lines, low, high, highest = [], 0, 0, 0
    for one in questions():
        given = answers[one.key]
        known = given != UNKNOWN
        points = card_points()[one.key, given]
        least, most = _answer_range(one.key)
        low, high, highest = low + (points if known else least), high + (points if known else most), highest + most
        text = one.text(given) if known else finding("risk.answer.unknown")
        remark = pressure_remark if one.key == "pressure" else ""
        lines.append(CardLine(one.key, one.prompt, given, text, points, known, remark))
    total = sum(line.points for line in lines)
    chance, best, worst = (float(p) for p in probability_of(np.array([total, low, high])))
    return PaperCard(
        tuple(lines), total, highest, chance, best, worst, _text(total, highest, chance, best, worst, lines)
    )


def _text(total: int, highest: int, chance: float, low: float, high: float, lines: list[CardLine]) -> Finding:
    missing = sum(not line.known for line in lines)
    text = finding("risk.card.all_answered", total=total, highest=highest, share=share(chance))
    if not missing:
        return text
    some = finding("risk.card.not_all_answered", **dict(text.values))
    return some.with_values(count=missing, low=share(low), high=share(high))


def disagreement(card: PaperCard, simulated_share: float) -> Finding:
    """Say whether the card and the full model agree, and if not, what the card cannot see.

    Parameters
    ----------
    card : PaperCard
        Filled card.
    simulated_share : float
        Share of the situations that spill in the worst case by the full model, 0 to 1.
    """
    limit = catalog.number("paper_score_settings", "disagreement")
    gap = simulated_share - card.probability
    if abs(gap) <= limit:
        return finding("risk.card.agree")
    reasons = [finding("risk.card.took_middle", question=line.prompt) for line in card.lines if not line.known]
    reasons.append(finding("risk.card.model_saw_hood"))
    return finding(
        "risk.card.model_higher" if gap > 0.0 else "risk.card.model_lower",
        simulated=share(simulated_share),
        card=share(card.probability),
        reasons=together(reasons, "semicolon"),
    )


__all__ = [
    "CardLine",
    "PaperCard",
    "card_points",
    "disagreement",
    "fill_card",
    "points_columns",
    "probability_of",
]
