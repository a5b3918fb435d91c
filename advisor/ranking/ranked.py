"""Every option in its place: worked out, held against the others, ranked, and built once with all that is said of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields

from advisor.ensemble.state import State
from advisor.evidence.retest import Expected
from advisor.ranking.acceptability import Comparison, rank_shares
from advisor.ranking.bundles import bundles
from advisor.ranking.follow_up import expected_of
from advisor.ranking.lifetime import Lifetime, against
from advisor.ranking.options import Figures, Option
from advisor.ranking.robustness import NOT_ASKED, Robustness, robustness
from advisor.ranking.setting import Setting
from advisor.ranking.value import in_order
from advisor.ranking.worked import work_out_all
from advisor.remedies import all_remedies


@dataclass(frozen=True, slots=True)
class Ranking:
    """The options in rank order.

    Parameters
    ----------
    options : tuple of Option
        Those without a rank last.
    comparison : Comparison
        How firm the order is.
    first_state : State or None
        The situations after the work of the first option; None where none ranks.
    """

    options: tuple[Option, ...]
    comparison: Comparison
    first_state: State | None


@dataclass(frozen=True, slots=True)
class Place:
    """What an option has only among others: its rank, and what is worked out for those that rank."""

    rank: int | None = None
    robustness: Robustness = NOT_ASKED
    rank_share: tuple[float, float, float] | None = None
    expected: Expected | None = None


def ranking_of(setting: Setting) -> Ranking:
    """Work out every remedy and the bundles worth it, rank them, and say how firm the ranking is."""
    singles = work_out_all(setting, all_remedies())
    worked = [*singles, *bundles(setting, singles)]
    by_id = {one.figures.id: one for one in worked}
    base = base_of([one.figures for one in worked])
    order = in_order([one.figures for one in worked])
    ranked = [by_id[figures.id] for figures in order if figures.passes]
    shares, comparison = rank_shares(setting, ranked)
    columns = (robustness(setting, ranked), shares, expected_of(setting, [one.figures for one in ranked]))
    places = [Place(rank, *each) for rank, each in enumerate(zip(*columns, strict=True), 1)]
    places += [Place()] * (len(order) - len(places))
    options = tuple(built(figures, place, base) for figures, place in zip(order, places, strict=True))
    return Ranking(options, comparison, ranked[0].state if ranked else None)


def base_of(found: Sequence[Figures]) -> Figures | None:
    """Return the cheapest safe option that keeps a natural-draft heater: what the others are held against."""
    safe = [o for o in found if o.passes and o.appliance == "natural draft"]
    return min(safe, key=lambda o: o.lifetime.total_usd.typical, default=None)


def built(figures: Figures, place: Place, base: Figures | None) -> Option:
    """Build an option from its figures and its place.

    Parameters
    ----------
    figures : Figures
        What it is by itself.
    place : Place
        What it is among the others.
    base : Figures or None
        What its life-cycle cost is held against.
    """
    ratio, years = None, None
    if base is not None and base.id != figures.id:
        ratio, years = against(
            base.lifetime, figures.lifetime, base.yearly_cost_usd.typical, figures.yearly_cost_usd.typical
        )
    cost = {field.name: getattr(figures.lifetime, field.name) for field in fields(figures.lifetime)}
    own = {field.name: getattr(figures, field.name) for field in fields(figures) if field.name != "lifetime"}
    return Option(
        **own,
        lifetime=Lifetime(**cost, savings_to_investment=ratio, payback_years=years),
        rank=place.rank,
        further_stress=place.robustness.further_stress,
        holds_until=place.robustness.holds_until,
        rank_share=place.rank_share,
        expected=place.expected,
    )
