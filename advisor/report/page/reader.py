"""What the templates print: every figure as text in the reader's units, nothing computed but its rounding."""

from __future__ import annotations

from typing import Any

from advisor import catalog
from advisor.advice import Advice
from advisor.evidence.causes import Cause
from advisor.evidence.next_test import NextTest
from advisor.ranking.air_balance import AirBalance
from advisor.ranking.options import Option
from advisor.report.page.drawings import Row, house_drawing, options_chart
from advisor.report.page.texts import about, tags, text, texts
from advisor.report.text.matrix import (
    HISTORY,
    driver_words,
    first_test_words,
    legend,
    not_enough,
    not_possible,
    ranked,
    sentence,
    test_words,
)
from advisor.report.view.air_words import PLACE_WORDS, balance_words, vent_sentence
from advisor.report.view.figures import dollars, dollars_range, percent, stress_range, worst_case
from advisor.report.view.present import (
    everyday_words,
    first_test,
    grade_words,
    money_caution,
    not_enough_words,
    read_co_words,
    seen_now,
    test_note,
)
from advisor.report.view.retest_rows import compared_rows
from advisor.report.view.units_text import Units
from advisor.wording import verdict
from advisor.wording.retest import limit_words, retest_words

GRADE_WORDS = {"robust": "safe in every check (modelled)", "as tested": "safe on a day like the test day (modelled)"}
GRADE_SHAPES = {"robust": "●●", "as tested": "●○"}


def count(key: str) -> int:
    """Return how many of something a page shows, from ``catalog/texts/page_settings.csv``."""
    return int(catalog.number("page_settings", key))


def common(advice: Advice, units: Units) -> dict[str, Any]:
    """Return what every viewpoint prints."""
    options = ranked(advice)
    return {
        "title": advice.case.title,
        "note": advice.case.note,
        "verdict": verdict.title(advice.verdict, advice.explained),
        "verdict_words": verdict.sentence(advice.verdict, advice.explained),
        "confirmed": advice.verdict.leads == "confirmed",
        "test_note": test_note(advice),
        "test_first": units.text(first_test_words(advice)),
        "now": [units.text(w) for w in advice.now],
        "fine": calm(advice),
        "matrix": [matrix_row(o, units) for o in options],
        "not_enough": [
            {"title": units.text(sentence(o.title)), "why": not_enough_words(o),
             "cost": dollars_range(o.installed_cost_usd), "reasons": [units.text(r) for r in o.reasons[1:]]}
            for o in not_enough(advice)
        ],
        "not_possible": [
            {"title": units.text(sentence(o.title)), "reason": units.text("; ".join(o.reasons))}
            for o in not_possible(advice)
        ],
        "interim": [units.text(sentence(w)) for w in advice.interim],
        "assumed": [units.text(w) for w in advice.assumed],
        "cautions": [units.text(w) for w in advice.cautions],
        "legend": units.text(legend(advice)) if advice.verdict.leads != "confirmed" else f"Data {advice.catalog_hash}.",
        "hash": advice.catalog_hash,
        "contradictions": [units.text(sentence(w)) for w in advice.contradictions],
        "retests": retest_views(advice, units),
        "history": HISTORY if advice.verdict.leads == "confirmed" else "",
        "limits_met": limit_words(advice.pass_limits),
        "next_tests": [units.text(sentence(test_words(t))) for t in paying_tests(advice) if t is not first_test(advice)],
    }  # fmt: skip


def retest_views(advice: Advice, units: Units) -> list[dict[str, Any]]:
    """Return what each retest has shown, with its readings before and after."""
    return [
        {
            "label": r.run,
            "words": units.text(sentence(retest_words(r, advice.pass_limits))) + ".",
            "rows": compared_rows(advice, r),
        }
        for r in advice.retests
    ]


def calm(advice: Advice) -> bool:
    """Return True when the most urgent thing to do is no more than to keep testing."""
    return advice.verdict.all_clear


def paying_tests(advice: Advice) -> list[NextTest]:
    """Return the next tests whose answer may change the choice, best first."""
    useful = [t for t in advice.next_tests if t.required or (t.changes_choice and t.value_usd > 0.0)]
    return useful[: count("next_tests")]


