"""Where combustion-air openings and ducts may be, how fine a screen, and what fans owe."""

from __future__ import annotations

from collections.abc import Collection
from typing import Literal

from advisor.codes.check import Check
from advisor.codes.combustion_air import NOT_COVERED, rule
from advisor.codes.compose import all_known, compose, outcome, verdict_of
from advisor.findings import Value, finding, listed, quantity


def check_least_dimension(least_dimension_in: float | None) -> Check:
    """Check the least dimension of an opening or duct: 3 in (9.3.2.3, 9.3.3)."""
    base = rule("least_dimension_in")
    ok = None if least_dimension_in is None else least_dimension_in >= base.typical
    least, given = quantity(base.typical, "in"), quantity(least_dimension_in, "in", 1)
    return compose(
        "least_dimension_of_the_opening",
        base.ref,
        verdict_of(ok),
        finding("codes_air.least_dimension", least=least),
        finding("codes_air.least_dimension_official", given=given, least=least),
        (base,),
        required=finding("codes_air.at_least", need=least),
        provided=given,
        rests_on=() if ok is False else ("opening_side",),
    )


def check_opening_position(
    high_below_ceiling_in: float | None,
    low_above_floor_in: float | None,
    *,
    asked: Collection[Literal["high", "low"]] = ("high", "low"),
) -> Check:
    """Check where the openings start: high within 12 in of the ceiling, low within 12 in of the floor.

    Parameters
    ----------
    high_below_ceiling_in, low_above_floor_in : float or None
        Distance from the ceiling or floor to where the opening starts; None: not measured.
    asked : collection of str
        Which of the two are there: the method of one opening asks for the high one alone.
    """
    base = rule("opening_within_in")
    values = {"high": high_below_ceiling_in, "low": low_above_floor_in}
    ok = all_known(None if (value := values[one]) is None else value <= base.typical for one in asked)
    edge = quantity(base.typical, "in")
    given: dict[str, Value] = {one: quantity(values[one], "in", 1) for one in asked}
    which = "" if len(given) > 1 else "_" + next(iter(given))
    return compose(
        "position_of_the_openings",
        base.ref,
        verdict_of(ok),
        finding(f"codes_air.position{which}", edge=edge),
        finding(f"codes_air.position_official{which}", edge=edge, **given),
        (base,),
        required=finding(f"codes_air.position_required{which}", edge=edge),
        provided=finding(f"codes_air.position_provided{which}", **given),
        rests_on=("opening_edges",) if ok is None else (),
    )


def check_one_opening_clearance(side_and_back_in: float | None, front_in: float | None) -> Check:
    """Check the appliance clearances that the one-opening method asks: 1 in sides and back, 6 in front (9.3.3.2)."""
    side, front = rule("one_opening_side_clearance_in"), rule("one_opening_front_clearance_in")
    pairs = ((side_and_back_in, side.typical), (front_in, front.typical))
    ok = all_known(None if value is None else value >= least for value, least in pairs)
    given = {"side": quantity(side_and_back_in, "in", 1), "front": quantity(front_in, "in", 1)}
    least = {"least_side": quantity(side.typical, "in"), "least_front": quantity(front.typical, "in")}
    return compose(
        "clearance_for_the_one_opening_method",
        side.ref,
        verdict_of(ok),
        finding("codes_air.clearance"),
        finding("codes_air.clearance_official", **given, **least),
        (side, front),
        required=finding("codes_air.clearance_required", **least),
        provided=finding("codes_air.clearance_provided", **given),
        rests_on=("heater_clearance",) if ok is None else (),
    )


def check_screen(mesh_in: float | None) -> Check:
    """Check the mesh of a screen on an opening: not finer than 1/4 in (9.3.7.2); None: no screen or not known."""
    base = rule("finest_screen_mesh_in")
    ok = None if mesh_in is None else mesh_in >= base.typical
    finest, given = quantity(base.typical, "in", 2), quantity(mesh_in, "in", 3)
    return compose(
        "screen_mesh",
        base.ref,
        verdict_of(ok),
        finding("codes_air.screen"),
        finding("codes_air.screen_official", given=given, finest=finest),
        (base,),
        required=finding("codes_air.at_least", need=finest),
        provided=given,
        rests_on=("screen_mesh",) if ok is None else (),
    )


def check_air_duct(
    *,
    corrosion_resistant: bool | None = None,
    serves_one_space: bool | None = None,
    separate_high_and_low: bool | None = None,
    screened_in_attic: bool | None = None,
    upper_duct_falls_toward_source: bool | None = None,
    gap_around_liner: bool | None = None,
    intake_above_grade_in: float | None = None,
    fireblocks_removed: int | None = None,
    all_looked_at: bool | None = True,
) -> Check:
    """Check a combustion-air duct against the list of 9.3.8; None: not known or not present.

    The first three must be known for a pass, and ``all_looked_at`` must say that of the others those which apply were
    looked at: None where one of them was not.
    """
    duct, grade, blocks = rule("duct_rules"), rule("intake_above_grade_in"), rule("fireblocks_removed_at_most")
    low = intake_above_grade_in is not None and intake_above_grade_in < grade.typical
    many = fireblocks_removed is not None and fireblocks_removed > blocks.typical
    wrong = (
        (finding("codes_air.duct_corrodes"), corrosion_resistant is False),
        (finding("codes_air.duct_serves_more"), serves_one_space is False),
        (finding("codes_air.duct_for_both"), separate_high_and_low is False),
        (finding("codes_air.duct_screened_in_attic"), screened_in_attic is True),
        (finding("codes_air.duct_falls_to_source"), upper_duct_falls_toward_source is True),
        (finding("codes_air.duct_beside_liner"), gap_around_liner is True),
        (finding("codes_air.duct_intake_low", least=quantity(grade.typical, "in")), low),
        (finding("codes_air.duct_fireblocks", most=quantity(blocks.typical, "count")), many),
    )
    bad = [words for words, broken in wrong if broken]
    needed = (corrosion_resistant, serves_one_space, separate_high_and_low, all_looked_at)
    ok = False if bad else None if None in needed else True
    found = finding(f"codes_air.duct_{outcome(ok)}", **({"bad": listed(bad)} if bad else {}))
    return compose(
        "combustion_air_duct",
        duct.ref,
        verdict_of(ok),
        finding("codes_air.duct"),
        finding("codes_air.duct_official", found=found),
        (duct, grade, blocks),
        required=finding("codes_air.duct_required"),
        provided=found,
        rests_on=("air_duct",) if ok is None else (),
    )


def check_fan_interference(exhaust_fans_present: bool | None) -> Check:
    """Say that make-up air is owed where fans interfere (9.3.1.5): never a pass, only a test can show that."""
    base, none = rule("fan_interference"), exhaust_fans_present is False
    return compose(
        "make_up_air_for_exhaust_fans",
        base.ref,
        "not applicable" if none else "unknown",
        finding("codes_air.fans"),
        NOT_COVERED,
        (base,),
        required=finding("codes_air.fans_required"),
        provided=finding("codes_air.fans_none" if none else "codes_air.fans_to_be_shown"),
    )
