"""The paper card: rebuilt equals stored, numpy equals scikit-learn, quality above its bounds, filled from a case."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import numpy as np
import pytest
from conftest import said
from oracles.paper import design_row, full_probability
from training.paper_training import Rebuilt, rebuild, with_first, write

from advisor import catalog
from advisor.case.model import Case
from advisor.facts.exhaust import all_installed_cfm
from advisor.risk.paper import (
    card_points,
    disagreement,
    fill_card,
    points_columns,
    pressure_from_labels_pa,
    probability_of,
)
from advisor.risk.paper_answers import UNKNOWN, question, questions

RUN = {"seen": "spilling", "outdoor_temp_f": 45.0, "zone_depressurization_pa": 5.0, "baseline_depressurization_pa": 1.0}


def made(**more: object) -> Case:
    given: dict[str, object] = {
        "zone": {"kind": "closet", "door": "solid"},
        "heater": {"input_btu_h": 40000.0},
        "vent": {"vertical": "type b", "height_ft": 12.0, "condition": "clear"},
        "run": [RUN],
    }
    return Case.model_validate({**given, **more})


@pytest.fixture(scope="module")
def built() -> Rebuilt:
    return rebuild()


def test_the_rebuilt_card_is_the_stored_one(built: Rebuilt, tmp_path: Path) -> None:
    """Same houses (hash), same points, same table; learned floats to 1e-6 (another processor rounds differently)."""
    for path in write(built, tmp_path):
        stored = catalog.table(path.stem)
        fresh = list(csv.DictReader(io.StringIO(path.read_text(encoding="utf-8"))))
        assert len(fresh) == len(stored)
        for new, old in zip(fresh, stored, strict=True):
            assert list(new) == list(old)
            for column, value in new.items():
                try:
                    assert float(value) == pytest.approx(float(old[column]), rel=1e-6, abs=1e-6)
                except ValueError:
                    assert value == old[column]


def test_numpy_equals_scikit_learn(built: Rebuilt) -> None:
    """Card and full regression, all houses, 1e-12; by the numbers stored in the catalog."""
    design = built.data.design
    total = with_first(design) @ built.learned.points
    fitted = built.card.predict_proba(points_columns(total))[:, 1]
    assert np.max(np.abs(probability_of(total) - fitted)) < 1e-12
    assert np.max(np.abs(full_probability(design) - built.full.predict_proba(design)[:, 1])) < 1e-12


def test_quality_is_above_the_bounds(built: Rebuilt) -> None:
    """Measured, cross-validated: AUC 0.91, Brier 0.11 (0.21 for always saying the share).

    The simulated houses now hold what no question can ask about: an unknown offset of the draft, starts from outdoor air,
    exhaust that nobody listed. That noise bounds any card: the same regression reached 0.955 without it, so the bounds of
    then (0.93, 0.095, 0.45 of the base) spoke of another set of houses. As before they leave one point of AUC (five
    standard errors of 9,600 houses in 1,200 kinds, about 0.002 each): a card that falls below has lost a question.
    """
    found = built.metrics
    assert found.card_auc > 0.90
    assert found.card_brier < 0.115
    assert found.card_brier < 0.54 * found.base_brier
    # whole points cost next to nothing against the unrounded regression
    assert found.full_auc - found.card_auc < 0.005
    print(f"AUC {found.card_auc:.3f}, Brier {found.card_brier:.4f}")
    print("houses  said   simulated")
    for weight, stated, seen in found.calibration:
        print(f"{weight:6.0f}  {stated:.3f}  {seen:.3f}")
        # a band holds an eighth of the houses: two to three standard errors with the kinds as clusters
        assert stated == pytest.approx(seen, abs=0.05)


def test_houses_of_one_kind_stay_in_one_fold_and_weights_average_one(built: Rebuilt) -> None:
    assert built.data.weight.mean() == pytest.approx(1.0)
    each = int(catalog.number("paper_score_settings", "houses_each"))
    assert set(np.unique(built.data.kind, return_counts=True)[1]) == {each}
    assert set(np.unique(with_first(built.data.design).sum(axis=1))) == {float(len(questions()))}


def test_more_points_never_mean_less() -> None:
    table = catalog.table("paper_score_table")
    chances = probability_of(np.arange(len(table)))
    assert np.all(np.diff(chances) >= 0.0)
    assert [float(row["probability"]) for row in table] == pytest.approx(chances, abs=5e-5)


def test_points_follow_the_physics() -> None:
    """physics.md section 7: depressurization and mild weather hold an idle vent down, height helps it."""
    points = card_points()
    for key in ("pressure", "outdoor", "height"):
        column = [points[key, answer] for answer in question(key).answers]
        assert column == sorted(column)
    assert points["looked", "blocked"] > points["looked", "clear"]
    assert points["pressure", "over 6"] == max(points.values())


def test_a_filled_card_adds_up() -> None:
    card = fill_card(made())
    assert card.total == sum(line.points for line in card.lines)
    assert card.probability == card.low == card.high == pytest.approx(float(probability_of(np.array([card.total]))[0]))
    given = {line.question: line.answer for line in card.lines}
    assert given == {
        "pressure": "3.5 to 6", "outdoor": "35 to 50", "height": "10 to 14", "vent": "metal inside", "shared": "none",
        "looked": "clear", "intake": "none", "zone": "closed room", "handler": "no",
    }  # fmt: skip
    assert len(design_row(given)) == sum(len(q.answers) - 1 for q in questions())
    assert all(line.known for line in card.lines)
    assert card.text.id == "risk.card.all_answered"
    assert f"{card.total} of {card.highest}" in said(card.text)


def test_unknown_answers_take_middle_points_and_say_so() -> None:
    bare = Case.model_validate({"heater": {"input_btu_h": 40000.0}, "run": [{"seen": "spilling"}]})
    card = fill_card(bare)
    unknown = {line.question for line in card.lines if line.answer == UNKNOWN}
    assert unknown == {"pressure", "outdoor", "height", "vent"}
    assert card.low < card.probability < card.high
    assert "4 questions are not answered" in said(card.text)
    assert sum(not line.known for line in card.lines) == 4
    assert all(line.text.id == "risk.answer.unknown" for line in card.lines if not line.known)
    for one in questions():
        inside = [card_points()[one.key, answer] for answer in one.answers]
        assert min(inside) <= card_points()[one.key, UNKNOWN] <= max(inside)


def test_pressure_is_estimated_from_labels_where_it_was_not_measured() -> None:
    """CC-29: CFM50 1500, n 0.65: 400 cfm 6.54 Pa, 200 cfm 2.25 Pa; CFM50 1000, 400 cfm 12.21 Pa; 0.5 %."""
    assert pressure_from_labels_pa(400, 1500, 0.65) == pytest.approx(6.54, rel=5e-3)
    assert pressure_from_labels_pa(200, 1500, 0.65) == pytest.approx(2.25, rel=5e-3)
    assert pressure_from_labels_pa(400, 1000, 0.65) == pytest.approx(12.21, rel=5e-3)
    case = made(
        house={"leakage_cfm50": 1500.0, "leakage_exponent": 0.65},
        exhaust=[
            {"name": "hood", "kind": "range hood", "measured_cfm": 400.0},
            {"name": "filter hood", "kind": "range hood", "rated_cfm": 300.0, "ducted_outdoors": False},
        ],
        run=[{"seen": "spilling", "outdoor_temp_f": 45.0}],
    )
    assert all_installed_cfm(case) == 400.0
    line = fill_card(case).lines[0]
    assert (line.question, line.answer) == ("pressure", "over 6")
    assert line.remark.id == "risk.remark.from_labels"


def test_the_hardest_run_counts_and_work_that_followed_does_not() -> None:
    after = {**RUN, "zone_depressurization_pa": 12.0, "after_work": "keep_intake_clear"}
    mild = {**RUN, "zone_depressurization_pa": 1.5}
    assert fill_card(made(run=[mild, RUN, after])).lines[0].answer == "3.5 to 6"


@pytest.mark.parametrize(
    ("value", "answer"), [(-2.0, "under 1"), (1.0, "1 to 2"), (1.99, "1 to 2"), (6.0, "over 6"), (40.0, "over 6")]
)
def test_edges_belong_to_the_band_above(value: float, answer: str) -> None:
    assert question("pressure").answer_for(value) == answer


def test_a_wrong_answer_is_refused() -> None:
    given = {one.key: one.answers[0] for one in questions()}
    assert sum(design_row(given)) == 0
    with pytest.raises(ValueError, match="pressure"):
        design_row({**given, "pressure": "a lot"})


def test_disagreement_is_explained() -> None:
    bare = fill_card(Case.model_validate({"heater": {"input_btu_h": 40000.0}, "run": [{"seen": "spilling"}]}))
    assert disagreement(bare, bare.probability).id == "risk.card.agree"
    lower = disagreement(bare, 0.0)
    assert lower.id == "risk.card.model_lower"
    assert [r.id for r in lower["reasons"].items] == ["risk.card.took_middle"] * 4 + ["risk.card.model_saw_hood"]
    assert disagreement(bare, 1.0).id in ("risk.card.agree", "risk.card.model_higher")
