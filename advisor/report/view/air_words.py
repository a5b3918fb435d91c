"""A drawing of the house's air in words: what was read and seen first, then what is modelled."""

from __future__ import annotations

from advisor.findings import Finding, finding, listed, quantity
from advisor.ranking.air_balance import AirBalance, AirFlow
from advisor.report.view.figures import READ_DIGITS
from advisor.wording.speak import say

LEVEL_PA = 0.05
"""Pressure that reads as none."""


def flow_name(flow: AirFlow) -> Finding:
    """Return what a flow goes through, and in which room."""
    name = flow.name or finding(f"view.air.kind.{flow.kind.replace(' ', '_')}")
    return finding("view.air.name", name=name, place=finding(f"view.air.place.{flow.place}"))


def side_of(pascals: float) -> str:
    """Return on which side of outdoors a depressurization lies: ``below``, ``above`` or ``level``."""
    return "level" if abs(pascals) < LEVEL_PA else "below" if pascals > 0 else "above"


def _outdoors(pascals: float, digits: int | None = None) -> Finding:
    return finding(f"view.air.stands.{side_of(pascals)}", pressure=quantity(abs(pascals), "pa", digits))


def read_words(balance: AirBalance) -> str:
    """Return the zone pressure as read; empty where nobody read it."""
    if balance.read_zone_pa is None:
        return ""
    pascals = balance.read_zone_pa
    return say(finding(f"view.air.read.{side_of(pascals)}", pressure=quantity(abs(pascals), "pa", READ_DIGITS)))


def balance_words(balance: AirBalance) -> str:
    """Return the drawing in words: the reading, the record, then the modelled flows."""
    out = [
        finding("view.air.device", name=flow_name(f), flow=quantity(f.cfm, "cfm"))
        for f in balance.flows
        if f.kind == "device"
    ]
    comes_in = {kind: -sum(min(f.cfm, 0.0) for f in balance.flows if f.kind == kind) for kind in WAYS_IN}
    ways = [
        finding(f"view.air.through.{kind}", flow=quantity(cfm, "cfm"))
        for kind, cfm in comes_in.items()
        if kind == "leak" or cfm >= 1.0
    ]
    read = read_words(balance)
    parts = [finding("view.air.read_in_room", read=read)] if read else []
    goes_out = finding("view.air.out", devices=listed(out)) if out else finding("view.air.no_fan")
    parts += [
        *_vent(balance),
        finding("view.air.modelled", out=goes_out, ways=listed(ways)),
    ]
    if balance.shows != "unknown":
        parts.append(finding("view.air.room_stands", stands=_outdoors(balance.zone_depressurization_pa)))
    return say(listed(parts, "space"))


WAYS_IN = ("leak", "opening", "supply")
"""Kinds of flows by which air comes in."""


def vent_sentence(balance: AirBalance) -> str:
    """Return what the vent does: as seen, then as modelled."""
    return say(listed(_vent(balance), "space"))


def _vent(balance: AirBalance) -> list[Finding]:
    after = balance.stage == "after"
    seen = [] if after else [finding(f"view.air.seen.{balance.seen}")]
    if balance.shows == "unknown":
        return [*seen, finding("view.air.not_explained")] if balance.seen != "unknown" else seen
    modelled = finding("view.air.modelled_vent", way=_way(balance))
    return [*seen, modelled, *([finding("view.air.to_prove")] if after else [])]


def _way(balance: AirBalance) -> Finding:
    way = balance.vent_way
    if balance.shows == "spills" and way in ("fan", "sealed"):
        return finding("view.air.way.too_weak")
    if way == "fan" and abs(balance.vent_cfm) < 0.5:
        return finding("view.air.way.fan_gas")
    return finding(f"view.air.way.{way}", flow=quantity(abs(balance.vent_cfm), "cfm"))
