"""How often and how long the burner fires in a day, from the hot water that the household draws."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from advisor import catalog
from advisor.case.model import Case
from advisor.facts.hot_water import heat_btu_day, use_of

HOURS_PER_DAY = 24.0


@dataclass(frozen=True, slots=True)
class Firing:
    """Burner firings of a typical day.

    Parameters
    ----------
    minutes : float
        Length of one firing.
    firings_low, firings_typical, firings_high : float
        Firings a day.
    burner_share : float
        Share of all minutes with the burner on, at the typical use.
    """

    minutes: float
    firings_low: float
    firings_typical: float
    firings_high: float
    burner_share: float


def firing_pattern(case: Case) -> Firing:
    """Return the firings of a day.

    Heat of the water drawn over the steady efficiency, plus what the idle tank loses, over the input of the burner.
    """
    number = catalog.number
    known = case.heater.recovery_efficiency_pct
    efficiency = number("priors", "efficiency_fraction") if known is None else known / 100.0
    use = use_of(case)
    standby = number("risk_exposure", "standby_btu_h") * HOURS_PER_DAY
    minutes = number("risk_exposure", "firing_minutes")
    most = HOURS_PER_DAY * 60.0 / minutes

    def firings(gal_day: float) -> float:
        heat = float(np.asarray(heat_btu_day(gal_day, use.set_f, use.mains_f)))
        hours = (heat / efficiency + standby) / case.heater.input_btu_h
        return float(min(hours * 60.0 / minutes, most))

    typical = firings(use.typical_gal_day)
    share = typical * minutes / (HOURS_PER_DAY * 60.0)
    return Firing(minutes, firings(use.low_gal_day), typical, firings(use.high_gal_day), share)
