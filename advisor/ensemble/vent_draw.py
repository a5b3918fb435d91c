"""Draw the vent: sizes as found or from priors, heat loss by wall, loss coefficients, hidden blockages, terminal."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from advisor import catalog, units
from advisor.case.model import Case
from advisor.ensemble.faults import choose_fault, prior_numbers
from advisor.ensemble.state import Array, VentState
from advisor.ensemble.uniforms import Uniforms, triangular
from advisor.ensemble.unknown_draw import shared_there, starts_reversed
from advisor.facts.burners import by_fan, connector_in, hood_in, on_the_vent, outlet_in, shared_with, usual_outlet_in


@dataclass(frozen=True, slots=True)
class _Wall:
    """Where the numbers of a vent's wall stand (``vent_walls``)."""

    wall: str
    u_table_row: str
    heat_capacity_key: str


@dataclass(frozen=True, slots=True)
class _HeatTransfer:
    """Overall heat transfer of a kind of wall (``vent_heat_transfer``)."""

    wall: str
    u_typical_w_m2k: float


def wall(name: str) -> tuple[float, float]:
    """Return U (W/m2K) and heat capacity (J/m2K) of a vent wall from ``catalog/physics/vent_walls.csv``."""
    row = catalog.rows_by(_Wall, "vent_walls", "wall")[name]
    transfer = catalog.rows_by(_HeatTransfer, "vent_heat_transfer", "wall")[row.u_table_row]
    return transfer.u_typical_w_m2k, catalog.number("priors", row.heat_capacity_key)


def draw_vent(case: Case, u: Uniforms, draft_offset_pa: Array) -> tuple[VentState, Array]:
    """Draw everything about connector, vertical vent and terminal; returns the arrays and a log weight."""
    vent = case.vent
    connector = connector_in(case)
    vertical = vent.vertical or "type b"
    foot, inch2 = units.M_PER_FT, units.M2_PER_IN2
    if vent.flue_area_in2 is not None:
        area = np.full(u.samples, vent.flue_area_in2) * inch2
    elif vent.diameter_in is not None:
        area = np.full(u.samples, np.pi / 4.0 * vent.diameter_in**2) * inch2
    elif vertical == "masonry":
        area = u.prior("flue_area", "masonry_flue_area_in2") * inch2
    else:
        area = np.full(u.samples, np.pi / 4.0 * connector**2) * inch2
    square = vertical == "masonry" and vent.diameter_in is None
    perimeter = 4.0 * np.sqrt(area) if square else np.sqrt(4.0 * np.pi * area)
    height = u.known_or(vent.height_ft, "height", "vent_height_ft") * foot
    rise = np.minimum(u.known_or(vent.connector_rise_ft, "rise", "connector_rise_ft") * foot, 0.9 * height)
    length = u.known_or(vent.connector_length_ft, "connector_length", "connector_length_ft") * foot
    if vent.connector_length_ft is None and vent.connector_lateral_ft is not None:
        length = rise + vent.connector_lateral_ft * foot
    elbows = (
        np.full(u.samples, float(vent.connector_elbows))
        if vent.connector_elbows is not None
        else np.round(u.prior("elbows", "connector_elbows"))
    )
    connector_u, connector_capacity = wall(vent.connector or "single wall")
    vertical_u, vertical_capacity = wall(vertical)
    spread_c, spread_v = u.prior("u_connector", "u_spread"), u.prior("u_vertical", "u_spread")
    outside = bool(vent.exterior)
    exterior = u.prior("exterior", "exterior_share_exterior" if outside else "exterior_share_interior")
    if vertical == "lined masonry":
        exterior = exterior * catalog.number("priors", "masonry_gap_cool_share")
    blocked, weight = _blockage(case, u)
    terminal, fault_weight = _terminal(case, u)
    one = np.ones(u.samples)
    return VentState(
        connector_area_m2=one * (np.pi / 4.0 * connector**2 * inch2),
        vertical_area_m2=area,
        vertical_perimeter_m=perimeter,
        connector_length_m=np.maximum(length, 0.05),
        connector_rise_m=rise,
        connector_elbows=elbows,
        connector_elbows_45=one * vent.connector_elbows_45,
        height_m=height,
        hood_height_m=u.prior("hood_height", "hood_height_ft") * foot,
        hood_k=u.prior("hood_k", "hood_k"),
        elbow_k=u.prior("elbow_k", "elbow_k"),
        elbow_45_k=u.prior("elbow_k", "elbow_45_k"),
        cap_k=u.prior("cap_k", f"cap_k_{vent.cap or 'listed'}"),
        friction=u.prior("friction", "friction_factor"),
        corrugation=one,
        blocked=blocked,
        connector_u=connector_u * spread_c,
        vertical_u=vertical_u * spread_v,
        connector_capacity=one * connector_capacity,
        vertical_capacity=one * vertical_capacity,
        film=u.prior("film", "film_w_m2k"),
        exterior_share=exterior,
        dilution_ratio=_shared_ratio(case, u),
        shared_gain_k=u.prior("shared_gain", "shared_firing_gain_k") * (1.0 if on_the_vent(case) else 0.0),
        terminal_cp=terminal,
        gust_cp=u.prior("gust_cp", "gusty_terminal_cp", "conditions"),
        inducer_pa=np.zeros(u.samples),
        draft_offset_pa=draft_offset_pa,
        starts_reversed=starts_reversed(u),
    ), weight + fault_weight


def _blockage(case: Case, u: Uniforms) -> tuple[Array, Array]:
    amount = u.column("vent_amount")
    part = triangular(amount, *prior_numbers("vent_partly_blocked_fraction"))
    full = triangular(amount, *prior_numbers("vent_blocked_fraction"))
    state = case.vent.condition
    none = np.zeros(u.samples)
    if state == "partly blocked":
        return part, none
    if state in ("blocked", "disconnected"):
        return full, none
    factor = 1.0
    if state == "clear" or case.vent.inspected:
        factor = catalog.number("priors", "vent_inspected_factor")
    partly = catalog.number("priors", "vent_prob_partly_blocked") * factor
    fully = catalog.number("priors", "vent_prob_blocked") * factor
    kind, weight = choose_fault(u.column("vent_state"), (partly, fully))
    return np.where(kind == 2, full, np.where(kind == 1, part, 0.0)), weight


def _terminal(case: Case, u: Uniforms) -> tuple[Array, Array]:
    kind, weight = choose_fault(u.column("terminal_fault"), (catalog.number("priors", "terminal_fault_prob"),))
    usual = u.prior("terminal", "terminal_cp_listed" if case.vent.cap == "listed" else "terminal_cp_other")
    bad = triangular(u.column("terminal"), *prior_numbers("terminal_fault_cp"))
    return np.where(kind == 1, bad, usual), weight


def _shared_ratio(case: Case, u: Uniforms) -> Array:
    """Cold air through an idle natural-draft appliance's hood per flow from the heater's: area ratio times openness."""
    shared = shared_with(case)
    if shared is not None and by_fan(shared):
        return np.zeros(u.samples)
    if shared is None:
        there, outlet = shared_there(case, u), usual_outlet_in(catalog.number("priors", "shared_unknown_input_btu_h"))
    else:
        there = np.ones(u.samples)
        outlet = outlet_in(shared)
    return there * min((outlet / hood_in(case)) ** 2, 4.0) * u.prior("shared_share", "shared_hood_area_share")
