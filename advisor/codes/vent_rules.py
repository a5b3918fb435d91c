"""Rules around a vent that are not table cells: sizes against the outlet, reach, exposure, connector."""

from __future__ import annotations

import math

from advisor import catalog
from advisor.catalog import Parameter
from advisor.codes.check import Check
from advisor.codes.compose import compose, number_text, verdict_of
from advisor.codes.trade_sizes import round_area_in2, size_steps
from advisor.codes.vent_types import SingleVent

_FILE = "rules_venting"

CAPACITY = (
    "height", "lateral", "vent_diameter", "flue_area", "connector_diameter", "vent_material", "connector_material",
    "elbows", "shared",
)  # fmt: skip
"""Numbers of the house that the capacity of a vent rests on (``catalog/codes/check_inputs.csv``)."""


def _rule(key: str) -> Parameter:
    return catalog.parameter(_FILE, key)


def check_smaller_than_outlet(size_in: float, outlet_in: float, height_ft: float, *, fan: bool) -> Check:
    """Check a vent or connector against the outlet of a lone appliance (13.1.2): when may it be smaller?

    Parameters
    ----------
    size_in, outlet_in : float
        Smallest diameter of the system; draft-hood outlet or flue collar.
    height_ft : float
        Vent height.
    fan : bool
        Whether the appliance is fan-assisted.
    """
    rules = [_rule(key) for key in ("downsizing_least_height_ft", "downsizing_hood_above_in", "downsizing_sizes")]
    height, hood, sizes = rules
    clause = height.ref
    given = f"{number_text(size_in)} in. on a {number_text(outlet_in)} in. outlet"
    if size_in >= outlet_in:
        return compose(
            "vent not smaller than the outlet",
            clause,
            "pass",
            "The vent is at least as wide as the outlet of the appliance.",
            f"{given}: not reduced.",
            (height,),
            required=f"at least {number_text(outlet_in)} in.",
            provided=f"{number_text(size_in)} in.",
            rests_on=("hood",),
        )
    steps = size_steps(size_in, outlet_in)
    reasons = []
    if height_ft < height.typical:
        reasons.append(f"the vent is lower than {number_text(height.typical)} ft")
    if outlet_in > catalog.number(_FILE, "downsizing_outlet_to_in") or steps is None or steps > sizes.typical:
        reasons.append("it is more than one size smaller")
    if not fan and outlet_in <= hood.typical:
        reasons.append(f"the draft-hood outlet does not exceed {number_text(hood.typical)} in")
    ok = not reasons
    # what the size alone forbids, no height allows
    by_height = ok or (height_ft < height.typical and len(reasons) == 1)
    return compose(
        "vent not smaller than the outlet",
        clause,
        verdict_of(ok),
        "The vent is one size narrower than the outlet, which this case allows."
        if ok
        else "The vent is narrower than the outlet of the appliance, which chokes it and is not allowed here.",
        f"{given}: {'reduction of one size permitted' if ok else 'not permitted because ' + ' and '.join(reasons)}.",
        rules,
        required=f"{number_text(outlet_in)} in., or one size less where permitted",
        provided=f"{number_text(size_in)} in.",
        rests_on=("hood", "height", "shared") if by_height else ("hood",),
    )


def check_seven_times(
    vent_area_in2: float | None,
    outlet_in: float,
    *,
    smallest_of_several: bool = False,
    rests_on: tuple[str, ...] = ("hood", "vent_diameter"),
) -> Check:
    """Check that the largest vent section is at most seven times the (smallest) outlet area (13.1.9, 13.2.18)."""
    rule = _rule("seven_times")
    limit = rule.typical * round_area_in2(outlet_in)
    ok = None if vent_area_in2 is None else vent_area_in2 <= limit
    which = "smallest outlet" if smallest_of_several else "outlet"
    return compose(
        "vent not too large",
        rule.ref,
        verdict_of(ok),
        "A vent that is far too wide cools the gases and draws poorly; this one is "
        + ("not measured." if ok is None else "within the limit." if ok else "too wide."),
        f"Flow area {number_text(vent_area_in2, 1, 'in2')} against {number_text(rule.typical)} x the area of the "
        f"{which} ({number_text(outlet_in)} in.) = {number_text(limit, 1)} in2.",
        (rule,),
        required=f"at most {number_text(limit, 1)} in2",
        provided=number_text(vent_area_in2, 1, "in2"),
        # a further appliance can only have a smaller outlet: it never cures a vent that is too wide
        rests_on=(*rests_on, "shared") if ok else rests_on,
    )


