"""Was a run a worst case, and what does it therefore show? Rules of the published test procedure, run by run."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from advisor import catalog
from advisor.case.model import Case, Run


@dataclass(frozen=True, slots=True)
class Audit:
    """Findings about one run.

    Parameters
    ----------
    label : str
        The run's label.
    worst_case : bool
        Does it count as a worst-case run?
    shows : str
        What the run shows, in one sentence.
    shortfalls : tuple of str
        Why it is not a worst case, or what was missing.
    missing : tuple of str
        Numbers that were not written down.
    """

    label: str
    worst_case: bool
    shows: str
    shortfalls: tuple[str, ...]
    missing: tuple[str, ...]


Level = Literal["breaks", "weakens"]


def _limit(key: str) -> float:
    return catalog.number("test_procedure", key)


def audit(case: Case, run: Run) -> Audit:
    """Hold one run against the published worst-case procedure (``catalog/test_procedure.csv``)."""
    short: list[tuple[Level, str]] = []
    every = "all" in run.devices_on
    for device in case.exhaust:
        on = every or device.name in run.devices_on
        if device.kind == "whole-house fan":
            if device.name in run.devices_on:
                short.append(("weakens", f"'{device.name}' is a whole-house fan: the procedure leaves it off"))
            continue
        if not device.ducted_outdoors:
            if on:
                short.append(("weakens", f"'{device.name}' only recirculates: it takes no air out of the house"))
            continue
        if not on:
            short.append(("breaks", f"'{device.name}' exhausts outdoors but was off"))
    if not any(d.ducted_outdoors for d in case.exhaust):
        short.append(("weakens", "no device that exhausts outdoors is listed"))
    if run.shared_appliance == "firing":
        short.append(
            ("breaks", "the appliance on the same vent was firing: its heat pulls the water heater's gas along")
        )
    if run.window_open_ft2 > 0.0 or run.zone_window_open_ft2 > 0.0:
        short.append(("breaks", "a window or outside door stood open"))
    if run.fireplace_damper == "open":
        short.append(("breaks", "the fireplace damper was open"))
    if run.intake == "cleared" and run.after_work is None:
        short.append(("breaks", "the air opening was cleared for the run: it shows the cause, not the usual state"))
    if not run.vent_cold_at_start:
        short.append(("breaks", "the vent was still warm from an earlier firing"))
    if run.interior_doors == "open" and case.zone.kind != "open plan":
        short.append(("weakens", "interior doors were not set for the lowest zone pressure"))
    if case.air_handler.present and run.air_handler == "off":
        short.append(("weakens", "the air handler was not tried"))
    if case.zone.door is not None and case.zone.door != "none" and run.zone_door is None:
        short.append(("weakens", "the position of the zone's door was not written down"))
    other = next((r for r in case.run if _other_door_spilled(run, r)), None)
    if run.seen == "drafting" and other is not None:
        short.append(
            (
                "breaks",
                f"with the door of the zone {other.zone_door} it spilled (run '{other.label}'): that is the worse position",
            )
        )
    if run.wind_mph is not None and run.wind_mph > _limit("wind_too_strong_mph"):
        short.append(("weakens", f"wind of {run.wind_mph:g} mph: another day is better"))
    allowed = _allowed(case)
    if run.seconds_after_lit is not None and run.seconds_after_lit < allowed and run.seen in ("spilling", "reversed"):
        short.append(
            (
                "breaks",
                f"judged {run.seconds_after_lit:g} s after the burner lit: {allowed:g} s are allowed before it counts",
            )
        )
    missing = [
        words
        for value, words in (
            (run.outdoor_temp_f, "outdoor temperature"),
            (run.wind_mph, "wind"),
            (run.seconds_after_lit, "seconds after the burner lit"),
            (run.zone_depressurization_pa, "zone pressure against outdoors"),
            (run.baseline_depressurization_pa, "baseline pressure with everything off"),
            (run.flue_co_ppm, "flue CO"),
            (run.ambient_co_ppm, "CO in the room"),
        )
        if value is None
    ]
    breaks = [words for level, words in short if level == "breaks"]
    worst = not breaks
    return Audit(run.label, worst, _shows(run, worst, breaks), tuple(words for _, words in short), tuple(missing))


def _other_door_spilled(run: Run, other: Run) -> bool:
    """Return whether the other run differs in the zone's door, belongs to the same state of the house, and spilled."""
    return (
        run.zone_door is not None
        and other.zone_door is not None
        and other.zone_door != run.zone_door
        and other.after_work == run.after_work
        and other.seen in ("spilling", "reversed")
    )


def _allowed(case: Case) -> float:
    from advisor.evidence.likelihood import allowed_seconds

    return allowed_seconds(case)


def _shows(run: Run, worst: bool, breaks: list[str]) -> str:
    if run.seen == "unclear":
        return "shows nothing by itself: the hood could not be judged"
    if run.seen in ("spilling", "reversed"):
        if worst:
            return "a worst-case failure: the heater spills"
        return "spillage seen, though not in a full worst case; a full worst case is likely to be as bad or worse"
    if worst:
        return "a worst-case pass on that day"
    return f"no proof of safety: {breaks[0]}"
