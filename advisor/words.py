"""The sentences people read first: what to do now, what was found, what is assumed, cautions."""

from __future__ import annotations

from advisor import catalog
from advisor.case.model import Case, listed
from advisor.evidence.causes import Cause
from advisor.evidence.removals import NOT_LOOKED_AT
from advisor.facts import exhaust, services
from advisor.facts.carbon_monoxide import flue_co_air_free_ppm
from advisor.facts.hot_water import use_of
from advisor.facts.leakage import measured_cfm50
from advisor.facts.record import State, Verdict
from advisor.ranking.gates import percent
from advisor.ranking.options import Spillage

NOW_OF: dict[State, str] = {
    "failed": "spills",
    "unproven": "unsure",
    "passed": "fine",
    "confirmed": "confirmed",
    "not confirmed": "not_confirmed",
}
"""Row of ``catalog/texts/words_now.csv`` that says what each state of the record asks for."""


def _now(key: str) -> str:
    for row in catalog.table("words_now"):
        if row["key"] == key:
            return row["words"]
    raise KeyError(key)


def now_list(case: Case, verdict: Verdict) -> tuple[str, ...]:
    """Return what to do now, most urgent first; what sounds like an all-clear stands alone or not at all."""
    keys: list[str] = ["symptoms" if danger in ("symptoms", "alarm") else danger for danger in verdict.dangers]
    state = next((s for s in verdict.states if s != "danger now"), verdict.leads)
    clear = state in ("passed", "confirmed")
    early = any(r.outcome == "early spillage" for r in verdict.runs)
    no_hood = state == "confirmed" and any(run.seen == "no hood" for run in case.run)
    if not (clear and verdict.dangers):
        keys.append("early" if state == "unproven" and early else "no_hood" if no_hood else NOW_OF[state])
    if verdict.room_co_level == "amb_tell":
        keys.append("co_tell")
    if verdict.flue_co_over:
        keys.append("flue_co")
    if case.vent.condition in ("blocked", "disconnected") and not any(run.after_work for run in case.run):
        keys.append("vent_broken")
    if "in the past" in (case.occupants.symptoms, case.occupants.alarm_sounded):
        keys.append("past")
    if not case.occupants.co_alarms:
        keys.append("alarm")
    return tuple(_now(key) for key in dict.fromkeys(keys))


def found_sentence(verdict: Verdict, spillage: Spillage, causes: tuple[Cause, ...]) -> str:
    """Return what was found in one or two sentences a client understands."""
    if verdict.may_leave:
        day = verdict.holds_f
        weather = "" if day is None else f" The pass holds for {day:.0f} F and colder, not for milder days."
        return (
            "Nothing wrong found: with everything running that takes air out, the heater drafts."
            f"{weather} {_untested(spillage)}"
        )
    if not verdict.failed:
        return (
            "No run here is a full worst-case pass, and no run failed: the record proves nothing yet. In the situations that "
            f"fit the record (modelled) the heater would spill in {percent(spillage.worst_case)} of worst cases."
        )
    start = "The heater was seen to spill: its gas does not go up the vent, it comes into the room. "
    likely = _distinct([c for c in causes if c.id != NOT_LOOKED_AT and c.stops_alone >= _named_from()])[:2]
    unseen = next((c.stops_alone for c in causes if c.id == NOT_LOOKED_AT), 0.0)
    if not likely and unseen >= _named_from():
        return (
            f"{start}Nothing that was looked at explains it: in {percent(unseen)} (modelled) it is something that nobody "
            "looked at, or that the model does not hold. Look and test before anything is bought for this vent."
        )
    if not likely:
        return (
            start + "No single cause explains it alone; it takes more than one measure, or another test, to say more."
        )
    named = "; ".join(f"{c.words} ({percent(c.stops_alone)})" for c in likely)
    rest = f" That it is something nobody looked at: {percent(unseen)}." if unseen >= _named_from() else ""
    return start + f"What alone would stop it, once removed, and how sure that is (modelled): {named}.{rest}"


def _named_from() -> float:
    return catalog.number("causes_limits", "named_from_share")


def _distinct(likely: list[Cause]) -> list[Cause]:
    """Leave out 'short of air' where another cause says it better."""
    best = max((c.stops_alone for c in likely if c.id != "air_supply"), default=0.0)
    return [c for c in likely if c.id != "air_supply" or c.stops_alone > best + 0.05]


def _untested(spillage: Spillage) -> str:
    from advisor.ranking.gates import STRESS_WORDS

    limit = catalog.number("safety", "stress_limit")
    pairs = zip(STRESS_WORDS.values(), spillage.stresses, strict=True)
    weak = [f"{words} ({percent(share)})" for words, share in pairs if share > limit]
    if weak:
        return f"It may still spill (modelled) {', '.join(weak)}: that was not tested."
    return "Not tested: other weather, later changes to the house."


def assumed_values(case: Case) -> tuple[str, ...]:
    """Return what nobody measured, in the order in which knowing it would usually help."""
    house, vent, zone = case.house, case.vent, case.zone
    checks = (
        (measured_cfm50(case), "air leakage of the house (from its age, size and climate)"),
        (vent.height_ft, "vent height"),
        (vent.vertical, "vent material (Type B)"),
        (vent.connector, "connector material (single wall)"),
        (vent.inspected or None, "condition of the vent (not looked through)"),
        (zone.door, "door of the heater's space"),
        (zone.volume_ft3, "volume of the heater's space"),
        (house.floor_area_ft2, "floor area"),
        (case.heater.recovery_efficiency_pct, "steady efficiency of the heater"),
        (flue_co_air_free_ppm(case.run), "flue CO, air-free"),
        (case.heater.age_years, "age of the heater"),
        (house.state, "energy prices (US mean)"),
        (None if use_of(case).assumed else True, "hot water use"),
        (services.outlet_near(case), "receptacle near the heater"),
        (services.circuit_240_v(case), "240 V circuit"),
        (services.wall_ft(case), "distance to an outside wall"),
    )
    found = [words for value, words in checks if value is None]
    unknown_flow, labels = exhaust.names_by_basis(case, "usual"), exhaust.names_by_basis(case, "rated")
    if unknown_flow:
        found.insert(1, f"flow of {', '.join(unknown_flow)} (usual values)")
    if labels:
        found.insert(1, f"installed flow of {', '.join(labels)} (label only)")
    if any(o.state == "unknown" for o in listed(case.opening)):
        found.insert(1, "whether the outdoor opening is clear")
    return tuple(found)


def cautions() -> tuple[str, ...]:
    """Return the cautions that every output carries."""
    return tuple(row["words"] for row in catalog.table("cautions"))
