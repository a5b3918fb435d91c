"""Houses like those of a published field programme (cold climate, basements, measured air leakage), for the tests.

The shares are in ``catalog/evidence/evidence_programme.csv``, the published findings in ``catalog/evidence/evidence_field.csv``.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from evidence_worlds import joined
from oracles.evidence import vent_made_good

from advisor import catalog, units
from advisor.case.model import Case
from advisor.ensemble.conditions import idle_house, worst_case
from advisor.ensemble.draw import draw_at
from advisor.ensemble.respond import respond, zone_pressure_pa
from advisor.ensemble.state import State
from advisor.ensemble.uniforms import Uniforms
from advisor.evidence.likelihood import allowed_seconds
from advisor.risk.weather import temperature_below_share, temperatures_f

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
        cool = float(temperature_below_share(CLIMATE, np.array(number("programme_warmest_f"))))
        warm = float(temperatures_f(CLIMATE, np.array(self.rng.random() * cool)))
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
    """Shares over the simulated houses.

    ``fails`` and ``natural``: of all houses, spilling in the worst case and with everything off. The others are shares
    of the failures: ``pressure`` drafts with the fans off, ``vent`` does not and drafts once the vent is made good,
    ``vent_alone`` drafts in the worst case once the vent is made good. ``over_pa``: net depressurization by house.
    """

    fails: float
    natural: float
    pressure: float
    vent: float
    vent_alone: float
    net_pa: np.ndarray
    weight: np.ndarray

    def over(self, limit_pa: float) -> float:
        """Share of the houses whose fans lower the zone by more than a limit."""
        return float(self.weight[self.net_pa > limit_pa].sum())


def simulate(houses: int, seed: int) -> Programme:
    """Put houses through a worst-case test, then with everything off, then with the vent made good."""
    stock = Stock(np.random.default_rng(seed))
    points = Uniforms.sobol(houses * EACH, seed).points
    groups: dict[object, list[tuple[Case, State, float]]] = {}
    for i in range(houses):
        case = stock.case()
        state = draw_at(case, Uniforms(points[:, i * EACH : (i + 1) * EACH]))
        shared = None if not case.appliance else case.appliance[0].draft
        same = (tuple(d.in_zone for d in state.devices), shared, case.air_handler.present)
        groups.setdefault(same, []).append((case, state, float(case.run[0].outdoor_temp_f or 0.0)))
    rows = []
    for group in groups.values():
        state, case = joined([s for _, s, _ in group]), group[0][0]
        outdoor = units.kelvin_from_fahrenheit(np.repeat([f for *_, f in group], EACH))
        day = replace(worst_case(case, state), outdoor_k=outdoor)
        quiet = replace(idle_house(day), interior_doors_shut=False)
        allowed, good = allowed_seconds(case), vent_made_good(state)
        fails, natural, repaired, repaired_quiet = (
            respond(s, c).spills_beyond(allowed) for s, c in ((state, day), (state, quiet), (good, day), (good, quiet))
        )
        net = zone_pressure_pa(state, quiet) - zone_pressure_pa(state, day)
        rows.append(
            np.stack(
                [np.exp(state.chance.log_weight), fails, natural, natural * (1.0 - repaired_quiet), 1.0 - repaired, net]
            )
        )
    weight, fails, natural, vent, vent_alone, net = np.hstack(rows)
    failing = weight * fails / np.sum(weight * fails)
    return Programme(
        float(np.average(fails, weights=weight)),
        float(np.average(natural, weights=weight)),
        float(failing @ (1.0 - natural)),
        float(failing @ vent),
        float(failing @ vent_alone),
        net,
        weight / weight.sum(),
    )
