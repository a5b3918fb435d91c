"""Where new openings of the heater's space can get outdoor air: its own wall, above or below it, or a way through the house."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from advisor import catalog
from advisor.case.model import Case, listed
from advisor.case.parts import Opening
from advisor.codes.combustion_air import OpeningPath
from advisor.facts import services, space

End = Literal["outdoors", "attic", "crawl space"]
Place = Literal["wall", "attic", "crawl_space", "far_wall", "beside"]
"""An outside wall of the space; an attic above or crawl space below that is open to outdoors; an outside wall elsewhere in
the house; along the duct that is there."""


@dataclass(frozen=True, slots=True)
class AirSource:
    """The way from the heater's space to outdoor air.

    Parameters
    ----------
    place : Place
        Where the air comes from.
    path : {"direct", "vertical duct", "horizontal duct"}
        How it gets in.
    length_ft, elbows : float, int
        Way of a duct, without what it must rise or drop within the room; 0 for a hole in the wall.
    enters : {"high", "low"}
        At which height it comes into the space: to the other height a duct runs on, up or down, within it.
    ends_in : {"outdoors", "attic", "crawl space"}
        Where the outer end of an opening or duct is.
    assumed : frozenset of str
        Ids of ``catalog/codes/check_inputs.csv`` for which a usual value stands: ``outside_wall``, ``duct_route``.
    """

    place: Place
    path: OpeningPath
    length_ft: float = 0.0
    elbows: int = 0
    enters: Literal["high", "low"] = "high"
    ends_in: End = "outdoors"
    assumed: frozenset[str] = frozenset()


def air_source(case: Case) -> AirSource | None:
    """Return where new openings get their air; None where it is known that a duct is needed and nobody measured its way.

    In this order: along a duct that is there; a wall of the space, as known or as usual for its kind; an attic above or a
    crawl space below, only where the record says that it is open to outdoors; a horizontal duct to the nearest outside
    wall. Where nobody wrote down whether the space has an outside wall the duct stands, which asks for the larger area.
    """
    beside = _beside(case)
    if beside is not None:
        return beside
    wall, usual = space.outside_wall(case), space.usually_outside_wall(case)
    unsure = frozenset() if wall is not None else frozenset({"outside_wall"})
    if usual:
        return AirSource("wall", "direct", assumed=unsure)
    through_ft = catalog.number("air_routes", "through_the_ceiling_ft")
    if _attic(case):
        return AirSource("attic", "vertical duct", through_ft, ends_in="attic", assumed=unsure)
    if _crawl(case):
        return AirSource(
            "crawl_space", "vertical duct", through_ft, enters="low", ends_in="crawl space", assumed=unsure
        )
    # known to need a duct, and nobody measured its way: there is nothing that could be priced
    return None if services.wall_ft(case) is None and not unsure else far_wall(case, unsure)


def above_or_below(case: Case) -> bool:
    """Return whether an attic above or a crawl space below is known to be open to outdoors."""
    return _attic(case) or _crawl(case)


def _attic(case: Case) -> bool:
    return bool(case.zone.open_attic_above) or _ends_in(case, "attic")


def _crawl(case: Case) -> bool:
    return bool(case.zone.open_crawl_below) or _ends_in(case, "crawl space")


def _ends_in(case: Case, where: str) -> bool:
    """Return whether an opening that is there leads into an attic or crawl space: it is only one when that is open."""
    return any(o.ends_in == where for o in listed(case.opening))


def far_wall(case: Case, unsure: frozenset[str] = frozenset()) -> AirSource:
    """Return the way of a horizontal duct to the nearest outside wall: as measured, else usual and named as assumed.

    Parameters
    ----------
    unsure : frozenset of str
        What else is assumed (``AirSource.assumed``).
    """
    length_ft, elbows, _ = services.wall_route(case)
    route = frozenset({"duct_route"}) if length_ft is None or elbows is None else frozenset()
    return AirSource(
        "far_wall",
        "horizontal duct",
        catalog.number("air_routes", "usual_duct_ft") if length_ft is None else length_ft,
        _usual_elbows(length_ft) if elbows is None else int(elbows),
        assumed=unsure | route,
    )


def short(length_ft: float) -> bool:
    """Return whether a way is so short that a duct runs straight through, at the height of its opening."""
    return length_ft <= catalog.number("air_routes", "straight_up_to_ft")


def _usual_elbows(length_ft: float | None) -> int:
    if length_ft is not None and short(length_ft):
        return 0
    return int(catalog.number("air_routes", "usual_duct_elbows"))


def _beside(case: Case) -> AirSource | None:
    """Return the way of the longest duct that is there: a second one takes the same."""
    ducts = [o for o in listed(case.opening) if o.kind != "direct"]
    if not ducts:
        return None
    duct = max(ducts, key=lambda o: (o.kind == "horizontal duct", o.length_ft))
    length_ft, elbows, known = way_of(duct)
    enters: Literal["high", "low"] = "low" if duct.position == "low" else "high"
    unsure = frozenset() if known else frozenset({"duct_route"})
    return AirSource("beside", duct.kind, length_ft, elbows, enters, duct.ends_in or "outdoors", unsure)


def way_of(duct: Opening) -> tuple[float, int, bool]:
    """Return length in ft and elbows of a duct that is there, and whether both were written down."""
    given = duct.model_fields_set
    length_ft = duct.length_ft if "length_ft" in given else catalog.number("air_routes", "usual_duct_ft")
    elbows = duct.elbows if "elbows" in given else _usual_elbows(length_ft)
    return length_ft, elbows, {"length_ft", "elbows"} <= given
