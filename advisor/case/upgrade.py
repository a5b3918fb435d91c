"""Older case files: what they call by another name, put under the name that holds today.

Only names and shapes change; nothing that an older file left out becomes known.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

__all__ = ["HEATER", "OLD_KEYS", "is_old", "upgraded"]

HEATER = "heater"
"""Name of the heater itself among the appliances that fire in a run."""
OLD_KEYS = ("shared_appliance", "other_appliance")
"""Tables of older files: the appliance on the heater's vent, and those with a vent of their own."""
OLD_KIND = "furnace"
"""What an older file meant where it left the kind out."""


def is_old(data: Mapping[str, Any]) -> bool:
    """Return whether a file holds a name that no longer exists."""
    runs = data.get("run")
    inside = isinstance(runs, list) and any(isinstance(run, Mapping) and "shared_appliance" in run for run in runs)
    return inside or any(key in data for key in OLD_KEYS)


def _items(value: Any) -> bool:
    return isinstance(value, list)


def upgraded(data: Mapping[str, Any]) -> dict[str, Any]:
    """Return what a file holds under today's names; the same where it is not old.

    Parameters
    ----------
    data : mapping
        As `tomllib` reads it. Shapes that are wrong stay as they are: the reader of cases names them.

    Returns
    -------
    dict
        ``[shared_appliance]`` and ``[[other_appliance]]`` as ``[[appliance]]``, ``run.shared_appliance`` as
        ``run.firing``.
    """
    if not is_old(data) or "appliance" in data:
        return dict(data)
    shared, others = data.get("shared_appliance"), data.get("other_appliance")
    if not (shared is None or isinstance(shared, Mapping)) or not (others is None or _mappings(others)):
        return dict(data)
    found = {key: value for key, value in data.items() if key not in OLD_KEYS}
    listed = list(_named([(key, data[key]) for key in data if key in OLD_KEYS]))
    # a file with the appliance on the vent alone never said that there is no other
    if listed or others is not None:
        found["appliance"] = listed
    if others is None and shared is not None:
        found["appliances_complete"] = False
    name = next((str(one["name"]) for one in listed if one["vent"] == "with the heater"), None)
    if _items(data.get("run")):
        found["run"] = [_run(run, name) for run in data["run"]]
    return found


def _mappings(value: Any) -> bool:
    return _items(value) and all(isinstance(one, Mapping) for one in value)


def _named(tables: list[tuple[str, Any]]) -> Iterator[dict[str, Any]]:
    """Yield the appliances as the file has them, under names that differ; a name that somebody gave stays if it is free."""
    old: list[dict[str, Any]] = []
    for key, value in tables:
        if value is None:  # what a program hands over for none; TOML has no such value
            continue
        if key == "shared_appliance":
            old.append({**value, "vent": "with the heater"})
        else:
            old += [{**one, "vent": "own"} for one in value]
    taken: set[str] = {HEATER}
    for one in old:
        kind = one.get("kind", OLD_KIND)
        wanted = str(one.get("name", kind))
        name, number = wanted, 1
        while name in taken:
            number += 1
            name = f"{wanted} {number}"
        taken.add(name)
        yield {"name": name, "kind": kind, **{k: v for k, v in one.items() if k not in ("name", "kind")}}


def _run(run: Any, name: str | None) -> Any:
    """Return a run with what fired by name; a word that no older file allowed stays for the reader to name."""
    if not isinstance(run, Mapping):
        return run
    words = run.get("shared_appliance")
    if words not in ("off", "firing") or (words == "firing" and name is None):
        return run
    return {
        ("firing" if key == "shared_appliance" else key): ([name] if words == "firing" else [])
        if key == "shared_appliance"
        else value
        for key, value in run.items()
    }
