"""The codes applied to the case as found: combustion air, vent, terminal, test limits, CO. Findings, not an approval."""

from __future__ import annotations

import math
from collections.abc import Sequence

from advisor.case.model import Case
from advisor.case.parts import Opening
from advisor.codes import terminals
from advisor.codes.altitude import check_altitude_derate
from advisor.codes.check import Check
from advisor.codes.combustion_air_place import check_least_dimension
from advisor.codes.unknown import all_where_given, where_given
from advisor.facts.place import place_checks
from advisor.remedies import air_facts
from advisor.remedies.opening_rules import opening_checks
from advisor.review.exhaust import exhaust_checks
from advisor.review.runs import record_checks
from advisor.review.vent import vent_checks


def review(case: Case) -> tuple[Check, ...]:
    """Return every code check that the case as found allows, in a fixed order.

    Parameters
    ----------
    case : Case
        What was found.

    Returns
    -------
    tuple of Check
        Verdict ``unknown`` where it rests on a number that nobody gave, however usual the value in its place.
    """
    way = air_facts.way_in_use(case)
    details = opening_checks(case, one_opening=way.key == "one_outdoor")
    return (
        *place_checks(case),
        *air_checks(case),
        *details,
        *exhaust_checks(case),
        *vent_checks(case),
        *terminal_checks(case),
        *record_checks(case),
    )


def air_checks(case: Case) -> tuple[Check, ...]:
    """Combustion air as found: the method that the zone uses, fans, altitude."""
    # outdoors there is no room whose volume could be held against a rule; an enclosure is, by its openings
    in_the_open = case.zone.kind == "outdoors" and not case.opening
    checks = [] if in_the_open else [air_facts.way_in_use(case).check]
    shown = air_facts.rate_shown(case)
    if shown is not None and checks and "air_change_rate" in checks[0].missing:
        checks.append(shown)
    if case.house.altitude_ft > 0.0:
        checks.append(check_altitude_derate(case.heater.input_btu_h, case.house.altitude_ft, None))
    if case.opening:
        checks.append(_least_side(case.opening))
    return tuple(checks)


def _least_side(openings: Sequence[Opening]) -> Check:
    """Return the shortest side of the air openings against its least; a round one's is its diameter.

    An area bounds the shortest side: no shape of that area has a longer one than the circle.
    """
    longest = [_longest_side_in(opening) for opening in openings]
    known = [opening.diameter_in for opening in openings if opening.diameter_in is not None]
    check = check_least_dimension(min((side for side in longest if side is not None), default=None))
    unknown = () if len(known) == len(openings) else ("opening_side",)
    return where_given(check, unknown)


def _longest_side_in(opening: Opening) -> float | None:
    if opening.diameter_in is not None:
        return opening.diameter_in
    return None if opening.area_in2 is None else 2.0 * math.sqrt(opening.area_in2 / math.pi)


def terminal_checks(case: Case) -> tuple[Check, ...]:
    """Height of the vent top above the roof, and forced-air inlets near it."""
    top, vent = case.terminal, case.vent
    if vent.vertical == "masonry":
        checks = [
            terminals.check_chimney_height(
                above_hood_ft=vent.height_ft,
                above_roof_ft=top.height_above_roof_ft,
                above_obstacles_within_10_ft=top.above_obstacles_ft,
            )
        ]
    else:
        checks = [
            terminals.check_roof_height(
                pitch_rise_per_12=top.roof_pitch_rise_per_12,
                height_above_roof_ft=top.height_above_roof_ft,
                wall_distance_ft=top.wall_distance_ft,
                diameter_in=vent.diameter_in,
                above_obstacles_within_10_ft=top.above_obstacles_ft,
                listed_cap=None if vent.cap is None else vent.cap == "listed",
            )
        ]
    if top.forced_air_inlet_distance_ft is not None:
        checks.append(terminals.check_forced_air_inlet(top.above_forced_air_inlet_ft, top.forced_air_inlet_distance_ft))
    return all_where_given(checks, _unknown_at_the_top(case))


def _unknown_at_the_top(case: Case) -> frozenset[str]:
    top, vent = case.terminal, case.vent
    values = {
        "height": vent.height_ft,
        "vent_material": vent.vertical,
        "vent_diameter": vent.diameter_in,
        "cap": vent.cap,
        "roof_pitch": top.roof_pitch_rise_per_12,
        "above_roof": top.height_above_roof_ft,
        "wall_distance": top.wall_distance_ft,
        "obstacles": top.above_obstacles_ft,
        "above_inlet": top.above_forced_air_inlet_ft,
        "inlet_distance": top.forced_air_inlet_distance_ft,
    }
    return frozenset(name for name, value in values.items() if value is None)