def check_connector_growth(
    connector_in: float, outlet_in: float, rests_on: tuple[str, ...] = ("hood", "connector_diameter")
) -> Check:
    """Check that the connector is at most two trade sizes larger than the outlet (13.1.13, 13.2.24)."""
    rule = _rule("upsizing_sizes")
    steps = size_steps(outlet_in, connector_in)
    ok = None if steps is None else steps <= rule.typical
    return compose(
        "connector not enlarged too much",
        rule.ref,
        verdict_of(ok),
        "The connector pipe is not much wider than the outlet."
        if ok
        else "The connector pipe is too wide for the outlet."
        if ok is False
        else "The connector pipe or the outlet is not a stock size, so the step between them cannot be counted.",
        f"Connector {number_text(connector_in)} in. on a {number_text(outlet_in)} in. outlet: "
        f"{'not a stock size' if steps is None else number_text(steps) + ' size(s) larger'}, at most "
        f"{number_text(rule.typical)}.",
        (rule,),
        required=f"at most {number_text(rule.typical)} sizes over the outlet",
        provided="unknown" if steps is None else f"{number_text(steps)} size(s) over",
        rests_on=rests_on,
    )


def check_reach(
    lateral_ft: float,
    height_ft: float,
    connector: str,
    rests_on: tuple[str, ...] = ("lateral", "height", "connector_material"),
) -> Check:
    """Check the horizontal length against the vent height: 75 % single wall, 100 % Type B (12.11.9)."""
    rule = _rule("horizontal_single_wall_share" if connector == "single wall" else "horizontal_type_b_share")
    limit = rule.typical * height_ft
    ok = lateral_ft <= limit
    return compose(
        "horizontal length",
        rule.ref,
        verdict_of(ok),
        "The sideways run is short enough for the height of the vent."
        if ok
        else "The sideways run is too long for the height of the vent, so the gases cool and stall.",
        f"Horizontal length {number_text(lateral_ft, 1)} ft of {connector} connector against "
        f"{number_text(100 * rule.typical, 0)} % of {number_text(height_ft, 1)} ft = {number_text(limit, 1)} ft.",
        (rule,),
        required=f"at most {number_text(limit, 1)} ft",
        provided=f"{number_text(lateral_ft, 1)} ft",
        rests_on=rests_on,
    )


def check_top_above_hood(height_ft: float | None) -> Check:
    """Check that the vent ends at least 5 ft above the highest hood or collar (12.7.2)."""
    rule = _rule("vent_top_above_hood_ft")
    ok = None if height_ft is None else height_ft >= rule.typical
    return compose(
        "vent top above the hood",
        rule.ref,
        verdict_of(ok),
        f"The vent must end at least {number_text(rule.typical)} ft above the appliance outlet to draw at all.",
        f"Vent top {number_text(height_ft, 1, 'ft')} above the highest connected hood or collar; at least "
        f"{number_text(rule.typical)} ft.",
        (rule,),
        required=f"at least {number_text(rule.typical)} ft",
        provided=number_text(height_ft, 1, "ft"),
        rests_on=("height",),
    )


def masonry_area_range_in2(connector_in: float, outlet_in: float) -> tuple[float, float]:
    """Return the least and largest chimney area: a circle one inch over the connector; 7 x the outlet (derived)."""
    step = _rule("masonry_area_next_size").typical
    return round_area_in2(connector_in + step), _rule("seven_times").typical * round_area_in2(outlet_in)


