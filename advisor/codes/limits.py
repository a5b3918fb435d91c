"""Limits of the combustion-safety test: depressurization, draft, spillage time, carbon monoxide.

Depressurization and draft are positive pascals; depressurization is net of the baseline. Today's governing judgement is
whether the appliance spills, not the pascal reading (ANSI/BPI-1200): every check says so.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import inf
from typing import Literal

import numpy as np

from advisor.catalog import rows_by, rows_of
from advisor.codes.check import Check
from advisor.codes.compose import Basis, compose, outcome, verdict_of
from advisor.codes.tables import DepressurizationRow, DraftRow, SpillageRow
from advisor.codes.unknown import named, what_to_do
from advisor.errors import InputError, suggest
from advisor.findings import Finding, Quantity, Words, finding, listed, quantity

Shared = Literal["none", "furnace", "damped furnace", "induced draft"]
ApplianceDraft = Literal["natural draft", "induced draft", "power vent", "sealed"]

DEFAULT_SPILLAGE_KEY = "bpi1200_wh"
DEFAULT_SCHEME = "older_bpi"
NO_PASCAL_LIMIT = "ansi_bpi_1200"
GOVERNING = finding("codes_limits.governing")
"""Whether the appliance spills governs, not the pascal reading."""
_NOTED = frozenset(("sealed_or_inducer", "sealed_mn", "canada_spillage_gas"))
"""Rows of the table with a remark of their own."""


def schemes() -> dict[str, dict[str, DepressurizationRow]]:
    """Return the row of each situation by scheme (``catalog/codes/depressurization_limits.csv``).

    Returns
    -------
    dict
        Situations are ``orphan``, ``individual``, what shares the vent (``Shared``), and appliances without a hood.
    """
    found: dict[str, dict[str, DepressurizationRow]] = {}
    for row in rows_of(DepressurizationRow, "depressurization_limits"):
        if row.scheme_id:
            found.setdefault(row.scheme_id, {}).update((situation, row) for situation in row.situations)
    return found


@dataclass(frozen=True, slots=True)
class DepressurizationLimit:
    """A published depressurization limit.

    Parameters
    ----------
    key, scheme : str
        Row of ``catalog/codes/depressurization_limits.csv``.
    system : finding
        Appliance and vent that it is printed for.
    limit_pa : float or None
        None: the scheme has no pascal limit.
    note : finding
        The conflict of the sources where there is one, and what governs.
    other_pa : float or None
        The other reading in a conflict.
    status, source, clause : str
        Status, source ids, and how the row is cited.
    """

    key: str
    system: Words
    scheme: str
    limit_pa: float | None
    note: Words
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
        What shares the vent: ``none``, ``furnace`` (natural draft), ``damped furnace`` (with a vent damper),
        ``induced draft``.
    scheme : str
        ``scheme_id`` of ``catalog/codes/depressurization_limits.csv``.
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
    found = schemes()
    if scheme not in found:
        raise InputError(f"scheme '{scheme}'{suggest(scheme, found)}: one of {', '.join(found)}")
    rows = found[scheme]
    if scheme == NO_PASCAL_LIMIT:
        return _limit(rows["all"], GOVERNING, None)
    if appliance == "natural draft":
        alone = "orphan" if orphan or masonry_or_exterior else "individual"
        situation: str = alone if shared == "none" else shared
    else:
        situation = "lone inducer" if appliance == "induced draft" and shared == "none" else appliance
    if situation not in rows:
        raise InputError(f"scheme '{scheme}' has no depressurization limit for '{situation}': one of {', '.join(rows)}")
    return _conflicting(rows, situation) or _limit(rows[situation], _own_note(rows[situation]), None)


def _conflicting(rows: dict[str, DepressurizationRow], situation: str) -> DepressurizationLimit | None:
    """Return the limit of a heater alone on its vent where the list prints two; None where it prints one."""
    if situation not in ("orphan", "individual") or rows["orphan"].key == rows["individual"].key:
        return None
    row, other_row = rows[situation], rows["individual" if situation == "orphan" else "orphan"]
    other = other_row.max_depressurization_pa
    note = finding(
        f"codes_limits.conflict_{situation}",
        limit=quantity(row.max_depressurization_pa, "pa"),
        system=_system(row),
        other=quantity(other, "pa"),
        other_system=_system(other_row),
        governing=GOVERNING,
    )
    return _limit(row, note, other)


def _system(row: DepressurizationRow) -> Finding:
    return finding(f"codes_limits.system.{row.key}")


def _own_note(row: DepressurizationRow) -> Finding:
    if row.key not in _NOTED:
        return GOVERNING
    return finding("codes_limits.note", note=finding(f"codes_limits.note.{row.key}"), governing=GOVERNING)


def _limit(row: DepressurizationRow, note: Finding, other_pa: float | None) -> DepressurizationLimit:
    clause, limit_pa = f"{row.scheme} {row.ref}".strip(), row.max_depressurization_pa
    return DepressurizationLimit(
        row.key, _system(row), row.scheme, limit_pa, note, other_pa, row.status, row.source, clause
    )


def check_depressurization(net_depressurization_pa: float | None, limit: DepressurizationLimit) -> Check:
    """Compare a net zone depressurization (worst case minus baseline, positive Pa) with a limit."""
    basis = (Basis(limit.status, limit.source),)
    net = quantity(net_depressurization_pa, "pa", 1)
    if limit.limit_pa is None:
        return compose(
            "zone_depressurization",
            limit.clause,
            "not applicable",
            finding("codes_limits.no_pascal_limit"),
            finding("codes_limits.no_pascal_limit_official", net=net, governing=GOVERNING),
            basis,
            provided=net,
        )
    ok = None if net_depressurization_pa is None else net_depressurization_pa <= limit.limit_pa
    most = quantity(limit.limit_pa, "pa")
    return compose(
        "zone_depressurization",
        limit.clause,
        verdict_of(ok),
        finding("codes_limits.depressurization", net=net, limit=most),
        finding("codes_limits.depressurization_official", net=net, limit=most, system=limit.system, note=limit.note),
        basis,
        required=finding("codes_limits.at_most_net", limit=most),
        provided=net,
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


def _draft_rows() -> list[DraftRow]:
    """Return the least drafts of gas appliances, as the heater is one; the rows of oil burners stand beside them."""
    return [row for row in rows_of(DraftRow, "min_draft") if row.fuel == "gas"]


def minimum_draft_pa(outdoor_temp_f: float) -> float:
    """Return the minimum draft of a gas appliance at an outdoor temperature.

    Linear between the rows of ``catalog/codes/min_draft.csv`` and constant beyond them, which is the published rule: 2.5 Pa
    below 10 F, 2.75 - T/40 between, 0.5 Pa above 90 F (older BPI, as a reprint quotes it).

    Raises
    ------
    InputError
        If the temperature is not finite.
    """
    if not np.isfinite(outdoor_temp_f):
        raise InputError(f"outdoor_temp_f = {outdoor_temp_f}: must be a finite number")
    rows = _draft_rows()
    temps = [row.outdoor_temp_f for row in rows]
    return float(np.interp(outdoor_temp_f, temps, [row.min_draft_pa for row in rows]))


def check_draft(draft_pa: float | None, outdoor_temp_f: float | None) -> Check:
    """Compare a measured draft (positive Pa) with the minimum of the older rule; today it is no pass or fail."""
    row = _draft_rows()[0]
    need = None if outdoor_temp_f is None else minimum_draft_pa(outdoor_temp_f)
    ok = None if draft_pa is None or need is None else draft_pa >= need
    draft, least = quantity(draft_pa, "pa", 2), quantity(need, "pa", 2)
    return compose(
        "minimum_draft",
        row.ref,
        verdict_of(ok),
        finding("codes_limits.draft"),
        finding("codes_limits.draft_official", draft=draft, outdoors=quantity(outdoor_temp_f, "f"), least=least),
        (row,),
        required=finding("codes_limits.at_least", limit=least),
        provided=draft,
    )


@dataclass(frozen=True, slots=True)
class SpillageLine:
    """One published time within which spillage must stop."""

    key: str
    what: Words
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
    row = rows_by(SpillageRow, "spillage_time", "key")[key]
    what = finding(f"codes_limits.line.{key}")
    return SpillageLine(key, what, row.value, row.scheme, row.status, row.source)


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
    given: Finding | Quantity = quantity(seconds_to_draft, "s")
    if seconds_to_draft == inf:
        given = finding("codes_limits.never")
    elif seconds_to_draft is None and watched_s is not None:
        given = finding("codes_limits.still_spilling", watched=quantity(watched_s, "s"))
        ok = False if watched_s >= line.limit_s else None
    limit = quantity(line.limit_s, "s")
    return compose(
        "spillage_time",
        line.scheme,
        verdict_of(ok),
        finding("codes_limits.spillage", limit=limit, given=given),
        finding("codes_limits.spillage_official", limit=limit, given=given, what=line.what),
        (Basis(line.status, line.source),),
        required=finding("codes_limits.at_most", limit=limit),
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
    others = [spillage_line(k) for k in SPILLAGE_KEYS if k != key]
    words = (_other_line(line, seconds_to_draft, watched_s) for line in others)
    times = (quantity(t, "s") for t in sorted({line.limit_s for line in others}))
    found = compose(
        "spillage_time_other_published_lines",
        "; ".join(dict.fromkeys(line.scheme for line in others)),
        "not applicable",
        finding("codes_limits.other_lines", times=listed(times, "or")),
        finding(
            "codes_limits.other_lines_official",
            lines=listed(words, "semicolon"),
            limit=judged.required,
            clause=judged.clause,
        ),
        [Basis(line.status, line.source) for line in others],
        provided=judged.provided,
    )
    return judged, found


def _other_line(line: SpillageLine, seconds_to_draft: float | None, watched_s: float | None) -> Finding:
    verdict = check_spillage_time(seconds_to_draft, line.key, watched_s=watched_s).verdict
    held = outcome({"pass": True, "fail": False}.get(verdict))
    return finding(
        f"codes_limits.other_line_{held}", scheme=line.scheme, what=line.what, limit=quantity(line.limit_s, "s")
    )
