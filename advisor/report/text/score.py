"""What `advisor score` prints: the points card filled in, and the simulation's answer beside it."""

from __future__ import annotations

import textwrap

from advisor.advice import Advice
from advisor.report.view.figures import percent
from advisor.report.view.present import read_co_words
from advisor.report.view.units_text import Units
from advisor.wording import verdict


def score_text(advice: Advice, width: int = 100) -> str:
    """Return the points card and the full model's score.

    Parameters
    ----------
    advice : Advice
        Worked-out advice.
    width : int
        Columns.
    """
    advice = Units().apply(advice)
    from tabulate import tabulate

    card, found = advice.found.card, advice.found
    words = max(20, (width - 20) // 2)
    rows = [
        (textwrap.fill(line.prompt, words), textwrap.fill(line.text + _remark(line.remark), words), line.points)
        for line in card.lines
    ]
    lines = [advice.case.title, "", f"THE RECORD: {verdict.title(advice.verdict, advice.explained)}"]
    lines += [textwrap.fill(verdict.sentence(advice.verdict, advice.explained), width)]
    lines += [textwrap.fill(words, width) for words in (*advice.now[:1], read_co_words(advice)) if words]
    lines += ["", "POINTS CARD (add up without a computer)"]
    lines += [tabulate(rows, ["question", "answer", "points"], tablefmt="simple"), ""]
    lines += [textwrap.fill(card.text, width), ""]
    parts = found.score_parts
    lines += ["SIMULATION OF THIS HOUSE (modelled; it never overrules the record)"]
    lines += [
        textwrap.fill(
            f"Spills beyond the allowed time in {percent(found.spillage.worst_case)} of the situations that fit the record, in "
            f"the worst case. Risk score {found.risk_score:.0f} of 100 = {parts.worst_case:.1f} worst case + "
            f"{parts.everyday:.1f} ordinary days + {parts.stresses:.1f} stresses + {parts.severity:.1f} severity.",
            width,
        )
    ]
    if found.card_differs:
        lines += ["", "WHERE THEY DIFFER", textwrap.fill(found.card_differs, width)]
    lines += ["", *textwrap.wrap("The card is no test and no approval. " + advice.cautions[0], width)]
    return "\n".join(lines) + "\n"


def _remark(remark: str) -> str:
    return f" ({remark})" if remark else ""
