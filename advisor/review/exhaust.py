"""The fans of the house held against the make-up air rules. The general one binds everywhere, the factor method in one state.

As found, and as an option leaves the house: other fans, another heater, make-up air.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from advisor.case.model import Case, listed
from advisor.case.parts import Exhaust, Supply
from advisor.codes.check import Check
from advisor.codes.combustion_air_place import check_fan_interference
from advisor.codes.makeup_air import Beside, check_hood, check_state_trigger
from advisor.codes.unknown import where_given
from advisor.facts import exhaust, makeup
from advisor.facts.makeup import FANS, HOODS
from advisor.remedies import air_facts
from advisor.remedies.base import Job, Remedy, effect
from advisor.remedies.combustion_air import damper_in
from advisor.remedies.exhaust import BATH_FANS, replaced_hoods
from advisor.remedies.replacement import KIND

OWED = ("added_exhaust_beside_a_natural_draft_appliance", "make_up_air_by_appliance_class")
"""Rules that ask for make-up air."""


def exhaust_checks(case: Case) -> tuple[Check, ...]:
    """Return the make-up air rules as far as the record names fans.

    Returns
    -------
    tuple of Check
        That no method of combustion air counts fans; the largest hood against the general trigger; in the state that has
        one, the largest fan against its own trigger or, above it, the factor method.
    """
    present = None if case.exhaust is None else bool(exhaust.outdoors(case))
    return (check_fan_interference(present), *makeup_checks(case))


def makeup_checks(case: Case, heater: Beside = "natural") -> tuple[Check, ...]:
    """Return the rules on make-up air alone, with the heater as it vents."""
    checks = []
    if case.exhaust is None or any(e.kind in HOODS for e in case.exhaust):
        checks.append(_hood(case, heater))
    if case.house.state == makeup.FACTOR_STATE and (case.exhaust is None or any(e.kind in FANS for e in case.exhaust)):
        owed = makeup.by_class(case, heater)
        checks.append(
            where_given(check_state_trigger(makeup.largest_known_cfm(case, FANS)), _unknown(case, FANS))
            if owed is None
            else where_given(owed.check, _unknown(case, FANS))
        )
    return tuple(checks)


def _unknown(case: Case, kinds: Sequence[str]) -> frozenset[str]:
    return frozenset(makeup.unknown_of_fans(case, kinds)) | air_facts.assumed_of(case)


def _hood(case: Case, heater: Beside) -> Check:
    largest, supplied = makeup.largest_known_cfm(case, HOODS), makeup.supplied_cfm(case)
    check = check_hood(
        largest,
        makeup.beside(case, heater),
        # few houses have such a fan: without it is the usual case, which is priced and never a verdict
        makeup_cfm=0.0 if supplied is None else supplied,
        starts_by_itself=None if largest is None else makeup.starts_by_itself(case, largest),
        passive_cfm=makeup.passive_cfm(case),
    )
    return where_given(check, _unknown(case, HOODS))


def owes_makeup(checks: Sequence[Check]) -> bool:
    """Return whether a hood or fan lacks make-up air that a rule asks for, or would with usual values.

    What fails by a value from memory (air that is there but does not start by itself) is told and not priced.
    """
    failing = [check for check in checks if "fail" in (check.verdict, check.usual) and check.rule in OWED]
    return any(check.status != "memory" for check in failing)


def option_makeup_checks(job: Job, remedy: Remedy) -> tuple[Check, ...]:
    """Return the make-up rules as an option leaves the house; none where the record lists no hood or fan that they name."""
    if not exhaust.outdoors(job.case, FANS):
        return ()
    ids = remedy.id.split("+")
    after = job.case
    for one in ids:
        if one in _CHANGES:
            after = _CHANGES[one](job, after)
    return makeup_checks(after, heater_after(ids))


def heater_after(ids: Sequence[str]) -> Beside:
    """Return how the heater depends on the pressure of the house after some remedies."""
    for one in ids:
        if one in KIND:
            # what a fan drives out or what takes no room air is neither natural draft nor fan-assisted on a natural vent
            return "fan-assisted" if KIND[one] == "fan-assisted" else "none"
    return "outside" if "isolate_zone" in ids else "natural"


def _with_exhaust(case: Case, change: Callable[[Exhaust], Exhaust | None]) -> Case:
    devices = [changed for device in listed(case.exhaust) if (changed := change(device)) is not None]
    return case.model_copy(update={"exhaust": devices})


def _smaller(job: Job, case: Case) -> Case:
    names, flow = replaced_hoods(job), effect("smaller_hood_cfm")
    new = {"rated_cfm": flow, "measured_cfm": None}
    return _with_exhaust(case, lambda e: e.model_copy(update=new) if e.name in names else e)


def _without(kinds: Sequence[str]) -> Callable[[Job, Case], Case]:
    return lambda _, case: _with_exhaust(case, lambda e: None if e.kind in kinds else e)


def _recirculating(_: Job, case: Case) -> Case:
    return _with_exhaust(case, lambda e: e.model_copy(update={"ducted_outdoors": False}) if e.kind in HOODS else e)


def _with_makeup(case: Case, flow_cfm: float) -> Case:
    new = Supply(name="make-up air", kind="make-up air fan", supply_cfm=flow_cfm, interlocked=True)
    return case.model_copy(update={"supply": [*listed(case.supply), new]})


def _with_damper(case: Case, size_in: float) -> Case:
    new = {"makeup_damper_in": size_in, "makeup_damper_interlocked": True}
    return case.model_copy(update={"house": case.house.model_copy(update=new)})


_CHANGES: Mapping[str, Callable[[Job, Case], Case]] = {
    "smaller_hood": _smaller,
    "recirculating_hood": _recirculating,
    "ventless_dryer": _without(("dryer",)),
    "balanced_ventilation": _without(BATH_FANS),
    "passive_makeup_air": lambda job, case: _with_damper(case, damper_in(job)),
    "powered_makeup_air": lambda job, case: _with_makeup(case, makeup.needed_cfm(job.case)),
}
"""What the remedies that touch fans change of the record; all others leave it as it is."""
