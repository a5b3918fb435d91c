"""Limits of the combustion-safety test: depressurization, draft, spillage time, carbon monoxide.

Depressurization and draft are positive pascals; depressurization is net of the baseline. Today's governing judgement is
whether the appliance spills, not the pascal reading (ANSI/BPI-1200): every check says so.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from advisor import catalog
from advisor.catalog import Row
from advisor.codes.check import Check
from advisor.codes.compose import Basis, basis_of, compose, number_text, verdict_of
from advisor.codes.unknown import named, what_to_do
from advisor.errors import InputError, suggest
from advisor.findings import finding, quantity

Shared = Literal["none", "furnace", "furnace with damper", "induced draft"]
ApplianceDraft = Literal["natural draft", "induced draft", "power vent", "sealed"]

DEFAULT_SPILLAGE_KEY = "bpi1200_wh"
GOVERNING = "the spillage outcome governs, not the pascal reading (ANSI/BPI-1200)"

_SCHEMES: Mapping[str, Mapping[str, str]] = {
    "older BPI": {
        "orphan": "wh_orphan",
        "individual": "nd_individual",
        "furnace": "nd_common_wh",
        "furnace with damper": "nd_damper_common_wh",
        "induced draft": "id_common_wh",
        "induced draft alone": "id_alone",
        "power vent": "id_alone",
        "sealed": "sealed_or_inducer",
    },
    "Minnesota-type audit practice": {
        "orphan": "wh_alone_mn",
        "individual": "wh_alone_mn",
        "furnace": "wh_common_mn",
        "furnace with damper": "nd_damper_mn",
        "induced draft": "id_mn",
        "induced draft alone": "id_mn",
        "power vent": "pv_mn",
        "sealed": "sealed_mn",
    },
    "ANSI/BPI-1200": {},
    "CSA F326 and Canadian tight-house practice": dict.fromkeys(
        ("orphan", "individual", "furnace", "furnace with damper"), "canada_spillage_gas"
    ),
}
SCHEMES = tuple(_SCHEMES)
DEFAULT_SCHEME = SCHEMES[0]


def row_by_key(table: str, key: str) -> Row:
    """Return the row with a ``key`` of a limit table.

    Raises
    ------
    InputError
        If there is no such key.
    """
    rows = {row["key"]: row for row in catalog.table(table)}
    if key not in rows:
        raise InputError(f"{table}: no row '{key}'{suggest(key, rows)}; one of {', '.join(rows)}")
    return rows[key]


@dataclass(frozen=True, slots=True)
class DepressurizationLimit:
    """A published depressurization limit.

    Parameters
    ----------
    key, system, scheme : str
        Row of ``catalog/codes/depressurization_limits.csv``.
    limit_pa : float or None
        None: the scheme has no pascal limit.
    note : str
        The conflict of the sources where there is one, and what governs.
    other_pa : float or None
        The other reading in a conflict.
    status, source, clause : str
        Status, source ids, and how the row is cited.
    """

    key: str
    system: str
    scheme: str
    limit_pa: float | None
    note: str
    other_pa: float | None
    status: str
    source: str
    clause: str


def depressurization_limit(
    orphan: bool,
    masonry_or_exterior: bool,
    shared: Shared = "none",
    scheme: str = DEFAULT_SCHEME,
    appliance: ApplianceDraft = "natural draft",
) -> DepressurizationLimit:
    """Return the depressurization limit for a water heater and its vent.

    Parameters
    ----------
    orphan : bool
        Whether the heater is alone on a vent that was sized for two appliances.
    masonry_or_exterior : bool
        Whether its vent is a masonry or an exterior chimney.
    shared : str
        What shares the vent: ``none``, ``furnace`` (natural draft), ``furnace with damper``, ``induced draft``.
    scheme : str
        One of ``SCHEMES``.
    appliance : str
        ``natural draft`` (default), ``induced draft``, ``power vent`` or ``sealed``.

    Returns
    -------
    DepressurizationLimit
        The older list prints 2 Pa for an orphan and 5 Pa for an individually vented heater: 2 is used when the heater
        is an orphan or on a masonry or exterior chimney, 5 only for an individual, correctly sized Type B vent.

    Raises
    ------
    InputError
        If the scheme, the sharing or the appliance is not known, or the scheme has no row for it.
    """
    if scheme not in _SCHEMES:
        raise InputError(f"scheme '{scheme}'{suggest(scheme, SCHEMES)}: one of {', '.join(SCHEMES)}")
    if scheme == "ANSI/BPI-1200":
        return _limit(row_by_key("depressurization_limits", "bpi1200_none"), "", None)
    if appliance == "natural draft":
        alone = "orphan" if orphan or masonry_or_exterior else "individual"
        situation: str = alone if shared == "none" else shared
    else:
        situation = "induced draft alone" if appliance == "induced draft" and shared == "none" else appliance
    keys = _SCHEMES[scheme]
    if situation not in keys:
        raise InputError(f"scheme '{scheme}' has no depressurization limit for '{situation}': one of {', '.join(keys)}")
    row = row_by_key("depressurization_limits", keys[situation])
    note, other = "", None
    if situation in ("orphan", "individual") and len({keys["orphan"], keys["individual"]}) > 1:
        other_row = row_by_key("depressurization_limits", keys["individual" if situation == "orphan" else "orphan"])
        other = float(other_row["max_depressurization_pa"])
        note = (
            f"the list prints {row['max_depressurization_pa']} Pa for '{row['system']}' and {other:g} Pa for "
            f"'{other_row['system']}'; "
            + (
                "the lower is used because the heater is alone on an oversized, masonry or exterior vent"
                if situation == "orphan"
                else "the higher holds only for a correctly sized individual Type B vent"
            )
        )
    return _limit(row, note, other)


def _limit(row: Row, note: str, other_pa: float | None) -> DepressurizationLimit:
    pascals = row["max_depressurization_pa"]
    words = "; ".join(filter(None, [note, row["note"] if not note else "", GOVERNING]))
    clause = f"{row['scheme']} {row['ref']}".strip()
    value = float(pascals) if pascals else None
    return DepressurizationLimit(
        row["key"], row["system"], row["scheme"], value, words, other_pa, row["status"], row["source"], clause
    )


def check_depressurization(net_depressurization_pa: float | None, limit: DepressurizationLimit) -> Check:
    """Compare a net zone depressurization (worst case minus baseline, positive Pa) with a limit."""
    basis = (Basis(limit.status, limit.source),)
    if limit.limit_pa is None:
        return compose(
            "zone depressurization",
            limit.clause,
            "not applicable",
            "This test standard does not judge the pressure; it judges whether the appliance spills.",
            f"Net {number_text(net_depressurization_pa, 1, 'Pa')}; no pascal limit: {GOVERNING}.",
            basis,
            provided=number_text(net_depressurization_pa, 1, "Pa"),
        )
    ok = None if net_depressurization_pa is None else net_depressurization_pa <= limit.limit_pa
    return compose(
        "zone depressurization",
        limit.clause,
        verdict_of(ok),
        f"The fans pull the room {number_text(net_depressurization_pa, 1, 'Pa')} below outdoors; up to "
        f"{number_text(limit.limit_pa)} Pa is the usual limit for this vent, but what counts is whether it spills.",
        f"Net depressurization {number_text(net_depressurization_pa, 1, 'Pa')} against {number_text(limit.limit_pa)} "
        f"Pa ({limit.system}); {limit.note}.",
        basis,
        required=f"at most {number_text(limit.limit_pa)} Pa net of baseline",
        provided=number_text(net_depressurization_pa, 1, "Pa"),
    )


def check_possible_depressurization(
    net_depressurization_pa: float | None, limits: Sequence[DepressurizationLimit], missing: Sequence[str]
) -> Check:
    """Compare a net zone depressurization with the strictest limit that may hold here.

    Parameters
    ----------
    net_depressurization_pa : float or None
        Worst case minus baseline, positive Pa.
    limits : sequence of DepressurizationLimit
        Every limit that may hold as long as something is not known; all with a pascal limit.
    missing : sequence of str
        What is not known (ids of ``catalog/codes/check_inputs.csv``).

    Returns
    -------
    Check
        ``unknown`` when the limits do not agree on the reading; it says that the strictest was used.
    """
    strictest, laxest = (pick(limits, key=lambda item: item.limit_pa or 0.0) for pick in (min, max))
    check = check_depressurization(net_depressurization_pa, strictest)
    if strictest.limit_pa == laxest.limit_pa:
        return check
    official = finding(
        "codes_limits.stricter_used", official=check.official, missing=named(missing), how=what_to_do(missing)
    )
    if check_depressurization(net_depressurization_pa, laxest).verdict == check.verdict:
        return replace(check, official=official)
    return replace(
        check,
        verdict="unknown",
        client=finding(
            "codes_limits.between_two",
            strict=quantity(strictest.limit_pa, "pa"),
            lax=quantity(laxest.limit_pa, "pa"),
            how=what_to_do(missing),
        ),
        official=official,
        missing=tuple(missing),
        usual="fail",
    )


def minimum_draft_pa(outdoor_temp_f: float) -> float:
    """Return the minimum draft at an outdoor temperature.

    Linear between the rows of ``catalog/codes/min_draft.csv`` and constant beyond them, which is the published rule: 2.5 Pa
    below 10 F, 2.75 - T/40 between, 0.5 Pa above 90 F (older BPI, from memory).

    Raises
    ------
    InputError
        If the temperature is not finite.
    """
    if not np.isfinite(outdoor_temp_f):
        raise InputError(f"outdoor_temp_f = {outdoor_temp_f}: must be a finite number")
    rows = catalog.table("min_draft")
    temps = [float(row["outdoor_temp_f"]) for row in rows]
    return float(np.interp(outdoor_temp_f, temps, [float(row["min_draft_pa"]) for row in rows]))


def check_draft(draft_pa: float | None, outdoor_temp_f: float | None) -> Check:
    """Compare a measured draft (positive Pa) with the minimum of the older rule; today it is no pass or fail."""
    row = catalog.table("min_draft")[0]
    need = None if outdoor_temp_f is None else minimum_draft_pa(outdoor_temp_f)
    ok = None if draft_pa is None or need is None else draft_pa >= need
    return compose(
        "minimum draft",
        "older BPI minimum draft rule (no longer pass or fail in ANSI/BPI-1200)",
        verdict_of(ok),
        "This compares the pull of the vent with an older trade rule; a low value only warns, spillage decides.",
        f"Draft {number_text(draft_pa, 2, 'Pa')} at {number_text(outdoor_temp_f, 0, 'F')} outdoors against at least "
        f"{number_text(need, 2, 'Pa')}.",
        (basis_of(row),),
        required=f"at least {number_text(need, 2, 'Pa')}",
        provided=number_text(draft_pa, 2, "Pa"),
    )


@dataclass(frozen=True, slots=True)
class SpillageLine:
    """One published time within which spillage must stop."""

    key: str
    what: str
    limit_s: float
    scheme: str
    status: str
    source: str


# the trip time of a spill switch is a rule for the switch, no time for which gas may come out
SPILLAGE_KEYS = ("bpi_older_any", "bpi1200_wh", "bpi1200_cold", "fuel_gas_code")


def spillage_line(key: str = DEFAULT_SPILLAGE_KEY) -> SpillageLine:
    """Return one line of ``catalog/codes/spillage_time.csv``; the default is the water-heater line of ANSI/BPI-1200.

    Raises
    ------
    InputError
        If the key is not one of ``SPILLAGE_KEYS``.
    """
    if key not in SPILLAGE_KEYS:
        raise InputError(f"spillage scheme '{key}'{suggest(key, SPILLAGE_KEYS)}: one of {', '.join(SPILLAGE_KEYS)}")
    row = row_by_key("spillage_time", key)
    return SpillageLine(key, row["what"], float(row["value"]), row["scheme"], row["status"], row["source"])


def check_spillage_time(
    seconds_to_draft: float | None, key: str = DEFAULT_SPILLAGE_KEY, *, watched_s: float | None = None
) -> Check:
    """Compare the time until spillage stopped with one published line.

    Parameters
    ----------
    seconds_to_draft : float or None
        Seconds after main-burner start; ``math.inf`` when it never stopped; None: not recorded, or still spilling when
        the watch ended (then give ``watched_s``).
    key : str
        One of ``SPILLAGE_KEYS``.
    watched_s : float or None
        How long the appliance was watched while it still spilled; a watch shorter than the line decides nothing.
    """
    if seconds_to_draft is not None and not seconds_to_draft >= 0:
        raise InputError(f"seconds_to_draft = {seconds_to_draft}: must be at least 0 (inf: never)")
    line = spillage_line(key)
    ok = None if seconds_to_draft is None else seconds_to_draft <= line.limit_s
    given = number_text(seconds_to_draft, 0, "s")
    if seconds_to_draft == float("inf"):
        given = "never"
    elif seconds_to_draft is None and watched_s is not None:
        given = f"still spilling after {number_text(watched_s, 0)} s"
        ok = False if watched_s >= line.limit_s else None
    return compose(
        "spillage time",
        line.scheme,
        verdict_of(ok),
        f"After the burner starts, gas may come out of the hood for at most {number_text(line.limit_s, 0)} s by this "
        f"rule; here: {given}.",
        f"Spillage stopped: {given}; limit {number_text(line.limit_s, 0)} s ({line.what}).",
        (Basis(line.status, line.source),),
        required=f"at most {number_text(line.limit_s, 0)} s",
        provided=given,
    )


def spillage_checks(
    seconds_to_draft: float | None, key: str = DEFAULT_SPILLAGE_KEY, *, watched_s: float | None = None
) -> tuple[Check, Check]:
    """Compare the time with the line that judges, then name the other lines, which only inform.

    Parameters
    ----------
    seconds_to_draft, watched_s : float or None
        As in ``check_spillage_time``.
    key : str
        The line that judges this run.

    Returns
    -------
    tuple of two Check
        The judgement first. The same house can fail one line and pass another, so the others are named, without a
        verdict: ``not applicable``.
    """
    judged = check_spillage_time(seconds_to_draft, key, watched_s=watched_s)
    others = [k for k in SPILLAGE_KEYS if k != key]
    held = {"pass": "met", "fail": "not met"}
    words = "; ".join(
        f"{line.scheme}, {line.what}: {number_text(line.limit_s, 0)} s "
        f"({held.get(check_spillage_time(seconds_to_draft, k, watched_s=watched_s).verdict, 'not decided')})"
        for k in others
        for line in (spillage_line(k),)
    )
    times = sorted({spillage_line(k).limit_s for k in others})
    found = compose(
        "spillage time, other published lines",
        "; ".join(dict.fromkeys(spillage_line(k).scheme for k in others)),
        "not applicable",
        f"For information: other published rules allow {' or '.join(number_text(t, 0) for t in times)} s; they do not "
        "judge this test.",
        f"For information: {words}. The line that judges is {judged.required} ({judged.clause}).",
        [Basis(spillage_line(k).status, spillage_line(k).source) for k in others],
        provided=judged.provided,
    )
    return judged, found
