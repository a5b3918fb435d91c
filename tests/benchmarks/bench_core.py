"""Time of the zone solver, the march and a whole advice; run ``python tests/benchmarks/bench_core.py``.

The solver stands beside two of scipy's in the same run: nested ``brentq`` one sample at a time, and the vectorised
``scipy.optimize.elementwise.find_root`` nested the same way. Times differ between machines, ratios hardly.
Exits 1 when an answer differs or a limit is missed.
"""

from __future__ import annotations

import math
import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
from scipy import optimize

from advisor.advice import advise
from advisor.case.read import read_case
from advisor.ensemble import conditions
from advisor.ensemble.draw import draw
from advisor.ensemble.respond import respond
from advisor.ensemble.scene import scene_of
from advisor.ensemble.state import Condition, State
from advisor.physics.flow import SMOOTHING_PA
from advisor.physics.startup import Burner, idle_state, march
from advisor.physics.zones import Network, Space, imbalance, solve_zones

DEMO = Path(__file__).resolve().parent.parent.parent / "demo"
SAMPLES, FEW, SOME = 65_536, 512, 4096
REACH_PA = 500.0
FASTER_THAN_LOOP = 50.0  # times; an eighth of what was seen, so that a busy machine does not cry wolf
ADVICE_LIMIT_S = 20.0


def best_of(run: Callable[[], object], times: int = 3) -> float:
    """Return the shortest time of several runs, s."""
    found = []
    for _ in range(times):
        start = time.perf_counter()
        run()
        found.append(time.perf_counter() - start)
    return min(found)


def outflow(space: Space, i: int) -> Callable[[float], float]:
    """Return one sample's net outflow as plain Python, so that the loop is not charged for numpy on single numbers."""
    power = float(space.exponent[i])
    leaks = [(float(c), float(o)) for c, o in zip(space.leak_kg_s[:, i], space.leak_offset_pa[:, i], strict=True) if c]
    openings = [
        (float(c), float(o)) for c, o in zip(space.opening_kg_s[:, i], space.opening_offset_pa[:, i], strict=True) if c
    ]
    fan, still, stall = float(space.exhaust_kg_s[i]), float(space.constant_kg_s[i]), float(space.stall_pa[i])

    def net(pressure: float) -> float:
        total = still + fan * math.sqrt(max(1.0 + pressure / stall, 1e-4))
        for coefficient, offset in leaks:
            dp = pressure + offset
            total += coefficient * dp * (dp * dp + SMOOTHING_PA**2) ** (0.5 * (power - 1.0))
        for coefficient, offset in openings:
            dp = pressure + offset
            total += coefficient * dp * (dp * dp + SMOOTHING_PA**2) ** -0.25
        return total

    return net


def looped_brentq(network: Network) -> np.ndarray:
    """Zone pressures by nested ``brentq``, sample by sample, Pa."""
    zones = []
    for i in range(network.samples):
        house_out, zone_out = outflow(network.house, i), outflow(network.zone, i)
        link, lift = float(network.link_kg_s[0, i]), float(network.link_offset_pa[0, i])

        def through(house: float, zone: float, link: float = link, lift: float = lift) -> float:
            dp = zone - house + lift
            return link * dp * (dp * dp + SMOOTHING_PA**2) ** -0.25

        def zone_balance(zone: float, h=house_out, z=zone_out, t=through) -> float:  # type: ignore[no-untyped-def]
            house = optimize.brentq(lambda p: h(p) - t(p, zone), -REACH_PA, REACH_PA, xtol=1e-9)
            return float(z(zone) + t(house, zone))

        zones.append(optimize.brentq(zone_balance, -REACH_PA, REACH_PA, xtol=1e-9))
    return np.array(zones)


def nested_find_root(network: Network) -> np.ndarray | None:
    """Zone pressures by scipy's vectorised root finder inside itself, Pa; None where scipy is too old to have it."""
    try:
        from scipy.optimize.elementwise import find_root
    except ImportError:
        return None
    everywhere = np.arange(network.samples)
    ends = (-np.full(network.samples, REACH_PA), np.full(network.samples, REACH_PA))

    def house_at(zone: np.ndarray, index: np.ndarray) -> np.ndarray:
        def inner(house: np.ndarray, zone: np.ndarray, i: np.ndarray) -> np.ndarray:
            return imbalance(network.take(i.astype(np.intp)), house, zone)[0]

        reach = np.full(zone.shape, REACH_PA)
        return np.asarray(find_root(inner, (-reach, reach), args=(zone, index)).x)

    def outer(zone: np.ndarray, i: np.ndarray) -> np.ndarray:
        index = i.astype(np.intp)
        return imbalance(network.take(index), house_at(zone, index), zone)[1]

    return np.asarray(find_root(outer, ends, args=(everywhere,)).x)


