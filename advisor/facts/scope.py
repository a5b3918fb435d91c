"""Where the rules, tables and prices in here end for a case: what is said once, with what to do instead."""

from __future__ import annotations

from collections.abc import Iterator

from advisor import catalog
from advisor.case.model import Case
from advisor.facts import burners

SOLID = ("wood", "coal", "pellets")


def beyond(case: Case) -> Iterator[str]:
    """Yield the rows of ``catalog/codes/now.csv`` that say where the tool's scope ends for this case."""
    shared = burners.on_the_vent(case)
    if any(one.fuel in SOLID or (one.fuel is None and one.kind == "stove") for one in shared):
        yield "scope_solid_fuel"
    if any(one.fuel == "oil" for one in shared):
        yield "scope_oil_on_vent"
    if any(one.draft == "power-vented" for one in shared):
        yield "scope_fan_on_vent"
    heater = case.heater
    most_btu_h, most_gal = (
        catalog.number("rules_limits", f"household_heater_most_{unit}") for unit in ("btu_h", "gal")
    )
    if heater.input_btu_h > most_btu_h or (heater.tank_gal or 0.0) > most_gal:
        yield "scope_large"
