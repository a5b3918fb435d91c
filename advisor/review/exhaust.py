"""The fans of the house held against the make-up air rules. The general one binds everywhere, the factor method in one state."""

from __future__ import annotations

from collections.abc import Sequence

from advisor import catalog
from advisor.case.model import Case
from advisor.codes.check import Check
from advisor.codes.combustion_air_place import check_fan_interference
from advisor.codes.makeup_air import check_makeup_trigger, makeup_air, makeup_air_column
from advisor.codes.unknown import where_given
from advisor.facts import burners, exhaust
from advisor.remedies import air_facts

HOODS = ("range hood", "large hood", "downdraft")
FANS = (*HOODS, "bath fan", "central vacuum", "other fan")
"""Devices with a fan of their own that run behind closed windows; a dryer has an allowance instead."""
FACTOR_STATE = "MN"
"""State whose own make-up rule is in the catalog (``catalog/codes/makeup_air_factors.csv``)."""
WITH_BASEMENT = ("slab", "vented crawl", "conditioned basement")
"""Foundations under which no unfinished basement adds to the conditioned floor area."""


def exhaust_checks(case: Case) -> tuple[Check, ...]:
    """Return the make-up air rules as far as the record names fans.

    Returns
    -------
    tuple of Check
        That no method of combustion air counts fans; the largest hood against the general trigger; in the state that has
        one, the largest fan against its own trigger and, above it, the factor method.
    """
    present = None if case.exhaust is None else bool(exhaust.outdoors(case))
    checks = [check_fan_interference(present)]
    if case.exhaust is None or any(e.kind in HOODS for e in case.exhaust):
        checks.append(_trigger(case, HOODS)[1])
    if case.house.state == FACTOR_STATE and (case.exhaust is None or any(e.kind in FANS for e in case.exhaust)):
        checks.append(_trigger(case, FANS)[0])
        if max(_known_flows(case, FANS), default=0.0) > catalog.number("rules_limits", "makeup_existing_trigger_cfm"):
            checks.append(_by_class(case))
    return tuple(checks)


def _known_flows(case: Case, kinds: Sequence[str]) -> list[float]:
    """Return what each device can move: its label, which the rules go by, else at least what was measured."""
    flows = (exhaust.listed_cfm(device) for device in exhaust.outdoors(case, kinds))
    return [flow for flow in flows if flow is not None]


def _unknown(case: Case, kinds: Sequence[str]) -> frozenset[str]:
    found = {
        "exhaust": case.exhaust is None,
        "exhaust_flow": not all(exhaust.label_given(device) for device in exhaust.outdoors(case, kinds)),
        "floor_area": _floor_ft2(case) is None,
    }
    return frozenset(name for name, missing in found.items() if missing) | air_facts.assumed_of(case)


def _makeup_cfm(case: Case) -> float | None:
    """Outdoor air that fans bring in; a balanced ventilator takes as much out."""
    if case.supply is None:
        return None
    return sum(max(0.0, s.supply_cfm - s.exhaust_cfm) for s in case.supply)


def _trigger(case: Case, kinds: Sequence[str]) -> tuple[Check, ...]:
    # a hood that only recirculates takes nothing out
    nothing = 0.0 if case.exhaust is not None and not exhaust.outdoors(case, kinds) else None
    largest = max(_known_flows(case, kinds), default=nothing)
    unknown = _unknown(case, kinds)
    checks = check_makeup_trigger(largest, natural_draft=True, makeup_cfm=_makeup_cfm(case))
    return tuple(where_given(check, unknown) for check in checks)


def _by_class(case: Case) -> Check:
    """Return the factor method with the fans and burners that are known."""
    burning = burners.burners_in_space(case)
    column = makeup_air_column(
        atmospheric=sum(burner.draft == "natural" and burner.kind != "fireplace" for burner in burning),
        solid_fuel=sum(burner.kind == "fireplace" for burner in burning),
        fan_assisted=sum(burner.draft == "fan-assisted" for burner in burning),
    )
    owed = makeup_air(
        column,
        _floor_ft2(case),
        _known_flows(case, FANS),
        dryer=bool(exhaust.outdoors(case, ("dryer",))),
        supplied_cfm=_makeup_cfm(case),
    )
    return where_given(owed.check, _unknown(case, (*FANS, "dryer")))


def _floor_ft2(case: Case) -> float | None:
    """Conditioned floor area with an unfinished basement; None where such a basement may add to it."""
    return case.house.floor_area_ft2 if case.house.foundation in WITH_BASEMENT else None
