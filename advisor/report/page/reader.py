"""What the templates print: every figure as text in the reader's units, nothing computed but its rounding."""

from __future__ import annotations

from typing import Any

from advisor import catalog
from advisor.advice import Advice
from advisor.evidence.causes import Cause
from advisor.evidence.next_test import NextTest
from advisor.findings import Finding, Quantity, finding, listed, quantity, share, usd
from advisor.ranking.air_balance import AirBalance
from advisor.ranking.options import Option
from advisor.report.page.chart import Row, options_chart
from advisor.report.page.drawings import house_drawing
from advisor.report.page.record import sentences
from advisor.report.page.texts import about, tags, texts
from advisor.report.view.air_words import balance_words, flow_name, vent_sentence
from advisor.report.view.appliances import common_view
from advisor.report.view.choices import (
    driver_words,
    first_test_words,
    legend,
    not_enough,
    not_possible,
    ranked,
    test_words,
    useful_tests,
)
from advisor.report.view.figures import dollars, dollars_range, flow, percent, stress_range, whole, worst_case
from advisor.report.view.labels import named, sentence
from advisor.report.view.present import (
    everyday_words,
    first_test,
    grade_words,
    money_caution,
    not_enough_words,
    place_first,
    read_co_words,
    seen_now,
    test_note,
)
from advisor.report.view.retest_rows import compared_rows
from advisor.wording import verdict
from advisor.wording.retest import limit_words, retest_words
from advisor.wording.speak import in_column, say, say_all, text

GRADE_SHAPES = {"robust": "●●", "as tested": "●○"}


def count(key: str) -> int:
    """Return how many of something a page shows, from ``catalog/report/page_settings.csv``."""
    return int(catalog.number("page_settings", key))


def common(advice: Advice) -> dict[str, Any]:
    """Return what every viewpoint prints."""
    confirmed = advice.verdict.leads == "confirmed"
    return {
        "title": advice.case.title,
        "note": advice.case.note,
        "verdict": say(verdict.title(advice.verdict, advice.explained)),
        "verdict_words": say(verdict.sentence(advice.verdict, advice.explained)),
        "confirmed": confirmed,
        "test_note": test_note(advice),
        "test_first": first_test_words(advice),
        "now": say_all(advice.now),
        "fine": calm(advice),
        "matrix": [matrix_row(o) for o in ranked(advice)],
        "not_enough": [_left_out(o) for o in not_enough(advice)],
        "not_possible": [_reasoned(o, list(o.reasons)) for o in not_possible(advice)],
        "interim": sentences(advice.interim),
        "assumed": say_all(advice.assumed),
        "cautions": say_all(advice.cautions),
        **common_view(advice),
        "legend": text("page.data", data=advice.catalog_hash) if confirmed else legend(advice),
        "contradictions": sentences(advice.contradictions),
        "retests": retest_views(advice),
        "history": text("view.history") if confirmed else "",
        "limits_met": say(limit_words(advice.pass_limits)),
        "next_tests": [sentence(test_words(t)) for t in paying_tests(advice) if t is not first_test(advice)],
    }


def _left_out(option: Option) -> str:
    return _reasoned(option, [not_enough_words(option), dollars_range(option.installed_cost_usd), *option.reasons[1:]])


def _reasoned(option: Option, reasons: list[Any]) -> str:
    return text("page.left_out", title=option.title, reasons=listed(reasons, "semicolon"))


def retest_views(advice: Advice) -> list[dict[str, Any]]:
    """Return what each retest has shown, with its readings before and after."""
    return [
        {
            "label": r.run,
            "words": text("view.as_sentence", words=retest_words(r, advice.pass_limits)),
            "rows": compared_rows(advice, r),
        }
        for r in advice.retests
    ]


def calm(advice: Advice) -> bool:
    """Return True when the most urgent thing to do is no more than to keep testing."""
    return advice.verdict.house_clear and not place_first(advice)


def paying_tests(advice: Advice) -> list[NextTest]:
    """Return the next tests whose answer may change the choice, best first."""
    return useful_tests(advice)[: count("next_tests")]


