"""Fit of a replacement to the house's wires and pipes: receptacle, circuits, panel, gas pipe, meter, condensate."""

from __future__ import annotations

from advisor.catalog import number, parameter, rows_of
from advisor.errors import InputError
from advisor.findings import Finding, finding, quantity
from advisor.money.conversions import gas_heat_content_btu_ft3
from advisor.money.fit_water import input_btu_h
from advisor.money.prices import included_measures
from advisor.money.site import Basis, Fit, SiteFacts, Unit
from advisor.money.tables import GasPipe, class_row, class_unit

_FILE = "money_fit"


def electricity(class_id: str, site: SiteFacts, unit: Unit) -> tuple[Fit, ...]:
    """Hold the receptacle, the circuits and the panel against what the class needs."""
    row = class_row(class_id)
    found: list[Fit] = []
    new_amp = 0.0
    if row.needs_120v == "depends":
        found.append(Fit(finding("fit.need.supply_120"), "unknown", finding("fit.supply_120.depends")))
    elif row.needs_120v == "yes":
        fits, new_amp = _receptacle(class_id, site)
        found.append(fits)
    if row.needs_240v:
        fits, amp = _circuit_240(class_id, site)
        found.append(fits)
        new_amp = max(new_amp, amp)
    if new_amp > 0.0:
        found.append(_panel(site, new_amp))
    return tuple(found)


def circuit_present(site: SiteFacts) -> tuple[str, ...]:
    """Return the circuit that an installed price need not contain: one that ends at the heater and is not too small."""
    small = site.circuit_240_amp is not None and site.circuit_240_amp < number(_FILE, "circuit_240_amp")
    return ("CIR_240",) if site.circuit_240_v and not small else ()


def _circuit_240(class_id: str, site: SiteFacts) -> tuple[Fit, float]:
    """Return the verdict, and the amperes that a new circuit would add to the panel (0 where one ends at the heater)."""
    amp = number(_FILE, "circuit_240_amp")
    basis: Basis = {"status": "seen", "source": "pnnl-120v-2024;trade-prices"}
    wanted = quantity(amp, "a")
    need = finding("fit.need.circuit_240", size=wanted)
    # the typical installed price may contain the circuit: then no part stands here, and the words say so
    inside = "CIR_240" in included_measures(class_id)
    part, count = (None, 0.0) if inside else ("CIR_240", 1.0)
    if site.circuit_240_v is None:
        words = finding("fit.circuit_240.not_looked_contained" if inside else "fit.circuit_240.not_looked")
        return Fit(need, "unknown", words, part, count, assumed=True, **basis), amp
    if not site.circuit_240_v:
        words = finding("fit.circuit_240.none_contained" if inside else "fit.circuit_240.none")
        return Fit(need, "unmet", words, part, count, **basis), amp
    if site.circuit_240_amp is None:
        words = finding("fit.circuit_240.size_unknown", needed=wanted)
        # what contains a circuit is priced without it then (`circuit_present`), so the part stands here for every class
        return Fit(need, "unknown", words, "CIR_240", 1.0, assumed=True, perhaps=True, **basis), 0.0
    size = quantity(site.circuit_240_amp, "a")
    if site.circuit_240_amp >= amp:
        return Fit(need, "ok", finding("fit.circuit_240.there", size=size), **basis), 0.0
    words = finding("fit.circuit_240.there_contained" if inside else "fit.circuit_240.there", size=size)
    return Fit(need, "unmet", words, part, count, **basis), amp


def _receptacle(class_id: str, site: SiteFacts) -> tuple[Fit, float]:
    """Return the verdict, and the amperes that a new circuit would add to the panel (0 if none is needed)."""
    reach_ft = number(_FILE, "receptacle_reach_ft")
    reach = quantity(reach_ft, "ft")
    own = class_unit(class_id).kind == "heat_pump"  # a compressor wants a circuit that nothing else loads
    part = "CIR_120" if own else "OUT_120"
    need = finding("fit.need.circuit_120" if own else "fit.need.receptacle", reach=reach)
    amp = number(_FILE, "circuit_120_amp") if own else 0.0
    if site.receptacle_ft is None:
        return _receptacle_by_answer(need, part, reach_ft, site.receptacle_near), amp
    away = quantity(site.receptacle_ft, "ft")
    if site.receptacle_ft > reach_ft:
        return Fit(need, "unmet", finding("fit.receptacle.away", distance=away), part, 1.0), amp
    if own and site.receptacle_dedicated is None:
        words = finding("fit.receptacle.sharing_not_asked", distance=away)
        return Fit(need, "unknown", words, part, 1.0, assumed=True), amp
    if own and not site.receptacle_dedicated:
        return Fit(need, "unmet", finding("fit.receptacle.shares", distance=away), part, 1.0), amp
    return Fit(need, "ok", finding("fit.receptacle.away", distance=away)), 0.0


