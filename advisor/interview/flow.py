"""Which questions the interview asks, in which order, and when each of them matters.

A condition sees the answers so far: ``v("zone.kind")``, or ``v(".kind")`` within the item of a list. An answer that is
not known is None.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

__all__ = ["FLOW", "NOT_OFFERED", "SAME", "Block", "Question", "View", "When"]

View = Callable[[str], Any]
When = Callable[[View], bool]


@dataclass(frozen=True, slots=True)
class Question:
    """A key and when it matters."""

    key: str
    when: When


@dataclass(frozen=True, slots=True)
class Block:
    """A stretch of questions about one table.

    Parameters
    ----------
    table : str
        Table of the case file; empty for the top level.
    questions : tuple of Question
        In order. In a list the first one opens an item: leaving it empty ends the list.
    gate : bool
        True when the table itself is asked for first (yes or no).
    when : callable
        When the block matters at all.
    """

    table: str
    questions: tuple[Question, ...]
    gate: bool = False
    when: When = lambda v: True


def _always(v: View) -> bool:
    return True


def ask(key: str, when: When = _always) -> Question:
    """Return a question; it always matters unless ``when`` says otherwise."""
    return Question(key, when)


ENCLOSED = ("closet", "utility room", "basement", "garage", "kitchen", "bedroom", "bathroom", "attic")
OWN_SPACE = ("closet", "utility room")
MOVES_AIR = ("fireplace", "whole-house fan")
NOT_OFFERED = {"run.seen": ("no hood",)}
"""Choices that fit only where a key is written that the interview does not ask for: a retest after a change of heater."""
SAME = (
    "run.outdoor_temp_f", "run.wind_mph", "run.window_open_ft2", "run.zone_window_open_ft2", "run.fireplace_damper",
    "run.devices_on", "run.dryer_filter_clean", "run.interior_doors", "run.air_handler", "run.zone_door", "run.supply_on",
    "run.firing", "run.intake", "run.vent_cold_at_start", "run.method",
)  # fmt: skip
"""How a test was set up: may be taken over from the test before. What was read or seen never is."""


def _has_door(v: View) -> bool:
    return bool(v("zone.kind") in ENCLOSED and v("zone.door") not in (None, "none"))


def _may_have_door(v: View) -> bool:
    return bool(v("zone.kind") != "open plan" if v("zone.door") is None else v("zone.door") != "none")


def _may_be_private(v: View) -> bool:
    """Tell whether the space may open into a bedroom or bathroom, and its door does not say it."""
    return bool(v("zone.kind") in OWN_SPACE and v("zone.opens_to") is None and v("zone.door") != "none")


def _tight_door_matters(v: View) -> bool:
    private = v("zone.opens_to") in ("bedroom", "bathroom") or v("zone.bedroom_or_bath") is True
    return bool(private and v("zone.door") == "weatherstripped")


def _in_garage(v: View) -> bool:
    return bool(v("zone.kind") == "garage")


def _trouble(v: View) -> bool:
    return any(run.get("seen") != "drafting" for run in v("run") or ())


def _on_vent(v: View) -> bool:
    return bool(v(".vent") == "with the heater")


def _vented(v: View) -> bool:
    """Tell whether an appliance has a vent that opens into the heater's space."""
    return v(".vent") != "none" and v(".draft") != "sealed" and v(".place") in (None, "with the heater")


def _own_draft(v: View) -> bool:
    return bool(v(".vent") == "own" and v(".draft") == "natural" and v(".place") in (None, "with the heater"))


def _big(v: View) -> bool:
    """Tell whether an appliance's leaving would change what the heater's vent has to carry."""
    return _on_vent(v) or v(".kind") in ("furnace", "boiler")


def _instrument(v: View) -> bool:
    return bool(v(".method") == "instrument")


def _was_fired(v: View) -> bool:
    return v(".seen") in ("drafting", "spilling", "reversed")


def _hood(v: View) -> bool:
    """Tell whether there is a draft hood to judge: then how the house was set up matters."""
    return bool(v(".seen") != "no hood")


def _set_up(key: str, when: When = _always) -> Question:
    """Return a question on how the house was set up for a test."""
    return ask(key, lambda v: _hood(v) and when(v))


