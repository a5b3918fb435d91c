"""Parts of a case: house, zone, heater, vent, fans, services. Ranges refuse slips of the pen, not odd houses."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field

Text = Annotated[str, Field(min_length=1, max_length=200)]
Vertical = Literal["type b", "single wall", "masonry", "lined masonry", "factory chimney"]
ClimateZone = Literal[
    "1A", "2A", "2B", "3A", "3B-coast", "3B", "3C", "4A", "4B", "4C", "5A", "5B", "6A", "6B", "7", "8"
]  # fmt: skip
AirDistrict = Literal["bay area", "south coast", "other"]
State = Annotated[str, Field(pattern=r"^[A-Z]{2}$")]
YesNo = bool | None


def _when(value: Any) -> Any:
    """Take the yes or no of an older case file: a yes without a time counts as now."""
    return {True: "now", False: "no"}[value] if isinstance(value, bool) else value


When = Annotated[Literal["no", "in the past", "now"] | None, BeforeValidator(_when)]


class Strict(BaseModel):
    """Base of all parts: unknown keys, wrong types, NaN and infinity are errors."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True, allow_inf_nan=False)


def optional(low: float, high: float, description: str) -> Any:
    """Return a field that may be unknown and else lies in a range."""
    return Field(None, ge=low, le=high, description=description)


class House(Strict):
    """The building."""

    floor_area_ft2: float | None = optional(150, 30000, "Conditioned floor area.")
    stories: Literal[1, 2, 3, 4] | None = Field(None, description="Stories above grade.")
    volume_ft3: float | None = optional(1200, 400000, "Conditioned volume.")
    year_built: Annotated[int, Field(ge=1700, le=2100)] | None = Field(None, description="Year of construction.")
    foundation: Literal["slab", "conditioned basement", "unconditioned basement", "vented crawl"] | None = Field(
        None, description="Foundation."
    )
    ducts: Literal["none", "inside", "attic or basement", "vented crawl"] | None = Field(
        None, description="Where the heating ducts run."
    )
    income_eligible: YesNo = Field(None, description="Income-eligible home that was not weatherized yet.")
    manufactured: YesNo = Field(None, description="Manufactured (mobile) home.")
    weatherized: YesNo = Field(None, description="Air-sealed by a programme.")
    efficiency_rated: YesNo = Field(None, description="Energy-efficiency rated home.")
    climate_zone: ClimateZone | None = Field(None, description="Climate zone.")
    design_temp_f: float | None = optional(-60, 75, "99 % winter design temperature of the place.")
    state: State | None = Field(None, description="Two-letter state, for energy prices and the fuel-gas code.")
    air_district: AirDistrict | None = Field(None, description="Air district, where its rules bear on heaters.")
    altitude_ft: float = Field(0.0, ge=-300, le=14000, description="Altitude.")
    shelter: Literal[1, 2, 3, 4, 5] | None = Field(
        None, description="Wind shelter: 1 none, 3 buildings across the street, 5 neighbours adjacent."
    )
    leakage_cfm50: float | None = optional(50, 30000, "Measured air leakage at 50 Pa.")
    leakage_exponent: float | None = optional(0.5, 1.0, "Measured flow exponent.")
    air_changes_per_hour: float | None = optional(0.01, 10, "Natural air changes per hour, with no fan running.")
    air_changes_basis: Literal["tracer gas", "estimated"] | None = Field(
        None, description="How that rate is known: measured with a tracer gas, or somebody's estimate."
    )
    makeup_damper_in: float | None = optional(
        0, 30, "Round size of a passive make-up air damper from outdoors into the house: 0 for none."
    )
    makeup_damper_interlocked: YesNo = Field(None, description="Does that damper open by itself with the hood?")
    planned_tightening_pct: float = Field(0.0, ge=0, le=90, description="Leakage that planned work will remove.")
    heating_fuel: Literal["natural gas", "propane", "electric", "heat pump", "none"] | None = Field(
        None, description="Space heating."
    )


