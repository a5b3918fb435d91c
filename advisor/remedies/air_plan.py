"""Openings that can be built: one record from which the scope, the price, the checks and the simulation are read.

A plan is made from the case alone. What is there is used: it stays, is cleared or is made larger, and nothing is built
beside it that it could do.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from advisor import catalog, units
from advisor.case.model import Case, listed
from advisor.case.parts import Opening
from advisor.codes import combustion_air as code
from advisor.codes.trade_sizes import TradeOpening, next_trade_grille_in, trade_openings
from advisor.ensemble.state import Array
from advisor.facts import burners, openings, space
from advisor.facts.air_source import AirSource, End, air_source, far_wall, short, way_of
from advisor.findings import Finding, finding
from advisor.physics.flow import duct_effective_area

Position = Literal["high", "low"]
Method = Literal["two", "one", "rooms"]
Work = Literal["new", "enlarge", "clear", "keep"]
POSITIONS: dict[Method, tuple[Position, ...]] = {"two": ("high", "low"), "one": ("high",), "rooms": ("high", "low")}


@dataclass(frozen=True, slots=True)
class AirPiece:
    """One opening, duct or grille of a plan.

    Parameters
    ----------
    position : {"high", "low"}
        Near the ceiling or near the floor.
    path : {"direct", "vertical duct", "horizontal duct", "indoor"}
        A hole in the wall, a duct, or a grille to the adjoining rooms.
    work : {"new", "enlarge", "clear", "keep"}
        What is done; ``enlarge`` puts it in the place of the one that is there.
    size : TradeOpening or None
        Stock size; None for one that stays as it is.
    free_in2 : float
        Free area after the work, its louver allowed for.
    length_ft, elbows : float, int
        Of a duct.
    ends_in : {"outdoors", "attic", "crawl space"}
        Where its outer end is.
    louver_in2 : float or None
        Gross area of the louver at the outer end of a duct that leaves the duct's own area free; None without one.
    found : Opening or None
        The one that is there, where it is used.
    """

    position: Position
    path: code.OpeningPath | Literal["indoor"]
    work: Work
    size: TradeOpening | None
    free_in2: float
    length_ft: float = 0.0
    elbows: int = 0
    ends_in: End = "outdoors"
    louver_in2: float | None = None
    found: Opening | None = None

    @property
    def built(self) -> bool:
        """True where something is put in, and not only kept or cleared."""
        return self.work in ("new", "enlarge")

    @property
    def duct(self) -> bool:
        """True for a duct."""
        return self.path in ("vertical duct", "horizontal duct")


@dataclass(frozen=True, slots=True)
class AirPlan:
    """Openings worked out for a case.

    Parameters
    ----------
    method : {"two", "one", "rooms"}
        Two openings to outdoors, one, or two grilles to the adjoining rooms.
    path : {"direct", "vertical duct", "horizontal duct"}
        The strictest path among the pieces: it decides what the rule asks of each.
    need_in2 : float
        Free area that the rule asks of each piece.
    pieces : tuple of AirPiece
        High before low.
    source : AirSource or None
        Where outdoor air comes from; None for grilles.
    assumed : frozenset of str
        Ids of ``catalog/codes/check_inputs.csv`` for which a usual value stands in what can be built.
    """

    method: Method
    path: code.OpeningPath
    need_in2: float
    pieces: tuple[AirPiece, ...]
    source: AirSource | None = None
    assumed: frozenset[str] = frozenset()

    @property
    def built(self) -> tuple[AirPiece, ...]:
        """The pieces that are put in."""
        return tuple(piece for piece in self.pieces if piece.built)

    @property
    def cleared(self) -> tuple[AirPiece, ...]:
        """The pieces that are there and must be cleared."""
        return tuple(piece for piece in self.pieces if piece.work == "clear")

    def at(self, position: Position) -> AirPiece | None:
        """Return the piece at a height, or None."""
        return next((piece for piece in self.pieces if piece.position == position), None)


def plan(case: Case, method: Method) -> AirPlan | Finding:
    """Return the plan of a method, or why it cannot be built here (``remedies.not_here.*``)."""
    if method != "rooms" and air_source(case) is None:
        return finding("remedies.not_here.way_not_measured")
    made = as_done(case, method)
    if any(piece.size is None for piece in made.built):
        return finding("remedies.not_here.no_trade_size")
    return made


def as_done(case: Case, method: Method) -> AirPlan:
    """Return what a method comes to once somebody has carried it out: by the usual way where the record shows none.

    A piece without a size is as large as the rule asks.
    """
    return _rooms(case) if method == "rooms" else _outdoors(case, method)


def _outdoors(case: Case, method: Method) -> AirPlan:
    source = air_source(case) or far_wall(case)
    path = _strictest(case, source, method)
    need = _need_in2(case, method, path)
    used = _same_ducts([_piece(case, source, position, need) for position in POSITIONS[method]])
    # a usual way counts only where something new takes it
    assumed = source.assumed if any(piece.work == "new" for piece in used) else frozenset()
    return AirPlan(method, path, need, used, source, assumed)


def _need_in2(case: Case, method: Method, path: code.OpeningPath) -> float:
    total = burners.space_input(case).total_btu_h
    if method == "two":
        return code.two_outdoor_opening_in2(total, path)
    return code.one_outdoor_opening_in2(total, burners.connectors_in(case))


def _strictest(case: Case, source: AirSource, method: Method) -> code.OpeningPath:
    """Return the strictest path among what may be used and what may be built: horizontal before vertical before direct."""
    paths = {_new_path(case, source, position) for position in POSITIONS[method]}
    paths |= {found.kind for position in POSITIONS[method] if (found := _there(case, position)) is not None}
    return next(path for path in reversed(code.PATHS) if path in paths)


def _there(case: Case, position: Position) -> Opening | None:
    """Return the opening of the case that can serve at a height: the largest; one whose height is not sure never does."""
    found = [o for o in listed(case.opening) if o.position != "middle" and openings.starts_at(o, position)]
    return max(found, key=lambda o: openings.cleared_in2(case, o) or 0.0, default=None)


def _piece(case: Case, source: AirSource, position: Position, need_in2: float) -> AirPiece:
    """Return what serves at a height: what is there when it is large enough, else a larger one in its place, or a new one."""
    found = _there(case, position)
    if found is None:
        path = _new_path(case, source, position)
        length_ft, elbows = _new_way(case, source, position)
        return _sized(case, AirPiece(position, path, "new", None, need_in2, length_ft, elbows, source.ends_in))
    free = openings.cleared_in2(case, found)
    length_ft, elbows, _ = way_of(found) if found.kind != "direct" else (0.0, 0, True)
    if free is not None and free >= need_in2:
        work: Work = "keep" if found.state == "open" else "clear"
        return AirPiece(position, found.kind, work, None, free, length_ft, elbows, found=found)
    end = found.ends_in or "outdoors"
    return _sized(case, AirPiece(position, found.kind, "enlarge", None, need_in2, length_ft, elbows, end, found=found))


def _new_path(case: Case, source: AirSource, position: Position) -> code.OpeningPath:
    # a hole in the wall near a floor below grade would lead into the ground: a duct drops from above grade instead
    dropped = source.path == "direct" and position == "low" and space.below_grade(case)
    return "horizontal duct" if dropped else source.path


def _new_way(case: Case, source: AirSource, position: Position) -> tuple[float, int]:
    """Return length and elbows of a new duct: the way to its source, and within the space from one height to the other."""
    path = _new_path(case, source, position)
    if path == "direct":
        return 0.0, 0
    straight = source.path == "horizontal duct" and short(source.length_ft) and not space.below_grade(case)
    if position == source.enters or straight:
        return source.length_ft, source.elbows
    return source.length_ft + space.ceiling_ft(case), source.elbows + int(path == "horizontal duct")


def _louver_share(case: Case) -> float:
    return code.louver_free_share("metal", openings.louver_rule(case)).share


def _sized(case: Case, piece: AirPiece) -> AirPiece:
    """Return a piece in the smallest stock size that the rule allows; without a size where none is large enough."""
    share = 1.0 if piece.duct else _louver_share(case)
    large = (
        size
        for size in trade_openings()
        if size.inside_in2 * share >= piece.free_in2
        and size.least_side_in >= code.rule("least_dimension_in").typical
        and (not piece.duct or _passes(size.inside_in2, piece))
    )
    size = next(large, None)
    if size is None:
        return piece
    # a duct ends in a louver larger than itself, so its own area is free; in an attic it ends open
    louver = size.inside_in2 / _louver_share(case) if piece.duct and piece.ends_in != "attic" else None
    return replace(piece, size=size, free_in2=size.inside_in2 * share, louver_in2=louver)


def _passes(area_in2: float, piece: AirPiece) -> bool:
    """Return whether a duct of this area passes at its length as much as the rule's area does at the usual one."""
    usual = [catalog.number("air_routes", f"rule_covers_{what}") for what in ("ft", "elbows")]
    asked = piece.free_in2 / math.sqrt(openings.duct_heads(piece.free_in2, *usual))
    return area_in2 / math.sqrt(openings.duct_heads(area_in2, piece.length_ft, piece.elbows)) >= asked


