"""What takes air out of the house: which devices count, what each of them moves, and whether the list is whole."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from typing import Literal

from advisor import catalog
from advisor.case.model import Case, listed
from advisor.case.parts import Exhaust

Basis = Literal["measured", "rated", "usual"]
KIND_ROW = {
    "bath fan": "bath_fan",
    "range hood": "range_hood",
    "large hood": "hood_large",
    "downdraft": "hood_large",
    "dryer": "dryer",
    "central vacuum": "central_vacuum",
    "fireplace": "fireplace_low",
    "other fan": "bath_fan",
    "power vent appliance": "power_vent",
    "whole-house fan": "hood_large",
}
"""Row of ``catalog/case/exhaust_flows.csv`` by kind of device."""
WHOLE_HOUSE = "whole-house fan"


@dataclass(frozen=True, slots=True)
class UsualFlow:
    """Usual flow of a kind of device, cfm: a row of ``catalog/case/exhaust_flows.csv``."""

    low_cfm: float
    typical_cfm: float
    high_cfm: float


@dataclass(frozen=True, slots=True)
class StatedFlow:
    """What the record says that a device moves.

    Parameters
    ----------
    basis : {"measured", "rated", "usual"}
        Measured goes before the label; ``usual`` where nobody gave either.
    cfm : float
        That number; of a usual one its typical value.
    """

    basis: Basis
    cfm: float


def usual_flow(row: str) -> UsualFlow:
    """Return the usual flow of a row of ``catalog/case/exhaust_flows.csv``.

    Raises
    ------
    KeyError
        If there is no such row.
    """
    return catalog.rows_by(UsualFlow, "exhaust_flows", "key")[row]


def stated_flow(device: Exhaust) -> StatedFlow:
    """Return the flow of a device and what it rests on; a device measured at 0 cfm moves nothing, whatever its label."""
    if device.measured_cfm is not None:
        return StatedFlow("measured", device.measured_cfm)
    if device.rated_cfm is not None:
        return StatedFlow("rated", device.rated_cfm)
    return StatedFlow("usual", usual_flow(KIND_ROW[device.kind]).typical_cfm)


def listed_cfm(device: Exhaust) -> float | None:
    """Return what a device can move by the make-up rules, cfm: its label, which they go by, else at least the measured.

    None where nobody gave either: a rule is not held against a usual value.
    """
    return device.measured_cfm if device.rated_cfm is None else device.rated_cfm


def label_given(device: Exhaust) -> bool:
    """Return whether the flow on a device's label was written down."""
    return device.rated_cfm is not None


def installed_cfm(device: Exhaust) -> float:
    """Return what a device usually moves as installed, cfm: a label counts for the share of it that is usual in place."""
    flow = stated_flow(device)
    share = catalog.number("priors", "fan_installed_fraction") if flow.basis == "rated" else 1.0
    return flow.cfm * share


def counts(device: Exhaust) -> bool:
    """Return whether a device belongs to the worst case: it exhausts outdoors and is no whole-house fan."""
    return device.ducted_outdoors and device.kind != WHOLE_HOUSE


def counted(case: Case) -> tuple[Exhaust, ...]:
    """Return the listed devices that belong to the worst case, in the order of the record."""
    return tuple(device for device in listed(case.exhaust) if counts(device))


def outdoors(case: Case, kinds: Collection[str] | None = None) -> tuple[Exhaust, ...]:
    """Return the listed devices that exhaust outdoors, a whole-house fan included: all, or those of some kinds."""
    found = (device for device in listed(case.exhaust) if device.ducted_outdoors)
    return tuple(device for device in found if kinds is None or device.kind in kinds)


def largest_cfm(case: Case) -> float:
    """Return the flow that make-up air for the largest counted device is sized for, cfm: a label counts in full."""
    return max((stated_flow(device).cfm for device in counted(case)), default=0.0)


def all_cfm(case: Case) -> float:
    """Return the flow of all counted devices together, cfm; labels count in full, as in `largest_cfm`."""
    return sum(stated_flow(device).cfm for device in counted(case))


def all_installed_cfm(case: Case) -> float:
    """Return what all counted devices together usually move as installed, cfm."""
    return sum(installed_cfm(device) for device in counted(case))


def zone_cfm(case: Case) -> float:
    """Return the exhaust from the heater's space that fan-supplied air must replace, cfm (NFPA 54-2012 9.3.6)."""
    return sum(stated_flow(device).cfm for device in counted(case) if device.in_zone)


def zone_cfm_given(case: Case) -> bool:
    """Return whether the exhaust from the heater's space rests on measurements and labels only."""
    fans = [device for device in counted(case) if device.in_zone]
    return case.exhaust is not None and all(stated_flow(device).basis != "usual" for device in fans)


def names_by_basis(case: Case, basis: Basis) -> list[str]:
    """Return the names of the devices that exhaust outdoors and whose flow rests on ``basis``."""
    return [device.name for device in outdoors(case) if stated_flow(device).basis == basis]


def list_is_whole(case: Case) -> bool | None:
    """Return whether all exhaust is listed: a list with items is whole unless somebody said that there may be more."""
    return None if case.exhaust is None or case.exhaust_complete is False else True
