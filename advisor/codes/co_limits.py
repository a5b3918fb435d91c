"""Carbon monoxide: air-free conversion, flue limits, room action levels, alarm points."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from advisor import catalog
from advisor.codes.check import Check, Verdict
from advisor.codes.compose import Basis, basis_of, compose, number_text, verdict_of
from advisor.codes.limits import row_by_key
from advisor.codes.vent_types import require_positive
from advisor.errors import InputError

_FILE = "rules_limits"
CoBasis = Literal["air-free", "as measured"]
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
    row = row_by_key("co_limits", key)
    limit = float(row["to_ppm"])
    require_positive("co_ppm", co_ppm, zero=True)
    value: float | None = co_ppm
    how = f"{basis} reading"
    if row["basis"] == "air-free" and basis == "as measured" and co_ppm is not None:
        value = _converted_ppm(co_ppm, oxygen_pct)
        how = f"{number_text(co_ppm, 0)} ppm as measured at {number_text(oxygen_pct, 1, '% O2')}"
        if value is None and co_ppm > limit:
            value = co_ppm  # as measured it is a floor, whatever the oxygen
            how += "; air-free it is at least that"
    elif row["basis"] == "as measured" and basis == "air-free":
        value = None
        how = "an air-free reading cannot be compared with an as-measured limit"
    ok = None if value is None else value <= limit
    return compose(
        "carbon monoxide in the flue gas",
        f"{row['scheme']} {row['ref']}".strip(),
        verdict_of(ok),
        f"The burner {'makes' if ok is not None else 'has to be measured for'} carbon monoxide"
        + ("." if ok is None else " within the limit." if ok else " above the limit and needs service at once."),
        f"{row['what']}: {number_text(value, 0, 'ppm')} {row['basis']} against {number_text(limit, 0)} ppm ({how}).",
        (basis_of(row),),
        required=f"at most {number_text(limit, 0)} ppm {row['basis']}",
        provided=number_text(value, 0, f"ppm {row['basis']}"),
    )


def older_flue_action(co_as_measured_ppm: float) -> tuple[str, str]:
    """Return the older BPI action for an *as-measured* flue reading and the status of that band.

    Never for an air-free value: the older bands were made for undiluted readings as the meter shows them. Bands touch
    at 100 ppm; the stricter one starts above it.
    """
    require_positive("co_as_measured_ppm", co_as_measured_ppm, zero=True)
    rows = [row for row in catalog.table("co_limits") if row["key"].startswith("bpi_old_")]
    rows.sort(key=lambda row: float(row["to_ppm"] or "inf"))
    row = next(row for row in rows if co_as_measured_ppm <= float(row["to_ppm"] or "inf"))
    return row["what"], row["status"]


@dataclass(frozen=True, slots=True)
class AmbientAction:
    """What a room reading asks for.

    Parameters
    ----------
    level : str
        ``none``, ``tell``, ``act`` or ``evacuate``.
    words : str
        What to do, in one sentence.
    abort_test : bool
        Whether a test in progress must be stopped.
    status, source : str
        Weakest status and sources of the levels used.
    """

    level: Literal["none", "tell", "act", "evacuate"]
    words: str
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
    tell, act, evacuate, abort = (
        row_by_key("co_limits", key) for key in ("amb_tell", "amb_act", "amb_evacuate", "amb_abort_old")
    )
    stop = room_co_ppm > float(abort["to_ppm"] or abort["from_ppm"])
    level: Literal["none", "tell", "act", "evacuate"]
    if room_co_ppm >= float(evacuate["from_ppm"]):
        row, level = evacuate, "evacuate"
        words = "Stop, leave the building and call emergency services from outside."
    elif room_co_ppm > float(tell["to_ppm"]):
        row, level = act, "act"
        words = "Stop the test, turn the appliances off, ventilate, and have the source found and corrected."
    elif room_co_ppm >= float(tell["from_ppm"]):
        row, level = tell, "tell"
        words = "Tell the occupant and look for the source."
    else:
        row, level = tell, "none"
        words = "No action at this reading; a low reading does not prove that the appliance vents."
    return AmbientAction(level, words, stop, row["status"], row["source"])


def check_ambient_co(room_co_ppm: float | None) -> Check:
    """Return the room CO action as a check: pass below the first level, fail from there on."""
    row = row_by_key("co_limits", "amb_tell")
    first = float(row["from_ppm"])
    clause = f"{row['scheme']} action levels"
    if room_co_ppm is None:
        return compose(
            "carbon monoxide in the room",
            clause,
            "unknown",
            "Carbon monoxide in the room was not measured.",
            "Ambient CO not recorded; measure it before, during and after the test.",
            (basis_of(row),),
            required=f"below {number_text(first)} ppm",
            provided="not given",
        )
    action = ambient_action(room_co_ppm)
    go_on = row_by_key("co_limits", "amb_continue_irc")
    verdict: Verdict = "pass" if action.level == "none" else "fail"
    return compose(
        "carbon monoxide in the room",
        clause,
        verdict,
        action.words,
        f"Ambient CO {number_text(room_co_ppm, 0)} ppm: action level '{action.level}'"
        + ("; testing to be aborted" if action.abort_test else "")
        + f"; {go_on['scheme']} lets an inspection continue below {go_on['to_ppm']} ppm.",
        (basis_of(row), Basis(action.status, action.source), basis_of(go_on)),
        required=f"below {number_text(first)} ppm",
        provided=f"{number_text(room_co_ppm, 0)} ppm",
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
