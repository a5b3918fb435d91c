"""Remedies at the vent: clear it, correct the connector, a new Type B vent, a liner, a better top, an inducer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from advisor import units
from advisor.codes.unknown import measure_first
from advisor.codes.vent_sizing import choose_single_vent
from advisor.codes.vent_types import SingleVent
from advisor.ensemble.state import Array, State
from advisor.ensemble.vent_draw import wall
from advisor.facts import burners, services
from advisor.findings import Words
from advisor.remedies import vent_facts
from advisor.remedies.base import Job, Remedy, Sized, effect, permit, spread

NEW_VENT = ("hood", "height", "lateral")
"""What a new vent or liner is sized from."""


def _shared(job: Job) -> tuple[Words, ...]:
    if services.shares_vent(job.case):
        return ("another appliance uses this vent: both must be sized together by the common-vent tables",)
    return ()


def _clear_needed(job: Job) -> tuple[Words, ...]:
    vent = job.case.vent
    if vent.inspected and vent.condition == "clear":
        return ("the vent was looked through from end to end and found clear",)
    return ()


def _clear(state: State, _: Job) -> State:
    left = np.minimum(state.vent_blocked, spread(state, "cleared_vent_left_blocked"))
    return replace(state, vent_blocked=left)


def _size_clear(_job: Job) -> Sized:
    job = _job
    lines = [job.line("VENT_CLEAN")]
    if job.case.vent.cap in (None, "none"):
        lines.append(job.line("CAP", assumed=job.case.vent.cap is None))
    return Sized(tuple(lines), ("vent cleared, joints refastened, cap with screen if missing",))


def _connector_poor(job: Job) -> tuple[Words, ...]:
    vent = job.case.vent
    good = (
        vent.connector == "type b"
        and (vent.connector_elbows or 0) <= effect("corrected_elbows")
        and (vent.connector_rise_ft or 0.0) >= effect("good_connector_rise_ft")
        and (vent.connector_lateral_ft or 0.0) <= effect("good_connector_lateral_ft")
    )
    return ("the connector is already short, double-wall and rises well",) if good else ()


def _correct(state: State, job: Job) -> State:
    connector_u, capacity = wall("type b")
    hood = burners.hood_in(job.case)
    area = np.pi / 4.0 * (hood * units.M_PER_IN) ** 2
    gain = spread(state, "corrected_rise_gain_ft") * units.M_PER_FT
    rise = np.minimum(state.connector_rise_m + gain, 0.9 * state.height_m)
    return replace(
        state,
        connector_u=np.minimum(state.connector_u, connector_u * np.ones(state.samples)),
        connector_capacity=np.full(state.samples, capacity),
        connector_area_m2=np.maximum(state.connector_area_m2, area),
        connector_rise_m=rise,
        connector_elbows=np.minimum(state.connector_elbows, effect("corrected_elbows")),
        connector_length_m=np.maximum(state.connector_length_m, rise),
    )


def _size_connector(job: Job) -> Sized:
    hood = burners.hood_in(job.case)
    parts = (
        f"{hood:g} in. Type B connector, at least 1/4 in. per ft upward, at most two elbows, more rise at the hood",
    )
    return Sized((job.line("VENT_CONN"),), (*parts, *_assumed_parts(job, vent_facts.single_vent(job.case), ("hood",))))


def _roof(job: Job) -> tuple[Words, ...]:
    reasons = list(_shared(job))
    if job.case.services.roof_route is False:
        reasons.append("there is no route through the house to the roof")
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
    base = replace(state, vent_blocked=np.zeros(state.samples))
    return replace(
        _correct(base, job),
        vertical_area_m2=area,
        vertical_perimeter_m=perimeter,
        vertical_u=np.full(state.samples, u_value),
        vertical_capacity=np.full(state.samples, capacity),
        exterior_share=np.minimum(state.exterior_share, effect("new_vent_exterior_share")),
        cap_k=np.minimum(state.cap_k, effect("new_cap_loss")),
        corrugation=np.ones(state.samples),
        dilution_ratio=np.zeros(state.samples),
        terminal_cp=np.minimum(state.terminal_cp, 0.0),
    )


def _size_type_b(job: Job) -> Sized:
    vent = vent_facts.single_vent(job.case, "type B", elbows=2)
    choice = choose_single_vent(vent)
    size = choice.diameter_in or burners.hood_in(job.case)
    height = job.case.vent.height_ft or effect("new_vent_length_ft")
    parts = (
        f"{size:g} in. Type B vent, about {height:.0f} ft, listed cap, inside the house",
        choice.words,
        *_assumed_parts(job, vent, NEW_VENT),
    )
    lines = (job.line("BVENT_JOB"), permit(job), job.line("CAP_OFF", assumed=True))
    return Sized(lines, parts, choice.checks)


def _masonry(job: Job) -> tuple[Words, ...]:
    reasons = list(_shared(job))
    if job.case.vent.vertical not in ("masonry", None):
        reasons.append("the vent is not a masonry chimney")
    elif job.case.vent.vertical is None:
        reasons.append("nobody noted what the vent is made of; a liner is for a masonry chimney")
    return tuple(reasons)


def _liner(state: State, job: Job) -> State:
    area, perimeter = _round(_size_of(job, "corrugated liner"), state)
    u_value, capacity = wall("lined masonry")
    # inside a chimney the liner feels a buffered air space, half as exposed as the chimney itself
    from advisor import catalog

    cooled = state.exterior_share * catalog.number("priors", "masonry_gap_cool_share")
    return replace(
        state,
        vertical_area_m2=area,
        vertical_perimeter_m=perimeter,
        vertical_u=np.full(state.samples, u_value),
        vertical_capacity=np.full(state.samples, capacity),
        exterior_share=cooled,
        corrugation=spread(state, "liner_corrugation"),
        vent_blocked=np.zeros(state.samples),
        cap_k=np.minimum(state.cap_k, effect("new_cap_loss")),
        terminal_cp=np.minimum(state.terminal_cp, 0.0),
    )


def _size_liner(job: Job) -> Sized:
    vent = vent_facts.single_vent(job.case, "corrugated liner", elbows=2)
    choice = choose_single_vent(vent)
    size = choice.diameter_in or burners.hood_in(job.case)
    parts = (
        f"{size:g} in. corrugated liner, about {vent_facts.height_ft(job.case):.0f} ft, with top plate and cap",
        choice.words,
        *_assumed_parts(job, vent, NEW_VENT),
    )
    return Sized((job.line("LINER"), permit(job)), parts, choice.checks)


def _termination(state: State, job: Job) -> State:
    more = effect("raised_vent_ft") * units.M_PER_FT
    return replace(
        state,
        height_m=state.height_m + more,
        cap_k=np.minimum(state.cap_k, effect("new_cap_loss")),
        terminal_cp=np.minimum(state.terminal_cp, effect("new_cap_cp")),
        gust_cp=np.minimum(state.gust_cp, 0.0),
        vent_blocked=np.where(
            state.vent_blocked > effect("capped_blockage_too_far"),
            state.vent_blocked,
            (1.0 - effect("capped_blockage_mended_share")) * state.vent_blocked,
        ),
    )


def _size_termination(job: Job) -> Sized:
    feet = effect("raised_vent_ft")
    return Sized(
        (job.line("CAP"), job.line("BVENT_FT", feet)),
        (f"vent top raised {feet:g} ft, listed cap, clear of roof and walls by the pitch table",),
    )


def _inducer_possible(job: Job) -> tuple[Words, ...]:
    reasons = list(_shared(job))
    if job.case.services.inducer_listed is not True:
        reasons.append("nobody showed that an inducer is listed for this heater and its gas control")
    if job.case.vent.vertical == "masonry":
        reasons.append("the masonry flue must be lined first: a fan does not keep it dry")
    if services.no_power(job.case):
        reasons.append("there is no power at the heater")
    return tuple(reasons)


def _inducer(state: State, _: Job) -> State:
    return replace(state, inducer_pa=spread(state, "inducer_pa"))


def _size_inducer(job: Job) -> Sized:
    return Sized(
        (job.line("INDUCER"), job.line("SPILL_SW"), *job.outlet_120_v(), permit(job)),
        ("draft inducer with draft-proving switch and manual-reset spill switch",),
        (),
        (
            "only where it is listed for this heater and its gas control",
            "pulls more room air: other appliances feel it",
        ),
    )


REMEDIES: tuple[Remedy, ...] = (
    Remedy("clear_vent", _clear_needed, _clear, _size_clear),
    Remedy("correct_connector", _connector_poor, _correct, _size_connector),
    Remedy("new_type_b_vent", _roof, _type_b, _size_type_b),
    Remedy("line_chimney", _masonry, _liner, _size_liner),
    Remedy("change_termination", lambda _: (), _termination, _size_termination),
    Remedy("draft_inducer", _inducer_possible, _inducer, _size_inducer),
)
