"""Hold one run against the published worst-case procedure, condition by condition: met, not met, not written down.

The list of conditions, which way each errs, and whether it spoils a pass stand in ``catalog/codes/test_conditions.csv``.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Literal

from advisor import catalog
from advisor.case.model import Case, Run, listed
from advisor.case.parts import Exhaust
from advisor.facts import exhaust, sharing
from advisor.facts.carbon_monoxide import ambient_level_ppm, flue_co_of, flue_level
from advisor.facts.space import has_door
from advisor.facts.spillage import limit_for

Met = Literal["met", "not met", "not written down", "does not apply"]
Errs = Literal["easier", "harder", "unknown"]
FAILS = ("spilling", "reversed")
STRONG_SIGNS = ("heat damage", "melted fittings")
"""Signs that a cold start or condensation does not leave: hot gas came out of the hood for long."""


@dataclass(frozen=True, slots=True)
class Held:
    """One condition of the procedure, held against a run.

    Parameters
    ----------
    id : str
        Row of ``catalog/codes/test_conditions.csv``.
    state : Met
        See there.
    errs : Errs
        What a condition that is not met does to the draft: makes it easier, harder, or one cannot tell.
    spoils_pass : bool
        True when, as it stands, the run cannot prove a pass.
    names : tuple of str
        Devices or readings concerned.
    value, limit : float or None
        What was written down and what it was held against: mph, s or ppm.
    """

    id: str
    state: Met
    errs: Errs
    spoils_pass: bool
    names: tuple[str, ...] = ()
    value: float | None = None
    limit: float | None = None


@dataclass(frozen=True, slots=True)
class _Answer:
    """State of a condition before its row is looked up."""

    state: Met
    names: tuple[str, ...] = ()
    value: float | None = None
    limit: float | None = None


APPLIES_NOT = _Answer("does not apply")


def _of(value: bool | None) -> _Answer:
    return _Answer("not written down" if value is None else "met" if value else "not met")


def ran(run: Run, device: Exhaust) -> bool | None:
    """Return whether a device ran; None when the run does not say what ran. 'all' leaves a whole-house fan off."""
    if run.devices_on is None:
        return None
    every = "all" in run.devices_on and device.kind != exhaust.WHOLE_HOUSE
    return every or device.name in run.devices_on


def _exhaust_list(case: Case, _: Run, __: Sequence[Run]) -> _Answer:
    return _of(exhaust.list_is_whole(case))


def _all_exhaust(case: Case, run: Run, _: Sequence[Run]) -> _Answer:
    devices = exhaust.counted(case)
    if not devices:
        return APPLIES_NOT
    if run.devices_on is None:
        return _of(None)
    off = tuple(d.name for d in devices if not ran(run, d))
    return _Answer("not met" if off else "met", off)


def _dryer_filter(case: Case, run: Run, _: Sequence[Run]) -> _Answer:
    dryer = any(d.kind == "dryer" for d in exhaust.counted(case))
    return _of(run.dryer_filter_clean) if dryer else APPLIES_NOT


def _whole_house_fan(case: Case, run: Run, _: Sequence[Run]) -> _Answer:
    fans = [d for d in listed(case.exhaust) if d.kind == exhaust.WHOLE_HOUSE]
    on = tuple(d.name for d in fans if ran(run, d))
    return _Answer("not met" if on else "met", on) if fans else APPLIES_NOT


def _interior_doors(_: Case, run: Run, __: Sequence[Run]) -> _Answer:
    return _of(None if run.interior_doors is None else run.interior_doors == "worst position")


def in_heaters_space(case: Case, run: Run) -> bool:
    """Return whether the judged appliance stands in the heater's space: what is known of that space holds for it."""
    one = sharing.appliance_of(case, run.appliance)
    return one is None or one.place == "with the heater"


