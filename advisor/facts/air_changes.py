"""The natural air-change rate of a house: known, given by its state's form, or only pointed to by what was found."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from advisor import catalog
from advisor.case.model import Case
from advisor.codes import air_change_rate as rate
from advisor.codes.combustion_air import rule
from advisor.codes.compose import Rated
from advisor.codes.tables import StateAirChanges
from advisor.facts.leakage import measured_cfm50
from advisor.findings import Finding, finding, quantity

By = Literal["tracer gas", "stated", "state"]


@dataclass(frozen=True, slots=True)
class KnownRate:
    """A rate that the known-rate method may use.

    Parameters
    ----------
    ach : float
        Natural air changes per hour, 1/h.
    by : {"tracer gas", "stated", "state"}
        Measured; written down without how it is known; or given by the form of the state for a house of its year.
    row : StateAirChanges or None
        Row of the state's form.
    """

    ach: float
    by: By
    row: StateAirChanges | None = None


@dataclass(frozen=True, slots=True)
class Shown:
    """A rate that something points to and nobody measured: it can withhold a verdict and gives none.

    Parameters
    ----------
    ach : float
        Natural air changes per hour, 1/h.
    how : finding
        Where it comes from.
    basis : tuple of Rated
        Catalog numbers behind it.
    """

    ach: float
    how: Finding
    basis: tuple[Rated, ...] = ()


def known(case: Case) -> KnownRate | None:
    """Return the rate that is known; None where nobody measured one and the state gives none that binds.

    A state's own rate binds where it lies below the lowest one of the standard method; above it, either method may be used.
    """
    house = case.house
    if house.air_changes_per_hour is not None and house.air_changes_basis != "estimated":
        return KnownRate(house.air_changes_per_hour, "stated" if house.air_changes_basis is None else "tracer gas")
    for row in _state_rows(case):
        built = house.year_built
        if built is not None and row.built_from <= built <= row.built_to and _low(row.air_changes_per_hour):
            return KnownRate(row.air_changes_per_hour, "state", row)
    return None


def _state_rows(case: Case) -> tuple[StateAirChanges, ...]:
    return () if case.house.state is None else rate.state_air_changes(case.house.state)


def _low(ach: float) -> bool:
    return ach < rate.lowest_standard_air_changes()


def shown(case: Case) -> Shown | None:
    """Return the lowest rate that a blower door or an estimate points to; None where neither is there."""
    found = [sign for sign in (_by_blower_door(case), _by_estimate(case)) if sign is not None]
    return min(found, key=lambda sign: sign.ach, default=None)


def _by_estimate(case: Case) -> Shown | None:
    house = case.house
    if house.air_changes_per_hour is None or house.air_changes_basis != "estimated":
        return None
    return Shown(house.air_changes_per_hour, finding("codes_air.rate_by_estimate"))


def _by_blower_door(case: Case) -> Shown | None:
    cfm50, volume = measured_cfm50(case), _volume_ft3(case)
    if cfm50 is None or volume is None:
        return None
    at_50 = rate.air_changes_at_50_pa(cfm50, volume)
    per = rule("ach50_per_natural_ach")
    size = "given" if case.house.volume_ft3 is not None else "usual_ceiling"
    how = finding(
        f"codes_air.rate_by_blower_door_{size}",
        cfm50=quantity(cfm50, "cfm"),
        volume=quantity(volume, "ft3", 0),
        at_50=quantity(at_50, "ach", 1),
        per=quantity(per.typical, "number"),
    )
    basis = (per,) if size == "given" else (per, catalog.parameter("priors", "ceiling_height_ft"))
    return Shown(rate.natural_air_changes(at_50), how, basis)


def _volume_ft3(case: Case) -> float | None:
    """Volume of the house, ft3: as given, else floor area times the usual ceiling; None without either."""
    house = case.house
    if house.volume_ft3 is not None or house.floor_area_ft2 is None:
        return house.volume_ft3
    return house.floor_area_ft2 * catalog.number("priors", "ceiling_height_ft")


def unknown_of_rate(case: Case) -> Iterator[str]:
    """Yield the ids (``catalog/codes/check_inputs.csv``) of what keeps a volume method from being shown.

    What is measured with a tracer gas settles it. A rate written down without how it is known does not; nor does a state's
    rate, or the standard method, against a sign that the house is tighter.
    """
    found = known(case)
    if found is not None and found.by != "state":
        if found.by == "stated":
            yield "air_change_basis"
        return
    sign, least = shown(case), rate.lowest_standard_air_changes() if found is None else found.ach
    if sign is not None and sign.ach < least:
        yield "air_change_rate"
    if case.house.year_built is None and any(_low(row.air_changes_per_hour) for row in _state_rows(case)):
        yield "year_built"
