"""Remedies at the vent: clear it, correct the connector, a new Type B vent, a liner, a better top, an inducer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from advisor import catalog, units
from advisor.case.model import Case
from advisor.codes.check import appliance_name
from advisor.codes.unknown import measure_first
from advisor.codes.vent_sizing import choose_single_vent
from advisor.codes.vent_types import SingleVent
from advisor.ensemble.state import Array, State
from advisor.ensemble.vent_draw import wall
from advisor.facts import burners, services
from advisor.findings import Finding, Words, finding, quantity
from advisor.money.bill import BillLine
from advisor.remedies import left_on_vent, shared_vent, vent_facts
from advisor.remedies.base import Job, Remedy, Sized, effect, permit, spread
from advisor.remedies.shared_vent import CommonJob

NEW_VENT = ("hood", "height", "lateral")
"""What a new vent or liner is sized from."""


NEW_VENTS = {"new_type_b_vent": "type B", "line_chimney": "corrugated liner"}
"""Remedies that bring a new vent, and what it is made of."""


def _shared(job: Job) -> tuple[Words, ...]:
    """Return why a vent that other appliances use cannot be sized for all of them here."""
    case = job.case
    if not services.shares_vent(case):
        return ()
    if not burners.on_the_vent(case):
        return (finding("remedies.not_here.sharer_unlisted"),)
    if shared_vent.not_covered(case):
        return (finding("remedies.not_here.sharer_not_covered"),)
    return ()


def _sized_together(job: Job, material: str) -> tuple[Words, ...]:
    """Return why no new vent serves all appliances: a rule that fails at every size, on given numbers that were read."""
    if _shared(job) or not burners.on_the_vent(job.case):
        return ()
    found = shared_vent.new_vent(job.case, material)
    broken = any(check.verdict == "fail" and check.status != "memory" for check in found.checks)
    return (found.choice.words,) if found.choice is not None and not found.complies and broken else ()


def _together(case: Case) -> bool:
    """Return whether the vent is sized for several appliances."""
    return bool(burners.on_the_vent(case)) and not shared_vent.not_covered(case)


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


def _good(case: Case) -> bool:
    """Return whether the heater's connector needs no work."""
    vent = case.vent
    return (
        vent.connector == "type b"
        and (vent.connector_elbows or 0) <= effect("corrected_elbows")
        and (vent.connector_rise_ft or 0.0) >= effect("good_connector_rise_ft")
        and (vent.connector_lateral_ft or 0.0) <= effect("good_connector_lateral_ft")
    )


def _to_correct(case: Case) -> tuple[str, ...]:
    """Return whose connectors are renewed on a shared vent: the heater's unless it is good, and those that break a rule."""
    failing = shared_vent.failing_connectors(case)
    heater = () if _good(case) and shared_vent.HEATER not in failing else (shared_vent.HEATER,)
    return (*heater, *(name for name in failing if name != shared_vent.HEATER))


def corrected(case: Case) -> CommonJob:
    """Return the shared vent as found with its poor connectors renewed."""
    return shared_vent.new_connectors(case, _to_correct(case))


def _connector_poor(job: Job) -> tuple[Words, ...]:
    poor = bool(_to_correct(job.case)) if _together(job.case) else not _good(job.case)
    return () if poor else (finding("remedies.not_here.connector_good"),)


def _heater_connector_in(job: Job) -> float:
    """Return the diameter of the heater's new connector, in: by the common-vent tables on a shared vent, else as its hood."""
    if _together(job.case):
        return corrected(job.case).heater.connector_diameter_in
    return burners.hood_in(job.case)


def _correct(state: State, job: Job) -> State:
    if _together(job.case) and shared_vent.HEATER not in _to_correct(job.case):
        return state
    return _with_connector(state, _heater_connector_in(job))


def _with_connector(state: State, size_in: float) -> State:
    """Return the situations with a new connector at the heater: Type B, few elbows, more rise."""
    connector_u, capacity = wall("type b")
    area = np.pi / 4.0 * (size_in * units.M_PER_IN) ** 2
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


def _connector_words(size_in: float, about: str = "") -> Finding:
    slope = quantity(catalog.number("rules_venting", "connector_slope_in_per_ft"), "in_per_ft", digits=2)
    elbows = quantity(effect("corrected_elbows"), "count")
    part = finding("remedies.part.connector", size=quantity(size_in, "in"), slope=slope, count=elbows)
    return finding("remedies.part.connector_of", part=part, appliance=appliance_name(about)) if about else part


def _connectors(found: CommonJob) -> tuple[Finding, ...]:
    """Return the new connectors of a shared vent, in trade words."""
    new = [item for item in found.appliances if item.name in found.renewed]
    return tuple(_connector_words(item.connector_diameter_in, item.name) for item in new)


def fan_connector(case: Case) -> tuple[Finding, ...]:
    """Return the new connector of a fan-assisted heater on a shared vent; empty where the old one serves or it is alone."""
    return _connectors(shared_vent.with_a_fan(case)) if _together(case) else ()


