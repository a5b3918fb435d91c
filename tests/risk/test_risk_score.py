"""The risk score: anchors hit exactly, monotone in every share whatever the hours, parts that add up, never 0 for a flame."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor import catalog
from advisor.findings import slug
from advisor.risk import score
from advisor.risk.score import (
    MEASURES,
    anchors,
    burning_of,
    everyday_share,
    least_points,
    score_parts,
    severity,
    severity_of,
)

shares = st.floats(0, 1)
hours = st.floats(0, 500)


severities = st.floats(0, 1)
KINDS = ("natural draft", "fan-assisted", "power vent", "sealed", "none")


@pytest.fixture(params=[False, True], ids=["shares alone", "with hours"])
def hours_count(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> bool:
    """Run a test with both settings of ``everyday_counts``."""
    monkeypatch.setattr(score, "everyday_counts", lambda: request.param)
    return bool(request.param)


def test_anchors_are_hit_exactly(hours_count: bool) -> None:
    for anchor in anchors():
        parts = score_parts(anchor.worst_case, (anchor.stress,), anchor.everyday_hours_year, anchor.severity)
        assert parts.score == pytest.approx(anchor.score, abs=1e-9)


def test_the_scale_runs_from_0_to_100_and_its_anchors_rise(hours_count: bool) -> None:
    # only where nothing burns: a score of 0 beside a flame was the old, wrong behaviour
    assert score_parts(0.0, (0.0, 0.0), 0.0, 1.0, burning="none").score == 0.0
    assert anchors()[-1].score == 100.0
    assert [a.risk for a in anchors()] == sorted({a.risk for a in anchors()})
    assert [a.score for a in anchors()] == sorted({a.score for a in anchors()})
    weights = ("weight_worst_case", "weight_everyday", "weight_stress", "weight_hardest")
    assert sum(catalog.number("risk", key) for key in weights) == pytest.approx(1.0)


@st.composite
def dominated(draw: st.DrawFn) -> tuple[dict[str, object], dict[str, object]]:
    """Return the shares of two options of one case, each share of the first at most that of the second."""
    stresses, own = draw(st.integers(0, 5)), draw(st.integers(0, 4))
    high = draw(st.lists(shares, min_size=1 + stresses + own, max_size=1 + stresses + own))
    low = [value * draw(shares) for value in high]

    def split(values: list[float]) -> dict[str, object]:
        return {
            "worst_case": values[0],
            "stresses": tuple(values[1 : 1 + stresses]),
            "own_conditions": tuple(values[1 + stresses :]),
        }

    return split(low), split(high)


@given(dominated(), hours, hours, severities, st.sampled_from(KINDS))
def test_smaller_shares_never_score_higher_whatever_the_hours_say(pair, hours_a, hours_b, harm, kind) -> None:  # type: ignore[no-untyped-def]
    low, high = pair
    same = {"mean_severity": harm, "burning": burning_of(kind)}
    less = score_parts(**low, **same, everyday_hours_year=hours_a).score
    more = score_parts(**high, **same, everyday_hours_year=hours_b).score
    assert less <= more + 1e-9


@given(dominated(), hours, severities, st.sampled_from(KINDS))
def test_smaller_shares_never_score_higher_where_hours_count_and_agree(pair, every, harm, kind) -> None:  # type: ignore[no-untyped-def]
    low, high = pair
    same = {"mean_severity": harm, "burning": burning_of(kind), "everyday_hours_year": every}
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(score, "everyday_counts", lambda: True)
        assert score_parts(**low, **same).score <= score_parts(**high, **same).score + 1e-9


def test_hours_no_longer_turn_two_options_round() -> None:
    """What was measured: 0-1 % in every share scored 24, for 45 h a year; 0-6 % beside it scored 14, for 15 h."""
    better = score_parts(0.005, (0.0, 0.01, 0.01, 0.005), 45.0, 0.4)
    worse = score_parts(0.02, (0.01, 0.06, 0.03, 0.02), 15.0, 0.4)
    assert better.score < worse.score
    assert better.everyday == worse.everyday == 0.0
    with pytest.MonkeyPatch.context() as patch:  # and why: the hours did it
        patch.setattr(score, "everyday_counts", lambda: True)
        assert score_parts(0.005, (0.0, 0.01, 0.01, 0.005), 45.0, 0.4).everyday > better.score


@given(shares, st.lists(shares, max_size=4), shares)
def test_what_failed_under_its_own_condition_counts_like_the_worst_case(worst, stress, own) -> None:  # type: ignore[no-untyped-def]
    alone = score_parts(worst, tuple(stress), 0.0, 0.5).score
    assert score_parts(worst, tuple(stress), 0.0, 0.5, (own,)).score >= alone
    assert score_parts(worst, tuple(stress), 0.0, 0.5, (0.0,)).score == alone
    if stress:
        assert score_parts(0.0, tuple(stress), 0.0, 0.5, (worst,)) == score_parts(worst, tuple(stress), 0.0, 0.5)


@given(shares, st.lists(shares, max_size=4), severities)
def test_a_flame_never_scores_0_and_what_does_not_burn_may(worst, stress, harm) -> None:  # type: ignore[no-untyped-def]
    by_kind = {k: score_parts(worst, tuple(stress), 0.0, harm, burning=burning_of(k)).score for k in KINDS}
    for kind in ("natural draft", "fan-assisted", "power vent"):
        assert by_kind[kind] >= catalog.number("risk", "least_points_open") - 1e-9 > 0.0
    assert (
        by_kind["natural draft"] + 1e-9
        >= by_kind["sealed"]
        >= catalog.number("risk", "least_points_sealed") - 1e-9
        > 0.0
    )
    assert by_kind["sealed"] + 1e-9 >= by_kind["none"]
    assert least_points("none") == 0.0


@given(shares, st.lists(shares, min_size=1, max_size=5), hours, shares, st.integers(0, 3), st.floats(0, 1))
def test_no_input_lowers_the_score_when_it_rises(
    worst: float, stress: list[float], every: float, harm: float, which: int, more: float
) -> None:
    before = score_parts(worst, tuple(stress), every, harm)
    higher = [worst, stress, every, harm]
    if which == 1:
        higher[1] = [stress[0] + more * (1 - stress[0]), *stress[1:]]
    elif which == 2:
        higher[2] = every + 100 * more
    else:
        higher[which] = float(higher[which]) + more * (1 - float(higher[which]))  # type: ignore[arg-type]
    after = score_parts(float(higher[0]), tuple(higher[1]), float(higher[2]), float(higher[3]))  # type: ignore[arg-type]
    assert after.score >= before.score - 1e-9
    assert 0.0 <= before.score <= 100.0 + 1e-9


@given(shares, shares, hours, shares)
def test_parts_are_points_that_add_up(worst: float, stress: float, every: float, harm: float) -> None:
    parts = score_parts(worst, (stress,), every, harm)
    assert min(parts.worst_case, parts.everyday, parts.stresses, parts.severity) >= -1e-9
    assert parts.worst_case + parts.everyday + parts.stresses + parts.severity == parts.score


def test_published_levels_have_the_severity_of_the_catalog() -> None:
    """Levels of epa-naaqs, ansi-bpi-1200, nrc-aegl-2010 and symptom-table, as the catalog's own tables hold them."""
    thresholds = {slug(row["name"]): float(row["value"]) for row in catalog.table("physics_co_thresholds")}
    limits = {row["key"]: row for row in catalog.table("co_limits")}
    rows = catalog.table("risk_severity")
    values = {row["level"]: float(row["value"]) for row in rows}
    for name in ("outdoor_air_standard_8_h", "outdoor_air_standard_1_h", "niosh_working_day", "life_threatening_8_h"):
        assert values[name] == thresholds[name]
    assert values["stop_and_evacuate"] == float(limits["amb_evacuate"]["from_ppm"])
    assert values["find_and_correct_the_source"] == float(limits["amb_act"]["from_ppm"])
    assert values["flue_limit_of_a_vented_water_heater"] == float(limits["flue_wh"]["to_ppm"])
    bands = {row["symptoms"]: float(row["to_pct"]) for row in catalog.table("co_symptoms")}
    assert values["nausea"] == bands["nausea"]
    for row in rows:
        found = severity_of({row["measure"]: np.array([float(row["value"])])})
        assert found[0] == pytest.approx(float(row["severity"]))


@given(st.sampled_from(MEASURES), st.floats(0.01, 5000), st.floats(1, 10))
def test_severity_rises_with_every_measure(measure: str, level: float, factor: float) -> None:
    low, high = (severity_of({measure: np.array([v])})[0] for v in (level, level * factor))
    assert catalog.number("risk", "severity_floor") <= low <= high <= 1.0


def test_severity_takes_the_worst_measure() -> None:
    mild, lethal = np.array([30.0]), np.array([60.0])
    both = severity_of({"co_air_free_ppm": mild, "cohb_pct": lethal})
    assert both == severity_of({"cohb_pct": lethal}) == 1.0
    assert severity(mild) < 0.5


def test_hours_count_on_a_log_scale() -> None:
    low, high = catalog.number("risk", "everyday_from_h"), catalog.number("risk", "everyday_to_h")
    assert everyday_share(0.0) == everyday_share(low) == 0.0
    assert everyday_share(high) == everyday_share(10 * high) == 1.0
    assert everyday_share((low * high) ** 0.5) == pytest.approx(0.5)