def _zone_door(case: Case, run: Run, others: Sequence[Run]) -> _Answer:
    if has_door(case) is False and in_heaters_space(case, run):
        return APPLIES_NOT
    tried = run.zone_door == "worst position" or _other_position(case, run, others, "zone_door")
    return _of(None if run.zone_door is None else tried)


def _air_handler(case: Case, run: Run, others: Sequence[Run]) -> _Answer:
    if case.air_handler.present is False:
        return APPLIES_NOT
    tried = run.air_handler == "tried both" or _other_position(case, run, others, "air_handler")
    return _of(None if run.air_handler is None else tried)


POSITIONS = ("zone_door", "air_handler")
"""Conditions that two runs may meet together, each in one position."""


def _other_position(case: Case, run: Run, others: Sequence[Run], key: str) -> bool:
    """Return whether another run tried the other position, the rest of it a valid worst case and set up alike."""
    here, fired = getattr(run, key), _fired(case, run)
    same = ("devices_on", *(k for k in POSITIONS if k != key))
    # the same fired in both: what is asked of a start alone on a cold vent is asked of neither where more fired
    apart = (*POSITIONS, *OF_THE_VENT) if fired else ()
    return any(
        getattr(o, key) not in (None, here)
        and all(getattr(o, k) == getattr(run, k) for k in same)
        and _fired(case, o) == fired
        and _valid(case, o, apart)
        for o in others
        if o.seen == "drafting"
    )


def _fired(case: Case, run: Run) -> frozenset[str]:
    """Return what fired on the vent that is not smaller than the judged one."""
    larger = {mate.name for mate in sharing.not_smaller(case, run.appliance)}
    return frozenset(larger & set(listed(run.firing)))


def _valid(case: Case, run: Run, apart: Sequence[str] = (), others: Sequence[Run] = ()) -> bool:
    """Return whether a run could prove a pass but for what other runs may show, and for the conditions set apart."""
    left = apart or (*POSITIONS, TOGETHER)
    asked = (name for name in rows() if name not in left)
    return not any(_held(rows()[name], CONDITIONS[name](case, run, others)).spoils_pass for name in asked)


def _supply(case: Case, run: Run, _: Sequence[Run]) -> _Answer:
    if case.supply is None:
        return _of(None if run.supply_on is None else not run.supply_on)
    net = sum(s.supply_cfm - s.exhaust_cfm for s in case.supply)
    if net == 0.0:
        return APPLIES_NOT
    return _of(None if run.supply_on is None else run.supply_on == (net < 0.0))


def _windows(_: Case, run: Run, __: Sequence[Run]) -> _Answer:
    if (run.window_open_ft2 or 0.0) > 0.0 or (run.zone_window_open_ft2 or 0.0) > 0.0:
        return _of(False)
    return _of(None if run.window_open_ft2 is None else True)


def _fireplace_damper(case: Case, run: Run, _: Sequence[Run]) -> _Answer:
    if run.fireplace_damper == "open" and any(ran(run, d) for d in listed(case.exhaust) if d.kind == "fireplace"):
        return APPLIES_NOT  # a fire that burns takes air out: it is counted among the exhaust
    return _of(None if run.fireplace_damper is None else run.fireplace_damper != "open")


TOGETHER = "together"
OF_THE_VENT = ("shared_off", "vent_cold", "smallest_first", TOGETHER)
"""Conditions of a start alone on a cold vent: a run with everything firing together is judged without them."""


def _shared_off(case: Case, run: Run, _: Sequence[Run]) -> _Answer:
    if sharing.mates(case, run.appliance) == ():
        return APPLIES_NOT
    if run.firing is None:
        return _of(None)
    larger = tuple(m.name for m in sharing.not_smaller(case, run.appliance) if m.name in run.firing)
    return _Answer("not met" if larger else "met", larger)


def _smaller_fires(case: Case, run: Run) -> bool:
    return any(mate.name in listed(run.firing) for mate in sharing.smaller(case, run.appliance))


