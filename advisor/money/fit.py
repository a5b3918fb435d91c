"""Does a replacement fit this house: the needs of a class in one list; each `fit_` module holds some of them.

Nothing that is unknown ever blocks: it gives a part that is assumed, or a note. A need that is known to be unmet gives
the priced part that meets it, or the reason why not.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields, replace

from advisor.errors import InputError
from advisor.money import fit_room as room
from advisor.money import fit_services as services
from advisor.money import fit_size as sizes
from advisor.money import fit_vent as vent
from advisor.money.fit_size import Choice
from advisor.money.fit_standards import coming_limits, duty, standards
from advisor.money.fit_water import hot_water
from advisor.money.hot_water import peak_hour_versions
from advisor.money.site import Fit, SiteFacts, Unit
from advisor.money.tables import class_row


def chosen(class_id: str, site: SiteFacts | None = None, *, worksheet: str = "A") -> Choice:
    """Return the size of a replacement class for a house: what `fit` holds against the place, and what is priced.

    Raises
    ------
    InputError
        If the class, the worksheet or one of its uses is unknown.
    """
    if worksheet not in peak_hour_versions():
        raise InputError(f"peak-hour worksheet '{worksheet}': one of {', '.join(peak_hour_versions())}")
    class_row(class_id)
    return sizes.choose(class_id, site or SiteFacts(), worksheet)


def _with_own(unit: Unit, own: Unit | None) -> Unit:
    """Return a unit with what somebody gave of his own in place of what the catalog has."""
    given = {} if own is None else {item.name: getattr(own, item.name) for item in fields(own)}
    return replace(unit, **{name: value for name, value in given.items() if value is not None})


def fit(
    class_id: str, site: SiteFacts | None = None, unit: Unit | None = None, *, worksheet: str = "A"
) -> tuple[Fit, ...]:
    """Return every need of a replacement class, held against the place.

    Parameters
    ----------
    class_id : str
        Replacement class of the catalog.
    site : SiteFacts, optional
        What was found; everything unknown by default.
    unit : Unit, optional
        What is known of the heater proposed; the rest is that of the size chosen for the house.
    worksheet : str
        Version of the peak-hour worksheet, A, B or C; it is named in the finding.

    Returns
    -------
    tuple of Fit
        In a fixed order. Put every `measure_id` on the bill; an option with a `blocking` need does not fit.

    Raises
    ------
    InputError
        If the class, the worksheet or one of its uses is unknown.
    """
    choice = chosen(class_id, site, worksheet=worksheet)
    site, unit = site or SiteFacts(), _with_own(choice.unit, unit)
    checks: tuple[Callable[[str, SiteFacts, Unit], tuple[Fit, ...]], ...] = (
        vent.route,
        services.electricity,
        services.gas_supply,
        services.condensate,
        room.heat_pump_room,
        room.space_and_weight,
        room.freezing,
        vent.chimney,
        duty,
        standards,
        coming_limits,
    )
    found = [*sizes.size(choice, site), *hot_water(class_id, site, unit, worksheet)]
    for check in checks:
        found.extend(check(class_id, site, unit))
    return tuple(found)
