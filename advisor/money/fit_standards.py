"""Fit of a replacement to what may be sold: the federal minimum of its product class, and limits that may come."""

from __future__ import annotations

from advisor.catalog import number, rows_of
from advisor.findings import Finding, finding, quantity
from advisor.money.energy import minimum_uef, minimum_uef_row
from advisor.money.fit_water import first_hour_of, flow_of, input_btu_h, tank_gal
from advisor.money.hot_water import draw_pattern
from advisor.money.site import Basis, Fit, SiteFacts, Unit
from advisor.money.tables import Constraint, MinimumUef, class_row, class_unit

_FILE = "money_fit"
GRID_ENABLED = "grid-enabled"
_BASIS: Basis = {"status": "second-hand", "source": "pnnl-standards-data"}


def input_limit_btu_h(product: str | None) -> float | None:
    """Return the largest input that the rows of a product class hold for, Btu/h; None where they name none."""
    rows = rows_of(MinimumUef, "minimum_uef")
    return max(
        (row.input_limit_btu_h for row in rows if row.product == product and row.input_limit_btu_h), default=None
    )


def product_of(class_id: str, unit: Unit) -> str | None:
    """Return the product class of a heater by its kind and input; None for a commercial one, whose rule is not known."""
    row, heat = class_unit(class_id), input_btu_h(class_id, unit)
    if row.product_above_limit is None:
        return row.standard_product
    for product in (row.standard_product, row.product_above_limit):
        limit = input_limit_btu_h(product)
        if limit is None or heat <= limit:
            return product
    return None


def volume_and_pattern(class_id: str, unit: Unit) -> tuple[float, str]:
    """Return the rated volume and the draw pattern of a heater; a tankless one has no volume."""
    if class_unit(class_id).kind == "tankless":
        return 0.0, draw_pattern(flow_gpm=flow_of(class_id, unit))
    rated = unit.rated_volume_gal
    volume = tank_gal(class_id, unit) * number(_FILE, "rated_volume_share") if rated is None else rated
    return volume, draw_pattern(first_hour_gal=first_hour_of(class_id, unit))


def least_uef(class_id: str, unit: Unit) -> tuple[float, MinimumUef] | None:
    """Return the minimum UEF of a heater, to the 0.01 that ratings are stated to, and its row; None without a rule."""
    product = product_of(class_id, unit)
    volume, pattern = volume_and_pattern(class_id, unit)
    row = None if product is None else minimum_uef_row(product, volume, pattern)
    return None if row is None else (round(row.base - row.slope_per_gal * volume, 2), row)


def sold(class_id: str, unit: Unit) -> bool:
    """Return whether a unit of that size may be sold new, as far as is known: nothing from memory says no."""
    found, costs = least_uef(class_id, unit), class_row(class_id)
    best = costs.uef_high if unit.uef is None else unit.uef
    return found is None or round(best, 2) >= found[0] or (unit.uef is None and costs.uef_status == "memory")


def duty(class_id: str, site: SiteFacts, unit: Unit) -> tuple[Fit, ...]:
    """Say which rules a gas tank above the household limit falls under, and what is not known of it."""
    row, product = class_unit(class_id), product_of(class_id, unit)
    if product == row.standard_product:
        return ()
    heat, limit = input_btu_h(class_id, unit), input_limit_btu_h(row.standard_product)
    most = input_limit_btu_h(row.product_above_limit)
    given = {"heat": quantity(heat, "btu_h"), "limit": quantity(limit, "btu_h"), "most": quantity(most, "btu_h")}
    need = finding("fit.need.duty")
    if product is None:
        return (Fit(need, "unknown", finding("fit.duty.commercial", **given), **_BASIS),)
    return (Fit(need, "unknown", finding("fit.duty.residential", **given), **_BASIS),)


def standards(class_id: str, site: SiteFacts, unit: Unit) -> tuple[Fit, ...]:
    """Hold the UEF of the unit against the federal minimum now in force, at its size, input and draw pattern."""
    need, costs = finding("fit.need.efficiency"), class_row(class_id)
    found = least_uef(class_id, unit)
    volume, pattern = volume_and_pattern(class_id, unit)
    if found is None:
        words = finding("fit.efficiency.no_rule", volume=quantity(volume, "gal", 0))
        return (Fit(need, "unknown", words, **_BASIS),)
    least, row = found
    basis: Basis = {"status": row.status, "source": row.source}
    uef = costs.uef_typ if unit.uef is None else unit.uef
    for_sale, met = sold(class_id, unit), round(uef, 2) >= least
    way = "met" if met else "choose_better" if for_sale else "not_for_sale"
    words = finding(
        f"fit.efficiency.{way}",
        uef=quantity(uef, "number", 2),
        least=quantity(least, "number", 2),
        what=_size_and_pattern(volume, pattern),
    )
    return (Fit(need, "ok" if met else "unmet", words, blocking=not for_sale, **basis),)


def grid_enabled_least(class_id: str, unit: Unit) -> float | None:
    """Return the minimum UEF that an electric tank without a heat pump keeps to where a utility may switch it, if any."""
    if class_unit(class_id).kind != "resistance":
        return None
    volume, pattern = volume_and_pattern(class_id, unit)
    least = minimum_uef(GRID_ENABLED, volume, pattern)
    return None if least is None else round(least, 2)


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
