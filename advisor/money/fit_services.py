"""Fit of a replacement to the house's wires and pipes: receptacle, circuits, panel, gas pipe, meter, condensate."""

from __future__ import annotations

from advisor.catalog import number, parameter, table
from advisor.errors import InputError
from advisor.money.conversions import gas_heat_content_btu_ft3
from advisor.money.energy import class_row
from advisor.money.prices import included_measures
from advisor.money.site import Basis, Fit, SiteFacts, Unit, class_fit

_FILE = "money_fit"


def _usual_elbow_ft(column: str) -> float:
    """Return the longest feet a residential elbow counts for: the rows with a class are read, the first is typical."""
    return float(next(row[column] for row in table("vent_equivalent_lengths") if row["class_ids"] and row[column]))


def usual_elbow_90_ft() -> float:
    """Return the equivalent feet of a 90-degree elbow on residential units."""
    return _usual_elbow_ft("elbow_90_ft")


def usual_elbow_45_ft() -> float:
    """Return the equivalent feet of a 45-degree elbow on residential units."""
    return _usual_elbow_ft("elbow_45_ft")


def electricity(class_id: str, site: SiteFacts, unit: Unit) -> tuple[Fit, ...]:
    """Hold the receptacle, the circuits and the panel against what the class needs."""
    row = class_row(class_id)
    found: list[Fit] = []
    new_amp = 0.0
    if row["needs_120v"] == "depends":
        found.append(Fit("120 V supply", "unknown", "some dampers need 120 V, some are powered by the pilot"))
    elif row["needs_120v"] == "yes":
        fits, new_amp = _receptacle(class_id, site)
        found.append(fits)
    if row["needs_240v"] == "yes":
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
    need = f"240 V circuit, {amp:g} A"
    inside = "CIR_240" in included_measures(class_id)
    part, count = (None, 0.0) if inside else ("CIR_240", 1.0)
    tail = ": the typical installed price contains it" if inside else ""
    if site.circuit_240_v is None:
        return Fit(need, "unknown", "nobody looked for a circuit" + tail, part, count, assumed=True, **basis), amp
    if not site.circuit_240_v:
        return Fit(need, "unmet", "no circuit at the heater" + tail, part, count, **basis), amp
    if site.circuit_240_amp is None:
        words = f"a circuit ends at the heater, its size is not known: read its breaker ({amp:g} A are needed)"
        # what contains a circuit is priced without it then (`circuit_present`), so the part stands here for every class
        return Fit(need, "unknown", words, "CIR_240", 1.0, assumed=True, perhaps=True, **basis), 0.0
    words = f"a circuit of {site.circuit_240_amp:g} A ends at the heater"
    if site.circuit_240_amp >= amp:
        return Fit(need, "ok", words, **basis), 0.0
    return Fit(need, "unmet", words + tail, part, count, **basis), amp


def _receptacle(class_id: str, site: SiteFacts) -> tuple[Fit, float]:
    """Return the verdict, and the amperes that a new circuit would add to the panel (0 if none is needed)."""
    reach = number(_FILE, "receptacle_reach_ft")
    own = class_fit(class_id)["kind"] == "heat pump"  # a compressor wants a circuit that nothing else loads
    part, what = ("CIR_120", "a dedicated 120 V circuit") if own else ("OUT_120", "a 120 V receptacle")
    need = f"{what} within {reach:g} ft"
    amp = number(_FILE, "circuit_120_amp") if own else 0.0
    if site.receptacle_ft is None:
        return _receptacle_by_answer(need, part, reach, site.receptacle_near), amp
    words = f"the receptacle is {site.receptacle_ft:g} ft away"
    if site.receptacle_ft > reach:
        return Fit(need, "unmet", words, part, 1.0), amp
    if own and site.receptacle_dedicated is None:
        return Fit(need, "unknown", words + "; nobody said what else is on it", part, 1.0, assumed=True), amp
    if own and not site.receptacle_dedicated:
        return Fit(need, "unmet", words + " but shares its circuit", part, 1.0), amp
    return Fit(need, "ok", words), 0.0


def _receptacle_by_answer(need: str, part: str, reach: float, near: bool | None) -> Fit:
    """Return the verdict where nobody measured the distance: a yes credits what is there and asks to measure."""
    if near is None:
        return Fit(need, "unknown", "nobody looked for a receptacle", part, 1.0, assumed=True)
    if not near:
        return Fit(need, "unmet", "there is no receptacle near the heater", part, 1.0)
    words = f"a receptacle is near, its distance and its circuit are not known: measure (a cord reaches {reach:g} ft)"
    return Fit(need, "unknown", words, part, 1.0, assumed=True, perhaps=True)


