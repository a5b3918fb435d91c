"""What a retest must meet, what it is expected to read, and what it has shown, in sentences."""

from __future__ import annotations

from advisor.evidence.causes import words_of
from advisor.evidence.retest import Expected, PassLimits, Retest
from advisor.facts.run_conditions import rows

READING_WORDS = {
    "seconds_to_draft": ("seconds to draft", "s"),
    "zone_depressurization_pa": ("zone below outdoors", "Pa"),
    "baseline_depressurization_pa": ("the same with everything off", "Pa"),
    "draft_pa": ("draft", "Pa"),
    "ambient_co_ppm": ("CO in the room", "ppm"),
    "flue_co_ppm": ("CO in the flue", "ppm"),
}
REASON_WORDS = {
    "no_effect": "the work does not do what it should: check it",
    "misjudged": "the hood was misjudged, or the run was harder than the worst case",
}


def limit_words(limits: PassLimits) -> str:
    """Return the pass limits of a retest in one sentence."""
    return (
        f"spillage stops within {limits.seconds_s:.0f} s on a cold vent ({limits.scheme}); CO in the room stays below "
        f"{limits.room_co_ppm:.0f} ppm; CO in the flue is at most {limits.flue_co_ppm:.0f} ppm air-free"
    )


def expected_words(expected: Expected) -> str:
    """Return what a retest should read (modelled), as one sentence without its end."""
    if expected.appliance in ("none", "sealed"):
        return "no draft hood is left to test; hold the new heater against its instructions"
    net, draft, seconds = expected.net_depressurization_pa, expected.draft_pa, expected.seconds_to_draft
    parts = [f"with everything on the zone reads {net[0]:.1f} to {net[2]:.1f} Pa below its baseline"]
    if expected.appliance == "natural draft":
        parts.append(f"draft {draft[0]:.1f} to {draft[2]:.1f} Pa")
        late = seconds[2]
        parts.append("it may not draft at all" if late is None else f"it drafts within {max(late, 1.0):.0f} s")
    return "; ".join(parts) + " (forecast, 90 % of readings, modelled)"


def retest_words(retest: Retest, limits: PassLimits) -> str:
    """Return what one retest has shown, in one sentence without its end."""
    start = f"'{retest.run}' after '{retest.option_id}'"
    if retest.verdict == "confirmed" and retest.drafts is None:
        return f"{start}: no draft hood is left to spill, and CO in the room is low; hold the new heater against its manual"
    if retest.verdict == "confirmed":
        share = 100.0 * (retest.drafts or 0.0)
        return (
            f"{start}: confirmed on that day, every condition of the worst case met and written down; modelled, it drafts in "
            f"{share:.0f} % of situations"
        )
    if retest.verdict == "unclear":
        return f"{start}: the hood could not be judged, so the work is not confirmed"
    if retest.verdict == "passed, but not in a worst case":
        short = "; ".join(
            rows()[key]["redo"].split(";")[0].format(limit=f"{limits.seconds_s:g}") for key in retest.shortfalls
        )
        return f"{start}: it drafted, but that proves no pass, so the work is not confirmed. To do again: {short}"
    named = "; or ".join(f"{reason_words(r.id)} ({100.0 * r.probability:.0f} %)" for r in retest.reasons[:2])
    return f"{start}: not confirmed, it spilled" + (f". Most likely (modelled) because {named}" if named else "")


def reason_words(name: str) -> str:
    """Return a reason of a failed retest in plain words."""
    return REASON_WORDS.get(name) or f"what is left: {words_of(name)}"


def comparison_lines(retest: Retest) -> list[str]:
    """Return the readings before and after the work, one line each."""

    def shown(value: float | None, unit: str) -> str:
        return "not read" if value is None else f"{value:g} {unit}"

    found = []
    for reading in retest.readings:
        words, unit = READING_WORDS[reading.key]
        found.append(f"{words}: {shown(reading.before, unit)} before, {shown(reading.after, unit)} after")
    return found
