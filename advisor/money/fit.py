"""Does a replacement fit this house: hot water, vent, room, floor, standards. Wires and pipes are in `fit_services`.

Nothing that is unknown ever blocks: it gives a part that is assumed, or a note. A need that is known to be unmet gives
the priced part that meets it, or the reason why not.
"""

from __future__ import annotations

from collections.abc import Callable

from advisor.catalog import number, parameter, table
from advisor.errors import InputError
from advisor.money import fit_services as services
from advisor.money.energy import class_row, minimum_uef
from advisor.money.hot_water import (
    draw_pattern,
    first_hour_rating_gal,
    peak_hour_gal,
    peak_hour_versions,
    recovery_gal_h,
    tankless_flow_gpm,
)
from advisor.money.site import Basis, Fit, SiteFacts, Unit, class_fit

_FILE = "money_fit"
_NATURAL = ("no", "partly")


def first_hour_of(class_id: str, unit: Unit, rise_f: float | None = None) -> float:
    """Return the first-hour rating of a tank: from its label, else 0.7 of the tank plus recovery, gal."""
    if unit.first_hour_gal is not None:
        return unit.first_hour_gal
    row = class_fit(class_id)
    tank = float(row["tank_gal"]) if unit.tank_gal is None else unit.tank_gal
    heat = float(row["input_btu_h"]) if unit.input_btu_h is None else unit.input_btu_h
    return float(first_hour_rating_gal(tank, recovery_gal_h(heat, float(row["recovery_efficiency"]), rise_f)))


def flow_of(class_id: str, unit: Unit, rise_f: float | None = None) -> float:
    """Return the flow of a tankless heater: from its label, else by its input, gal/min."""
    if unit.flow_gpm is not None:
        return unit.flow_gpm
    row = class_fit(class_id)
    heat = float(row["input_btu_h"]) if unit.input_btu_h is None else unit.input_btu_h
    return float(tankless_flow_gpm(heat, float(row["recovery_efficiency"]), rise_f))


def hot_water(class_id: str, site: SiteFacts, unit: Unit, version: str) -> tuple[Fit, ...]:
    """Hold first-hour rating or flow against the busiest hour."""
    if class_fit(class_id)["kind"] == "tankless":
        has = flow_of(class_id, unit, site.temperature_rise_f)
        wants, basis = site.peak_flow_gpm, "as given"
        if wants is None and site.showers_at_once is not None:
            wants = site.showers_at_once * number(_FILE, "shower_flow_gpm")
            basis = f"{site.showers_at_once:g} showers at once"
        need, unit_word = "flow of hot water", "gal/min"
        slack = 0.0
        bigger = "take a larger or a second unit, or low-flow heads"
    else:
        has = first_hour_of(class_id, unit, site.temperature_rise_f)
        wants, basis = site.peak_hour_gal, "as given"
        if wants is None and site.peak_uses is not None:
            wants, basis = peak_hour_gal(site.peak_uses, version), f"worksheet {version}"
        need, unit_word = "hot water in the busiest hour", "gal"
        slack = parameter(_FILE, "peak_tolerance_gal").high
        bigger = "take the next tank size or a unit with a higher first-hour rating"
    if wants is None:
        return (Fit(need, "unknown", f"gives about {has:.1f} {unit_word}; nobody counted what the house needs"),)
    if has + slack >= wants:
        words = f"gives {has:.1f} {unit_word}, the house needs {wants:.1f} ({basis})"
        return (Fit(need, "ok", words, status="second-hand", source="worksheet-a;trade-recovery-note"),)
    words = f"gives {has:.1f} {unit_word}, the house needs {wants:.1f} ({basis}): {bigger}"
    return (Fit(need, "unmet", words, status="second-hand", source="worksheet-a;trade-recovery-note"),)


