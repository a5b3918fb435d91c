"""In what share of draws is an option first, second, third; ties called ties; what drives the decision.

Drawn together: installed cost (a shared market part and a part of its own), yearly cost, the viewpoint's weights, and the
spillage shares as far as the ensemble leaves them open. Grades stay tiers in every draw.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from advisor import catalog, units
from advisor.case.model import Case
from advisor.ensemble.conditions import STRESSES
from advisor.ensemble.state import Array, State
from advisor.ensemble.uniforms import triangular
from advisor.facts.leakage import cfm50
from advisor.findings import Words
from advisor.ranking.gates import limits, percent
from advisor.ranking.options import CRITERIA, Option, Range
from advisor.ranking.setting import Setting
from advisor.ranking.value import TIERS, scales, weights


@dataclass(frozen=True, slots=True)
class Driver:
    """An unknown whose resolution would change the winner.

    Parameters
    ----------
    id, words : str
        Which unknown.
    low_winner, high_winner : str
        Titles of the winners where it is low and where it is high.
    low, high : float
        Medians of the two groups, in ``unit``.
    unit : str
        Unit.
    """

    id: str
    words: str
    low_winner: str
    high_winner: str
    low: float
    high: float
    unit: str


@dataclass(frozen=True, slots=True)
class Comparison:
    """How firm the ranking is: a sentence on ties, and the drivers."""

    words: str
    tie: bool
    drivers: tuple[Driver, ...]


def _number(key: str) -> float:
    return catalog.number("acceptability", key)


def _draw_range(uniform: Array, values: Range) -> Array:
    return triangular(uniform, values.low, min(max(values.typical, values.low), values.high), values.high)


def _scaled(criterion: str, amounts: Array) -> Array:
    row = scales()[criterion]
    best, worst = float(row["best"]), float(row["worst"])
    if row["shape"] == "log":
        share = np.log(np.maximum(amounts, 1e-9) / best) / np.log(worst / best)
    else:
        share = (amounts - best) / (worst - best)
    return np.asarray(1.0 - np.clip(share, 0.0, 1.0))


def ranks_in_draws(setting: Setting, options: list[Option]) -> Array:
    """Return the rank of every option in every draw, (options, draws)."""
    draws, n = int(_number("draws")), len(options)
    rng = np.random.default_rng(20_240_601)
    base = weights(setting.viewpoint)
    mean = np.array([base[c] for c in CRITERIA])
    drawn_weights = rng.dirichlet(mean * _number("weight_concentration"), draws).T
    market, price = rng.random(draws), rng.random(draws)
    own = rng.random((n, draws))
    size = setting.posterior.effective_samples
    physics = rng.random(draws)
    limit, stress_limit = limits()
    from scipy.stats import beta

    def shares(value: float) -> Array:
        # what the ensemble leaves open about a share, moved together for all options: common random numbers
        return np.asarray(beta.ppf(physics, value * size + 0.5, (1.0 - value) * size + 0.5))

    values, tiers = np.empty((n, draws)), np.empty((n, draws))
    for i, option in enumerate(options):
        cost = _draw_range(0.5 * (market + own[i]), option.installed_cost_usd)
        yearly = _draw_range(price, option.yearly_cost_usd)
        worst = shares(option.spillage.tested)
        stress = np.stack([shares(s) for s in option.spillage.stresses])
        tiers[i] = np.where(worst > limit, 2.0, np.where(stress.max(axis=0) > stress_limit, 1.0, 0.0))
        if option.barred_by:  # the record holds it down in every draw
            tiers[i] = np.maximum(tiers[i], TIERS[option.safety])
        stands = (stress.sum(axis=0) + option.vent_runs_wet) / (len(stress) + 1)
        amounts = {
            "residual risk": np.full(draws, option.risk_score),
            "installed cost": cost,
            "yearly cost": yearly,
            "robustness": stands,
        }
        fixed = option.value_parts["disruption"] / base["disruption"] if base["disruption"] else 0.0
        scaled = [np.full(draws, fixed) if name == "disruption" else _scaled(name, amounts[name]) for name in CRITERIA]
        values[i] = (drawn_weights * np.stack(scaled)).sum(axis=0)
    order = np.argsort(tiers * 10.0 - values, axis=0, kind="stable")
    ranks = np.empty_like(order)
    np.put_along_axis(ranks, order, np.arange(1, n + 1)[:, None], axis=0)
    return ranks.astype(np.float64)


def with_shares(setting: Setting, ranked: list[Option]) -> tuple[list[Option], Comparison]:
    """Add rank shares to the ranked options, and compare the first with the runner-up."""
    if not ranked:
        return ranked, Comparison("", False, ())
    ranks = ranks_in_draws(setting, ranked)
    found = [
        replace(o, rank_share=(_share(r, 1), _share(r, 2), _share(r, 3))) for o, r in zip(ranked, ranks, strict=True)
    ]
    first = found[0]
    share = first.rank_share[0] if first.rank_share else 0.0
    words = f"{first.title} is first in {percent(share)} of the draws over cost, prices, weights and physics"
    tie = False
    if len(found) > 1:
        against = [float(np.mean(r < ranks[0])) for r in ranks[1:]]
        at = int(np.argmax(against))
        tie = against[at] > _number("tie_share")
        runner = found[at + 1]
        words += (
            f"; a tie with {runner.title}, which beats it in {percent(against[at])}"
            if tie
            else f"; the closest, {runner.title}, beats it in {percent(against[at])}"
        )
    return found, Comparison(words + ".", tie, drivers(setting, found))


def _share(ranks: Array, place: int) -> float:
    return float(np.mean(ranks == place))


def _unknowns(case: Case, state: State) -> dict[str, tuple[str, Array, str]]:
    cfm = units.M3_S_PER_CFM
    flow50 = cfm50(case, state.leak_m3_s, state.zone_leak_m3_s, state.exponent)
    return {
        "leakage": ("how leaky the house is", flow50, "CFM50"),
        "exhaust": ("what the fans really move", state.device_m3_s.sum(axis=0) / cfm, "cfm"),
        "intake": ("how far the air opening is blocked", 100.0 * state.intake_blocked, "% blocked"),
        "vent": ("how far the vent is blocked", 100.0 * state.vent_blocked, "% blocked"),
        "return_leak": ("how much air the return takes from the room", state.return_leak_m3_s / cfm, "cfm"),
        "height": ("how high the vent is", state.height_m / units.M_PER_FT, "ft"),
        "plume": ("how well the hot plume breaks through", state.plume_pa, "Pa"),
    }


def drivers(setting: Setting, ranked: list[Option]) -> tuple[Driver, ...]:
    """Return the unknowns that would change the winner: it is chosen anew in the low and the high third of each."""
    weight, state = setting.posterior.weight, setting.posterior.state
    groups = int(_number("driver_groups"))
    found = []
    for key, (words, values, unit) in _unknowns(setting.job.case, state).items():
        order = np.argsort(values, kind="stable")
        share = np.cumsum(weight[order])
        low, high = order[share <= 1.0 / groups], order[share > 1.0 - 1.0 / groups]
        if not low.size or not high.size or values[high].min() - values[low].max() <= 1e-9:
            continue
        winners = [_winner(setting, ranked, part) for part in (low, high)]
        if winners[0] != winners[1]:
            medians = [float(np.median(values[part])) for part in (low, high)]
            found.append(Driver(key, words, winners[0], winners[1], medians[0], medians[1], unit))
    return tuple(found[: int(_number("drivers_shown"))])


def _winner(setting: Setting, ranked: list[Option], part: np.ndarray[tuple[int], np.dtype[np.intp]]) -> Words:
    """Title of the best option if only these situations were left; values keep their other parts."""
    limit, stress_limit = limits()
    weight = setting.posterior.weight[part]
    weight = weight / weight.sum()

    def place(option: Option) -> tuple[int, float]:
        spills = setting.outcomes[option.id]
        shares = {name: float((weight * s[part]).sum()) for name, s in spills.items()}
        stress = max(shares[name] for name in STRESSES)
        worst = max(share for name, share in shares.items() if name not in STRESSES)
        tier = 2 if worst > limit else 1 if stress > stress_limit else 0
        return max(tier, TIERS[option.safety] if option.barred_by else 0), -option.value

    return min(ranked, key=place).title
