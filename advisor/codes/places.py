"""Where a heater may stand: bedroom, garage, attic and crawl space, manufactured home, outdoors. One function a clause.

What a clause says stands in ``catalog/codes/rules_places.csv`` with its status. Most of them were not read: such a rule may
fail, and then it asks for a confirmation; only a status other than ``memory`` bars (``review.option.broken_rules``).
"""

from __future__ import annotations

from typing import Literal

from advisor import catalog
from advisor.catalog import Parameter
from advisor.codes.check import Check, Verdict
from advisor.codes.compose import all_known, compose, outcome, verdict_of
from advisor.findings import Finding, Value, finding, quantity

FILE = "rules_places"
SLEEPING = "bedroom_or_bathroom"
RULES = (
    SLEEPING,
    "garage_ignition_height",
    "garage_vehicle_barrier",
    "garage_opening_to_dwelling",
    "service_access",
    "manufactured_home_listing",
    "manufactured_home_separate_air",
    "outdoor_protection",
)
"""Ids of the checks of this module."""

Place = Literal["bedroom", "bathroom", "closet", "other"]
Flame = Literal["open", "sealed", "none"]
"""What the appliance burns on: the air of its space, air that a sealed path brings it from outdoors, or nothing."""


def rule(key: str) -> Parameter:
    """Return one rule of ``catalog/codes/rules_places.csv``."""
    return catalog.parameter(FILE, key)


def _known(value: bool | None) -> Finding:
    return finding("codes_place.not_known" if value is None else "codes_place.yes" if value else "codes_place.no")


def _yes_or_no(name: str, key: str, value: bool | None, rests_on: str) -> Check:
    """Return the check of a rule that one yes or no of the house answers; its sentences are told apart by the outcome."""
    base = rule(key)
    return compose(
        name,
        base.ref,
        verdict_of(value),
        finding(f"codes_place.{name}_{outcome(value)}"),
        finding(f"codes_place.{name}_official", found=_known(value)),
        (base,),
        required=finding(f"codes_place.{name}_required"),
        provided=_known(value),
        rests_on=(rests_on,) if value is None else (),
    )


def check_sleeping_room(
    place: Place | None,
    *,
    flame: Flame = "open",
    all_air_from_outdoors: bool | None = None,
    self_closing_tight_door: bool | None = None,
) -> Check:
    """Check an appliance in a bedroom or bathroom, or in a space of its own that opens into one.

    Parameters
    ----------
    place : str or None
        ``bedroom``, ``bathroom``, ``closet`` (a space of its own that opens into one of them or takes its air there) or
        ``other``; None where nobody said what it opens to.
    flame : str
        A sealed appliance may stand there; without a flame the rule does not apply.
    all_air_from_outdoors, self_closing_tight_door : bool or None
        The exception for a closet: all combustion air from outdoors by a rule for outdoor air, and a solid
        weatherstripped self-closing door.
    """
    base, sealed = rule("sleeping_room_air"), rule("sleeping_room_sealed")
    if place == "other":
        return _sleeping("elsewhere", base, "not applicable")
    if flame == "none":
        return _sleeping("no_flame", base, "not applicable")
    if flame == "sealed":
        return _sleeping("sealed", sealed, "pass")
    if place is None:
        return _sleeping("not_said", base, "unknown", ("door_opens_to",))
    ok = all_known((all_air_from_outdoors, self_closing_tight_door)) if place == "closet" else False
    where = finding(f"codes_place.place_{place}")
    values = {"place": where, "air": _known(all_air_from_outdoors), "door": _known(self_closing_tight_door)}
    missing = (("openings", all_air_from_outdoors), ("tight_door", self_closing_tight_door))
    return compose(
        SLEEPING,
        base.ref,
        verdict_of(ok),
        finding(f"codes_place.sleeping_{outcome(ok)}", place=where),
        finding("codes_place.sleeping_official", **values),
        (base,),
        required=finding("codes_place.sleeping_required"),
        provided=finding("codes_place.sleeping_provided", **values),
        rests_on=tuple(key for key, value in missing if value is None) if ok is None else (),
    )


def _sleeping(key: str, base: Parameter, verdict: Verdict, rests_on: tuple[str, ...] = ()) -> Check:
    """Return the check of a case that one word settles; its sentences are told apart by ``key``."""
    return compose(
        SLEEPING,
        base.ref,
        verdict,
        finding(f"codes_place.sleeping_{key}"),
        finding(f"codes_place.sleeping_{key}_official"),
        (base,),
        required="" if verdict == "not applicable" else finding("codes_place.sleeping_required"),
        provided=finding(f"codes_place.sleeping_{key}_provided"),
        rests_on=rests_on,
    )


