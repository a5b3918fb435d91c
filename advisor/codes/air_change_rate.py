"""The natural air-change rate as NFPA 54-2012 9.3.2 asks for it: a state's own rate, and what a blower door points to.

A blower door does not make the rate known: the quick rule ignores weather. It can show that the standard volume method has
nothing to stand on, never that a room complies.
"""

from __future__ import annotations

from collections.abc import Iterable

from advisor import catalog
from advisor.codes.check import Check
from advisor.codes.combustion_air import rule
from advisor.codes.compose import Rated, compose
from advisor.codes.tables import StateAirChanges
from advisor.codes.vent_types import require_positive
from advisor.findings import Words, finding, quantity

MINUTES_PER_HOUR = 60.0


def air_changes_at_50_pa(cfm50: float, volume_ft3: float) -> float:
    """Return the air changes per hour at 50 Pa, 1/h, of a blower-door reading and the volume of the house."""
    require_positive("cfm50", cfm50)
    require_positive("volume_ft3", volume_ft3)
    return cfm50 * MINUTES_PER_HOUR / volume_ft3


def natural_air_changes(air_changes_50: float) -> float:
    """Return the natural air changes per hour, 1/h, by the quick rule (``ach50_per_natural_ach``)."""
    require_positive("air_changes_50", air_changes_50)
    return air_changes_50 / rule("ach50_per_natural_ach").typical


def lowest_standard_air_changes() -> float:
    """Return the known rate below which the standard volume method is not allowed, 1/h (9.3.2)."""
    return rule("standard_method_lowest_ach").typical


def state_air_changes(state: str) -> tuple[StateAirChanges, ...]:
    """Return the rates that a state's own form gives its houses, by year; none for a state without such a rule."""
    return tuple(row for row in catalog.rows_of(StateAirChanges, "state_air_changes") if row.state == state)


def check_rate_shown(shown_ach: float, how: Words, basis: Iterable[Rated] = ()) -> Check:
    """Return the check of the standard method's precondition where a rate that nobody measured shows to be low.

    Parameters
    ----------
    shown_ach : float
        The rate that the record points to, 1/h.
    how : finding
        Where it comes from.
    basis : iterable of Rated
        Numbers behind it.

    Returns
    -------
    Check
        Unknown where the rate is below the lowest one: a measurement decides. Not applicable at or above it: what was not
        measured makes no rate known.
    """
    least = rule("standard_method_lowest_ach")
    low = shown_ach < least.typical
    shown, asked = quantity(shown_ach, "ach", 2), quantity(least.typical, "ach", 2)
    kind = "low" if low else "not_low"
    return compose(
        "air_change_rate_of_the_house",
        least.ref,
        "unknown" if low else "not applicable",
        finding(f"codes_air.rate_shown_{kind}", ach=shown, least=asked),
        finding(f"codes_air.rate_shown_{kind}_official", ach=shown, how=how, least=asked),
        (least, *basis),
        required=finding("codes_air.rate_required", least=asked),
        provided=finding("codes_air.rate_provided", ach=shown),
    )