def _grade(option: Option) -> Finding:
    return named("plain_grade" if option.safety in GRADE_SHAPES else "grade", option.safety)


def matrix_row(option: Option) -> dict[str, Any]:
    """Return one line of the comparison matrix."""
    return {
        "rank": option.rank,
        "id": option.id,
        "title": sentence(option.title),
        "cost": dollars_range(option.installed_cost_usd),
        "year": dollars(option.yearly_cost_usd.typical),
        "risk": whole(option.risk_score),
        "grade": grade_words(option, _grade(option)),
        "shape": GRADE_SHAPES.get(option.safety, ""),
        "spills": worst_case(option),
        "stress": stress_range(option),
        "needs": say(option.needs),
    }


def chart(advice: Advice, identifier: str) -> str:
    """Return the chart of the ranked options, with the house on top: what was seen of it, else what is modelled."""
    found = advice.found
    seen, bad = seen_now(advice)
    modelled = text("page.chart.spills_now", share=share(found.spillage.worst_case))
    rows = [
        Row(text("page.air.now"), 0.0, 0.0, 0.0, found.spillage.worst_case, max(found.spillage.stresses),
            text("page.chart.no_cost"), seen or modelled, as_found=True, seen=seen, danger=bad)
    ]  # fmt: skip
    for option in ranked(advice)[: count("chart_options")]:
        cost = option.installed_cost_usd
        quiet = option.appliance == "none"
        message = "page.chart.nothing_to_spill" if quiet else "page.chart.spills"
        risk = text(message, share=worst_case(option), stress=stress_range(option))
        label = text("page.chart.label", rank=str(option.rank), title=option.title)
        rows.append(
            Row(label, cost.low, cost.typical, cost.high, option.spillage.worst_case, max(option.spillage.stresses),
                dollars_range(cost), risk)
        )  # fmt: skip
    return options_chart(rows, identifier, text("page.chart.title"))


def air(before: AirBalance | None, after: AirBalance | None, option: Option | None) -> list[dict[str, Any]]:
    """Return the drawings of the house's air with their words and tables."""
    found = []
    now = finding("page.air.now")
    then = None if option is None or option.family == "none" else finding("page.air.after", title=option.title)
    for key, balance, head in (("before", before, now), ("after", after, then)):
        if balance is None or head is None:
            continue
        found.append(
            {
                "head": say(head),
                "caption": text("page.air.caption", head=head),
                "svg": house_drawing(balance, f"air-{key}", text("page.air.title", head=head)),
                "vent": vent_sentence(balance),
                "words": text("page.air.words", head=head, words=balance_words(balance)),
                "rows": _air_rows(balance),
            }
        )
    return found


def _air_rows(balance: AirBalance) -> list[tuple[str, str, str]]:
    rows = [
        (say(flow_name(f)), flow(f.cfm) if f.cfm > 0 else "", flow(-f.cfm) if f.cfm < 0 else "")
        for f in balance.flows
        if abs(f.cfm) >= 0.5
    ]
    vent = text("page.air.vent")
    if balance.shows == "unknown":
        not_known = text("view.seen_now.not_known")
        return [*rows, (vent, not_known, not_known)]
    if balance.vent_way not in ("none", "sealed"):
        up = balance.vent_cfm >= 0
        carried = flow(abs(balance.vent_cfm))
        rows.append((vent, carried if up else "", "" if up else carried))
    return [*rows, (text("page.air.together"), flow(balance.out_cfm), flow(balance.in_cfm))]


