"""The questions of the paper card, and the answers that a case gives to them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from advisor import catalog
from advisor.case.model import Case, listed
from advisor.facts import burners, space
from advisor.findings import Finding, finding, quantity, slug

UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Question:
    """One question.

    Parameters
    ----------
    key : str
        Short name.
    answers : tuple of str
        Short names of the answers, in the order of the card.
    up_to : tuple
        Upper edge of each answer's band, None for the last one and for answers that are words.
    unit : str
        Unit of the edges; empty for answers that are words.
    """

    key: str
    answers: tuple[str, ...]
    up_to: tuple[float | None, ...]
    unit: str

    @property
    def prompt(self) -> Finding:
        """Return the question."""
        return finding(f"risk.question.{self.key}")

    def text(self, answer: str) -> Finding:
        """Return an answer: the edges of its band, or its own words."""
        if not self.unit:
            return finding(f"risk.answer.{self.key}.{slug(answer)}")
        edges = sorted(edge for edge in self.up_to if edge is not None)
        high = self.up_to[self.answers.index(answer)]
        below = edges if high is None else [edge for edge in edges if edge < high]
        if high is None:
            return finding("risk.answer.over", low=quantity(below[-1], self.unit.lower()))
        if not below:
            return finding("risk.answer.under", high=quantity(high, self.unit.lower()))
        ends = (quantity(edge, self.unit.lower()) for edge in (below[-1], high))
        return finding("risk.answer.between", **dict(zip(("low", "high"), ends, strict=True)))

    def answer_for(self, value: float) -> str:
        """Return the answer whose band holds a number; an edge belongs to the band above."""
        edges = [(edge, answer) for edge, answer in zip(self.up_to, self.answers, strict=True) if edge is not None]
        for edge, answer in sorted(edges):
            if value < edge:
                return answer
        return self.answers[self.up_to.index(None)]


@dataclass(frozen=True, slots=True)
class _Answer:
    """An answer to a question, with the upper edge of its band (``paper_score_questions``)."""

    question: str
    answer: str
    up_to: float | None
    unit: str


@cache
def questions() -> tuple[Question, ...]:
    """Return the questions of the card in order."""
    rows: dict[str, list[_Answer]] = {}
    for row in catalog.rows_of(_Answer, "paper_score_questions"):
        rows.setdefault(row.question, []).append(row)
    return tuple(
        Question(
            key,
            tuple(row.answer for row in found),
            tuple(row.up_to for row in found),
            found[0].unit,
        )
        for key, found in rows.items()
    )


def question(key: str) -> Question:
    """Return one question by its short name."""
    return next(q for q in questions() if q.key == key)


def answers_of_case(case: Case) -> dict[str, str]:
    """Return the answers that do not depend on the day: all but ``pressure`` and ``outdoor``."""
    vent = case.vent
    height = UNKNOWN if vent.height_ft is None else question("height").answer_for(vent.height_ft)
    return {
        "height": height,
        "vent": _vent(case),
        "shared": _shared_draft(case),
        "looked": _looked(vent.condition, vent.inspected),
        "intake": _intake([opening.state for opening in listed(case.opening)]),
        "zone": _zone(case),
        "handler": "yes" if case.air_handler.present and case.air_handler.in_zone else "no",
    }


def _vent(case: Case) -> str:
    kind, outside = case.vent.vertical, bool(case.vent.exterior)
    if kind is None:
        return UNKNOWN
    if kind == "masonry":
        return "masonry outside" if outside else "masonry inside"
    return "metal outside" if outside or kind == "single wall" else "metal inside"


def _shared_draft(case: Case) -> str:
    shared = burners.shared_with(case)
    return "none" if shared is None else "fan-assisted" if burners.by_fan(shared) else "natural"


def _looked(condition: str, inspected: bool) -> str:
    if condition in ("partly blocked", "blocked", "disconnected"):
        return "blocked"
    return "clear" if condition == "clear" or inspected else "no"


def _intake(states: list[str]) -> str:
    if not states:
        return "none"
    if any(state in ("blocked", "partly blocked") for state in states):
        return "blocked"
    return "not checked" if "unknown" in states else "open"


def _zone(case: Case) -> str:
    if space.apart(case):
        return "apart"
    if space.open_to_house(case):
        return "open space"
    return {"louvered": "louvered", "weatherstripped": "sealed room"}.get(case.zone.door or "solid", "closed room")
