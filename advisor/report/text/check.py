"""What `advisor check` prints: the audit of the runs, the unknowns and what knowing them would buy."""

from __future__ import annotations

import textwrap

from advisor import catalog
from advisor.case.model import Case
from advisor.codes.air_methods import AirMethod
from advisor.evidence.coherence import Explanation
from advisor.facts.assumed import assumed_values
from advisor.facts.audit import audits
from advisor.facts.now import now_list
from advisor.facts.record import verdict_of
from advisor.remedies.air_facts import combustion_air_ways
from advisor.report.text.explain import checks_lines
from advisor.review.case import review
from advisor.wording import verdict
from advisor.wording.assumed import worth_words
from advisor.wording.coherence import coherence_rows, heads
from advisor.wording.speak import say, say_all

LABEL = 22
"""Characters of a run's label in the table."""


def coherence_lines(case: Case, explanation: Explanation) -> list[str]:
    """Return the table of what the record says beside what the explanation says, and whether they go together."""
    from tabulate import tabulate

    record = [run for run in case.run if run.after_work is None]
    rows = [
        (textwrap.shorten(label, LABEL, placeholder=" ..."), *rest)
        for label, *rest in coherence_rows(record, explanation.observations)
    ]
    head = "What the record says, and what the explanation says (modelled):"
    if not rows:
        return [head, "nothing was observed that a model could be held against."]
    lines = [head, *tabulate(rows, heads(), tablefmt="simple", disable_numparse=True).splitlines()]
    if not explanation.explained:
        lines.append("NOT EXPLAINED: the model cannot show what was seen; no cause is given a share.")
    if not explanation.enough_situations:
        lines.append("Few situations fit this record: every modelled share is to be read with care.")
    return lines


def check_text(case: Case, explanation: Explanation, width: int = 100) -> str:
    """Return the findings about a case file that could be read.

    Parameters
    ----------
    case : Case
        The case.
    explanation : Explanation
        What its record says beside what the fitting situations would show.
    width : int
        Columns.
    """
    record = verdict_of(case)
    lines = [f"{case.title}: the case file is valid.", "", f"THE RECORD: {verdict.title(record)}"]
    lines += [*_fill_all(say_all(now_list(case, record)), width), ""]
    for one, found in zip(record.runs, audits(case, record), strict=True):
        lines += _fill(f"Run '{found.label}': {say(found.shows)}.", width, "")
        lines += _fill_all([f"not as the procedure asks: {s}" for s in say_all(found.shortfalls)], width)
        if found.unwritten:
            lines += _fill(
                f"not written down, so it proves no pass: {'; '.join(say_all(found.unwritten))}", width, "- "
            )
        if one.outcome != "failure":
            lines += _fill_all([f"for a valid pass: {s}" for s in say_all(found.redo)], width)
        if found.missing:
            lines += _fill(f"readings not taken: {', '.join(say_all(found.missing))}", width, "- ")
        lines.append("")
    lines += [*coherence_lines(case, explanation), ""]
    lines += ["The codes, as far as the case gives numbers:", *checks_lines(review(case), width), ""]
    lines.append("Ways to bring combustion air that the code allows (none of them counts fans that pull on the house):")
    lines += _fill_all([_way(w) for w in combustion_air_ways(case)], width)
    lines += ["", *amendment_lines(width)]
    unknown = assumed_values(case)
    lines.append("Assumed because nobody measured it, the most useful first:" if unknown else "Nothing is assumed.")
    lines += _fill_all([worth_words(u) for u in unknown], width)
    return "\n".join(lines) + "\n"


def _way(way: AirMethod) -> str:
    state = {True: "complies now", False: "does not comply now", None: "not known"}[way.complies_now]
    parts = "; ".join(f"{p.count} x {say(p.trade_size)} {say(p.item)}, {say(p.place)}" for p in way.parts) or "no parts"
    return f"{say(way.name)} [{way.clause}]: {state}. Takes: {parts}."


def amendment_lines(width: int) -> list[str]:
    """Return the local amendments in force, each beside the published number."""
    items = [
        f"{a.key}: published {a.published:g} {a.unit} ({a.ref}), here {a.value:g} {a.unit} ({a.source})"
        for a in catalog.amendments()
    ]
    return ["Local amendments in force:", *_fill_all(items, width), ""] if items else []


def _fill(text: str, width: int, bullet: str) -> list[str]:
    return [textwrap.fill(text, width, initial_indent=bullet, subsequent_indent=" " * len(bullet))]


def _fill_all(items: list[str], width: int) -> list[str]:
    return [line for item in items for line in _fill(item, width, "- ")]
