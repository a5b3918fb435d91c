"""Where a vent or a sidewall terminal may end: roof, chimney, forced-air inlets, openings, grade and snow.

Every distance may be None: then the verdict is ``unknown``, never a guess. The appliance's own manual governs.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import inf
from typing import Literal

from advisor import catalog
from advisor.catalog import Parameter, rows_of
from advisor.codes.check import Check
from advisor.codes.compose import Rated, all_known, compose, verdict_of
from advisor.codes.tables import RoofPitch, TerminalClearance, TerminalUnit
from advisor.codes.vent_types import require_positive
from advisor.errors import InputError, suggest
from advisor.findings import Finding, Quantity, finding, quantity

_FILE = "rules_terminals"
_IN_PER_FT = 12.0

# Schemes a case may choose, and the groups of rows each takes, the stricter or later one first.
TERMINAL_SCHEMES: dict[str, tuple[str, ...]] = {
    "us_mechanical_draft": ("us_mechanical_draft", "us_mechanical_draft_not_direct", "us_all"),
    "us_direct_vent": ("us_direct_vent", "us_all"),
    "us_direct_vent_later_edition": ("us_direct_vent_later_edition", "us_direct_vent", "us_all"),
    "nyc_mechanical_draft": ("nyc", "us_mechanical_draft", "us_mechanical_draft_not_direct", "us_all"),
    "nyc_direct_vent": ("nyc", "us_direct_vent", "us_all"),
    "canada_b149_1": ("canada_b149_1",),
}


def _rule(key: str) -> Parameter:
    return catalog.parameter(_FILE, key)


def roof_pitch_row(pitch_rise_per_12: float) -> RoofPitch | None:
    """Return the row with the least height of a listed cap above the roof; None above the steepest printed pitch."""
    require_positive("pitch_rise_per_12", pitch_rise_per_12, zero=True)
    rows = rows_of(RoofPitch, "roof_pitch_height")
    return next((row for row in rows if pitch_rise_per_12 <= row.pitch_rise_per_12_to), None)


def check_roof_height(
    *,
    pitch_rise_per_12: float | None,
    height_above_roof_ft: float | None,
    diameter_in: float | None,
    wall_distance_ft: float | None,
    above_obstacles_within_10_ft: float | None = None,
    listed_cap: bool | None = True,
) -> Check:
    """Check how far a listed gas-vent cap stands above the roof (12.7.2).

    Parameters
    ----------
    pitch_rise_per_12 : float or None
        Roof pitch, rise per 12 of run.
    height_above_roof_ft : float or None
        Cap above the roof where the vent passes through.
    diameter_in, wall_distance_ft : float or None
        Caps up to 12 in. and at least 8 ft from a vertical wall may use the pitch table; otherwise the vent stands 2 ft
        above the roof and 2 ft above anything within 10 ft.
    above_obstacles_within_10_ft : float or None
        Height over the highest thing within 10 ft; negative when lower.
    listed_cap : bool or None
        The pitch table is for listed caps; None: nobody looked.
    """
    size, wall = _rule("cap_table_diameter_to_in"), _rule("cap_table_wall_distance_ft")
    small = None if diameter_in is None else diameter_in <= size.typical
    free = None if wall_distance_ft is None else wall_distance_ft >= wall.typical
    by_table = all_known((small, free, listed_cap))
    entry = None if pitch_rise_per_12 is None else roof_pitch_row(pitch_rise_per_12)
    steep = pitch_rise_per_12 is not None and entry is None  # steeper than the table: the general rule remains
    if by_table is False or (by_table and steep):
        return _height_without_table(height_above_roof_ft, above_obstacles_within_10_ft, (size, wall))
    need = None if entry is None else entry.min_height_above_roof_ft
    ok = None
    if by_table and need is not None and height_above_roof_ft is not None:
        ok = height_above_roof_ft >= need
    rows: list[Rated] = [size, wall] if entry is None else [size, wall, entry]
    least, given = quantity(need, "ft", 2), quantity(height_above_roof_ft, "ft", 2)
    return compose(
        "vent_height_above_the_roof",
        _rule("pitch_table").ref,
        verdict_of(ok),
        finding("codes_terminals.pitch"),
        finding(
            "codes_terminals.pitch_official",
            pitch=quantity(pitch_rise_per_12, "pitch", 1),
            need=least,
            size=quantity(size.typical, "in"),
            free=quantity(wall.typical, "ft"),
            given=given,
            wall=quantity(wall_distance_ft, "ft", 1),
        ),
        rows,
        required=finding("codes_terminals.at_least", need=least),
        provided=finding("codes_terminals.above_roof", given=given),
        rests_on=("vent_material", "cap", "vent_diameter", "wall_distance", "roof_pitch", "above_roof"),
    )


def _height_without_table(
    height_above_roof_ft: float | None, above_obstacles_ft: float | None, table_rules: tuple[Parameter, Parameter]
) -> Check:
    """Hold a cap that may not use the pitch table against the rule of 2 ft above roof and obstacles."""
    roof, over, radius = _rule("above_roof_ft"), _rule("above_obstacle_ft"), _rule("obstacle_radius_ft")
    pairs = ((height_above_roof_ft, roof), (above_obstacles_ft, over))
    ok = all_known(None if value is None else value >= rule.typical for value, rule in pairs)
    asked = {"roof": quantity(roof.typical, "ft"), "over": quantity(over.typical, "ft")}
    reach = quantity(radius.typical, "ft")
    given = {
        "given": quantity(height_above_roof_ft, "ft", 2),
        "obstacles": quantity(above_obstacles_ft, "ft", 1),
    }
    return compose(
        "vent_height_above_the_roof",
        roof.ref,
        verdict_of(ok),
        finding("codes_terminals.two_foot"),
        finding("codes_terminals.two_foot_official", **asked, radius=reach, **given),
        (*table_rules, roof, over),
        required=finding("codes_terminals.two_foot_required", **asked, radius=reach),
        provided=finding("codes_terminals.two_foot_provided", **given),
        rests_on=("vent_material",) if ok is not None else ("vent_material", "above_roof", "obstacles"),
    )


def check_chimney_height(
    *, above_hood_ft: float | None, above_roof_ft: float | None, above_obstacles_within_10_ft: float | None
) -> Check:
    """Check a chimney: 5 ft over the hood, 3 ft over the roof, 2 ft over anything within 10 ft (12.6.2)."""
    rules = [_rule(key) for key in ("chimney_above_hood_ft", "chimney_above_roof_ft", "chimney_above_obstacle_ft")]
    values = (above_hood_ft, above_roof_ft, above_obstacles_within_10_ft)
    ok = all_known(None if v is None else v >= rule.typical for v, rule in zip(values, rules, strict=True))
    radius = quantity(_rule("obstacle_radius_ft").typical, "ft")
    asked = finding(
        "codes_terminals.chimney_heights", **_heights([rule.typical for rule in rules], None), radius=radius
    )
    given = finding("codes_terminals.chimney_heights", **_heights(values, 1), radius=radius)
    return compose(
        "chimney_height",
        rules[0].ref,
        verdict_of(ok),
        finding("codes_terminals.chimney"),
        finding("codes_terminals.chimney_official", asked=asked, given=given),
        rules,
        required=asked,
        provided=given,
        rests_on=("height", "above_roof", "obstacles") if ok is None else (),
    )


def _heights(values: Sequence[float | None], digits: int | None) -> dict[str, Quantity]:
    names = ("hood", "roof", "obstacles")
    return {name: quantity(value, "ft", digits) for name, value in zip(names, values, strict=True)}


def check_forced_air_inlet(above_inlet_ft: float | None, horizontal_ft: float | None) -> Check:
    """Check a roof vent near a forced-air inlet: 3 ft above it when within 10 ft (12.7.2)."""
    rise, radius = _rule("vent_above_forced_inlet_ft"), _rule("forced_inlet_radius_ft")
    ok, values = _by_inlet(above_inlet_ft, horizontal_ft, rise.typical, radius.typical)
    return compose(
        "forced_air_inlet_near_the_vent",
        rise.ref,
        verdict_of(ok),
        finding("codes_terminals.vent_inlet"),
        finding("codes_terminals.vent_inlet_official", **values),
        (rise, radius),
        rests_on=("above_inlet", "inlet_distance") if ok is None else (),
        required=finding("codes_terminals.inlet_required", **values),
        provided=finding("codes_terminals.inlet_provided", **values),
    )


def _by_inlet(
    above_ft: float | None, horizontal_ft: float | None, rise_ft: float, radius_ft: float
) -> tuple[bool | None, dict[str, Quantity]]:
    """Return whether gases are clear of a forced-air inlet, far enough or high enough, and the numbers."""
    far = None if horizontal_ft is None else horizontal_ft > radius_ft
    high = None if above_ft is None else above_ft >= rise_ft
    return _either(far, high), {
        "above": quantity(above_ft, "ft", 1),
        "away": quantity(horizontal_ft, "ft", 1),
        "rise": quantity(rise_ft, "ft"),
        "radius": quantity(radius_ft, "ft"),
    }


def _either(*parts: bool | None) -> bool | None:
    return True if True in parts else None if None in parts else False


def terminal_row(scheme: str, key: str, input_btu_h: float) -> TerminalClearance | None:
    """Return the clearance row of a scheme for one item at an input; None when the scheme has none.

    Parameters
    ----------
    scheme : str
        One of ``TERMINAL_SCHEMES``; the US and the Canadian rows are never mixed.
    key : str
        ``forced_inlet``, ``opening``, ``opening_below_or_beside``, ``opening_above``, ``grade``,
        ``adjacent_opening``, ``walkway``, ``meter``, ``regulator_vent`` or ``under_porch``.
    input_btu_h : float
        Input of the appliance; rows may hold for a range of inputs.

    Raises
    ------
    InputError
        If the scheme is unknown.
    """
    if scheme not in TERMINAL_SCHEMES:
        allowed = ", ".join(TERMINAL_SCHEMES)
        raise InputError(f"terminal scheme '{scheme}'{suggest(scheme, TERMINAL_SCHEMES)}: one of {allowed}")
    require_positive("input_btu_h", input_btu_h)
    for group in TERMINAL_SCHEMES[scheme]:
        for row in rows_of(TerminalClearance, "terminal_clearances"):
            low, high = _inputs_btu_h(row)
            if row.scheme == group and row.key == key and low < input_btu_h <= high:
                return row
    return None


def _inputs_btu_h(row: TerminalClearance) -> tuple[float, float]:
    """Return above which input and up to which a row holds."""
    return row.input_over_btu_h or 0.0, inf if row.input_to_btu_h is None else row.input_to_btu_h


def _condition(row: TerminalClearance) -> Finding:
    """Return on what a row depends, with the numbers of the rules and of the row itself."""
    low, high = _inputs_btu_h(row)
    return finding(
        f"codes_terminals.condition.{row.condition}",
        low=quantity(low, "btu_h"),
        high=quantity(high, "btu_h"),
        radius=quantity(_rule("terminal_inlet_radius_ft").typical, "ft"),
        below=quantity(_rule("adjacent_opening_below_ft").typical, "ft"),
        above=quantity(_rule("adjacent_opening_above_ft").typical, "ft"),
        meter=quantity(_rule("meter_reach_above_ft").typical, "ft"),
    )


def _distance(
    row: TerminalClearance,
    name: str,
    given: float | None,
    unit: TerminalUnit,
    snow: Quantity | None = None,
    also: Sequence[Rated] = (),
) -> Check:
    need = row.distance
    if given is not None and row.unit != unit:
        given = given * _IN_PER_FT if unit == "ft" else given / _IN_PER_FT
    ok = None if given is None else given >= need
    least, found = quantity(need, row.unit, 2), quantity(given, row.unit, 2)
    values: dict[str, Finding | Quantity] = {
        "item": finding(f"codes_terminals.item.{row.item}"),
        "condition": _condition(row),
        "need": least,
        "given": found,
    }
    direction = finding(f"codes_terminals.direction.{row.direction.replace(' ', '_')}")
    return compose(
        name,
        row.ref,
        verdict_of(ok),
        finding(f"codes_terminals.{name}"),
        finding("codes_terminals.distance_official", **values)
        if snow is None
        else finding("codes_terminals.distance_above_snow_official", **values, snow=snow),
        (row, *also),
        required=finding("codes_terminals.distance_required", need=least, direction=direction),
        provided=found,
    )


def check_sidewall_terminal(
    scheme: str,
    input_btu_h: float,
    *,
    opening_ft: float | None = None,
    opening_is: Literal["beside", "below"] | None = None,
    forced_inlet_above_ft: float | None = None,
    forced_inlet_horizontal_ft: float | None = None,
    grade_in: float | None = None,
    expected_snow_in: float | None = 0.0,
    adjacent_opening_ft: float | None = None,
    above_adjacent_opening_ft: float | None = None,
    walkway_ft: float | None = None,
    meter_ft: float | None = None,
    regulator_vent_ft: float | None = None,
) -> tuple[Check, ...]:
    """Check a terminal through the wall against every clearance of a scheme.

    Parameters
    ----------
    scheme : str
        One of ``TERMINAL_SCHEMES``.
    input_btu_h : float
        Input of the appliance.
    opening_ft : float or None
        To the nearest door, operable window or gravity inlet of the building.
    opening_is : str or None
        Where that opening lies: ``beside`` (the terminal is below or beside it: 4 ft for a mechanical
        draft) or ``below`` (1 ft). None: the larger distance is used.
    forced_inlet_above_ft, forced_inlet_horizontal_ft : float or None
        Height of the terminal above a forced-air inlet and horizontal distance to it (``math.inf``: there is none).
    grade_in, expected_snow_in : float or None
        Height above grade; the expected snow depth is taken off it.
    adjacent_opening_ft, above_adjacent_opening_ft : float or None
        To an operable opening of an adjacent building: horizontal distance, and height above it (negative: below).
    walkway_ft, meter_ft, regulator_vent_ft : float or None
        Height above a public walkway; distances to a meter or regulator and to a regulator's vent (``math.inf``: none).

    Returns
    -------
    tuple of Check
        One for each row that the scheme has; a missing distance gives ``unknown``.

    Raises
    ------
    InputError
        If the scheme is unknown.
    """
    checks: list[Check] = []

    def row_of(key: str) -> TerminalClearance | None:
        return terminal_row(scheme, key, input_btu_h)

    key = "opening_above" if opening_is == "below" else "opening_below_or_beside"
    row = row_of("opening") or row_of(key)
    if row is not None:
        checks.append(_distance(row, "terminal_to_openings_of_the_building", opening_ft, "ft"))
    row = row_of("forced_inlet")
    if row is not None:
        checks.append(_terminal_inlet(row, forced_inlet_above_ft, forced_inlet_horizontal_ft))
    row = row_of("grade")
    if row is not None:
        clear = None if grade_in is None or expected_snow_in is None else grade_in - expected_snow_in
        snow = quantity(expected_snow_in, "in", 0)
        also = (_rule("snow_added"),) if expected_snow_in else ()
        checks.append(_distance(row, "terminal_above_grade_and_snow", clear, "in", snow, also))
    row = row_of("adjacent_opening")
    if row is not None:
        checks.append(_adjacent(row, adjacent_opening_ft, above_adjacent_opening_ft))
    for key, name, given in (
        ("walkway", "terminal_above_a_walkway", walkway_ft),
        ("meter", "terminal_to_the_meter", meter_ft),
        ("regulator_vent", "terminal_to_a_regulator_vent", regulator_vent_ft),
    ):
        row = row_of(key)
        if row is not None:
            checks.append(_distance(row, name, given, "ft"))
    return tuple(checks)


def _terminal_inlet(row: TerminalClearance, above_ft: float | None, horizontal_ft: float | None) -> Check:
    name = "terminal_to_a_forced_air_inlet"
    if row.direction != "above":
        return _distance(row, name, horizontal_ft, "ft")
    radius = _rule("terminal_inlet_radius_ft")
    ok, values = _by_inlet(above_ft, horizontal_ft, row.distance, radius.typical)
    return compose(
        name,
        row.ref,
        verdict_of(ok),
        finding(f"codes_terminals.{name}"),
        finding("codes_terminals.terminal_inlet_official", **values),
        (row, radius),
        required=finding("codes_terminals.inlet_required", **values),
        provided=finding("codes_terminals.inlet_provided", **values),
    )


def _adjacent(row: TerminalClearance, horizontal_ft: float | None, above_ft: float | None) -> Check:
    below, over = _rule("adjacent_opening_below_ft"), _rule("adjacent_opening_above_ft")
    need = row.distance
    far = None if horizontal_ft is None else horizontal_ft >= need
    free = None if above_ft is None else above_ft >= over.typical or -above_ft >= below.typical
    least, away = quantity(need, "ft"), quantity(horizontal_ft, "ft", 1)
    return compose(
        "terminal_to_a_neighbours_opening",
        row.ref,
        verdict_of(_either(far, free)),
        finding("codes_terminals.terminal_to_a_neighbours_opening"),
        finding(
            "codes_terminals.neighbour_official",
            away=away,
            above=quantity(above_ft, "ft", 1),
            need=least,
            below=quantity(below.typical, "ft"),
            over=quantity(over.typical, "ft"),
        ),
        (row, below, over),
        required=finding("codes_terminals.at_least", need=least),
        provided=away,
    )
