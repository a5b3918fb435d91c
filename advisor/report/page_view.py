"""What the templates print: every figure as text in the reader's units, nothing computed but its rounding."""

from __future__ import annotations

from typing import Any

from advisor import catalog
from advisor.advice import Advice
from advisor.case.model import Run
from advisor.codes.check import Check
from advisor.evidence.next_test import NextTest
from advisor.ranking.air_balance import AirBalance
from advisor.ranking.options import Option
from advisor.report.drawings import Row, balance_words, house_drawing, options_chart, vent_sentence
from advisor.report.explain_text import CONDITIONS
from advisor.report.figures import dollars, dollars_range, percent, stress_range, worst_case
from advisor.report.matrix import driver_words, legend, money_caution, not_enough, not_possible, ranked, sentence
from advisor.report.page_texts import about, tags, text, texts
from advisor.report.units_text import Units
from advisor.risk.sampling import Percentiles
from advisor.wording.record import Audit

GRADE_WORDS = {"robust": "safe in every check", "as tested": "safe on a day like the test day"}
GRADE_SHAPES = {"robust": "●●", "as tested": "●○"}


def count(key: str) -> int:
    """Return how many of something a page shows, from ``catalog/page_settings.csv``."""
    return int(catalog.number("page_settings", key))


def common(advice: Advice, units: Units) -> dict[str, Any]:
    """Return what every viewpoint prints."""
    options = ranked(advice)
    return {
        "title": advice.case.title,
        "note": advice.case.note,
        "now": [units.text(w) for w in advice.now],
        "fine": calm(advice),
        "matrix": [matrix_row(o, units) for o in options],
        "not_enough": [
            {"title": units.text(sentence(o.title)), "spills": percent(o.spillage.worst_case),
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
        "legend": units.text(legend(advice)),
        "hash": advice.catalog_hash,
        "contradictions": [units.text(sentence(w)) for w in advice.contradictions],
        "retests": [units.text(sentence(r.words)) for r in advice.retests],
        "next_tests": [units.text(sentence(t.words)) for t in paying_tests(advice)],
    }  # fmt: skip


def calm(advice: Advice) -> bool:
    """Return True when the most urgent thing to do is no more than to keep testing."""
    words = {row["words"] for row in catalog.table("words_now") if row["key"] in ("fine", "confirmed")}
    return advice.now[0] in words


def paying_tests(advice: Advice) -> list[NextTest]:
    """Return the next tests whose answer may change the choice, best first."""
    return [t for t in advice.next_tests if t.changes_choice and t.value_usd > 0.0][: count("next_tests")]


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
        "grade": GRADE_WORDS.get(option.safety, option.safety),
        "shape": GRADE_SHAPES.get(option.safety, ""),
        "spills": worst_case(option),
        "stress": stress_range(option),
        "needs": units.text(option.needs),
        "lead": f"{option.lead_days:.0f}",
        "first": "" if option.rank_share is None else percent(option.rank_share[0]),
    }


def chart(advice: Advice, units: Units, identifier: str) -> str:
    """Return the chart of the ranked options, with the house as found on top."""
    found = advice.found
    rows = [
        Row("As it is now", 0.0, 0.0, 0.0, found.risk_score, found.spillage.worst_case, max(found.spillage.stresses),
            "no cost", f"spills in {percent(found.spillage.worst_case)} of worst cases", as_found=True)
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
    for key, balance, head in (("before", before, "As it is now"), ("after", after, f"After: {title}")):
        if balance is None or (key == "after" and (option is None or option.family == "none")):
            continue
        found.append(
            {
                "head": head,
                "svg": house_drawing(balance, units, f"air-{key}", f"Air in the house. {head}"),
                "vent": vent_sentence(balance, units),
                "words": balance_words(balance, units),
                "rows": _air_rows(balance, units),
            }
        )
    return found


PLACE_WORDS = {"house": "house", "zone": "heater's room"}
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
            for c in advice.found.causes
            if c.stops_alone >= catalog.number("causes_limits", "named_from_share")
        ],
        "options_intro": text("homeowner", "options_intro"),
        "chart_intro": text("homeowner", "chart_intro"),
        "means_intro": text("homeowner", "means_intro"),
        "chart": chart(advice, units, "chart") if options else "",
        "short": short(advice, units),
        "means": [meaning(o, units) for o in shown],
        "questions": texts("homeowner", "question", true),
        "everyday": units.text(sentence(advice.found.everyday.text)),
        "found_risk": f"{advice.found.risk_score:.0f}",
        "comparison": units.text(sentence(advice.comparison.words)),
        "drivers": [units.text(driver_words(d)) for d in advice.comparison.drivers],
        "money": units.text(money_caution(advice)),
    }


def short(advice: Advice, units: Units) -> list[str]:
    """Return the short answer in plain words."""
    options = ranked(advice)
    if not options:
        return ["No single choice here is safe enough by itself. Ask for a mix of measures, or for one more test."]
    first = options[0]
    price = dollars_range(first.installed_cost_usd)
    lines = []
    if advice.found.nothing_wrong:
        lines.append("No repair is called for. Keep it tested. The choices below buy more margin.")
    else:
        lines.append(f"Our first pick: {units.text(first.title)}. It costs about {price}.")
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


RUN_FIELDS = (
    ("outdoor_temp_f", "outdoor temperature", "F"),
    ("indoor_temp_f", "temperature at the heater", "F"),
    ("wind_mph", "wind", "mph"),
    ("baseline_depressurization_pa", "baseline depressurization", "Pa"),
    ("zone_depressurization_pa", "zone depressurization", "Pa"),
    ("draft_pa", "draft", "Pa"),
    ("seconds_after_lit", "judged after", "s"),
    ("seconds_to_draft", "time to draft", "s"),
    ("flue_co_ppm", "CO in the flue", "ppm"),
    ("flue_o2_pct", "O2 in the flue", "%"),
    ("ambient_co_ppm", "CO in the room", "ppm"),
    ("window_open_ft2", "window open", "ft2"),
)


