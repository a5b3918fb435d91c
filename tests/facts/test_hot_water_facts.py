"""Hot water: the burner's time, the running cost and the words take the same gallons at the same temperatures."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from conftest import ROOT

from advisor.case.model import Case
from advisor.case.read import read_case
from advisor.facts.assumed import assumed_values
from advisor.facts.hot_water import use_of
from advisor.ranking.household import Household
from advisor.risk.firing import firing_pattern
from advisor.units import DAYS_PER_YEAR

RECOVERY = 0.8
STANDBY = "standby_btu_h"


def made(**occupants: int) -> Case:
    case = read_case(Path(ROOT / "demo" / "sound_house.toml"))
    parts: dict[str, Any] = {
        "occupants": case.occupants.model_copy(update={"people": None, "bedrooms": None} | occupants),
        "heater": case.heater.model_copy(update={"recovery_efficiency_pct": 100.0 * RECOVERY, "uef": 0.6}),
    }
    return case.model_copy(update=parts)


def risk_gal_day(case: Case) -> float:
    """Return the gallons that the burner's time stands for, by hand: 8.24 Btu/(gal F) over 125 - 58 F."""
    from advisor import catalog

    pattern = firing_pattern(case)
    heat = pattern.firings_typical * pattern.minutes / 60.0 * case.heater.input_btu_h
    return (heat - 24.0 * catalog.number("risk_exposure", STANDBY)) * RECOVERY / (8.24 * (125.0 - 58.0))


def money_gal_day(case: Case) -> float:
    """Return the gallons that the energy of the heater there now stands for: the formula of the federal test."""
    therm = float(Household.of(case).running("GS_ATM").gas_therm)
    return therm * 100_000.0 * 0.6 / (DAYS_PER_YEAR * 8.24 * (125.0 - 58.0))


@pytest.mark.parametrize(
    ("occupants", "gal_day"),
    [
        # fsec-pf-464-15 Eq. 14: (-4.84 + 18.6 x 3) mixed at 105 F, 47/67 of it hot; hsp-2014 machines of 3 bedrooms
        ({"people": 3, "bedrooms": 3}, 50.96 * 47.0 / 67.0 + (2.35 + 0.78 * 3) + (2.26 + 0.75 * 3)),
        # hsp-2014 by bedrooms: shower, bath, sink mixed at 110 F, 52/67 of it hot, and the machines; 2 and 5 bedrooms
        ({"bedrooms": 2}, (23.34 + 5.84 + 20.82) * 52.0 / 67.0 + 3.91 + 3.76),
        ({"bedrooms": 5}, (37.35 + 9.35 + 33.3) * 52.0 / 67.0 + 6.25 + 6.01),
        # cfr10-430-appe: medium draw pattern
        ({}, 55.0),
    ],
)
def test_risk_and_money_take_the_same_gallons(occupants: dict[str, int], gal_day: float) -> None:
    case = made(**occupants)
    assert use_of(case).typical_gal_day == pytest.approx(gal_day, abs=0.02)
    assert risk_gal_day(case) == pytest.approx(gal_day, abs=0.02)
    assert money_gal_day(case) == pytest.approx(gal_day, rel=1e-3)
    assert use_of(case).assumed is not bool(occupants)
    assert ("assumed.hot_water" in [value.id for value in assumed_values(case)]) is use_of(case).assumed


def test_the_spread_of_the_household_is_the_same_in_both() -> None:
    case = made(people=2)
    use, pattern = use_of(case), firing_pattern(case)
    assert Household.of(case).use == use
    # what the idle tank loses is the same at any use
    drawn = (pattern.firings_high - pattern.firings_typical) / (pattern.firings_typical - pattern.firings_low)
    gallons = (use.high_gal_day - use.typical_gal_day) / (use.typical_gal_day - use.low_gal_day)
    assert drawn == pytest.approx(gallons)
