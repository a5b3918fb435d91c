"""Rules around a vent that are not table cells: sizes against the outlet, reach, exposure, connector."""

from __future__ import annotations

import math

from advisor import catalog
from advisor.catalog import Parameter
from advisor.codes.check import Check
from advisor.codes.compose import Rated, compose, verdict_of
from advisor.codes.trade_sizes import round_area_in2, size_steps
from advisor.codes.vent_findings import at_least, at_most, between, feet, inches, material, square_inches
from advisor.codes.vent_types import CommonAppliance, CommonVent, SingleVent
from advisor.findings import Finding, finding, listed, quantity

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
    size, outlet = inches(size_in), inches(outlet_in)
    if size_in >= outlet_in:
        return compose(
            "vent_not_smaller_than_outlet",
            clause,
            "pass",
            finding("codes_vent.smaller.client_as_wide"),
            finding("codes_vent.smaller.official_as_wide", size=size, outlet=outlet),
            (height,),
            required=at_least(outlet),
            provided=size,
            rests_on=("hood",),
        )
    steps = size_steps(size_in, outlet_in)
    reasons = []
    if height_ft < height.typical:
        reasons.append(finding("codes_vent.smaller.too_low", height=feet(height.typical)))
    if outlet_in > catalog.number(_FILE, "downsizing_outlet_to_in") or steps is None or steps > sizes.typical:
        reasons.append(finding("codes_vent.smaller.too_many_sizes"))
    if not fan and outlet_in <= hood.typical:
        reasons.append(finding("codes_vent.smaller.small_hood", size=inches(hood.typical)))
    ok = not reasons
    # what the size alone forbids, no height allows
    by_height = ok or (height_ft < height.typical and len(reasons) == 1)
    official = finding(f"codes_vent.smaller.official_{verdict_of(ok)}", size=size, outlet=outlet)
    return compose(
        "vent_not_smaller_than_outlet",
        clause,
        verdict_of(ok),
        finding(f"codes_vent.smaller.client_{verdict_of(ok)}"),
        official if ok else official.with_values(reasons=listed(reasons, "and")),
        rules,
        required=finding("codes_vent.smaller.required", outlet=outlet),
        provided=size,
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
    area, most = square_inches(vent_area_in2), square_inches(limit)
    return compose(
        "vent_not_too_large",
        rule.ref,
        verdict_of(ok),
        finding(f"codes_vent.too_large.client_{verdict_of(ok)}"),
        finding(
            f"codes_vent.too_large.official{'_smallest' if smallest_of_several else ''}",
            area=area,
            times=quantity(rule.typical, "number"),
            outlet=inches(outlet_in),
            limit=most,
        ),
        (rule,),
        required=at_most(most),
        provided=area,
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
    most = quantity(rule.typical, "count")
    way = "unknown" if steps is None else "larger" if steps >= 0 else "smaller"
    counted = {} if steps is None else {"count": abs(steps)}
    return compose(
        "connector_not_enlarged_too_much",
        rule.ref,
        verdict_of(ok),
        finding(f"codes_vent.growth.client_{verdict_of(ok)}"),
        finding(
            f"codes_vent.growth.official_{way}",
            connector=inches(connector_in),
            outlet=inches(outlet_in),
            most=most,
            **counted,
        ),
        (rule,),
        required=finding("codes_vent.growth.required", most=most),
        provided=finding(f"codes_vent.growth.provided_{way}", **counted),
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
    limit_ft = rule.typical * height_ft
    ok = lateral_ft <= limit_ft
    return compose(
        "horizontal_length",
        rule.ref,
        verdict_of(ok),
        finding(f"codes_vent.reach.client_{verdict_of(ok)}"),
        finding(
            "codes_vent.reach.official",
            length=feet(lateral_ft),
            material=material(connector),
            share=quantity(100.0 * rule.typical, "pct", 0),
            height=feet(height_ft),
            limit=feet(limit_ft),
        ),
        (rule,),
        required=at_most(feet(limit_ft)),
        provided=feet(lateral_ft),
        rests_on=rests_on,
    )


def check_top_above_hood(height_ft: float | None) -> Check:
    """Check that the vent ends at least 5 ft above the highest hood or collar (12.7.2)."""
    rule = _rule("vent_top_above_hood_ft")
    ok = None if height_ft is None else height_ft >= rule.typical
    least = feet(rule.typical)
    return compose(
        "vent_top_above_hood",
        rule.ref,
        verdict_of(ok),
        finding("codes_vent.top.client", least=least),
        finding("codes_vent.top.official", height=feet(height_ft), least=least),
        (rule,),
        required=at_least(least),
        provided=feet(height_ft),
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
    area, span = square_inches(area_in2), between(square_inches(low), square_inches(high))
    return compose(
        "chimney_flue_area",
        rule.ref,
        verdict_of(ok),
        finding("codes_vent.flue.client"),
        finding(
            "codes_vent.flue.official",
            area=area,
            range=span,
            connector=inches(connector_in),
            outlet=inches(outlet_in),
        ),
        (rule, _rule("seven_times")),
        required=span,
        provided=area,
        rests_on=("hood", "connector_diameter", "flue_area", "vent_material", "shared"),
    )


def _exterior_chimney(
    vent: SingleVent, maximum_kbtu_h: float | None, capacity_ids: tuple[str, ...], capacity: Rated | None
) -> Check:
    cold, reach = _rule("exterior_design_temperature_f"), _rule("exterior_lateral_in_per_in")
    limit_ft = reach.typical * vent.connector_in / 12.0
    parts: list[tuple[Finding, bool | None, tuple[str, ...]]] = [
        (finding("codes_vent.exterior.type_b"), vent.connector == "type B", ("connector_material",)),
        (finding("codes_vent.exterior.draft_hood"), vent.appliance == "draft hood", ()),
        (
            finding("codes_vent.exterior.lateral", most=feet(limit_ft)),
            vent.lateral_ft <= limit_ft,
            ("lateral", "connector_diameter"),
        ),
        (
            finding("codes_vent.exterior.input"),
            None if maximum_kbtu_h is None else vent.input_btu_h / 1000.0 < maximum_kbtu_h,
            capacity_ids,
        ),
        (
            finding("codes_vent.exterior.temperature", least=quantity(cold.typical, "f")),
            None if vent.design_temperature_f is None else vent.design_temperature_f >= cold.typical,
            ("design_temperature",),
        ),
    ]
    bad = [part for part, ok, _ in parts if ok is False]
    missing = [part for part, ok, _ in parts if ok is None]
    verdict = verdict_of(False if bad else None if missing else True)
    asked = listed(part for part, _, _ in parts)
    named = {"broken": listed(bad)} if bad else {"unknown": listed(missing)} if missing else {}
    # one part that is broken on given numbers is enough, whatever the others are
    broken = [names for _, ok, names in parts if ok is False and not vent.assumed.intersection(names)]
    rests_on = broken[0] if broken else tuple(name for _, _, names in parts for name in names)
    # the cell of the table counts unless another part is broken already
    by_table = not bad or bad == [finding("codes_vent.exterior.input")]
    basis: list[Rated] = [cold, reach, *((capacity,) if capacity is not None and by_table else ())]
    return compose(
        "exterior_chimney_with_one_water_heater",
        cold.ref,
        verdict,
        finding("codes_vent.exterior.client"),
        finding(f"codes_vent.exterior.official_{verdict}", asked=asked, **named),
        basis,
        required=asked,
        provided=finding(f"codes_vent.exterior.provided_{verdict}", **named),
        rests_on=("vent_material", "shared", *rests_on),
    )


def check_exposure(
    vent: SingleVent,
    maximum_kbtu_h: float | None = math.inf,
    capacity_ids: tuple[str, ...] = CAPACITY,
    capacity: Rated | None = None,
) -> Check:
    """Check exposure to outdoors below the roof (13.1.11), with the narrow case of one heater on a tile chimney.

    Parameters
    ----------
    vent : SingleVent
        The heater alone on its vent.
    maximum_kbtu_h : float or None
        Its largest input by the table of interior chimneys; None: that cell was not read.
    capacity_ids : tuple of str
        What that input rests on.
    capacity : Rated or None
        Status and source of that cell.
    """
    if vent.exposed_outdoors and vent.vent == "masonry":
        if not vent.water_heater:
            return _cold_chimney_of_furnace()
        return _exterior_chimney(vent, maximum_kbtu_h, capacity_ids, capacity)
    return check_not_exposed(vent)


def _cold_chimney_of_furnace() -> Check:
    """Return the check of a lone furnace or boiler on an exterior chimney: its table of least inputs is not in the catalog."""
    rule, cold = _rule("not_exposed"), _rule("exterior_furnace_table")
    return compose(
        "exterior_chimney_furnace_minimum",
        cold.ref,
        "unknown",
        finding("codes_vent.exposure.client_furnace"),
        finding("codes_vent.exposure.official_furnace"),
        (rule, cold),
        required=finding("codes_vent.capacity.required"),
        provided=finding("codes_vent.reading.unread"),
        rests_on=("vent_material", "exposure"),
    )


def check_not_exposed(vent: SingleVent | CommonVent) -> Check:
    """Check that a vent runs inside the house, in an insulated chase or as a liner below the roof (13.1.11)."""
    rule = _rule("not_exposed")
    if vent.vent in ("rigid liner", "corrugated liner"):
        return compose(
            "exposure_to_outdoors",
            rule.ref,
            "pass",
            finding("codes_vent.exposure.client_liner"),
            finding("codes_vent.exposure.official_liner"),
            (rule,),
            required=finding("codes_vent.exposure.required"),
            provided=finding("codes_vent.exposure.provided_liner"),
            rests_on=("vent_material",),
        )
    ok = None if vent.exposed_outdoors is None else not vent.exposed_outdoors
    return compose(
        "exposure_to_outdoors",
        rule.ref,
        verdict_of(ok),
        finding("codes_vent.exposure.client"),
        finding(f"codes_vent.exposure.official_{verdict_of(ok)}"),
        (rule,),
        required=finding("codes_vent.exposure.required"),
        provided=finding(f"codes_vent.exposure.provided_{verdict_of(ok)}"),
        # a masonry chimney with one heater has its own rule outdoors; indoors every vent is sheltered
        rests_on=() if ok else ("exposure",) if ok is None else ("vent_material",),
    )


def check_single_wall_vent(vent: SingleVent | CommonVent) -> Check:
    """Check single-wall pipe used as the vent itself (12.8): never in a dwelling, nor outdoors where it is cold."""
    rule, cold = _rule("single_wall_not_in_dwellings"), _rule("single_wall_outdoors_design_f")
    ok: bool | None = not vent.dwelling
    if ok and vent.exposed_outdoors is not False:
        known = vent.exposed_outdoors is not None and vent.design_temperature_f is not None
        ok = (vent.design_temperature_f or 0.0) >= cold.typical if known else None
    building = "dwelling" if vent.dwelling else "other"
    return compose(
        "single_wall_pipe_as_vent",
        rule.ref,
        verdict_of(ok),
        finding("codes_vent.single_wall.client"),
        finding(f"codes_vent.single_wall.official_{building}", least=quantity(cold.typical, "f")),
        (rule, cold),
        required=finding("codes_vent.single_wall.required"),
        provided=finding(f"codes_vent.single_wall.provided_{building}"),
        rests_on=("vent_material",),
    )


def check_connector_space(vent: SingleVent | CommonAppliance) -> Check:
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
    connector = material(vent.connector)
    return compose(
        "connector_in_cold_space",
        rule.ref,
        verdict_of(ok),
        finding("codes_vent.cold_space.client"),
        finding("codes_vent.cold_space.official", material=connector, least=quantity(rule.typical, "f")),
        (rule,),
        required=finding("codes_vent.cold_space.required"),
        provided=finding("codes_vent.cold_space.provided", material=connector),
        rests_on=_space_rests_on(vent),
    )


def _space_rests_on(vent: SingleVent | CommonAppliance) -> tuple[str, ...]:
    if vent.connector_unconditioned is False:
        return ()
    if vent.connector == "type B" or (vent.connector_unconditioned and vent.attic_or_crawl_space):
        return ("connector_material",)
    # how cold it gets is asked once it is known that the space is a cold one
    cold = ("design_temperature",) if vent.connector_unconditioned else ()
    return ("connector_material", "cold_space", *cold)


def check_connector_slope(slope_in_per_ft: float | None) -> Check:
    """Check the upward slope of the connector (12.11.8)."""
    rule = _rule("connector_slope_in_per_ft")
    ok = None if slope_in_per_ft is None else slope_in_per_ft >= rule.typical
    slope, least = quantity(slope_in_per_ft, "in_per_ft", 2), quantity(rule.typical, "in_per_ft", 2)
    return compose(
        "connector_slope",
        rule.ref,
        verdict_of(ok),
        finding("codes_vent.slope.client"),
        finding("codes_vent.slope.official", slope=slope, least=least),
        (rule,),
        required=at_least(least),
        provided=slope,
        rests_on=("slope",),
    )
