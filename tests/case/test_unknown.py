"""What the model does not know is part of the model, and what nobody wrote down is no fact.

The shared offset of the draft, the reversed start, the usual devices of a house whose list is not known.
"""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from scipy import integrate, stats

from advisor import catalog
from advisor.case.model import Case
from advisor.case.read import read_case
from advisor.ensemble import conditions
from advisor.ensemble.draw import draw
from advisor.ensemble.respond import idle_of, respond, zone_pressure_pa
from advisor.ensemble.scene import scene_of, worse_link
from advisor.ensemble.state import State
from advisor.ensemble.unknown_draw import offset_log_density
from advisor.ensemble.weighted import normalized
from advisor.physics import startup, vent

DEMO = Path(__file__).parents[2] / "demo"
DEMOS = sorted(DEMO.glob("*.toml"))
NUMBER = catalog.number


def case(**parts) -> Case:
    """Return a plain case with one run, and what a test adds."""
    plain = {
        "heater": {"input_btu_h": 40000.0, "hood_diameter_in": 4.0},
        "run": [{"seen": "unclear", "outdoor_temp_f": 45.0}],
    }
    return Case.model_validate(plain | parts)


def weights(state: State) -> np.ndarray:
    """Return the weights that undo over-sampling, summing to 1."""
    return normalized(state.chance.log_weight)


def test_the_offset_is_the_stated_mixture() -> None:
    """Moments of the mixture by hand: normal sd s, and in a share p the size of a normal of sd t on top."""
    state = draw(case(), 16384, 3)
    weight = weights(state)
    small, share, large = (NUMBER("priors", f"draft_offset_{key}") for key in ("sd_pa", "tail_prob", "tail_pa"))
    mean = share * large * math.sqrt(2.0 / math.pi)
    second = small**2 + share * large**2
    assert weight @ state.vent.draft_offset_pa == pytest.approx(mean, abs=0.02)
    assert weight @ state.vent.draft_offset_pa**2 == pytest.approx(second, rel=0.05)
    assert np.mean(state.vent.draft_offset_pa > 2.0) > 0.15  # over-sampled


@pytest.mark.parametrize("scale", [0.5, 1.0, 2.0])
def test_the_density_of_the_offset_is_the_convolution(scale: float) -> None:
    """The closed form against quadrature of the convolution, and its integral against 1 (scipy)."""
    small, share, large = (NUMBER("priors", f"draft_offset_{key}") for key in ("sd_pa", "tail_prob", "tail_pa"))
    small, large = scale * small, scale * large

    def density(x: float) -> float:
        tail, _ = integrate.quad(
            lambda t: 2.0 * stats.norm.pdf(t, 0.0, large) * stats.norm.pdf(x - t, 0.0, small),
            max(0.0, x - 10.0 * small),
            max(0.0, x + 10.0 * small),
        )
        return (1.0 - share) * stats.norm.pdf(x, 0.0, small) + share * tail

    at = np.array([-1.2, -0.3, 0.0, 0.7, 2.0, 6.0, 11.0])
    np.testing.assert_allclose(np.exp(offset_log_density(at, scale)), [density(x) for x in at], rtol=1e-5)
    grid = np.linspace(-8.0, 60.0, 40001)
    assert np.trapezoid(np.exp(offset_log_density(grid, scale)), grid) == pytest.approx(1.0, abs=1e-4)


def test_an_offset_is_a_pressure_at_the_vents_top() -> None:
    """A pascal of offset against the draft does what a pascal of steady wind pressure at the terminal does."""
    c = read_case(DEMO / "hood_and_dryer.toml")
    state = draw(c, 256, 1)
    state = replace(state, vent=replace(state.vent, draft_offset_pa=np.zeros(256)))
    windy = replace(conditions.idle_house(conditions.worst_case(c, state)), wind_m_s=3.0)
    calm = replace(state, zone=replace(state.zone, cp=np.zeros(256)), house=replace(state.house, roof_cp=np.zeros(256)))
    scene = scene_of(calm, windy, *worse_link(calm, windy))
    other = replace(calm, vent=replace(calm.vent, terminal_cp=np.zeros(256), draft_offset_pa=scene.vent.terminal_pa))
    np.testing.assert_allclose(respond(other, windy).seconds_to_draft, respond(calm, windy).seconds_to_draft, atol=1e-9)