def _vent_cold(case: Case, run: Run, _: Sequence[Run]) -> _Answer:
    # a smaller one on the vent is tried first and keeps firing: the larger one starts on a vent that it warmed
    return APPLIES_NOT if _smaller_fires(case, run) else _of(run.vent_cold_at_start)


def _smallest_first(case: Case, run: Run, _: Sequence[Run]) -> _Answer:
    names = [mate.name for mate in sharing.smaller(case, run.appliance)]
    if not names:
        return APPLIES_NOT
    before, after = sharing.first_in_order(case, run, case.run)
    if after:
        return _Answer("not met", after)
    return _of(True if len(before) == len(names) else None)


def _together(case: Case, run: Run, others: Sequence[Run]) -> _Answer:
    found = sharing.mates(case, run.appliance)
    if not found:
        return _of(None) if found is None else APPLIES_NOT

    def all_fire(one: Run) -> bool:
        return {mate.name for mate in found} <= set(listed(one.firing))

    def shows(one: Run) -> bool:
        alike = [o for o in (run, *others) if o is not one]
        return one.seen == "drafting" and all_fire(one) and _valid(case, one, OF_THE_VENT, alike)

    if all_fire(run):
        return _of(True)
    if any(all_fire(one) and one.seen in FAILS for one in others):
        return _of(False)
    return _of(True if any(shows(one) for one in others) else None)


def _intake_as_found(case: Case, run: Run, _: Sequence[Run]) -> _Answer:
    if case.opening is not None and not case.opening and in_heaters_space(case, run):
        return APPLIES_NOT
    if run.intake == "cleared":
        return _of(run.after_work is not None)  # a retest finds them as the work left them
    return _of(None if run.intake is None else True)


def _intake_covered(_: Case, run: Run, __: Sequence[Run]) -> _Answer:
    return _of(run.intake != "covered")


def _method(_: Case, run: Run, __: Sequence[Run]) -> _Answer:
    return _of(None if run.method is None else run.method != "hand")


def _judged_in_time(case: Case, run: Run, _: Sequence[Run]) -> _Answer:
    limit = limit_for(case, run.vent_cold_at_start).limit_s
    when, drafted = run.seconds_after_lit, run.seconds_to_draft
    if drafted is not None and run.seen == "drafting":
        return _Answer("met" if drafted <= limit else "not met", (), drafted, limit)
    state: Met = "not written down" if when is None else "met" if when >= limit else "not met"
    return _Answer(state, (), when, limit)


def _readings_agree(_: Case, run: Run, __: Sequence[Run]) -> _Answer:
    odd = []
    if run.seen == "drafting" and run.draft_pa is not None and run.draft_pa <= 0.0:
        odd.append("draft_pa")
    late, when = run.seconds_to_draft, run.seconds_after_lit
    if run.seen == "drafting" and late is not None and when is not None and late > when:
        odd.append("seconds_to_draft")
    return _Answer("not met" if odd else "met", tuple(odd))


def _wind(_: Case, run: Run, __: Sequence[Run]) -> _Answer:
    limit = catalog.number("test_procedure", "wind_too_strong_mph")
    state: Met = "not written down" if run.wind_mph is None else "met" if run.wind_mph <= limit else "not met"
    return _Answer(state, (), run.wind_mph, limit)


def _outdoor_temp(_: Case, run: Run, __: Sequence[Run]) -> _Answer:
    return _of(None if run.outdoor_temp_f is None else True)


def _room_co(_: Case, run: Run, __: Sequence[Run]) -> _Answer:
    limit, read = ambient_level_ppm("amb_tell"), run.ambient_co_ppm
    state: Met = "not written down" if read is None else "met" if read < limit else "not met"
    return _Answer(state, (), read, limit)


