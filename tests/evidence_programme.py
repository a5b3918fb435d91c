"""Houses like those of a published field programme (cold climate, basements, measured air leakage), for the tests.

The shares are in ``catalog/evidence_programme.csv``, the published findings in ``catalog/evidence_field.csv``.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from advisor import catalog, units
from advisor.case.model import Case
from advisor.ensemble.conditions import idle_house, worst_case
from advisor.ensemble.draw import draw_at
from advisor.ensemble.respond import respond, zone_pressure_pa
from advisor.ensemble.uniforms import Uniforms
from advisor.evidence.causes import vent_made_good
from advisor.evidence.likelihood import allowed_seconds
from advisor.risk.weather import temperatures_f

CLIMATE = "6A"
EACH = 4


def number(key: str) -> float:
    return catalog.number("evidence_field", key)


class Stock:
    """Draws answers by their shares."""

    def __init__(self, rng: np.random.Generator) -> None:
        self.rng = rng
        self.shares: dict[str, list[tuple[str, float]]] = {}
        for row in catalog.table("evidence_programme"):
            self.shares.setdefault(row["feature"], []).append((row["choice"], float(row["share"])))

    def pick(self, feature: str) -> str:
        choices, shares = zip(*self.shares[feature], strict=True)
        return str(self.rng.choice(choices, p=np.array(shares) / sum(shares)))

    def case(self) -> Case:
        pick = self.pick
        volume, vertical, shared = float(pick("volume")), pick("vertical"), pick("shared")
        ach50 = number("programme_ach50_before") * number("programme_ach50_gsd") ** self.rng.standard_normal()
        exhaust: list[dict[str, Any]] = [
            {"name": f"bath fan {i}", "kind": "bath fan", "rated_cfm": number("bath_fan_label_cfm")}
            for i in range(int(pick("bath fans")))
        ]
        hood = pick("hood")
        if hood != "none":
            label = {"rated_cfm": number("range_hood_label_cfm")} if hood == "range hood" else {}
            exhaust.append({"name": hood, "kind": hood, **label})
        if pick("dryer") == "yes":
            exhaust.append({"name": "dryer", "kind": "dryer", "rated_cfm": number("dryer_label_cfm"), "in_zone": True})
        warm = float(temperatures_f(CLIMATE, np.array(self.rng.random())))
        return Case.model_validate(
            {
                "house": {
                    "climate_zone": CLIMATE,
                    "volume_ft3": volume,
                    "stories": int(pick("stories")),
                    "foundation": "conditioned basement",
                    "leakage_cfm50": ach50 * volume / 60.0,
                },
                "zone": {"kind": "basement", "door": "none"},
                "heater": {"input_btu_h": 40000.0},
                "vent": {
                    "vertical": vertical,
                    "height_ft": float(pick("height")),
                    "exterior": vertical != "type b" and pick("exterior") == "yes",
                    "cap": "listed",
                },
                "shared_appliance": None if shared == "none" else {"draft": shared},
                "exhaust": exhaust,
                # ducts inside a heated basement lose no air to outdoors
                "air_handler": {"present": pick("handler") == "yes", "in_zone": False, "supply_leak_cfm": 0.0},
                "run": [{"seen": "unclear", "outdoor_temp_f": warm}],
            }
        )


@dataclass(frozen=True)
class Programme:
    """Shares over the simulated houses; ``pressure`` and ``vent`` are shares of the failures."""

    fails: float
    pressure: float
    vent: float
    both: float
    neither: float
    natural: float
    net_pa: np.ndarray
    weight: np.ndarray


def simulate(houses: int, seed: int) -> Programme:
    """Put houses through a worst-case test, and the failures through it again with one kind of fault removed."""
    stock = Stock(np.random.default_rng(seed))
    points = Uniforms.sobol(houses * EACH, seed).points
    rows = []
    for i in range(houses):
        case = stock.case()
        state = draw_at(case, Uniforms(points[:, i * EACH : (i + 1) * EACH]))
        day = worst_case(case, state)
        allowed = allowed_seconds(case)
        fails = respond(state, day).spills_beyond(allowed)
        quiet = replace(idle_house(day), interior_doors_shut=False)
        natural = respond(state, quiet).spills_beyond(allowed)
        pressure = respond(state, quiet).spills_beyond(allowed)
        vent = respond(vent_made_good(state), day).spills_beyond(allowed)
        net = zone_pressure_pa(state, quiet) - zone_pressure_pa(state, day)
        rows.append(np.stack([np.exp(state.log_weight), fails, 1 - pressure, 1 - vent, natural, net]))
    weight, fails, pressure, vent, natural, net = np.hstack(rows)

    def share(of: np.ndarray) -> float:
        return float(np.sum(weight * fails * of) / np.sum(weight * fails))

    return Programme(
        float(np.average(fails, weights=weight)),
        share(pressure),
        share(vent),
        share(pressure * vent),
        share((1 - pressure) * (1 - vent)),
        float(np.average(natural, weights=weight)),
        net,
        weight / weight.sum(),
    )