class Zone(Strict):
    """The combustion zone: where the heater stands."""

    kind: Literal[
        "closet", "utility room", "basement", "garage", "kitchen", "bedroom", "bathroom", "attic", "crawl space",
        "open plan", "outdoors",
    ] = Field("utility room", description="Kind of space; outdoors: in the open or in an enclosure in the yard.")  # fmt: skip
    volume_ft3: float | None = optional(20, 100000, "Volume.")
    volume_joined_ft3: float | None = optional(
        0, 200000, "Volume of spaces joined to it by openings without doors or by code-sized openings."
    )
    ceiling_height_ft: float | None = optional(4, 20, "Ceiling height.")
    level: Literal["basement", "first", "second", "attic"] = Field("first", description="Story.")
    door: Literal["none", "solid", "weatherstripped", "louvered"] | None = Field(None, description="Door to the house.")
    door_position: Literal["closed", "open"] = Field("closed", description="How the door usually stands.")
    door_undercut_in: float | None = optional(0, 6, "Gap under the door.")
    door_width_in: float | None = optional(12, 96, "Door width.")
    grille_free_area_in2: float | None = optional(0, 3000, "Free area of grilles to the house, all: 0 for none.")
    door_self_closing: YesNo = Field(None, description="Does that door close by itself?")
    opens_to: Literal["house", "bedroom", "bathroom", "outdoors"] | None = Field(
        None, description="What the zone's door opens to."
    )
    bedroom_or_bath: YesNo = Field(None, description="Is the heater in, or its air taken from, a bedroom or bathroom?")
    ignition_height_in: float | None = optional(0, 120, "In a garage: floor to the burner's source of ignition.")
    vehicle_barrier: YesNo = Field(None, description="In a garage: out of a car's way, or behind a barrier?")
    service_access: YesNo = Field(
        None, description="In an attic or crawl space: an opening, a way and a level place to work?"
    )
    weather_protected: YesNo = Field(None, description="Outdoors: listed for it, or kept from wind and rain?")
    outside_wall: YesNo = Field(None, description="Has the zone a wall to outdoors of its own?")
    open_attic_above: YesNo = Field(None, description="Is there an attic right above it that is open to outdoors?")
    open_crawl_below: YesNo = Field(None, description="Is there a crawl space right below it that is open to outdoors?")
    heater_side_clearance_in: float | None = optional(0, 120, "Least free space at the heater's sides and back.")
    heater_front_clearance_in: float | None = optional(0, 240, "Free space in front of the heater.")
    heated: bool = Field(True, description="Is the zone heated?")
    temp_f: float | None = optional(20, 110, "Usual temperature.")


class Opening(Strict):
    """An opening or duct from the zone to outdoors."""

    name: Text = Field("opening", description="Your words.")
    kind: Literal["direct", "vertical duct", "horizontal duct"] = Field("direct", description="Direct or ducted.")
    position: Literal["high", "low", "middle"] | None = Field(None, description="Height in the zone.")
    below_ceiling_in: float | None = optional(0, 240, "From the ceiling down to where the opening starts.")
    above_floor_in: float | None = optional(0, 240, "From the floor up to where the opening starts.")
    area_in2: float | None = optional(1, 2000, "Gross area.")
    diameter_in: float | None = optional(2, 30, "Round size instead of an area.")
    cover: Literal["none", "metal louver", "wood louver", "screen"] = Field("none", description="Cover.")
    free_area_in2: float | None = optional(0.5, 2000, "Free area, when the maker states it.")
    length_ft: float = Field(0.0, ge=0, le=100, description="Duct length.")
    elbows: Annotated[int, Field(ge=0, le=12)] = Field(0, description="90-degree elbows.")
    screen_mesh_in: float | None = optional(0.01, 2, "Mesh of its screen.")
    duct_material: Literal["galvanized steel", "other corrosion-resistant", "stud or joist bay", "other"] | None = (
        Field(None, description="What the duct is made of.")
    )
    serves_one_space: YesNo = Field(None, description="Does the duct serve this zone only?")
    own_duct: YesNo = Field(None, description="Has it a duct of its own, shared with no other opening of the zone?")
    ends_in: Literal["outdoors", "attic", "crawl space"] | None = Field(
        None, description="Where its other end is; an attic or crawl space must be open to outdoors itself."
    )
    falls_outward: YesNo = Field(None, description="Does the duct fall toward its outer end?")
    above_grade_in: float | None = optional(0, 600, "Height of its outer end above grade.")
    state: Literal["open", "partly blocked", "blocked", "unknown"] = Field("unknown", description="As found.")