def run_rows(run: Run, units: Units) -> list[tuple[str, str]]:
    """Return a run of the record as pairs of words and values."""
    rows = [
        ("seen at the draft hood", f"{run.seen} ({run.method})"),
        ("devices on", "not written down" if run.devices_on is None else ", ".join(run.devices_on) or "none"),
    ]
    rows += [
        ("door of the zone", run.zone_door or "not written down"),
        ("interior doors", run.interior_doors or "not written down"),
    ]
    rows += [("air handler", run.air_handler or "not written down"), ("air opening", run.intake or "not written down")]
    if run.shared_appliance == "firing":
        rows.append(("appliance on the same vent", "firing"))
    if run.after_work is not None:
        rows.append(("retest after", run.after_work))
    for name, words, unit in RUN_FIELDS:
        value = getattr(run, name)
        if value is None or (name == "window_open_ft2" and value == 0.0):
            continue
        number, shown = units.number(value, unit)
        rows.append((words, f"{number:.0f} {shown}" if unit == "F" else f"{number:.3g} {shown}"))
    return rows


def audit_view(run: Run, found: Audit, units: Units) -> dict[str, Any]:
    """Return a run and its audit."""
    return {
        "label": found.label,
        "shows": units.text(found.shows),
        "worst_case": "counts as a worst case" if found.worst_case else "does not count as a worst case",
        "rows": run_rows(run, units),
        "shortfalls": [units.text(s) for s in found.shortfalls],
        "missing": found.missing,
    }


VERDICT_SHAPES = {"pass": "✓", "fail": "✗", "unknown": "?", "not applicable": "–"}


def check_view(check: Check, units: Units) -> dict[str, str]:
    """Return a code check as text."""
    return {
        "verdict": check.verdict,
        "shape": VERDICT_SHAPES.get(check.verdict, "!"),
        "rule": units.text(check.rule),
        "clause": check.clause,
        "status": check.status,
        "client": units.text(check.client),
        "official": units.text(check.official),
    }


def inspector(advice: Advice, units: Units, before: AirBalance | None, after: AirBalance | None) -> dict[str, Any]:
    """Return what the inspector's page prints."""
    options = ranked(advice)
    true = tags(advice, options[:3])
    found = advice.found
    exposure = found.exposure
    return {
        **common(advice, units),
        "sentence": units.text(found.sentence),
        "air": air(before, after, options[0] if options else None, units),
        "runs": [audit_view(r, a, units) for r, a in zip(advice.case.run, advice.audits, strict=True)],
        "causes": [
            {"words": sentence(c.words), "alone": percent(c.stops_alone), "part": percent(c.part_of_cure),
             "present": percent(c.present)}
            for c in found.causes
            if c.named
        ],
        "spillage": [(units.text(words), percent(getattr(found.spillage, key))) for key, words in CONDITIONS],
        "pressure": (
            f"{units.pressure(found.zone_depressurization_pa.low)} to {units.pressure(found.zone_depressurization_pa.high)}, "
            f"median {units.pressure(found.zone_depressurization_pa.typical)}"
        ),
        "exposure": [
            ("CO in the heater's room, highest", *_two(exposure.zone_peak_ppm, 0, "ppm")),
            ("CO in the house, highest", *_two(exposure.house_peak_ppm, 0, "ppm")),
            ("COHb of an adult at rest", *_two(exposure.cohb_rest_pct, 1, "%")),
            ("the same day with a fouled burner: room", *_two(exposure.fouled_peak_ppm, 0, "ppm")),
        ],
        "symptoms": exposure.symptoms,
        "everyday": units.text(sentence(found.everyday.text)),
        "score": f"{found.risk_score:.0f}",
        "card": found.card.text,
        "card_differs": found.card_differs,
        "review": [check_view(c, units) for c in sorted(advice.review, key=worst_first)],
        "amendments": amendment_words(advice, units),
        "drivers": [units.text(driver_words(d)) for d in advice.comparison.drivers],
        "unknown": worth_knowing(advice, units),
        "wording": texts("inspector", "wording", true),
        "calls": texts("inspector", "call", true),
        "limits": texts("inspector", "limits", true),
        "test_cautions": [f"{sentence(t.title)}: {units.text(t.caution)}" for t in paying_tests(advice) if t.caution],
    }  # fmt: skip


def _two(values: Percentiles, digits: int, unit: str) -> tuple[str, str]:
    return f"{values.p50:.{digits}f} {unit}", f"{values.p95:.{digits}f} {unit}"


def amendment_words(advice: Advice, units: Units) -> list[str]:
    """Return the local rules in force, each beside the published one."""
    return [
        units.text(f"{a.key}: {a.value:g} {a.unit} here ({a.source}); published {a.published:g} {a.unit} ({a.ref})")
        for a in advice.amendments
    ]


def worth_knowing(advice: Advice, units: Units) -> list[str]:
    """Return the unmeasured values, each with what knowing it would buy."""
    rows = catalog.table("worth_knowing")
    found = []
    for words in advice.assumed:
        buys = next((r["buys"] for r in rows if r["starts_with"] and words.startswith(r["starts_with"])), "")
        found.append(units.text(f"{words}: {buys}" if buys else words))
    return found


def worst_first(check: Check) -> int:
    """Return the place of a check in a list that shows what is wrong first."""
    return {"fail": 0, "outside the table: engineered design": 1, "unknown": 2, "pass": 3}.get(check.verdict, 4)
