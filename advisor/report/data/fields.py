"""Kinds of fields of the output: how a number is rounded, and how a finding is written for programs and people."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Annotated, Any

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field

from advisor.findings import Finding, Listed, Quantity
from advisor.report.view.figures import rounded_money
from advisor.wording.speak import say


class Record(BaseModel):
    """A record of the output, read from the record of the program with the same names."""

    model_config = ConfigDict(from_attributes=True, extra="forbid", frozen=True, populate_by_name=True)


def rounded(digits: int) -> Callable[[Any], Any]:
    """Return a function that rounds a number; what has no number (never drafts) becomes null."""

    def turn(value: Any) -> Any:
        if isinstance(value, float):
            return round(value, digits) if math.isfinite(value) else None
        return value

    return turn


def _dollars(value: Any) -> Any:
    return rounded_money(value) if isinstance(value, int | float) else value


def _valued(value: Any) -> Any:
    """Return what stands in a place of a finding as plain data."""
    if isinstance(value, Quantity):
        return {"value": rounded(4)(value.value), "unit": value.unit}
    if isinstance(value, Finding):
        return {"id": value.id, "values": {name: _valued(item) for name, item in value.values}}
    if isinstance(value, Listed):
        return [_valued(item) for item in value.items]
    return value


def _said(value: Any) -> Any:
    if isinstance(value, Finding):
        return {**_valued(value), "text": say(value)}
    if isinstance(value, Quantity):
        return {"id": f"units.{value.unit}", "values": {"number": rounded(4)(value.value)}, "text": say(value)}
    if isinstance(value, Listed):
        return {"id": "", "values": {"items": _valued(value)}, "text": say(value)}
    if isinstance(value, str):
        return {"id": "", "values": {}, "text": value}
    return value


class Words(Record):
    """Something said: for programs by id and values, for people as text."""

    id: str = Field(description="Id of the message (`catalog/texts`); empty where somebody typed the text.")
    values: dict[str, Any] = Field(
        description="What belongs into it by name: a number with its unit, a further finding, a list, or typed text."
    )
    text: str = Field(description="The sentence, in the language asked for.")


Said = Annotated[Words, BeforeValidator(_said)]
Exact = float
"""As it stands, not rounded."""
Number = Annotated[float, BeforeValidator(rounded(2))]
Tenths = Annotated[float, BeforeValidator(rounded(1))]
Whole = Annotated[int, BeforeValidator(lambda value: round(value) if isinstance(value, float) else value)]
Tens = Annotated[float, BeforeValidator(rounded(-1))]
Share = Annotated[float, BeforeValidator(rounded(2)), Field(ge=0.0, le=1.0)]
FineShare = Annotated[float, BeforeValidator(rounded(4)), Field(ge=0.0, le=1.0)]
Dollars = Annotated[int, BeforeValidator(_dollars)]
Score = Annotated[float, BeforeValidator(rounded(1)), Field(ge=0.0, le=100.0)]


class Band(Record):
    """5th, 50th and 95th percentile over the fitting situations; null where there is no number (it never drafts)."""

    p05: Tenths | None
    p50: Tenths | None
    p95: Tenths | None


class Percentiles(Record):
    """5th, 50th and 95th percentile and mean over the fitting situations."""

    p05: Number
    p50: Number
    p95: Number
    mean: Number


class Money(Record):
    """Low, typical, high, in dollars."""

    low: Dollars
    typical: Dollars
    high: Dollars


class Spillage(Record):
    """Share of the fitting situations that spill beyond the allowed time, by condition; modelled."""

    worst_case: Share = Field(description="With everything running that takes air out, on the test day.")
    stresses: dict[str, Share] = Field(
        validation_alias="by_stress", description="Under each stress (`stresses`), by its id."
    )
    failing_runs: tuple[Share, ...] = Field(description="Under the own condition of each run that was seen to fail.")


class ScoreParts(Record):
    """What the risk score is made of."""

    worst_case: Tenths
    everyday: Tenths
    stresses: Tenths
    severity: Tenths