class Heater(Strict):
    """The natural-draft water heater."""

    input_btu_h: float = Field(ge=10000, le=400000, description="Rated input at sea level.")
    draft: Literal["natural", "fan-assisted", "power-vented", "sealed"] = Field(
        "natural", description="How it vents; one without an open draft hood is refused with what to do instead."
    )
    fuel: Literal["natural gas", "propane", "oil"] = Field(
        "natural gas", description="Fuel; oil is refused with what to do instead."
    )
    hood_diameter_in: float | None = optional(2, 12, "Draft-hood outlet diameter.")
    tank_gal: float | None = optional(10, 150, "Tank size.")
    age_years: float | None = optional(0, 60, "Age.")
    recovery_efficiency_pct: float | None = optional(60, 90, "Steady efficiency.")
    uef: float | None = optional(0.3, 0.75, "Uniform energy factor from the label.")
    flue_damper: bool = Field(False, description="Automatic flue damper.")
    flammable_vapor_listed: YesNo = Field(None, description="Listed as flammable-vapor ignition resistant.")
    listed_for_manufactured: YesNo = Field(None, description="Listed for manufactured homes.")
    signs: list[Literal["heat damage", "soot", "rust at hood", "melted fittings", "none seen"]] = Field(
        default_factory=list, description="Signs of earlier spillage at the heater."
    )


class Appliance(Strict):
    """Another burner of the house: everything that burns fuel there but the heater of ``[heater]``."""

    name: Text = Field("appliance", description="Your words; test runs use it.")
    kind: Literal[
        "water heater", "furnace", "boiler", "room heater", "fireplace", "stove", "range", "dryer"
    ] = Field(description="Kind; 'stove' burns wood, coal or pellets.")  # fmt: skip
    vent: Literal["with the heater", "own", "none"] | None = Field(
        None, description="Does it use the heater's vent, one of its own, or none at all?"
    )
    draft: Literal["natural", "fan-assisted", "power-vented", "sealed"] | None = Field(
        None, description="How it vents; 'sealed' takes its air from outdoors."
    )
    fuel: Literal["natural gas", "propane", "oil", "wood", "coal", "pellets"] | None = Field(None, description="Fuel.")
    input_btu_h: float | None = optional(1000, 400000, "Rated input at sea level.")
    place: Literal["with the heater", "elsewhere indoors", "garage", "attic", "crawl space", "outdoors"] = Field(
        "with the heater", description="Where it stands: in the heater's space, or where else."
    )
    age_years: float | None = optional(0, 80, "Age.")
    replaced_soon: YesNo = Field(
        None, description="Will it be replaced or taken out within a few years? It then leaves the heater's vent."
    )
    outlet_diameter_in: float | None = optional(2, 16, "Draft hood or flue collar.")
    connector: Literal["type b", "single wall"] | None = Field(None, description="Material of its connector.")
    connector_diameter_in: float | None = optional(2, 16, "Diameter of its connector.")
    connector_length_ft: float | None = optional(0, 60, "Length of its connector, all of it.")
    connector_lateral_ft: float | None = optional(0, 50, "Horizontal part of its connector.")
    connector_rise_ft: float | None = optional(0, 20, "Rise of its connector.")
    connector_elbows: Annotated[int, Field(ge=0, le=10)] | None = Field(None, description="Elbows over 45 degrees.")
    connector_slope_in_per_ft: float | None = optional(-4, 24, "Upward slope of the horizontal part.")
    vertical: Vertical | None = Field(None, description="Its own vertical vent.")
    diameter_in: float | None = optional(2, 24, "Diameter of its own vertical vent.")
    height_ft: float | None = optional(1, 100, "Height of its own vent, outlet to top.")