def equivalent_length_ft(
    straight_ft: float, elbows_90: float, elbows_45: float, elbow_90_ft: float, elbow_45_ft: float
) -> float:
    """Return the equivalent vent length: straight pipe plus the feet each elbow counts for."""
    return straight_ft + elbows_90 * elbow_90_ft + elbows_45 * elbow_45_ft


def vent_route(class_id: str, site: SiteFacts, unit: Unit) -> tuple[Fit, ...]:
    """Hold the route of a plastic or stainless vent against the class's maximum equivalent length."""
    need = "length of the vent"
    category = class_row(class_id)["vent_category"]
    if class_row(class_id)["removes_natural_draft"] in _NATURAL or category.startswith("none"):
        return ()
    if category == "direct vent, gravity":
        return _gravity_direct_vent(site)
    found: list[Fit] = []
    if site.terminal_place is False:
        words = "no place on a wall or the roof keeps the terminal clearances"
        found.append(Fit("vent terminal", "unmet", words, blocking=True, status="seen", source="nfpa54-2012"))
    elif site.terminal_place is None:
        words = "check the terminal clearances on the wall or roof before ordering"
        found.append(Fit("vent terminal", "unknown", words, status="seen", source="nfpa54-2012"))
    else:
        found.append(Fit("vent terminal", "ok", "a place with its clearances is there", source="nfpa54-2012"))
    if site.vent_straight_ft is None:
        limits = [float(row["max_equivalent_ft"]) for row in table("vent_equivalent_lengths")]
        words = f"nobody measured the route; limits differ by model, {min(limits):g} to {max(limits):g} ft equivalent"
        return (*found, Fit(need, "unknown", words, status="seen", source="manual-power-vent"))
    ninety, forty_five = site.vent_elbows_90 or 0.0, site.vent_elbows_45 or 0.0
    rows = sorted(
        (
            row
            for row in table("vent_equivalent_lengths")
            if class_id in row["class_ids"].split(";") and row["elbow_90_ft"]
        ),
        # where two families share a size the shorter limit counts: the model is not chosen yet
        key=lambda row: (float(row["pipe_diameter_in"]), float(row["max_equivalent_ft"])),
    )
    sizes: dict[float, tuple[float, float]] = {}
    for row in rows:
        length = equivalent_length_ft(
            site.vent_straight_ft, ninety, forty_five, float(row["elbow_90_ft"]), float(row["elbow_45_ft"])
        )
        sizes.setdefault(float(row["pipe_diameter_in"]), (length, float(row["max_equivalent_ft"])))
    if unit.vent_limit_ft is not None:
        usual = sizes.get(unit.vent_diameter_in or 0.0) or next(iter(sizes.values()), None)
        straight = (
            site.vent_straight_ft + ninety * services.usual_elbow_90_ft() + forty_five * services.usual_elbow_45_ft()
        )
        sizes = {unit.vent_diameter_in or 0.0: (usual[0] if usual else straight, unit.vent_limit_ft)}
    if not sizes:
        words = "the limit is in the manual of the unit: give it to check the route"
        return (*found, Fit(need, "unknown", words, status="seen", source="manual-power-vent"))
    chosen = unit.vent_diameter_in
    first = chosen if chosen in sizes else next(iter(sizes))
    length, limit = sizes[first]
    label = f"{first:g} in pipe" if first else "the unit's pipe"
    if length <= limit and None in (site.vent_elbows_90, site.vent_elbows_45):
        words = (
            f"{length:g} ft as far as it was counted, limit {limit:g} ft with {label}: count the elbows of the route"
        )
        return (*found, Fit(need, "unknown", words, status="seen", source="manual-power-vent"))
    if length <= limit:
        words = f"{length:g} ft equivalent, limit {limit:g} ft with {label}"
        return (*found, Fit(need, "ok", words, status="seen", source="manual-power-vent"))
    wider = [size for size, (feet, most) in sizes.items() if size > first and feet <= most]
    if wider:
        words = f"{length:g} ft equivalent is over the {limit:g} ft of {label}: move to {wider[0]:g} in pipe"
        return (*found, Fit(need, "unmet", words, status="seen", source="manual-power-vent"))
    words = f"{length:g} ft equivalent is over the {limit:g} ft of {label} and no larger pipe is listed"
    return (*found, Fit(need, "unmet", words, blocking=True, status="seen", source="manual-power-vent"))


