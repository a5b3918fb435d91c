"""The full working of one option: what is done, sizes, physics before and after, codes, bill, what is assumed."""

from __future__ import annotations

import textwrap

from advisor.advice import Advice
from advisor.codes.check import Check
from advisor.ensemble.conditions import STRESSES
from advisor.errors import InputError, suggest
from advisor.ranking.options import Option, Spillage
from advisor.ranking.stresses import stress
from advisor.ranking.value import criterion
from advisor.report.view.figures import band, dollars, dollars_range, percent, seconds_words
from advisor.report.view.units_text import Units
from advisor.wording.checks import official_words, rule_words
from advisor.wording.retest import expected_words, limit_words
from advisor.wording.speak import say

WORST_CASE = "worst case, test day"


def explain_text(advice: Advice, option_id: str, width: int = 100) -> str:
    """Return the working of one option.

    Raises
    ------
    InputError
        If there is no such option.
    """
    advice = Units().apply(advice)
    ids = [o.id for o in advice.options]
    if option_id not in ids:
        raise InputError(f"option '{option_id}': no such option{suggest(option_id, ids)}; one of {', '.join(ids)}")
    option = advice.options[ids.index(option_id)]
    lines = [f"{option.title} ({option.id})", advice.case.title, ""]
    standing = f"rank {option.rank} for the {advice.viewpoint}" if option.rank else "no rank"
    lines += [
        f"Standing: {standing}; grade: {option.safety}; {'possible' if option.eligible else 'not possible'} here."
    ]
    lines += _wrapped([f"because {r}" for r in option.reasons], width)
    lines += ["", "WHAT IS DONE", *_wrapped([*option.parts, f"needs {option.needs}"], width)]
    lines += _wrapped([f"note: {n}" for n in option.notes], width)
    lines += ["", "PHYSICS, BEFORE AND AFTER", _before_after(advice, option)]
    lines += ["", "WHAT A RETEST SHOULD FIND IN THE WORST CASE (5th to 95th percentile)"]
    lines += _wrapped(
        [
            f"zone depressurization {band(option.zone_depressurization_pa, 'Pa')}",
            f"seconds to draft {seconds_words(option.seconds_to_draft)}",
            f"draft in the connector {band(option.draft_pa, 'Pa')}",
            f"vent runs wet in {percent(option.vent_runs_wet)} of the situations",
        ],
        width,
    )
    if option.expected is not None:
        lines += _wrapped(
            [
                f"must meet: {limit_words(advice.pass_limits)}",
                f"forecast, with the error of the readings: {expected_words(option.expected)}",
            ],
            width,
        )
    if option.holds_until is not None:
        lines += _wrapped([option.holds_until.words], width)
    lines += ["", "CODES", *checks_lines(option.checks, width)]
    lines += ["", "BILL OF WORK", _bill(option), "", "VALUE, AS A SUM OF ITS PARTS"]
    lines += [f"  {say(criterion(name)):<16} {part:.3f}" for name, part in option.value_parts.items()]
    lines += [f"  {'sum':<16} {option.value:.3f}", "", f"Risk score {option.risk_score:.0f} of 100 (lower is safer)."]
    lines += ["", "ASSUMED, NOT MEASURED", textwrap.fill("; ".join(advice.assumed) or "nothing", width)]
    lines += ["", "CAUTIONS", *_wrapped(list(advice.cautions), width)]
    return "\n".join(lines) + "\n"


def spillage_rows(spillage: Spillage) -> list[tuple[str, str]]:
    """Return the conditions by name, the worst case first, with the share of situations that spills under each."""
    stresses = zip(STRESSES, spillage.stresses, strict=True)
    return [
        (WORST_CASE, percent(spillage.worst_case)),
        *((say(stress(name, "stress_name")), percent(value)) for name, value in stresses),
    ]


def _before_after(advice: Advice, option: Option) -> str:
    from tabulate import tabulate

    before, after = advice.found.spillage, option.spillage
    rows = []
    for i, (as_found, left) in enumerate(zip(before.failing_runs, after.failing_runs, strict=True), 1):
        # what was seen stands before what is modelled of the same thing
        rows.append((f"condition of failing run {i}", f"seen to spill (modelled {percent(as_found)})", percent(left)))
    pairs = zip(spillage_rows(before), spillage_rows(after), strict=True)
    rows += [(words, as_found, left) for (words, as_found), (_, left) in pairs]
    return tabulate(rows, ["spills beyond the allowed time (modelled)", "as found", "after"], tablefmt="simple")


def _bill(option: Option) -> str:
    from tabulate import tabulate

    rows = [
        (
            textwrap.fill(say(line.words) + (" (assumed)" if line.assumed else ""), 44),
            f"{line.quantity:g} {line.unit}",
            f"{dollars(line.low_usd)} / {dollars(line.typical_usd)} / {dollars(line.high_usd)}",
            "" if line.labour_h is None else f"{line.labour_h:g}",
            line.status,
        )
        for line in option.bill
    ]
    rows.append(("total with factor, margin and tax", "", dollars_range(option.installed_cost_usd), "", ""))
    return tabulate(rows, ["line", "quantity", "low / typical / high", "hours", "status"], tablefmt="simple")


def checks_lines(checks: tuple[Check, ...], width: int) -> list[str]:
    """Return checks as lines: verdict, rule, clause, then the sentence an official accepts."""
    if not checks:
        return ["no code rule was applied to it here"]
    lines: list[str] = []
    for c in checks:
        lines += _wrapped([f"{c.verdict.upper()}: {rule_words(c)} [{c.clause}; {c.status}]"], width)
        lines += [textwrap.fill(official_words(c), width, initial_indent="    ", subsequent_indent="    ")]
    return lines


def _wrapped(items: list[str], width: int) -> list[str]:
    return [textwrap.fill(i, width, initial_indent="- ", subsequent_indent="  ") for i in items]