def _panel(site: SiteFacts, amp: float) -> Fit:
    need = f"{amp:g} A to spare in the panel"
    if site.panel_spare_amp is None:
        if site.panel_room is False:
            return Fit(need, "unmet", "the panel has no room: load management or circuit sharing", "PANEL_MGT", 1.0)
        words = "needs a load calculation before a circuit is added"
        if site.panel_room:
            words = f"there is room for a breaker, what the panel can carry is not known: {words}"
        return Fit(need, "unknown", words, "PANEL_MGT", 1.0, assumed=True, perhaps=True)
    if site.panel_spare_amp >= amp:
        return Fit(need, "ok", f"{site.panel_spare_amp:g} A are to spare")
    small = parameter(_FILE, "small_panel_amp").high
    words = f"only {site.panel_spare_amp:g} A are to spare"
    if site.panel_amp is not None and site.panel_amp <= small:
        return Fit(need, "unmet", f"{words} in a panel of {site.panel_amp:g} A: replace it", "PANEL", 1.0)
    return Fit(need, "unmet", f"{words}: load management or circuit sharing", "PANEL_MGT", 1.0)


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
    rows = table("gas_pipe_capacity")
    sizes = sorted({float(row["nominal_sch40_in"]) for row in rows})
    drops = sorted({float(row["pressure_drop_in_wc"]) for row in rows})
    if nominal_in not in sizes:
        raise InputError(
            f"gas pipe: {nominal_in:g} in is not in the table; one of {', '.join(map('{:g}'.format, sizes))}"
        )
    if pressure_drop_in_wc not in drops:
        raise InputError(
            f"gas pressure drop: {pressure_drop_in_wc:g} in wc; one of {', '.join(map('{:g}'.format, drops))}"
        )
    reach = [
        (float(row["length_ft"]), float(row["capacity_cfh"]))
        for row in rows
        if float(row["nominal_sch40_in"]) == nominal_in and float(row["pressure_drop_in_wc"]) == pressure_drop_in_wc
    ]
    long_enough = [pair for pair in reach if pair[0] >= effective_ft]
    return min(long_enough)[1] if long_enough else None


def gas_supply(class_id: str, site: SiteFacts, unit: Unit) -> tuple[Fit, ...]:
    """Hold gas pipe and meter against the input of the class."""
    if class_row(class_id)["fuel"] != "gas":
        return ()
    row = class_fit(class_id)
    heat = float(row["input_btu_h"]) if unit.input_btu_h is None else unit.input_btu_h
    before = site.existing_input_btu_h
    usual = parameter(_FILE, "usual_storage_input_btu_h").high if before is None else before
    if row["kind"] != "tankless" and heat <= usual:
        if before is None:
            words = (
                f"nobody read the input of the heater there now; {heat:g} Btu/h is no more than is usual ({usual:g})"
            )
            return (Fit("gas pipe", "unknown", words),)
        return (Fit("gas pipe", "ok", f"{heat:g} Btu/h is no more than the heater took before ({usual:g})"),)
    content = site.gas_heat_content_btu_ft3 or gas_heat_content_btu_ft3()
    found = [_gas_pipe(site, heat, content, tankless=row["kind"] == "tankless")]
    whole = (heat + (site.other_gas_btu_h or 0.0)) / content
    need = f"meter and regulator for {whole:.0f} ft3/h"
    if site.meter_cfh is None or site.other_gas_btu_h is None:
        if row["kind"] == "tankless":
            usual_cfh = number(_FILE, "small_meter_cfh")
            words = (
                f"ask the utility: a usual house meter carries about {usual_cfh:g} ft3/h for all appliances together"
            )
            found.append(Fit(need, "unknown", words, "METER", 1.0, assumed=True))
    elif site.meter_cfh >= whole:
        found.append(Fit(need, "ok", f"the meter carries {site.meter_cfh:g} ft3/h"))
    else:
        words = f"the meter carries {site.meter_cfh:g} ft3/h: the utility has to change it"
        found.append(Fit(need, "unmet", words, "METER", 1.0))
    return tuple(found)


