"""What was found: the case as an inspector writes it down, in US units, strict and almost all optional.

Only the heater's input and one test run are required. Everything absent is *unknown* and drawn from priors.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

from advisor.case.parts import (
    AirHandler,
    Exhaust,
    Heater,
    House,
    Money,
    Occupants,
    Opening,
    OtherAppliance,
    Services,
    SharedAppliance,
    Strict,
    Supply,
    Terminal,
    Text,
    VentFound,
    Zone,
)
from advisor.case.parts import optional as _optional

__all__ = ["Case", "Run", "Settings"]

Seen = Literal["drafting", "spilling", "reversed", "unclear"]
Method = Literal["hand", "smoke", "flame", "mirror", "instrument"]


class Run(Strict):
    """One test run: a condition, and what was seen."""

    label: Text = Field("run", description="Your words for this run.")
    devices_on: list[Text] = Field(
        default_factory=list,
        max_length=40,
        description="Names of [[exhaust]] devices that ran; ['all'] means every one.",
    )
    supply_on: bool = Field(True, description="Did supply and balanced ventilation run, where there is any?")
    window_open_ft2: Annotated[float, Field(ge=0, le=100)] = Field(0.0, description="Open window area in the house.")
    zone_window_open_ft2: Annotated[float, Field(ge=0, le=50)] = Field(
        0.0, description="Open window or outside-door area in the combustion zone itself."
    )
    zone_door: Literal["closed", "open"] | None = Field(None, description="Door between zone and house.")
    interior_doors: Literal["open", "closed", "worst position"] = Field(
        "open", description="'worst position': each set for the lowest zone pressure."
    )
    air_handler: Literal["off", "on", "tried both"] = Field(
        "off", description="'tried both': kept in the position that lowered the zone pressure most."
    )
    shared_appliance: Literal["off", "firing"] = Field("off", description="Did the appliance on the same vent fire?")
    fireplace_damper: Literal["shut", "open", "none"] = Field("none", description="Fireplace damper.")
    intake: Literal["as found", "cleared", "covered"] = Field(
        "as found", description="State of the outdoor openings of the zone during this run."
    )
    vent_cold_at_start: bool = Field(True, description="Had the vent cooled down before the burner lit?")
    outdoor_temp_f: float | None = _optional(-60, 125, "Outdoor temperature.")
    indoor_temp_f: float | None = _optional(30, 110, "Temperature in the zone.")
    wind_mph: float | None = _optional(0, 80, "Wind speed.")
    seconds_after_lit: float | None = _optional(0, 7200, "When the hood was judged, seconds after the burner lit.")
    seen: Seen = Field(description="What was seen at the draft hood.")
    method: Method = Field("smoke", description="How it was seen.")
    seconds_to_draft: float | None = _optional(0, 7200, "Seconds until spillage stopped.")
    zone_depressurization_pa: float | None = _optional(
        -30, 150, "How far the zone was below outdoors: positive when depressurized."
    )
    baseline_depressurization_pa: float | None = _optional(-30, 60, "The same with nothing switched on.")
    draft_pa: float | None = _optional(-60, 100, "Draft in the connector: positive when the vent pulls.")
    flue_co_ppm: float | None = _optional(0, 20000, "CO in the flue before the hood, as measured.")
    flue_o2_pct: float | None = _optional(0, 20.5, "O2 in the flue before the hood.")
    ambient_co_ppm: float | None = _optional(0, 5000, "CO in the room air.")
    after_work: Text | None = Field(None, description="Retest: the id of the option that was carried out.")


class Settings(Strict):
    """Which published scheme judges, where schemes differ."""

    spillage_scheme: Literal["bpi_older_any", "bpi1200_wh", "bpi1200_cold", "fuel_gas_code"] = Field(
        "bpi1200_wh", description="Row of the catalog table spillage_time that sets the allowed time."
    )
    peak_hour_worksheet: Literal["A", "B", "C"] = Field("B", description="Version of the peak-hour worksheet.")
    louver_rule: Literal["us", "new york city", "maker"] = Field("us", description="Whose louver shares apply.")


class Case(BaseModel):
    """One house, one heater, one record."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True, allow_inf_nan=False)

    title: Text = Field("untitled case", description="Your words for this case.")
    note: Annotated[str, Field(max_length=4000)] = Field("", description="Free text.")
    house: House = House()
    zone: Zone = Zone()
    heater: Heater
    vent: VentFound = VentFound()
    terminal: Terminal = Terminal()
    shared_appliance: SharedAppliance | None = None
    opening: list[Opening] = Field(default_factory=list, max_length=20)
    other_appliance: list[OtherAppliance] = Field(default_factory=list, max_length=20)
    exhaust: list[Exhaust] = Field(default_factory=list, max_length=40)
    supply: list[Supply] = Field(default_factory=list, max_length=20)
    air_handler: AirHandler = AirHandler()
    occupants: Occupants = Occupants()
    services: Services = Services()
    money: Money = Money()
    settings: Settings = Settings()
    run: list[Run] = Field(min_length=1, max_length=40)
