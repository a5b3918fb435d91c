"""The stresses by id, and how they are named: every number in their words comes from the catalog."""

from __future__ import annotations

from typing import Literal

from advisor import catalog
from advisor.ensemble.conditions import STRESSES
from advisor.findings import Finding, Quantity, finding, listed, quantity

Form = Literal["stress", "stress_name", "stress_tried"]
"""``stress``: in what a share holds ("on a mild day"); ``stress_name``: head of a row; ``stress_tried``: in a list."""


def _quantities(row: catalog.Row) -> dict[str, Quantity]:
    """Return what a stress changes, to be said: ``day``, ``wind``, ``tightened`` and ``flow`` as far as it has them."""
    found: dict[str, Quantity] = {}
    for name, column, unit in (
        ("day", "outdoor_temp_f", "f"),
        ("wind", "wind_mph", "mph"),
        ("flow", "extra_exhaust_cfm", "cfm"),
    ):
        if row[column]:
            found[name] = quantity(catalog.number("conditions", row[column]), unit)
    if row["leakage_factor"]:
        factor = catalog.number("conditions", row["leakage_factor"])
        found["tightened"] = quantity(100.0 * (1.0 - factor), "pct", digits=0)
    return found


def stress(name: str, form: Form = "stress") -> Finding:
    """Return a stress as it is named.

    Parameters
    ----------
    name : str
        Id in ``catalog/ranking/stresses.csv``.
    form : {"stress", "stress_name", "stress_tried"}
        Kind of message.
    """
    row = next(row for row in catalog.table("stresses") if row["id"] == name)
    return finding(f"ranking.{form}.{name}", **_quantities(row))


def all_tried() -> Finding:
    """Return all stresses in one list, in the order of the catalog."""
    return finding("ranking.stresses_tried", stresses=listed(stress(name, "stress_tried") for name in STRESSES))
