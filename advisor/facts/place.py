"""Where the heater stands and what that asks of it: the clauses of ``codes.places`` held against a case, for any air.

The same checks serve the house as found (an open burner in the air of its room) and every option (by what its flame takes
its air from). A clause that fails and was read, is quoted or known from trade practice bars; one from memory asks for a
confirmation and bars nothing.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

from advisor import catalog
from advisor.case.model import Case
from advisor.codes import combustion_air as air_rules
from advisor.codes import places
from advisor.codes.check import Check
from advisor.codes.compose import all_known
from advisor.codes.unknown import where_given
from advisor.facts import burners, openings
from advisor.facts.space import apart, opens_outdoors

AirFrom = Literal["room", "outdoors", "isolated", "sealed", "none"]
"""What a flame takes its air from: the room as it is; the room, which new openings join to outdoors; the same behind a
solid tight self-closing door; a sealed path of its own; or there is no flame."""
STRONGEST: tuple[AirFrom, ...] = ("none", "sealed", "isolated", "outdoors", "room")
"""What work done together ends up with: the first of these that a part of it brings."""
OWN_SPACE = ("closet", "utility room")
"""Kinds of space that may open into any room: what they open to is asked, and not known until it is written down."""
ROOM_AIR = ("standard_volume", "known_rate_volume", "combination", "mechanical_supply")
BETWEEN_ROOMS = ("indoor_same_story", "indoor_other_story")
"""Methods of ``codes.air_methods`` that take air from the space itself, and from other rooms of the house."""
IN_THE_ROOM = ("kitchen", "open plan")
"""Kinds of space without walls of their own: what is said of a bedroom there makes the space itself one."""


@dataclass(frozen=True, slots=True)
class Work:
    """What the catalog says of the air of an option (``remedies``).

    Parameters
    ----------
    id : str
        Option.
    keeps_heater : bool
        Does the heater stay?
    air_from : str
        As ``AirFrom``.
    """

    id: str
    keeps_heater: bool
    air_from: AirFrom


@dataclass(frozen=True, slots=True)
class Burns:
    """The appliance whose place is judged.

    Parameters
    ----------
    air_from : str
        As ``AirFrom``.
    new_unit : bool
        True for an appliance that is still to be chosen.
    outdoor_air : bool or None
        Do the openings that the work brings meet a rule for outdoor air? Asked where ``air_from`` says they bring it.
    """

    air_from: AirFrom = "room"
    new_unit: bool = False
    outdoor_air: bool | None = None

    @property
    def flame(self) -> places.Flame:
        """What the codes ask about."""
        return "sealed" if self.air_from == "sealed" else "none" if self.air_from == "none" else "open"


AS_FOUND = Burns()


def work_of(option_id: str) -> Work:
    """Return what an option, or several joined by ``+``, ends up with.

    Raises
    ------
    KeyError
        If there is no such option.
    """
    rows = catalog.rows_by(Work, "remedies", "id")
    parts = [rows[part] for part in option_id.split("+")]
    brought = {part.air_from for part in parts}
    return Work(option_id, all(part.keeps_heater for part in parts), next(air for air in STRONGEST if air in brought))


def private_room(case: Case) -> places.Place | None:
    """Return where the heater stands as the rule of bedrooms and bathrooms takes it; None where nobody said it.

    A closet or utility room may open into any room, so the record has to say into which. A garage has doors of its own: its
    door to a bedroom is another rule.
    """
    zone = case.zone
    if zone.kind in ("bedroom", "bathroom"):
        return "bedroom" if zone.kind == "bedroom" else "bathroom"
    beside = zone.opens_to in ("bedroom", "bathroom") and zone.kind != "garage"
    if beside or zone.bedroom_or_bath:
        if zone.kind not in IN_THE_ROOM:
            return "closet"
        return "bathroom" if zone.opens_to == "bathroom" else "bedroom"
    asked = zone.kind in OWN_SPACE and zone.door != "none"
    return None if asked and zone.opens_to is None and zone.bedroom_or_bath is None else "other"


def takes_private_air(case: Case) -> bool:
    """Return whether the record shows that the heater's space shares the air of a bedroom or bathroom."""
    return private_room(case) not in ("other", None)


def not_known_to_be_listed(case: Case, work: str | None = None) -> bool:
    """Return whether the heater of the record stands in a manufactured home and is not known to be listed for such homes."""
    there = work is None or work_of(work).keeps_heater
    return bool(there and case.house.manufactured and case.heater.listed_for_manufactured is not True)


def ways_barred(case: Case) -> tuple[str, ...]:
    """Return the methods of combustion air (``codes.air_methods``) that the place rules out, whatever their sizes.

    Beside a bedroom or bathroom, in a manufactured home and outdoors all air comes from outdoors; no grille joins a garage,
    attic or crawl space to the rooms of the house.
    """
    if takes_private_air(case) or case.house.manufactured or case.zone.kind == "outdoors":
        return (*ROOM_AIR, *BETWEEN_ROOMS)
    return BETWEEN_ROOMS if apart(case) or opens_outdoors(case) else ()


def joined_to_house(case: Case) -> bool | None:
    """Return whether a grille, a louvered door or an open passage joins the space to the house; None where nobody looked."""
    zone = case.zone
    if opens_outdoors(case) and zone.grille_free_area_in2 is None:
        return False if zone.kind == "outdoors" else None
    if zone.door in ("louvered", "none") and not opens_outdoors(case):
        return True
    grille = openings.grilles_in2(case)
    if grille is not None and grille > 0.0:
        return True
    return None if grille is None or (zone.door is None and not opens_outdoors(case)) else False