def check_masonry_area(area_in2: float | None, connector_in: float, outlet_in: float) -> Check:
    """Check the inside area of a masonry flue (area rows of IFGC 504.2(3)-(4); the general rule is derived)."""
    rule = _rule("masonry_area_next_size")
    low, high = masonry_area_range_in2(connector_in, outlet_in)
    ok = None if area_in2 is None else low <= area_in2 <= high
    return compose(
        "chimney flue area",
        rule.ref,
        verdict_of(ok),
        "The inside of the chimney must be wide enough to carry the gases and narrow enough to stay warm.",
        f"Flue area {number_text(area_in2, 1, 'in2')}; {number_text(low, 1)} to {number_text(high, 1)} in2 for a "
        f"{number_text(connector_in)} in. connector on a {number_text(outlet_in)} in. outlet.",
        (rule, _rule("seven_times")),
        required=f"{number_text(low, 1)} to {number_text(high, 1)} in2",
        provided=number_text(area_in2, 1, "in2"),
        rests_on=("hood", "connector_diameter", "flue_area", "vent_material", "shared"),
    )


def _exterior_chimney(vent: SingleVent, maximum_kbtu_h: float, capacity_ids: tuple[str, ...]) -> Check:
    cold, reach = _rule("exterior_design_temperature_f"), _rule("exterior_lateral_in_per_in")
    limit_ft = reach.typical * vent.connector_in / 12.0
    parts: list[tuple[str, bool | None, tuple[str, ...]]] = [
        ("a Type B connector", vent.connector == "type B", ("connector_material",)),
        ("a draft-hood appliance", vent.appliance == "draft hood", ()),
        (
            f"a lateral of at most {number_text(limit_ft, 1)} ft",
            vent.lateral_ft <= limit_ft,
            ("lateral", "connector_diameter"),
        ),
        ("an input below the table maximum", vent.input_btu_h / 1000.0 < maximum_kbtu_h, capacity_ids),
        (
            f"a 99 % design temperature of at least {number_text(cold.typical)} F",
            None if vent.design_temperature_f is None else vent.design_temperature_f >= cold.typical,
            ("design_temperature",),
        ),
    ]
    bad = [words for words, ok, _ in parts if ok is False]
    missing = [words for words, ok, _ in parts if ok is None]
    ok = False if bad else None if missing else True
    asked = ", ".join(words for words, _, _ in parts)
    # one part that is broken on given numbers is enough, whatever the others are
    broken = [names for _, ok, names in parts if ok is False and not vent.assumed.intersection(names)]
    rests_on = broken[0] if broken else tuple(name for _, _, names in parts for name in names)
    return compose(
        "exterior chimney with one water heater",
        cold.ref,
        verdict_of(ok),
        "A chimney with an outside wall is cold; a lone water heater may stay on it only under narrow conditions.",
        f"Exterior tile chimney: requires {asked}; "
        + (f"not met: {', '.join(bad)}." if bad else f"not known: {', '.join(missing)}." if missing else "all met."),
        (cold, reach),
        required=asked,
        provided=("not met: " + ", ".join(bad)) if bad else ("not known: " + ", ".join(missing)) if missing else "met",
        rests_on=("vent_material", "shared", *rests_on),
    )


def check_exposure(
    vent: SingleVent, maximum_kbtu_h: float = math.inf, capacity_ids: tuple[str, ...] = CAPACITY
) -> Check:
    """Check exposure to outdoors below the roof (13.1.11), with the narrow case of one heater on a tile chimney."""
    rule = _rule("not_exposed")
    if vent.vent in ("rigid liner", "corrugated liner"):
        return compose(
            "exposure to outdoors",
            rule.ref,
            "pass",
            "A metal liner inside the old chimney counts as sheltered from the weather.",
            "Liner in a masonry flue: not regarded as exposed.",
            (rule,),
            required="not exposed below the roof",
            provided="inside a masonry flue",
            rests_on=("vent_material",),
        )
    if vent.exposed_outdoors and vent.vent == "masonry":
        return _exterior_chimney(vent, maximum_kbtu_h, capacity_ids)
    ok = None if vent.exposed_outdoors is None else not vent.exposed_outdoors
    return compose(
        "exposure to outdoors",
        rule.ref,
        verdict_of(ok),
        "The size tables hold only for a vent that runs inside the house or in an insulated chase.",
        "Vent "
        + ("exposure below the roof not known" if ok is None else "not exposed" if ok else "exposed outdoors")
        + "; the tables require it not to be exposed below the roof (an R-8 chase or an unused masonry flue will do).",
        (rule,),
        required="not exposed below the roof",
        provided="not known" if ok is None else "not exposed" if ok else "exposed",
        # a masonry chimney with one heater has its own rule outdoors; indoors every vent is sheltered
        rests_on=() if ok else ("exposure",) if ok is None else ("vent_material",),
    )


