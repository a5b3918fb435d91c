"""Hand-made records: the sound house of the demos with a furnace, on the heater's vent or on its own."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from conftest import ROOT

from advisor.case.model import Case
from advisor.case.read import case_of, read_case

SOUND = read_case(ROOT / "demo" / "sound_house.toml").model_dump(mode="json", exclude_unset=True)
RUN = SOUND["run"][0]
FURNACE = {
    "name": "furnace",
    "kind": "furnace",
    "vent": "with the heater",
    "draft": "natural",
    "input_btu_h": 80000,
    "replaced_soon": False,
}
ALONE = {"label": "heater alone", "firing": []}
TOGETHER = {"label": "heater, all firing", "firing": ["furnace"], "vent_cold_at_start": False}
ITS_OWN = {"label": "furnace, all firing", "appliance": "furnace", "firing": ["heater"], "vent_cold_at_start": None}
SPILLS = {"seen": "spilling", "seconds_to_draft": None, "seconds_after_lit": 300, "draft_pa": None}
AFTER = {"after_work": "balanced_ventilation"}


def house(*runs: dict[str, Any], appliances: list[dict[str, Any]] | None = None, **parts: Any) -> Case:
    """Return the sound house with other appliances and runs: each is its one valid run with what differs."""
    listed = [FURNACE] if appliances is None else appliances
    shared = any(one.get("vent") == "with the heater" for one in listed)
    made = [{k: v for k, v in (RUN | run).items() if v is not None} for run in runs]
    vent = SOUND["vent"] | {"shared": shared}
    return case_of(SOUND | {"vent": vent, "appliance": listed, "run": made} | parts)


def apart(**more: Any) -> dict[str, Any]:
    """Return the furnace with a vent of its own."""
    return FURNACE | {"vent": "own"} | more


def written(case: Case, path: Path) -> Path:
    """Write a case as a file that the commands read."""
    import tomlkit

    data = json.loads(case.model_dump_json(exclude_none=True, exclude_unset=True))
    path.write_text(tomlkit.dumps(data), encoding="utf-8")
    return path
