"""What the record says of the house now, said before anything modelled: readings are floors, the verdict leads."""

from __future__ import annotations

from advisor.advice import Advice
from advisor.case.model import Run
from advisor.ensemble.weighted import Percentiles
from advisor.evidence.next_test import NextTest
from advisor.ranking.options import Option
from advisor.report.view.figures import dollars, percent
from advisor.wording.speak import say

SELDOM_SHARE = 0.005
"""Share of firings under which the everyday hours sound like an all-clear: left out where the record gives none."""
NO_MEASURABLE_PPM = 1.0
BARRED = {
    "failed": "barred: the heater was seen to spill",
    "unproven": "barred: a test comes first",
    "danger now": "barred: danger now",
    "not confirmed": "barred: the retest did not confirm it",
    "confirmed": "barred: it is history",
    "unexplained": "held down: what was seen is not explained",
}


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
    return "" if read is None else f"CO read in the room: {read:g} ppm; at other times it may be more."


def room_air(advice: Advice) -> list[str]:
    """Say what CO was read in the room, then what the worst case may bring there (modelled), never less than was read."""
    exposure, read = advice.found.exposure, advice.verdict.room_co_ppm
    first = [words] if (words := read_co_words(advice)) else []
    peak, fouled = floored(exposure.zone_peak_ppm, read), floored(exposure.fouled_peak_ppm, read)
    if peak.p95 < NO_MEASURABLE_PPM:
        return [
            *first,
            "Modelled: with a clean burner the worst case brings little CO into the room. Where it spills and the burner is "
            "foul, that changes within minutes: clean air in one test is no promise.",
        ]
    foul = f"If the burner fouls while it breathes its own gas, the room could reach {fouled.p50:.0f} ppm"
    if exceeds_model(advice):
        return [*first, f"Modelled, the worst case brings no more than was read: the reading counts. {foul}."]
    return [
        *first,
        f"Modelled, in the worst case, over a day of firings: CO in the heater's room peaks near {peak.p50:.0f} ppm "
        f"(up to {peak.p95:.0f}), COHb of a resting adult {exposure.cohb_rest_pct.p50:.1f} % (up to "
        f"{exposure.cohb_rest_pct.p95:.1f} %). {foul} and COHb near {exposure.fouled_cohb_pct.p50:.0f} %: clean gas today is "
        "no promise.",
    ]


def everyday_words(advice: Advice) -> str:
    """Return the modelled hours of ordinary days; empty where they would sound like an all-clear that the record denies."""
    found = advice.found.everyday
    if not advice.verdict.all_clear and (found.share_of_firings.p50 < SELDOM_SHARE or not advice.explained):
        return ""
    words = say(found.text)
    return f"{words[:1].upper()}{words[1:]}"


def found_words(advice: Advice) -> str:
    """Return what was found, where the findings are those of the house now."""
    verdict = advice.verdict
    if verdict.stands == "not confirmed":
        words = say(advice.found.sentence)
        return f"Before the work: {words[:1].lower()}{words[1:]}"
    if verdict.stands == "passed" and verdict.dangers:
        return "A test was passed, but there is danger now: what the test shows does not explain it."
    return say(advice.found.sentence)


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
    if advice.verdict.stands == "unproven":
        return "The options below are for the case that the heater fails it."
    return "What was seen is not explained: of the options below, those that need no vent are the surer ones."


def first_test(advice: Advice) -> NextTest | None:
    """Return the test that comes before any option; None where none does, or none is known."""
    if not needs_test(advice):
        return None
    tests = advice.next_tests
    return next((t for t in tests if t.required), tests[0] if tests else None)


def grade_words(option: Option, grade: str) -> str:
    """Return a grade with what holds it down, and whether it lies near the limit."""
    parts = [grade] if grade else []
    parts += [BARRED[option.barred_by]] if option.barred_by else []
    parts += ["near the limit"] if option.near_limit and option.safety != "not enough" else []
    return ", ".join(parts)


def not_enough_words(option: Option) -> str:
    """Return why an option has no rank: the record where it bars it, else the modelled share."""
    if option.barred_by in BARRED and option.barred_by != "unexplained":
        return BARRED[option.barred_by]
    near = ", near the limit" if option.near_limit else ""
    return f"modelled, would still spill in {percent(option.spillage.tested)} of situations{near}"


def seen_now(advice: Advice) -> tuple[str, bool]:
    """Return what the record says of the house as it is, for a chart, and whether it is bad; empty for a pass."""
    if advice.verdict.dangers:
        return "danger now", True
    if advice.verdict.stands == "not confirmed":
        return "not confirmed", True
    if advice.verdict.failed:
        return "seen to spill", True
    return ("", False) if advice.verdict.all_clear else ("not known", False)


def money_caution(advice: Advice) -> str:
    """Say what money alone would choose, and why that does not count; empty where the comparison makes no sense."""
    ranks = [o for o in advice.options if o.rank is not None]
    if advice.verdict.stands != "failed" or not ranks:
        return ""
    left = next(o for o in advice.options if o.id == "leave_as_found")
    cheapest = min(ranks, key=lambda o: o.lifetime.total_usd.typical)
    gap = dollars(max(cheapest.lifetime.total_usd.typical - left.lifetime.total_usd.typical, 0.0))
    if gap == dollars(0.0):
        return ""
    return (
        f"On money alone leaving it as it is usually wins (here by about {gap} over {left.lifetime.study_years} years against "
        f"the cheapest safe option, {cheapest.title}): it is gated out because it was seen to spill."
    )
