"""Sound reference systems: heaters and vents that nobody would fault, in leaky houses, as a world for the tests.

Type B vent of the size of the hood and within the published capacity table, inside the house, clear, short connector,
a height that fits the house, a leaky house, no fan running, no wind. Everything else is drawn from the priors, so that
the priors are what is on trial.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from itertools import product
from typing import Any

import numpy as np

from advisor import units
from advisor.case.model import Case
from advisor.codes.vent_tables import single_capacity_kbtu_h
from advisor.ensemble.draw import draw
from advisor.ensemble.respond import respond
from advisor.ensemble.state import Array, Condition, State
from advisor.facts.burners import usual_outlet_in

SITUATIONS = 64
LATERAL_FT, RISE_FT, ELBOWS = 2.0, 1.0, 2
INPUTS_BTU_H = (30_000.0, 36_000.0, 40_000.0, 50_000.0)
ACH50, CEILING_FT = 10.0, 8.5
"""A leaky house: ten air changes at 50 Pa, well above the 7.8 of houses before tightening (mn-airport-study)."""


@dataclass(frozen=True)
class House:
    """A house and the vents that fit it: from the hood, 5 ft above the floor, through the roof.

    Heights are geometry: floors of 9 ft (common practice) and 4 to 8 ft of attic, roof and pipe above it.
    """

    name: str
    stories: int
    zone: str
    heights_ft: tuple[float, ...]


HOUSES = (
    House("one story, heater on the ground floor", 1, "utility room", (12.0, 15.0)),
    House("one story, heater in the basement", 1, "basement", (18.0, 21.0)),
    House("two stories, heater on the ground floor", 2, "open plan", (18.0, 21.0)),
    House("two stories, heater in the basement", 2, "basement", (27.0, 30.0)),
)


@dataclass(frozen=True)
class System:
    """A case and the situations drawn for it."""

    name: str
    case: Case
    state: State


def sound_case(input_btu_h: float, height_ft: float, house: House, climate_zone: str = "4A", **more: Any) -> Case:
    """Return the record of a sound system; ``more`` replaces whole tables of it."""
    size = usual_outlet_in(input_btu_h)
    area = 1000.0 * house.stories if house.zone != "basement" else 1000.0 * (house.stories + 1)
    tables: dict[str, Any] = {
        "house": {
            "floor_area_ft2": area,
            "stories": house.stories,
            "leakage_cfm50": ACH50 * area * CEILING_FT / 60.0,
            "climate_zone": climate_zone,
        },
        "zone": {"kind": house.zone, "door": "louvered" if house.zone == "utility room" else "none"},
        "heater": {"input_btu_h": input_btu_h, "hood_diameter_in": size},
        "vent": {
            "connector": "type b",
            "connector_diameter_in": size,
            "connector_lateral_ft": LATERAL_FT,
            "connector_rise_ft": RISE_FT,
            "connector_elbows": ELBOWS,
            "vertical": "type b",
            "diameter_in": size,
            "height_ft": height_ft,
            "exterior": False,
            "cap": "listed",
            "condition": "clear",
            "inspected": True,
            "shared": False,
        },
        # written down what is not there: what nobody wrote down would be drawn
        "opening": [],
        "exhaust": [],
        "supply": [],
        "other_appliance": [],
        "air_handler": {"present": False},
        "run": [{"seen": "unclear"}],
    }
    return Case.model_validate(tables | more)


def fits_the_table(input_btu_h: float, height_ft: float) -> bool:
    """Whether the published table allows this input on a vent of the size of its hood (irc-2018, Table 504.2(1))."""
    size = usual_outlet_in(input_btu_h)
    return float(single_capacity_kbtu_h("504.2(1)", "NAT_MAX", height_ft, LATERAL_FT, size)[0]) >= input_btu_h / 1000.0


def sound_state(case: Case, situations: int = SITUATIONS) -> State:
    """Draw the situations of a sound case: those without a blockage and without a vent top in a pressure zone.

    The priors keep both possible after a look, and the draw takes more of them than there are. What is left over has
    equal weights, but for fans stronger than their label.
    """
    state = draw(case, 4 * situations)
    sound = np.flatnonzero(
        (state.vent.blocked == 0.0) & (state.zone.intake_blocked == 0.0) & (state.vent.terminal_cp <= 0.0)
    )
    state = state.take(sound[:situations])
    # the known physics alone: without its unknown offset, a start from outdoor air, and fans that nobody listed. Weights
    # that undo the over-sampling of those go with them; strong fans stay over-sampled, which errs to the careful side
    none = np.zeros(state.samples)
    return replace(
        state,
        vent=replace(state.vent, draft_offset_pa=none, starts_reversed=none),
        house=replace(state.house, unlisted_m3_s=none),
        chance=replace(state.chance, log_weight=none),
    )


@cache
def reference_systems() -> tuple[System, ...]:
    """Return all combinations of heater, vent and house that the capacity table allows."""
    found = []
    for input_btu_h, house in product(INPUTS_BTU_H, HOUSES):
        for height_ft in house.heights_ft:
            if fits_the_table(input_btu_h, height_ft):
                case = sound_case(input_btu_h, height_ft, house)
                state = sound_state(case)
                assert np.ptp(state.chance.log_weight) < 1e-9
                name = f"{input_btu_h:,.0f} Btu/h, {height_ft:g} ft, {house.name}"
                found.append(System(name, case, state))
    return tuple(found)


def draft_after_five_minutes_pa(system: System, outdoor_f: float, warm: bool) -> Array:
    """Fire a system on a calm day with nothing running; from its idle state, or from a vent warm of an earlier firing.

    Returns
    -------
    array (n,)
        Draft behind the hood after five minutes, Pa: the loss of the hood goes with the square of the flow.
    """
    condition = Condition("calm day", (), outdoor_k=units.kelvin_from_fahrenheit(outdoor_f), vent_warm=warm)
    response = respond(system.state, condition)
    then, end = response.ratio_at(300.0), response.flow_ratio[-1]
    return np.sign(then) * np.abs(response.draft_pa) * (then / end) ** 2