def homeowner(advice: Advice, before: AirBalance | None, after: AirBalance | None) -> dict[str, Any]:
    """Return what the homeowner's page prints."""
    options = ranked(advice)
    shown = options[: count("explained_options")]
    true = tags(advice, shown[:3])
    first = options[0] if options else None
    return {
        **common(advice),
        "plain": texts("homeowner", "plain", true),
        "air": air(before, after, first),
        "causes": [
            {"words": text(f"page.cause.{c.id}"), "chance": percent(c.stops_alone)}
            for c in named_causes(advice)
            if c.stops_alone >= catalog.number("causes_limits", "named_from_share")
        ],
        "chart": chart(advice, "chart") if options else "",
        "short": short(advice),
        "means": [meaning(o) for o in shown],
        "questions": texts("homeowner", "question", true),
        "readings": [w for w in (read_co_words(advice),) if w],
        "everyday": everyday_words(advice),
        "found_risk": whole(advice.found.risk_score) if advice.verdict.leads == "passed" else "",
        "comparison": sentence(advice.comparison.words),
        "drivers": [driver_words(d) for d in advice.comparison.drivers],
        "money": money_caution(advice),
    }


def named_causes(advice: Advice) -> tuple[Cause, ...]:
    """Return the causes that may be named: those of a failure that stands and is explained."""
    if advice.verdict.stands != "failed" or not advice.explained:
        return ()
    return tuple(c for c in advice.found.causes if c.named)


def short(advice: Advice) -> list[str]:
    """Return the short answer in plain words: danger and test first, then the choice."""
    options = ranked(advice)
    if advice.verdict.stands == "not confirmed":
        return [text("page.short.not_confirmed")]
    if advice.verdict.dangers and advice.verdict.stands != "failed":
        return [text("page.short.danger")]
    if advice.verdict.stands == "unproven":
        return [text("page.short.test_first", note=test_note(advice))]
    if not options:
        return [text("page.short.none")]
    first = [text("view.place_first")] if place_first(advice) else []
    fine = text("page.short.no_repair" if advice.verdict.house_clear else "page.short.no_repair_of_heater")
    lines = [fine] if advice.found.nothing_wrong else [*first, *_picks(options)]
    lines += say_all(advice.beside_options)
    if advice.comparison.tie and len(options) > 1:
        lines.append(text("page.short.tie"))
    return lines


def _picks(options: list[Option]) -> list[str]:
    """The first option, and the cheapest that passes where that is another one."""
    first, cheapest = options[0], min(options, key=lambda o: o.installed_cost_usd.typical)
    near = "_near" if first.near_limit else ""
    lines = [text(f"page.short.pick{near}", title=first.title, cost=dollars_range(first.installed_cost_usd))]
    if cheapest is not first:
        spills = "_may_spill" if cheapest.safety == "as tested" else ""
        cost = dollars_range(cheapest.installed_cost_usd)
        lines.append(text(f"page.short.cheapest{spills}", title=cheapest.title, cost=cost))
    return lines


FUELS = (("gas", "gas_therm", "therm"), ("propane", "propane_gal", "gal"), ("power", "electricity_kwh", "kwh"))
"""Kinds of energy that a heater uses: fields of a year's energy, and their units."""


def meaning(option: Option) -> dict[str, Any]:
    """Return what living with an option is like."""
    holds = option.holds_until
    until = text("page.means.holds", words=holds.words) if holds else text("page.means.not_worked_out")
    return {
        "rank": option.rank,
        "title": sentence(option.title),
        "plain": about(option, "plain"),
        "rows": [
            (text("page.means.noise"), about(option, "noise")),
            (text("page.means.space"), about(option, "space")),
            (text("page.means.work"), about(option, "disruption")),
            (text("page.means.wait"), _wait(option.lead_days)),
            (text("page.means.year"), _year(option)),
            (text("page.means.until"), until),
        ],
    }


def _year(option: Option) -> str:
    """What a year costs, and what it uses."""
    energy = option.lifetime.energy
    used = [
        finding(f"page.means.{kind}", amount=quantity(getattr(energy, key), unit, 0))
        for kind, key, unit in FUELS
        if in_column(quantity(getattr(energy, key), unit))[0] >= 1.0
    ]
    cost = usd(option.yearly_cost_usd.typical)
    if not used:
        return text("page.means.year_costs", cost=cost)
    return text("page.means.year_uses", cost=cost, fuels=listed(used, "and"))


def _wait(days: float) -> str:
    return text("page.means.at_once") if days < 1.0 else text("page.means.days", count=_days(days))


def _days(days: float) -> Quantity:
    return quantity(round(days), "count")
