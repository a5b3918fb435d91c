"""Pressures of house and zone: two solvers and a reference library against each other, published elements, properties.

Published and exact checks carry the ids of the fact base and the source id of ``catalog/sources.toml``; what is
compared with ``scipy`` is compared with an independent root finder, not with ourselves.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import optimize
from scipy.stats import qmc

from advisor import units
from advisor.case.read import read_case
from advisor.ensemble import conditions
from advisor.ensemble.draw import draw
from advisor.ensemble.scene import scene_of
from advisor.physics import flow
from advisor.physics.zones import Network, Packed, Space, imbalance, newton, solve_zones

DEMOS = sorted((Path(__file__).parents[2] / "demo").glob("*.toml"))
DENSITY = 1.2041  # kg/m3, dry air at 20 C; CC-18 states it
NEVER_STALLS_PA = 1e12


def space(leak=0.0, exponent=0.65, opening=0.0, exhaust=0.0, constant=0.0, stall=NEVER_STALLS_PA, offset=0.0) -> Space:
    """Return a space of one sample with one leak and one opening; flows in kg/s at 1 Pa."""
    one = np.ones(1)
    return Space(
        leak * np.ones((1, 1)),
        np.zeros((1, 1)),
        exponent * one,
        opening * np.ones((1, 1)),
        offset * np.ones((1, 1)),
        exhaust * one,
        constant * one,
        stall * one,
    )


def network(house: Space, zone: Space, link: float = 10.0) -> Network:
    """Return two spaces with one link, without stack."""
    return Network(house, zone, np.full((1, 1), link), np.zeros((1, 1)))


def cloud(samples: int, seed: int) -> Network:
    """Return random networks from a scrambled Sobol sequence: tight and leaky, fans both ways, stack, doors.

    Fans scale with the paths they blow through, so that pressures stay within some hundred pascal, far from the
    bracket's end.
    """
    u = iter(qmc.Sobol(25, scramble=True, seed=seed).random(samples).T)

    def log(low: float, high: float) -> np.ndarray:
        return np.exp(np.log(low) + next(u) * np.log(high / low))

    def plain(low: float, high: float) -> np.ndarray:
        return low + next(u) * (high - low)

    def one(leaks: int, smallest: float, largest: float, path: np.ndarray | float) -> Space:
        leak = np.stack([log(smallest, largest) for _ in range(leaks)])
        opening = log(1e-6, largest)[None]
        path = path + leak.sum(axis=0)
        return Space(
            leak,
            np.stack([plain(-6.0, 6.0) for _ in range(leaks)]),
            plain(0.5, 0.9),
            opening,
            plain(-6.0, 6.0)[None],
            path * log(1e-3, 10.0),
            path * plain(-8.0, 8.0),
            plain(50.0, 150.0),
        )

    link = log(1e-5, 3.0)
    return Network(
        one(3, 1e-3, 0.3, 0.0), one(1, 1e-6, 0.05, np.minimum(link, 0.05)), link[None], plain(-1.0, 1.0)[None]
    )


def flow50(cfm50: float) -> float:
    """Return the leak at 1 Pa, kg/s, of a house with a known leakage at 50 Pa and exponent 0.65."""
    return cfm50 * units.M3_S_PER_CFM * DENSITY / 50.0**0.65


def depressurization(cfm50: float, exhaust_cfm: float, opening_m2: float = 0.0, discharge: float = 0.61) -> float:
    """Depressurization of a house whose sealed zone hangs wide open on it, by the solver of the program, Pa."""
    opening = flow.orifice_coefficient(np.array(opening_m2), np.array(discharge), np.array(DENSITY))
    exhaust = exhaust_cfm * units.M3_S_PER_CFM * DENSITY
    solved = solve_zones(network(space(flow50(cfm50), opening=float(opening), exhaust=exhaust), space()))
    assert solved.house_pa == pytest.approx(solved.zone_pa, abs=1e-6)
    return -float(solved.house_pa[0])


# ---- published and exact cases


@pytest.mark.parametrize(("pressure_pa", "m3_s"), [(1, 0.008377), (4, 0.016754), (10, 0.026491), (50, 0.059236)])
def test_orifice_cc_18(pressure_pa: float, m3_s: float) -> None:
    """CC-18, buildings-lib orifice: 0.01 m2, Cd 0.65, density 1.2041; 0.1 %. The fan's flow gives back the pressure."""
    coefficient = flow.orifice_coefficient(np.array([0.01]), np.array([0.65]), np.array([DENSITY]))
    direct, _ = flow.orifice_flow(coefficient, np.array([float(pressure_pa)]))
    assert direct / DENSITY == pytest.approx(m3_s, rel=1e-3)
    solved = solve_zones(network(space(opening=float(coefficient[0]), constant=m3_s * DENSITY), space()))
    assert -solved.house_pa[0] == pytest.approx(pressure_pa, rel=2e-3)  # pressure goes with the square of the flow