def _size_connector(job: Job) -> Sized:
    if _together(job.case):
        found = corrected(job.case)
        missing = measure_first(_assumed_of(found, ("hood", "other_input", "other_outlet")))
        return Sized((job.line("VENT_CONN", float(len(found.renewed))),), (*_connectors(found), *missing))
    hood = burners.hood_in(job.case)
    parts = _assumed_parts(job, vent_facts.single_vent(job.case), ("hood",))
    return Sized((job.line("VENT_CONN"),), (_connector_words(hood), *parts))


def _assumed_of(found: CommonJob, names: Sequence[str]) -> list[str]:
    """Return those of some numbers that nobody gave for a shared vent."""
    assumed = found.vent.assumed.union(*(item.assumed for item in found.appliances))
    return [name for name in names if name in assumed]


def _roof(job: Job) -> tuple[Words, ...]:
    reasons = [*_shared(job), *_sized_together(job, "type B")]
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
    if _together(job.case):
        found = shared_vent.new_vent(job.case, material).vent.diameter_in
        assert found is not None
        return found
    choice = choose_single_vent(vent_facts.single_vent(job.case, material, elbows=2))
    return choice.diameter_in or burners.usual_outlet_in(job.case.heater.input_btu_h)


def _type_b(state: State, job: Job) -> State:
    clear, still_shared = replace(state, vent=replace(state.vent, blocked=np.zeros(state.samples))), _together(job.case)
    connector_in = burners.hood_in(job.case)
    if still_shared:
        connector_in = shared_vent.new_vent(job.case, "type B").heater.connector_diameter_in
    base = _new_type_b(_with_connector(clear, connector_in), _size_of(job, "type B"))
    if still_shared:
        # the hood of an appliance that stays on the vent goes on taking air into it
        return replace(base, vent=replace(base.vent, dilution_ratio=state.vent.dilution_ratio))
    return base


def _new_type_b(state: State, size_in: float) -> State:
    """Return the situations with a new Type B vent inside the house that nothing else uses."""
    area, perimeter = _round(size_in, state)
    u_value, capacity = wall("type b")
    return replace(
        state,
        vent=replace(
            state.vent,
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


def _size_together(
    job: Job, material: str, part: Finding, lines: tuple[BillLine, ...], *, with_connector: bool
) -> Sized:
    """Size a new vent for all appliances on it; ``with_connector``: the price of the vent holds the heater's connector."""
    found = shared_vent.new_vent(job.case, material)
    assert found.choice is not None
    extra = [name for name in found.renewed if not (with_connector and name == shared_vent.HEATER)]
    assumed = any(item.assumed for item in found.appliances if item.name in extra)
    if extra:
        lines = (*lines, job.line("VENT_CONN", float(len(extra)), assumed=assumed))
    names = ("hood", "height", "lateral", "other_input", "other_draft", "other_outlet", "other_lateral", "other_rise")
    parts = (
        part.with_values(size=quantity(found.vent.diameter_in, "in")),
        found.choice.words,
        *_connectors(found),
        *measure_first(_assumed_of(found, names)),
    )
    return Sized(lines, parts, found.checks)


def _size_type_b(job: Job) -> Sized:
    if _together(job.case):
        tall = quantity(job.case.vent.height_ft or effect("new_vent_length_ft"), "ft", digits=0)
        part = finding("remedies.part.type_b_vent", height=tall)
        lines = (job.line("BVENT_JOB"), permit(job), job.line("CAP_OFF", assumed=True))
        return _size_together(job, "type B", part, lines, with_connector=True)
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
    if job.case.vent.vertical == "masonry":
        reasons += _sized_together(job, "corrugated liner")
    if job.case.vent.vertical not in ("masonry", None):
        reasons.append(finding("remedies.not_here.not_masonry"))
    elif job.case.vent.vertical is None:
        reasons.append(finding("remedies.not_here.vent_material_unknown"))
    return tuple(reasons)


def _liner(state: State, job: Job) -> State:
    size_in = _size_of(job, "corrugated liner")
    if _together(job.case):
        found = shared_vent.new_vent(job.case, "corrugated liner")
        state = _with_connector(state, found.heater.connector_diameter_in)
    return _lined(state, size_in)


def resized_for_left(state: State, job: Job) -> State:
    """Return the situations with the old vent sized anew for what stays on it; as they are where no size is found."""
    choice = left_on_vent.new_size(job.case)
    if choice is None or choice.vent is None or choice.diameter_in is None:
        return state
    clear = replace(state, vent=replace(state.vent, blocked=np.zeros(state.samples)))
    lines = choice.vent.vent == "corrugated liner"
    return _lined(clear, choice.diameter_in) if lines else _new_type_b(clear, choice.diameter_in)


def _lined(state: State, size_in: float) -> State:
    """Return the situations with a liner in the chimney."""
    area, perimeter = _round(size_in, state)
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
    if _together(job.case):
        part = finding(
            "remedies.part.corrugated_liner", height=quantity(vent_facts.height_ft(job.case), "ft", digits=0)
        )
        lines = (job.line("LINER"), permit(job))
        return _size_together(job, "corrugated liner", part, lines, with_connector=False)
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
    reasons: list[Words] = []
    if services.shares_vent(job.case):
        reasons.append(finding("remedies.not_here.inducer_for_one"))
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
