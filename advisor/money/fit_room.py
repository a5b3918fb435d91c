"""Fit of a replacement to its room: air, temperature and noise of a heat pump, width, weight and frost of any heater."""

from __future__ import annotations

from advisor.catalog import number, parameter
from advisor.errors import InputError
from advisor.findings import finding, quantity
from advisor.money.site import Basis, Fit, SiteFacts, Unit
from advisor.money.tables import ClassUnit, class_row, class_unit

_FILE = "money_fit"


def tank_gal(row: ClassUnit, unit: Unit) -> float:
    """Return the tank of a heater: its own, else the class's typical one.

    Raises
    ------
    InputError
        If the class has no tank.
    """
    found = row.tank_gal if unit.tank_gal is None else unit.tank_gal
    if found is None:
        raise InputError(f"class '{row.class_id}': has no tank")
    return found


def heat_pump_room(class_id: str, site: SiteFacts, unit: Unit) -> tuple[Fit, ...]:
    """Hold room volume, temperature and noise against a heat pump's needs, with the fixes."""
    if class_unit(class_id).kind != "heat_pump":
        return ()
    return _volume(site), _air_beside(site), _noise(site)


def _volume(site: SiteFacts) -> Fit:
    need, volume = finding("fit.need.heat_pump_room"), parameter(_FILE, "room_volume_ft3")
    basis: Basis = {"status": volume.status, "source": volume.source}
    enough, there = quantity(volume.typical, "ft3"), quantity(site.room_volume_ft3, "ft3")
    if site.room_opened:
        return Fit(need, "ok", finding("fit.heat_pump_room.opened"), **basis)
    if (site.room_volume_ft3 or 0.0) >= volume.typical:
        return Fit(need, "ok", finding("fit.heat_pump_room.enough", volume=there), **basis)
    part = "GRILLE_PAIR" if site.room_door is False else "DOOR_LOUV"
    ways = finding(
        "fit.heat_pump_room.ways",
        area=quantity(number(_FILE, "grille_free_area_in2"), "in2"),
        duct=quantity(number(_FILE, "duct_diameter_in"), "in"),
    )
    if site.room_volume_ft3 is None:
        least = quantity(volume.low, "ft3")
        words = finding("fit.heat_pump_room.not_measured", least=least, enough=enough, ways=ways)
        return Fit(need, "unknown", words, part, 1.0, assumed=True, **basis)
    words = finding("fit.heat_pump_room.small", volume=there, enough=enough, ways=ways)
    return Fit(need, "unmet", words, part, 1.0, **basis)


def _air_beside(site: SiteFacts) -> Fit:
    need = finding("fit.need.heat_pump_air")
    low = parameter("money_energy", "compressor_minimum_air_f")
    high = parameter("money_energy", "compressor_maximum_air_f")
    basis: Basis = {"status": low.status, "source": low.source}
    coldest, hottest = quantity(low.typical, "f"), quantity(high.typical, "f")
    if site.room_low_f is None and site.room_high_f is None:
        words = finding("fit.heat_pump_air.not_measured", coldest=coldest, hottest=hottest)
        return Fit(need, "unknown", words, **basis)
    cold = site.room_low_f is not None and site.room_low_f < low.typical
    hot = site.room_high_f is not None and site.room_high_f > high.typical
    message = "fit.heat_pump_air.leaves" if cold or hot else "fit.heat_pump_air.stays"
    words = finding(message, coldest=coldest, hottest=hottest)
    return Fit(need, "unmet" if cold or hot else "ok", words, **basis)


def _noise(site: SiteFacts) -> Fit:
    need, sound = finding("fit.need.noise"), parameter(_FILE, "sound_dba")
    basis: Basis = {"status": sound.status, "source": sound.source}
    low, high = quantity(sound.low, "dba"), quantity(sound.high, "dba")
    if site.next_to_bedroom is None:
        return Fit(need, "unknown", finding("fit.noise.not_asked", low=low, high=high), **basis)
    if site.next_to_bedroom:
        return Fit(need, "unmet", finding("fit.noise.bedroom", low=low, high=high), **basis)
    return Fit(need, "ok", finding("fit.noise.no_bedroom", low=low, high=high), **basis)


def space_and_weight(class_id: str, site: SiteFacts, unit: Unit) -> tuple[Fit, ...]:
    """Hold width and weight of a full tank against the place."""
    row = class_unit(class_id)
    return () if row.kind == "tankless" else (_weight(row, site, unit), _width(row, site, unit))


def _weight(row: ClassUnit, site: SiteFacts, unit: Unit) -> Fit:
    need = finding("fit.need.weight")
    dry = row.dry_weight_lb if unit.dry_weight_lb is None else unit.dry_weight_lb
    full_lb = dry + tank_gal(row, unit) * number(_FILE, "water_weight_lb_gal")
    full = quantity(full_lb, "lb", 0)
    if site.floor_capacity_lb is not None:
        fits, carries = site.floor_capacity_lb >= full_lb, quantity(site.floor_capacity_lb, "lb")
        words = finding("fit.weight.carried" if fits else "fit.weight.too_heavy", full=full, carries=carries)
        return Fit(need, "ok" if fits else "unmet", words)
    if site.floor == "slab":
        return Fit(need, "ok", finding("fit.weight.slab", full=full))
    return Fit(need, "unknown", finding("fit.weight.check_floor", full=full))


def _width(row: ClassUnit, site: SiteFacts, unit: Unit) -> Fit:
    need = finding("fit.need.space")
    wide_in = row.diameter_in if unit.diameter_in is None else unit.diameter_in
    if wide_in is None:
        raise InputError(f"class '{row.class_id}': its diameter is not known")
    heat_pump = row.kind == "heat_pump"
    gap_in = number(_FILE, "service_clearance_in") if heat_pump else 0.0
    wants_in = wide_in + 2.0 * gap_in
    width, there = quantity(wants_in, "in"), quantity(site.space_width_in, "in")
    if site.space_width_in is None:
        return Fit(need, "unknown", finding("fit.space.not_measured", width=width))
    if site.space_width_in >= wants_in:
        return Fit(need, "ok", finding("fit.space.enough", width=width, there=there))
    words = finding("fit.space.narrow", width=width, there=there)
    return Fit(need, "unmet", words, blocking=not heat_pump and site.space_width_in < wide_in)


def freezing(class_id: str, site: SiteFacts, unit: Unit) -> tuple[Fit, ...]:
    """Warn where a tankless heater or a condensate line could freeze."""
    if class_unit(class_id).kind != "tankless" and not class_row(class_id).makes_condensate:
        return ()
    need = finding("fit.need.frost")
    if site.room_low_f is None:
        return (Fit(need, "unknown", finding("fit.frost.not_measured")),)
    cold, coldest = site.room_low_f <= number(_FILE, "freeze_air_f"), quantity(site.room_low_f, "f")
    words = finding("fit.frost.cold" if cold else "fit.frost.warm_enough", coldest=coldest)
    return (Fit(need, "unmet" if cold else "ok", words),)
