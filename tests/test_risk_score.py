"""The risk score: anchors hit exactly, never lower when an input rises, parts that add up."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor import catalog
from advisor.risk.score import (
    MEASURES,
    anchors,
    everyday_share,
    risk_score,
    score_parts,
    severity,
    severity_of,
)

shares = st.floats(0, 1)
hours = st.floats(0, 500)


@pytest.mark.parametrize("anchor", anchors(), ids=lambda a: a.name)
def test_anchors_are_hit_exactly(anchor) -> None:  # type: ignore[no-untyped-def]
    parts = score_parts(anchor.worst_case, (anchor.stress,), anchor.everyday_hours_year, anchor.severity)
    assert parts.score == pytest.approx(anchor.score, abs=1e-9)


def test_the_scale_runs_from_0_to_100_and_its_anchors_rise() -> None:
    assert score_parts(0.0, (0.0, 0.0), 0.0, 1.0).score == 0.0
    assert anchors()[-1].score == 100.0
    assert [a.risk for a in anchors()] == sorted(a.risk for a in anchors())
    assert [a.score for a in anchors()] == sorted(a.score for a in anchors())
    weights = ("weight_worst_case", "weight_everyday", "weight_stress", "weight_hardest")
    assert sum(catalog.number("risk", key) for key in weights) == pytest.approx(1.0)


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
    assert risk_score(worst, (stress,), harm, every) == parts.score


def test_published_levels_have_the_severity_of_the_catalog() -> None:
    """Levels of epa-naaqs, ansi-bpi-1200, nrc-aegl-2010 and symptom-table, as the catalog's own tables hold them."""
    thresholds = {row["name"]: float(row["value"]) for row in catalog.table("physics_co_thresholds")}
    limits = {row["key"]: row for row in catalog.table("co_limits")}
    rows = catalog.table("risk_severity")
    values = {row["name"]: float(row["value"]) for row in rows}
    for name in ("outdoor air standard 8 h", "outdoor air standard 1 h", "NIOSH working day", "life-threatening 8 h"):
        assert values[name] == thresholds[name]
    assert values["stop and evacuate"] == float(limits["amb_evacuate"]["from_ppm"])
    assert values["find and correct the source"] == float(limits["amb_act"]["from_ppm"])
    assert values["flue limit of a vented water heater"] == float(limits["flue_wh"]["to_ppm"])
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
