"""The regression behind the paper card, before its coefficients were rounded to points."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from advisor import catalog
from advisor.ensemble.state import Array
from advisor.risk.paper_answers import questions


def design_row(answers: Mapping[str, str]) -> tuple[int, ...]:
    """Return one number an answer in the order of the card, 1 where it was given; the first of a question is left out.

    Raises
    ------
    ValueError
        If an answer is not one of the question's (``unknown`` has no row: it is given middle points).
    """
    row: list[int] = []
    for one in questions():
        given = answers[one.key]
        if given not in one.answers:
            raise ValueError(f"card: answer {given!r} to {one.key!r}; one of {', '.join(one.answers)}")
        row.extend(int(given == answer) for answer in one.answers[1:])
    return tuple(row)


def full_probability(design: Array) -> Array:
    """Return the probability by the coefficients before rounding, (n,); ``design`` as of `design_row`, (n, answers)."""
    coefficients = np.array(
        [
            float(row["coefficient"])
            for one in questions()
            for row in catalog.table("paper_score")
            if row["question"] == one.key and row["answer"] in one.answers[1:]
        ]
    )
    logit = np.asarray(design, dtype=np.float64) @ coefficients + float(
        catalog.word("paper_score_metrics", "intercept")
    )
    return np.asarray(1.0 / (1.0 + np.exp(-logit)))
