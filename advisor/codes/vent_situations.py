"""Around a vent, beyond table look-ups: an orphaned heater, joining connectors, the area rule of thumb."""

from __future__ import annotations

from collections.abc import Sequence

from advisor import catalog
from advisor.codes import vent_tables
from advisor.codes.check import Check
from advisor.codes.compose import Basis, basis_of, compose, number_text, verdict_of
from advisor.codes.trade_sizes import round_area_in2
from advisor.codes.unknown import where_given
from advisor.codes.vent_sizing import check_single_vent
from advisor.codes.vent_types import SingleVent
from advisor.errors import InputError

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
        f"same level at {number_text(merge_angle_deg, 0, 'degrees')}"
        if same_level
        else f"smaller connector enters {number_text(smaller_enters_above_ft, 1, 'ft')} above the larger"
    )
    return compose(
        "order of the connectors",
        order.ref,
        verdict_of(ok),
        "The smaller pipe must join the chimney above the larger one, or the larger one pushes gas back into it.",
        f"{given.capitalize()}; the smaller enters highest, on one level only at up to {number_text(angle.typical)} "
        "degrees.",
        (order, angle),
        required="smaller connector highest",
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
    bad = [check.rule for check in checks if check.verdict not in ("pass", "not applicable", "unknown")]
    missing = [check.rule for check in checks if check.verdict == "unknown"]
    rule = catalog.parameter(_FILE, "seven_times")
    row = vent_tables.table_for("masonry" if vent.vent == "masonry" else "type B", "type B", "one")
    finding = compose(
        "heater left alone on a shared vent",
        "NFPA 54-2012 12.6.3, 13.1.9 and 13.1.11",
        verdict_of(False if bad else None if missing else True),
        "The other appliance is gone, so the vent may now be too wide and cold for the water heater alone; passing the "
        "size rules does not prove that it drafts quickly or stays dry.",
        "Vent re-checked for the remaining appliance alone; "
        + (f"not met: {', '.join(bad)}" if bad else f"not known: {', '.join(missing)}" if missing else "all rules met")
        + "; the draft-hood columns have no minimum, so start-up and condensation are not covered by them.",
        [rule, basis_of(row), *(Basis(check.status, check.source) for check in checks if check.verdict == "pass")],
        required="the vent complies for the remaining appliance alone",
        provided=", ".join(bad) or ", ".join(missing) or "complies",
        rests_on=("was_shared",),
    )
    return (where_given(finding, () if shared_before else ("was_shared",)), *checks)


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
    return compose(
        "vent area for draft hoods",
        share.ref,
        verdict_of(low <= vent_area_in2 <= high),
        "A simple area rule may stand in for the tables when only draft-hood appliances are connected.",
        f"Vent area {number_text(vent_area_in2, 1)} in2; {number_text(low, 1)} to {number_text(high, 1)} in2.",
        (share, seven),
        required=f"{number_text(low, 1)} to {number_text(high, 1)} in2",
        provided=f"{number_text(vent_area_in2, 1)} in2",
    )