def _gravity_direct_vent(site: SiteFacts) -> tuple[Fit, ...]:
    need, reach = "outside wall beside the heater", parameter(_FILE, "gravity_direct_vent_wall_ft")
    if site.terminal_place is False:
        return (Fit(need, "unmet", "no place on the wall keeps the terminal clearances", blocking=True),)
    if site.outside_wall_ft is None:
        words = f"needs an outside wall within about {reach.typical:g} ft; nobody measured"
        return (Fit(need, "unknown", words, status=reach.status, source=reach.source),)
    words = f"the outside wall is {site.outside_wall_ft:g} ft away, the fixed run reaches about {reach.typical:g} ft"
    near = site.outside_wall_ft <= reach.high
    return (Fit(need, "ok" if near else "unmet", words, blocking=not near, status=reach.status, source=reach.source),)


def heat_pump_room(class_id: str, site: SiteFacts, unit: Unit) -> tuple[Fit, ...]:
    """Hold room volume, temperature and noise against a heat pump's needs, with the fixes."""
    if class_fit(class_id)["kind"] != "heat pump":
        return ()
    volume, area = parameter(_FILE, "room_volume_ft3"), number(_FILE, "grille_free_area_in2")
    duct = number(_FILE, "duct_diameter_in")
    fix = f"a full louvered door, two grilles with {area:g} in2 together, or a duct of {duct:g} in"
    part = "GRILLE_PAIR" if site.room_door is False else "DOOR_LOUV"
    basis: Basis = {"status": volume.status, "source": volume.source}
    if site.room_opened or (site.room_volume_ft3 or 0.0) >= volume.typical:
        words = "the room is opened to more space" if site.room_opened else f"{site.room_volume_ft3:g} ft3 is enough"
        found = [Fit("room for the heat pump", "ok", words, **basis)]
    elif site.room_volume_ft3 is None:
        words = f"needs {volume.low:g} to {volume.typical:g} ft3 of air, else {fix}; nobody measured"
        found = [Fit("room for the heat pump", "unknown", words, part, 1.0, assumed=True, **basis)]
    else:
        words = f"{site.room_volume_ft3:g} ft3 is under {volume.typical:g} ft3: {fix}"
        found = [Fit("room for the heat pump", "unmet", words, part, 1.0, **basis)]
    low = parameter("money_energy", "compressor_minimum_air_f")
    high = parameter("money_energy", "compressor_maximum_air_f")
    span = f"{low.typical:g} to {high.typical:g} F"
    basis = {"status": low.status, "source": low.source}
    need = "temperature beside the heat pump"
    if site.room_low_f is None and site.room_high_f is None:
        found.append(
            Fit(need, "unknown", f"the compressor works from {span}; nobody measured the coldest day", **basis)
        )
    elif (site.room_low_f is not None and site.room_low_f < low.typical) or (
        site.room_high_f is not None and site.room_high_f > high.typical
    ):
        words = f"the air leaves {span} at times: then only the element heats, at the price of a resistance heater"
        found.append(Fit(need, "unmet", words, **basis))
    else:
        found.append(Fit(need, "ok", f"the air stays within {span}", **basis))
    sound = parameter(_FILE, "sound_dba")
    basis = {"status": sound.status, "source": sound.source}
    hum = f"{sound.low:g} to {sound.high:g} dBA"
    if site.next_to_bedroom is None:
        found.append(Fit("noise", "unknown", f"hums at {hum}: not beside a bedroom", **basis))
    elif site.next_to_bedroom:
        found.append(
            Fit(
                "noise", "unmet", f"hums at {hum} and a bedroom is next door: choose the place or a quiet unit", **basis
            )
        )
    else:
        found.append(Fit("noise", "ok", f"hums at {hum}, no bedroom next door", **basis))
    return tuple(found)


