"""Fit of a replacement to its vent: route and terminal of the new one, and what becomes of the old one."""

from __future__ import annotations

from advisor.catalog import parameter
from advisor.findings import Finding, finding, quantity
from advisor.money.site import Basis, Fit, SiteFacts, Unit
from advisor.money.tables import class_row, vent_lengths

_MANUAL: Basis = {"status": "seen", "source": "manual-power-vent"}


def equivalent_length_ft(
    straight_ft: float, elbows_90: float, elbows_45: float, elbow_90_ft: float, elbow_45_ft: float
) -> float:
    """Return the equivalent vent length: straight pipe plus the feet each elbow counts for."""
    return straight_ft + elbows_90 * elbow_90_ft + elbows_45 * elbow_45_ft


def usual_elbow_90_ft() -> float:
    """Return the equivalent feet of a 90-degree elbow on residential units: rows with a class, the first is typical."""
    return next(row.elbow_90_ft for row in vent_lengths() if row.class_ids and row.elbow_90_ft)


def usual_elbow_45_ft() -> float:
    """Return the equivalent feet of a 45-degree elbow on residential units."""
    return next(row.elbow_45_ft for row in vent_lengths() if row.class_ids and row.elbow_45_ft)


def route(class_id: str, site: SiteFacts, unit: Unit) -> tuple[Fit, ...]:
    """Hold the route of a plastic or stainless vent against the class's maximum equivalent length."""
    row = class_row(class_id)
    if row.keeps_natural_draft or row.vent_category == "none":
        return ()
    if row.vent_category == "direct_gravity":
        return (_gravity_direct_vent(site),)
    return _terminal(site), _length(class_id, site, unit)


def _terminal(site: SiteFacts) -> Fit:
    need = finding("fit.need.vent_terminal")
    if site.terminal_place is None:
        words = finding("fit.vent_terminal.check")
        return Fit(need, "unknown", words, status="seen", source="nfpa54-2012")
    if site.terminal_place:
        return Fit(need, "ok", finding("fit.vent_terminal.there"), source="nfpa54-2012")
    return Fit(need, "unmet", finding("fit.vent_terminal.none"), blocking=True, status="seen", source="nfpa54-2012")


def _sizes(class_id: str, site: SiteFacts, unit: Unit, straight_ft: float) -> dict[float, tuple[float, float]]:
    """Return equivalent length and limit by pipe size, smallest first; 0 is the pipe of a unit that names no size."""
    ninety, forty_five = site.vent_elbows_90 or 0.0, site.vent_elbows_45 or 0.0
    sizes: dict[float, tuple[float, float]] = {}
    # where two families share a size the shorter limit counts: the model is not chosen yet
    for row in sorted(vent_lengths(class_id), key=lambda one: (one.pipe_diameter_in, one.max_equivalent_ft)):
        if row.elbow_90_ft is not None and row.elbow_45_ft is not None:
            length = equivalent_length_ft(straight_ft, ninety, forty_five, row.elbow_90_ft, row.elbow_45_ft)
            sizes.setdefault(row.pipe_diameter_in, (length, row.max_equivalent_ft))
    if unit.vent_limit_ft is None:
        return sizes
    usual = sizes.get(unit.vent_diameter_in or 0.0) or next(iter(sizes.values()), None)
    straight = equivalent_length_ft(straight_ft, ninety, forty_five, usual_elbow_90_ft(), usual_elbow_45_ft())
    return {unit.vent_diameter_in or 0.0: (usual[0] if usual else straight, unit.vent_limit_ft)}


def _length(class_id: str, site: SiteFacts, unit: Unit) -> Fit:
    need = finding("fit.need.vent_length")
    if site.vent_straight_ft is None:
        limits = [row.max_equivalent_ft for row in vent_lengths()]
        least, most = quantity(min(limits), "ft"), quantity(max(limits), "ft")
        return Fit(need, "unknown", finding("fit.vent_length.not_measured", least=least, most=most), **_MANUAL)
    sizes = _sizes(class_id, site, unit, site.vent_straight_ft)
    if not sizes:
        return Fit(need, "unknown", finding("fit.vent_length.in_manual"), **_MANUAL)
    chosen = unit.vent_diameter_in
    first = chosen if chosen in sizes else next(iter(sizes))
    feet, most_ft = sizes[first]
    length, limit, pipe = quantity(feet, "ft"), quantity(most_ft, "ft"), _pipe(first)
    if feet <= most_ft:
        counted = None not in (site.vent_elbows_90, site.vent_elbows_45)
        message = "fit.vent_length.within" if counted else "fit.vent_length.count_elbows"
        words = finding(message, length=length, limit=limit, pipe=pipe)
        return Fit(need, "ok" if counted else "unknown", words, **_MANUAL)
    wider = [size for size, (of_it, its_most) in sizes.items() if size > first and of_it <= its_most]
    if wider:
        larger = quantity(wider[0], "in")
        words = finding("fit.vent_length.wider", length=length, limit=limit, pipe=pipe, larger=larger)
        return Fit(need, "unmet", words, **_MANUAL)
    words = finding("fit.vent_length.too_long", length=length, limit=limit, pipe=pipe)
    return Fit(need, "unmet", words, blocking=True, **_MANUAL)


