"""Output: the whole advice. JSON, its schema and the page that documents it are all made from these models."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field

from advisor.advice import Advice as Worked
from advisor.case.model import Case
from advisor.codes.adoption import Known
from advisor.codes.code_texts import Extent
from advisor.ranking.options import Option as Ranked
from advisor.ranking.options import Viewpoint
from advisor.report.data.fields import Exact, Number, Record, Said, Share, Whole
from advisor.report.data.house_model import (
    AirBalance,
    Audit,
    Cause,
    Explanation,
    Found,
    NextTest,
    Plain,
    Verdict,
    three,
)
from advisor.report.data.option_model import Check, Option

SCHEMA_VERSION: Literal["3.0"] = "3.0"

Triple = Annotated[tuple[float | None, float | None, float | None], three(1)]


def _case_as_read(case: Any) -> Any:
    return case.model_dump(mode="json") if isinstance(case, Case) else case


CaseFile = Annotated[Plain, BeforeValidator(_case_as_read)]


class Expected(Record):
    """What a retest after an option should read: low, middle, high."""

    net_depressurization_pa: Triple
    zone_depressurization_pa: Triple
    draft_pa: Triple
    seconds_to_draft: Triple
    drafts: Share
    appliance: str


class Enough(Record):
    """Is the record enough to decide?"""

    enough: bool
    lacks: tuple[str, ...]
    void: tuple[int, ...]


class PassLimits(Record):
    """What a retest must meet."""

    seconds_s: Exact
    scheme: str
    room_co_ppm: Exact
    flue_co_ppm: Exact


class Reading(Record):
    """A reading before and after the work."""

    key: str
    before: Number | None
    after: Number | None


class Reason(Record):
    """Why a retest may have failed."""

    id: str
    probability: Share


class Retest(Record):
    """What a run after the work has shown."""

    index: int = Field(ge=0)
    run: str
    option_id: str
    verdict: str
    drafts: Share | None
    reasons: tuple[Reason, ...]
    shortfalls: tuple[Said, ...]
    readings: tuple[Reading, ...]


class Amendment(Record):
    """A local rule that replaces a published number."""

    table: str
    key: str
    value: Exact
    source: str
    published: Exact
    unit: str
    ref: str


class CodeInForce(Record):
    """Which code and edition holds where the house stands, as far as a report says so."""

    known: Known
    state: str = Field(description="Two letters; empty where nobody wrote it down.")
    code: str = Field(description="Id of the code; empty where none is known.")
    year: int | None = Field(description="Edition; null where none is known.")
    scope: str
    effective: str = Field(description="ISO date; empty where the report has none.")
    report_date: str
    status: str
    source: str
    official_url: str = Field(description="Address of the official page, which was not read.")
    text_read: Extent = Field(description="How much of that edition was read for this tool.")
    newer_than_read: bool
    read_from_year: int = Field(description="The rules shown are of editions from this year ...")
    read_to_year: int = Field(description="... to this one.")
    chosen: str = Field(description="Edition added as data and chosen with `--edition`; empty for none.")
    words: tuple[Said, ...]


class Dated(Record):
    """A rule or a payment that begins or ends on a day; it ranks nothing."""

    id: str
    kind: str
    date: str = Field(description="ISO date.")
    when: str = Field(description="`to come` or `past`, on the day of the advice.")
    district: str = Field(description="Air district; empty where it holds everywhere.")
    if_there: bool = Field(description="Nobody wrote down whether the house lies in that district.")
    status: str
    source: str
    words: Said
    every_hood: bool = Field(description="It touches every option that leaves a draft hood on a shared vent.")
    option_ids: tuple[str, ...]
    incentive_ids: tuple[str, ...] = Field(description="Options with a typed incentive that this payment cannot be.")


class Driver(Record):
    """An unknown that would change the first choice."""

    id: str
    words: Said
    low_winner: Said
    high_winner: Said
    low_winner_id: str
    high_winner_id: str
    low: Number
    high: Number
    unit: str


class Comparison(Record):
    """How firm the ranking is."""

    words: Said
    tie: bool
    drivers: tuple[Driver, ...]


class Advice(Record):
    """Advice on a heater that spills."""

    schema_version: Literal["3.0"] = SCHEMA_VERSION
    catalog_hash: str = Field(description="Which data made the result.")
    case: CaseFile = Field(description="The case file as read (see `docs/case_file.md`).")
    viewpoint: Viewpoint
    samples: int
    seed: int
    effective_samples: Whole
    allowed_seconds: Exact = Field(validation_alias="allowed_s")
    test_day_f: Number = Field(description="Outdoor temperature of the day that the worst case is judged for.")
    verdict: Verdict
    explained: bool = Field(description="Can the model show what was seen?")
    now: tuple[Said, ...] = Field(description="What to do now, most urgent first.")
    found: Found
    causes: tuple[Cause, ...]
    explanation: Explanation
    contradictions: tuple[Said, ...]
    next_tests: tuple[NextTest, ...]
    expected_at_retest: dict[str, Expected]
    enough: Enough
    pass_limits: PassLimits
    retests: tuple[Retest, ...]
    audits: tuple[Audit, ...]
    review: tuple[Check, ...] = Field(description="The codes applied to the house as found.")
    code_in_force: CodeInForce
    amendments: tuple[Amendment, ...]
    comparison: Comparison
    beside_options: tuple[Said, ...] = Field(description="What the ranking does not cover of other appliances.")
    options: tuple[Option, ...] = Field(description="In rank order, those without a rank last.")
    dated: tuple[Dated, ...] = Field(description="Dates that touch options; each option names those that touch it.")
    air_before: AirBalance
    air_after: AirBalance | None
    interim: tuple[Said, ...] = Field(description="Until the work is done; never ranked.")
    assumed: tuple[Said, ...] = Field(description="What nobody measured.")
    cautions: tuple[Said, ...]


class _ReadOption:
    """An option with the ids of the dates that touch it."""

    def __init__(self, option: Ranked, advice: Worked) -> None:
        self._option = option
        self.dated = tuple(rule.id for rule in advice.dated if option.id in rule.option_ids)

    def __getattr__(self, name: str) -> Any:
        return getattr(self._option, name)


class _Read:
    """The advice with what stands elsewhere in it under the names of the output."""

    def __init__(self, advice: Worked) -> None:
        self._advice = advice
        self.case = advice.as_read
        self.causes = tuple(cause for cause in advice.found.causes if cause.named)
        self.options = tuple(_ReadOption(o, advice) for o in advice.options)
        self.expected_at_retest = {o.id: o.expected for o in advice.options if o.expected is not None}

    def __getattr__(self, name: str) -> Any:
        if name == "schema_version":
            return SCHEMA_VERSION
        return getattr(self._advice, name)


def declared(advice: Worked) -> Advice:
    """Return the advice as the declared output, rounded as it deserves and said to the current reader."""
    return Advice.model_validate(_Read(advice))


def schema() -> dict[str, Any]:
    """Return the JSON Schema (draft 2020-12) of the output."""
    found = Advice.model_json_schema(mode="serialization", by_alias=False)
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **found}