def space_and_weight(class_id: str, site: SiteFacts, unit: Unit) -> tuple[Fit, ...]:
    """Hold width and weight of a full tank against the place."""
    row = class_fit(class_id)
    if row["kind"] == "tankless":
        return ()
    found: list[Fit] = []
    tank = float(row["tank_gal"]) if unit.tank_gal is None else unit.tank_gal
    dry = float(row["dry_weight_lb"]) if unit.dry_weight_lb is None else unit.dry_weight_lb
    full = dry + tank * number(_FILE, "water_weight_lb_gal")
    words = f"about {full:.0f} lb when full"
    if site.floor_capacity_lb is not None:
        fits = site.floor_capacity_lb >= full
        words += f", the floor carries {site.floor_capacity_lb:g} lb"
        words += "" if fits else ": strengthen the floor or choose another place"
        found.append(Fit("weight", "ok" if fits else "unmet", words))
    elif site.floor == "slab":
        found.append(Fit("weight", "ok", words + " on a slab"))
    else:
        found.append(Fit("weight", "unknown", words + ": check the floor"))
    wide = float(row["diameter_in"]) if unit.diameter_in is None else unit.diameter_in
    gap = number(_FILE, "service_clearance_in") if row["kind"] == "heat pump" else 0.0
    room = wide + 2.0 * gap
    words = f"needs about {room:g} in of width"
    if site.space_width_in is None:
        found.append(Fit("space", "unknown", words + "; nobody measured"))
    elif site.space_width_in >= room:
        found.append(Fit("space", "ok", f"{words}, {site.space_width_in:g} in are there"))
    else:
        words = f"{words}, only {site.space_width_in:g} in are there: another place or a slimmer unit"
        found.append(Fit("space", "unmet", words, blocking=row["kind"] != "heat pump" and site.space_width_in < wide))
    return tuple(found)


def chimney(class_id: str, site: SiteFacts, unit: Unit) -> tuple[Fit, ...]:
    """Say what becomes of the old vent, of an appliance left on it, and of a heater left alone on it."""
    removes = class_row(class_id)["removes_natural_draft"]
    basis: Basis = {"status": "seen", "source": "trade-prices"}
    found: list[Fit] = []
    if removes in _NATURAL:
        need = "vent sized for the heater alone"
        if site.chimney == "lined":
            found.append(Fit(need, "ok", "the liner is sized for what stays on it", **basis))
        elif site.other_left_vent:
            part = "BVENT_JOB" if site.chimney == "type b" else "LINER"
            words = "the furnace left the shared vent: it is too large and too cold for the heater alone"
            found.append(Fit(need, "unmet", words, part, 1.0, assumed=site.chimney is None, **basis))
        elif site.other_left_vent is None and not site.shares_vent:
            found.append(Fit(need, "unknown", "nobody said whether another appliance left this vent", **basis))
        words = "still needs natural draft: it does not remove the depressurization problem"
        found.append(Fit("safety against spillage", "unmet", words, status="derived", source="own-calc"))
        return tuple(found)
    need = "appliance left on the shared vent"
    if site.shares_vent and not site.other_left_vent:
        words = "the furnace or boiler stays alone on a vent made for two: size it again"
        if site.chimney == "lined":
            found.append(Fit(need, "unknown", words + " (the liner was sized for both)", **basis))
        else:
            part = "BVENT_JOB" if site.chimney == "type b" else "LINER"
            found.append(Fit(need, "unmet", words, part, 1.0, assumed=site.chimney is None, **basis))
    elif site.shares_vent is None:
        found.append(Fit(need, "unknown", "nobody said whether another appliance shares the vent", **basis))
    else:
        found.append(Fit("old vent", "ok", "nothing else uses it: close and seal the opening", **basis))
    if class_id == "GS_PV" and site.natural_draft_remains is not False:
        words = "takes room air while it fires: test every natural-draft appliance that stays again in the worst case"
        found.append(Fit("other natural-draft appliances", "unknown", words, status="seen", source="manual-power-vent"))
    return tuple(found)