@pytest.mark.parametrize(
    ("cfm50", "exhaust_cfm", "pressure_pa", "rel"),
    [
        (1500, 400, 6.54, 5e-3),  # CC-29, LIM-27, exact power law
        (1500, 200, 2.25, 5e-3),
        (1000, 400, 12.21, 5e-3),
        (231, 150, 25.7, 1e-2),  # LIM-26, own-calc: a very tight house of 18,000 ft3
    ],
)
def test_exhaust_against_leakage_cc_29(cfm50: float, exhaust_cfm: float, pressure_pa: float, rel: float) -> None:
    assert depressurization(cfm50, exhaust_cfm) == pytest.approx(pressure_pa, rel=rel)


@pytest.mark.parametrize(("share", "pressure_pa"), [(0.1234, 2.0), (0.1606, 3.0), (0.2239, 5.0)])
def test_share_of_the_leakage_that_makes_a_limit_cc_29(share: float, pressure_pa: float) -> None:
    """CC-29: exhaust as a share of CFM50 that makes 2, 3 and 5 Pa; the limits themselves are those of bpi-older."""
    assert depressurization(1500, share * 1500) == pytest.approx(pressure_pa, rel=5e-3)


@pytest.mark.parametrize(("open_ft2", "pressure_pa"), [(0, 9.22), (0.25, 6.07), (0.5, 4.23), (1, 2.33), (2, 0.98)])
def test_window_lim_25(open_ft2: float, pressure_pa: float) -> None:
    """LIM-25, own-calc: 400 cfm of exhaust, 1200 CFM50, Cd 0.61; 1 %."""
    got = depressurization(1200, 400, open_ft2 * units.M2_PER_FT2)
    assert got == pytest.approx(pressure_pa, rel=1e-2)


def test_a_handbook_stack_gives_the_neutral_level() -> None:
    """ashrae-f16-2021 eq. 24: equal leaks at floor and ceiling put the neutral level half way up."""
    stack = 1.2041 * 9.80665 * 5.0 * 20.0 / 293.15
    house = Space(
        np.full((2, 1), 0.05),
        np.array([[0.0], [stack]]),
        np.array([0.65]),
        np.zeros((1, 1)),
        np.zeros((1, 1)),
        np.zeros(1),
        np.zeros(1),
        np.full(1, 90.0),
    )
    solved = solve_zones(network(house, space()))
    assert solved.house_pa[0] == pytest.approx(-0.5 * stack, rel=1e-6)


# ---- derivative, and solvers against each other


