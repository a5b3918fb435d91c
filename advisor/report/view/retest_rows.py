"""What a retest must meet beside what is forecast, and what it has shown: two columns that are never one."""

from __future__ import annotations

from dataclasses import dataclass

from advisor.advice import Advice
from advisor.ensemble.weighted import Band
from advisor.evidence.retest import PassLimits, Retest
from advisor.findings import quantity
from advisor.ranking.options import Option
from advisor.report.view.figures import band, seconds_words
from advisor.wording.retest import read_words, reading_words
from advisor.wording.speak import text

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
    if key == "seconds_to_draft":
        return text("view.retest.at_most", limit=quantity(limits.seconds_s, "s"))
    if key == ROOM_CO:
        return text("view.retest.below", limit=quantity(limits.room_co_ppm, "ppm"))
    if key == FLUE_CO:
        return text("view.retest.at_most_air_free", limit=quantity(limits.flue_co_ppm, "ppm"))
    return text("view.retest.no_limit")


def forecast_rows(option: Option, limits: PassLimits) -> list[RetestRow]:
    """Return the readings of a retest after an option: limits and forecast, with the error of the reading where known."""
    none, not_modelled = text("view.retest.no_limit"), text("view.retest.not_modelled")
    rows = []
    if option.appliance != "none":
        rows.append(RetestRow(text("view.retest.zone"), none, _forecast(option, "zone_depressurization_pa")))
    if option.expected is not None:
        net = band(option.expected.net_depressurization_pa, "pa")
        rows.append(RetestRow(text("view.retest.net"), none, net))
    if option.appliance == "natural draft":
        rows.append(RetestRow(text("view.retest.draft"), none, _forecast(option, "draft_pa")))
        must = must_words("seconds_to_draft", limits)
        rows.append(RetestRow(text("view.retest.seconds"), must, _forecast(option, "seconds_to_draft")))
    if option.appliance != "none":
        rows.append(RetestRow(reading_words(FLUE_CO), must_words(FLUE_CO, limits), not_modelled))
    return [*rows, RetestRow(reading_words(ROOM_CO), must_words(ROOM_CO, limits), not_modelled)]


def _forecast(option: Option, key: str) -> str:
    expected = option.expected
    values: Band = getattr(option if expected is None else expected, key)
    return seconds_words(values) if key == "seconds_to_draft" else band(values, "pa")


def compared_rows(advice: Advice, retest: Retest) -> list[RetestRow]:
    """Return the readings before and after the work, beside what they had to meet and what was forecast."""
    works = {run.after_work for run in advice.case.run if run.after_work is not None}
    option = next((o for o in advice.options if o.id == retest.option_id), None) if len(works) == 1 else None
    rows = []
    for reading in retest.readings:
        known = option is not None and option.appliance == "natural draft"
        forecast = text("view.retest.not_modelled")
        if known and option is not None and reading.key in ("seconds_to_draft", "zone_depressurization_pa", "draft_pa"):
            forecast = _forecast(option, reading.key)
        before, after = (read_words(reading.key, value) for value in (reading.before, reading.after))
        name = reading_words(reading.key)
        rows.append(RetestRow(name, must_words(reading.key, advice.pass_limits), forecast, before, after))
    return rows
