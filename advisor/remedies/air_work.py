"""What a plan of openings costs, says, is held against and changes: all read from the one record."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from advisor import catalog
from advisor.case.model import Case
from advisor.codes import combustion_air as code
from advisor.codes.check import Check
from advisor.codes.trade_sizes import TradeOpening
from advisor.ensemble.state import Array, State
from advisor.facts import burners, openings
from advisor.findings import Finding, Quantity, Value, Words, finding, quantity
from advisor.money.bill import BillLine
from advisor.remedies.air_plan import AirPiece, AirPlan, after_work, effective_m2
from advisor.remedies.base import Job, spread
from advisor.remedies.opening_rules import opening_checks


def rule_in(key: str) -> Quantity:
    """Return a length of the code, to be said."""
    return quantity(catalog.number("rules_combustion_air", key), "in", digits=2)


def _size_words(size: TradeOpening) -> Finding:
    if size.round_in is not None:
        return finding("remedies.air.round", size=quantity(size.round_in, "in"))
    return finding(
        "remedies.air.rectangular", width=quantity(size.width_in, "in"), height=quantity(size.height_in, "in")
    )


def parts_of(plan: AirPlan) -> tuple[Words, ...]:
    """Return the scope of a plan: one line for each piece, and what holds for all that is built to outdoors."""
    pieces = tuple(_part(plan, piece) for piece in plan.pieces)
    if plan.method == "rooms" or not plan.built:
        return pieces
    paths = {piece.path for piece in plan.built}
    kind = "horizontal" if "horizontal duct" in paths else "vertical" if "vertical duct" in paths else "holes"
    return (*pieces, finding(f"remedies.part.air_all_{kind}", mesh=rule_in("finest_screen_mesh_in")))


def _part(plan: AirPlan, piece: AirPiece) -> Finding:
    free = quantity(piece.free_in2, "in2", 0)
    where = finding(f"remedies.air.{piece.position}")
    if piece.size is None:
        return finding(f"remedies.part.air_{piece.work}", where=where, free=free)
    edge = finding(f"remedies.air.edge_{piece.position}", within=rule_in("opening_within_in"))
    values: dict[str, Value] = {"where": where, "size": _size_words(piece.size), "free": free, "edge": edge}
    if not piece.duct:
        kind = "grille" if piece.path == "indoor" else f"wall_{piece.work}"
        return finding(f"remedies.part.air_{kind}", **values)
    return finding(
        f"remedies.part.air_duct_{piece.work}",
        count=piece.elbows,
        length=quantity(piece.length_ft, "ft", 0),
        end=_end(plan, piece),
        **values,
    )


def _end(plan: AirPlan, piece: AirPiece) -> Finding:
    """Return where a duct ends, and in what."""
    place = plan.source.place if plan.source is not None and piece.work == "new" else "old"
    if piece.ends_in == "attic":
        return finding("remedies.air.end_attic")
    louver = quantity(piece.louver_in2, "in2", 0)
    if piece.ends_in == "crawl space":
        return finding("remedies.air.end_crawl_space", louver=louver)
    return finding(f"remedies.air.end_{place}", louver=louver, above=rule_in("intake_above_grade_in"))


def lines_of(job: Job, plan: AirPlan, *, assumed: bool = False) -> tuple[BillLine, ...]:
    """Return the priced lines of a plan: what is cleared, holes in the wall, and ducts by foot, elbow and end."""
    unsure = assumed or bool(plan.assumed)
    if plan.method == "rooms":
        return (_of_size(job.line("GRILLE_PAIR", assumed=assumed), plan.built),)
    walls, ducts = [p for p in plan.built if not p.duct], [p for p in plan.built if p.duct]
    lines = [job.line("CLEAR_AIR", assumed=assumed)] if plan.cleared else []
    if walls:
        lines.append(_of_size(job.line("AIR_WALL_OPENING", len(walls), assumed=unsure), walls))
    if ducts:
        foot = "AIR_DUCT_FT" if _small(ducts[0]) else "AIR_DUCT_LARGE_FT"
        run = job.line(foot, sum(p.length_ft for p in ducts), assumed=unsure)
        lines += [_of_size(run, ducts), _of_size(job.line("AIR_DUCT_END", len(ducts), assumed=unsure), ducts)]
        elbows = sum(p.elbows for p in ducts)
        lines += [_of_size(job.line("AIR_DUCT_ELBOW", elbows, assumed=unsure), ducts)] if elbows else []
    return tuple(lines)


def _small(duct: AirPiece) -> bool:
    round_in = None if duct.size is None else duct.size.round_in
    return round_in is not None and round_in <= catalog.number("air_routes", "small_duct_up_to_in")


def _of_size(line: BillLine, pieces: Sequence[AirPiece]) -> BillLine:
    """Return a line that names the size of its pieces, which all have the same."""
    size = pieces[0].size
    assert size is not None
    return replace(line, words=finding("money.of_size", what=line.words, size=_size_words(size)))


def checks_of(case: Case, plan: AirPlan) -> tuple[Check, ...]:
    """Return the rules held against the openings after the work: their area, then where they start and what they are of."""
    total = burners.space_input(case).total_btu_h
    if plan.method == "rooms":
        high, low = (piece.free_in2 for piece in plan.pieces)
        return (code.check_indoor_openings_same_story(total, high, low),)
    after = after_work(case, plan)
    high_in2, low_in2 = openings.free_at_in2(after, "high"), openings.free_at_in2(after, "low")
    if plan.method == "two":
        area = code.check_two_outdoor_openings(total, openings.outdoor_path(after), high_in2, low_in2)
    else:
        area = code.check_one_outdoor_opening(total, burners.connectors_in(case), high_in2)
    return (area, *opening_checks(after, one_opening=plan.method == "one"))


def openings_after(state: State, plan: AirPlan) -> State:
    """Return the situations with a plan carried out: new openings in place of what is replaced, what is there cleared."""
    left = 1.0 - state.zone.intake_blocked
    clear = 1.0 - np.minimum(state.zone.intake_blocked, spread(state, "cleared_intake_left_blocked"))

    def area(position: str, found: Array) -> Array:
        piece = next((p for p in plan.pieces if p.position == position), None)
        if piece is None:
            return found * left
        if not piece.built:
            return found * (clear if piece.work == "clear" else left)
        new = effective_m2(piece, state.zone.discharge)
        return new if piece.work == "enlarge" else found * left + new

    return replace(
        state,
        zone=replace(
            state.zone,
            opening_high_m2=area("high", state.zone.opening_high_m2),
            opening_low_m2=area("low", state.zone.opening_low_m2),
            intake_blocked=np.zeros(state.samples),
        ),
    )


def grilles_after(state: State, plan: AirPlan) -> State:
    """Return the situations with the grilles of a plan between the space and the adjoining rooms."""
    area = sum(effective_m2(piece, state.zone.discharge) for piece in plan.pieces)
    return replace(
        state,
        zone=replace(
            state.zone, link_closed_m2=state.zone.link_closed_m2 + area, link_open_m2=state.zone.link_open_m2 + area
        ),
        zone_isolated=False,
    )
