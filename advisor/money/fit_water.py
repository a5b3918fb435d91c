"""Fit of a replacement to the household: first-hour rating or flow against the busiest hour, and slow recovery."""

from __future__ import annotations

from advisor.catalog import number, parameter, rows_of
from advisor.errors import InputError
from advisor.findings import Finding, Value, finding, quantity
from advisor.money.hot_water import first_hour_rating_gal, peak_hour_gal, recovery_gal_h, tankless_flow_gpm
from advisor.money.site import Basis, Fit, SiteFacts, Unit, Verdict
from advisor.money.tables import PeakUse, anchor_of, class_unit

_FILE = "money_fit"
_ENERGY = "money_energy"
THERE_NOW = "GS_ATM"
"""Class that the existing natural-draft heater is taken for."""
_RATING: Basis = {"status": "second-hand", "source": "worksheet-a;trade-recovery-note"}


def tank_gal(class_id: str, unit: Unit) -> float:
    """Return the tank of a heater: its own, else that of the size which the class's price is for.

    Raises
    ------
    InputError
        If the class has no tank.
    """
    return anchor_of(class_id).tank_gal if unit.tank_gal is None else unit.tank_gal


def input_btu_h(class_id: str, unit: Unit) -> float:
    """Return the input of a heater: its own, else that of the class, else that of its usual size.

    Raises
    ------
    InputError
        If the catalog knows none of them.
    """
    row = class_unit(class_id)
    heat = row.input_btu_h if unit.input_btu_h is None else unit.input_btu_h
    heat = anchor_of(class_id).input_typ_btu_h if heat is None else heat
    if heat is None:
        raise InputError(f"class '{class_id}': its input is not known")
    return heat


def first_hour_of(class_id: str, unit: Unit, rise_f: float | None = None) -> float:
    """Return the first-hour rating of a tank: from its label, else 0.7 of the tank plus recovery, gal."""
    if unit.first_hour_gal is not None:
        return unit.first_hour_gal
    heat = recovery_gal_h(input_btu_h(class_id, unit), class_unit(class_id).recovery_efficiency, rise_f)
    return float(first_hour_rating_gal(tank_gal(class_id, unit), heat))


def flow_of(class_id: str, unit: Unit, rise_f: float | None = None) -> float:
    """Return the flow of a tankless heater: from its label, else by its input, gal/min."""
    if unit.flow_gpm is not None:
        return unit.flow_gpm
    return float(tankless_flow_gpm(input_btu_h(class_id, unit), class_unit(class_id).recovery_efficiency, rise_f))


def busiest_hour_gal(site: SiteFacts, version: str) -> tuple[float | None, Finding]:
    """Return what the house needs in its busiest hour, and what that rests on; None where nobody counted."""
    if site.peak_hour_gal is None and site.peak_uses is not None:
        return peak_hour_gal(site.peak_uses, version), _worksheet(version)
    return site.peak_hour_gal, finding("fit.basis.given")


def _worksheet(version: str) -> Finding:
    """Return the name of a worksheet; one that nobody read says so."""
    remembered = any(
        row.status == "memory" for row in rows_of(PeakUse, "peak_hour_worksheet") if row.version == version
    )
    return finding("fit.basis.worksheet_memory" if remembered else "fit.basis.worksheet", version=version)


def slack_gal() -> float:
    """Return by how much the worksheet lets a first-hour rating fall short of the need, gal."""
    return parameter(_FILE, "peak_tolerance_gal").high


def hot_water(class_id: str, site: SiteFacts, unit: Unit, version: str) -> tuple[Fit, ...]:
    """Hold first-hour rating or flow against the busiest hour."""
    if class_unit(class_id).kind == "tankless":
        return (_flow(class_id, site, unit),)
    wants, basis = busiest_hour_gal(site, version)
    has = first_hour_of(class_id, unit, site.temperature_rise_f)
    if wants is None:
        return (_nobody_counted(has, site), *_whole_household(has, site, version), *_recovery(class_id, site, unit))
    return (_first_hour(has, wants, basis), *_recovery(class_id, site, unit))


