"""The appliance that stays on a vent once the heater has left it: the same situations with its burner and its connector.

The model knows vents under a draft hood. What is fan-assisted, burns another fuel, stands in another space or stays with
others is not modelled. The burner is taken to burn as the heater's does, without the warmth of a tank and a pilot.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from advisor import units
from advisor.case.model import Case
from advisor.case.parts import Appliance
from advisor.ensemble.draw import altitude_derate
from advisor.ensemble.state import BurnerState, State, VentState
from advisor.ensemble.vent_draw import wall
from advisor.facts import burners

GAS = (None, "natural gas", "propane")


def modelled(case: Case) -> Appliance | None:
    """Return the one appliance that stays on the vent without the heater where the vent model can take it, else None."""
    rest = burners.on_the_vent(case)
    if len(rest) != 1:
        return None
    (one,) = rest
    hooded = one.draft == "natural" and one.kind in ("furnace", "boiler", "water heater", "room heater")
    known = one.input_btu_h is not None and one.fuel in GAS and one.place == "with the heater"
    return one if hooded and known else None


def other_alone(case: Case, state: State, one: Appliance) -> State:
    """Return the situations with another appliance alone on the vent, after the heater's work is done.

    Parameters
    ----------
    case : Case
        What was found.
    state : State
        The situations after the work; what the new heater draws from the room by its own fan goes on being drawn.
    one : Appliance
        From `modelled`.
    """
    return replace(state, appliance="natural draft", burner=_burner(case, state, one), vent=_vent(case, state, one))


def _burner(case: Case, state: State, one: Appliance) -> BurnerState:
    fired_w = burners.input_of(one) * units.W_PER_BTU_H * altitude_derate(case.house.altitude_ft)
    # the products grow with the input; their temperature and excess air are those of the heater's burner
    share = fired_w / state.burner.input_w
    return replace(
        state.burner,
        input_w=state.burner.input_w * share,
        products_kg_s=state.burner.products_kg_s * share,
        idle_heat_w=np.zeros(state.samples),
    )


def _vent(case: Case, state: State, one: Appliance) -> VentState:
    vent, n, foot = state.vent, state.samples, units.M_PER_FT
    across = burners.own_connector_in(one) * units.M_PER_IN
    rise = vent.connector_rise_m
    if one.connector_rise_ft is not None:
        rise = np.minimum(one.connector_rise_ft * foot, 0.9 * vent.height_m)
    length = vent.connector_length_m
    if one.connector_length_ft is not None:
        length = np.full(n, one.connector_length_ft * foot)
    elif one.connector_lateral_ft is not None:
        length = rise + one.connector_lateral_ft * foot
    changed = replace(
        vent,
        connector_area_m2=np.full(n, np.pi / 4.0 * across**2),
        connector_rise_m=rise,
        connector_length_m=np.maximum(length, 0.05),
        # nothing else is on the vent then
        dilution_ratio=np.zeros(n),
        shared_gain_k=np.zeros(n),
    )
    if one.connector_elbows is not None:
        changed = replace(changed, connector_elbows=np.full(n, float(one.connector_elbows)))
    if one.connector is not None:
        heat_loss, capacity = wall(one.connector)
        changed = replace(changed, connector_u=np.full(n, heat_loss), connector_capacity=np.full(n, capacity))
    return changed
