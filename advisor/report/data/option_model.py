"""Output: one option, with its checks, bill, life-cycle and fit."""

from __future__ import annotations

from dataclasses import fields
from typing import Annotated, Any, Literal

from pydantic import AliasPath, BeforeValidator, Field, model_validator

from advisor.codes.check import Check as Worked
from advisor.codes.check import Verdict
from advisor.ranking.options import Safety
from advisor.report.data.fields import (
    Band,
    Dollars,
    Exact,
    FineShare,
    Money,
    Number,
    Record,
    Said,
    Score,
    ScoreParts,
    Share,
    Spillage,
    Tens,
    Tenths,
    Whole,
    rounded,
)
from advisor.wording.checks import official


class Check(Record):
    """A published rule, applied."""

    rule: str = Field(description="Id of the rule.")
    run: str = Field(description="Label of the run that was held against it; empty for the house.")
    about: str = Field(description="Appliance it was held against, where it holds for each of several; else empty.")
    clause: str = Field(description="Clause with its edition.")
    read_in: tuple[Said, ...] = Field(description="Editions that its table cells were read from.")
    required: Said
    provided: Said
    verdict: Verdict
    client: Said = Field(description="For a client.")
    official: Said = Field(description="For a code official.")
    status: str = Field(description="Status of the weakest number used.")
    source: str = Field(description="Source ids, `;` separated.")
    missing: tuple[str, ...] = Field(description="What nobody gave (`check_inputs`); the verdict is then unknown.")

    @model_validator(mode="before")
    @classmethod
    def _with_what_is_owed(cls, value: Any) -> Any:
        """Read a check; the official sentence says how far its weakest number can be trusted."""
        if isinstance(value, Worked):
            return {f.name: getattr(value, f.name) for f in fields(value) if f.name in cls.model_fields} | {
                "official": official(value)
            }
        return value


class BillLine(Record):
    """One priced line of the work."""

    measure_id: str
    words: Said
    quantity: Number
    unit: str
    low_usd: Dollars
    typical_usd: Dollars
    high_usd: Dollars
    labour_h: Tenths | None
    status: str
    source: str
    assumed: bool = Field(description="Nobody said that it is needed.")


class Year(Record):
    """One year of the cash flow."""

    year: int
    paid_usd: Dollars
    cumulative_present_usd: Dollars = Field(validation_alias="cumulative_usd")


class LifeCycle(Record):
    """Cost over the study period, in dollars of today."""

    study_years: int
    discount_rate: Exact
    first_usd: Dollars
    replacement_usd: Dollars
    residual_usd: Dollars
    energy_usd: Dollars
    upkeep_usd: Dollars
    total_usd: Money
    existing_heater_remaining_years: Tenths | None = Field(validation_alias="remaining_years")
    savings_to_investment: Number | None
    payback_years: Tenths | None
    break_even_electricity_usd_kwh: Annotated[float, BeforeValidator(rounded(3))] | None
    cash_flow: tuple[Year, ...]


class Energy(Record):
    """Energy and air of a year."""

    gas_therm: Tenths
    propane_gal: Tenths
    electricity_kwh: Whole
    energy_usd: Dollars
    upkeep_usd: Dollars
    outdoor_air_usd: Dollars
    co2_kg: Whole
    co2_factors: Said
    notes: tuple[Said, ...]


class Fit(Record):
    """Does a new appliance fit here?"""

    id: str = Field(description="Id of the need.")
    need: Said
    verdict: str
    words: Said
    measure_id: str | None
    quantity: Exact
    blocking: bool
    assumed: bool
    perhaps: bool
    status: str
    source: str


class HoldsUntil(Record):
    """How far the house may change before the option stops being safe enough."""

    more_exhaust_cfm: Tens | None
    leakage_cfm50: Tens | None
    words: Said


class Option(Record):
    """A remedy, or several together, worked out for the case."""

    id: str
    title: Said
    family: str
    rank: Annotated[int, Field(ge=1)] | None = Field(description="Null: not safe enough or not possible.")
    appliance: Literal["natural draft", "fan-assisted", "power vent", "sealed", "none"]
    eligible: bool
    safety: Safety
    near_limit: bool = Field(description="A share stands within its sampling error of a threshold.")
    barred_by: str = Field(description="State of the record that holds it down; empty when none does.")
    safe_enough: bool
    reasons: tuple[Said, ...]
    spillage: Spillage
    vent_runs_wet: Share
    zone_depressurization_pa: Band
    seconds_to_draft: Band
    draft_pa: Band
    installed_cost_usd: Money
    yearly_cost_usd: Money
    risk_score: Score = Field(description="0 to 100, lower is safer; modelled.")
    value: FineShare
    value_parts: dict[str, FineShare] = Field(description="They add up to `value`.")
    bill: tuple[BillLine, ...]
    parts: tuple[Said, ...]
    notes: tuple[Said, ...]
    checks: tuple[Check, ...]
    needs: Said
    lead_days: Exact
    life_cycle: LifeCycle = Field(validation_alias="lifetime")
    energy: Energy = Field(validation_alias=AliasPath("lifetime", "energy"))
    fit: tuple[Fit, ...]
    incentive_usd: Dollars
    dated: tuple[str, ...] = Field(description="Ids of the dates that touch it (`dated` of the advice).")
    members: tuple[str, ...] = Field(description="Ids of the remedies in it, where it is several.")
    score_parts: ScoreParts
    everyday_hours_year: Band = Field(validation_alias="everyday_hours")
    further_stress: dict[str, Share]
    holds_until: HoldsUntil | None
    rank_share: tuple[Share, Share, Share] | None = Field(
        description="Share of the situations and weights in which it is first, second, third."
    )
