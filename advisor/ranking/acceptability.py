"""In what share of draws is an option first, second, third; ties called ties; what drives the decision.

Drawn together: installed cost (a shared market part and a part of its own), yearly cost, the viewpoint's weights, and the
spillage shares as far as the ensemble leaves them open. Grades stay tiers in every draw.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from advisor import catalog, units
from advisor.case.model import Case
from advisor.ensemble.conditions import STRESSES
from advisor.ensemble.state import Array, Index, State
from advisor.ensemble.uniforms import triangular
from advisor.ensemble.weighted import Range
from advisor.facts.leakage import cfm50
from advisor.findings import Finding, Words, finding, quantity, share
from advisor.ranking.gates import limits
from advisor.ranking.options import CRITERIA, Figures, Worked
from advisor.ranking.setting import Setting
from advisor.ranking.value import TIERS, scales, weights


@dataclass(frozen=True, slots=True)
class Driver:
    """An unknown whose resolution would change the winner.

    Parameters
    ----------
    id : str
        Which unknown.
    words : Finding
        Its name.
    low_winner, high_winner : Finding
        Titles of the winners where it is low and where it is high.
    low_winner_id, high_winner_id : str
        Their ids.
    low, high : float
        Medians of the two groups, in ``unit``.
    unit : str
        Suffix of a unit (``wording/units.py``).
    """

    id: str
    words: Words
    low_winner: Words
    high_winner: Words
    low_winner_id: str
    high_winner_id: str
    low: float
    high: float
    unit: str

    @property
    def sentence(self) -> Finding:
        """What would change the winner, in one sentence."""
        return finding(
            "ranking.would_change_the_winner",
            unknown=self.words,
            low=quantity(self.low, self.unit, digits=0),
            high=quantity(self.high, self.unit, digits=0),
            low_winner=self.low_winner,
            high_winner=self.high_winner,
        )


@dataclass(frozen=True, slots=True)
class Comparison:
    """How firm the ranking is.

    Parameters
    ----------
    words : Finding
        In what share of the draws the first is first, and how near the closest comes; empty where nothing ranks.
    tie : bool
        True when the runner-up beats the first in too many draws for the order to be called firm.
    drivers : tuple of Driver
        Unknowns that would change the winner.
    """

    words: Words
    tie: bool
    drivers: tuple[Driver, ...]


def _number(key: str) -> float:
    return catalog.number("acceptability", key)


def _draw_range(uniform: Array, values: Range) -> Array:
    return triangular(uniform, values.low, min(max(values.typical, values.low), values.high), values.high)


def _scaled(criterion: str, amounts: Array) -> Array:
    row = scales()[criterion]
    best, worst = row.best, row.worst
    if row.shape == "log":
        share = np.log(np.maximum(amounts, 1e-9) / best) / np.log(worst / best)
    else:
        share = (amounts - best) / (worst - best)
    return np.asarray(1.0 - np.clip(share, 0.0, 1.0))


def ranks_in_draws(setting: Setting, options: Sequence[Figures]) -> Array:
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


def rank_shares(setting: Setting, ranked: Sequence[Worked]) -> tuple[list[tuple[float, float, float]], Comparison]:
    """Return in what share of the draws each ranked option is first, second, third, and how firm the first place is."""
    if not ranked:
        return [], Comparison("", False, ())
    found = [one.figures for one in ranked]
    ranks = ranks_in_draws(setting, found)
    shares = [(_share(r, 1), _share(r, 2), _share(r, 3)) for r in ranks]
    leads: dict[str, Words] = {"first": found[0].title, "share": share(shares[0][0])}
    if len(found) == 1:
        return shares, Comparison(finding("ranking.first_alone", **leads), False, drivers(setting, ranked))
    against = [float(np.mean(r < ranks[0])) for r in ranks[1:]]
    at = int(np.argmax(against))
    tie = against[at] > _number("tie_share")
    message = "ranking.first_in_a_tie" if tie else "ranking.first_and_closest"
    words = finding(message, **leads, runner=found[at + 1].title, against=share(against[at]))
    return shares, Comparison(words, tie, drivers(setting, ranked))


def _share(ranks: Array, place: int) -> float:
    return float(np.mean(ranks == place))


def _unknowns(case: Case, state: State) -> dict[str, tuple[Array, str]]:
    """Return what nobody knows of the house, by id: its values and their unit."""
    cfm = units.M3_S_PER_CFM
    flow50 = cfm50(case, state.house.leak_m3_s, state.zone.leak_m3_s, state.house.exponent)
    return {
        "leakage": (flow50, "cfm50"),
        "exhaust": (state.house.device_m3_s.sum(axis=0) / cfm, "cfm"),
        "intake": (100.0 * state.zone.intake_blocked, "pct_blocked"),
        "vent": (100.0 * state.vent.blocked, "pct_blocked"),
        "return_leak": (state.zone.return_leak_m3_s / cfm, "cfm"),
        "height": (state.vent.height_m / units.M_PER_FT, "ft"),
        "plume": (state.burner.plume_pa, "pa"),
    }


def drivers(setting: Setting, ranked: Sequence[Worked]) -> tuple[Driver, ...]:
    """Return the unknowns that would change the winner: it is chosen anew in the low and the high third of each."""
    weight, state = setting.posterior.weight, setting.posterior.state
    groups = int(_number("driver_groups"))
    found = []
    for key, (values, unit) in _unknowns(setting.job.case, state).items():
        order = np.argsort(values, kind="stable")
        share = np.cumsum(weight[order])
        low, high = order[share <= 1.0 / groups], order[share > 1.0 - 1.0 / groups]
        if not low.size or not high.size or values[high].min() - values[low].max() <= 1e-9:
            continue
        winners = [_winner(setting, ranked, part) for part in (low, high)]
        if winners[0].id != winners[1].id:
            medians = [float(np.median(values[part])) for part in (low, high)]
            found.append(
                Driver(
                    id=key,
                    words=finding(f"ranking.unknown.{key}"),
                    low_winner=winners[0].title,
                    high_winner=winners[1].title,
                    low_winner_id=winners[0].id,
                    high_winner_id=winners[1].id,
                    low=medians[0],
                    high=medians[1],
                    unit=unit,
                )
            )
    return tuple(found[: int(_number("drivers_shown"))])


def _winner(setting: Setting, ranked: Sequence[Worked], part: Index) -> Figures:
    """Best option if only these situations were left; values keep their other parts."""
    limit, stress_limit = limits()
    weight = setting.posterior.weight[part]
    weight = weight / weight.sum()

    def place(one: Worked) -> tuple[int, float]:
        option = one.figures
        shares = {name: float((weight * s[part]).sum()) for name, s in one.outcomes.items()}
        stress = max(shares[name] for name in STRESSES)
        worst = max(share for name, share in shares.items() if name not in STRESSES)
        tier = 2 if worst > limit else 1 if stress > stress_limit else 0
        return max(tier, TIERS[option.safety] if option.barred_by else 0), -option.value

    return min(ranked, key=place).figures
