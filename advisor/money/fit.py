"""Does a replacement fit this house: hot water and standards here, the rest in the other `fit_` modules.

Nothing that is unknown ever blocks: it gives a part that is assumed, or a note. A need that is known to be unmet gives
the priced part that meets it, or the reason why not.
"""

from __future__ import annotations

from collections.abc import Callable

from advisor.catalog import number, parameter, rows_of
from advisor.errors import InputError
from advisor.findings import Finding, finding, quantity
from advisor.money import fit_room as room
from advisor.money import fit_services as services
from advisor.money import fit_vent as vent
from advisor.money.energy import minimum_uef
from advisor.money.hot_water import (
    draw_pattern,
    first_hour_rating_gal,
    peak_hour_gal,
    peak_hour_versions,
    recovery_gal_h,
    tankless_flow_gpm,
)
from advisor.money.site import Basis, Fit, SiteFacts, Unit
from advisor.money.tables import Constraint, class_row, class_unit

_FILE = "money_fit"


def first_hour_of(class_id: str, unit: Unit, rise_f: float | None = None) -> float:
    """Return the first-hour rating of a tank: from its label, else 0.7 of the tank plus recovery, gal."""
    if unit.first_hour_gal is not None:
        return unit.first_hour_gal
    row = class_unit(class_id)
    tank = room.tank_gal(row, unit)
    heat = row.input_btu_h if unit.input_btu_h is None else unit.input_btu_h
    return float(first_hour_rating_gal(tank, recovery_gal_h(heat, row.recovery_efficiency, rise_f)))


def flow_of(class_id: str, unit: Unit, rise_f: float | None = None) -> float:
    """Return the flow of a tankless heater: from its label, else by its input, gal/min."""
    if unit.flow_gpm is not None:
        return unit.flow_gpm
    row = class_unit(class_id)
    heat = row.input_btu_h if unit.input_btu_h is None else unit.input_btu_h
    return float(tankless_flow_gpm(heat, row.recovery_efficiency, rise_f))


def hot_water(class_id: str, site: SiteFacts, unit: Unit, version: str) -> tuple[Fit, ...]:
    """Hold first-hour rating or flow against the busiest hour."""
    if class_unit(class_id).kind == "tankless":
        return (_flow(class_id, site, unit),)
    basis = finding("fit.basis.given")
    wants = site.peak_hour_gal
    if wants is None and site.peak_uses is not None:
        wants, basis = peak_hour_gal(site.peak_uses, version), finding("fit.basis.worksheet", version=version)
    has = first_hour_of(class_id, unit, site.temperature_rise_f)
    slack = parameter(_FILE, "peak_tolerance_gal").high
    short = "fit.hot_water.tank_short"
    return (_delivers(finding("fit.need.busiest_hour"), "gal", has, wants, slack, basis, short),)


def _flow(class_id: str, site: SiteFacts, unit: Unit) -> Fit:
    basis = finding("fit.basis.given")
    wants, showers = site.peak_flow_gpm, site.showers_at_once
    if wants is None and showers is not None:
        wants = showers * number(_FILE, "shower_flow_gpm")
        basis = finding("fit.basis.showers", count=quantity(showers, "number"))
    has = flow_of(class_id, unit, site.temperature_rise_f)
    return _delivers(finding("fit.need.flow"), "gpm", has, wants, 0.0, basis, "fit.hot_water.flow_short")


def _delivers(
    need: Finding, suffix: str, has: float, wants: float | None, slack: float, basis: Finding, short: str
) -> Fit:
    """Return whether what a heater delivers is enough, both in one unit (`suffix`)."""
    given = quantity(has, suffix)
    if wants is None:
        return Fit(need, "unknown", finding("fit.hot_water.nobody_counted", has=given))
    enough = has + slack >= wants
    message = "fit.hot_water.enough" if enough else short
    words = finding(message, has=given, wants=quantity(wants, suffix), basis=basis)
    rests_on: Basis = {"status": "second-hand", "source": "worksheet-a;trade-recovery-note"}
    return Fit(need, "ok" if enough else "unmet", words, **rests_on)


def standards(class_id: str, site: SiteFacts, unit: Unit) -> tuple[Fit, ...]:
    """Hold the UEF of the unit against the federal minimum now in force, at its draw pattern."""
    row, costs = class_unit(class_id), class_row(class_id)
    if row.kind == "tankless":
        volume, pattern = 0.0, draw_pattern(flow_gpm=flow_of(class_id, unit))
    else:
        rated = unit.rated_volume_gal
        volume = room.tank_gal(row, unit) * number(_FILE, "rated_volume_share") if rated is None else rated
        pattern = draw_pattern(first_hour_gal=first_hour_of(class_id, unit))
    least = minimum_uef(row.standard_product, volume, pattern)
    need = finding("fit.need.efficiency")
    basis: Basis = {"status": "second-hand", "source": "pnnl-standards-data"}
    if least is None:
        words = finding("fit.efficiency.no_rule", volume=quantity(volume, "gal", 0))
        return (Fit(need, "unknown", words, **basis),)
    uef = costs.uef_typ if unit.uef is None else unit.uef
    best = costs.uef_high if unit.uef is None else unit.uef
    # ratings are stated to 0.01, so both sides are compared at that (common practice)
    least = round(least, 2)
    met = round(uef, 2) >= least
    way = "met" if met else "choose_better" if best >= least else "not_for_sale"
    words = finding(
        f"fit.efficiency.{way}",
        uef=quantity(uef, "number", 2),
        least=quantity(least, "number", 2),
        what=_size_and_pattern(volume, pattern),
    )
    return (Fit(need, "ok" if met else "unmet", words, blocking=best < least, **basis),)


def _size_and_pattern(volume_gal: float, pattern: str) -> Finding:
    named = finding(f"money.draw_pattern.{pattern}")
    if volume_gal <= 0.0:
        return finding("fit.efficiency.at_pattern", pattern=named)
    return finding("fit.efficiency.at_size_and_pattern", volume=quantity(volume_gal, "gal", 0), pattern=named)


def coming_limits(class_id: str, site: SiteFacts, unit: Unit) -> tuple[Fit, ...]:
    """Repeat the catalog's notes on federal limits that may come; they decide nothing."""
    return tuple(
        Fit(
            finding("fit.need.coming_limit"),
            "unknown",
            finding(f"fit.constraint.{row.id}", size=quantity(row.size, row.unit)),
            status=row.status,
            source=row.source,
        )
        for row in rows_of(Constraint, "eligibility_constraints")
        if row.constraint == "future_limit" and class_id in row.class_id
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
        Version of the peak-hour worksheet, A, B or C; it is named in the finding.

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
        vent.route,
        services.electricity,
        services.gas_supply,
        services.condensate,
        room.heat_pump_room,
        room.space_and_weight,
        room.freezing,
        vent.chimney,
        standards,
        coming_limits,
    )
    found = list(hot_water(class_id, site, unit, worksheet))
    for check in checks:
        found.extend(check(class_id, site, unit))
    return tuple(found)
