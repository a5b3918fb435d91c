"""What the inspector's page prints: what was seen and read first, then what is modelled, never against it."""

from __future__ import annotations

from typing import Any

from advisor.advice import Advice
from advisor.case.model import Run
from advisor.ensemble.weighted import Percentiles
from advisor.facts.audit import Audit
from advisor.ranking.air_balance import AirBalance
from advisor.report.page.reader import air, common, named_causes, paying_tests
from advisor.report.page.record import amendment_words, audit_view, check_view, worst_first, worth_knowing
from advisor.report.page.texts import tags, texts
from advisor.report.text.explain import spillage_rows
from advisor.report.text.matrix import driver_words, ranked, sentence
from advisor.report.view.figures import percent
from advisor.report.view.present import everyday_words, exceeds_model, floored, found_words, read_zone_pa
from advisor.report.view.units_text import Units
from advisor.wording.coherence import coherence_rows, heads


def _coherence(advice: Advice, units: Units) -> list[tuple[str, ...]]:
    rows = coherence_rows(before_work(advice), advice.explanation.observations)
    return [tuple(units.text(cell) for cell in row) for row in rows]


def before_work(advice: Advice) -> list[Run]:
    """Return the runs that the explanation is held against."""
    return [run for run in advice.case.run if run.after_work is None]


def inspector(advice: Advice, units: Units, before: AirBalance | None, after: AirBalance | None) -> dict[str, Any]:
    """Return what the inspector's page prints."""
    options = ranked(advice)
    true = tags(advice, options[:3])
    found = advice.found
    return {
        **common(advice, units),
        "sentence": units.text(found_words(advice)),
        "air": air(before, after, options[0] if options else None, units),
        "runs": [audit_view(r, a, units) for r, a in shown_runs(advice)],
        "causes": [
            {"words": sentence(c.words), "alone": percent(c.stops_alone), "part": percent(c.part_of_cure),
             "present": percent(c.present)}
            for c in named_causes(advice)
        ],
        "no_causes": no_causes_words(advice),
        "coherence": _coherence(advice, units),
        "coherence_heads": heads(),
        "seen": [(f"seen in the run '{r.label}'", "spilled too long") for r in advice.verdict.present if r.outcome == "failure"],
        "spillage": [(units.text(words), value) for words, value in spillage_rows(found.spillage)]
        if advice.explained and not advice.verdict.after_work else [],
        "pressure": pressure_words(advice, units),
        "exposure": exposure_rows(advice),
        "symptoms": "" if exceeds_model(advice) else found.exposure.symptoms,
        "everyday": units.text(everyday_words(advice)),
        "score": f"{found.risk_score:.0f}" if advice.explained and not advice.verdict.after_work else "",
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


def no_causes_words(advice: Advice) -> str:
    """Return why no cause is named; empty where causes are."""
    if advice.verdict.stands == "not confirmed":
        return "The causes found before the work are history; what the retest leaves open stands with it."
    if not advice.verdict.failed:
        return "No run on record failed, so there is no cause to name."
    return "" if advice.explained else "What was seen is not explained: no cause is given a share."


def shown_runs(advice: Advice) -> list[tuple[Run, Audit]]:
    """Return the runs with their audits: all of them, but only those after the work once that is confirmed."""
    pairs = list(zip(advice.case.run, advice.audits, strict=True))
    confirmed = advice.verdict.leads == "confirmed"
    return [(r, a) for r, a in pairs if not confirmed or r.after_work is not None]


def pressure_words(advice: Advice, units: Units) -> str:
    """Return the zone pressure: as read, then modelled for the worst case, which is never less than was read."""
    read, zone = read_zone_pa(advice), advice.found.zone_depressurization_pa
    first = "not read" if read is None else f"read: {read:g} Pa below outdoors at most"
    if read is not None and zone.typical <= read:
        return f"{first}; modelled for the worst case: the middle is no more than was read, the reading counts"
    low, high = units.pressure(max(zone.low, read or zone.low)), units.pressure(zone.high)
    return f"{first}; modelled for the worst case: {low} to {high}, median {units.pressure(zone.typical)}"


def exposure_rows(advice: Advice) -> list[tuple[str, str, str]]:
    """Return what people would breathe: the reading first, then modelled figures, none of them below it."""
    exposure, read = advice.found.exposure, advice.verdict.room_co_ppm
    first = "not read" if read is None else f"{read:g} ppm"
    fouled = ("the same with a fouled burner (modelled)", *_two(floored(exposure.fouled_peak_ppm, read), 0, "ppm"))
    rows = [("CO in the room, as read", first, "" if read is None else "a floor")]
    if exceeds_model(advice):
        return [*rows, ("CO in the heater's room, highest (modelled)", "no more than was read", ""), fouled]
    return [
        *rows,
        ("CO in the heater's room, highest (modelled)", *_two(floored(exposure.zone_peak_ppm, read), 0, "ppm")),
        fouled,
        ("CO in the house, highest (modelled)", *_two(exposure.house_peak_ppm, 0, "ppm")),
        ("COHb of an adult at rest (modelled)", *_two(exposure.cohb_rest_pct, 1, "%")),
    ]


def _two(values: Percentiles, digits: int, unit: str) -> tuple[str, str]:
    return f"{values.p50:.{digits}f} {unit}", f"{values.p95:.{digits}f} {unit}"
