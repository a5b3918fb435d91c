"""Where the time of `advisor rank` goes: seconds of each room for every demo, and for a record of six runs.

Run with the installed package: `python tests/benchmarks/bench_rank.py`. Numbers of one run only compare with each other.
"""

from __future__ import annotations

import cProfile
import pstats
import resource
import time
from pathlib import Path

from advisor.advice import advise
from advisor.case.read import read_case
from advisor.ranking import parallel

ROOT = Path(__file__).resolve().parents[2]
PHASES = (
    ("situations that fit the record", "infer"),
    ("causes", "causes"),
    ("options, stresses and everyday hours", "work_out_all"),
    ("bundles", "bundles"),
    ("holds-until and further stresses", "robustness"),
    ("rank shares", "rank_shares"),
    ("next tests", "tests_that_pay"),
    ("numbers of a retest", "expected_of"),
    ("air balance", "air_before_after"),
)


def main() -> None:
    """Print the phases of every demo, on one process so that the profile sees all of it; then the plain time on two."""
    paths = sorted((ROOT / "demo").glob("*.toml"))
    advise(read_case(paths[0]), samples=64)
    for path in paths:
        case = read_case(path)
        start = time.perf_counter()
        advise(case)
        plain = time.perf_counter() - start
        one, parallel.WORTH_IT = parallel.WORTH_IT, 10**9
        profile = cProfile.Profile()
        advice = profile.runcall(advise, case)
        parallel.WORTH_IT = one
        stats = pstats.Stats(profile).stats  # type: ignore[attr-defined]
        print(
            f"\n{path.stem}: {plain:.2f} s on two processes, {len(case.run)} runs, {len(advice.options)} options; profiled:"
        )
        for words, name in PHASES:
            took = max((v[3] for k, v in stats.items() if k[2] == name), default=0.0)
            print(f"  {words:<40} {took:6.2f} s")
    six = read_case(paths[0])
    six = six.model_copy(update={"run": (list(six.run) * 6)[:6]})
    start = time.perf_counter()
    advise(six)
    print(f"\nsix runs: {time.perf_counter() - start:.2f} s")
    print(f"largest memory: {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB")


if __name__ == "__main__":
    main()
