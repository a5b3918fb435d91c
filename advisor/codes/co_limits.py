"""Carbon monoxide: air-free conversion, flue limits, room action levels, alarm points."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from advisor import catalog
from advisor.codes.check import Check, Verdict
from advisor.codes.compose import Basis, compose, outcome, verdict_of
from advisor.codes.tables import co_from_ppm, co_level, co_to_ppm
from advisor.codes.vent_types import require_positive
from advisor.errors import InputError
from advisor.findings import Finding, Words, finding, quantity

_FILE = "rules_limits"
CoBasis = Literal["air-free", "as measured"]
_BASIS_ID = {"air-free": "air_free", "as measured": "as_measured"}
FLUE_KEYS = ("flue_wh", "flue_furnace", "flue_oven", "flue_fridge", "z21_wh", "z21_heating", "z21_oven")


def co_air_free_ppm(co_ppm: float, oxygen_pct: float) -> float:
    """Return a flue CO reading without its dilution by air: CO x 20.9 / (20.9 - O2).

    Parameters
    ----------
    co_ppm : float
        As measured, at least 0.
    oxygen_pct : float
        Oxygen of the same dry sample, from 0 up to the limit of ``catalog/codes/rules_limits.csv``: nearer to plain air the
        conversion multiplies the meter's error without bound.

    Raises
    ------
    InputError
        If a reading is out of range.
    """
    require_positive("co_ppm", co_ppm, zero=True)
    air = catalog.number(_FILE, "oxygen_in_air_pct")
    highest = catalog.number(_FILE, "oxygen_highest_for_conversion_pct")
    if not 0.0 <= oxygen_pct <= highest:
        raise InputError(f"oxygen_pct = {oxygen_pct}: must be between 0 and {highest:g} to convert CO to air-free")
    return co_ppm * air / (air - oxygen_pct)


def _converted_ppm(co_ppm: float, oxygen_pct: float | None) -> float | None:
    """Return the air-free value, or None where oxygen was not read or the sample is too near to plain air."""
    if oxygen_pct is None or oxygen_pct > catalog.number(_FILE, "oxygen_highest_for_conversion_pct"):
        return None
    return co_air_free_ppm(co_ppm, oxygen_pct)


def check_flue_co(
    co_ppm: float | None, *, basis: CoBasis = "as measured", oxygen_pct: float | None = None, key: str = "flue_wh"
) -> Check:
    """Compare flue CO with a published limit, on the limit's own basis.

    Parameters
    ----------
    co_ppm : float or None
        Undiluted reading (upstream of the draft hood's opening).
    basis : str
        Basis of the reading; an as-measured reading is converted with ``oxygen_pct`` for an air-free limit, and never
        compared with it unconverted.
    oxygen_pct : float or None
        Oxygen of the same sample.
    key : str
        One of ``FLUE_KEYS``.

    Raises
    ------
    InputError
        If the key is unknown or a reading is out of range.
    """
    if key not in FLUE_KEYS:
        raise InputError(f"flue CO limit '{key}': one of {', '.join(FLUE_KEYS)}")
    row, limit = co_level(key), co_to_ppm(key)
    require_positive("co_ppm", co_ppm, zero=True)
    value, how = _on_the_basis_of(row.basis, limit, co_ppm, basis, oxygen_pct)
    ok = None if value is None else value <= limit
    unit = f"ppm_{_BASIS_ID[row.basis]}"
    shown, most = quantity(value, unit), quantity(limit, unit)
    what = finding(f"codes_co.what.{key}")
    return compose(
        "carbon_monoxide_in_the_flue_gas",
        f"{row.scheme} {row.ref}".strip(),
        verdict_of(ok),
        finding(f"codes_co.flue_{outcome(ok)}"),
        finding("codes_co.flue_official", what=what, value=shown, limit=quantity(limit, "ppm"), how=how),
        (row,),
        required=finding("codes_co.at_most", limit=most),
        provided=shown,
    )


def _on_the_basis_of(
    limit_basis: str, limit_ppm: float, co_ppm: float | None, basis: CoBasis, oxygen_pct: float | None
) -> tuple[float | None, Finding]:
    """Return a flue reading on the basis of a limit, None where it cannot be put there, and how it came about."""
    if limit_basis == "air-free" and basis == "as measured" and co_ppm is not None:
        how = finding("codes_co.how_converted", co=quantity(co_ppm, "ppm"), oxygen=quantity(oxygen_pct, "pct_o2", 1))
        value = _converted_ppm(co_ppm, oxygen_pct)
        if value is None and co_ppm > limit_ppm:
            return co_ppm, finding("codes_co.how_at_least", how=how)  # as measured it is a floor, whatever the oxygen
        return value, how
    if limit_basis == "as measured" and basis == "air-free":
        return None, finding("codes_co.how_not_comparable")
    return co_ppm, finding(f"codes_co.how_{_BASIS_ID[basis]}")


@dataclass(frozen=True, slots=True)
class AmbientAction:
    """What a room reading asks for.

    Parameters
    ----------
    level : str
        ``none``, ``tell``, ``act`` or ``evacuate``.
    words : finding
        What to do, in one sentence.
    abort_test : bool
        Whether a test in progress must be stopped.
    status, source : str
        Weakest status and sources of the levels used.
    """

    level: Literal["none", "tell", "act", "evacuate"]
    words: Words
    abort_test: bool
    status: str
    source: str


def ambient_action(room_co_ppm: float) -> AmbientAction:
    """Return the action for a room CO reading (ANSI/BPI-1200 levels; test abort above the older BPI level).

    Whole-number bands are read as half-open ones: a reading between two bands belongs to the lower band's upper end
    plus, so 35.5 is 'act', never a gap.

    Raises
    ------
    InputError
        If the reading is negative or not finite.
    """
    require_positive("room_co_ppm", room_co_ppm, zero=True)
    stop = room_co_ppm > co_from_ppm("amb_abort_old")
    level: Literal["none", "tell", "act", "evacuate"]
    if room_co_ppm >= co_from_ppm("amb_evacuate"):
        key, level = "amb_evacuate", "evacuate"
    elif room_co_ppm > co_to_ppm("amb_tell"):
        key, level = "amb_act", "act"
    elif room_co_ppm >= co_from_ppm("amb_tell"):
        key, level = "amb_tell", "tell"
    else:
        key, level = "amb_tell", "none"
    row = co_level(key)
    return AmbientAction(level, finding(f"codes_co.action_{level}"), stop, row.status, row.source)


def check_ambient_co(room_co_ppm: float | None) -> Check:
    """Return the room CO action as a check: pass below the first level, fail from there on."""
    row, first = co_level("amb_tell"), co_from_ppm("amb_tell")
    clause = f"{row.scheme} {row.ref}"
    below, reading = finding("codes_co.below", limit=quantity(first, "ppm")), quantity(room_co_ppm, "ppm")
    if room_co_ppm is None:
        return compose(
            "carbon_monoxide_in_the_room",
            clause,
            "unknown",
            finding("codes_co.room_unknown"),
            finding("codes_co.room_unknown_official"),
            (row,),
            required=below,
            provided=reading,
        )
    action = ambient_action(room_co_ppm)
    go_on = co_level("amb_continue_irc")
    verdict: Verdict = "pass" if action.level == "none" else "fail"
    return compose(
        "carbon_monoxide_in_the_room",
        clause,
        verdict,
        action.words,
        finding(
            "codes_co.room_official_abort" if action.abort_test else "codes_co.room_official",
            co=reading,
            level=finding(f"codes_co.level_{action.level}"),
            scheme=go_on.scheme,
            go_on=quantity(go_on.to_ppm, "ppm"),
        ),
        (row, Basis(action.status, action.source), go_on),
        required=below,
        provided=reading,
    )


@dataclass(frozen=True, slots=True)
class AlarmPoint:
    """When a listed CO alarm must be silent and when it must sound at a concentration."""

    co_ppm: float
    silent_until_min: float
    sounds_by_min: float | None
    status: str
    source: str


def alarm_points() -> tuple[AlarmPoint, ...]:
    """Return the alarm points of UL 2034 by ascending concentration."""
    points = (
        AlarmPoint(
            float(row["ppm"]),
            float(row["must_not_alarm_before_min"]),
            float(row["must_alarm_by_min"]) if row["must_alarm_by_min"] else None,
            row["status"],
            row["source"],
        )
        for row in catalog.table("co_alarm_points")
    )
    return tuple(sorted(points, key=lambda point: point.co_ppm))


def alarm_outcome(co_ppm: float, minutes: float) -> Literal["silent", "may sound", "sounds", "not defined"]:
    """Return what a listed alarm does after some minutes at a *constant* concentration, by the printed points only.

    A concentration at or above a printed point sounds at the latest when that point does; one at or below a point
    stays silent at least as long as that point does.
    """
    require_positive("co_ppm", co_ppm, zero=True)
    require_positive("minutes", minutes, zero=True)
    points = alarm_points()
    if any(p.sounds_by_min is not None and co_ppm >= p.co_ppm and minutes >= p.sounds_by_min for p in points):
        return "sounds"
    if any(co_ppm <= p.co_ppm and minutes < p.silent_until_min for p in points):
        return "silent"
    if co_ppm < points[0].co_ppm or (points[0].co_ppm < co_ppm < points[1].co_ppm):
        return "not defined"
    return "may sound"
