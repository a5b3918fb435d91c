"""Every change that would make a failing single vent comply, each worked through the same checks."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace

import numpy as np

from advisor.codes import vent_tables
from advisor.codes.check import Check
from advisor.codes.compose import failed, worst_status
from advisor.codes.unknown import all_where_given
from advisor.codes.vent_findings import feet, inches, kbtu_h
from advisor.codes.vent_sizing import single_capacity, table_of, usual_single_vent, with_size
from advisor.codes.vent_types import SingleVent
from advisor.errors import InputError
from advisor.findings import Finding, Words, finding, listed, quantity

# Steps in which a lateral is shortened and a vent is raised while looking for the smallest change.
_LATERAL_STEP_FT = 0.5
_HEIGHT_STEP_FT = 1.0


@dataclass(frozen=True, slots=True)
class VentFix:
    """One change that makes the vent comply.

    Parameters
    ----------
    change : tuple of str
        Which of ``diameter``, ``elbows``, ``lateral``, ``connector``, ``height``, ``liner`` are changed.
    words : finding
        The change, and what it gives.
    vent : SingleVent
        The vent after the change.
    capacity_kbtu_h : float
        Its reduced maximum.
    status : str
        Weakest status of the numbers that carry the new answer.
    checks : tuple of Check
        Its checks: none fails; some may be ``unknown``.
    """

    change: tuple[str, ...]
    words: Words
    vent: SingleVent
    capacity_kbtu_h: float
    status: str
    checks: tuple[Check, ...]


Trial = tuple[tuple[Finding, ...], SingleVent]
"""What is changed, to be said, and the vent after it."""


def _diameters(vent: SingleVent) -> Iterator[Trial]:
    for size in vent_tables.sizes_in("single", table_of(vent), "NAT_MAX"):
        trial = with_size(vent, size)
        if trial != vent:
            part = "connector_size" if vent.vent == "masonry" else "vent_and_connector_size"
            yield (finding(f"codes_vent.fix.{part}", size=inches(size)),), trial


def _elbows(vent: SingleVent) -> Iterator[Trial]:
    # Sharp elbows are worth more, so they go first; the fewest removals come first.
    for total in range(1, vent.elbows_90 + vent.elbows_45 + 1):
        for sharp in range(min(total, vent.elbows_90), -1, -1):
            soft = total - sharp
            if soft <= vent.elbows_45:
                trial = replace(vent, elbows_90=vent.elbows_90 - sharp, elbows_45=vent.elbows_45 - soft)
                parts = [finding(f"codes_vent.fix.elbows_{a}", count=n) for n, a in ((sharp, 90), (soft, 45)) if n]
                yield (finding("codes_vent.fix.take_out", elbows=listed(parts, "and")),), trial


def _laterals(vent: SingleVent) -> Iterator[Trial]:
    start = math.ceil(vent.lateral_ft / _LATERAL_STEP_FT) * _LATERAL_STEP_FT - _LATERAL_STEP_FT
    for lateral in np.arange(start, 0.0, -_LATERAL_STEP_FT):
        shorter = finding("codes_vent.fix.lateral", length=feet(float(lateral)))
        yield (shorter,), replace(vent, lateral_ft=float(lateral))


def _connectors(vent: SingleVent) -> Iterator[Trial]:
    if vent.connector == "single wall" and vent.vent != "single wall":
        yield (finding("codes_vent.fix.double_wall"),), replace(vent, connector="type B")


def _heights(vent: SingleVent) -> Iterator[Trial]:
    _, top = vent_tables.height_range_ft("single", table_of(vent), "NAT_MAX")
    for height in np.arange(
        math.floor(vent.height_ft / _HEIGHT_STEP_FT) + _HEIGHT_STEP_FT, top + 1e-9, _HEIGHT_STEP_FT
    ):
        taller = finding("codes_vent.fix.height", from_height=feet(vent.height_ft), height=feet(float(height)))
        yield (taller,), replace(vent, height_ft=float(height))


def _liners(vent: SingleVent) -> Iterator[Trial]:
    if vent.vent == "masonry":
        for size in vent_tables.sizes_in("single", "504.2(1)", "NAT_MAX"):
            yield (
                (finding("codes_vent.fix.liner", size=inches(size)),),
                replace(
                    vent,
                    vent="corrugated liner",
                    connector="type B",
                    vent_diameter_in=size,
                    connector_diameter_in=size,
                    chimney_area_in2=None,
                ),
            )
    elif vent.vent == "single wall":
        for size in vent_tables.sizes_in("single", "504.2(1)", "NAT_MAX"):
            yield (
                (finding("codes_vent.fix.type_b", size=inches(size)),),
                replace(vent, vent="type B", connector="type B", vent_diameter_in=size, connector_diameter_in=size),
            )


_CHANGES: dict[str, Callable[[SingleVent], Iterator[Trial]]] = {
    "diameter": _diameters,
    "elbows": _elbows,
    "lateral": _laterals,
    "connector": _connectors,
    "height": _heights,
    "liner": _liners,
}
# Of these the smallest change that works is enough; of the diameters every one is listed.
_ALL_OF = frozenset({"diameter"})


def _worked(change: tuple[str, ...], said: tuple[Finding, ...], vent: SingleVent) -> VentFix | None:
    try:
        checks = usual_single_vent(vent)
    except InputError:
        return None
    found = single_capacity(vent)
    # a cell that was not read breaks no rule, but nobody can say what such a vent carries
    if failed(checks) or found.outcome != vent_tables.OK:
        return None
    status = worst_status(*(check.status for check in checks if check.verdict == "pass"))
    checks = all_where_given(checks, vent.assumed)
    words = finding(
        "codes_vent.fix.whole",
        change=listed(said, "and"),
        maximum=quantity(found.maximum_kbtu_h, "kbtu_h", 0),
        input=kbtu_h(vent.input_btu_h / 1000.0),
    )
    return VentFix(change, words, vent, found.maximum_kbtu_h, status, checks)


def _search(names: tuple[str, ...], trials: Iterable[Trial]) -> Iterator[VentFix]:
    for said, trial in trials:
        fix = _worked(names, said, trial)
        if fix is not None:
            yield fix
            if not _ALL_OF.intersection(names):
                return


def vent_fixes(vent: SingleVent) -> tuple[VentFix, ...]:
    """Return every single change that makes a failing vent comply, or, when none does, every pair of changes.

    Parameters
    ----------
    vent : SingleVent
        The vent as found.

    Returns
    -------
    tuple of VentFix
        Empty when the vent complies already, or when not even two changes help. Of elbows, lateral, height and liner
        the smallest change that works is given; of the diameters every one.
    """
    if not failed(usual_single_vent(vent)):
        return ()
    singles = tuple(fix for name, change in _CHANGES.items() for fix in _search((name,), change(vent)))
    if singles:
        return singles
    pairs: list[VentFix] = []
    for first, second in itertools.combinations(_CHANGES, 2):
        if first == "diameter" and second == "liner":
            continue  # a liner brings its own diameter
        trials = (
            ((*said, *more), trial)
            for said, changed in _CHANGES[first](vent)
            for more, trial in _CHANGES[second](changed)
        )
        found = next(_search((first, second), trials), None)
        if found is not None:
            pairs.append(found)
    return tuple(pairs)