def _first_hour(has: float, wants: float, basis: Finding) -> Fit:
    need, slack = finding("fit.need.busiest_hour"), slack_gal()
    given: dict[str, Value] = {"has": quantity(has, "gal"), "wants": quantity(wants, "gal"), "basis": basis}
    if has >= wants:
        words = finding("fit.hot_water.tank_enough", **given, spare=quantity(has - wants, "gal"))
        return Fit(need, "ok", words, **_RATING)
    short = quantity(wants - has, "gal")
    if has + slack >= wants:
        words = finding("fit.hot_water.tank_within", **given, short=short, slack=quantity(slack, "gal"))
        return Fit(need, "ok", words, **_RATING)
    return Fit(need, "unmet", finding("fit.hot_water.tank_short", **given, short=short), **_RATING)


def _nobody_counted(has: float, site: SiteFacts) -> Fit:
    """Return the rating beside that of the heater there now: all that can be said where nobody counted."""
    need, given = finding("fit.need.busiest_hour"), quantity(has, "gal")
    if site.existing_tank_gal is None:
        return Fit(need, "unknown", finding("fit.hot_water.nobody_counted_tank", has=given))
    there = Unit(tank_gal=site.existing_tank_gal, input_btu_h=site.existing_input_btu_h)
    now = first_hour_of(THERE_NOW, there, site.temperature_rise_f)
    less = has < now * number(_FILE, "less_hot_water_share")
    message = f"fit.hot_water.nobody_counted_{'less' if less else 'now'}"
    return Fit(need, "unknown", finding(message, has=given, now=quantity(now, "gal")))


def _whole_household(has: float, site: SiteFacts, version: str) -> tuple[Fit, ...]:
    """Return a warning where one shower of everybody in an hour would ask for more: a question, no verdict."""
    if site.people_counted is None:
        return ()
    wants = peak_hour_gal({"shower": site.people_counted}, version)
    if wants <= has:
        return ()
    words = finding(
        "fit.hot_water.household",
        count=quantity(site.people_counted, "number"),
        wants=quantity(wants, "gal"),
        has=quantity(has, "gal"),
        basis=_worksheet(version),
    )
    return (Fit(finding("fit.need.household"), "unknown", words, status="own choice", source="worksheet-a"),)


def _recovery(class_id: str, site: SiteFacts, unit: Unit) -> tuple[Fit, ...]:
    """Say how slowly a compressor heats a tank that was drawn empty, and whether an element helps."""
    row = class_unit(class_id)
    if row.kind != "heat_pump":
        return ()
    output = parameter(_FILE, "heat_pump_output_btu_h")
    rise = site.temperature_rise_f
    least, most = (float(recovery_gal_h(heat, 1.0, rise)) for heat in (output.low, output.high))
    drawn = number(_ENERGY, "first_hour_tank_fraction") * tank_gal(class_id, unit)
    words = finding(
        "fit.recovery.with_element" if row.element else "fit.recovery.compressor_alone",
        least=quantity(least, "gal", 0),
        most=quantity(most, "gal", 0),
        soonest=quantity(drawn / most, "h"),
        latest=quantity(drawn / least, "h"),
    )
    verdict: Verdict = "ok" if row.element else "unknown"
    return (Fit(finding("fit.need.recovery"), verdict, words, status=output.status, source=output.source),)


def _flow(class_id: str, site: SiteFacts, unit: Unit) -> Fit:
    need, basis = finding("fit.need.flow"), finding("fit.basis.given")
    wants, showers = site.peak_flow_gpm, site.showers_at_once
    if wants is None and showers is not None:
        wants = showers * number(_FILE, "shower_flow_gpm")
        basis = finding("fit.basis.showers", count=quantity(showers, "number"))
    has = flow_of(class_id, unit, site.temperature_rise_f)
    given = quantity(has, "gpm")
    if wants is None:
        return Fit(need, "unknown", finding("fit.hot_water.nobody_counted", has=given))
    enough = has >= wants
    message = "fit.hot_water.enough" if enough else "fit.hot_water.flow_short"
    words = finding(message, has=given, wants=quantity(wants, "gpm"), basis=basis)
    return Fit(need, "ok" if enough else "unmet", words, **_RATING)