def test_jacobian_equals_finite_differences() -> None:
    """Central differences on 512 random networks; a wrong slope would still let the damped iteration crawl home."""
    net = cloud(512, 3)
    rng = np.random.default_rng(3)
    house, zone = rng.uniform(-30, 30, 512), rng.uniform(-30, 30, 512)
    _, _, a, b, d = imbalance(net, house, zone)
    h = 1e-5
    up, down = imbalance(net, house + h, zone), imbalance(net, house - h, zone)
    np.testing.assert_allclose(a, (up[0] - down[0]) / (2 * h), rtol=2e-4, atol=1e-7)
    np.testing.assert_allclose(b, (up[1] - down[1]) / (2 * h), rtol=2e-4, atol=1e-7)
    up, down = imbalance(net, house, zone + h), imbalance(net, house, zone - h)
    np.testing.assert_allclose(b, (up[0] - down[0]) / (2 * h), rtol=2e-4, atol=1e-7)
    np.testing.assert_allclose(d, (up[1] - down[1]) / (2 * h), rtol=2e-4, atol=1e-7)


def test_the_fast_layout_is_the_same_network() -> None:
    """`Packed` rearranges the paths for speed; the plain form of `imbalance` is its check, residual and Jacobian."""
    net = cloud(256, 4)
    rng = np.random.default_rng(4)
    house, zone = rng.uniform(-30, 30, 256), rng.uniform(-30, 30, 256)
    for got, want in zip(Packed(net).imbalance(house, zone), imbalance(net, house, zone), strict=True):
        np.testing.assert_allclose(got, want, rtol=1e-10, atol=1e-14)
    index = np.array([3, 200, 17])
    part = Packed(net).take(index).imbalance(house[index], zone[index])
    for got, want in zip(part, imbalance(net, house, zone), strict=True):
        np.testing.assert_allclose(got, want[index], rtol=1e-10, atol=1e-14)


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_newton_equals_bracketing(seed: int) -> None:
    net = cloud(1024, seed)
    fast, slow = solve_zones(net), solve_zones(net, method="bracketing")
    assert fast.residual_kg_s.max() < 1e-8
    # 1e-9 kg/s through the crack of a sealed closet (1e-5 kg/s at 1 Pa) is 1e-4 Pa
    np.testing.assert_allclose(fast.house_pa, slow.house_pa, atol=1e-4, rtol=1e-6)
    np.testing.assert_allclose(fast.zone_pa, slow.zone_pa, atol=1e-4, rtol=1e-6)


def test_newton_equals_scipy() -> None:
    """Nested ``brentq`` and the hybrid Powell method of ``scipy.optimize.root``, one network at a time."""
    net = cloud(32, 11)
    solved = solve_zones(net)
    for i in range(net.samples):
        single = net.take(slice(i, i + 1))

        def balance(house: float, zone: float, single=single) -> tuple[float, float]:
            first, second, *_ = imbalance(single, np.array([house]), np.array([zone]))
            return float(first[0]), float(second[0])

        def house_at(zone: float, balance=balance) -> float:
            return float(optimize.brentq(lambda h: balance(h, zone)[0], -5000, 5000, xtol=1e-11))

        zone = optimize.brentq(lambda z, b=balance, h=house_at: b(h(z), z)[1], -5000, 5000, xtol=1e-11)
        assert solved.zone_pa[i] == pytest.approx(zone, abs=2e-5, rel=1e-6)
        assert solved.house_pa[i] == pytest.approx(house_at(zone), abs=2e-5, rel=1e-6)
        start = [solved.house_pa[i] + 1.0, solved.zone_pa[i] - 1.0]
        powell = optimize.root(lambda p, b=balance: b(p[0], p[1]), start, tol=1e-12)
        if powell.success:
            assert powell.x == pytest.approx([solved.house_pa[i], solved.zone_pa[i]], abs=1e-4, rel=1e-5)


@pytest.mark.parametrize("seed", [5, 6])
def test_residual_of_a_whole_cloud(seed: int) -> None:
    """Every one of 4096 random networks balances within 1e-8 kg/s, and Newton alone finishes nearly all of them."""
    net = cloud(4096, seed)
    solved = solve_zones(net)
    assert solved.residual_kg_s.max() < 1e-8
    house, zone, *_ = imbalance(net, solved.house_pa, solved.zone_pa)
    assert np.abs(house).max() < 1e-8
    assert np.abs(zone).max() < 1e-8
    start = np.zeros(net.samples)
    alone = newton(Packed(net), start, start)
    assert np.mean(alone.residual_kg_s < 1e-8) > 0.99


