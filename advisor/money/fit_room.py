"""Fit of a replacement to its room: air, temperature and noise of a heat pump, width, weight and frost of any heater."""

from __future__ import annotations

from advisor.catalog import number, parameter
from advisor.errors import InputError
from advisor.findings import finding, quantity
from advisor.money.fit_size import stands_there
from advisor.money.site import Basis, Fit, SiteFacts, Unit, Verdict
from advisor.money.tables import ClassUnit, class_row, class_unit

_FILE = "money_fit"


def heat_pump_room(class_id: str, site: SiteFacts, unit: Unit) -> tuple[Fit, ...]:
    """Hold room volume, temperature and noise against a heat pump's needs, with the fixes."""
    row = class_unit(class_id)
    if row.kind != "heat_pump":
        return ()
    return _volume(site), _air_beside(row, site), _noise(site)


def _volume(site: SiteFacts) -> Fit:
    need, volume = finding("fit.need.heat_pump_room"), parameter(_FILE, "room_volume_ft3")
    basis: Basis = {"status": volume.status, "source": volume.source}
    enough, there = quantity(volume.typical, "ft3"), quantity(site.room_volume_ft3, "ft3")
    asked = {"least": quantity(volume.low, "ft3"), "enough": enough, "older": quantity(volume.high, "ft3")}
    if site.room_opened:
        return Fit(need, "ok", finding("fit.heat_pump_room.opened"), **basis)
    if (site.room_volume_ft3 or 0.0) >= volume.high:
        return Fit(need, "ok", finding("fit.heat_pump_room.enough", volume=there), **basis)
    if (site.room_volume_ft3 or 0.0) >= volume.typical:
        return Fit(need, "ok", finding("fit.heat_pump_room.enough_now", volume=there, **asked), **basis)
    if site.room_apart:
        # a garage, attic or crawl space lends no air to the rooms and takes none: no grille and no louver is priced
        verdict: Verdict = "unknown" if site.room_volume_ft3 is None else "unmet"
        return Fit(need, verdict, finding("fit.heat_pump_room.apart", **asked), **basis)
    part = "GRILLE_PAIR" if site.room_door is False else "DOOR_LOUV"
    ways = finding(
        "fit.heat_pump_room.ways",
        area=quantity(number(_FILE, "grille_free_area_in2"), "in2"),
        duct=quantity(number(_FILE, "duct_diameter_in"), "in"),
    )
    if site.room_volume_ft3 is None:
        words = finding("fit.heat_pump_room.not_measured", ways=ways, **asked)
        return Fit(need, "unknown", words, part, 1.0, assumed=True, **basis)
    message = "fit.heat_pump_room.some" if site.room_volume_ft3 >= volume.low else "fit.heat_pump_room.small"
    words = finding(message, volume=there, ways=ways, **asked)
    return Fit(need, "unmet", words, part, 1.0, **basis)


def _air_beside(row: ClassUnit, site: SiteFacts) -> Fit:
    """Hold the air beside a compressor against where it works: usual units, and the best that was read of one unit."""
    need = finding("fit.need.heat_pump_air")
    low = parameter("money_energy", "compressor_minimum_air_f")
    high = parameter("money_energy", "compressor_maximum_air_f")
    basis: Basis = {"status": low.status, "source": low.source}
    given = {"coldest": quantity(low.typical, "f"), "hottest": quantity(high.typical, "f")}
    # where nobody measured the extremes the usual temperature lies between them: it can show a fault, never its absence
    cold_f = site.room_usual_f if site.room_low_f is None else site.room_low_f
    hot_f = site.room_usual_f if site.room_high_f is None else site.room_high_f
    cold = cold_f is not None and cold_f < low.typical
    hot = hot_f is not None and hot_f > high.typical
    if not (cold or hot):
        if site.room_low_f is None:
            unheated = "_unheated" if site.room_heated is False else ""
            return Fit(need, "unknown", finding(f"fit.heat_pump_air.not_measured{unheated}", **given), **basis)
        return Fit(need, "ok", finding("fit.heat_pump_air.stays", **given), **basis)
    given |= {"found": quantity(cold_f if cold else hot_f, "f")}
    given |= {"lowest": quantity(low.low, "f"), "highest": quantity(high.high, "f")}
    every = (cold and cold_f is not None and cold_f < low.low) or (hot and hot_f is not None and hot_f > high.high)
    if not every:
        return Fit(need, "unmet", finding("fit.heat_pump_air.some_units", **given), **basis)
    if row.element:
        return Fit(need, "unmet", finding("fit.heat_pump_air.element_only", **given), **basis)
    return Fit(need, "unmet", finding("fit.heat_pump_air.no_hot_water", **given), blocking=True, **basis)


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
    """Hold width, height and weight of a full tank against the place; its dimensions must be known."""
    row = class_unit(class_id)
    if row.kind == "tankless":
        return ()
    return _weight(row, site, unit), _width(row, site, unit), _height(row, site, unit)


def _known(row: ClassUnit, what: str, value: float | None) -> float:
    if value is None:
        raise InputError(f"class '{row.class_id}': its {what} is not known")
    return value


def _one_there(row: ClassUnit, site: SiteFacts, unit: Unit) -> bool:
    return unit.tank_gal is not None and stands_there(row.class_id, unit.tank_gal, site)


def _weight(row: ClassUnit, site: SiteFacts, unit: Unit) -> Fit:
    need = finding("fit.need.weight")
    dry, tank = _known(row, "weight", unit.dry_weight_lb), _known(row, "tank", unit.tank_gal)
    full_lb = dry + tank * number(_FILE, "water_weight_lb_gal")
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
    wide_in = _known(row, "diameter", unit.diameter_in)
    heat_pump = row.kind == "heat_pump"
    gap_in = number(_FILE, "service_clearance_in") if heat_pump else 0.0
    wants_in = wide_in + 2.0 * gap_in
    width, there = quantity(wants_in, "in"), quantity(site.space_width_in, "in")
    if site.space_width_in is None:
        return Fit(need, "unknown", finding("fit.space.not_measured", width=width))
    if site.space_width_in >= wants_in:
        return Fit(need, "ok", finding("fit.space.enough", width=width, there=there))
    if _one_there(row, site, unit):
        return Fit(need, "unmet", finding("fit.space.one_stands_there", width=width, there=there))
    words = finding("fit.space.narrow", width=width, there=there)
    return Fit(need, "unmet", words, blocking=site.space_width_in < wide_in)


def _height(row: ClassUnit, site: SiteFacts, unit: Unit) -> Fit:
    need, high_in = finding("fit.need.height"), _known(row, "height", unit.height_in)
    height, there = quantity(high_in, "in"), quantity(site.space_height_in, "in")
    if site.space_height_in is None:
        return Fit(need, "unknown", finding("fit.height.not_measured", height=height))
    if site.space_height_in < high_in and _one_there(row, site, unit):
        return Fit(need, "unmet", finding("fit.height.one_stands_there", height=height, there=there))
    if site.space_height_in < high_in:
        return Fit(need, "unmet", finding("fit.height.low", height=height, there=there), blocking=True)
    shape = unit.shape or "tall"
    return Fit(need, "ok", finding(f"fit.height.{shape}", height=height, there=there))


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
