"""Learn the paper card: ``python -m training.paper_training`` rebuilds ``catalog/paper_score*.csv``.

An L1 logistic regression picks which answers matter; its coefficients are rounded to whole points; a logistic
regression on the points turns them into a probability. Everything is cross-validated with all houses of one kind in
the same fold, and stored as plain numbers.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from training.paper_stock import SETTINGS, TrainingSet, training_set

from advisor import catalog
from advisor.ensemble.state import Array, Index
from advisor.risk.paper import points_columns
from advisor.risk.paper_answers import UNKNOWN, questions

PENALTIES = (0.01, 0.03, 0.1, 0.3, 1.0)
"""Inverse strengths of the L1 penalty that are tried; numerical."""
UNPENALIZED = 1e6
BANDS = 8
"""Bands of the calibration table; numerical."""


@dataclass(frozen=True, slots=True)
class Learned:
    """A learned card.

    Parameters
    ----------
    coefficients : array (answers,)
        Of the L1 logistic regression, in the order of `design_row`.
    intercept : float
        Its intercept.
    points : array of int (answers + questions,)
        Points of every answer of every question in the order of the card, lowest answer of each question 0.
    middle : tuple of int
        Points of an unanswered question.
    slope, low_slope, offset : float
        Probability = 1 / (1 + exp(-(offset + slope x points + low_slope x (low points - points, if positive)))).
    """

    coefficients: Array
    intercept: float
    points: Array
    middle: tuple[int, ...]
    slope: float
    low_slope: float
    offset: float


@dataclass(frozen=True, slots=True)
class Metrics:
    """Cross-validated quality: of houses that the fold had not seen."""

    penalty: float
    card_auc: float
    card_brier: float
    full_auc: float
    full_brier: float
    base_brier: float
    calibration: tuple[tuple[float, float, float], ...]


def l1_regression(penalty: float) -> Any:
    """Return scikit-learn's L1 logistic regression; releases before 1.8 name the penalty otherwise."""
    import sklearn
    from sklearn.linear_model import LogisticRegression

    release = tuple(int(part) for part in sklearn.__version__.split(".")[:2])
    kind: dict[str, Any] = {"l1_ratio": 1.0} if release >= (1, 8) else {"penalty": "l1"}
    return LogisticRegression(C=penalty, solver="liblinear", tol=1e-8, max_iter=2000, random_state=0, **kind)


def points_regression() -> Any:
    """Return scikit-learn's logistic regression that turns points into a probability, all but unpenalized."""
    from sklearn.linear_model import LogisticRegression

    return LogisticRegression(C=UNPENALIZED, tol=1e-10, max_iter=1000)


def whole_points(coefficients: Array) -> Array:
    """Return whole points of every answer: coefficients over the logit of a point, lowest answer of a question 0."""
    scale, found, at = catalog.number(SETTINGS, "points_per_logit"), [], 0
    for one in questions():
        width = len(one.answers) - 1
        raw = np.concatenate([[0.0], coefficients[at : at + width]])
        found.append(np.round((raw - raw.min()) * scale))
        at += width
    return np.concatenate(found).astype(np.intp)


def with_first(design: Array) -> Array:
    """Return the design with a column for the first answer of each question too."""
    columns, at = [], 0
    for one in questions():
        width = len(one.answers) - 1
        part = design[:, at : at + width]
        columns.append(np.column_stack([1.0 - part.sum(axis=1), part]))
        at += width
    return np.hstack(columns)


def fit(data: TrainingSet, chosen: Index, penalty: float) -> tuple[Learned, Any, Any]:
    """Learn from chosen houses; returns the card and the two fitted regressions."""
    design, spills, weight = data.design[chosen], data.spills[chosen], data.weight[chosen]
    full = l1_regression(penalty).fit(design, spills, sample_weight=weight)
    points = whole_points(full.coef_[0])
    complete = with_first(design)
    total = complete @ points
    card = points_regression().fit(points_columns(total), spills, sample_weight=weight)
    middle, at = [], 0
    for one in questions():
        width = len(one.answers)
        share = weight @ complete[:, at : at + width] / weight.sum()
        middle.append(int(np.round(share @ points[at : at + width])))
        at += width
    learned = Learned(
        full.coef_[0],
        float(full.intercept_[0]),
        points,
        tuple(middle),
        float(card.coef_[0, 0]),
        float(card.coef_[0, 1]),
        float(card.intercept_[0]),
    )
    return learned, full, card


def cross_validate(data: TrainingSet, penalty: float) -> Metrics:
    """Return the quality on houses that were not learned from."""
    from sklearn.metrics import brier_score_loss, roc_auc_score

    folds = int(catalog.number(SETTINGS, "folds"))
    fold = data.kind.astype(np.intp) % folds  # the kinds were drawn at random: their numbers are no order
    full_p, card_p = np.zeros(len(data.spills)), np.zeros(len(data.spills))
    for one in range(folds):
        inside, outside = np.flatnonzero(fold != one), np.flatnonzero(fold == one)
        learned, full, card = fit(data, inside, penalty)
        full_p[outside] = full.predict_proba(data.design[outside])[:, 1]
        total = with_first(data.design[outside]) @ learned.points
        card_p[outside] = card.predict_proba(points_columns(total))[:, 1]
    weight, spills = data.weight, data.spills
    order = np.argsort(card_p, kind="stable")
    band = np.minimum((np.cumsum(weight[order]) / weight.sum() * BANDS).astype(np.intp), BANDS - 1)
    calibration = tuple(
        (
            float(weight[order][band == b].sum()),
            float(np.average(card_p[order][band == b], weights=weight[order][band == b])),
            float(np.average(spills[order][band == b], weights=weight[order][band == b])),
        )
        for b in range(BANDS)
    )
    share = float(np.average(spills, weights=weight))
    return Metrics(
        penalty,
        float(roc_auc_score(spills, card_p, sample_weight=weight)),
        float(brier_score_loss(spills, card_p, sample_weight=weight)),
        float(roc_auc_score(spills, full_p, sample_weight=weight)),
        float(brier_score_loss(spills, full_p, sample_weight=weight)),
        share * (1.0 - share),
        calibration,
    )


