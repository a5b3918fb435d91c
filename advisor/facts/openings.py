"""The openings of the heater's space to outdoors: their size, what their cover leaves free, and how they get there."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from advisor import catalog, units
from advisor.case.model import Case, listed
from advisor.case.parts import Opening
from advisor.codes import combustion_air as code

LOUVER = {"none": "none", "metal louver": "metal", "wood louver": "wood"}
"""Material of ``catalog/codes/rules_louvers.csv`` by cover; a screen stands in ``catalog/physics/covers.csv``."""
JURISDICTION = {"us": "us", "new york city": "nyc", "maker": "manual"}
"""Column of the same table by the case's ``louver_rule``."""


def louver_rule(case: Case) -> str:
    """Return whose louver shares apply to this case, as ``rules_louvers`` names them."""
    return JURISDICTION[case.settings.louver_rule]


@dataclass(frozen=True, slots=True)
class _Cover:
    """The free share of a cover whose maker states none (``covers``)."""

    cover: str
    free_share: float


def cover_share(cover: str, rule: str = "us") -> float:
    """Return the free share of a cover whose maker states none, 0 to 1.

    Louvers by the rule of the place (NFPA 54-2012 9.3.7.1 unless another is named); a clean screen by common practice,
    since no rule names a share for it.

    Raises
    ------
    KeyError
        If there is no such cover.
    """
    if cover in LOUVER:
        return code.louver_free_share(LOUVER[cover], rule).share
    return catalog.rows_by(_Cover, "covers", "cover")[cover].free_share


def gross_in2(opening: Opening) -> float | None:
    """Return the gross area of an opening, in2; None where nobody measured it."""
    if opening.area_in2 is None and opening.diameter_in is not None:
        return math.pi / 4.0 * opening.diameter_in**2
    return opening.area_in2


def stated_free_in2(opening: Opening) -> float | None:
    """Return the free area that the maker states, in2; None where nobody wrote it down."""
    return opening.free_area_in2


def free_in2(case: Case, opening: Opening) -> float | None:
    """Return the free area of an opening as found, in2; None when its size, its cover or its state is not known."""
    if opening.state != "open":
        return 0.0 if opening.state == "blocked" else None
    stated, gross = stated_free_in2(opening), gross_in2(opening)
    if stated is not None:
        return stated
    if gross is None or "cover" not in opening.model_fields_set:
        return None
    return gross * cover_share(opening.cover, louver_rule(case))


def starts_at(opening: Opening, position: str) -> bool | None:
    """Return whether an opening starts near enough the ceiling (``high``) or the floor (``low``); None: not known.

    The measured distance decides where there is one, else the word; one in the middle needs its distance.
    """
    distance_in = opening.below_ceiling_in if position == "high" else opening.above_floor_in
    if distance_in is not None:
        return distance_in <= code.rule("opening_within_in").typical
    if opening.position == position:
        return True
    return None if opening.position in (None, "middle") else False


def free_at_in2(case: Case, position: str) -> float | None:
    """Return the free area of outdoor openings at a height, in2; None when something about one of them is not known."""
    if case.opening is None:
        return None
    total = 0.0
    for opening in case.opening:
        if opening.state == "blocked":
            continue
        free, here = free_in2(case, opening), starts_at(opening, position)
        if here is None or (here and free is None):
            return None
        total += (free or 0.0) if here else 0.0
    return total


def cleared_in2(case: Case, opening: Opening) -> float | None:
    """Return the free area that an opening has once it is clear, in2; None when its size or its cover is not known."""
    return free_in2(case, opening.model_copy(update={"state": "open"}))


def duct_heads(area_in2: float, length_ft: float, elbows: float) -> float:
    """Return the pressure loss of a combustion-air duct in velocity heads: both ends, friction and elbows.

    Parameters
    ----------
    area_in2 : float
        Inside area; a duct that is not round counts as the round one of the same area.
    length_ft, elbows : float
        Length along its middle, and its 90-degree elbows.
    """
    ends, friction, elbow = (
        catalog.number("priors", f"opening_{what}") for what in ("duct_entry_loss", "duct_friction", "elbow_loss")
    )
    diameter_in = math.sqrt(4.0 * area_in2 / math.pi)
    return ends + friction * length_ft * units.M_PER_FT / (diameter_in * units.M_PER_IN) + elbow * elbows


def outdoor_path(case: Case) -> code.OpeningPath:
    """Return the path of the outdoor openings as found; horizontal ducts are the strictest."""
    kinds = {opening.kind for opening in listed(case.opening)}
    if "horizontal duct" in kinds:
        return "horizontal duct"
    return "vertical duct" if "vertical duct" in kinds else "direct"


def unknown_of_openings(case: Case) -> Iterator[str]:
    """Yield the ids (``catalog/codes/check_inputs.csv``) of what nobody gave about the openings to outdoors."""
    if case.opening is None:
        yield "openings"
    for opening in listed(case.opening):
        if opening.state == "blocked":
            continue
        given = {
            "opening_kind": "kind" in opening.model_fields_set,
            "opening_position": None not in (starts_at(opening, "high"), starts_at(opening, "low")),
            "opening_state": opening.state == "open",
            "opening_cover": stated_free_in2(opening) is not None or "cover" in opening.model_fields_set,
            "opening_area": stated_free_in2(opening) is not None or gross_in2(opening) is not None,
        }
        yield from (name for name, known in given.items() if not known)


def grilles_in2(case: Case) -> float | None:
    """Return the free area of all grilles to the house, in2: 0 for none; None where nobody looked."""
    return case.zone.grille_free_area_in2