def _same_ducts(pieces: Sequence[AirPiece]) -> tuple[AirPiece, ...]:
    """Return the pieces with all new ducts in the largest size among them: nobody buys two sizes."""
    ducts = [piece for piece in pieces if piece.duct and piece.built]
    if not ducts:
        return tuple(pieces)
    largest = max(ducts, key=lambda piece: piece.free_in2)

    def alike(piece: AirPiece) -> AirPiece:
        if piece not in ducts:
            return piece
        louver = None if piece.louver_in2 is None else piece.louver_in2 / piece.free_in2 * largest.free_in2
        return replace(piece, size=largest.size, free_in2=largest.free_in2, louver_in2=louver)

    return tuple(alike(piece) for piece in pieces)


def _rooms(case: Case) -> AirPlan:
    need = code.same_story_opening_in2(burners.space_input(case).total_btu_h)
    found = next_trade_grille_in(code.gross_area_in2(need, "metal", openings.louver_rule(case)))
    size = None if found is None else TradeOpening(width_in=found[0], height_in=found[1])
    free = need if size is None else size.inside_in2 * _louver_share(case)
    pieces = tuple(AirPiece(position, "indoor", "new", size, free) for position in POSITIONS["rooms"])
    return AirPlan("rooms", "direct", need, pieces)


