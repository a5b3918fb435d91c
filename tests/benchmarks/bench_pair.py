"""Is one tree slower than another? Runs of both alternate, so that what else the machine does hits both alike.

`python tests/benchmarks/bench_pair.py OLD NEW CASE [PAIRS]`: seconds of `advise` for CASE in either tree, each run in its
own process without the start of Python, and the median of the differences between neighbours.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
from pathlib import Path

PAIRS = 7
RUN = """
import os, sys, time
from pathlib import Path
from advisor.advice import advise
from advisor.case.read import read_case
case = read_case(Path(sys.argv[1]))
advise(case, samples=64)
start, before = time.perf_counter(), sum(os.times()[:4])
advise(case)
print(time.perf_counter() - start, sum(os.times()[:4]) - before)
"""


def seconds(tree: Path, case: Path) -> tuple[float, float]:
    """Return the seconds of one run of a tree, on the clock and of the processor, children included."""
    env = os.environ | {"PYTHONPATH": str(tree)}
    done = subprocess.run(
        [sys.executable, "-c", RUN, str(case)], cwd=tree, env=env, capture_output=True, text=True, check=True
    )
    clock, processor = done.stdout.split()
    return float(clock), float(processor)


def main() -> None:
    """Print each pair, and the medians."""
    old, new, case = (Path(word).resolve() for word in sys.argv[1:4])
    differences = []
    for turn in range(int(sys.argv[4]) if len(sys.argv) > 4 else PAIRS):
        # who goes first changes from pair to pair
        first, second = (old, new) if turn % 2 == 0 else (new, old)
        took = {first: seconds(first, case)}
        took[second] = seconds(second, case)
        difference = tuple(b - a for a, b in zip(took[old], took[new], strict=True))
        differences.append((*difference, *took[old]))
        print(
            f"old {took[old][0]:.2f} s ({took[old][1]:.2f} of the processor), new {took[new][0]:.2f} s ({took[new][1]:.2f})"
        )
    clock, processor, usual, usual_processor = (statistics.median(column) for column in zip(*differences, strict=True))
    print(
        f"new - old, median: {clock:+.2f} s of {usual:.2f} s on the clock, "
        f"{processor:+.2f} s of {usual_processor:.2f} s of the processor"
    )


if __name__ == "__main__":
    main()