@dataclass(frozen=True, slots=True)
class Rebuilt:
    """All that a rebuild makes: rows of the three tables, and what they were learned with."""

    data: TrainingSet
    learned: Learned
    metrics: Metrics
    full: Any
    card: Any
    score_rows: tuple[dict[str, str], ...]
    table_rows: tuple[dict[str, str], ...]
    metric_rows: tuple[dict[str, str], ...]


def rebuild(houses: int | None = None) -> Rebuilt:
    """Simulate the houses, choose the penalty by the cross-validated Brier score of the card, and learn from all."""
    data = training_set(houses)
    tried = [cross_validate(data, penalty) for penalty in PENALTIES]
    metrics = min(tried, key=lambda one: one.card_brier)
    learned, full, card = fit(data, np.arange(len(data.spills)), metrics.penalty)
    return Rebuilt(
        data,
        learned,
        metrics,
        full,
        card,
        _score_rows(data, learned),
        _table_rows(data, learned),
        _metric_rows(data, learned, metrics),
    )


_ORIGIN = {"status": "derived", "source": "own-calc"}


def _score_rows(data: TrainingSet, learned: Learned) -> tuple[dict[str, str], ...]:
    share = data.weight @ with_first(data.design) / data.weight.sum()
    rows, point, coefficient = [], iter(zip(learned.points, share, strict=True)), iter(learned.coefficients)
    for one, middle in zip(questions(), learned.middle, strict=True):
        for i, answer in enumerate(one.answers):
            points, common = next(point)
            rows.append(
                {
                    "question": one.key,
                    "answer": answer,
                    "points": str(int(points)),
                    "coefficient": repr(0.0 if i == 0 else float(next(coefficient))),
                    "share": f"{common:.4f}",
                    **_ORIGIN,
                }
            )
        rows.append(
            {
                "question": one.key,
                "answer": UNKNOWN,
                "points": str(middle),
                "coefficient": "",
                "share": "",
                **_ORIGIN,
            }
        )
    return tuple(rows)


def _table_rows(data: TrainingSet, learned: Learned) -> tuple[dict[str, str], ...]:
    total = (with_first(data.design) @ learned.points).astype(np.intp)
    highest, at = 0, 0
    for one in questions():
        highest += int(learned.points[at : at + len(one.answers)].max())
        at += len(one.answers)
    logit = points_columns(np.arange(highest + 1.0)) @ np.array([learned.slope, learned.low_slope]) + learned.offset
    chance = 1.0 / (1.0 + np.exp(-logit))
    rows = []
    for points in range(highest + 1):
        inside = total == points
        seen = f"{np.average(data.spills[inside], weights=data.weight[inside]):.3f}" if inside.any() else ""
        rows.append(
            {
                "points": str(points),
                "probability": f"{chance[points]:.4f}",
                "houses": str(int(inside.sum())),
                "simulated_share": seen,
                **_ORIGIN,
            }
        )
    return tuple(rows)


def _metric_rows(data: TrainingSet, learned: Learned, metrics: Metrics) -> tuple[dict[str, str], ...]:
    values = {
        "training_hash": data.digest,
        "houses": str(len(data.spills)),
        "kinds": str(len(np.unique(data.kind))),
        "spilling_share": f"{np.average(data.spills, weights=data.weight):.4f}",
        "penalty": repr(metrics.penalty),
        "intercept": repr(learned.intercept),
        "slope": repr(learned.slope),
        "low_slope": repr(learned.low_slope),
        "offset": repr(learned.offset),
        "card_auc": f"{metrics.card_auc:.4f}",
        "card_brier": f"{metrics.card_brier:.4f}",
        "full_auc": f"{metrics.full_auc:.4f}",
        "full_brier": f"{metrics.full_brier:.4f}",
        "base_brier": f"{metrics.base_brier:.4f}",
    }
    for band, (weight, said, seen) in enumerate(metrics.calibration, start=1):
        values[f"calibration_{band}_houses"] = f"{weight:.1f}"
        values[f"calibration_{band}_said"] = f"{said:.4f}"
        values[f"calibration_{band}_simulated"] = f"{seen:.4f}"
    return tuple({"key": key, "value": value, **_ORIGIN} for key, value in values.items())


def write(built: Rebuilt, folder: Path | None = None) -> tuple[Path, ...]:
    """Write the three tables, into the catalog or into a folder given instead."""
    paths = []
    for name, rows in (
        ("paper_score", built.score_rows),
        ("paper_score_table", built.table_rows),
        ("paper_score_metrics", built.metric_rows),
    ):
        path = catalog.path_of(name) if folder is None else folder / f"{name}.csv"
        with path.open("w", newline="", encoding="utf-8") as handle:
            writer = csv.DictWriter(handle, list(rows[0]), lineterminator="\n")
            writer.writeheader()
            writer.writerows(rows)
        paths.append(path)
    return tuple(paths)


def main() -> None:
    """Rebuild the card in the catalog and print its quality."""
    built = rebuild()
    for path in write(built):
        print(path)
    for row in built.metric_rows:
        print(f"{row['key']:28} {row['value']}")


if __name__ == "__main__":
    main()
