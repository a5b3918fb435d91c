"""What `advisor check` prints: the audit of the runs, the unknowns and what knowing them would buy."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

from advisor.case.model import Case
from advisor.case_check import CaseCheck
from advisor.codes.air_methods import AirMethod
from advisor.evidence.coherence import Explanation
from advisor.facts.appliances import ApplianceRecord
from advisor.facts.audit import Audit
from advisor.facts.record import RunVerdict
from advisor.findings import Finding, Words, finding, listed
from advisor.report.text.explain import checks_lines
from advisor.report.text.lines import filled, listed_lines
from advisor.report.view.appliances import appliance_heads, appliance_rows
from advisor.report.view.in_force import edition_words
from advisor.report.view.unknowns import amendment_words, worth_knowing
from advisor.wording import verdict
from advisor.wording.coherence import coherence_rows, heads
from advisor.wording.speak import say, say_all, text

LABEL = 22
"""Characters of a run's label in the table."""


def coherence_lines(case: Case, explanation: Explanation) -> list[str]:
    """Return the table of what the record says beside what the explanation says, and whether they go together."""
    from tabulate import tabulate

    record = [run for run in case.run if run.after_work is None]
    rows = [
        (textwrap.shorten(say(label), LABEL, placeholder=" ..."), *say_all(rest))
        for label, *rest in coherence_rows(record, explanation.observations)
    ]
    head = text("text.check.coherence")
    if not rows:
        return [head, text("text.check.nothing_observed")]
    lines = [head, *tabulate(rows, heads(), tablefmt="simple", disable_numparse=True).splitlines()]
    if not explanation.explained:
        lines.append(text("text.check.not_explained"))
    if not explanation.enough_situations:
        lines.append(text("text.check.few_situations"))
    return lines


def check_text(checked: CaseCheck, width: int = 100) -> str:
    """Return the findings about a case file that could be read.

    Parameters
    ----------
    checked : CaseCheck
        The case with all that was found about it.
    width : int
        Columns.
    """
    case, record = checked.case, checked.verdict
    lines = [text("text.check.valid", title=case.title), ""]
    lines += [text("text.the_record", title=verdict.title(record)), *listed_lines(checked.now, width), ""]
    if record.others:
        lines += [text("text.head.appliances"), *_appliance_table(record.others), ""]
    if checked.order:
        lines += [text("text.check.order"), *listed_lines(checked.order, width), ""]
    if checked.beside:
        lines += [text("text.head.beside"), *listed_lines(checked.beside, width), ""]
    for one, found in zip(record.runs, checked.audits, strict=True):
        lines += [*_audit_lines(found.label, one, found, width), ""]
    for other in record.others:
        for one, found in zip(other.runs, other.audits, strict=True):
            label = text("view.appliance.run", name=other.name, label=found.label)
            lines += [*_audit_lines(label, one, found, width), ""]
    lines += [*coherence_lines(case, checked.explanation), ""]
    lines += [text("text.check.edition"), filled(edition_words(checked.code_in_force), width), ""]
    lines += [text("text.check.codes"), *checks_lines(checked.review, width), ""]
    lines += [text("text.check.air_ways"), *listed_lines((_way(w) for w in checked.air_ways), width), ""]
    if checked.amendments:
        lines += [text("text.check.amendments"), *listed_lines(amendment_words(checked.amendments), width), ""]
    lines.append(text("text.check.assumed" if checked.assumed else "text.check.nothing_assumed"))
    lines += listed_lines(worth_knowing(checked.assumed), width)
    return "\n".join(lines) + "\n"


def _appliance_table(records: Sequence[ApplianceRecord]) -> list[str]:
    from tabulate import tabulate

    table = tabulate(appliance_rows(records), appliance_heads(), tablefmt="simple", disable_numparse=True)
    return table.splitlines()


def _audit_lines(label: str, one: RunVerdict, found: Audit, width: int) -> list[str]:
    points: list[Words] = [finding("text.check.not_as_asked", words=s) for s in found.shortfalls]
    if found.unwritten:
        points.append(finding("text.check.unwritten", items=listed(found.unwritten, "semicolon")))
    if one.outcome != "failure":
        points += [finding("text.check.redo", words=s) for s in found.redo]
    if found.missing:
        points.append(finding("text.check.missing", items=listed(found.missing)))
    return [filled(finding("text.run", label=label, shows=found.shows), width), *listed_lines(points, width)]


STATES = {True: "complies", False: "does_not_comply", None: "not_known"}


def _way(way: AirMethod) -> Finding:
    parts: list[Words] = [
        finding("text.check.part", number=str(p.count), size=p.trade_size, item=p.item, place=p.place)
        for p in way.parts
    ]
    what = {"name": way.name, "clause": way.clause}
    if way.barred and way.here is not None:
        return finding("text.check.way_barred", here=way.here, **what)
    state = finding(f"text.check.{STATES[way.complies_now]}")
    all_parts = listed(parts or [finding("text.check.no_parts")], "semicolon")
    if way.here is not None:
        return finding("text.check.way_here", here=way.here, state=state, parts=all_parts, **what)
    return finding("text.check.way", state=state, parts=all_parts, **what)