def check_garage_ignition_height(
    height_in: float | None,
    *,
    flammable_vapor_listed: bool | None = None,
    flame: Flame = "open",
    new_unit: bool = False,
) -> Check:
    """Check the height of the ignition source above a garage's floor: 18 in, unless listed against flammable vapor.

    Parameters
    ----------
    height_in : float or None
        From the floor to the burner's ignition source, inches.
    flammable_vapor_listed : bool or None
        Is the appliance listed as flammable-vapor ignition resistant? Then the height does not matter.
    flame : str
        Without a flame it stays unknown: whether elements and switches count as an ignition source is for the authority.
    new_unit : bool
        True for an appliance that is still to be chosen: its stand and its listing are open.
    """
    base = rule("garage_ignition_height_in")
    high = None if height_in is None else height_in >= base.typical
    known = (high, flammable_vapor_listed)
    # a listing that nobody looked for may still exempt a low one, and a height that nobody measured one without a listing
    ok = None if flame == "none" else True if True in known else None if None in known else False
    given: dict[str, Value] = {"height": quantity(height_in, "in", 1), "listed": _known(flammable_vapor_listed)}
    least = quantity(base.typical, "in")
    missing = (("ignition_height", high is None), ("vapor_listing", flammable_vapor_listed is None))
    still_open = ("new_unit_listing",) if new_unit else tuple(name for name, lacks in missing if lacks)
    key = "no_flame" if flame == "none" else "new_unit" if new_unit and ok is None else outcome(ok)
    return compose(
        "garage_ignition_height",
        base.ref,
        verdict_of(ok),
        finding(f"codes_place.ignition_{key}", least=least),
        finding("codes_place.ignition_official", least=least, **given),
        (base,),
        required=finding("codes_place.ignition_required", least=least),
        provided=finding("codes_place.ignition_provided", **given),
        rests_on=still_open if ok is None else (),
    )


def check_garage_vehicle_barrier(protected: bool | None) -> Check:
    """Check that a vehicle cannot hit the appliance in a garage: out of its way, or behind a barrier."""
    return _yes_or_no("garage_vehicle_barrier", "garage_vehicle_barrier", protected, "vehicle_barrier")


def check_garage_opening_to_dwelling(joined: bool | None, opens_to_bedroom: bool | None) -> Check:
    """Check that no grille or louver, and no door to a bedroom, joins a garage to the dwelling.

    Parameters
    ----------
    joined : bool or None
        Does a grille or a louvered door lead from the garage into the dwelling? None where nobody looked.
    opens_to_bedroom : bool or None
        Does the garage's door open into a bedroom?
    """
    base = rule("garage_opening_to_dwelling")
    ok = all_known(None if value is None else not value for value in (joined, opens_to_bedroom))
    given = {"joined": _known(joined), "bedroom": _known(opens_to_bedroom)}
    return compose(
        "garage_opening_to_dwelling",
        base.ref,
        verdict_of(ok),
        finding(f"codes_place.garage_opening_{outcome(ok)}"),
        finding("codes_place.garage_opening_official", **given),
        (base,),
        required=finding("codes_place.garage_opening_required"),
        provided=finding("codes_place.garage_opening_provided", **given),
        rests_on=("garage_openings",) if ok is None else (),
    )


def check_service_access(reachable: bool | None) -> Check:
    """Check that an appliance in an attic or crawl space can be reached, and has a level place to work at it."""
    return _yes_or_no("service_access", "service_access", reachable, "service_access")


def check_manufactured_home_listing(listed: bool | None, *, new_unit: bool = False) -> Check:
    """Check that the appliance in a manufactured home is listed for such homes; a new unit's listing is still open."""
    rests_on = "new_unit_listing" if new_unit else "manufactured_listing"
    return _yes_or_no("manufactured_home_listing", "manufactured_listing", listed, rests_on)


def check_manufactured_home_separate_air(flame: Flame, apart: bool | None = None) -> Check:
    """Check that the flame in a manufactured home is apart from the air of the living space.

    Parameters
    ----------
    flame : str
        A sealed appliance is apart; without a flame the rule does not apply.
    apart : bool or None
        For an open burner: does it stand in an enclosure that opens only outdoors and takes all its air there?
    """
    name = "manufactured_home_separate_air"
    if flame != "none":
        return _yes_or_no(name, "manufactured_separate_air", True if flame == "sealed" else apart, "door_opens_to")
    base = rule("manufactured_separate_air")
    return compose(
        name,
        base.ref,
        "not applicable",
        finding("codes_place.sleeping_no_flame"),
        finding("codes_place.sleeping_no_flame_official"),
        (base,),
        provided=finding("codes_place.sleeping_no_flame_provided"),
    )


def check_outdoor_protection(protected: bool | None, *, new_unit: bool = False) -> Check:
    """Check that an appliance outdoors is listed for outdoors or kept from the weather."""
    rests_on = "new_unit_listing" if new_unit else "weather_protection"
    return _yes_or_no("outdoor_protection", "outdoor_protection", protected, rests_on)
