"""The sentences people read first: what to do now, what was found, what is assumed, cautions."""

from __future__ import annotations

from advisor import catalog
from advisor.case.model import Case
from advisor.evidence.causes import Cause
from advisor.ranking.gates import percent
from advisor.ranking.options import Spillage


def _now(key: str) -> str:
    for row in catalog.table("words_now"):
        if row["key"] == key:
            return row["words"]
    raise KeyError(key)


def _ambient_limit(key: str) -> float:
    for row in catalog.table("co_limits"):
        if row["key"] == key:
            return float(row["from_ppm"])
    raise KeyError(key)


def flue_co_air_free_ppm(case: Case) -> float | None:
    """Highest air-free flue CO that the record shows, ppm; None when it was not measured with O2."""
    from advisor.physics.combustion import air_free_from_o2_ppm

    found = [
        float(air_free_from_o2_ppm(run.flue_co_ppm, run.flue_o2_pct))
        for run in case.run
        if run.flue_co_ppm is not None and run.flue_o2_pct is not None
    ]
    return max(found) if found else None


def now_list(case: Case, nothing_wrong: bool, verdicts: tuple[str, ...] = ()) -> tuple[str, ...]:
    """Return what to do now, most urgent first; ``verdicts`` are those of the retests, in order."""
    keys = []
    room = max((run.ambient_co_ppm or 0.0 for run in case.run), default=0.0)
    if case.occupants.symptoms or case.occupants.alarm_sounded:
        keys.append("symptoms")
    if room >= _ambient_limit("amb_evacuate"):
        keys.append("co_evacuate")
    elif room >= _ambient_limit("amb_act"):
        keys.append("co_act")
    elif room >= _ambient_limit("amb_tell"):
        keys.append("co_tell")
    spilled = any(run.seen in ("spilling", "reversed") and run.after_work is None for run in case.run)
    if verdicts:
        keys.append("confirmed" if verdicts[-1] == "confirmed" else "not_confirmed")
    elif spilled:
        keys.append("spills")
    flue = flue_co_air_free_ppm(case)
    limit = next(float(r["to_ppm"]) for r in catalog.table("co_limits") if r["key"] == "flue_wh")
    if flue is not None and flue > limit:
        keys.append("flue_co")
    if not spilled and not verdicts:
        keys.append("fine" if nothing_wrong else "unsure")
    if not case.occupants.co_alarms:
        keys.append("alarm")
    return tuple(_now(key) for key in keys)


def found_sentence(
    case: Case,
    spillage: Spillage,
    causes: tuple[Cause, ...],
    nothing_wrong: bool,
    passed: bool,
    seen_spilling: bool,
) -> str:
    """Return what was found in one or two sentences a client understands."""
    if nothing_wrong:
        tail = _untested(spillage)
        return f"Nothing wrong found: with everything running that takes air out, the heater drafts. {tail}"
    likely = _distinct([c for c in causes if c.stops_alone >= _named_from()])[:2]
    if not seen_spilling:
        words = "No run here is a full worst-case pass" if not passed else "The test passed"
        return (
            f"{words}; in the situations that fit the record the heater would spill in "
            f"{percent(spillage.worst_case)} of worst cases."
        )
    start = "The heater's gas does not go up the vent: it spills into the room. "
    if not likely:
        return (
            start + "No single cause explains it alone; it takes more than one measure, or another test, to say more."
        )
    named = "; ".join(f"{c.words} ({percent(c.stops_alone)})" for c in likely)
    return start + f"What alone would stop it, once removed, and how sure that is: {named}."


def _named_from() -> float:
    return catalog.number("causes_limits", "named_from_share")


def _distinct(likely: list[Cause]) -> list[Cause]:
    """Leave out 'short of air' where another cause says it better."""
    best = max((c.stops_alone for c in likely if c.id != "air_supply"), default=0.0)
    return [c for c in likely if c.id != "air_supply" or c.stops_alone > best + 0.05]


def _untested(spillage: Spillage) -> str:
    from advisor import catalog
    from advisor.ranking.gates import STRESS_WORDS

    limit = catalog.number("safety", "stress_limit")
    pairs = zip(STRESS_WORDS.values(), spillage.stresses, strict=True)
    weak = [f"{words} ({percent(share)})" for words, share in pairs if share > limit]
    if weak:
        return f"It may still spill {', '.join(weak)}: that was not tested."
    return "Not tested: other weather, later changes to the house."


def assumed_values(case: Case) -> tuple[str, ...]:
    """Return what nobody measured, in the order in which knowing it would usually help."""
    house, vent, zone = case.house, case.vent, case.zone
    checks = (
        (house.leakage_cfm50, "air leakage of the house (from its age, size and climate)"),
        (vent.height_ft, "vent height"),
        (vent.vertical, "vent material (Type B)"),
        (vent.connector, "connector material (single wall)"),
        (vent.inspected or None, "condition of the vent (not looked through)"),
        (zone.door, "door of the heater's space"),
        (zone.volume_ft3, "volume of the heater's space"),
        (house.floor_area_ft2, "floor area"),
        (case.heater.recovery_efficiency_pct, "steady efficiency of the heater"),
        (flue_co_air_free_ppm(case), "flue CO, air-free"),
        (case.heater.age_years, "age of the heater"),
        (house.state, "energy prices (US mean)"),
        (case.occupants.people or case.occupants.bedrooms, "hot water use"),
        (case.services.receptacle_120v, "receptacle near the heater"),
        (case.services.circuit_240v, "240 V circuit"),
        (case.services.outside_wall_distance_ft, "distance to an outside wall"),
    )
    found = [words for value, words in checks if value is None]
    unknown_flow = [
        e.name for e in case.exhaust if e.ducted_outdoors and e.rated_cfm is None and e.measured_cfm is None
    ]
    labels = [e.name for e in case.exhaust if e.ducted_outdoors and e.rated_cfm is not None and e.measured_cfm is None]
    if unknown_flow:
        found.insert(1, f"flow of {', '.join(unknown_flow)} (usual values)")
    if labels:
        found.insert(1, f"installed flow of {', '.join(labels)} (label only)")
    if any(o.state == "unknown" for o in case.opening):
        found.insert(1, "whether the outdoor opening is clear")
    return tuple(found)


def cautions() -> tuple[str, ...]:
    """Return the cautions that every output carries."""
    return tuple(row["words"] for row in catalog.table("cautions"))