def _gas_pipe(site: SiteFacts, heat_btu_h: float, content_btu_ft3: float, *, tankless: bool) -> Fit:
    load = (heat_btu_h + (site.other_gas_on_pipe_btu_h or 0.0)) / content_btu_ft3
    need = f"gas pipe for {load:.0f} ft3/h"
    basis: Basis = {"status": "second-hand", "source": "manual-tankless"}
    if site.gas_pipe_in is None or site.gas_pipe_run_ft is None:
        if not tankless:
            words = f"{heat_btu_h:g} Btu/h is more than before and nobody measured the pipe: size it"
            return Fit(need, "unknown", words, **basis)
        words = "nobody measured the pipe; a tankless input usually asks for a larger one"
        return Fit(need, "unknown", words, "GAS_JOB", 1.0, assumed=True, **basis)
    length = site.gas_pipe_run_ft + (site.gas_pipe_elbows or 0.0) * number(_FILE, "gas_elbow_equivalent_ft")
    usual = number(_FILE, "gas_pressure_drop_in_wc")
    drop = usual if site.gas_pressure_drop_in_wc is None else site.gas_pressure_drop_in_wc
    carries = gas_pipe_capacity_cfh(site.gas_pipe_in, length, drop)
    if drop != usual:
        basis = {"status": "memory", "source": "ifgc-402-4"}
    pipe = f"{site.gas_pipe_in:g} in pipe over {length:g} ft effective ({drop:g} in wc)"
    if carries is not None and carries >= load:
        if site.gas_pipe_elbows is None or site.other_gas_on_pipe_btu_h is None:
            words = f"{pipe} carries {carries:g} ft3/h; count its elbows and the other appliances on it"
            part, count = ("GAS_JOB", 1.0) if tankless else (None, 0.0)
            return Fit(need, "unknown", words, part, count, assumed=True, perhaps=tankless, **basis)
        return Fit(need, "ok", f"{pipe} carries {carries:g} ft3/h", **basis)
    longest = parameter(_FILE, "gas_job_longest_run_ft").high
    part, count = ("GAS_JOB", 1.0) if site.gas_pipe_run_ft <= longest else ("GAS_FT", site.gas_pipe_run_ft)
    words = f"{pipe} carries {carries:g} ft3/h: upsize it" if carries is not None else f"{pipe} is beyond the table"
    return Fit(need, "unmet", words, part, count, **basis)


def condensate(class_id: str, site: SiteFacts, unit: Unit) -> tuple[Fit, ...]:
    """Give a condensate line, a pump where no drain is low enough, and a neutralizer for acid condensate."""
    makes = class_row(class_id)["condensate"]
    if makes in ("no", "usually no"):
        return ()
    highest = parameter(_FILE, "condensate_drain_height_in")
    basis: Basis = {"status": highest.status, "source": highest.source}
    need = "drain for condensate"
    if site.drain is False:
        found = [Fit(need, "unmet", "no drain within reach by gravity: pump", "COND_PUMP", 1.0, **basis)]
    elif site.drain_height_in is not None and site.drain_height_in > highest.typical:
        words = f"the drain is {site.drain_height_in:g} in up, gravity reaches {highest.typical:g} in: pump"
        found = [Fit(need, "unmet", words, "COND_PUMP", 1.0, **basis)]
    elif site.drain or site.drain_height_in is not None:
        words = (
            "a drain below the outlet was seen: a line by gravity, its length is not known"
            if site.drain_height_in is None
            else "a line by gravity reaches the drain"
        )
        found = [Fit(need, "ok", words, "COND_GRAV", 1.0, **basis)]
    else:
        found = [
            Fit(
                need, "unknown", "nobody looked for a drain: a pump is assumed", "COND_PUMP", 1.0, assumed=True, **basis
            )
        ]
    if "acidic" in makes and "not acidic" not in makes:
        need = "neutralizer for acid condensate"
        if site.neutralizer_needed is False:
            found.append(Fit(need, "ok", "the drain stands acid and the local code does not ask for one"))
        else:
            known = site.neutralizer_needed is True
            words = "protects cast iron and a septic tank" + (
                "" if known else "; nobody said what the drain is made of"
            )
            found.append(Fit(need, "unmet" if known else "unknown", words, "COND_NEUT", 1.0, assumed=not known))
    return tuple(found)


def freezing(class_id: str, site: SiteFacts, unit: Unit) -> tuple[Fit, ...]:
    """Warn where a tankless heater or a condensate line could freeze."""
    kind, makes = class_fit(class_id)["kind"], class_row(class_id)["condensate"]
    if kind != "tankless" and makes in ("no", "usually no"):
        return ()
    limit = number(_FILE, "freeze_air_f")
    if site.room_low_f is None:
        return (
            Fit("frost", "unknown", "keep heater and condensate line from freezing; nobody measured the coldest air"),
        )
    cold = site.room_low_f <= limit
    words = f"the coldest air beside it is {site.room_low_f:g} F"
    return (Fit("frost", "unmet" if cold else "ok", words + (": heat trace or another place" if cold else "")),)