@pytest.mark.parametrize("path", DEMOS, ids=lambda p: p.stem)
def test_residual_of_the_demo_networks(path: Path) -> None:
    case = read_case(path)
    state = draw(case, 1024, 1)
    worst = conditions.worst_case(case, state)
    for condition in (worst, *conditions.stresses(case, state).values()):
        net = scene_of(state, condition, state.zone.link_closed_m2, handler_on=True).network
        solved = solve_zones(net)
        assert solved.residual_kg_s.max() < 1e-8
        other = solve_zones(net.take(slice(0, 64)), method="bracketing")
        np.testing.assert_allclose(solved.zone_pa[:64], other.zone_pa, atol=1e-4)


def test_blocks_do_not_change_the_answer() -> None:
    """More samples than one block: the pieces are put together in order."""
    net = cloud(8192, 9)
    whole = solve_zones(net)
    tail = solve_zones(net.take(slice(5000, 5100)))
    np.testing.assert_allclose(whole.house_pa[5000:5100], tail.house_pa, atol=1e-7)


# ---- hard corners


def test_sealed_zone_takes_the_pressure_of_the_house() -> None:
    house = space(flow50(1500), exhaust=400 * units.M3_S_PER_CFM * DENSITY)
    solved = solve_zones(network(house, space(), link=1e-6))
    assert solved.zone_pa[0] == pytest.approx(-6.54, rel=5e-3)
    assert solved.residual_kg_s[0] < 1e-8


def test_no_stack_no_wind_no_fan_means_no_pressure() -> None:
    solved = solve_zones(network(space(0.1, opening=0.05), space(0.01, opening=0.02)))
    assert solved.house_pa[0] == pytest.approx(0.0, abs=1e-9)
    assert solved.zone_pa[0] == pytest.approx(0.0, abs=1e-9)


def test_zone_cut_off_from_the_house_hangs_on_outdoors() -> None:
    """A closet with its own opening and a sealed door does not feel the fans of the house."""
    house = space(flow50(800), exhaust=0.3)
    solved = solve_zones(network(house, space(opening=0.03), link=1e-9))
    assert solved.house_pa[0] < -10.0
    assert abs(solved.zone_pa[0]) < 1e-3


def test_supply_fan_pressurizes() -> None:
    solved = solve_zones(network(space(flow50(1500), constant=-400 * units.M3_S_PER_CFM * DENSITY), space()))
    assert solved.house_pa[0] == pytest.approx(6.54, rel=5e-3)


def test_unknown_method_is_refused() -> None:
    with pytest.raises(ValueError, match="bisect"):
        solve_zones(network(space(0.1), space(0.1)), method="bisect")


# ---- elements


@given(st.floats(0.5, 1.0), st.floats(-200.0, 200.0), st.floats(1e-4, 1.0))
def test_power_law_is_odd_monotone_and_near_the_plain_power(exponent: float, dp: float, coefficient: float) -> None:
    c, n, p = np.array([coefficient]), np.array([exponent]), np.array([dp])
    value, slope = flow.power_law_flow(c, n, p)
    back, _ = flow.power_law_flow(c, n, -p)
    assert value == pytest.approx(-back)
    assert slope[0] > 0.0
    if abs(dp) > 0.5:
        assert value[0] == pytest.approx(np.sign(dp) * coefficient * abs(dp) ** exponent, rel=2e-4)


