"""What a retest must meet beside what is forecast, and what it has shown: two columns that are never one."""

from __future__ import annotations

from dataclasses import dataclass

from advisor.advice import Advice
from advisor.ensemble.weighted import Band
from advisor.evidence.retest import PassLimits, Retest
from advisor.ranking.options import Option
from advisor.report.view.figures import band, seconds_words
from advisor.wording.retest import read_words, reading_words

NO_LIMIT, NOT_MODELLED = "no published limit", "not modelled"
ROOM_CO, FLUE_CO = "ambient_co_ppm", "flue_co_ppm"


@dataclass(frozen=True, slots=True)
class RetestRow:
    """One reading: its name, what it must meet by published rules, what is forecast, and what was read before and after."""

    name: str
    must: str
    forecast: str
    before: str = ""
    after: str = ""


def must_words(key: str, limits: PassLimits) -> str:
    """Return the published limit of a reading."""
    return {
        "seconds_to_draft": f"at most {limits.seconds_s:.0f} s",
        ROOM_CO: f"below {limits.room_co_ppm:.0f} ppm",
        FLUE_CO: f"at most {limits.flue_co_ppm:.0f} ppm air-free",
    }.get(key, NO_LIMIT)


def forecast_rows(option: Option, limits: PassLimits) -> list[RetestRow]:
    """Return the readings of a retest after an option: limits and forecast, with the error of the reading where known."""
    rows = []
    if option.appliance != "none":
        zone = _forecast(option, "zone_depressurization_pa")
        rows.append(RetestRow("zone depressurization, worst case", NO_LIMIT, zone))
    if option.expected is not None:
        net = band(option.expected.net_depressurization_pa, "Pa")
        rows.append(RetestRow("what the fans add to the baseline", NO_LIMIT, net))
    if option.appliance == "natural draft":
        rows.append(RetestRow("draft in the connector", NO_LIMIT, _forecast(option, "draft_pa")))
        must = must_words("seconds_to_draft", limits)
        rows.append(RetestRow("time to draft, cold vent", must, _forecast(option, "seconds_to_draft")))
    if option.appliance != "none":
        rows.append(RetestRow("CO in the flue", must_words(FLUE_CO, limits), NOT_MODELLED))
    return [*rows, RetestRow("CO in the room", must_words(ROOM_CO, limits), NOT_MODELLED)]


def _forecast(option: Option, key: str) -> str:
    expected = option.expected
    values: Band = getattr(option if expected is None else expected, key)
    return seconds_words(values) if key == "seconds_to_draft" else band(values, "Pa")


def compared_rows(advice: Advice, retest: Retest) -> list[RetestRow]:
    """Return the readings before and after the work, beside what they had to meet and what was forecast."""
    works = {run.after_work for run in advice.case.run if run.after_work is not None}
    option = next((o for o in advice.options if o.id == retest.option_id), None) if len(works) == 1 else None
    rows = []
    for reading in retest.readings:
        known = option is not None and option.appliance == "natural draft"
        forecast = NOT_MODELLED
        if known and option is not None and reading.key in ("seconds_to_draft", "zone_depressurization_pa", "draft_pa"):
            forecast = _forecast(option, reading.key)
        before, after = (read_words(reading.key, v) for v in (reading.before, reading.after))
        rows.append(
            RetestRow(reading_words(reading.key), must_words(reading.key, advice.pass_limits), forecast, before, after)
        )
    return rows
