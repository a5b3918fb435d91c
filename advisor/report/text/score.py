"""What `advisor score` prints: the points card filled in, and the simulation's answer beside it."""

from __future__ import annotations

import textwrap

from advisor.advice import Advice
from advisor.findings import Words, finding, quantity, share
from advisor.report.text.lines import filled
from advisor.report.view.present import read_co_words
from advisor.risk.paper import CardLine
from advisor.wording import verdict
from advisor.wording.speak import say, text


def score_text(advice: Advice, width: int = 100) -> str:
    """Return the points card and the full model's score.

    Parameters
    ----------
    advice : Advice
        Worked-out advice.
    width : int
        Columns.
    """
    card, found = advice.found.card, advice.found
    lines = [advice.case.title, "", text("text.the_record", title=verdict.title(advice.verdict, advice.explained))]
    lines.append(filled(verdict.sentence(advice.verdict, advice.explained), width))
    lines += [filled(words, width) for words in (*advice.now[:1], read_co_words(advice)) if words]
    lines += ["", text("text.score.card"), _card(card.lines, max(20, (width - 20) // 2)), ""]
    lines += [filled(card.text, width), "", text("text.score.simulation"), filled(_simulated(advice), width)]
    if found.card_differs:
        lines += ["", text("text.score.differ"), filled(found.card_differs, width)]
    lines += ["", filled(finding("text.score.no_test", caution=advice.cautions[0]), width)]
    return "\n".join(lines) + "\n"


def _card(lines: tuple[CardLine, ...], words: int) -> str:
    from tabulate import tabulate

    rows = [
        (textwrap.fill(say(line.prompt), words), textwrap.fill(_answer(line.text, line.remark), words), line.points)
        for line in lines
    ]
    heads = [text(f"text.score.{name}") for name in ("question", "answer", "points")]
    return tabulate(rows, heads, tablefmt="simple")


def _answer(words: Words, remark: Words) -> str:
    return text("text.score.with_remark", words=words, remark=remark) if remark else say(words)


def _simulated(advice: Advice) -> Words:
    found, parts = advice.found, advice.found.score_parts
    return finding(
        "text.score.simulated",
        share=share(found.spillage.worst_case),
        score=quantity(found.risk_score, "count"),
        worst_case=quantity(parts.worst_case, "number"),
        everyday=quantity(parts.everyday, "number"),
        stresses=quantity(parts.stresses, "number"),
        severity=quantity(parts.severity, "number"),
    )