def effective_m2(piece: AirPiece, discharge: Array) -> Array:
    """Return the area of the sharp opening that passes as much as a piece does, m2, by the discharge of each situation.

    Parameters
    ----------
    discharge : array
        Discharge coefficient, (n,).
    """
    area = np.full_like(discharge, piece.free_in2 * units.M2_PER_IN2)
    if not piece.duct:
        return area
    heads = openings.duct_heads(piece.free_in2, piece.length_ft, piece.elbows)
    return duct_effective_area(area, np.full_like(discharge, heads), discharge)


def after_work(case: Case, made: AirPlan) -> Case:
    """Return the case with the openings to outdoors of a plan in place of what was found: what the rules are held against.

    An opening that was there and is not used drops out: it could only add to what is held.
    """
    return case.model_copy(update={"opening": [_as_opening(piece) for piece in made.pieces if piece.path != "indoor"]})


def _as_opening(piece: AirPiece) -> Opening:
    if piece.found is not None and not piece.built:
        return piece.found.model_copy(update={"state": "open"})
    assert piece.size is not None
    edge = "below_ceiling_in" if piece.position == "high" else "above_floor_in"
    found: dict[str, object] = {
        "name": piece.position,
        "kind": piece.path,
        "position": piece.position,
        edge: code.rule("opening_within_in").typical,
        "ends_in": piece.ends_in,
        "state": "open",
        "cover": "none",
    }
    found |= (
        {"area_in2": piece.size.inside_in2} if piece.size.round_in is None else {"diameter_in": piece.size.round_in}
    )
    if piece.louver_in2 is not None or not piece.duct:
        mesh = code.rule("finest_screen_mesh_in").typical
        found |= {"cover": "metal louver", "free_area_in2": piece.free_in2, "screen_mesh_in": mesh}
    if piece.duct:
        found |= {"length_ft": piece.length_ft, "elbows": piece.elbows, "duct_material": "galvanized steel"}
        found |= {"serves_one_space": True, "own_duct": True, "falls_outward": False}
    if piece.duct and piece.ends_in == "outdoors":
        found["above_grade_in"] = code.rule("intake_above_grade_in").typical
    return Opening.model_validate(found)