def standards(class_id: str, site: SiteFacts, unit: Unit) -> tuple[Fit, ...]:
    """Hold the UEF of the unit against the federal minimum now in force, at its draw pattern."""
    row, costs = class_fit(class_id), class_row(class_id)
    if row["kind"] == "tankless":
        volume, pattern = 0.0, draw_pattern(flow_gpm=flow_of(class_id, unit))
    else:
        tank = float(row["tank_gal"]) if unit.tank_gal is None else unit.tank_gal
        rated = unit.rated_volume_gal
        volume = tank * number(_FILE, "rated_volume_share") if rated is None else rated
        pattern = draw_pattern(first_hour_gal=first_hour_of(class_id, unit))
    least = minimum_uef(row["standard_product"], volume, pattern)
    need = "federal minimum efficiency"
    if least is None:
        words = f"no rule was found for {volume:.0f} gal"
        return (Fit(need, "unknown", words, status="second-hand", source="pnnl-standards-data"),)
    uef = float(costs["uef_typ"]) if unit.uef is None else unit.uef
    best = float(costs["uef_high"]) if unit.uef is None else unit.uef
    # ratings are stated to 0.01, so both sides are compared at that (common practice)
    least = round(least, 2)
    size = f"{volume:.0f} gal rated volume and " if volume > 0.0 else ""
    words = f"UEF {uef:g}, minimum {least:.2f} for {size}the {pattern} draw pattern"
    met = round(uef, 2) >= least
    if not met:
        words += ": choose a unit on or above it" if best >= least else ": not for sale as a new unit of this size"
    return (
        Fit(
            need,
            "ok" if met else "unmet",
            words,
            blocking=best < least,
            status="second-hand",
            source="pnnl-standards-data",
        ),
    )


def coming_limits(class_id: str, site: SiteFacts, unit: Unit) -> tuple[Fit, ...]:
    """Repeat the catalog's notes on federal limits that may come; they decide nothing."""
    return tuple(
        Fit(
            "coming federal limit",
            "unknown",
            "; ".join(filter(None, (row["value"], row["rule"]))),
            status=row["status"],
            source=row["source"],
        )
        for row in table("eligibility_constraints")
        if row["constraint"] == "future limit" and class_id in row["class_id"].split(";")
    )


def fit(
    class_id: str, site: SiteFacts | None = None, unit: Unit | None = None, *, worksheet: str = "A"
) -> tuple[Fit, ...]:
    """Return every need of a replacement class, held against the place.

    Parameters
    ----------
    class_id : str
        Replacement class of the catalog.
    site : SiteFacts, optional
        What was found; everything unknown by default.
    unit : Unit, optional
        The heater proposed; the catalog's typical unit by default.
    worksheet : str
        Version of the peak-hour worksheet, A, B or C; it is named in the words.

    Returns
    -------
    tuple of Fit
        In a fixed order. Put every `measure_id` on the bill; an option with a `blocking` need does not fit.

    Raises
    ------
    InputError
        If the class, the worksheet or one of its uses is unknown.
    """
    if worksheet not in peak_hour_versions():
        raise InputError(f"peak-hour worksheet '{worksheet}': one of {', '.join(peak_hour_versions())}")
    class_row(class_id)
    site, unit = site or SiteFacts(), unit or Unit()
    checks: tuple[Callable[[str, SiteFacts, Unit], tuple[Fit, ...]], ...] = (
        vent_route,
        services.electricity,
        services.gas_supply,
        services.condensate,
        heat_pump_room,
        space_and_weight,
        services.freezing,
        chimney,
        standards,
        coming_limits,
    )
    found = list(hot_water(class_id, site, unit, worksheet))
    for check in checks:
        found.extend(check(class_id, site, unit))
    return tuple(found)
