"""Which options the rules with a day touch: said beside them, never counted in their place among the others."""

from __future__ import annotations

import datetime
from collections.abc import Iterable
from dataclasses import dataclass

from advisor.case.model import Case
from advisor.codes.timeline import DatedRow, dated_rules
from advisor.facts.burners import on_the_vent
from advisor.facts.services import shares_vent
from advisor.findings import Words
from advisor.ranking.options import Option


@dataclass(frozen=True, slots=True)
class Dated:
    """A rule or a payment with a day, and the options that it touches.

    Parameters
    ----------
    id, kind, date : str
        As in ``regulatory_timeline``; the day is ISO.
    when : str
        ``to come`` or ``past``.
    district : str
        Air district, empty where it holds everywhere.
    if_there : bool
        True where nobody wrote down whether the house lies in that district.
    status, source : str
        Status word, source ids.
    words : Finding
        What it says.
    every_hood : bool
        True where it touches every option that leaves a draft hood on a shared vent.
    option_ids : tuple of str
        Options that it touches.
    incentive_ids : tuple of str
        Options for which an incentive was typed that this ended payment cannot be.
    """

    id: str
    kind: str
    date: str
    when: str
    district: str
    if_there: bool
    status: str
    source: str
    words: Words
    every_hood: bool
    option_ids: tuple[str, ...]
    incentive_ids: tuple[str, ...]


def dated_of(case: Case, options: Iterable[Option], today: datetime.date | None = None) -> tuple[Dated, ...]:
    """Return the rules with a day that touch an option, in the order of the catalog.

    Parameters
    ----------
    case : Case
        What was found.
    options : iterable of Option
        Every option, ranked or not.
    today : date, optional
        Day to judge by; the day of the facts where it is not given.
    """
    every = tuple(options)
    found = []
    house = case.house
    for rule in dated_rules(house.state, house.air_district, today, shared_vent=_furnace_on_the_vent(case)):
        row = rule.row
        typed = tuple(o.id for o in every if row.kind == "credit" and rule.when == "past" and _new_heater_paid(o))
        touched = tuple(o.id for o in every if _touches(row, o) or o.id in typed)
        if touched:
            found.append(
                Dated(
                    id=row.id,
                    kind=row.kind,
                    date=row.date,
                    when=rule.when,
                    district=row.district,
                    if_there=rule.if_there,
                    status=row.status,
                    source=row.source,
                    words=rule.words,
                    every_hood=row.hood_on_shared_vent,
                    option_ids=touched,
                    incentive_ids=typed,
                )
            )
    return tuple(found)


def _furnace_on_the_vent(case: Case) -> bool:
    """Return whether a furnace uses the heater's vent, or something does of which nobody said what it is."""
    others = on_the_vent(case)
    return any(one.kind == "furnace" for one in others) if others else shares_vent(case) is True


def _touches(row: DatedRow, option: Option) -> bool:
    if row.hood_on_shared_vent:
        return option.appliance == "natural draft"
    return bool({option.id, *option.members} & set(row.remedy_ids))


def _new_heater_paid(option: Option) -> bool:
    """Return whether an incentive was typed for a new heater: the ended credit paid for such."""
    return option.family == "replacement" and option.incentive_usd > 0.0
