"""Leakage: what the blower door is said to read, what an option holds until and what is simulated are one number."""

from __future__ import annotations

from typing import Any, get_args

import numpy as np
import pytest

from advisor import units
from advisor.case.model import Case
from advisor.case.parts import Zone
from advisor.ensemble.conditions import worst_case
from advisor.ensemble.draw import draw
from advisor.ensemble.question import Question
from advisor.ensemble.respond import respond
from advisor.evidence import next_test
from advisor.facts import leakage
from advisor.facts.space import apart
from advisor.findings import Quantity
from advisor.ranking import acceptability

KINDS = get_args(Zone.model_fields["kind"].annotation)
READ_CFM50 = 1500.0


def made(kind: str, **house: object) -> Case:
    given: dict[str, Any] = {
        "house": {"leakage_cfm50": READ_CFM50, "leakage_exponent": 0.65, **house},
        "heater": {"input_btu_h": 40000.0},
        "zone": {"kind": kind},
        "run": [{"seen": "spilling"}],
    }
    return Case.model_validate(given)


@pytest.mark.parametrize("kind", KINDS)
def test_the_simulated_house_leaks_what_the_blower_door_read(kind: str) -> None:
    """A reading comes back as it was, within its error (geometric deviation 1.05): whatever room the heater stands in."""
    case = made(kind)
    state = draw(case, 1024, 2)
    found = leakage.cfm50(case, state.house.leak_m3_s, state.zone.leak_m3_s, state.house.exponent)
    assert np.median(found) == pytest.approx(READ_CFM50, rel=0.01)
    assert np.std(np.log(found)) == pytest.approx(np.log(1.05), rel=0.05)


@pytest.mark.parametrize("kind", KINDS)
def test_split_and_whole_are_inverse(kind: str) -> None:
    case, whole, exponent = made(kind), np.linspace(0.01, 0.2, 7), np.full(7, 0.65)
    house, zone = leakage.split(case, whole, np.linspace(0.0, 0.4, 7))
    cfm = leakage.cfm50(case, house, zone, exponent)
    assert cfm == pytest.approx(whole * 50.0**0.65 / units.M3_S_PER_CFM)
    assert (zone > 0.0).all()
    assert np.all(house == whole) if apart(case) else np.all(house < whole)


@pytest.mark.parametrize("kind", ["closet", "basement", "open plan", "garage"])
def test_the_limits_of_the_blower_door_test_are_those_that_options_hold_until(kind: str) -> None:
    """The two edges between the answers are a third of the situations each, of the leakage that everything else names."""
    case = made(kind, leakage_cfm50=None)
    state = draw(case, 512, 3)
    asked = Question(worst_case(case, state), 300.0)
    scene = next_test._Scene(case, state, asked, respond(state, asked.condition))
    seen = [finding for finding, _ in next_test._leakage(scene)]
    edges = sorted({one.value for finding in seen for _, one in finding.values if isinstance(one, Quantity)})
    held = leakage.cfm50(case, state.house.leak_m3_s, state.zone.leak_m3_s, state.house.exponent)
    assert edges == pytest.approx(list(np.quantile(held, (1.0 / 3.0, 2.0 / 3.0))), abs=1.0)
    # what drives the decision is named by the same number
    assert np.array_equal(acceptability._unknowns(case, state)["leakage"][0], held)


def test_a_house_that_nobody_measured_leaks_as_the_regression_says() -> None:
    """lbnl-leakage-2013 (INF-25): 2400 ft2 on 2 stories of 2004 in 3B, on a slab, ducts in the attic: 1536 CFM50."""
    house = {"floor_area_ft2": 2400.0, "stories": 2, "year_built": 2004, "climate_zone": "3B", "foundation": "slab"}
    case = made("closet", leakage_cfm50=None, leakage_exponent=None, ducts="attic or basement", **house)
    flow50, gsd = leakage.prior_of(case, np.full(3, 2400.0 * units.M2_PER_FT2))
    assert flow50 / units.M3_S_PER_CFM == pytest.approx(np.full(3, 1536.0), rel=0.01)
    assert gsd == pytest.approx(1.564, rel=0.01)


@pytest.mark.parametrize(
    ("zone", "heated"),
    [
        ({"kind": "basement"}, True),
        ({"kind": "basement", "heated": False}, False),
        ({"kind": "garage"}, False),
        ({"kind": "garage", "heated": True}, True),
        ({"kind": "attic", "heated": True}, False),
    ],
)
def test_a_space_is_cold_in_every_room_or_in_none(zone: dict[str, Any], heated: bool) -> None:
    from advisor.facts.space import heated as space_heated
    from advisor.remedies import vent_facts

    case = made("closet").model_copy(update={"zone": Zone.model_validate(zone)})
    assert space_heated(case) is heated
    assert bool((draw(case, 64).air.zone_k_share == 0.0).all()) is heated
    assert (vent_facts.cold_space(case) is True) is not heated
