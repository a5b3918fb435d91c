"""Beside the advice on the heater: what it does not cover of the other appliances, and in which order they are tried."""

from __future__ import annotations

from advisor.case.model import Case
from advisor.facts import burners, sharing
from advisor.facts.record import Verdict
from advisor.findings import Finding, Listed, Words, finding, listed, quantity

__all__ = ["appliance_names", "beside_options", "test_order"]


def appliance_names(names: tuple[str, ...]) -> Listed:
    """Return names of appliances to be said, the heater by its own word and the others as they were typed."""
    return listed((one_name(name) for name in names), "and")


def one_name(name: str) -> Finding:
    """Return the name of one appliance to be said."""
    if name == sharing.HEATER:
        return finding("appliances.heater")
    return finding("record.quoted", name=name)


def beside_options(case: Case, verdict: Verdict) -> tuple[Words, ...]:
    """Return what the ranking of the heater's options does not cover, and what a replacement of a furnace does to the heater.

    Parameters
    ----------
    case : Case
        With the runs of every appliance.
    verdict : Verdict
        Of its record.

    Returns
    -------
    tuple of Finding
        Empty where the heater is alone and nothing else fails.
    """
    found: list[Words] = []
    if verdict.vent_failed_by:
        found.append(finding("appliances.vent_not_covered", names=appliance_names(verdict.vent_failed_by)))
    left = tuple(name for name in verdict.stop if name != sharing.HEATER and _with_heater(case, name))
    if left and not verdict.vent_failed_by and sharing.HEATER in verdict.stop:
        found.append(finding("appliances.left_on_failed_vent", names=appliance_names(left)))
    own = tuple(one.name for one in verdict.others if one.spilled and one.name not in verdict.vent_failed_by)
    if own:
        found.append(finding("appliances.own_vent_not_covered", names=appliance_names(own)))
    for soon, message in ((True, "replaced_soon"), (None, "replaced_soon_unknown")):
        leaving = tuple(one.name for one in burners.on_the_vent(case) if one.replaced_soon is soon)
        if leaving:
            found.append(finding(f"appliances.{message}", names=appliance_names(leaving)))
    return tuple(found)


def _with_heater(case: Case, name: str) -> bool:
    return any(one.name == name for one in burners.on_the_vent(case))


def test_order(case: Case) -> tuple[Words, ...]:
    """Return in which order what stands on the heater's vent is tried: the smallest first and alone, then together.

    Returns
    -------
    tuple of Finding
        Empty where the heater is alone on its vent.
    """
    order = sharing.firing_order(case)
    if not order:
        return ()
    first, rest = order[0], order[1:]
    steps: list[Words] = [finding("appliances.order.first", name=one_name(first.name), input=_input(first.input_btu_h))]
    steps += [finding("appliances.order.then", name=one_name(one.name), input=_input(one.input_btu_h)) for one in rest]
    return (*steps, finding("appliances.order.every_hood"))


def _input(btu_h: float | None) -> Words:
    return finding("appliances.input_unknown") if btu_h is None else quantity(btu_h, "btu_h")
