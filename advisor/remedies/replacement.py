"""Remedies that replace the heater: from the same kind again to sealed combustion and electric."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from advisor import catalog, units
from advisor.case.model import Case
from advisor.ensemble.state import ApplianceKind, State
from advisor.facts import burners, hot_water, services
from advisor.facts.space import apart, has_door, heated
from advisor.findings import Finding, Words, finding, quantity
from advisor.money.bill import line_of, perhaps
from advisor.money.fit import chosen, fit
from advisor.money.fit_services import circuit_present
from advisor.money.fit_size import Choice
from advisor.money.fit_water import input_btu_h
from advisor.money.prices import (
    Overrides,
    Price,
    included_measures,
    price,
    price_of_one_of,
    price_with_parts_present,
    sized_words,
)
from advisor.money.site import Fit, SiteFacts
from advisor.money.tables import class_row, class_words
from advisor.remedies import left_on_vent
from advisor.remedies.base import Alter, Eligible, Job, Remedy, Size, Sized, permit, remedy_rows
from advisor.remedies.venting import fan_connector

KIND: dict[str, ApplianceKind] = {
    "fan_assisted": "fan-assisted",
    "power_vent": "power vent",
    "power_direct_vent": "sealed",
    "gravity_direct_vent": "sealed",
    "condensing_storage": "sealed",
    "condensing_tankless": "sealed",
    "heat_pump_240v": "none",
    "heat_pump_120v": "none",
    "electric_resistance": "none",
}
STAYS = ("like_for_like", "fan_assisted")
SAID = ("size", "busiest_hour")
"""Needs that are said whatever came out of them: which heater is meant, and whether it is enough."""


def site_facts(case: Case) -> SiteFacts:
    """Return what the case says about the place, as the money room takes it: a yes or a no stays one."""
    given, people = case.services, case.occupants
    straight_ft, elbows_90, elbows_45 = services.wall_route(case)
    return SiteFacts(
        showers_at_once=None,
        vent_straight_ft=straight_ft,
        vent_elbows_90=elbows_90,
        vent_elbows_45=elbows_45,
        terminal_place=None,
        outside_wall_ft=straight_ft,
        receptacle_near=services.outlet_near(case),
        circuit_240_v=services.circuit_240_v(case),
        panel_room=services.panel_room(case),
        gas_pipe_in=given.gas_pipe_in,
        gas_pipe_run_ft=given.gas_run_ft,
        existing_tank_gal=case.heater.tank_gal,
        existing_input_btu_h=case.heater.input_btu_h,
        drain=given.drain,
        room_volume_ft3=services.heat_pump_air_ft3(case),
        room_door=has_door(case),
        room_apart=apart(case),
        room_low_f=given.coldest_air_f,
        room_high_f=given.hottest_air_f,
        room_usual_f=case.zone.temp_f,
        room_heated=heated(case),
        people_counted=hot_water.people_counted(case),
        next_to_bedroom=services.next_to_bedroom(case),
        floor_capacity_lb=given.floor_holds_lb,
        space_width_in=given.space_width_in,
        space_height_in=given.space_height_in,
        shares_vent=services.shares_vent(case),
        chimney=services.chimney(case),
        other_left_vent=case.vent.was_shared,
        heater_alone=left_on_vent.heater_answer(case) if case.vent.was_shared else None,
        left_on_vent=left_on_vent.left_answer(case),
        natural_draft_remains=burners.natural_draft_remains(case),
        peak_uses=_peak_uses(case) if people.showers_in_peak_hour is not None else None,
    )


def _peak_uses(case: Case) -> dict[str, float]:
    return {"shower": float(case.occupants.showers_in_peak_hour or 0)}


def choice(case: Case, class_id: str) -> Choice:
    """Return the size of a class for the house: scope, fit, checks and price are all of this one."""
    return chosen(class_id, site_facts(case), worksheet=case.settings.peak_hour_worksheet)


def new_input_btu_h(case: Case, class_id: str) -> float:
    """Return the input of the heater that is proposed, Btu/h."""
    return input_btu_h(class_id, choice(case, class_id).unit)


def heater_price(case: Case, class_id: str, overrides: Overrides) -> Price:
    """Return the installed price of a class in the size for the house; a range over sizes where the tank was not read."""
    found = choice(case, class_id)
    if found.size is None:
        return price(class_id, overrides)
    return price_of_one_of(class_id, found.possible, found.size, overrides)


def heater_words(case: Case, class_id: str) -> Finding:
    """Return the heater that is proposed, to be said: its class, tank, input and shape."""
    found = choice(case, class_id)
    if found.size is None:
        return class_words(class_id)
    what = sized_words(class_id, found.size)
    if found.unit.shape not in (None, "tall"):
        what = finding(f"money.shape.{found.unit.shape}", what=what)
    if class_row(class_id).fuel != "gas":
        return what
    return finding("money.with_input", what=what, heat=quantity(input_btu_h(class_id, found.unit), "btu_h"))


def fits(job: Job, class_id: str) -> tuple[Fit, ...]:
    """Return every need of a class held against the place."""
    return fit(class_id, site_facts(job.case), worksheet=job.case.settings.peak_hour_worksheet)


def needs_here(remedy: Remedy, needs: tuple[Fit, ...]) -> Finding:
    """Return what a replacement needs here: what its kind always needs, and hot water that it is not known to give."""
    water = next((need.words for need in needs if need.id == "busiest_hour"), None)
    if isinstance(water, Finding) and water.id == "fit.hot_water.tank_short":
        return finding("remedies.needs_more_hot_water", needs=remedy.needs, short=water["short"])
    if isinstance(water, Finding) and water.id == "fit.hot_water.nobody_counted_less":
        return finding("remedies.needs_the_hour_counted", needs=remedy.needs)
    return remedy.needs


def _eligible(class_id: str) -> Eligible:
    def reasons(job: Job) -> tuple[Words, ...]:
        return tuple(f.words for f in fits(job, class_id) if f.blocking)

    return reasons


def _alter(remedy_id: str) -> Alter:
    def changed(state: State, _: Job) -> State:
        if remedy_id == "like_for_like":
            return state
        draw = np.zeros(state.samples)
        if remedy_id == "power_vent":
            draw = np.full(state.samples, catalog.number("priors", "power_vent_own_draw_cfm") * units.M3_S_PER_CFM)
        return replace(state, appliance=KIND[remedy_id], burner=replace(state.burner, own_draw_m3_s=draw))

    return changed


def _size(remedy_id: str, class_id: str) -> Size:
    def sized(job: Job) -> Sized:
        needs = fits(job, class_id)
        present = circuit_present(site_facts(job.case))
        whole = heater_price(job.case, class_id, job.overrides)
        less = price_with_parts_present(class_id, present, job.overrides, whole)
        lines = [line_of(less)]
        for need in needs:
            if need.measure_id is not None and need.quantity > 0.0:
                line = job.line(need.measure_id, need.quantity, assumed=need.assumed)
                line = perhaps(line) if need.perhaps else line
                if need.perhaps and need.measure_id in included_measures(class_id):
                    # the price contained the part: should it not serve, no more comes back than was taken off
                    line = replace(line, high_usd=min(line.high_usd, whole.high_usd - less.high_usd))
                lines.append(line)
        lines.append(permit(job))
        if remedy_id not in STAYS and not burners.on_the_vent(job.case):
            lines.append(job.line("CAP_OFF", assumed=True))
        parts: tuple[Words, ...] = (heater_words(job.case, class_id),)
        if remedy_id == "fan_assisted":
            lines.append(job.line("VENT_INSPECT"))
            connectors = fan_connector(job.case)
            lines += [job.line("VENT_CONN") for _ in connectors]
            parts = (*parts, *connectors)
        notes = tuple(f.words for f in needs if f.measure_id is None and (f.verdict != "ok" or f.id in SAID))
        if remedy_id not in STAYS:
            parts = (*parts, *left_on_vent.scope_words(job.case))
        return Sized(tuple(lines), parts, (), notes)

    return sized


def _remedies() -> tuple[Remedy, ...]:
    rows = [row for row in remedy_rows().values() if row.family == "replacement"]
    return tuple(Remedy(r.id, _eligible(r.class_id), _alter(r.id), _size(r.id, r.class_id)) for r in rows)


REMEDIES: tuple[Remedy, ...] = _remedies()
