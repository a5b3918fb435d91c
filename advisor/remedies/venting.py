"""Remedies at the vent: clear it, correct the connector, a new Type B vent, a liner, a better top, an inducer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from advisor import catalog, units
from advisor.codes.unknown import measure_first
from advisor.codes.vent_sizing import choose_single_vent
from advisor.codes.vent_types import SingleVent
from advisor.ensemble.state import Array, State
from advisor.ensemble.vent_draw import wall
from advisor.facts import burners, services
from advisor.findings import Words, finding, quantity
from advisor.remedies import vent_facts
from advisor.remedies.base import Job, Remedy, Sized, effect, permit, spread

NEW_VENT = ("hood", "height", "lateral")
"""What a new vent or liner is sized from."""


def _shared(job: Job) -> tuple[Words, ...]:
    if services.shares_vent(job.case):
        return (finding("remedies.not_here.vent_shared"),)
    return ()


def _clear_needed(job: Job) -> tuple[Words, ...]:
    vent = job.case.vent
    if vent.inspected and vent.condition == "clear":
        return (finding("remedies.not_here.vent_clear"),)
    return ()


def _clear(state: State, _: Job) -> State:
    left = np.minimum(state.vent.blocked, spread(state, "cleared_vent_left_blocked"))
    return replace(state, vent=replace(state.vent, blocked=left))


def _size_clear(_job: Job) -> Sized:
    job = _job
    lines = [job.line("VENT_CLEAN")]
    if job.case.vent.cap in (None, "none"):
        lines.append(job.line("CAP", assumed=job.case.vent.cap is None))
    return Sized(tuple(lines), (finding("remedies.part.vent_cleared"),))


def _connector_poor(job: Job) -> tuple[Words, ...]:
    vent = job.case.vent
    good = (
        vent.connector == "type b"
        and (vent.connector_elbows or 0) <= effect("corrected_elbows")
        and (vent.connector_rise_ft or 0.0) >= effect("good_connector_rise_ft")
        and (vent.connector_lateral_ft or 0.0) <= effect("good_connector_lateral_ft")
    )
    return (finding("remedies.not_here.connector_good"),) if good else ()


def _correct(state: State, job: Job) -> State:
    connector_u, capacity = wall("type b")
    hood = burners.hood_in(job.case)
    area = np.pi / 4.0 * (hood * units.M_PER_IN) ** 2
    gain = spread(state, "corrected_rise_gain_ft") * units.M_PER_FT
    rise = np.minimum(state.vent.connector_rise_m + gain, 0.9 * state.vent.height_m)
    return replace(
        state,
        vent=replace(
            state.vent,
            connector_u=np.minimum(state.vent.connector_u, connector_u * np.ones(state.samples)),
            connector_capacity=np.full(state.samples, capacity),
            connector_area_m2=np.maximum(state.vent.connector_area_m2, area),
            connector_rise_m=rise,
            connector_elbows=np.minimum(state.vent.connector_elbows, effect("corrected_elbows")),
            connector_length_m=np.maximum(state.vent.connector_length_m, rise),
        ),
    )


def _size_connector(job: Job) -> Sized:
    hood = burners.hood_in(job.case)
    slope = quantity(catalog.number("rules_venting", "connector_slope_in_per_ft"), "in_per_ft", digits=2)
    elbows = quantity(effect("corrected_elbows"), "count")
    part = finding("remedies.part.connector", size=quantity(hood, "in"), slope=slope, count=elbows)
    return Sized((job.line("VENT_CONN"),), (part, *_assumed_parts(job, vent_facts.single_vent(job.case), ("hood",))))


def _roof(job: Job) -> tuple[Words, ...]:
    reasons = list(_shared(job))
    if job.case.services.roof_route is False:
        reasons.append(finding("remedies.not_here.no_roof_route"))
    return tuple(reasons)


def _round(area_in: float, state: State) -> tuple[Array, Array]:
    area = np.full(state.samples, np.pi / 4.0 * (area_in * units.M_PER_IN) ** 2)
    return area, np.sqrt(4.0 * np.pi * area)


def _assumed_parts(job: Job, vent: SingleVent, names: Sequence[str]) -> tuple[Words, ...]:
    """Return the part of the quote that says which sizes rest on usual values, and what to find out first."""
    found = [name for name in names if name in vent.assumed]
    if burners.sharing_unknown(job.case):
        found.append("shared")
    return measure_first(found)


def _size_of(job: Job, material: str) -> float:
    choice = choose_single_vent(vent_facts.single_vent(job.case, material, elbows=2))
    return choice.diameter_in or burners.usual_outlet_in(job.case.heater.input_btu_h)


def _type_b(state: State, job: Job) -> State:
    size = _size_of(job, "type B")
    area, perimeter = _round(size, state)
    u_value, capacity = wall("type b")
    base = _correct(replace(state, vent=replace(state.vent, blocked=np.zeros(state.samples))), job)
    return replace(
        base,
        vent=replace(
            base.vent,
            vertical_area_m2=area,
            vertical_perimeter_m=perimeter,
            vertical_u=np.full(state.samples, u_value),
            vertical_capacity=np.full(state.samples, capacity),
            exterior_share=np.minimum(state.vent.exterior_share, effect("new_vent_exterior_share")),
            cap_k=np.minimum(state.vent.cap_k, effect("new_cap_loss")),
            corrugation=np.ones(state.samples),
            dilution_ratio=np.zeros(state.samples),
            terminal_cp=np.minimum(state.vent.terminal_cp, 0.0),
        ),
    )


def _size_type_b(job: Job) -> Sized:
    vent = vent_facts.single_vent(job.case, "type B", elbows=2)
    choice = choose_single_vent(vent)
    size = choice.diameter_in or burners.hood_in(job.case)
    height = job.case.vent.height_ft or effect("new_vent_length_ft")
    parts = (
        finding("remedies.part.type_b_vent", size=quantity(size, "in"), height=quantity(height, "ft", digits=0)),
        choice.words,
        *_assumed_parts(job, vent, NEW_VENT),
    )
    lines = (job.line("BVENT_JOB"), permit(job), job.line("CAP_OFF", assumed=True))
    return Sized(lines, parts, choice.checks)


def _masonry(job: Job) -> tuple[Words, ...]:
    reasons = list(_shared(job))
    if job.case.vent.vertical not in ("masonry", None):
        reasons.append(finding("remedies.not_here.not_masonry"))
    elif job.case.vent.vertical is None:
        reasons.append(finding("remedies.not_here.vent_material_unknown"))
    return tuple(reasons)


def _liner(state: State, job: Job) -> State:
    area, perimeter = _round(_size_of(job, "corrugated liner"), state)
    u_value, capacity = wall("lined masonry")
    # inside a chimney the liner feels a buffered air space, half as exposed as the chimney itself
    cooled = state.vent.exterior_share * catalog.number("priors", "masonry_gap_cool_share")
    return replace(
        state,
        vent=replace(
            state.vent,
            vertical_area_m2=area,
            vertical_perimeter_m=perimeter,
            vertical_u=np.full(state.samples, u_value),
            vertical_capacity=np.full(state.samples, capacity),
            exterior_share=cooled,
            corrugation=spread(state, "liner_corrugation"),
            blocked=np.zeros(state.samples),
            cap_k=np.minimum(state.vent.cap_k, effect("new_cap_loss")),
            terminal_cp=np.minimum(state.vent.terminal_cp, 0.0),
        ),
    )


def _size_liner(job: Job) -> Sized:
    vent = vent_facts.single_vent(job.case, "corrugated liner", elbows=2)
    choice = choose_single_vent(vent)
    size = choice.diameter_in or burners.hood_in(job.case)
    height = quantity(vent_facts.height_ft(job.case), "ft", digits=0)
    parts = (
        finding("remedies.part.corrugated_liner", size=quantity(size, "in"), height=height),
        choice.words,
        *_assumed_parts(job, vent, NEW_VENT),
    )
    return Sized((job.line("LINER"), permit(job)), parts, choice.checks)


def _termination(state: State, job: Job) -> State:
    more = effect("raised_vent_ft") * units.M_PER_FT
    return replace(
        state,
        vent=replace(
            state.vent,
            height_m=state.vent.height_m + more,
            cap_k=np.minimum(state.vent.cap_k, effect("new_cap_loss")),
            terminal_cp=np.minimum(state.vent.terminal_cp, effect("new_cap_cp")),
            gust_cp=np.minimum(state.vent.gust_cp, 0.0),
            blocked=np.where(
                state.vent.blocked > effect("capped_blockage_too_far"),
                state.vent.blocked,
                (1.0 - effect("capped_blockage_mended_share")) * state.vent.blocked,
            ),
        ),
    )


def _size_termination(job: Job) -> Sized:
    feet = effect("raised_vent_ft")
    return Sized(
        (job.line("CAP"), job.line("BVENT_FT", feet)),
        (finding("remedies.part.vent_top_raised", height=quantity(feet, "ft")),),
    )


def _inducer_possible(job: Job) -> tuple[Words, ...]:
    reasons = list(_shared(job))
    if job.case.services.inducer_listed is not True:
        reasons.append(finding("remedies.not_here.inducer_not_listed"))
    if job.case.vent.vertical == "masonry":
        reasons.append(finding("remedies.not_here.line_it_first"))
    if services.no_power(job.case):
        reasons.append(finding("remedies.not_here.no_power"))
    return tuple(reasons)


def _inducer(state: State, _: Job) -> State:
    return replace(state, vent=replace(state.vent, inducer_pa=spread(state, "inducer_pa")))


def _size_inducer(job: Job) -> Sized:
    return Sized(
        (job.line("INDUCER"), job.line("SPILL_SW"), *job.outlet_120_v(), permit(job)),
        (finding("remedies.part.draft_inducer"),),
        (),
        (finding("remedies.note.only_where_listed"), finding("remedies.note.pulls_more_room_air")),
    )


REMEDIES: tuple[Remedy, ...] = (
    Remedy("clear_vent", _clear_needed, _clear, _size_clear),
    Remedy("correct_connector", _connector_poor, _correct, _size_connector),
    Remedy("new_type_b_vent", _roof, _type_b, _size_type_b),
    Remedy("line_chimney", _masonry, _liner, _size_liner),
    Remedy("change_termination", lambda _: (), _termination, _size_termination),
    Remedy("draft_inducer", _inducer_possible, _inducer, _size_inducer),
)