@given(st.floats(-300.0, 300.0))
def test_orifice_is_the_power_law_with_one_half(dp: float) -> None:
    c, p = np.array([0.7]), np.array([dp])
    for got, want in zip(flow.orifice_flow(c, p), flow.power_law_flow(c, np.array([0.5]), p), strict=True):
        assert got[0] == pytest.approx(float(want[0]), rel=1e-12, abs=1e-15)


@given(st.floats(-200.0, 60.0))
def test_fan_curve(pressure_pa: float) -> None:
    """trade-practice: Q0 (1 - dp/p0)^0.5, p0 60 to 120 Pa; full flow at no pressure, nearly none beyond the stall."""
    full, stall, p = np.array(0.1), np.array(90.0), np.array(pressure_pa)
    value, slope = flow.fan_flow(full, p, stall)
    step = 1e-6
    more, _ = flow.fan_flow(full, p + step, stall)
    assert more >= value >= 0.0
    if abs(pressure_pa + 90.0) > 0.1:
        assert slope == pytest.approx(float(more - value) / step, rel=1e-3, abs=1e-9)
    if pressure_pa <= -90.0:
        assert value <= 0.011 * full
    assert flow.fan_flow(full, np.array(0.0), stall)[0] == pytest.approx(0.1)
    assert flow.fan_flow(full, np.array(-45.0), stall)[0] == pytest.approx(0.1 / np.sqrt(2.0))


def test_openings_in_series() -> None:
    """Two equal orifices in series pass 1/sqrt(2) of one; one that is shut shuts both (buildings-lib orifice)."""
    one = np.array(0.02)
    area = flow.duct_effective_area(one, np.array(2.5), np.array(0.61))
    coefficient = flow.orifice_coefficient(area, np.array(0.61), np.array(DENSITY))
    # dp = k rho v^2 / 2 at 1 Pa
    assert coefficient == pytest.approx(0.02 * np.sqrt(2.0 * DENSITY / 2.5))


# ---- properties of the whole balance

HOUSE = {
    "leak": st.floats(0.005, 0.3),
    "exponent": st.floats(0.5, 0.8),
    "zone_leak": st.floats(0.0, 0.05),
    "zone_opening": st.floats(0.0, 0.05),
    "link": st.floats(0.01, 1.0),
}


@settings(deadline=None, max_examples=60)  # what Newton leaves goes to the slow solver
@given(**HOUSE, exhaust=st.floats(0.0, 0.5), more=st.floats(1e-3, 0.2), in_zone=st.booleans())
def test_more_exhaust_never_lowers_depressurization(
    leak, exponent, zone_leak, zone_opening, link, exhaust, more, in_zone
) -> None:
    pressures = []
    for flow_kg_s in (exhaust, exhaust + more):
        house = space(leak, exponent, exhaust=0.0 if in_zone else flow_kg_s, stall=90.0)
        zone = space(zone_leak, exponent, zone_opening, exhaust=flow_kg_s if in_zone else 0.0, stall=90.0)
        pressures.append(solve_zones(network(house, zone, link)))
    less, greater = pressures
    assert greater.house_pa[0] <= less.house_pa[0] + 1e-6
    assert greater.zone_pa[0] <= less.zone_pa[0] + 1e-6


@settings(deadline=None, max_examples=60)  # what Newton leaves goes to the slow solver
@given(**HOUSE, exhaust=st.floats(1e-3, 0.5), opening=st.floats(0.0, 0.3), more=st.floats(1e-3, 0.3))
def test_bigger_opening_never_raises_depressurization(
    leak, exponent, zone_leak, zone_opening, link, exhaust, opening, more
) -> None:
    pressures = []
    for opening_kg_s in (opening, opening + more):
        house = space(leak, exponent, opening_kg_s, exhaust=exhaust, stall=90.0)
        pressures.append(solve_zones(network(house, space(zone_leak, exponent, zone_opening), link)))
    small, large = pressures
    assert large.house_pa[0] >= small.house_pa[0] - 1e-6
    assert large.zone_pa[0] >= small.zone_pa[0] - 1e-6
