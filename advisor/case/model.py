"""What was found: the case as an inspector writes it down, in US units, strict and almost all optional.

Only the heater's input and one test run are required. Everything absent is *unknown* and drawn from priors.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated, Any, Literal, TypeVar

from pydantic import BaseModel, ConfigDict, Field, model_validator

from advisor.case.parts import (
    AirHandler,
    Appliance,
    Exhaust,
    Heater,
    House,
    Money,
    Occupants,
    Opening,
    Services,
    Strict,
    Supply,
    Terminal,
    Text,
    VentFound,
    YesNo,
    Zone,
)
from advisor.case.parts import optional as _optional
from advisor.case.upgrade import upgraded

__all__ = ["Case", "Run", "Settings", "listed"]

Item = TypeVar("Item")


def listed(items: Sequence[Item] | None) -> Sequence[Item]:
    """Return the items of a list that somebody wrote down: none of them where the list is not known."""
    return () if items is None else items


Seen = Literal["drafting", "spilling", "reversed", "unclear", "no hood"]
Method = Literal["hand", "smoke", "flame", "mirror", "instrument"]


class Run(Strict):
    """One test run: a condition, and what was seen. What is left out was not written down: it proves nothing."""

    label: Text = Field("run", description="Your words for this run.")
    appliance: Text | None = Field(
        None, description="Name of the [[appliance]] whose draft was judged; left out: the heater."
    )
    firing: Annotated[list[Text], Field(max_length=20)] | None = Field(
        None, description="Names of the other appliances that fired, 'heater' for the heater; [] when none did."
    )
    devices_on: Annotated[list[Text], Field(max_length=40)] | None = Field(
        None, description="Names of [[exhaust]] devices that ran at their highest speed; ['all'] means every one."
    )
    dryer_filter_clean: YesNo = Field(None, description="Was the dryer's lint filter cleaned before it ran?")
    supply_on: YesNo = Field(None, description="Did supply and balanced ventilation run, where there is any?")
    window_open_ft2: float | None = _optional(
        0, 100, "Open window or outside-door area, the heater's room included: 0 when all were shut."
    )
    window_level: Literal["basement", "first", "second", "attic"] | None = Field(
        None, description="Story of the open window or outside door, when it is not the heater's."
    )
    zone_window_open_ft2: float | None = _optional(
        0, 50, "Open window or outside-door area in the combustion zone itself, when it is not the same."
    )
    zone_door: Literal["closed", "open", "worst position"] | None = Field(
        None, description="Door between zone and house; 'worst position': both were tried, the worse was kept."
    )
    interior_doors: Literal["open", "closed", "worst position"] | None = Field(
        None, description="'worst position': each set for the lowest zone pressure."
    )
    air_handler: Literal["off", "on", "tried both"] | None = Field(
        None, description="'tried both': kept in the position that lowered the zone pressure most."
    )
    fireplace_damper: Literal["shut", "open", "none"] | None = Field(
        None, description="Fireplace damper; 'none': there is no fireplace."
    )
    intake: Literal["as found", "cleared", "covered"] | None = Field(
        None, description="State of the outdoor openings of the zone during this run."
    )
    vent_cold_at_start: YesNo = Field(None, description="Had the vent cooled down before the burner lit?")
    outdoor_temp_f: float | None = _optional(-60, 125, "Outdoor temperature.")
    indoor_temp_f: float | None = _optional(30, 110, "Temperature in the zone.")
    wind_mph: float | None = _optional(0, 80, "Wind speed.")
    seconds_after_lit: float | None = _optional(0, 7200, "When the hood was judged, seconds after the burner lit.")
    seen: Seen = Field(
        description="What was seen at the draft hood; 'no hood': a retest of a heater that has none any more."
    )
    method: Method | None = Field(None, description="How it was seen.")
    seconds_to_draft: float | None = _optional(0, 7200, "Seconds until spillage stopped.")
    zone_depressurization_pa: float | None = _optional(
        -30, 150, "How far the zone was below outdoors: positive when depressurized."
    )
    baseline_depressurization_pa: float | None = _optional(-30, 60, "The same with nothing switched on.")
    draft_pa: float | None = _optional(-60, 100, "Draft in the connector: positive when the vent pulls.")
    flue_co_ppm: float | None = _optional(0, 20000, "CO in the flue before the hood, as measured.")
    flue_o2_pct: float | None = _optional(0, 20.5, "O2 in the flue before the hood.")
    ambient_co_ppm: float | None = _optional(0, 5000, "CO in the room air.")
    after_work: Text | None = Field(
        None, description="Retest: the id of the option that was carried out; several joined by '+'."
    )


class Settings(Strict):
    """Which published scheme judges, where schemes differ."""

    spillage_scheme: Literal["bpi1200", "bpi_older_any", "bpi1200_wh", "bpi1200_cold", "fuel_gas_code"] = Field(
        "bpi1200",
        description="Published rule that sets the allowed time; 'bpi1200' follows the vent's state: 2 min warm, 5 min "
        "cold. All others are rows of the catalog table spillage_time.",
    )
    peak_hour_worksheet: Literal["A", "B", "C"] = Field("B", description="Version of the peak-hour worksheet.")
    louver_rule: Literal["us", "new york city", "maker"] = Field("us", description="Whose louver shares apply.")


class Case(BaseModel):
    """One house, the heater that the advice is about, every other burner, one record.

    A list that is absent is not known; an empty one (``exhaust = []``) says that there is none.
    """

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True, allow_inf_nan=False)

    title: Text = Field("untitled case", description="Your words for this case.")
    note: Annotated[str, Field(max_length=4000)] = Field("", description="Free text.")
    house: House = House()
    zone: Zone = Zone()
    heater: Heater
    vent: VentFound = VentFound()
    terminal: Terminal = Terminal()
    opening: Annotated[list[Opening], Field(max_length=20)] | None = None
    appliances_complete: YesNo = Field(
        None, description="Are all other burners of the house listed under [[appliance]]? false: there may be more."
    )
    appliance: Annotated[list[Appliance], Field(max_length=20)] | None = None
    exhaust_complete: YesNo = Field(
        None, description="Are all devices that take air out listed under [[exhaust]]? false: there may be more."
    )
    exhaust: Annotated[list[Exhaust], Field(max_length=40)] | None = None
    supply: Annotated[list[Supply], Field(max_length=20)] | None = None
    air_handler: AirHandler = AirHandler()
    occupants: Occupants = Occupants()
    services: Services = Services()
    money: Money = Money()
    settings: Settings = Settings()
    run: list[Run] = Field(min_length=1, max_length=40)

    @model_validator(mode="before")
    @classmethod
    def _of_an_older_form(cls, data: Any) -> Any:
        """Take the names of older files."""
        return upgraded(data) if isinstance(data, dict) else data
