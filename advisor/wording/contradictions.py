"""Records that do not fit together, in sentences."""

from __future__ import annotations

from collections.abc import Sequence

from advisor.case.model import Run
from advisor.evidence.contradictions import Contradiction
from advisor.evidence.observations import observed_words


def contradiction_words(record: Sequence[Run], one: Contradiction) -> str:
    """Return one sentence, without its end, about a part of a record that no situation explains.

    Parameters
    ----------
    record : sequence of Run
        The runs that were held against each other (``Posterior.record``).
    one : Contradiction
        What does not fit.
    """
    names = [_name(record, i) for i in one.runs]
    what = [observed_words(record[one.runs[0]], kind) for kind in one.observations]
    if one.kind == "reading":
        return f"no situation explains one reading of {names[0]} ({what[0]}): check the record"
    if one.kind == "readings":
        return f"no situation explains {what[0]} and {what[1]} together in {names[0]}: check the record"
    if one.kind == "runs":
        return f"no situation explains {names[0]} and {names[1]} together: check the record"
    return "every two runs go together, but no situation explains all of them: check the record"


def _name(record: Sequence[Run], index: int) -> str:
    label = record[index].label
    return f"run {index + 1}" + (f" ('{label}')" if label != "run" else "")
