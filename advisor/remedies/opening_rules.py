"""Where the combustion-air openings of a house start, what screens them, and how their ducts run."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from advisor.case.model import Case, listed
from advisor.case.parts import Opening
from advisor.codes.check import Check
from advisor.codes.combustion_air_place import (
    check_air_duct,
    check_one_opening_clearance,
    check_opening_position,
    check_screen,
)
from advisor.codes.compose import all_known
from advisor.codes.unknown import where_given

RESISTS_CORROSION = {
    "galvanized steel": True,
    "other corrosion-resistant": True,
    "stud or joist bay": True,
    "other": False,
}
"""What a duct is made of, and whether 9.3.8 takes it: in a dwelling it names stud and joist bays beside metal."""


def opening_checks(case: Case, *, one_opening: bool) -> tuple[Check, ...]:
    """Return the rules on place, screen and duct of the openings that are there; none where there is no opening.

    Parameters
    ----------
    case : Case
        As found, or as after the work.
    one_opening : bool
        Whether the space uses the method of one opening, which asks for clearance around the heater.
    """
    found = listed(case.opening)
    if not found:
        return ()
    checks = [_position(found)]
    screened = [o for o in found if o.cover == "screen" or o.screen_mesh_in is not None]
    if screened:
        checks.append(check_screen(_least(o.screen_mesh_in for o in screened)))
    if any(o.kind != "direct" for o in found):
        checks.append(_ducts(found))
    if one_opening:
        zone = case.zone
        checks.append(check_one_opening_clearance(zone.heater_side_clearance_in, zone.heater_front_clearance_in))
    unsure = {name for check in checks if check.verdict == "unknown" for name in check.rests_on}
    return tuple(where_given(check, unsure) for check in checks)


def _least(values: Iterable[float | None]) -> float | None:
    """Return the least of several, None where one of them is not known."""
    found = list(values)
    known = [value for value in found if value is not None]
    return min(known) if len(known) == len(found) else None


def _most(values: Iterable[float | None]) -> float | None:
    least = _least(None if value is None else -value for value in values)
    return None if least is None else -least


def _position(found: Sequence[Opening]) -> Check:
    """Return where the openings start: of those at one height the one that starts farthest from its edge."""
    sure = [o for o in found if o.position in ("high", "low")]
    # one whose height nobody named may be either
    heights = {o.position for o in sure} if len(sure) == len(found) else {"high", "low"}
    return check_opening_position(
        _most(o.below_ceiling_in for o in found if o.position != "low") if "high" in heights else None,
        _most(o.above_floor_in for o in found if o.position != "high") if "low" in heights else None,
        asked=tuple(one for one in ("high", "low") if one in heights),
    )


def _ducts(found: Sequence[Opening]) -> Check:
    ducts = [o for o in found if o.kind != "direct"]
    upper = [o for o in ducts if o.kind == "horizontal duct" and o.position == "high"]
    attic = [o for o in ducts if o.ends_in == "attic"]
    known = all(_looked_at(o) for o in ducts)
    materials = [None if o.duct_material is None else RESISTS_CORROSION[o.duct_material] for o in ducts]
    return check_air_duct(
        corrosion_resistant=all_known(materials),
        serves_one_space=all_known(o.serves_one_space for o in ducts),
        separate_high_and_low=True if len(found) == 1 else all_known(o.own_duct for o in ducts),
        screened_in_attic=any(o.cover == "screen" or o.screen_mesh_in is not None for o in attic),
        upper_duct_falls_toward_source=any(o.falls_outward is True for o in upper),
        intake_above_grade_in=min((o.above_grade_in for o in ducts if o.above_grade_in is not None), default=None),
        all_looked_at=True if known else None,
    )


def _looked_at(duct: Opening) -> bool:
    """Return whether the record holds what 9.3.8 asks of this duct by the way it runs and where it ends."""
    runs = duct.kind != "horizontal duct" or duct.position == "low" or duct.falls_outward is not None
    if duct.ends_in == "attic":
        return runs and "cover" in duct.model_fields_set
    return runs and (duct.ends_in == "crawl space" or (duct.ends_in is not None and duct.above_grade_in is not None))
