"""Make-up air by appliance class: the factor method of Minnesota Rules 1346.0501, and pressure from leakage."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from advisor import catalog
from advisor.catalog import Parameter
from advisor.codes.check import Check, Verdict
from advisor.codes.compose import compose, verdict_of
from advisor.codes.tables import MakeUpFactor
from advisor.codes.vent_types import require_positive
from advisor.errors import InputError
from advisor.findings import finding, quantity

_FILE = "rules_limits"
_NO_ATMOSPHERIC = "A"
Beside = Literal["natural", "outside", "fan-assisted", "none"]
"""How a burner depends on the pressure of the house; ``outside``: natural draft in a space that is cut off from it."""
PASS_RESTS_ON = ("exhaust", "exhaust_flow", "burners", "shared", "other_draft", "floor_area")
"""What it rests on that no make-up air is owed: every fan, its flow, and every burner with its kind of draft."""


def _row(column: str) -> MakeUpFactor:
    rows = catalog.rows_by(MakeUpFactor, "makeup_air_factors", "column")
    if column not in rows:
        raise InputError(f"make-up-air column '{column}': one of {', '.join(rows)}")
    return rows[column]


def makeup_air_column(*, atmospheric: int = 0, solid_fuel: int = 0, fan_assisted: int = 0) -> str:
    """Return the column (A-D) for the numbers of atmospheric, solid-fuel and fan-assisted appliances in the house."""
    open_burners = atmospheric + solid_fuel
    if open_burners > 1:
        return "D"
    if open_burners == 1:
        return "C"
    return "B" if fan_assisted else _NO_ATMOSPHERIC


@dataclass(frozen=True, slots=True)
class MakeUpAir:
    """Result of the factor method.

    Parameters
    ----------
    exhaust_cfm : float
        Total exhaust counted.
    makeup_cfm : float or None
        Outdoor air to be supplied (0 when none), beyond the infiltration allowed for; None where the floor area is not known.
    check : Check
        Passes when none is owed beyond what is supplied.
    """

    exhaust_cfm: float
    makeup_cfm: float | None
    check: Check


def allowed_infiltration_cfm(column: str, conditioned_floor_ft2: float) -> float:
    """Return the infiltration the method allows for: factor x conditioned floor area incl. unfinished basement."""
    require_positive("conditioned_floor_ft2", conditioned_floor_ft2)
    return _row(column).factor_cfm_per_ft2 * conditioned_floor_ft2


def counted_exhaust_cfm(
    column: str, exhaust_devices_cfm: Sequence[float], *, dryer: bool = True, continuous_exhaust_cfm: float = 0.0
) -> float:
    """Return the exhaust counted: continuous + dryer allowance + 80 % of the largest + 80 % of the next largest.

    The next largest is not applicable in column A. ``exhaust_devices_cfm`` excludes the dryer.
    """
    _row(column)
    require_positive("continuous_exhaust_cfm", continuous_exhaust_cfm, zero=True)
    for flow in exhaust_devices_cfm:
        require_positive("exhaust_devices_cfm", flow, zero=True)
    largest = [*sorted(exhaust_devices_cfm, reverse=True)[:2], 0.0, 0.0]
    total = continuous_exhaust_cfm + (catalog.number(_FILE, "makeup_dryer_cfm") if dryer else 0.0)
    total += catalog.number(_FILE, "makeup_largest_share") * largest[0]
    if column != _NO_ATMOSPHERIC:
        total += catalog.number(_FILE, "makeup_next_share") * largest[1]
    return total


def makeup_air(
    column: str,
    conditioned_floor_ft2: float | None,
    exhaust_devices_cfm: Sequence[float],
    *,
    dryer: bool = True,
    continuous_exhaust_cfm: float = 0.0,
    supplied_cfm: float | None = 0.0,
    passive_cfm: float = 0.0,
) -> MakeUpAir:
    """Return the make-up air owed by the factor method.

    Parameters
    ----------
    column : str
        ``A`` to ``D``, see ``makeup_air_column``.
    conditioned_floor_ft2 : float or None
        Conditioned floor area including an unfinished basement; None: not measured.
    exhaust_devices_cfm : sequence of float
        Rated flows of the exhaust devices without the dryer.
    dryer : bool
        Whether a clothes dryer is vented outdoors.
    continuous_exhaust_cfm : float
        Continuous exhaust-only ventilation.
    supplied_cfm : float or None
        Outdoor air that fans bring in already; None: not known.
    passive_cfm : float
        What a passive damper lets in by the tool's own sizing. The state's sizes of passive openings were not read, so it
        shows nothing: it keeps a lack from being one.

    Raises
    ------
    InputError
        If the column is unknown or a number cannot be used.
    """
    row = _row(column)
    floor = conditioned_floor_ft2
    allowed = None if floor is None else allowed_infiltration_cfm(column, floor)
    exhaust = counted_exhaust_cfm(
        column, exhaust_devices_cfm, dryer=dryer, continuous_exhaust_cfm=continuous_exhaust_cfm
    )
    owed = None if allowed is None else max(0.0, exhaust - allowed)
    dryer_rule, supply = catalog.parameter(_FILE, "makeup_dryer_cfm"), quantity(owed, "cfm")
    ok = _supplied(owed, supplied_cfm)
    passive = ok is False and passive_cfm > 0.0
    ok = None if passive else ok
    way = "_passive" if passive else ""
    given = quantity(supplied_cfm, "cfm")
    check = compose(
        "make_up_air_by_appliance_class",
        dryer_rule.ref,
        verdict_of(ok),
        finding(f"codes_makeup.owed{way}", owed=supply),
        finding(
            f"codes_makeup.owed{way}_official",
            exhaust=quantity(exhaust, "cfm"),
            factor=quantity(row.factor_cfm_per_ft2, "cfm_per_ft2", 2),
            floor=quantity(floor, "ft2", 0),
            allowed=quantity(allowed, "cfm"),
            column=column,
            owed=supply,
            supplied=given,
            passive=quantity(passive_cfm, "cfm"),
        ),
        (row, dryer_rule),
        required=supply,
        provided=given,
        # more fans or burners could undo a pass, more supply a failure
        rests_on=PASS_RESTS_ON if ok else ("other_draft", "floor_area", "supply"),
    )
    return MakeUpAir(exhaust, owed, check)


def _supplied(owed_cfm: float | None, supplied_cfm: float | None) -> bool | None:
    """Return whether the air that is owed is supplied; nothing owed needs nothing."""
    if owed_cfm == 0.0:
        return True
    return None if owed_cfm is None or supplied_cfm is None else supplied_cfm >= owed_cfm


def check_state_trigger(fan_cfm: float | None) -> Check:
    """Check the largest fan against the trigger of the state rule for existing dwellings.

    Parameters
    ----------
    fan_cfm : float or None
        Flow of the largest fan but the dryer; None: not known.

    Returns
    -------
    Check
        Passes up to the trigger. Above it the rule asks for what `makeup_air` works out, so it does not apply by itself.
    """
    rule = catalog.parameter(_FILE, "makeup_existing_trigger_cfm")
    within = None if fan_cfm is None else fan_cfm <= rule.typical
    given, trigger = quantity(fan_cfm, "cfm"), quantity(rule.typical, "cfm")
    return compose(
        "added_exhaust_state_rule_for_existing_dwellings",
        rule.ref,
        "not applicable" if within is False else verdict_of(within),
        finding("codes_makeup.added", trigger=trigger),
        finding("codes_makeup.state_official", given=given, trigger=trigger),
        (rule,),
        required=finding("codes_makeup.added_required", trigger=trigger),
        provided=given,
        rests_on=("exhaust", "exhaust_flow"),
    )


def check_hood(
    hood_cfm: float | None,
    beside: Beside | None,
    *,
    makeup_cfm: float | None = 0.0,
    starts_by_itself: bool | None = None,
    passive_cfm: float = 0.0,
) -> Check:
    """Check a kitchen hood against the general trigger of make-up air (as quoted in ``makeup-article``).

    Parameters
    ----------
    hood_cfm : float or None
        Flow of the largest hood ducted outdoors, by its label; None: not known.
    beside : {"natural", "outside", "fan-assisted", "none"} or None
        The burner of the house that depends most on the pressure in it; None: not known.
    makeup_cfm : float or None
        Make-up air that is brought in; None: not known. What was read does not say how much is enough, so some that is less
        than the exhaust decides nothing.
    starts_by_itself : bool or None
        Whether it opens or starts by itself with the hood.
    passive_cfm : float
        What a passive damper lets in by the tool's own sizing; no size of one was read, so it decides nothing by itself.

    Returns
    -------
    Check
        Not applicable above the trigger where no burner vents by natural draft; unknown beside fan-assisted ones and beside
        those in a space that is cut off from the house, whose part in the rule was not read.
    """
    trigger = catalog.parameter(_FILE, "makeup_general_trigger_cfm")
    every = catalog.parameter(_FILE, "makeup_beside_any_appliance")
    by_itself = catalog.parameter(_FILE, "makeup_starts_with_hood")
    makeup_way = _makeup_way(hood_cfm or 0.0, makeup_cfm, starts_by_itself, passive_cfm)
    way, rests_on = _hood_way(hood_cfm, trigger.typical, beside, makeup_way)
    more: tuple[Parameter, ...] = ()
    if way in _BESIDE_WAYS.values():
        more = (every,)
    elif way in ("supplied", "start_unknown", "not_by_itself"):
        more = (by_itself,)
    given, makeup = quantity(hood_cfm, "cfm"), quantity(makeup_cfm, "cfm")
    limit, clauses = quantity(trigger.typical, "cfm"), "; ".join(item.ref for item in more)
    return compose(
        "added_exhaust_beside_a_natural_draft_appliance",
        trigger.ref,
        _VERDICTS[way] if beside is not None or way in _WITHOUT_BURNERS else "unknown",
        finding(f"codes_makeup.hood_{way}", given=given, trigger=limit, makeup=makeup),
        finding(
            f"codes_makeup.hood_{way}_official",
            given=given,
            trigger=limit,
            makeup=makeup,
            clause=clauses,
            passive=quantity(passive_cfm, "cfm"),
        ),
        (trigger, *more),
        required=finding("codes_makeup.hood_required", trigger=limit),
        provided=finding("codes_makeup.hood_provided", given=given, makeup=makeup),
        rests_on=rests_on,
    )


HoodWay = Literal[
    "flow_unknown", "within", "no_natural_draft", "outside", "fan_assisted", "makeup_unknown", "not_supplied", "passive",
    "too_little", "supplied", "start_unknown", "not_by_itself",
]  # fmt: skip
_VERDICTS: Mapping[HoodWay, Verdict] = {
    "flow_unknown": "unknown",
    "within": "pass",
    "no_natural_draft": "not applicable",
    "outside": "unknown",
    "fan_assisted": "unknown",
    "makeup_unknown": "unknown",
    "not_supplied": "fail",
    "passive": "unknown",
    "too_little": "unknown",
    "supplied": "pass",
    "start_unknown": "unknown",
    "not_by_itself": "fail",
}
_WITHOUT_BURNERS = ("flow_unknown", "within", "supplied")
"""Where it is no matter which burners stand in the house."""
_BESIDE_WAYS: Mapping[str | None, HoodWay] = {
    "none": "no_natural_draft",
    "outside": "outside",
    "fan-assisted": "fan_assisted",
}
_MAKEUP_RESTS_ON: Mapping[HoodWay, tuple[str, ...]] = {
    "start_unknown": ("interlock",),
    "not_by_itself": ("interlock",),
    # a damper of which nobody knows whether it opens could undo it
    "not_supplied": ("supply", "interlock"),
}
_FLOW = ("exhaust", "exhaust_flow")


def _hood_way(
    hood_cfm: float | None, trigger_cfm: float, beside: Beside | None, makeup: HoodWay
) -> tuple[HoodWay, tuple[str, ...]]:
    """Return how a hood stands to the trigger, and what that rests on; a larger hood nobody listed could undo a pass."""
    if hood_cfm is None:
        return "flow_unknown", _FLOW
    if hood_cfm <= trigger_cfm:
        return "within", _FLOW
    if beside in _BESIDE_WAYS:
        return _BESIDE_WAYS[beside], ()
    if makeup == "supplied":
        return makeup, _FLOW
    which = ("burners", "shared", "other_draft") if beside is None else ()
    return makeup, (*which, *_MAKEUP_RESTS_ON.get(makeup, ("supply",)))


def _makeup_way(hood_cfm: float, makeup_cfm: float | None, starts: bool | None, passive_cfm: float) -> HoodWay:
    if makeup_cfm is None:
        return "makeup_unknown"
    if makeup_cfm < hood_cfm and passive_cfm > 0.0:
        return "passive"
    if makeup_cfm < hood_cfm:
        return "too_little" if makeup_cfm > 0.0 else "not_supplied"
    return "start_unknown" if starts is None else "supplied" if starts else "not_by_itself"


def implied_limit_pa(column: str, reference_pa: float, exponent: float) -> float:
    """Return the depressurization that a factor implies when column D stands for ``reference_pa`` (power law)."""
    require_positive("reference_pa", reference_pa)
    require_positive("exponent", exponent)
    ratio = _row(column).factor_cfm_per_ft2 / _row("D").factor_cfm_per_ft2
    return float(reference_pa * ratio ** (1.0 / exponent))


def depressurization_by_exhaust_pa(net_exhaust_cfm: float, leakage_cfm50: float, exponent: float) -> float:
    """Return 50 (Q / CFM50)^(1/n), the depressurization by exhaust alone: no wind, no stack.

    Raises
    ------
    InputError
        If a number is not positive (the exhaust may be 0).
    """
    require_positive("net_exhaust_cfm", net_exhaust_cfm, zero=True)
    require_positive("leakage_cfm50", leakage_cfm50)
    require_positive("exponent", exponent)
    # 50 Pa is the definition of CFM50, not a coefficient.
    return float(50.0 * (net_exhaust_cfm / leakage_cfm50) ** (1.0 / exponent))