@pytest.mark.parametrize("path", DEMOS, ids=lambda p: p.stem)
def test_a_reversed_start_is_a_steady_state_and_never_helps(path: Path) -> None:
    """Twenty more steps change the sign in hardly one of a hundred; a warm vent knows no reversed start; none spills shorter."""
    c = read_case(path)
    state = draw(c, 512, 2)
    worst = conditions.worst_case(c, state)
    risen, fallen = (
        replace(state, vent=replace(state.vent, starts_reversed=np.full(512, flag))) for flag in (0.0, 1.0)
    )
    scene = scene_of(state, worst, *worse_link(state, worst))
    up, down = idle_of(risen, scene, worst), idle_of(fallen, scene, worst)
    both = (up.flow_kg_s > 0.0) & (down.flow_kg_s < 0.0)
    boundary, flow = scene.boundary(), down.flow_kg_s
    for _ in range(20):
        gas = startup._downward(scene.vent, np.maximum(-flow, 1e-7), scene.outdoor_k)
        flow, _ = boundary(vent.flow_coefficient(scene.vent, gas), vent.stack_pa(scene.vent, gas, scene.outdoor_k))
    assert np.sum(both & (flow >= 0.0)) <= 0.01 * both.size
    longer_up = respond(risen, worst, fine=True).seconds_to_draft > respond(fallen, worst, fine=True).seconds_to_draft
    assert np.mean(longer_up) <= 0.005
    warm = replace(worst, vent_warm=True)
    np.testing.assert_array_equal(respond(risen, warm).seconds_to_draft, respond(fallen, warm).seconds_to_draft)
    for flagged in (risen, fallen):  # everything that asks for the idle vent agrees
        np.testing.assert_allclose(
            -zone_pressure_pa(flagged, worst), respond(flagged, worst).zone_depressurization_pa, atol=1e-9
        )


def spread(values: np.ndarray, weight: np.ndarray) -> tuple[float, float]:
    order = np.argsort(values)
    low, high = np.interp((0.05, 0.95), np.cumsum(weight[order]), values[order])
    return float(low), float(high)


UNKNOWN = {
    "exhaust": {"exhaust": []},
    "supply": {"supply": []},
    "air_handler": {"air_handler": {"present": False}},
    "shared": {"vent": {"shared": False}},
}


@pytest.mark.parametrize("name", UNKNOWN)
def test_what_nobody_wrote_down_widens_the_ensemble(name: str) -> None:
    """Not known beside a plain "there is none": a wider 90 % band of what it acts on, and no fewer that spill."""
    plain = {key: value for known in UNKNOWN.values() for key, value in known.items()}
    known = case(**plain)
    unknown = case(**{key: value for key, value in plain.items() if key not in UNKNOWN[name]})
    bands, shares = [], []
    for c in (known, unknown):
        state = draw(c, 2048, 3)
        worst = conditions.worst_case(c, state)
        if name == "supply":  # it lifts the zone while a run is made, and is off in the worst case
            worst = replace(worst, net_supply_off=False)
        answer = respond(state, worst)
        seen = state.vent.dilution_ratio if name == "shared" else answer.zone_depressurization_pa
        bands.append(spread(seen, weights(state)))
        shares.append(float(weights(state) @ answer.spills_beyond(300.0)))
    (low, high), (wide_low, wide_high) = bands
    assert wide_high - wide_low > high - low
    if name != "supply":
        assert wide_high >= high
        assert shares[1] >= shares[0]


def test_usual_devices_are_off_only_where_the_run_says_so() -> None:
    c = case(run=[{"seen": "drafting", "devices_on": ["all"]}, {"seen": "spilling"}, {"seen": "drafting"}])
    state = draw(c, 64, 1)
    assert all(d.assumed and d.counts_in_worst_case for d in state.devices)
    on = [conditions.of_run(c, state.devices, run) for run in c.run]
    # written down, or a failure that is to tell as little as it may: on; a pass that is to tell as little: off
    assert [all(condition.devices_on) for condition in on] == [True, True, False]
    assert [condition.unlisted_on for condition in on] == [True, True, False]
    assert all(conditions.worst_case(c, state).devices_on)
    none = case(exhaust=[])
    assert draw(none, 64, 1).devices == ()


def test_the_worst_case_takes_no_help_from_supply_air() -> None:
    """ansi-bpi-1200 (second-hand): unbalanced supply is off; one that takes out more than it brings in stays on."""
    for net, effect in ((60.0, 0.0), (-60.0, 60.0)):
        supply = {"name": "ventilator", "kind": "balanced ventilator"}
        supply |= {"supply_cfm": 100.0 + min(net, 0.0), "exhaust_cfm": 100.0 - max(net, 0.0)}
        with_it, without = case(supply=[supply]), case(supply=[])
        pressures = []
        for c in (with_it, without):
            state = draw(c, 128, 1)
            pressures.append(zone_pressure_pa(state, conditions.worst_case(c, state)))
        if effect:
            assert np.all(pressures[0] < pressures[1])
        else:
            np.testing.assert_allclose(pressures[0], pressures[1], atol=1e-9)
