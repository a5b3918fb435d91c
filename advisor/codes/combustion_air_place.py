"""Where combustion-air openings and ducts may be, how fine a screen, and in which rooms an appliance may stand."""

from __future__ import annotations

from typing import Literal

from advisor.codes.check import Check
from advisor.codes.combustion_air import NOT_COVERED, rule
from advisor.codes.compose import compose, number_text, verdict_of

Place = Literal["bedroom", "bathroom", "closet of a bedroom or bathroom", "other"]


def check_least_dimension(least_dimension_in: float | None) -> Check:
    """Check the least dimension of an opening or duct: 3 in (9.3.2.3, 9.3.3)."""
    base = rule("least_dimension_in")
    ok = None if least_dimension_in is None else least_dimension_in >= base.typical
    return compose(
        "least dimension of the opening",
        base.ref,
        verdict_of(ok),
        f"No side of an air opening may be shorter than {number_text(base.typical)} in.",
        f"Least dimension {number_text(least_dimension_in, 1, 'in')}; at least {number_text(base.typical)} in.",
        (base,),
        required=f"at least {number_text(base.typical)} in",
        provided=number_text(least_dimension_in, 1, "in"),
    )


def check_opening_position(high_below_ceiling_in: float | None, low_above_floor_in: float | None) -> Check:
    """Check where the openings start: high within 12 in of the ceiling, low within 12 in of the floor."""
    base = rule("opening_within_in")
    known = [value <= base.typical for value in (high_below_ceiling_in, low_above_floor_in) if value is not None]
    ok = False if False in known else True if len(known) == 2 else None
    return compose(
        "position of the openings",
        base.ref,
        verdict_of(ok),
        f"One opening belongs within {number_text(base.typical)} in. of the ceiling and one within "
        f"{number_text(base.typical)} in. of the floor.",
        f"High opening starts {number_text(high_below_ceiling_in, 1, 'in')} below the ceiling, low opening "
        f"{number_text(low_above_floor_in, 1, 'in')} above the floor; each within {number_text(base.typical)} in.",
        (base,),
        required=f"within {number_text(base.typical)} in of ceiling and floor",
        provided=f"{number_text(high_below_ceiling_in, 1, 'in')} / {number_text(low_above_floor_in, 1, 'in')}",
    )


def check_one_opening_clearance(side_and_back_in: float | None, front_in: float | None) -> Check:
    """Check the appliance clearances that the one-opening method asks: 1 in sides and back, 6 in front (9.3.3.2)."""
    side, front = rule("one_opening_side_clearance_in"), rule("one_opening_front_clearance_in")
    pairs = ((side_and_back_in, side.typical), (front_in, front.typical))
    known = [value >= least for value, least in pairs if value is not None]
    ok = False if False in known else True if len(known) == len(pairs) else None
    return compose(
        "clearance for the one-opening method",
        side.ref,
        verdict_of(ok),
        "Air must be able to reach the burner from all sides when there is only one opening.",
        f"Sides and back {number_text(side_and_back_in, 1, 'in')}, front {number_text(front_in, 1, 'in')}; at least "
        f"{number_text(side.typical)} in and {number_text(front.typical)} in.",
        (side, front),
        required=f"{number_text(side.typical)} in sides and back, {number_text(front.typical)} in front",
        provided=f"{number_text(side_and_back_in, 1, 'in')} / {number_text(front_in, 1, 'in')}",
    )


