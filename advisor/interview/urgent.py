"""What must be said at once: an answer that means danger now does not wait for the end of the interview."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from advisor.facts.now import to_do
from advisor.wording.speak import say

__all__ = ["RoomLevel", "urgent_key", "urgent_keys", "urgent_words"]

RoomLevel = Callable[[float | None], str | None]
"""Takes CO in the room, ppm; returns the id of the action level that it reaches, or None."""
OF_LEVEL = {"amb_tell": "co_tell", "amb_act": "co_act", "amb_evacuate": "co_evacuate"}
"""Row of ``catalog/codes/now.csv`` that belongs to each published level of CO in the room."""
ORDER = ("symptoms", "co_evacuate", "co_act", "spills", "co_tell")


def urgent_key(key: str, value: Any, room_level: RoomLevel | None) -> str | None:
    """Return the row of ``catalog/codes/now.csv`` that an answer asks for at once, or None.

    Parameters
    ----------
    key : str
        Key of the case, such as ``"run.seen"``.
    value : object
        The answer.
    room_level : callable, optional
        Holds a reading of CO in the room against the published levels.
    """
    if key in ("occupants.symptoms", "occupants.alarm_sounded"):
        return "symptoms" if value == "now" else None
    if key == "run.seen":
        return "spills" if value in ("spilling", "reversed") else None
    if key == "run.ambient_co_ppm" and room_level is not None:
        level = room_level(float(value))
        return OF_LEVEL[level] if level is not None else None
    return None


def urgent_keys(data: Mapping[str, Any], room_level: RoomLevel | None) -> tuple[str, ...]:
    """Return all that an unfinished case asks for at once, most urgent first, each once."""
    answers = [(f"occupants.{name}", value) for name, value in data.get("occupants", {}).items()]
    runs = data.get("run", ())
    work = next((run["after_work"] for run in reversed(runs) if "after_work" in run), None)
    present = [run for run in runs if run.get("after_work") == work]
    read = [run for run in present if "ambient_co_ppm" in run] or runs  # what was read holds until it is read anew
    answers += [("run.seen", run.get("seen")) for run in present]
    answers += [("run.ambient_co_ppm", run["ambient_co_ppm"]) for run in read if "ambient_co_ppm" in run]
    found = {urgent_key(key, value, room_level) for key, value in answers}
    return tuple(key for key in ORDER if key in found)


def urgent_words(key: str) -> str:
    """Return what a row of ``catalog/codes/now.csv`` asks for, in a sentence."""
    return say(to_do(key))