def outdoor_air_as_found(case: Case) -> bool | None:
    """Return whether the openings as found meet a rule for outdoor air; None where what it rests on is not known."""
    if case.opening is None:
        return None
    if not case.opening:
        return False
    heat = burners.space_input(case).total_btu_h
    high, low = openings.free_at_in2(case, "high"), openings.free_at_in2(case, "low")
    assumed = {*burners.unknown_of_burners(case), *openings.unknown_of_openings(case)}
    found = (
        air_rules.check_two_outdoor_openings(heat, openings.outdoor_path(case), high, low),
        air_rules.check_one_outdoor_opening(heat, burners.connectors_in(case), high),
    )
    verdicts = {where_given(check, assumed).verdict for check in found}
    return True if "pass" in verdicts else None if "unknown" in verdicts else False


def _all_air_from_outdoors(case: Case, burns: Burns) -> bool | None:
    if burns.air_from == "isolated":
        return burns.outdoor_air
    joined = joined_to_house(case)
    enough = outdoor_air_as_found(case) if burns.air_from == "room" else burns.outdoor_air
    return all_known((None if joined is None else not joined, enough))


def _tight_door(case: Case, burns: Burns) -> bool | None:
    if burns.air_from == "isolated":
        return True
    zone = case.zone
    return None if zone.door is None else zone.door_self_closing if zone.door == "weatherstripped" else False


def _sleeping_room(case: Case, burns: Burns) -> Iterator[Check]:
    room = private_room(case)
    if room == "other":
        return
    yield places.check_sleeping_room(
        room,
        flame=burns.flame,
        all_air_from_outdoors=_all_air_from_outdoors(case, burns),
        self_closing_tight_door=_tight_door(case, burns),
    )


def _garage(case: Case, burns: Burns) -> Iterator[Check]:
    zone, new = case.zone, burns.new_unit
    if zone.kind != "garage":
        return
    yield places.check_garage_ignition_height(
        None if new else zone.ignition_height_in,
        flammable_vapor_listed=None if new else case.heater.flammable_vapor_listed,
        flame=burns.flame,
        new_unit=new,
    )
    yield places.check_garage_vehicle_barrier(zone.vehicle_barrier)
    if burns.flame == "open":
        joined = False if burns.air_from == "isolated" else joined_to_house(case)
        bedroom = None if zone.opens_to is None else zone.opens_to == "bedroom"
        yield places.check_garage_opening_to_dwelling(joined, bedroom)


def _attic_or_crawl_space(case: Case, _: Burns) -> Iterator[Check]:
    if case.zone.kind in ("attic", "crawl space"):
        yield places.check_service_access(case.zone.service_access)


def _manufactured(case: Case, burns: Burns) -> Iterator[Check]:
    if not case.house.manufactured:
        return
    listed = None if burns.new_unit else case.heater.listed_for_manufactured
    yield places.check_manufactured_home_listing(listed, new_unit=burns.new_unit)
    outside = True if opens_outdoors(case) else None if case.zone.opens_to is None else False
    apart = all_known((outside, _all_air_from_outdoors(case, burns)))
    yield places.check_manufactured_home_separate_air(burns.flame, apart)


def _outdoors(case: Case, burns: Burns) -> Iterator[Check]:
    if case.zone.kind == "outdoors":
        known = case.zone.weather_protected
        # an enclosure keeps the weather off the next heater too; the label of the old one says nothing of the new one
        yield places.check_outdoor_protection(None if burns.new_unit else known, new_unit=burns.new_unit)


CLAUSES = (_sleeping_room, _garage, _attic_or_crawl_space, _manufactured, _outdoors)


def place_checks(case: Case, burns: Burns = AS_FOUND) -> tuple[Check, ...]:
    """Return every clause about the place that applies, in a fixed order; unknown where it rests on what nobody gave.

    Parameters
    ----------
    case : Case
        What was found.
    burns : Burns
        The appliance that stands there: the heater as found unless another is given.
    """
    found = (check for clause in CLAUSES for check in clause(case, burns))
    return tuple(replace(c, missing=c.rests_on) if c.verdict == "unknown" else c for c in found)


def _now(case: Case, work: str | None) -> tuple[Check, ...]:
    """Return the clauses that fail for the heater as it stands now, after the work that was done."""
    if work is None:
        return tuple(c for c in place_checks(case) if c.verdict == "fail")
    done = work_of(work)
    burns = Burns(done.air_from, new_unit=not done.keeps_heater)
    return tuple(c for c in place_checks(case, burns) if c.verdict == "fail")


def barred_by_place(case: Case, work: str | None = None) -> tuple[Check, ...]:
    """Return the failed clauses that bar the heater where it stands, whatever a test shows.

    Parameters
    ----------
    case : Case
        What was found.
    work : str, optional
        Option that was carried out since; None for the heater as found.
    """
    return tuple(c for c in _now(case, work) if c.status != "memory")


def place_to_confirm(case: Case, work: str | None = None) -> tuple[Check, ...]:
    """Return the failed clauses that were not read: they bar nothing, and the authority is asked."""
    return tuple(c for c in _now(case, work) if c.status == "memory")