def worst_scene(name: str, samples: int) -> tuple[State, Condition]:
    """Return a demo's situations and its worst case."""
    case = read_case(DEMO / f"{name}.toml")
    state = draw(case, samples, 1)
    return state, conditions.worst_case(case, state)


def zones() -> bool:
    """Time the zone solver against scipy and compare the answers."""
    state, worst = worst_scene("stored_insulation", SAMPLES)
    network = scene_of(state, worst, state.zone.link_closed_m2, handler_on=False).network
    own_s = best_of(lambda: solve_zones(network)) / SAMPLES
    few = network.take(slice(0, FEW))
    ours, looped = solve_zones(few).zone_pa, looped_brentq(few)
    loop_s = best_of(lambda: looped_brentq(few), 1) / FEW
    print(f"zone solve, {SAMPLES} samples        {own_s * 1e9:10.0f} ns a sample")
    print(f"nested scipy brentq loop, {FEW}       {loop_s * 1e9:10.0f} ns a sample   {loop_s / own_s:8.0f} times ours")
    good = bool(np.allclose(ours, looped, atol=1e-4))
    some = network.take(slice(0, SOME))
    vectorised = nested_find_root(some)
    if vectorised is None:
        print("scipy.optimize.elementwise.find_root: not in this scipy")
    else:
        vector_s = best_of(lambda: nested_find_root(some), 1) / SOME
        each = f"{vector_s * 1e9:10.0f} ns a sample   {vector_s / own_s:8.0f} times ours"
        print(f"nested scipy find_root, {SOME}       {each}")
        good = good and bool(np.allclose(solve_zones(some).zone_pa, vectorised, atol=1e-3))
    print(f"answers agree: {good}; loop is {loop_s / own_s:.0f} times slower (at least {FASTER_THAN_LOOP:.0f} wanted)")
    return good and loop_s / own_s > FASTER_THAN_LOOP


def marches() -> None:
    """Time a full march, and `respond` with its shortcuts, for each demo."""
    print(f"\n{'worst case, ' + str(SOME) + ' samples':32} full march      respond")
    for path in sorted(DEMO.glob("*.toml")):
        state, worst = worst_scene(path.stem, SOME)
        scene = scene_of(state, worst, state.zone.link_closed_m2, handler_on=False)
        fire = Burner(
            state.burner.products_kg_s,
            state.burner.products_k,
            scene.zone_k,
            scene.outdoor_k,
            state.burner.plume_pa,
            state.burner.prompt_share,
            state.burner.lag_s,
        )
        idle = idle_state(scene.vent, scene.zone_k, scene.outdoor_k, scene.boundary(), state.burner.idle_heat_w)
        full_s = best_of(lambda s=scene, f=fire, i=idle: march(s.vent, f, i, s.boundary()))  # type: ignore[misc]
        quick_s = best_of(lambda s=state, w=worst: respond(s, w))  # type: ignore[misc]
        print(f"{path.stem:32} {full_s * 1e3:7.1f} ms   {quick_s * 1e3:7.1f} ms")


def advice() -> bool:
    """Time a whole advice on each demo; the slowest counts."""
    times = {}
    for path in sorted(DEMO.glob("*.toml")):
        case = read_case(path)
        times[path.stem] = best_of(lambda c=case: advise(c), 1)  # type: ignore[misc]
    name = max(times, key=lambda key: times[key])
    print(f"\nwhole advice, {SOME} samples: " + ", ".join(f"{key} {value:.2f} s" for key, value in times.items()))
    print(f"slowest: {name}, {times[name]:.2f} s (limit {ADVICE_LIMIT_S:.0f} s)")
    return times[name] < ADVICE_LIMIT_S


def main() -> int:
    """Print all times and return the exit code."""
    solved = zones()
    marches()
    return 0 if advice() and solved else 1


if __name__ == "__main__":
    sys.exit(main())