def matrix_row(option: Option, units: Units) -> dict[str, Any]:
    """Return one line of the comparison matrix."""
    return {
        "rank": option.rank,
        "id": option.id,
        "title": units.text(sentence(option.title)),
        "cost": dollars_range(option.installed_cost_usd),
        "typical": dollars(option.installed_cost_usd.typical),
        "year": dollars(option.yearly_cost_usd.typical),
        "risk": f"{option.risk_score:.0f}",
        "grade": grade_words(option, GRADE_WORDS.get(option.safety, option.safety)),
        "shape": GRADE_SHAPES.get(option.safety, ""),
        "spills": worst_case(option),
        "stress": stress_range(option),
        "needs": units.text(option.needs),
        "lead": f"{option.lead_days:.0f}",
        "first": "" if option.rank_share is None else percent(option.rank_share[0]),
    }


def chart(advice: Advice, units: Units, identifier: str) -> str:
    """Return the chart of the ranked options, with the house on top: what was seen of it, else what is modelled."""
    found = advice.found
    seen, bad = seen_now(advice)
    share = f"spills in {percent(found.spillage.worst_case)} of worst cases"
    rows = [
        Row("As it is now", 0.0, 0.0, 0.0, found.risk_score, found.spillage.worst_case, max(found.spillage.stresses),
            "no cost", seen or share, as_found=True, seen=seen, danger=bad)
    ]  # fmt: skip
    for option in ranked(advice)[: count("chart_options")]:
        cost = option.installed_cost_usd
        quiet = option.appliance == "none"
        risk = (
            "nothing left to spill"
            if quiet
            else f"spills in {worst_case(option)} of worst cases, under stress {stress_range(option)}"
        )
        rows.append(
            Row(f"{option.rank}  {units.text(sentence(option.title))}", cost.low, cost.typical, cost.high,
                option.risk_score, option.spillage.worst_case, max(option.spillage.stresses),
                dollars_range(cost), risk)
        )  # fmt: skip
    return options_chart(rows, identifier, "What each choice costs, and how often the heater would still spill")


def air(
    before: AirBalance | None, after: AirBalance | None, option: Option | None, units: Units
) -> list[dict[str, Any]]:
    """Return the drawings of the house's air with their words and tables."""
    found = []
    title = "" if option is None else units.text(option.title)
    for key, balance, head in (("before", before, "As it is now"), ("after", after, f"After (modelled): {title}")):
        if balance is None or (key == "after" and (option is None or option.family == "none")):
            continue
        found.append(
            {
                "head": head,
                "caption": f"{head}: air in and out, modelled",
                "svg": house_drawing(balance, units, f"air-{key}", f"Air in the house. {head}"),
                "vent": vent_sentence(balance, units),
                "words": balance_words(balance, units),
                "rows": _air_rows(balance, units),
            }
        )
    return found


KIND_WORDS = {"leak": "leaks", "opening": "openings", "supply": "fresh-air supply", "duct leak": "duct leaks",
              "more exhaust": "one more fan", "device": "", "vent": "vent"}  # fmt: skip


def _air_rows(balance: AirBalance, units: Units) -> list[tuple[str, str, str]]:
    rows = [
        (
            f"{f.name or KIND_WORDS[f.kind]} ({PLACE_WORDS[f.place]})",
            units.flow(f.cfm) if f.cfm > 0 else "",
            units.flow(-f.cfm) if f.cfm < 0 else "",
        )
        for f in balance.flows
        if abs(f.cfm) >= 0.5
    ]
    if balance.shows == "unknown":
        return [*rows, ("vent of the heater", "not known", "not known")]
    if balance.vent_way not in ("none", "sealed"):
        up = balance.vent_cfm >= 0
        flow = units.flow(abs(balance.vent_cfm))
        rows.append(("vent of the heater", flow if up else "", "" if up else flow))
    rows.append(("all together", units.flow(balance.out_cfm), units.flow(balance.in_cfm)))
    return rows