class VentFound(Strict):
    """Connector and vertical vent."""

    connector: Literal["type b", "single wall"] | None = Field(None, description="Connector material.")
    connector_diameter_in: float | None = optional(2, 16, "Connector diameter.")
    connector_length_ft: float | None = optional(0, 60, "Connector length, all of it.")
    connector_lateral_ft: float | None = optional(0, 50, "Horizontal part.")
    connector_rise_ft: float | None = optional(0, 20, "Rise above the hood before the vertical vent or first elbow.")
    connector_elbows: Annotated[int, Field(ge=0, le=10)] | None = Field(None, description="Elbows over 45 degrees.")
    connector_elbows_45: Annotated[int, Field(ge=0, le=10)] = Field(0, description="Elbows up to 45 degrees.")
    connector_slope_in_per_ft: float | None = optional(-4, 24, "Upward slope of the horizontal part.")
    vertical: Vertical | None = Field(None, description="Vertical vent.")
    diameter_in: float | None = optional(2, 24, "Vertical diameter (round).")
    flue_area_in2: float | None = optional(4, 500, "Inside area of a flue that is not round.")
    height_ft: float | None = optional(1, 100, "Hood outlet to vent top.")
    exterior: YesNo = Field(None, description="Is the vertical part exposed to outdoors below the roof?")
    cap: Literal["none", "listed", "other"] | None = Field(None, description="Cap.")
    inspected: bool = Field(False, description="Was the vent looked through from end to end?")
    condition: Literal["clear", "partly blocked", "blocked", "disconnected", "unknown"] = Field(
        "unknown", description="What inspection showed."
    )
    shared: YesNo = Field(None, description="Does another appliance use this vent now ([[appliance]] with its vent)?")
    was_shared: YesNo = Field(None, description="Did another appliance use this vent before?")


class Terminal(Strict):
    """The vent's top and what is near it."""

    roof_pitch_rise_per_12: float | None = optional(0, 24, "Roof pitch.")
    height_above_roof_ft: float | None = optional(0, 30, "Above the roof, measured on the high side.")
    wall_distance_ft: float | None = optional(0, 100, "To the nearest vertical wall that rises above it.")
    above_obstacles_ft: float | None = optional(-50, 50, "Height over the highest thing within 10 ft.")
    forced_air_inlet_distance_ft: float | None = optional(0, 100, "To the nearest forced-air inlet.")
    above_forced_air_inlet_ft: float | None = optional(-50, 50, "Height of the vent top above it.")


class Exhaust(Strict):
    """A device that takes air out of the house."""

    name: Text = Field(description="Your words; test runs use it.")
    kind: Literal[
        "bath fan", "range hood", "large hood", "downdraft", "dryer", "central vacuum", "fireplace", "other fan",
        "power vent appliance", "whole-house fan",
    ] = Field(description="Kind.")  # fmt: skip
    rated_cfm: float | None = optional(5, 5000, "Label.")
    measured_cfm: float | None = optional(0, 5000, "Measured.")
    ducted_outdoors: bool = Field(True, description="False for a hood that only recirculates.")
    in_zone: bool = Field(False, description="Does it draw from the combustion zone?")
    fuel: Literal["electric", "gas"] = Field("electric", description="For dryers and the range under a hood.")
    weight_of_use: Literal["daily", "weekly", "rare"] | None = Field(None, description="How often it runs.")


class Supply(Strict):
    """Supply or balanced ventilation."""

    name: Text = Field(description="Your words.")
    kind: Literal["supply fan", "balanced ventilator", "make-up air fan"] = Field(description="Kind.")
    supply_cfm: float = Field(ge=0, le=5000, description="Air brought in.")
    exhaust_cfm: float = Field(0.0, ge=0, le=5000, description="Air taken out by the same unit.")
    effectiveness_pct: float | None = optional(0, 95, "Heat recovered.")
    interlocked: YesNo = Field(None, description="Does it start by itself with the hood, or run all the time?")


