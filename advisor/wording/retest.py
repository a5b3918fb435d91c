"""What a retest must meet, what it is expected to read, and what it has shown, in sentences."""

from __future__ import annotations

from advisor.evidence.causes import words_of
from advisor.evidence.retest import Expected, PassLimits, Retest
from advisor.findings import Finding, Quantity, finding, listed, quantity, share
from advisor.wording.messages import has
from advisor.wording.speak import say

READING_UNITS = {
    "seconds_to_draft": "s",
    "zone_depressurization_pa": "pa",
    "baseline_depressurization_pa": "pa",
    "draft_pa": "pa",
    "ambient_co_ppm": "ppm",
    "flue_co_ppm": "ppm",
}
LEAST_S = 1.0
"""A forecast below it is said as this: nobody reads a shorter time."""


def limit_words(limits: PassLimits) -> str:
    """Return the pass limits of a retest in one sentence without its end."""
    return say(
        finding(
            "evidence.limits",
            seconds=quantity(limits.seconds_s, "s"),
            scheme=limits.scheme,
            room=quantity(limits.room_co_ppm, "ppm"),
            flue=quantity(limits.flue_co_ppm, "ppm"),
        )
    )


def expected_words(expected: Expected) -> str:
    """Return what a retest should read (modelled), as one sentence without its end."""
    if expected.appliance in ("none", "sealed"):
        return say(finding("evidence.expected.no_hood"))
    net, draft, late = expected.net_depressurization_pa, expected.draft_pa, expected.seconds_to_draft[2]
    name = "zone" if expected.appliance != "natural draft" else "may_not_draft" if late is None else "drafts"
    return say(
        finding(
            f"evidence.expected.{name}",
            low=quantity(net[0], "pa"),
            high=quantity(net[2], "pa"),
            least=quantity(draft[0], "pa"),
            most=quantity(draft[2], "pa"),
            seconds=quantity(None if late is None else max(late, LEAST_S), "s"),
        )
    )


def retest_words(retest: Retest, limits: PassLimits) -> str:
    """Return what one retest has shown, in one sentence without its end."""
    return say(_shown(retest, limits).with_values(run=retest.run, option=retest.option_id))


def _shown(retest: Retest, limits: PassLimits) -> Finding:
    if retest.verdict == "confirmed" and retest.drafts is None:
        return finding("evidence.retest.no_hood")
    if retest.verdict == "confirmed":
        return finding("evidence.retest.confirmed", share=share(retest.drafts or 0.0))
    if retest.verdict == "heater alone":
        return finding("evidence.retest.heater_alone")
    if retest.verdict == "unclear":
        return finding("evidence.retest.unclear")
    if retest.verdict == "passed, but not in a worst case":
        limit = quantity(limits.seconds_s, "s")
        redo = (finding(_to_redo(name), limit=limit) for name in retest.shortfalls)
        return finding("evidence.retest.no_worst_case", redo=listed(redo, "semicolon"))
    reasons = [(reason(r.id), share(r.probability)) for r in retest.reasons[:2]]
    if not reasons:
        return finding("evidence.retest.not_confirmed")
    first = finding("evidence.retest.not_confirmed_because", reason=reasons[0][0], share=reasons[0][1])
    if len(reasons) == 1:
        return first
    both = finding("evidence.retest.not_confirmed_because_or", **dict(first.values))
    return both.with_values(other=reasons[1][0], other_share=reasons[1][1])


def _to_redo(condition: str) -> str:
    """Return the message that says what to do again, the short one where there is one."""
    short = f"record.redo_short.{condition}"
    return short if has(short) else f"record.redo.{condition}"


def reason(name: str) -> Finding:
    """Return a reason of a failed retest."""
    if name in ("no_effect", "misjudged"):
        return finding(f"evidence.reason.{name}")
    return finding("evidence.reason.left", cause=words_of(name))


def reading_words(key: str) -> str:
    """Return the name of a reading that is compared before and after the work."""
    return say(finding(f"evidence.reading.{key}"))


def read_words(key: str, value: float | None) -> str:
    """Return what was read, or that nobody read it."""
    return say(_read(key, value))


def _read(key: str, value: float | None) -> Finding | Quantity:
    return finding("evidence.reading.not_read") if value is None else quantity(value, READING_UNITS[key], 2)


def comparison_lines(retest: Retest) -> list[str]:
    """Return the readings before and after the work, one line each."""
    return [
        say(
            finding(
                "evidence.reading.compared",
                what=finding(f"evidence.reading.{one.key}"),
                before=_read(one.key, one.before),
                after=_read(one.key, one.after),
            )
        )
        for one in retest.readings
    ]
