"""Where a vent or a sidewall terminal may end: roof, chimney, forced-air inlets, openings, grade and snow.

Every distance may be None: then the verdict is ``unknown``, never a guess. The appliance's own manual governs.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from advisor import catalog
from advisor.catalog import Parameter, Row
from advisor.codes.check import Check
from advisor.codes.compose import Rated, basis_of, compose, number_text, verdict_of
from advisor.codes.vent_types import require_positive
from advisor.errors import InputError, suggest

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
_EDITION = {
    "nfpa54-2012": "NFPA 54-2012",
    "nyc-fgc-2022": "NYC FGC-2022",
    "manual-terminals": "as printed in appliance manuals,",
}


def _rule(key: str) -> Parameter:
    return catalog.parameter(_FILE, key)


def roof_pitch_height_ft(pitch_rise_per_12: float) -> tuple[float, Row] | None:
    """Return the least height of a listed cap above the roof and its row; None above the steepest printed pitch."""
    require_positive("pitch_rise_per_12", pitch_rise_per_12, zero=True)
    for row in catalog.table("roof_pitch_height"):
        if pitch_rise_per_12 <= float(row["pitch_rise_per_12_to"]):
            return float(row["min_height_above_roof_ft"]), row
    return None


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
    roof, over, radius = _rule("above_roof_ft"), _rule("above_obstacle_ft"), _rule("obstacle_radius_ft")
    small = None if diameter_in is None else diameter_in <= size.typical
    free = None if wall_distance_ft is None else wall_distance_ft >= wall.typical
    by_table = False if False in (small, free, listed_cap) else None if None in (small, free, listed_cap) else True
    entry = None if pitch_rise_per_12 is None else roof_pitch_height_ft(pitch_rise_per_12)
    two_foot = (
        f"{number_text(roof.typical)} ft above the roof and {number_text(over.typical)} ft above anything within "
    )
    two_foot += f"{number_text(radius.typical)} ft"
    given = f"{number_text(height_above_roof_ft, 2, 'ft')} above the roof"
    if by_table and pitch_rise_per_12 is not None and entry is None:
        by_table = False  # steeper than the table: the general rule remains
    if by_table is False:
        known = [
            value >= rule.typical
            for value, rule in ((height_above_roof_ft, roof), (above_obstacles_within_10_ft, over))
            if value is not None
        ]
        ok = False if False in known else True if len(known) == 2 else None
        return compose(
            "vent height above the roof",
            roof.ref,
            verdict_of(ok),
            "The vent must end clear of the roof and of walls near it, or the wind pushes the gases back down.",
            f"Pitch table not available (size, wall or pitch): {two_foot} required; {given}, "
            f"{number_text(above_obstacles_within_10_ft, 1, 'ft')} above things within "
            f"{number_text(radius.typical)} ft.",
            (size, wall, roof, over),
            required=two_foot,
            provided=f"{given}; {number_text(above_obstacles_within_10_ft, 1, 'ft')} above obstacles",
            rests_on=("vent_material",) if ok is not None else ("vent_material", "above_roof", "obstacles"),
        )
    need = None if entry is None else entry[0]
    ok = None
    if by_table and need is not None and height_above_roof_ft is not None:
        ok = height_above_roof_ft >= need
    rows: list[Rated] = [size, wall] if entry is None else [size, wall, basis_of(entry[1])]
    return compose(
        "vent height above the roof",
        "NFPA 54-2012 12.7.2 with Fig. G2427.6.3 of the IRC-2018",
        verdict_of(ok),
        "The steeper the roof, the higher the cap must stand above it.",
        f"Pitch {number_text(pitch_rise_per_12, 1)} in 12: at least {number_text(need, 2, 'ft')} for a listed cap up "
        f"to {number_text(size.typical)} in. and {number_text(wall.typical)} ft from a wall; {given}, wall "
        f"{number_text(wall_distance_ft, 1, 'ft')} away.",
        rows,
        required=f"at least {number_text(need, 2, 'ft')}",
        provided=given,
        rests_on=("vent_material", "cap", "vent_diameter", "wall_distance", "roof_pitch", "above_roof"),
    )


def check_chimney_height(
    *, above_hood_ft: float | None, above_roof_ft: float | None, above_obstacles_within_10_ft: float | None
) -> Check:
    """Check a chimney: 5 ft over the hood, 3 ft over the roof, 2 ft over anything within 10 ft (12.6.2)."""
    rules = [_rule(key) for key in ("chimney_above_hood_ft", "chimney_above_roof_ft", "chimney_above_obstacle_ft")]
    values = (above_hood_ft, above_roof_ft, above_obstacles_within_10_ft)
    known = [value >= rule.typical for value, rule in zip(values, rules, strict=True) if value is not None]
    ok = False if False in known else True if len(known) == len(values) else None
    words = ("above the hood", "above the roof", "above things within 10 ft")
    asked = ", ".join(f"{number_text(rule.typical)} ft {w}" for rule, w in zip(rules, words, strict=True))
    given = ", ".join(f"{number_text(value, 1, 'ft')} {w}" for value, w in zip(values, words, strict=True))
    return compose(
        "chimney height",
        rules[0].ref,
        verdict_of(ok),
        "The chimney must rise clear of the roof and of anything near it.",
        f"Required {asked}; found {given}.",
        rules,
        required=asked,
        provided=given,
        rests_on=("height", "above_roof", "obstacles") if ok is None else (),
    )


def check_forced_air_inlet(above_inlet_ft: float | None, horizontal_ft: float | None) -> Check:
    """Check a roof vent near a forced-air inlet: 3 ft above it when within 10 ft (12.7.2)."""
    rise, radius = _rule("vent_above_forced_inlet_ft"), _rule("forced_inlet_radius_ft")
    return _inlet(
        "forced-air inlet near the vent",
        rise.ref,
        rise.typical,
        radius.typical,
        (rise, radius),
        above_inlet_ft,
        horizontal_ft,
    )


def _inlet(
    name: str,
    clause: str,
    rise_ft: float,
    radius_ft: float,
    rules: Sequence[Parameter],
    above_ft: float | None,
    horizontal_ft: float | None,
) -> Check:
    far = None if horizontal_ft is None else horizontal_ft > radius_ft
    high = None if above_ft is None else above_ft >= rise_ft
    ok = True if True in (far, high) else None if None in (far, high) else False
    return compose(
        name,
        clause,
        verdict_of(ok),
        "A fan that draws air into the house near the vent would draw in its gases.",
        f"Vent {number_text(above_ft, 1, 'ft')} above and {number_text(horizontal_ft, 1, 'ft')} from the inlet; at "
        f"least {number_text(rise_ft)} ft above when within {number_text(radius_ft)} ft.",
        rules,
        rests_on=("above_inlet", "inlet_distance") if ok is None else (),
        required=f"{number_text(rise_ft)} ft above, or more than {number_text(radius_ft)} ft away",
        provided=f"{number_text(above_ft, 1, 'ft')} above, {number_text(horizontal_ft, 1, 'ft')} away",
    )


def terminal_row(scheme: str, key: str, input_btu_h: float) -> Row | None:
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
        for row in catalog.table("terminal_clearances"):
            if row["scheme"] != group or row["key"] != key:
                continue
            low = float(row["input_over_btu_h"] or 0.0)
            high = float(row["input_to_btu_h"] or "inf")
            if low < input_btu_h <= high:
                return row
    return None


def _clause(row: Row) -> str:
    edition = "CSA B149.1, " if row["scheme"] == "canada_b149_1" else ""
    return f"{edition}{_EDITION.get(row['source'], row['source'])} {row['ref']}".strip()


def _distance(
    row: Row, name: str, given: float | None, unit: str, client: str, extra: str = "", also: Sequence[Rated] = ()
) -> Check:
    need = float(row["distance"])
    if given is not None and row["unit"] != unit:
        given = given * _IN_PER_FT if unit == "ft" else given / _IN_PER_FT
    unit = row["unit"]
    ok = None if given is None else given >= need
    return compose(
        name,
        _clause(row),
        verdict_of(ok),
        client,
        f"{row['item'].capitalize()} ({row['condition']}): at least {number_text(need, 2)} {unit}, found "
        f"{number_text(given, 2, unit)}{extra}; the appliance's own manual governs.",
        (basis_of(row), *also),
        required=f"at least {number_text(need, 2)} {unit} ({row['direction']})",
        provided=number_text(given, 2, unit),
    )


def check_sidewall_terminal(
    scheme: str,
    input_btu_h: float,
    *,
    opening_ft: float | None = None,
    opening_is: Literal["above terminal or beside", "below terminal"] | None = None,
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
        Where that opening lies: ``above terminal or beside`` (the terminal is below or beside it: 4 ft for a mechanical
        draft) or ``below terminal`` (1 ft). None: the larger distance is used.
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

    def row_of(key: str) -> Row | None:
        return terminal_row(scheme, key, input_btu_h)

    key = "opening_above" if opening_is == "below terminal" else "opening_below_or_beside"
    row = row_of("opening") or row_of(key)
    if row is not None:
        client = "Exhaust gases must not drift into a window, door or air inlet."
        checks.append(_distance(row, "terminal to openings of the building", opening_ft, "ft", client))
    row = row_of("forced_inlet")
    if row is not None:
        checks.append(_terminal_inlet(row, forced_inlet_above_ft, forced_inlet_horizontal_ft))
    row = row_of("grade")
    if row is not None:
        clear = None if grade_in is None or expected_snow_in is None else grade_in - expected_snow_in
        extra = f" above the expected snow of {number_text(expected_snow_in, 0, 'in')}"
        client = "The terminal must stay above the ground and above the snow."
        also = (_rule("snow_added"),) if expected_snow_in else ()
        checks.append(_distance(row, "terminal above grade and snow", clear, "in", client, extra, also))
    row = row_of("adjacent_opening")
    if row is not None:
        checks.append(_adjacent(row, adjacent_opening_ft, above_adjacent_opening_ft))
    for key, name, given, client in (
        ("walkway", "terminal above a walkway", walkway_ft, "Hot, moist gases must not blow onto a public path."),
        ("meter", "terminal to the meter", meter_ft, "The terminal must keep away from gas and electric meters."),
        ("regulator_vent", "terminal to a regulator vent", regulator_vent_ft, "Gas may be released at that vent."),
    ):
        row = row_of(key)
        if row is not None:
            checks.append(_distance(row, name, given, "ft", client))
    return tuple(checks)


def _terminal_inlet(row: Row, above_ft: float | None, horizontal_ft: float | None) -> Check:
    client = "A fan that draws air into the house must not catch the exhaust gases."
    if row["direction"] != "above":
        return _distance(row, "terminal to a forced-air inlet", horizontal_ft, "ft", client)
    radius, need = _rule("terminal_inlet_radius_ft"), float(row["distance"])
    far = None if horizontal_ft is None else horizontal_ft > radius.typical
    high = None if above_ft is None else above_ft >= need
    ok = True if True in (far, high) else None if None in (far, high) else False
    return compose(
        "terminal to a forced-air inlet",
        _clause(row),
        verdict_of(ok),
        client,
        f"Terminal {number_text(above_ft, 1, 'ft')} above and {number_text(horizontal_ft, 1, 'ft')} from the inlet; at "
        f"least {number_text(need)} ft above when within {number_text(radius.typical)} ft.",
        (basis_of(row), radius),
        required=f"{number_text(need)} ft above, or more than {number_text(radius.typical)} ft away",
        provided=f"{number_text(above_ft, 1, 'ft')} above, {number_text(horizontal_ft, 1, 'ft')} away",
    )


def _adjacent(row: Row, horizontal_ft: float | None, above_ft: float | None) -> Check:
    below, over = _rule("adjacent_opening_below_ft"), _rule("adjacent_opening_above_ft")
    need = float(row["distance"])
    far = None if horizontal_ft is None else horizontal_ft >= need
    free = None if above_ft is None else above_ft >= over.typical or -above_ft >= below.typical
    ok = True if True in (far, free) else None if None in (far, free) else False
    return compose(
        "terminal to a neighbour's opening",
        _clause(row),
        verdict_of(ok),
        "The neighbour's windows and doors must be spared as well.",
        f"Horizontal distance {number_text(horizontal_ft, 1, 'ft')}, terminal {number_text(above_ft, 1, 'ft')} above "
        f"the opening; at least {number_text(need)} ft unless {number_text(below.typical)} ft below or "
        f"{number_text(over.typical)} ft above it.",
        (basis_of(row), below, over),
        required=f"at least {number_text(need)} ft",
        provided=number_text(horizontal_ft, 1, "ft"),
    )