def _receptacle_by_answer(need: Finding, part: str, reach_ft: float, near: bool | None) -> Fit:
    """Return the verdict where nobody measured the distance: a yes credits what is there and asks to measure."""
    if near is None:
        return Fit(need, "unknown", finding("fit.receptacle.not_looked"), part, 1.0, assumed=True)
    if not near:
        return Fit(need, "unmet", finding("fit.receptacle.none"), part, 1.0)
    words = finding("fit.receptacle.near", reach=quantity(reach_ft, "ft"))
    return Fit(need, "unknown", words, part, 1.0, assumed=True, perhaps=True)


def _panel(site: SiteFacts, amp: float) -> Fit:
    need = finding("fit.need.panel", spare=quantity(amp, "a"))
    if site.panel_spare_amp is None:
        if site.panel_room is False:
            return Fit(need, "unmet", finding("fit.panel.no_room"), "PANEL_MGT", 1.0)
        words = finding("fit.panel.room_for_a_breaker" if site.panel_room else "fit.panel.calculate")
        return Fit(need, "unknown", words, "PANEL_MGT", 1.0, assumed=True, perhaps=True)
    spare = quantity(site.panel_spare_amp, "a")
    if site.panel_spare_amp >= amp:
        return Fit(need, "ok", finding("fit.panel.enough", spare=spare))
    if site.panel_amp is not None and site.panel_amp <= parameter(_FILE, "small_panel_amp").high:
        words = finding("fit.panel.replace", spare=spare, size=quantity(site.panel_amp, "a"))
        return Fit(need, "unmet", words, "PANEL", 1.0)
    return Fit(need, "unmet", finding("fit.panel.manage", spare=spare), "PANEL_MGT", 1.0)


def gas_pipe_capacity_cfh(nominal_in: float, effective_ft: float, pressure_drop_in_wc: float) -> float | None:
    """Return the capacity of steel gas pipe at the next longer length of the table; None beyond its end.

    Parameters
    ----------
    nominal_in : float
        Nominal schedule 40 size.
    effective_ft : float
        Run plus 5 ft for each elbow or tee.
    pressure_drop_in_wc : float
        0.3 or 0.5 in of water, as the tables are published.

    Raises
    ------
    InputError
        If the table has no such size or pressure drop.
    """
    rows = rows_of(GasPipe, "gas_pipe_capacity")
    sizes = sorted({row.nominal_sch40_in for row in rows})
    drops = sorted({row.pressure_drop_in_wc for row in rows})
    if nominal_in not in sizes:
        raise InputError(
            f"gas pipe: {nominal_in:g} in is not in the table; one of {', '.join(map('{:g}'.format, sizes))}"
        )
    if pressure_drop_in_wc not in drops:
        raise InputError(
            f"gas pressure drop: {pressure_drop_in_wc:g} in wc; one of {', '.join(map('{:g}'.format, drops))}"
        )
    long_enough = [
        (row.length_ft, row.capacity_cfh)
        for row in rows
        if row.nominal_sch40_in == nominal_in
        and row.pressure_drop_in_wc == pressure_drop_in_wc
        and row.length_ft >= effective_ft
    ]
    return min(long_enough)[1] if long_enough else None


def gas_supply(class_id: str, site: SiteFacts, unit: Unit) -> tuple[Fit, ...]:
    """Hold gas pipe and meter against the input of the class."""
    if class_row(class_id).fuel != "gas":
        return ()
    tankless = class_unit(class_id).kind == "tankless"
    heat_btu_h = input_btu_h(class_id, unit)
    before = site.existing_input_btu_h
    usual = parameter(_FILE, "usual_storage_input_btu_h").high if before is None else before
    if not tankless and heat_btu_h <= usual:
        message = "fit.gas_pipe.plate_not_read" if before is None else "fit.gas_pipe.no_more"
        words = finding(message, heat=quantity(heat_btu_h, "btu_h"), before=quantity(usual, "btu_h"))
        return (Fit(finding("fit.need.gas_pipe"), "unknown" if before is None else "ok", words),)
    content = site.gas_heat_content_btu_ft3 or gas_heat_content_btu_ft3()
    found = [_gas_pipe(site, heat_btu_h, content, tankless=tankless)]
    return (*found, *_meter(site, (heat_btu_h + (site.other_gas_btu_h or 0.0)) / content, tankless=tankless))


def _meter(site: SiteFacts, whole_cfh: float, *, tankless: bool) -> tuple[Fit, ...]:
    need = finding("fit.need.meter", load=quantity(whole_cfh, "ft3_h", 0))
    if site.meter_cfh is None or site.other_gas_btu_h is None:
        words = finding("fit.meter.ask", usual=quantity(number(_FILE, "small_meter_cfh"), "ft3_h"))
        return (Fit(need, "unknown", words, "METER", 1.0, assumed=True),) if tankless else ()
    carries = quantity(site.meter_cfh, "ft3_h")
    if site.meter_cfh >= whole_cfh:
        return (Fit(need, "ok", finding("fit.meter.enough", carries=carries)),)
    return (Fit(need, "unmet", finding("fit.meter.too_small", carries=carries), "METER", 1.0),)


