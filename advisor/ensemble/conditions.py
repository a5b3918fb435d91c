"""The conditions that are asked of a case: each recorded run, the worst case, and the stresses."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

from advisor import catalog, units
from advisor.case.model import Case, Run
from advisor.ensemble.state import Condition, Device, State
from advisor.facts.burners import others_fire
from advisor.facts.exhaust import WHOLE_HOUSE
from advisor.facts.run_conditions import FAILS

STRESSES = tuple(row["id"] for row in catalog.table("stresses"))
"""Ids of the stresses."""
LEVELS = ("basement", "first", "second", "attic")
"""Storeys from below."""
_DOOR: dict[str, Literal["closed", "open", "worse"]] = {"closed": "closed", "open": "open", "worst position": "worse"}
_HANDLER: dict[str, Literal["off", "on", "worse"]] = {"off": "off", "on": "on", "tried both": "worse"}


def of_run(case: Case, devices: tuple[Device, ...], run: Run) -> Condition:
    """Return the condition of a recorded run; what it does not state takes the usual value.

    Where nobody wrote down which devices ran, the run is taken to tell as little as it may: a failure with everything on,
    a pass with everything off; the same with what was not written down about supply air, which lifts the zone.
    """
    failed = run.seen in FAILS
    named = run.devices_on if run.devices_on is not None else ["all"] if failed else []
    on = tuple(d.name in named or ("all" in named and d.kind != WHOLE_HOUSE) for d in devices)
    temp_f = test_day_f(case) if run.outdoor_temp_f is None else run.outdoor_temp_f
    wind = catalog.number("priors", "wind_calm_mph") if run.wind_mph is None else run.wind_mph
    zone_window = run.zone_window_open_ft2 or 0.0
    return Condition(
        name=run.label,
        devices_on=on,
        supply_on=not failed if run.supply_on is None else run.supply_on,
        # the area for the whole house holds that of the heater's room
        window_m2=max(0.0, (run.window_open_ft2 or 0.0) - zone_window) * units.M2_PER_FT2,
        window_height_m=window_height_m(case, run),
        zone_window_m2=zone_window * units.M2_PER_FT2,
        zone_door=_DOOR[run.zone_door or case.zone.door_position],
        interior_doors_shut=run.interior_doors in ("closed", "worst position"),
        air_handler=_HANDLER[run.air_handler or "off"],
        shared_firing=others_fire(case, run) is True,
        intake=run.intake or "as found",
        outdoor_k=units.kelvin_from_fahrenheit(temp_f),
        zone_k=None if run.indoor_temp_f is None else units.kelvin_from_fahrenheit(run.indoor_temp_f),
        wind_m_s=wind * units.M_S_PER_MPH,
        vent_warm=run.vent_cold_at_start is False,
        unlisted_on="all" in named,
    )


def window_height_m(case: Case, run: Run) -> float | None:
    """Return how high the middle of the open window stands above the floor of the heater's space, m; None: same storey."""
    if run.window_level is None or run.window_level == case.zone.level:
        return None
    storeys = LEVELS.index(run.window_level) - LEVELS.index(case.zone.level)
    feet = storeys * catalog.number("priors", "story_height_ft") + catalog.number("conditions", "window_height_ft")
    return feet * units.M_PER_FT


def test_day_f(case: Case) -> float:
    """Outdoor temperature of the test day, F: of the first run that states one, else the usual one."""
    for run in case.run:
        if run.outdoor_temp_f is not None:
            return run.outdoor_temp_f
    return catalog.number("priors", "test_outdoor_temp_f")


def idle_house(condition: Condition) -> Condition:
    """Return the same day with nothing switched on: the baseline."""
    off = tuple(False for _ in condition.devices_on)
    return replace(
        condition, devices_on=off, air_handler="off", shared_firing=False, extra_exhaust_m3_s=0.0, unlisted_on=False
    )


def worst_case(case: Case, state: State) -> Condition:
    """Everything ducted outdoors runs, net supply off, doors set for the lowest zone pressure, windows shut, cold vent."""
    return Condition(
        name="worst case",
        devices_on=tuple(d.counts_in_worst_case for d in state.devices),
        zone_door="worse",
        interior_doors_shut=True,
        air_handler="worse",
        unlisted_on=True,
        net_supply_off=True,
        outdoor_k=units.kelvin_from_fahrenheit(test_day_f(case)),
    )


def stresses(case: Case, state: State) -> dict[str, Condition]:
    """Return the worst case under each stress, by id (see ``STRESSES`` and ``catalog/ranking/stresses.csv``)."""
    worst = worst_case(case, state)
    return {row["id"]: _stressed(case, worst, row) for row in catalog.table("stresses")}


def _stressed(case: Case, worst: Condition, row: catalog.Row) -> Condition:
    """Return the worst case with what a stress changes: each cell names its number in ``catalog/ranking/conditions.csv``."""

    def number(column: str) -> float:
        return catalog.number("conditions", row[column])

    found = replace(worst, name=row["id"])
    if row["outdoor_temp_f"]:
        mild_f = max(number("outdoor_temp_f"), test_day_f(case))
        found = replace(found, outdoor_k=units.kelvin_from_fahrenheit(mild_f))
    if row["wind_mph"]:
        found = replace(found, gusty=True, wind_m_s=number("wind_mph") * units.M_S_PER_MPH)
    if row["leakage_factor"]:
        planned = 1.0 - case.house.planned_tightening_pct / 100.0
        found = replace(found, leakage_factor=min(number("leakage_factor"), planned))
    if row["extra_exhaust_cfm"]:
        found = replace(found, extra_exhaust_m3_s=number("extra_exhaust_cfm") * units.M3_S_PER_CFM)
    return found