def check_screen(mesh_in: float | None) -> Check:
    """Check the mesh of a screen on an opening: not finer than 1/4 in (9.3.7.2); None: no screen or not known."""
    base = rule("finest_screen_mesh_in")
    ok = None if mesh_in is None else mesh_in >= base.typical
    return compose(
        "screen mesh",
        base.ref,
        verdict_of(ok),
        "A fine insect screen clogs with lint and starves the burner.",
        f"Screen mesh {number_text(mesh_in, 3, 'in')}; not finer than {number_text(base.typical, 2)} in.",
        (base,),
        required=f"at least {number_text(base.typical, 2)} in",
        provided=number_text(mesh_in, 3, "in"),
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
) -> Check:
    """Check a combustion-air duct against the list of 9.3.8; None: not known or not present."""
    duct, grade, blocks = rule("duct_rules"), rule("intake_above_grade_in"), rule("fireblocks_removed_at_most")
    wrong = {
        "it is not corrosion-resistant": corrosion_resistant is False,
        "it serves more than one space": serves_one_space is False,
        "one duct serves both the high and the low opening": separate_high_and_low is False,
        "it is screened where it ends in the attic": screened_in_attic is True,
        "the upper horizontal duct falls toward the air source": upper_duct_falls_toward_source is True,
        "the gap around a liner is used as a duct": gap_around_liner is True,
        f"the intake is less than {number_text(grade.typical)} in above grade": (
            intake_above_grade_in is not None and intake_above_grade_in < grade.typical
        ),
        f"more than {number_text(blocks.typical)} fireblock is removed": (
            fireblocks_removed is not None and fireblocks_removed > blocks.typical
        ),
    }
    bad = [words for words, broken in wrong.items() if broken]
    needed = (corrosion_resistant, serves_one_space, separate_high_and_low)
    ok = False if bad else None if None in needed else True
    found = "not met: " + ", ".join(bad) if bad else "details not all known" if ok is None else "no rule broken"
    return compose(
        "combustion-air duct",
        duct.ref,
        verdict_of(ok),
        "An air duct must stay open, dry and dedicated to this one room.",
        f"Duct rules of 9.3.8: {found}.",
        (duct, grade, blocks),
        required="the duct rules of 9.3.8",
        provided=found,
    )


def check_sleeping_room(
    place: Place,
    *,
    direct_vent: bool = False,
    all_air_from_outdoors: bool | None = None,
    self_closing_tight_door: bool | None = None,
) -> Check:
    """Check an appliance in a bedroom or bathroom, or in a closet that opens only into one.

    Parameters
    ----------
    place : str
        ``bedroom``, ``bathroom``, ``closet of a bedroom or bathroom`` or ``other``.
    direct_vent : bool
        Direct-vent appliances are allowed anywhere by this rule.
    all_air_from_outdoors, self_closing_tight_door : bool or None
        The exception for a closet: all combustion air from outdoors, and a solid weatherstripped self-closing door.

    Notes
    -----
    From memory (the clause was not read): the official sentence says so.
    """
    base = rule("sleeping_room_restriction")
    if place == "other" or direct_vent:
        return compose(
            "bedroom or bathroom",
            base.ref,
            "pass" if direct_vent and place != "other" else "not applicable",
            "A sealed appliance may stand here."
            if direct_vent
            else "The appliance stands in neither bedroom nor bathroom.",
            "Direct-vent appliance." if direct_vent else "Not in, or opening only into, a sleeping or bath room.",
            (base,),
            provided="direct vent" if direct_vent else place,
        )
    exception = (all_air_from_outdoors, self_closing_tight_door)
    in_closet = place.startswith("closet")
    ok = False if not in_closet or False in exception else None if None in exception else True
    return compose(
        "bedroom or bathroom",
        base.ref,
        verdict_of(ok),
        "An open burner must not share air with a bedroom or bathroom; only a closet fed from outdoors behind a tight, "
        "self-closing door is accepted.",
        f"Appliance in {place}: permitted only as direct vent, or in a closet with all air from outdoors "
        f"({_known(all_air_from_outdoors)}) and a solid weatherstripped self-closing door "
        f"({_known(self_closing_tight_door)}).",
        (base,),
        required="direct vent, or a closet with outdoor air only and a self-closing weatherstripped door",
        provided=f"{place}; outdoor air only: {_known(all_air_from_outdoors)}; door: {_known(self_closing_tight_door)}",
        rests_on=("openings", "grilles", "tight_door") if ok is None else (),
    )


def _known(value: bool | None) -> str:
    return "not known" if value is None else "yes" if value else "no"


def check_fan_interference(exhaust_fans_present: bool | None) -> Check:
    """Say that make-up air is owed where fans interfere (9.3.1.5): never a pass, only a test can show that."""
    base = rule("fan_interference")
    return compose(
        "make-up air for exhaust fans",
        base.ref,
        "not applicable" if exhaust_fans_present is False else "unknown",
        "Fans and dryers can pull the burner's gases back into the room even when every air opening is right.",
        NOT_COVERED,
        (base,),
        required="make-up air where fans interfere with the appliance",
        provided="no exhaust fans" if exhaust_fans_present is False else "to be shown by the draft test",
    )