def _dryer(v: View) -> bool:
    return any(e.get("kind") == "dryer" and e.get("ducted_outdoors") is not False for e in v("exhaust") or ())


def _hood_outdoors(v: View) -> bool:
    hoods = ("range hood", "large hood", "downdraft")
    return any(e.get("kind") in hoods and e.get("ducted_outdoors") is not False for e in v("exhaust") or ())


def _ducted(v: View) -> bool:
    return v(".kind") in ("vertical duct", "horizontal duct")


def _exhausts(v: View) -> bool:
    return v(".ducted_outdoors") is not False


def _cold_decides(v: View) -> bool:
    """Tell whether a rule may turn on the design temperature: a chimney with an outside wall, a bare pipe in the cold."""
    chimney = v("vent.vertical") in ("masonry", None) and v("vent.exterior") is not False
    cold = v("zone.kind") == "garage" or v("zone.heated") is False
    return bool(chimney or (cold and v("vent.connector") != "type b"))


FLOW: tuple[Block, ...] = (
    Block("", (ask("title"),)),
    Block(
        "heater",
        (
            ask("heater.input_btu_h"),
            ask("heater.draft"),
            ask("heater.fuel"),
            ask("heater.hood_diameter_in"),
            ask("heater.tank_gal"),
            ask("heater.age_years"),
            ask("heater.signs"),
            ask("heater.flue_damper"),
        ),
    ),
    Block("occupants", (ask("occupants.symptoms"), ask("occupants.alarm_sounded"), ask("occupants.co_alarms"))),
    Block(
        "zone",
        (
            ask("zone.kind"),
            ask("zone.door", lambda v: v("zone.kind") in ENCLOSED),
            ask("zone.opens_to", lambda v: _has_door(v) and v("zone.kind") not in ("bedroom", "bathroom")),
            ask("zone.bedroom_or_bath", _may_be_private),
            ask("zone.door_self_closing", _tight_door_matters),
            ask("zone.door_undercut_in", lambda v: _has_door(v) and v("zone.door") != "weatherstripped"),
            ask("zone.door_position", _has_door),
            ask("zone.grille_free_area_in2", lambda v: v("zone.kind") in ENCLOSED),
            ask("zone.ignition_height_in", _in_garage),
            ask("zone.vehicle_barrier", _in_garage),
            ask("zone.service_access", lambda v: v("zone.kind") in ("attic", "crawl space")),
            ask("zone.weather_protected", lambda v: v("zone.kind") == "outdoors"),
            ask("zone.volume_ft3", lambda v: v("zone.kind") != "open plan"),
            ask("zone.volume_joined_ft3", lambda v: v("zone.kind") == "open plan" or v("zone.door") == "none"),
            ask("zone.level", lambda v: v("zone.kind") in ("closet", "utility room", "kitchen", "open plan")),
            ask("zone.outside_wall", lambda v: v("zone.kind") in ("closet", "utility room", "kitchen", "basement")),
            ask("zone.open_attic_above", lambda v: v("zone.outside_wall") is False),
            ask("zone.open_crawl_below", lambda v: v("zone.outside_wall") is False),
            ask("zone.heated", lambda v: v("zone.kind") in ("closet", "utility room", "basement", "garage")),
        ),
    ),
    Block(
        "opening",
        (
            ask("opening.kind"),
            ask("opening.name"),
            ask("opening.position"),
            ask("opening.below_ceiling_in", lambda v: v(".position") in ("high", "middle")),
            ask("opening.above_floor_in", lambda v: v(".position") in ("low", "middle")),
            ask("opening.diameter_in"),
            ask("opening.area_in2", lambda v: v(".diameter_in") is None),
            ask("opening.cover"),
            ask("opening.free_area_in2", lambda v: v(".cover") in ("metal louver", "wood louver", "screen")),
            ask("opening.screen_mesh_in", lambda v: v(".cover") == "screen"),
            ask("opening.length_ft", _ducted),
            ask("opening.elbows", _ducted),
            ask("opening.duct_material", _ducted),
            ask("opening.serves_one_space", _ducted),
            ask("opening.ends_in"),
            ask("opening.state"),
        ),
    ),
    Block(
        "vent",
        (
            ask("vent.connector"),
            ask("vent.connector_diameter_in"),
            ask("vent.connector_length_ft"),
            ask("vent.connector_lateral_ft", lambda v: v("vent.connector_length_ft") != 0),
            ask("vent.connector_rise_ft"),
            ask("vent.connector_elbows"),
            ask("vent.connector_slope_in_per_ft", lambda v: bool(v("vent.connector_lateral_ft"))),
            ask("vent.vertical"),
            ask("vent.diameter_in"),
            ask("vent.flue_area_in2", lambda v: v("vent.diameter_in") is None and v("vent.vertical") == "masonry"),
            ask("vent.height_ft"),
            ask("vent.exterior"),
            ask("vent.cap"),
            ask("vent.inspected"),
            ask("vent.condition", lambda v: v("vent.inspected") is True),
            ask("vent.shared"),
            ask("vent.was_shared", lambda v: not v("vent.shared")),
        ),
    ),
    Block(
        "appliance",
        (
            ask("appliance.kind"),
            ask("appliance.name"),
            ask("appliance.vent", lambda v: v(".kind") != "dryer"),
            ask("appliance.place", lambda v: not _on_vent(v)),
            ask("appliance.draft", lambda v: v(".vent") != "none" and v(".kind") not in ("dryer", "range")),
            ask("appliance.fuel"),
            ask("appliance.input_btu_h"),
            ask("appliance.age_years", _big),
            ask("appliance.replaced_soon", _big),
            ask("appliance.outlet_diameter_in", _vented),
            ask("appliance.connector", _on_vent),
            ask("appliance.connector_diameter_in", _vented),
            ask("appliance.connector_length_ft", _on_vent),
            ask("appliance.connector_lateral_ft", lambda v: _on_vent(v) and v(".connector_length_ft") != 0),
            ask("appliance.connector_rise_ft", _on_vent),
            ask("appliance.connector_elbows", _on_vent),
            ask("appliance.connector_slope_in_per_ft", lambda v: _on_vent(v) and bool(v(".connector_lateral_ft"))),
            ask("appliance.vertical", _own_draft),
            ask("appliance.diameter_in", _own_draft),
            ask("appliance.height_ft", _own_draft),
        ),
    ),
    Block(
        "exhaust",
        (
            ask("exhaust.kind"),
            ask("exhaust.name"),
            ask("exhaust.ducted_outdoors", lambda v: v(".kind") not in MOVES_AIR),
            ask("exhaust.measured_cfm", lambda v: _exhausts(v) and v(".kind") != "fireplace"),
            ask(
                "exhaust.rated_cfm", lambda v: _exhausts(v) and v(".measured_cfm") is None and v(".kind") != "fireplace"
            ),
            ask("exhaust.in_zone", lambda v: _exhausts(v) and v("zone.kind") != "open plan"),
            ask("exhaust.fuel", lambda v: v(".kind") in ("dryer", "range hood", "large hood", "downdraft")),
        ),
    ),
    Block(
        "supply",
        (
            ask("supply.kind"),
            ask("supply.supply_cfm"),
            ask("supply.exhaust_cfm", lambda v: v(".kind") == "balanced ventilator"),
            ask("supply.interlocked", lambda v: v(".kind") == "make-up air fan"),
        ),
    ),
    Block(
        "air_handler",
        (
            ask("air_handler.present"),
            ask("air_handler.in_zone", lambda v: v("air_handler.present") is True),
            ask("air_handler.return_leak_cfm", lambda v: v("air_handler.in_zone") is True),
        ),
    ),
    Block(
        "run",
        (
            ask("run.seen"),
            ask("run.label"),
            ask("run.appliance", lambda v: bool(v("appliance"))),
            # as the field sheet sets the house up: weather, windows, exhaust, doors, blower; then the burner
            ask("run.outdoor_temp_f"),
            ask("run.wind_mph"),
            _set_up("run.window_open_ft2"),
            _set_up("run.zone_window_open_ft2", lambda v: v(".window_open_ft2") != 0),
            _set_up("run.window_level", lambda v: bool(v(".window_open_ft2"))),
            _set_up("run.fireplace_damper"),
            _set_up("run.devices_on", lambda v: v("exhaust") != []),
            _set_up("run.dryer_filter_clean", _dryer),
            _set_up("run.interior_doors"),
            _set_up("run.air_handler", lambda v: v("air_handler.present") is not False),
            _set_up("run.zone_door", _may_have_door),
            _set_up("run.supply_on", lambda v: v("supply") != []),
            _set_up("run.firing", lambda v: bool(v("appliance")) or v("vent.shared") is not False),
            _set_up("run.intake", lambda v: v("opening") != []),
            ask("run.vent_cold_at_start", _was_fired),
            ask("run.method", _was_fired),
            ask("run.seconds_after_lit", _was_fired),
            ask("run.seconds_to_draft", lambda v: v(".seen") == "drafting"),
            _set_up("run.zone_depressurization_pa"),
            _set_up("run.baseline_depressurization_pa", lambda v: v(".zone_depressurization_pa") is not None),
            ask("run.draft_pa", _instrument),
            ask("run.ambient_co_ppm"),
            ask("run.flue_co_ppm"),
            ask("run.flue_o2_pct", lambda v: v(".flue_co_ppm") is not None),
        ),
    ),
    Block(
        "house",
        (
            ask("house.leakage_cfm50"),
            ask("house.air_changes_per_hour", lambda v: v("house.leakage_cfm50") is not None),
            ask("house.air_changes_basis", lambda v: v("house.air_changes_per_hour") is not None),
            ask("house.makeup_damper_in", _hood_outdoors),
            ask("house.makeup_damper_interlocked", lambda v: bool(v("house.makeup_damper_in"))),
            ask("house.floor_area_ft2"),
            ask("house.stories"),
            ask("house.year_built"),
            ask("house.foundation"),
            ask("house.manufactured"),
            ask("house.state"),
            ask("house.air_district", lambda v: v("house.state") == "CA"),
            ask("house.climate_zone"),
            ask("house.design_temp_f", _cold_decides),
            ask("house.altitude_ft"),
            ask("house.shelter"),
            ask("house.ducts", lambda v: v("house.leakage_cfm50") is None and v("air_handler.present") is True),
            ask("house.weatherized", lambda v: v("house.leakage_cfm50") is None),
            ask("house.planned_tightening_pct"),
            ask("house.heating_fuel"),
        ),
    ),
    Block("occupants", (ask("occupants.people"), ask("occupants.bedrooms"), ask("occupants.vulnerable"))),
    Block(
        "terminal",
        (
            ask("terminal.roof_pitch_rise_per_12"),
            ask("terminal.height_above_roof_ft"),
            ask("terminal.wall_distance_ft"),
        ),
        gate=True,
        when=_trouble,
    ),
    Block(
        "heater",
        (
            ask("heater.flammable_vapor_listed", _in_garage),
            ask("heater.listed_for_manufactured", lambda v: v("house.manufactured") is True),
            ask(
                "heater.recovery_efficiency_pct",
                lambda v: any(
                    r.get("flue_o2_pct") is not None or r.get("method") == "instrument" for r in v("run") or ()
                ),
            ),
        ),
    ),
    Block(
        "services",
        (
            ask("services.receptacle_120v"),
            ask("services.circuit_240v"),
            ask("services.panel_room", lambda v: v("services.circuit_240v") is not True),
            ask("services.drain"),
            ask("services.outside_wall_distance_ft"),
            ask("services.outside_wall_elbows", lambda v: v("services.outside_wall_distance_ft") is not None),
            ask("services.roof_route"),
            ask("services.gas_pipe_in"),
            ask("services.gas_run_ft", lambda v: v("services.gas_pipe_in") is not None),
            ask("services.next_to_bedroom"),
            ask("services.space_height_in"),
            ask("services.space_width_in"),
            ask("services.coldest_air_f"),
            ask("services.hottest_air_f", lambda v: v("zone.kind") in ("attic", "garage")),
        ),
        when=_trouble,
    ),
    Block(
        "money",
        (
            ask("money.electricity_usd_kwh"),
            ask("money.gas_usd_therm", lambda v: v("heater.fuel") in (None, "natural gas")),
            ask("money.propane_usd_gal", lambda v: v("heater.fuel") == "propane"),
        ),
        when=_trouble,
    ),
)
