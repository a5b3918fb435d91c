"""Around a vent, beyond table look-ups: an orphaned heater, joining connectors, the area rule of thumb."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Literal

from advisor import catalog
from advisor.codes import vent_tables
from advisor.codes.check import Check, appliance_name, of_appliance
from advisor.codes.compose import OUTSIDE, Basis, compose, verdict_of
from advisor.codes.trade_sizes import round_area_in2
from advisor.codes.unknown import where_given
from advisor.codes.vent_findings import between, feet, square_inches
from advisor.codes.vent_sizing import check_single_vent, usual_single_vent
from advisor.codes.vent_types import SingleVent, own_id
from advisor.errors import InputError
from advisor.findings import finding, listed, quantity

_FILE = "rules_venting"


def check_connector_order(
    smaller_enters_above_ft: float | None, merge_angle_deg: float | None, *, same_level: bool = False
) -> Check:
    """Check how two connectors join (12.11.4): the smaller enters highest; on one level only at 45 degrees or less.

    Parameters
    ----------
    smaller_enters_above_ft : float or None
        How far the smaller connector enters above the larger one (negative: below).
    merge_angle_deg : float or None
        Angle to the vertical at which connectors on the same level join.
    same_level : bool
        Whether both enter on one level.
    """
    order = catalog.parameter(_FILE, "smaller_connector_highest")
    angle = catalog.parameter(_FILE, "same_level_angle_deg")
    if same_level:
        ok = None if merge_angle_deg is None else merge_angle_deg <= angle.typical
    else:
        ok = None if smaller_enters_above_ft is None else smaller_enters_above_ft > 0
    given = (
        finding("codes_vent.order.same_level", angle=quantity(merge_angle_deg, "degrees", 0))
        if same_level
        else finding("codes_vent.order.smaller_above", height=feet(smaller_enters_above_ft))
    )
    return compose(
        "order_of_connectors",
        order.ref,
        verdict_of(ok),
        finding("codes_vent.order.client"),
        finding("codes_vent.order.official", given=given, angle=quantity(angle.typical, "degrees")),
        (order, angle),
        required=finding("codes_vent.order.required"),
        provided=given,
    )


def check_orphaned_heater(vent: SingleVent, *, shared_before: bool | None = True) -> tuple[Check, ...]:
    """Check a heater left alone on a vent that was sized for two appliances.

    Parameters
    ----------
    vent : SingleVent
        The heater alone on the existing vent.
    shared_before : bool or None
        Whether the vent served another appliance before; None: not known.

    Returns
    -------
    tuple of Check
        The finding about the orphan first, then ``check_single_vent``.
    """
    checks = check_single_vent(vent)
    if shared_before is False:
        return checks
    orphan = _alone("heater_left_alone_on_shared_vent", "alone", vent, checks)
    return (where_given(orphan, () if shared_before else ("was_shared",)), *checks)


def check_heater_alone_later(vent: SingleVent) -> Check:
    """Check the heater alone on a vent from which the other appliance will be taken: it is sized anew then.

    Parameters
    ----------
    vent : SingleVent
        The heater alone on the vent that it then stands on.
    """
    size = of_size(check_single_vent(vent))
    return replace(_alone("heater_alone_once_the_other_leaves", "later", vent, size), rests_on=())


def check_left_alone(vent: SingleVent, about: str) -> tuple[Check, ...]:
    """Check an appliance that stays alone on the vent once the water heater has left it.

    Parameters
    ----------
    vent : SingleVent
        That appliance alone on the vent; what nobody gave of it stands in ``assumed`` as for a lone one.
    about : str
        What the checks are about: an id of ``check.APPLIANCES_BY_ID``, or a name that somebody typed.

    Returns
    -------
    tuple of Check
        What they come to first, then every rule for one appliance on one vent.
    """
    found = []
    assumed = {own_id(name, _OTHER) for name in vent.assumed}
    for check in usual_single_vent(vent):
        names = tuple(own_id(name, _OTHER) for name in check.rests_on if name != "shared")
        drawn = ("other_input", "other_draft") if check.rule in _BY_THE_BURNER else ()
        named = of_appliance(check, about, (*names, *drawn))
        found.append(where_given(named, assumed))
    alone = _alone("appliance_left_alone_on_vent", "left", vent, of_size(found))
    alone = replace(alone, about=about, rests_on=())
    return (alone, *found)


def check_kinds(not_covered: Sequence[tuple[str, str]]) -> Check:
    """Return the check of a vent shared with appliances that the vent tables do not cover (scope of ch. 13).

    Parameters
    ----------
    not_covered : sequence of (str, str)
        Each with its name (as in ``Check.about``) and why: ``fuel``, ``fuel_unasked`` or ``pressure``.
    """
    named = listed(
        finding("codes_vent.kinds.one", appliance=appliance_name(name), why=finding(f"codes_vent.kinds.{why}"))
        for name, why in not_covered
    )
    scope = catalog.parameter(_FILE, "category_one_only")
    return compose(
        "common_vent_with_other_kinds",
        scope.ref,
        OUTSIDE,
        finding("codes_vent.kinds.client"),
        finding("codes_vent.kinds.official", appliances=named),
        (scope,),
        required=finding("codes_vent.kinds.required"),
        provided=named,
    )


_OTHER = "other_"
_BY_THE_BURNER = (
    "vent_capacity", "fan_minimum", "vent_not_smaller_than_outlet", "exterior_chimney_with_one_water_heater",
)  # fmt: skip
"""Rules whose verdict rests on the input of the appliance and on whether a fan moves its gas."""


def of_size(checks: Iterable[Check]) -> list[Check]:
    """Return the rules that another size of the vent can meet; a poor connector is at fault with and without company."""
    rules = {row["rule"] for row in catalog.table("resize_rules")}
    return [check for check in checks if check.rule in rules]


def size_answer(checks: Iterable[Check]) -> Literal["fail", "unknown", "pass"]:
    """Return whether the size rules ask for another vent; a failure from memory decides nothing, so nobody can say."""
    found = [check for check in of_size(checks) if check.verdict not in ("pass", "not applicable")]
    if any(check.verdict == "fail" and check.status != "memory" for check in found):
        return "fail"
    return "unknown" if found else "pass"


def _alone(rule_id: str, message: str, vent: SingleVent, checks: Sequence[Check]) -> Check:
    """Return what the rules for one appliance on one vent come to; ``message``: part of the ids of its sentences."""
    bad = [check for check in checks if check.verdict not in ("pass", "not applicable", "unknown")]
    missing = [check for check in checks if check.verdict == "unknown"]
    verdict = verdict_of(False if bad else None if missing else True)
    rules = listed(check.name for check in bad or missing)
    named = {"rules": rules} if bad or missing else {}
    rule, alone = catalog.parameter(_FILE, "seven_times"), catalog.parameter(_FILE, "left_alone")
    row = vent_tables.table_for("masonry" if vent.vent == "masonry" else "type B", "type B", "one")
    # one rule that is broken by a number that was read is enough, whatever the others rest on
    carried = [check for check in bad if check.status != "memory"] or bad or checks
    return compose(
        rule_id,
        alone.ref,
        verdict,
        finding(f"codes_vent.{message}.client"),
        finding(f"codes_vent.{message}.official_{verdict}", **named),
        [alone, rule, row, *(Basis(check.status, check.source) for check in carried if check.verdict != "unknown")],
        required=finding("codes_vent.alone.required"),
        provided=rules if named else finding("codes_vent.alone.provided_pass"),
        rests_on=("was_shared",),
    )


def check_rule_of_thumb(outlets_in: Sequence[float], vent_area_in2: float) -> Check:
    """Check the area rule allowed for one or two draft hoods instead of the tables (12.6.3.1, 12.7.3).

    Parameters
    ----------
    outlets_in : sequence of float
        One or two draft-hood outlet diameters.
    vent_area_in2 : float
        Flow area of the vent or chimney.

    Raises
    ------
    InputError
        If there are not one or two outlets.
    """
    if len(outlets_in) not in (1, 2):
        raise InputError(f"the area rule of 12.7.3 is for 1 or 2 draft hoods, {len(outlets_in)} given")
    share, seven = catalog.parameter(_FILE, "second_appliance_share"), catalog.parameter(_FILE, "seven_times")
    areas = sorted(round_area_in2(outlet) for outlet in outlets_in)
    low = areas[-1] + (share.typical * areas[0] if len(areas) > 1 else 0.0)
    high = seven.typical * areas[0]
    area, span = square_inches(vent_area_in2), between(square_inches(low), square_inches(high))
    return compose(
        "vent_area_for_draft_hoods",
        share.ref,
        verdict_of(low <= vent_area_in2 <= high),
        finding("codes_vent.thumb.client"),
        finding("codes_vent.thumb.official", area=area, range=span),
        (share, seven),
        required=span,
        provided=area,
    )
