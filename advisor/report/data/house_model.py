"""Output: the verdict of the record, what was found, exposure, everyday hours, air, tests."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field

from advisor.evidence.coherence import Kind
from advisor.facts.appliances import ApplianceState, VentPlace
from advisor.facts.record import Danger, Outcome, State
from advisor.facts.run_conditions import Errs, Met
from advisor.report.data.fields import (
    Exact,
    Number,
    Percentiles,
    Record,
    Said,
    Score,
    ScoreParts,
    Share,
    Spillage,
    Tenths,
    rounded,
)


def three(digits: int) -> BeforeValidator:
    """Read a low, middle and high, of which some may not exist."""
    turn = rounded(digits)
    return BeforeValidator(lambda value: None if value is None else tuple(turn(v) for v in value))


class Line(Record):
    """Allowed spillage time."""

    key: str
    what: Said
    limit_s: Exact
    scheme: str
    status: str
    source: str


class Held(Record):
    """A condition of a worst-case test, held against a run."""

    id: str = Field(description="Row of `test_conditions`.")
    state: Met
    errs: Errs = Field(description="What its absence does to the draft.")
    spoils_pass: bool
    names: tuple[str, ...]
    value: Number | None
    limit: Number | None


class RunVerdict(Record):
    """What one run shows."""

    index: int = Field(ge=0, description="Position among the runs that judged this appliance.")
    label: str
    after_work: str | None
    outcome: Outcome
    limit: Line
    conditions: tuple[Held, ...]


class Audit(Record):
    """A run held against the procedure."""

    label: str
    worst_case: bool
    shows: Said
    shortfalls: tuple[Said, ...]
    unwritten: tuple[Said, ...]
    missing: tuple[Said, ...]
    redo: tuple[Said, ...]


class OtherAppliance(Record):
    """What the record says of another appliance of the house, by the same lines."""

    name: str
    kind: str
    input_btu_h: Exact | None
    vent: VentPlace | None = Field(description="Null: nobody wrote it down.")
    state: ApplianceState
    spilled: bool = Field(description="A failure is on record that no valid pass after work has lifted.")
    stale: bool = Field(description="The house was worked on since it was judged.")
    flue_co_over: bool
    flue_co_air_free_ppm: Number | None
    after_work: str | None
    runs: tuple[RunVerdict, ...]
    audits: tuple[Audit, ...]


class Verdict(Record):
    """What the record says from what was seen and published lines alone; it leads every output."""

    leads: State
    states: tuple[State, ...]
    dangers: tuple[Danger, ...]
    runs: tuple[RunVerdict, ...]
    room_co_ppm: Number | None
    room_co_level: str | None
    flue_co_over: bool
    after_work: str | None
    holds_f: Number | None = Field(description="A pass holds for this outdoor temperature and colder.")
    failed: bool
    may_leave: bool
    all_clear: bool = Field(description="Nothing on record speaks against using the heater.")
    house_clear: bool = Field(description="Nor against using any other appliance of the house.")
    others: tuple[OtherAppliance, ...] = Field(description="Every other appliance of the house.")
    stop: tuple[str, ...] = Field(description="Names of the appliances not to be used; `heater` is the heater.")
    vent_failed_by: tuple[str, ...] = Field(description="Other appliances on the heater's vent that spilled.")


class Observation(Record):
    """An observation beside what the fitting situations would show."""

    run_index: int = Field(ge=-1)
    kind: Kind
    observed: Number | str
    expected: Annotated[tuple[float | None, float | None, float | None], three(2)] | None
    probability: Share
    taken_as_true: bool
    fits: bool


class Explanation(Record):
    """Can the model show what was seen?"""

    explained: bool
    enough_situations: bool
    odd: tuple[str, ...]
    observations: tuple[Observation, ...]


class Level(Record):
    """A published level of CO and how far it is reached."""

    name: Said
    ppm: Number
    averaging_min: Number
    highest: Percentiles
    share_above: Share
    source: str


class Exposure(Record):
    """CO, COHb, water and CO2 when it spills in the worst case; modelled."""

    condition: Said
    others: tuple[str, ...] = Field(description="Other appliances of the failed vent that are counted as spilling too.")
    firings_day: Number
    firing_minutes: Number
    spilling_share: Share
    co_source_g_h: Percentiles
    zone_peak_ppm: Percentiles
    house_peak_ppm: Percentiles
    zone_day_ppm: Percentiles
    breathed_8h_ppm: Percentiles
    breathed_1h_ppm: Percentiles
    cohb_rest_pct: Percentiles
    cohb_light_pct: Percentiles
    cohb_child_pct: Percentiles
    cohb_pregnancy_pct: Percentiles
    fouled_peak_ppm: Percentiles
    fouled_cohb_pct: Percentiles
    water_kg_firing: Percentiles
    water_kg_day: Percentiles
    co2_zone_ppm: Percentiles
    co2_house_ppm: Percentiles
    levels: tuple[Level, ...]
    symptoms: Said
    full_spill_severity: Number


class Reasons(Record):
    """Hours a year by what brings them about."""

    warm_weather: Number
    wind: Number
    fans: Number
    vent: Number


class Everyday(Record):
    """Hours of spillage a year in ordinary use; modelled, and no part of the score."""

    hours_a_year: Percentiles
    share_of_firings: Percentiles
    firings_a_year: Number
    climate_zone: str
    assumed_zone: bool
    text: Said
    by_reason: Reasons
    start_up_hours_a_year: Percentiles
    modelled: bool


class CardLine(Record):
    """A line of the points card."""

    question: str
    prompt: Said
    answer: str
    text: Said
    points: int
    known: bool
    remark: Said


class Card(Record):
    """The points card filled in."""

    lines: tuple[CardLine, ...]
    total: int
    highest: int
    probability: Share
    low: Share
    high: Share
    text: Said


class Pressure(Record):
    """Zone depressurization in the worst case: 5th, 50th and 95th percentile, Pa."""

    p05: Tenths = Field(validation_alias="low")
    p50: Tenths = Field(validation_alias="typical")
    p95: Tenths = Field(validation_alias="high")


class Found(Record):
    """The house as it was found."""

    sentence: Said
    nothing_wrong: bool
    spillage: Spillage
    zone_depressurization_pa: Pressure
    risk_score: Score
    score_parts: ScoreParts
    exposure: Exposure
    everyday: Everyday
    card: Card
    card_differs: Said


class Speaks(Record):
    """An observation that speaks for or against a cause."""

    run_index: int = Field(ge=-1)
    run: str
    kind: str
    observed: Said
    value: Number | None
    log_odds: Number


class ByRun(Record):
    """Share in which taking a cause away stops the spillage of one run."""

    run_index: int = Field(ge=0)
    stops_alone: Share


class Cause(Record):
    """A thing that may be wrong."""

    id: str
    words: Said
    stops_alone: Share
    present: Share
    part_of_cure: Share
    speaks_for: tuple[Speaks, ...]
    speaks_against: tuple[Speaks, ...]
    by_run: tuple[ByRun, ...]
    named: bool


class Answer(Record):
    """A possible outcome of a test, and what would then be chosen."""

    words: Said
    probability: Share
    choice_id: str
    choice_title: Said
    choice_best: Share


class NextTest(Record):
    """A test that may pay."""

    id: str
    title: Said
    caution: Said
    minutes: Number
    value_usd: Number
    value_usd_per_min: Number
    best_before: Share
    best_after: Share
    changes_choice: bool
    required: bool
    stop_ppm: Number | None = Field(description="CO in the room at which the test stops.")
    answers: tuple[Answer, ...]
    words: Said


class AirFlow(Record):
    """One flow between a space and outdoors; positive out."""

    kind: str
    name: str
    place: Literal["house", "zone"]
    cfm: Tenths


class AirBalance(Record):
    """Where the air goes in one situation (modelled); its vent does what the record says."""

    stage: str
    seen: str
    shows: str
    calm: bool
    read_zone_pa: Tenths | None
    modelled_zone_pa: Tenths
    appliance: str
    vent_way: str
    vent_cfm: Tenths
    spilled_share: Share
    house_depressurization_pa: Tenths
    zone_depressurization_pa: Tenths
    link_cfm: Tenths
    return_cfm: Tenths
    flows: tuple[AirFlow, ...]
    judged_s: Number
    outdoor_temp_f: Tenths


Plain = dict[str, Any]