def check_single_wall_vent(vent: SingleVent) -> Check:
    """Check single-wall pipe used as the vent itself (12.8): never in a dwelling, nor outdoors where it is cold."""
    rule, cold = _rule("single_wall_not_in_dwellings"), _rule("single_wall_outdoors_design_f")
    ok: bool | None = not vent.dwelling
    if ok and vent.exposed_outdoors is not False:
        known = vent.exposed_outdoors is not None and vent.design_temperature_f is not None
        ok = (vent.design_temperature_f or 0.0) >= cold.typical if known else None
    return compose(
        "single-wall pipe as the vent",
        rule.ref,
        verdict_of(ok),
        "Bare single-wall pipe may not be the vent of a house; it gets hot, rusts and chills the gases.",
        "Single-wall metal pipe as a vent: not in dwellings, nor outdoors where the 99 % design temperature is below "
        f"{number_text(cold.typical)} F; building is {'a dwelling' if vent.dwelling else 'not a dwelling'}.",
        (rule, cold),
        required="not in a dwelling",
        provided="dwelling" if vent.dwelling else "other building",
        rests_on=("vent_material",),
    )


def check_connector_space(vent: SingleVent) -> Check:
    """Check a connector through unconditioned space (12.11.2): Type B, with one exception for mild climates."""
    rule = _rule("connector_unconditioned_design_f")
    ok: bool | None
    if vent.connector == "type B" or vent.connector_unconditioned is False:
        ok = True
    elif vent.connector_unconditioned is None:
        ok = None
    elif vent.attic_or_crawl_space:
        ok = False
    elif vent.design_temperature_f is None or vent.attic_or_crawl_space is None:
        ok = None if vent.design_temperature_f is None or vent.design_temperature_f >= rule.typical else False
    else:
        ok = vent.design_temperature_f >= rule.typical
    return compose(
        "connector in a cold space",
        rule.ref,
        verdict_of(ok),
        "Single-wall connector pipe may not run through an attic, a crawl space or another cold space.",
        f"Connector: {vent.connector}; unconditioned space needs Type B unless the 99 % design temperature "
        f"is at least {number_text(rule.typical)} F and the space is no attic or crawl space.",
        (rule,),
        required="Type B in unconditioned space",
        provided=f"{vent.connector} connector",
        rests_on=_space_rests_on(vent),
    )


def _space_rests_on(vent: SingleVent) -> tuple[str, ...]:
    if vent.connector_unconditioned is False:
        return ()
    if vent.connector == "type B" or (vent.connector_unconditioned and vent.attic_or_crawl_space):
        return ("connector_material",)
    return ("connector_material", "cold_space", "design_temperature")


def check_connector_slope(slope_in_per_ft: float | None) -> Check:
    """Check the upward slope of the connector (12.11.8)."""
    rule = _rule("connector_slope_in_per_ft")
    ok = None if slope_in_per_ft is None else slope_in_per_ft >= rule.typical
    return compose(
        "connector slope",
        rule.ref,
        verdict_of(ok),
        "The connector must rise all the way to the chimney, without sags.",
        f"Slope {number_text(slope_in_per_ft, 2, 'in/ft')}; at least {number_text(rule.typical, 2)} in/ft upward.",
        (rule,),
        required=f"at least {number_text(rule.typical, 2)} in/ft",
        provided=number_text(slope_in_per_ft, 2, "in/ft"),
        rests_on=("slope",),
    )
