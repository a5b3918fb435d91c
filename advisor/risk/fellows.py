"""The other burners that spill with the heater: what shares its failed vent and takes its air from the same space.

Modelled so: they fire whenever the heater does, each spills the same share of its gas as the heater, for its input; CO as it
was read in their flue, else as in the heater's.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from advisor.case.model import Case
from advisor.ensemble.state import Array
from advisor.facts import burners
from advisor.facts.record import Verdict

__all__ = ["ALONE", "Fellow", "co_with", "fellows", "gas_with"]


@dataclass(frozen=True, slots=True)
class Fellow:
    """An appliance that spills with the heater.

    Parameters
    ----------
    name : str
        As written down.
    gas : float
        Its input over the heater's.
    co_air_free_ppm : float or None
        Highest that was read in its flue, ppm; None where nobody read it.
    """

    name: str
    gas: float
    co_air_free_ppm: float | None


ALONE: tuple[Fellow, ...] = ()
"""The heater spills alone."""


def fellows(case: Case, verdict: Verdict) -> tuple[Fellow, ...]:
    """Return what spills with the heater: each appliance of its failed vent that stands in its space.

    Parameters
    ----------
    case : Case
        What was found.
    verdict : Verdict
        Of its record: only a vent that was seen to fail counts.
    """
    co = {one.name: one.flue_co_air_free_ppm for one in verdict.others}
    return tuple(
        Fellow(one.name, burners.input_of(one) / case.heater.input_btu_h, co.get(one.name))
        for one in burners.on_the_vent(case)
        if one.name in verdict.stop and burners.draws_on_the_space(one)
    )


def gas_with(others: tuple[Fellow, ...]) -> float:
    """Return the gas of all over that of the heater alone, at least 1."""
    return 1.0 + sum(one.gas for one in others)


def co_with(co_air_free_ppm: Array, others: tuple[Fellow, ...]) -> Array:
    """Return the CO of all for the gas of the heater alone, ppm air-free, (n,)."""
    found = np.asarray(co_air_free_ppm)
    for one in others:
        found = found + one.gas * (co_air_free_ppm if one.co_air_free_ppm is None else one.co_air_free_ppm)
    return np.asarray(found)
