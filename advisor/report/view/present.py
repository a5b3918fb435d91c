"""What the record says of the house now, said before anything modelled: readings are floors, the verdict leads."""

from __future__ import annotations

from advisor.advice import Advice
from advisor.case.model import Run
from advisor.ensemble.weighted import Percentiles
from advisor.evidence.next_test import NextTest
from advisor.findings import Quantity, Words, listed, quantity, share, usd
from advisor.ranking.gates import HELD_DOWN
from advisor.ranking.options import Option
from advisor.report.view.figures import READ_DIGITS, rounded_money
from advisor.report.view.labels import named, sentence
from advisor.wording.speak import say, text

SELDOM_SHARE = 0.005
"""Share of firings under which the everyday hours sound like an all-clear: left out where the record gives none."""
NO_MEASURABLE_PPM = 1.0


def present_runs(advice: Advice) -> list[Run]:
    """Return the runs made in the present state of the house."""
    return [advice.case.run[r.index] for r in advice.verdict.present]


def read_zone_pa(advice: Advice) -> float | None:
    """Return the largest depressurization of the heater's room that was read, Pa; None where nobody read it."""
    found = [r.zone_depressurization_pa for r in present_runs(advice)]
    return max((p for p in found if p is not None), default=None)


def floored(values: Percentiles, read: float | None) -> Percentiles:
    """Return modelled percentiles of what was also read: none lies below the reading."""
    floor = read or 0.0
    return Percentiles(*(max(v, floor) for v in (values.p05, values.p50, values.p95, values.mean)))


def exceeds_model(advice: Advice) -> bool:
    """Return whether more CO was read in the room than the middle of the model has: what follows from less is not said."""
    read = advice.verdict.room_co_ppm
    return read is not None and read > advice.found.exposure.zone_peak_ppm.p50


def read_co_words(advice: Advice) -> str:
    """Return CO in the room as read; empty where nobody read it."""
    read = advice.verdict.room_co_ppm
    return "" if read is None else text("view.co_read", read=quantity(read, "ppm", READ_DIGITS))


def room_air(advice: Advice) -> list[str]:
    """Say what CO was read in the room, then what the worst case may bring there (modelled), never less than was read."""
    exposure, read = advice.found.exposure, advice.verdict.room_co_ppm
    first = [words] if (words := read_co_words(advice)) else []
    peak, fouled = floored(exposure.zone_peak_ppm, read), floored(exposure.fouled_peak_ppm, read)
    if exposure.others:
        first.append(text("view.counted_together", names=listed(exposure.others, "and")))
    if peak.p95 < NO_MEASURABLE_PPM:
        return [*first, text("view.little_co")]
    if exceeds_model(advice):
        return [*first, text("view.reading_counts", fouled=_ppm(fouled.p50))]
    return [
        *first,
        text(
            "view.modelled_co",
            peak=_ppm(peak.p50),
            peak_high=_ppm(peak.p95),
            cohb=quantity(exposure.cohb_rest_pct.p50, "pct"),
            cohb_high=quantity(exposure.cohb_rest_pct.p95, "pct"),
            fouled=_ppm(fouled.p50),
            fouled_cohb=quantity(exposure.fouled_cohb_pct.p50, "pct", 0),
        ),
    ]


def _ppm(value: float) -> Quantity:
    return quantity(value, "ppm")


def everyday_words(advice: Advice) -> str:
    """Return the modelled hours of ordinary days; empty where they would sound like an all-clear that the record denies."""
    found = advice.found.everyday
    if not advice.verdict.all_clear and (found.share_of_firings.p50 < SELDOM_SHARE or not advice.explained):
        return ""
    return sentence(found.text)


def found_words(advice: Advice) -> str:
    """Return what was found, where the findings are those of the house now."""
    verdict = advice.verdict
    if verdict.stands == "not confirmed":
        return text("view.before_the_work", words=advice.found.sentence)
    if verdict.stands == "passed" and verdict.dangers:
        return text("view.passed_with_danger")
    return say(advice.found.sentence)


def place_first(advice: Advice) -> bool:
    """Return whether the place of the heater asks for something before a test that was passed counts as an all-clear."""
    record = advice.verdict
    if record.leads == "not allowed here":
        return True
    return record.stands == "passed" and not advice.found.nothing_wrong and not record.dangers


def needs_test(advice: Advice) -> bool:
    """Return whether a test comes before any option: nothing is proven, or what was seen is not explained."""
    verdict = advice.verdict
    if verdict.dangers or verdict.after_work is not None:
        return False
    return verdict.stands == "unproven" or not advice.explained


def test_note(advice: Advice) -> str:
    """Return what the options are worth before that test; empty where none comes first."""
    if not needs_test(advice):
        return ""
    return text("view.options_if_it_fails" if advice.verdict.stands == "unproven" else "view.surer_without_vent")


def first_test(advice: Advice) -> NextTest | None:
    """Return the test that comes before any option; None where none does, or none is known."""
    if not needs_test(advice):
        return None
    tests = advice.next_tests
    return next((t for t in tests if t.required), tests[0] if tests else None)


def grade_words(option: Option, grade: Words) -> str:
    """Return a grade with what holds it down, and whether it lies near the limit."""
    parts = [grade] if grade else []
    parts += [named("barred", option.barred_by)] if option.barred_by else []
    parts += [named("grade", "near the limit")] if option.near_limit and option.safety != "not enough" else []
    return say(listed(parts))


def not_enough_words(option: Option) -> str:
    """Return why an option has no rank: the record where it bars it, else the modelled share."""
    if option.barred_by and option.barred_by not in HELD_DOWN:
        return say(named("barred", option.barred_by))
    message = "view.still_spills_near" if option.near_limit else "view.still_spills"
    return text(message, share=share(option.spillage.tested))


def seen_now(advice: Advice) -> tuple[str, bool]:
    """Return what the record says of the house as it is, for a chart, and whether it is bad; empty for a pass."""
    if advice.verdict.dangers:
        return text("view.seen_now.danger_now"), True
    if advice.verdict.stands == "not confirmed":
        return text("view.seen_now.not_confirmed"), True
    if advice.verdict.failed:
        return text("view.seen_now.seen_to_spill"), True
    if advice.verdict.vent_failed_by:
        return text("view.seen_now.vent_failed"), True
    if advice.verdict.leads == "not allowed here":
        return text("view.seen_now.not_allowed_here"), True
    return ("", False) if advice.verdict.all_clear else (text("view.seen_now.not_known"), False)


def money_caution(advice: Advice) -> str:
    """Say what money alone would choose, and why that does not count; empty where the comparison makes no sense."""
    ranks = [o for o in advice.options if o.rank is not None]
    if advice.verdict.stands != "failed" or not ranks:
        return ""
    left = next(o for o in advice.options if o.id == "leave_as_found")
    cheapest = min(ranks, key=lambda o: o.lifetime.total_usd.typical)
    gap_usd = cheapest.lifetime.total_usd.typical - left.lifetime.total_usd.typical
    if rounded_money(max(gap_usd, 0.0)) == 0:
        return ""
    return text(
        "view.money_alone", gap=usd(gap_usd), years=quantity(left.lifetime.study_years, "years"), title=cheapest.title
    )