def _gas_pipe(site: SiteFacts, heat_btu_h: float, content_btu_ft3: float, *, tankless: bool) -> Fit:
    load_cfh = (heat_btu_h + (site.other_gas_on_pipe_btu_h or 0.0)) / content_btu_ft3
    need = finding("fit.need.gas_pipe_size", load=quantity(load_cfh, "ft3_h", 0))
    basis: Basis = {"status": "second-hand", "source": "manual-tankless"}
    if site.gas_pipe_in is None or site.gas_pipe_run_ft is None:
        if not tankless:
            words = finding("fit.gas_pipe_size.not_measured", heat=quantity(heat_btu_h, "btu_h"))
            return Fit(need, "unknown", words, **basis)
        words = finding("fit.gas_pipe_size.not_measured_tankless")
        return Fit(need, "unknown", words, "GAS_JOB", 1.0, assumed=True, **basis)
    length_ft = site.gas_pipe_run_ft + (site.gas_pipe_elbows or 0.0) * number(_FILE, "gas_elbow_equivalent_ft")
    usual = number(_FILE, "gas_pressure_drop_in_wc")
    drop = usual if site.gas_pressure_drop_in_wc is None else site.gas_pressure_drop_in_wc
    capacity = gas_pipe_capacity_cfh(site.gas_pipe_in, length_ft, drop)
    if drop != usual:
        basis = {"status": "memory", "source": "ifgc-402-4"}
    pipe = finding(
        "fit.gas_pipe_size.pipe",
        size=quantity(site.gas_pipe_in, "in", 2),
        length=quantity(length_ft, "ft"),
        drop=quantity(drop, "in_wc"),
    )
    carries = quantity(capacity, "ft3_h")
    if capacity is not None and capacity >= load_cfh:
        if site.gas_pipe_elbows is None or site.other_gas_on_pipe_btu_h is None:
            words = finding("fit.gas_pipe_size.count", pipe=pipe, carries=carries)
            part, count = ("GAS_JOB", 1.0) if tankless else (None, 0.0)
            return Fit(need, "unknown", words, part, count, assumed=True, perhaps=tankless, **basis)
        return Fit(need, "ok", finding("fit.gas_pipe_size.enough", pipe=pipe, carries=carries), **basis)
    longest = parameter(_FILE, "gas_job_longest_run_ft").high
    part, count = ("GAS_JOB", 1.0) if site.gas_pipe_run_ft <= longest else ("GAS_FT", site.gas_pipe_run_ft)
    words = finding("fit.gas_pipe_size.upsize", pipe=pipe, carries=carries)
    if capacity is None:
        words = finding("fit.gas_pipe_size.beyond", pipe=pipe)
    return Fit(need, "unmet", words, part, count, **basis)


def condensate(class_id: str, site: SiteFacts, unit: Unit) -> tuple[Fit, ...]:
    """Give a condensate line, a pump where no drain is low enough, and a neutralizer for acid condensate."""
    row = class_row(class_id)
    if not row.makes_condensate:
        return ()
    return (_drain(site), _neutralizer(site)) if row.condensate == "acid" else (_drain(site),)


def _drain(site: SiteFacts) -> Fit:
    need, highest = finding("fit.need.drain"), parameter(_FILE, "condensate_drain_height_in")
    basis: Basis = {"status": highest.status, "source": highest.source}
    if site.drain is False:
        return Fit(need, "unmet", finding("fit.drain.none"), "COND_PUMP", 1.0, **basis)
    if site.drain_height_in is not None and site.drain_height_in > highest.typical:
        height, reach = quantity(site.drain_height_in, "in"), quantity(highest.typical, "in")
        return Fit(need, "unmet", finding("fit.drain.too_high", height=height, reach=reach), "COND_PUMP", 1.0, **basis)
    if site.drain or site.drain_height_in is not None:
        words = finding("fit.drain.seen" if site.drain_height_in is None else "fit.drain.by_gravity")
        return Fit(need, "ok", words, "COND_GRAV", 1.0, **basis)
    return Fit(need, "unknown", finding("fit.drain.not_looked"), "COND_PUMP", 1.0, assumed=True, **basis)


def _neutralizer(site: SiteFacts) -> Fit:
    need = finding("fit.need.neutralizer")
    if site.neutralizer_needed is False:
        return Fit(need, "ok", finding("fit.neutralizer.not_needed"))
    if site.neutralizer_needed is None:
        return Fit(need, "unknown", finding("fit.neutralizer.drain_not_asked"), "COND_NEUT", 1.0, assumed=True)
    return Fit(need, "unmet", finding("fit.neutralizer.needed"), "COND_NEUT", 1.0)
