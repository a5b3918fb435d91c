"""What the inspector's page prints: what was seen and read first, then what is modelled, never against it."""

from __future__ import annotations

from typing import Any

from advisor.advice import Advice
from advisor.case.model import Run
from advisor.ensemble.weighted import Percentiles
from advisor.facts.audit import Audit
from advisor.findings import finding, quantity
from advisor.ranking.air_balance import AirBalance
from advisor.report.page.reader import air, common, named_causes, paying_tests
from advisor.report.page.record import audit_view, check_view, worst_first
from advisor.report.page.texts import tags, texts
from advisor.report.view.appliances import audits_of_others
from advisor.report.view.choices import CONDITIONS, condition_words, driver_words, ranked
from advisor.report.view.figures import READ_DIGITS, percent, whole
from advisor.report.view.in_force import dated_of_options, edition_words
from advisor.report.view.labels import sentence
from advisor.report.view.present import everyday_words, exceeds_model, floored, found_words, read_zone_pa
from advisor.report.view.unknowns import amendment_words, worth_knowing
from advisor.wording.coherence import coherence_rows, heads
from advisor.wording.speak import say, say_all, text


def before_work(advice: Advice) -> list[Run]:
    """Return the runs that the explanation is held against."""
    return [run for run in advice.case.run if run.after_work is None]


def inspector(advice: Advice, before: AirBalance | None, after: AirBalance | None) -> dict[str, Any]:
    """Return what the inspector's page prints."""
    options = ranked(advice)
    true = tags(advice, options[:3])
    return {
        **common(advice),
        "sentence": found_words(advice),
        "air": air(before, after, options[0] if options else None),
        "runs": [audit_view(r, a) for r, a in (*shown_runs(advice), *audits_of_others(advice))],
        **_as_found(advice),
        "coherence": [say_all(r) for r in coherence_rows(before_work(advice), advice.explanation.observations)],
        "coherence_heads": list(heads()),
        "pressure": pressure_words(advice),
        "exposure": exposure_rows(advice),
        "symptoms": "" if exceeds_model(advice) else say(advice.found.exposure.symptoms),
        "everyday": everyday_words(advice),
        "card": say(advice.found.card.text),
        "card_differs": say(advice.found.card_differs),
        "review": [check_view(c) for c in sorted(advice.review, key=worst_first)],
        "edition": say(edition_words(advice.code_in_force)),
        "dated": say_all(dated_of_options(advice, options)),
        "amendments": say_all(amendment_words(advice.amendments)),
        "drivers": [driver_words(d) for d in advice.comparison.drivers],
        "unknown": worth_knowing(advice.assumed),
        "wording": texts("inspector", "wording", true),
        "calls": texts("inspector", "call", true),
        "limits": texts("inspector", "limits", true),
        "test_cautions": [
            text("inspector.test_caution", title=t.title, caution=t.caution) for t in paying_tests(advice) if t.caution
        ],
    }


def _as_found(advice: Advice) -> dict[str, Any]:
    """Causes, what was seen to spill, and what is modelled of the house as found, where the record lets it stand."""
    found = advice.found
    stands = advice.explained and not advice.verdict.after_work
    failures = [r for r in advice.verdict.present if r.outcome == "failure"]
    shares = [(say(condition_words(key)), percent(found.spillage.under(key))) for key in CONDITIONS]
    seen = [(text("inspector.seen_in_run", label=r.label), text("inspector.spilled_too_long")) for r in failures]
    return {
        "causes": [
            {
                "words": sentence(c.words),
                "alone": percent(c.stops_alone),
                "part": percent(c.part_of_cure),
                "present": percent(c.present),
            }
            for c in named_causes(advice)
        ],
        "no_causes": no_causes_words(advice),
        "seen": [*seen, *_seen_of_others(advice)],
        "spillage": shares if stands else [],
        "score": whole(found.risk_score) if stands else "",
    }


def _seen_of_others(advice: Advice) -> list[tuple[str, str]]:
    """Return the runs in which another appliance was seen to spill, where that still stands."""
    spilled = text("inspector.spilled_too_long")
    return [
        (text("inspector.seen_in_run", label=text("view.appliance.run", name=one.name, label=r.label)), spilled)
        for one in advice.verdict.others
        for r in one.runs
        if one.spilled and r.outcome == "failure" and r.after_work == one.after_work
    ]


def no_causes_words(advice: Advice) -> str:
    """Return why no cause is named; empty where causes are."""
    if advice.verdict.stands == "not confirmed":
        return text("view.no_cause.history")
    if not advice.verdict.failed:
        return text("view.no_cause.other" if advice.verdict.vent_failed_by else "view.no_cause.no_failure")
    return "" if advice.explained else text("view.no_cause.not_explained")


def shown_runs(advice: Advice) -> list[tuple[Run, Audit]]:
    """Return the runs with their audits: all of them, but only those after the work once that is confirmed."""
    pairs = list(zip(advice.case.run, advice.audits, strict=True))
    confirmed = advice.verdict.leads == "confirmed"
    return [(r, a) for r, a in pairs if not confirmed or r.after_work is not None]


def pressure_words(advice: Advice) -> str:
    """Return the zone pressure: as read, then modelled for the worst case, which is never less than was read."""
    read, zone = read_zone_pa(advice), advice.found.zone_depressurization_pa
    first = (
        finding("inspector.pressure_not_read")
        if read is None
        else finding("inspector.pressure_read", read=quantity(read, "pa", READ_DIGITS))
    )
    if read is not None and zone.typical <= read:
        return text("inspector.pressure_counts", read=first)
    return text(
        "inspector.pressure",
        read=first,
        low=quantity(max(zone.low, read or zone.low), "pa"),
        high=quantity(zone.high, "pa"),
        median=quantity(zone.typical, "pa"),
    )


def exposure_rows(advice: Advice) -> list[tuple[str, str, str]]:
    """Return what people would breathe: the reading first, then modelled figures, none of them below it."""
    exposure, read = advice.found.exposure, advice.verdict.room_co_ppm
    first = text("view.not_read") if read is None else say(quantity(read, "ppm", READ_DIGITS))
    fouled = (text("inspector.breathed.fouled"), *_two(floored(exposure.fouled_peak_ppm, read), "ppm"))
    rows = [(text("inspector.breathed.read"), first, "" if read is None else text("inspector.breathed.floor"))]
    zone = text("inspector.breathed.zone")
    if exceeds_model(advice):
        return [*rows, (zone, text("inspector.breathed.no_more"), ""), fouled]
    return [
        *rows,
        (zone, *_two(floored(exposure.zone_peak_ppm, read), "ppm")),
        fouled,
        (text("inspector.breathed.house"), *_two(exposure.house_peak_ppm, "ppm")),
        (text("inspector.breathed.cohb"), *_two(exposure.cohb_rest_pct, "pct")),
    ]


def _two(values: Percentiles, unit: str) -> tuple[str, str]:
    return say(quantity(values.p50, unit)), say(quantity(values.p95, unit))
