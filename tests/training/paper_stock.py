"""Simulated houses for the paper card: drawn from the housing-stock priors, each put through a worst-case test."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from oracles.paper import design_row

from advisor import catalog, units
from advisor.case.model import Case
from advisor.ensemble.conditions import idle_house, worst_case
from advisor.ensemble.draw import draw_at
from advisor.ensemble.respond import respond, zone_pressure_pa
from advisor.ensemble.state import Array, State, combined
from advisor.ensemble.uniforms import Uniforms
from advisor.risk.paper_answers import answers_of_case, question
from advisor.risk.weather import temperatures_f

SETTINGS = "paper_score_settings"


@dataclass(frozen=True, slots=True)
class TrainingSet:
    """Simulated houses.

    Parameters
    ----------
    design : array of int (n, answers)
        One row a house, see `design_row`.
    spills : array of int (n,)
        1 when it spills beyond the allowed time in the worst case on its day.
    weight : array (n,)
        Weight of each house, mean 1 (rare faults are over-sampled and weighted back).
    kind : array of int (n,)
        Which drawn kind of house it is: houses of one kind stay together in the cross-validation.
    """

    design: Array
    spills: Array
    weight: Array
    kind: Array

    @property
    def digest(self) -> str:
        """Return the first 16 hex digits of the SHA-256 over answers and outcomes."""
        packed = np.column_stack([self.design, self.spills]).astype(np.uint8)
        return hashlib.sha256(np.ascontiguousarray(packed).tobytes()).hexdigest()[:16]


class _Stock:
    """Draws answers by their shares."""

    def __init__(self, rng: np.random.Generator) -> None:
        self._rng = rng
        self._shares: dict[str, list[tuple[str, float]]] = {}
        for row in catalog.table("paper_score_stock"):
            self._shares.setdefault(row["feature"], []).append((row["choice"], float(row["share"])))
        heaters = [
            (row["climate"], float(row["value"]))
            for row in catalog.table("water_heater_stock")
            if row["item"] == "natural gas" and row["climate"] != "US"
        ]
        self._shares["climate"] = heaters

    def pick(self, feature: str) -> str:
        """Return one choice of a feature."""
        choices, shares = zip(*self._shares[feature], strict=True)
        share = np.array(shares)
        return str(choices[int(np.searchsorted(np.cumsum(share / share.sum()), self._rng.random()))])


def random_case(stock: _Stock) -> Case:
    """Return one kind of house with the draft test that is to be simulated."""
    pick = stock.pick
    kind, vertical = pick("kind"), pick("vertical")
    in_room = kind in ("closet", "utility room")
    exhaust: list[dict[str, Any]] = [
        {"name": f"bath fan {i + 1}", "kind": "bath fan"} for i in range(int(pick("bath fans")))
    ]
    hood = pick("hood")
    if hood != "none":
        exhaust.append({"name": hood, "kind": hood})
    exhaust += [{"name": one, "kind": one} for one in ("dryer", "fireplace") if pick(one) == "yes"]
    state = pick("opening")
    area = catalog.number(SETTINGS, "opening_area_in2")
    openings = [
        {"name": f"{place} opening", "kind": "direct", "position": place, "area_in2": area, "state": state}
        for place in ("high", "low")
    ]
    shared, condition = pick("shared"), pick("condition")
    return Case.model_validate(
        {
            "house": {
                "climate_zone": pick(f"zone {pick('climate')}"),
                "year_built": int(pick("year")),
                "floor_area_ft2": float(pick("area")),
                "stories": int(pick("stories")),
                "weatherized": pick("weatherized") == "yes",
            },
            "zone": {"kind": kind, "door": pick("door") if in_room else None},
            "heater": {"input_btu_h": float(pick("input"))},
            "vent": {
                "vertical": vertical,
                "height_ft": float(pick("height")),
                "exterior": vertical != "type b" and pick("exterior") == "yes",
                "cap": "listed",
                "inspected": condition != "unknown",
                "condition": condition,
            },
            "shared_appliance": None if shared == "none" else {"draft": shared},
            "opening": [] if state == "none" else openings,
            "exhaust": exhaust,
            "air_handler": {"present": True, "in_zone": pick("handler") == "yes"},
            "run": [{"seen": "unclear"}],
        }
    )


@dataclass(frozen=True, slots=True)
class _House:
    case: Case
    state: State
    outdoor_f: Array
    kind: int


def training_set(houses: int | None = None) -> TrainingSet:
    """Draw and simulate the houses of the card; the same seed gives the same houses.

    Parameters
    ----------
    houses : int, optional
        Kinds of house, at least 20; the catalog's number when absent.
    """
    number = catalog.number
    count = int(number(SETTINGS, "houses")) if houses is None else houses
    each, seed = int(number(SETTINGS, "houses_each")), int(number(SETTINGS, "seed"))
    rng = np.random.default_rng(seed)
    stock = _Stock(rng)
    points = Uniforms.sobol(count * each, seed).points
    # consecutive points differ in all columns: each kind gets its own stretch
    drawn = []
    for kind in range(count):
        case = random_case(stock)
        state = draw_at(case, Uniforms(points[:, kind * each : (kind + 1) * each]))
        warmth = temperatures_f(str(case.house.climate_zone), rng.random(each))
        drawn.append(_House(case, state, warmth, kind))
    groups: dict[tuple[object, ...], list[_House]] = {}
    for house in drawn:
        state = house.state
        shared = "none" if not house.case.appliance else house.case.appliance[0].draft
        same = (len(state.devices), state.has_door, state.zone_isolated, shared, state.appliance)
        groups.setdefault(same, []).append(house)
    parts = [_tested(group) for group in groups.values()]
    design, spills, weight, kinds = (np.concatenate([part[i] for part in parts]) for i in range(4))
    order = np.argsort(kinds, kind="stable")
    return TrainingSet(design[order], spills[order], weight[order] / weight.mean(), kinds[order])


def _tested(group: list[_House]) -> tuple[Array, Array, Array, Array]:
    """Put houses of the same build through the worst case on their days."""
    state = combined([house.state for house in group], lambda each: np.concatenate(each, axis=-1))
    outdoor_f = np.concatenate([house.outdoor_f for house in group])
    # a temperature a house: `scene_of` broadcasts it
    day = replace(worst_case(group[0].case, state), outdoor_k=units.kelvin_from_fahrenheit(outdoor_f))
    response = respond(state, day)
    net_pa = zone_pressure_pa(state, idle_house(day)) - zone_pressure_pa(state, day)
    spills = response.spills_beyond(catalog.number(SETTINGS, "allowed_s"))
    weight = np.exp(state.chance.log_weight)
    pressure, outdoor = question("pressure"), question("outdoor")
    rows, kinds, at = [], [], 0
    for house in group:
        fixed = answers_of_case(house.case)
        for warm in house.outdoor_f:
            given = {
                **fixed,
                "pressure": pressure.answer_for(float(net_pa[at])),
                "outdoor": outdoor.answer_for(float(warm)),
            }
            rows.append(design_row(given))
            kinds.append(house.kind)
            at += 1
    return np.array(rows, dtype=np.float64), spills, weight, np.array(kinds, dtype=np.float64)