class AirHandler(Strict):
    """Furnace or air-conditioner blower and its leaks."""

    present: YesNo = Field(None, description="Is there one?")
    in_zone: bool = Field(False, description="Does it or its return stand in the combustion zone?")
    return_leak_cfm: float | None = optional(0, 1500, "Air the return takes from the zone.")
    supply_leak_cfm: float | None = optional(0, 1500, "Supply air lost outdoors.")


class Occupants(Strict):
    """People and alarms."""

    people: Annotated[int, Field(ge=1, le=30)] | None = Field(None, description="People.")
    bedrooms: Annotated[int, Field(ge=0, le=15)] | None = Field(None, description="Bedrooms.")
    co_alarms: Annotated[int, Field(ge=0, le=30)] | None = Field(None, description="CO alarms that work.")
    symptoms: When = Field(None, description="Headache, nausea or dizziness that fades away from home, and when.")
    alarm_sounded: When = Field(None, description="Has a CO alarm sounded, and when?")
    vulnerable: bool = Field(False, description="Children, pregnancy, heart or lung disease in the house.")
    showers_in_peak_hour: Annotated[int, Field(ge=0, le=20)] | None = Field(None, description="For the peak hour.")


class Services(Strict):
    """What a new appliance could use."""

    receptacle_120v: YesNo = Field(None, description="Grounded receptacle near the heater.")
    circuit_240v: YesNo = Field(None, description="30 A 240 V circuit at the heater.")
    panel_room: YesNo = Field(None, description="Room in the panel for a new circuit.")
    drain: YesNo = Field(None, description="Drain below the heater's outlet.")
    outside_wall_distance_ft: float | None = optional(0, 100, "Vent route to the nearest outside wall.")
    outside_wall_elbows: Annotated[int, Field(ge=0, le=10)] | None = Field(None, description="Elbows on that route.")
    wall_opening_distance_ft: float | None = optional(0, 100, "From the terminal's place to the nearest opening.")
    terminal_height_in: float | None = optional(0, 400, "Its height above grade or snow.")
    gas_pipe_in: float | None = Field(None, ge=0.25, le=3, description="Gas pipe size at the heater.")
    gas_run_ft: float | None = optional(0, 300, "Gas pipe length from the meter.")
    inducer_listed: YesNo = Field(None, description="Is a draft inducer listed for this heater and its gas control?")
    roof_route: YesNo = Field(None, description="Can a new vent rise through the house to the roof?")
    heat_pump_room_volume_ft3: float | None = optional(20, 100000, "Air volume around a heat pump.")
    floor_holds_lb: float | None = optional(100, 5000, "What the floor carries.")
    next_to_bedroom: YesNo = Field(None, description="Would noise reach a bedroom?")
    space_height_in: float | None = optional(20, 300, "Free height where the heater stands, floor to what is above.")
    space_width_in: float | None = optional(10, 300, "Free width where the heater stands, at its narrowest.")
    coldest_air_f: float | None = optional(-50, 100, "Coldest air beside the heater in a year.")
    hottest_air_f: float | None = optional(40, 170, "Hottest air beside the heater in a year.")


class Money(Strict):
    """Prices typed from a bill, incentives, and a contractor's settings."""

    electricity_usd_kwh: float | None = optional(0.01, 2, "Price of electricity.")
    gas_usd_therm: float | None = optional(0.05, 20, "Price of natural gas.")
    propane_usd_gal: float | None = optional(0.1, 20, "Price of propane.")
    region_factor: float = Field(1.0, ge=0.3, le=4, description="Local price level.")
    margin_pct: float = Field(0.0, ge=0, le=80, description="Margin on the bill of work.")
    tax_pct: float = Field(0.0, ge=0, le=30, description="Tax.")
    study_years: Annotated[int, Field(ge=1, le=40)] | None = Field(None, description="Study period.")
    discount_pct: float | None = optional(0, 20, "Real discount rate.")
    incentive_usd: dict[str, Annotated[float, Field(ge=0, le=50000)]] = Field(
        default_factory=dict, description="Incentive by option id; they vary and end."
    )
    incentive_source: Annotated[str, Field(max_length=300)] = Field("", description="Who pays, with the date.")