def _pipe(size_in: float) -> Finding:
    return finding("fit.pipe.sized", size=quantity(size_in, "in")) if size_in else finding("fit.pipe.own")


def _gravity_direct_vent(site: SiteFacts) -> Fit:
    need, reach = finding("fit.need.outside_wall"), parameter("money_fit", "gravity_direct_vent_wall_ft")
    if site.terminal_place is False:
        return Fit(need, "unmet", finding("fit.outside_wall.no_terminal"), blocking=True)
    basis: Basis = {"status": reach.status, "source": reach.source}
    far = quantity(reach.typical, "ft")
    if site.outside_wall_ft is None:
        return Fit(need, "unknown", finding("fit.outside_wall.not_measured", reach=far), **basis)
    words = finding("fit.outside_wall.distance", distance=quantity(site.outside_wall_ft, "ft"), reach=far)
    near = site.outside_wall_ft <= reach.high
    return Fit(need, "ok" if near else "unmet", words, blocking=not near, **basis)


def chimney(class_id: str, site: SiteFacts, unit: Unit) -> tuple[Fit, ...]:
    """Say what becomes of the old vent, of an appliance left on it, and of a heater left alone on it."""
    basis: Basis = {"status": "seen", "source": "trade-prices"}
    if class_row(class_id).keeps_natural_draft:
        need = finding("fit.need.spillage")
        stays = Fit(need, "unmet", finding("fit.spillage.still_drafts"), status="derived", source="own-calc")
        return (*_left_alone(site, basis), stays)
    found = [_left_behind(site, basis)]
    if class_id == "GS_PV" and site.natural_draft_remains is not False:
        words = finding("fit.other_natural_draft.test_again")
        found.append(Fit(finding("fit.need.other_natural_draft"), "unknown", words, **_MANUAL))
    return tuple(found)


def _new_vent(site: SiteFacts) -> str:
    return "BVENT_JOB" if site.chimney == "type b" else "LINER"


def _left_alone(site: SiteFacts, basis: Basis) -> tuple[Fit, ...]:
    """Return whether the vent is sized for a natural-draft heater that is alone on it."""
    need = finding("fit.need.vent_size")
    if site.chimney == "lined":
        return (Fit(need, "ok", finding("fit.vent_size.lined"), **basis),)
    if site.other_left_vent:
        if site.heater_alone == "fail":
            words = finding("fit.vent_size.furnace_left")
            return (Fit(need, "unmet", words, _new_vent(site), 1.0, assumed=site.chimney is None, **basis),)
        if site.heater_alone == "pass":
            return (Fit(need, "ok", finding("fit.vent_size.holds"), **basis),)
        return (Fit(need, "unknown", finding("fit.vent_size.furnace_left_unknown"), **basis),)
    if site.other_left_vent is None and not site.shares_vent:
        return (Fit(need, "unknown", finding("fit.vent_size.not_asked"), **basis),)
    return ()


def _left_behind(site: SiteFacts, basis: Basis) -> Fit:
    """Return what becomes of the vent that the old heater leaves."""
    need = finding("fit.need.shared_vent")
    if site.shares_vent:
        # the vent is paid for only where the tables ask for another one
        if site.left_on_vent == "fail":
            words = finding("fit.shared_vent.size_again")
            return Fit(need, "unmet", words, _new_vent(site), 1.0, assumed=site.chimney is None, **basis)
        if site.left_on_vent == "pass":
            return Fit(need, "ok", finding("fit.shared_vent.holds"), **basis)
        return Fit(need, "unknown", finding("fit.shared_vent.size_unknown"), **basis)
    if site.shares_vent is None:
        return Fit(need, "unknown", finding("fit.shared_vent.not_asked"), **basis)
    return Fit(finding("fit.need.old_vent"), "ok", finding("fit.old_vent.close"), **basis)
