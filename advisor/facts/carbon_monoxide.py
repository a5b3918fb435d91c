"""Carbon monoxide as it was read: room and flue, beside the published levels."""

from __future__ import annotations

from collections.abc import Sequence

from advisor import catalog
from advisor.case.model import Run
from advisor.codes.co_limits import co_air_free_ppm
from advisor.codes.tables import CoLevel, co_from_ppm, co_level, co_to_ppm
from advisor.errors import InputError


def ambient_level_ppm(key: str) -> float:
    """Return from where a published level of CO in the room holds, ppm (``amb_tell``, ``amb_act``, ``amb_evacuate``)."""
    return co_from_ppm(key)


def ambient_stop_ppm() -> float:
    """Return the level of CO in the room above which a test is stopped, ppm."""
    return co_from_ppm("amb_abort_old")


def flue_co_limit_ppm() -> float:
    """Return the published limit of air-free CO in the flue of a water heater, ppm."""
    return co_to_ppm("flue_wh")


def flue_level(kind: str) -> CoLevel | None:
    """Return the published limit of CO in the flue of a kind of appliance; None where none is in the tables."""
    key = next((row["key"] for row in catalog.table("flue_co_kinds") if row["kind"] == kind), "")
    return co_level(key) if key else None


def flue_co_of(run: Run, level: CoLevel) -> float | None:
    """Return CO in the flue on the basis of its limit, ppm; None when not read."""
    return run.flue_co_ppm if level.basis == "as measured" else flue_co_ppm(run)


def flue_co_ppm(run: Run) -> float | None:
    """Return CO in the flue, ppm: air-free where O2 was read, else as measured, which is a floor; None when not read."""
    if run.flue_co_ppm is None or run.flue_o2_pct is None:
        return run.flue_co_ppm
    try:
        return co_air_free_ppm(run.flue_co_ppm, run.flue_o2_pct)
    except InputError:  # too near to plain air to convert: the reading itself is a floor
        return run.flue_co_ppm


def flue_co_air_free_ppm(runs: Sequence[Run]) -> float | None:
    """Return the highest air-free CO in the flue, ppm; None when nobody read it together with O2."""
    found = [flue_co_ppm(r) for r in runs if r.flue_o2_pct is not None]
    return max((f for f in found if f is not None), default=None)


def highest_room_co_ppm(runs: Sequence[Run]) -> float | None:
    """Return the highest CO read in the room, ppm; None when nobody read it."""
    return max((r.ambient_co_ppm for r in runs if r.ambient_co_ppm is not None), default=None)


def room_level(ppm: float | None) -> str | None:
    """Return the id of the highest published action level that a reading reaches, or None."""
    reached = [k for k in ("amb_tell", "amb_act", "amb_evacuate") if ppm is not None and ppm >= ambient_level_ppm(k)]
    return reached[-1] if reached else None
