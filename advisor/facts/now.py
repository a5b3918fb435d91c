"""What to do now and what every output warns of: which sentence applies, by id."""

from __future__ import annotations

from collections.abc import Iterator

from advisor import catalog
from advisor.case.model import Case
from advisor.case.upgrade import HEATER
from advisor.codes.check import Check
from advisor.facts.beside import appliance_names
from advisor.facts.carbon_monoxide import ambient_stop_ppm
from advisor.facts.judged import runs_of
from advisor.facts.place import barred_by_place, not_known_to_be_listed, place_to_confirm
from advisor.facts.record import State, Verdict
from advisor.facts.scope import beyond
from advisor.findings import Finding, Value, Words, finding, listed, quantity

NOW_OF: dict[State, str] = {
    "failed": "spills",
    "unproven": "unsure",
    "passed": "fine",
    "confirmed": "confirmed",
    "not confirmed": "not_confirmed",
    "not allowed here": "place_barred",
}
"""Row of ``catalog/codes/now.csv`` that says what each state of the record asks for."""

NOT_READ = ("memory", "common practice")
"""Statuses of a rule whose text nobody read here."""


def _sourced(table: str, room: str, key: str, **values: Value) -> Finding:
    """Return a finding with the sources that its row of a table names."""
    for row in catalog.table(table):
        if row["key"] == key:
            return Finding(f"{room}.{key}", tuple(values.items()), (row["source"],) if row["source"] else ())
    raise KeyError(key)


def to_do(key: str, **values: Value) -> Finding:
    """Return what one row of ``catalog/codes/now.csv`` asks for."""
    return _sourced("now", "now", key, **values)


def _with_its_standing(check: Check) -> Words:
    """Return what a rule says for the client, with how far it can be trusted where its text was not read."""
    if check.status not in NOT_READ:
        return check.client
    return finding("codes.with_owed", official=check.client, owed=finding(f"codes.owed.{check.status}"))


def _of_the_place(case: Case, verdict: Verdict) -> dict[str, Finding]:
    """Return what the place of the heater asks for: what bars it, what was not read, and what is different outdoors."""
    barred, doubtful = (found(case, verdict.after_work) for found in (barred_by_place, place_to_confirm))
    rows = {"place_barred": barred, "place_confirm": doubtful}
    asked = {
        key: to_do(key, rules=listed(map(_with_its_standing, found), "space")) for key, found in rows.items() if found
    }
    said = {"outdoors": case.zone.kind == "outdoors", "manufactured": not_known_to_be_listed(case, verdict.after_work)}
    return asked | {key: to_do(key) for key, true in said.items() if true}


def place_comes_first(case: Case, verdict: Verdict) -> bool:
    """Return whether the place asks for something before a test that was passed may sound like an all-clear."""
    return bool(_of_the_place(case, verdict))


def now_list(case: Case, verdict: Verdict) -> tuple[Finding, ...]:
    """Return what to do now, most urgent first; what sounds like an all-clear stands alone or not at all.

    Parameters
    ----------
    case : Case
        With the runs of every appliance.
    verdict : Verdict
        Of its record.
    """
    found = [to_do("symptoms" if danger in ("symptoms", "alarm") else danger) for danger in verdict.dangers]
    state = next((s for s in verdict.states if s != "danger now"), verdict.leads)
    place = _of_the_place(case, verdict)
    # what sounds like an all-clear is not said where the place still asks for something
    silent = place if state == "passed" else {"place_confirm"} & set(place)
    if state != "not allowed here" and not (state in ("passed", "confirmed") and (verdict.dangers or silent)):
        found.append(_of_heater(case, verdict, state))
    found += [*place.values(), *_of_others(verdict), *_further(case, verdict)]
    return tuple(dict.fromkeys(found))


def _of_heater(case: Case, verdict: Verdict, state: State) -> Finding:
    """Return what the state of the heater asks for; each appliance of a failed vent is named."""
    mates = tuple(name for name in verdict.stop if name != HEATER and _on_the_vent(verdict, name))
    if state == "vent failed":
        spilled = appliance_names(verdict.vent_failed_by)
        return to_do("vent_failed", spilled=spilled, names=appliance_names((HEATER, *mates)))
    if state == "not confirmed" and verdict.vent_failed_by:
        spilled = appliance_names(verdict.vent_failed_by)
        return to_do("not_confirmed_vent", spilled=spilled, names=appliance_names((HEATER, *mates)))
    if state in ("failed", "not confirmed") and mates:
        return to_do(f"{NOW_OF[state]}_shared", names=appliance_names(mates))
    if state in ("passed", "confirmed") and verdict.stop:
        return to_do("heater_apart")
    early = any(r.outcome == "early spillage" for r in verdict.runs)
    no_hood = state == "confirmed" and any(run.seen == "no hood" for run in runs_of(case, None))
    return to_do("early" if state == "unproven" and early else "no_hood" if no_hood else NOW_OF[state])


def _on_the_vent(verdict: Verdict, name: str) -> bool:
    return any(one.name == name and one.vent == "with the heater" for one in verdict.others)


def _of_others(verdict: Verdict) -> Iterator[Finding]:
    """Yield what the other appliances ask for: what spilled with another vent, what burns badly, what nobody judged."""
    for one in verdict.others:
        if one.spilled and one.name not in verdict.vent_failed_by:
            unknown = "other_vent_unknown" if one.vent is None else "other_failed"
            yield to_do(unknown, name=appliance_names((one.name,)))
    over = tuple(one.name for one in verdict.others if one.flue_co_over)
    if over:
        yield to_do("other_flue_co", names=appliance_names(over))
    asked = tuple(one.name for one in verdict.others if one.asked_for)
    if asked and not verdict.dangers:
        yield to_do("others_untested", names=appliance_names(asked), count=len(asked))


def _further(case: Case, verdict: Verdict) -> Iterator[Finding]:
    """Yield what CO, vent, symptoms and alarms ask for besides."""
    if verdict.room_co_level == "amb_tell":
        yield to_do("co_tell")
    if verdict.flue_co_over:
        yield to_do("flue_co")
    if case.vent.condition in ("blocked", "disconnected") and not any(run.after_work for run in case.run):
        yield to_do("vent_broken")
    if "in the past" in (case.occupants.symptoms, case.occupants.alarm_sounded):
        yield to_do("past")
    yield from (to_do(key) for key in beyond(case))
    if not case.occupants.co_alarms:
        yield to_do("alarm")


def cautions() -> tuple[Finding, ...]:
    """Return the cautions that every output carries, in the order of ``catalog/codes/cautions.csv``."""
    stops = {"tester": quantity(ambient_stop_ppm(), "ppm")}
    return tuple(
        _sourced("cautions", "now.caution", key, **({"stop": stops[key]} if key in stops else {}))
        for key in (row["key"] for row in catalog.table("cautions"))
    )
