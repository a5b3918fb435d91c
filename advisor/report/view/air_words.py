"""A drawing of the house's air in words: what was read and seen first, then what is modelled."""

from __future__ import annotations

from advisor.ranking.air_balance import AirBalance
from advisor.report.view.units_text import Units

PLACE_WORDS = {"house": "house", "zone": "heater's room"}
SEEN_WORDS = {
    "spills": "Seen: gas came out into the room.",
    "drafts": "Seen: the heater drafted in its test.",
    "unknown": "Not known: no valid test shows which way the vent flows.",
}
NOT_EXPLAINED = "The model cannot show that, so the vent is drawn as not known."
TO_PROVE = "Only a retest can prove it."


def below_words(pascals: float, units: Units) -> str:
    """Return a depressurization in words."""
    if abs(pascals) < 0.05:
        return "level with outdoors"
    return f"{units.pressure(abs(pascals))} {'below' if pascals > 0 else 'above'} outdoors"


def read_words(balance: AirBalance, units: Units) -> str:
    """Return the zone pressure as read; empty where nobody read it."""
    if balance.read_zone_pa is None:
        return ""
    pascals = balance.read_zone_pa
    side = "" if abs(pascals) < 0.05 else " below outdoors" if pascals > 0 else " above outdoors"
    return f"{abs(pascals):g} Pa{side}"


def balance_words(balance: AirBalance, units: Units) -> str:
    """Return the drawing in words: the reading, the record, then the modelled flows."""
    out = [f"{f.name} ({PLACE_WORDS[f.place]}) {units.flow(f.cfm)}" for f in balance.flows if f.kind == "device"]
    leaks = -sum(min(f.cfm, 0.0) for f in balance.flows if f.kind == "leak")
    openings = -sum(min(f.cfm, 0.0) for f in balance.flows if f.kind == "opening")
    supply = -sum(min(f.cfm, 0.0) for f in balance.flows if f.kind == "supply")
    read = read_words(balance, units)
    parts = [f"Read in the heater's room: {read}."] if read else []
    parts += [
        vent_sentence(balance, units),
        "Modelled, one situation that fits the record:",
        f"out: {', '.join(out)};" if out else "no fan runs;",
        f"in: {units.flow(leaks)} through leaks"
        + (f", {units.flow(openings)} through openings" if openings >= 1.0 else "")
        + (f", {units.flow(supply)} by supply fans" if supply >= 1.0 else "")
        + ".",
    ]
    if balance.shows != "unknown":
        below = below_words(balance.zone_depressurization_pa, units)
        parts.append(f"Modelled, the heater's room stands {below} at the floor while the burner fires.")
    return " ".join(parts)


def vent_sentence(balance: AirBalance, units: Units) -> str:
    """Return what the vent does: as seen, then as modelled."""
    after = balance.stage == "after"
    seen = [] if after else [SEEN_WORDS[balance.seen]]
    if balance.shows == "unknown":
        return " ".join([*seen, NOT_EXPLAINED] if balance.seen != "unknown" else seen)
    return " ".join([*seen, f"Modelled: {_way_words(balance, units)}", *([TO_PROVE] if after else [])])


def _way_words(balance: AirBalance, units: Units) -> str:
    flow, fails = units.flow(abs(balance.vent_cfm)), balance.shows == "spills"
    if fails and balance.vent_way in ("fan", "sealed"):
        return "the room pulls harder than the new heater is listed for: gas may come into the room."
    return {
        "up": f"the vent carries {flow} up and out.",
        "spills": f"the vent carries only {flow} up, so part of the burned gas comes into the room.",
        "down": f"outdoor air comes down the vent, {flow}, and all the burned gas comes into the room.",
        "fan": f"a fan in the heater blows {'its gas' if abs(balance.vent_cfm) < 0.5 else flow} outdoors.",
        "sealed": "the heater is sealed: it takes no air from the room and gives no gas to it.",
        "none": "nothing burns here, so there is no gas that could come into the room.",
        "unknown": "not known.",
    }[balance.vent_way]