def homeowner(advice: Advice, units: Units, before: AirBalance | None, after: AirBalance | None) -> dict[str, Any]:
    """Return what the homeowner's page prints."""
    options = ranked(advice)
    shown = options[: count("explained_options")]
    true = tags(advice, shown[:3])
    first = options[0] if options else None
    return {
        **common(advice, units),
        "plain": texts("homeowner", "plain", true),
        "air": air(before, after, first, units),
        "causes_intro": text("homeowner", "causes_intro"),
        "causes": [
            {"words": text("homeowner", c.id), "chance": percent(c.stops_alone), "share": round(100 * c.stops_alone)}
            for c in named_causes(advice)
            if c.stops_alone >= catalog.number("causes_limits", "named_from_share")
        ],
        "options_intro": text("homeowner", "options_intro"),
        "chart_intro": text("homeowner", "chart_intro"),
        "means_intro": text("homeowner", "means_intro"),
        "chart": chart(advice, units, "chart") if options else "",
        "short": short(advice, units),
        "means": [meaning(o, units) for o in shown],
        "questions": texts("homeowner", "question", true),
        "readings": [units.text(w) for w in (read_co_words(advice),) if w],
        "everyday": units.text(everyday_words(advice)),
        "found_risk": f"{advice.found.risk_score:.0f}" if advice.verdict.leads == "passed" else "",
        "comparison": units.text(sentence(advice.comparison.words)),
        "drivers": [units.text(driver_words(d)) for d in advice.comparison.drivers],
        "money": units.text(money_caution(advice)),
    }


def named_causes(advice: Advice) -> tuple[Cause, ...]:
    """Return the causes that may be named: those of a failure that stands and is explained."""
    if advice.verdict.stands != "failed" or not advice.explained:
        return ()
    return tuple(c for c in advice.found.causes if c.named)


DANGER_FIRST = "There is danger now. First do what stands at the top of this page; choosing comes after."


def short(advice: Advice, units: Units) -> list[str]:
    """Return the short answer in plain words: danger and test first, then the choice."""
    options = ranked(advice)
    if advice.verdict.stands == "not confirmed":
        return ["The work must be put right and tested again. Only then can anything new be chosen. What stands below was worked "
                "out before the work."]  # fmt: skip
    if advice.verdict.stands == "unproven" or (advice.verdict.dangers and advice.verdict.stands != "failed"):
        return [f"A test comes first. {test_note(advice)}" if not advice.verdict.dangers else DANGER_FIRST]
    if not options:
        return ["No single choice here is safe enough by itself. Ask for a mix of measures, or for one more test."]
    first = options[0]
    price = dollars_range(first.installed_cost_usd)
    lines = []
    if advice.found.nothing_wrong:
        lines.append("No repair is called for. Keep it tested. The choices below buy more margin.")
    else:
        near = " It is near the limit: it may not be enough." if first.near_limit else ""
        lines.append(f"Our first pick: {units.text(first.title)}. It costs about {price}.{near}")
        cheapest = min(options, key=lambda o: o.installed_cost_usd.typical)
        if cheapest is not first:
            words = f"The cheapest that passes: {units.text(cheapest.title)}, about {dollars_range(cheapest.installed_cost_usd)}."
            if cheapest.safety == "as tested":
                words += " It may still spill on other days."
            lines.append(words)
    if advice.comparison.tie and len(options) > 1:
        lines.append("The first two are close. Either can be right for you.")
    return lines


def meaning(option: Option, units: Units) -> dict[str, Any]:
    """Return what living with an option is like."""
    energy = option.lifetime.energy
    used = [
        f"{number:,.0f} {unit}"
        for number, unit in (
            units.number(energy.gas_therm, "therm"),
            units.number(energy.propane_gal, "gal"),
            (energy.electricity_kwh, "kWh"),
        )
        if number >= 1.0
    ]
    kinds = [w for w, v in (("gas", energy.gas_therm), ("propane", energy.propane_gal), ("power", energy.electricity_kwh))
             if v >= 1.0]  # fmt: skip
    fuel = " and ".join(f"{u} of {k}" for u, k in zip(used, kinds, strict=False))
    holds = option.holds_until
    return {
        "rank": option.rank,
        "title": units.text(sentence(option.title)),
        "plain": units.text(about(option, "plain")),
        "rows": [
            ("Noise", about(option, "noise")),
            ("Space", about(option, "space")),
            ("The work", about(option, "disruption")),
            ("Wait", _wait(option.lead_days)),
            ("Each year", f"About {dollars(option.yearly_cost_usd.typical)}" + (f": {fuel}, and upkeep." if fuel else ".")),
            ("Holds until", units.text(sentence(holds.words)) + "." if holds else "Not worked out."),
        ],
    }  # fmt: skip


def _wait(days: float) -> str:
    if days < 1.0:
        return "Can be done at once."
    return f"About {days:.0f} day{'' if round(days) == 1 else 's'} until it can be done."