def _flue_co(case: Case, run: Run, __: Sequence[Run]) -> _Answer:
    level = flue_level(sharing.kind_of(case, run.appliance))
    if level is None or level.to_ppm is None:
        return APPLIES_NOT  # no limit is published for its kind
    read, limit = flue_co_of(run, level), level.to_ppm
    if read is None:
        return _of(None)
    # as measured it is a floor: without O2 a reading below an air-free limit proves nothing
    comparable = level.basis == "as measured" or run.flue_o2_pct is not None
    state: Met = "not met" if read > limit else "met" if comparable else "not written down"
    return _Answer(state, (), read, limit)


def _vent_sound(case: Case, run: Run, __: Sequence[Run]) -> _Answer:
    one, state = sharing.appliance_of(case, run.appliance), case.vent.condition
    if one is not None and one.vent != "with the heater":
        return _of(None)  # what was found of the heater's vent says nothing of another
    return _of(None if state == "unknown" else state == "clear")


def _signs(case: Case, run: Run, __: Sequence[Run]) -> _Answer:
    if run.appliance is not None:
        return APPLIES_NOT
    told = tuple(s for s in case.heater.signs if s in STRONG_SIGNS)
    return _Answer("not met", told) if told else _of(True if case.heater.signs else None)


def _symptoms(case: Case, _: Run, __: Sequence[Run]) -> _Answer:
    when = case.occupants.symptoms
    return _of(None if when is None else when == "no")


def _alarm(case: Case, _: Run, __: Sequence[Run]) -> _Answer:
    when = case.occupants.alarm_sounded
    return _of(None if when is None else when == "no")


CONDITIONS: dict[str, Callable[[Case, Run, Sequence[Run]], _Answer]] = {
    "exhaust_list": _exhaust_list,
    "all_exhaust": _all_exhaust,
    "dryer_filter": _dryer_filter,
    "whole_house_fan": _whole_house_fan,
    "interior_doors": _interior_doors,
    "zone_door": _zone_door,
    "air_handler": _air_handler,
    "supply": _supply,
    "windows": _windows,
    "fireplace_damper": _fireplace_damper,
    "shared_off": _shared_off,
    "vent_cold": _vent_cold,
    "smallest_first": _smallest_first,
    "together": _together,
    "intake_as_found": _intake_as_found,
    "intake_covered": _intake_covered,
    "method": _method,
    "judged_in_time": _judged_in_time,
    "readings_agree": _readings_agree,
    "wind": _wind,
    "outdoor_temp": _outdoor_temp,
    "room_co": _room_co,
    "flue_co": _flue_co,
    "vent_sound": _vent_sound,
    "signs": _signs,
    "symptoms": _symptoms,
    "alarm": _alarm,
}
NO_HOOD = ("room_co", "symptoms", "alarm")
"""Conditions of a retest of a heater without a draft hood: there is no draft to make easier."""


@cache
def rows() -> dict[str, catalog.Row]:
    """Return the rows of the conditions by id."""
    return {row["id"]: row for row in catalog.table("test_conditions")}


def held_against(case: Case, run: Run) -> tuple[Held, ...]:
    """Hold a run against every condition of the procedure, in the catalog's order.

    Parameters
    ----------
    case : Case
        What was found; a list that is absent is not known.
    run : Run
        One of its runs.

    Returns
    -------
    tuple of Held
        Those that do not apply to this house are in it too.
    """
    others = [r for r in case.run if r is not run and r.after_work == run.after_work and r.appliance == run.appliance]
    chosen = NO_HOOD if run.seen == "no hood" else tuple(rows())
    return tuple(_held(rows()[name], CONDITIONS[name](case, run, others)) for name in chosen)


def _held(row: catalog.Row, answer: _Answer) -> Held:
    spoils = (answer.state == "not met" and row["not_met_spoils"] == "yes") or (
        answer.state == "not written down" and row["unwritten_spoils"] == "yes"
    )
    errs: Errs = row["errs"]  # type: ignore[assignment]
    return Held(row["id"], answer.state, errs, spoils, answer.names, answer.value, answer.limit)
