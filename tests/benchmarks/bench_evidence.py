"""Print what the evidence costs: inference by number of runs, causes, next tests."""

from __future__ import annotations

import resource
import time
from pathlib import Path

from advisor.advice import advise
from advisor.case.model import Case, Run
from advisor.case.read import read_case
from advisor.ensemble.conditions import worst_case
from advisor.ensemble.question import Question
from advisor.evidence.causes import causes
from advisor.evidence.decision import Choice
from advisor.evidence.likelihood import allowed_seconds
from advisor.evidence.next_test import next_tests
from advisor.evidence.posterior import infer
from advisor.remedies import all_remedies
from advisor.remedies.base import Job

DEMO = Path(__file__).parent.parent.parent / "demo" / "stored_insulation.toml"


def six_runs() -> Case:
    """Return the demo with four more runs."""
    case = read_case(DEMO)
    worst, cleared = case.run
    more = [
        worst.model_copy(
            update={"label": "window", "window_open_ft2": 6.0, "seen": "drafting", "zone_depressurization_pa": 1.5}
        ),
        worst.model_copy(
            update={"label": "nothing on", "devices_on": [], "seen": "drafting", "zone_depressurization_pa": None}
        ),
        worst.model_copy(update={"label": "hood only", "devices_on": ["range hood"], "zone_depressurization_pa": None}),
        cleared.model_copy(update={"label": "cleared again", "draft_pa": 3.0}),
    ]
    return case.model_copy(update={"run": [worst, cleared, *[Run.model_validate(r.model_dump()) for r in more]]})


def timed(words: str, start: float) -> float:
    """Print the time since a start; return now."""
    print(f"{words:<40} {time.perf_counter() - start:6.2f} s")
    return time.perf_counter()


def main() -> None:
    """Print the times."""
    case = six_runs()
    infer(case, 256)  # imports and caches
    for count in range(7):
        clock = time.perf_counter()
        found = infer(case, runs=case.run[:count])
        timed(f"infer, {count} runs, {found.effective_samples:.0f} effective, {found.moves} moves", clock)
    posterior = infer(case)
    worst, allowed = worst_case(case, posterior.state), allowed_seconds(case)
    clock = time.perf_counter()
    causes(case, posterior)
    clock = timed("causes", clock)
    job = Job(case)
    options = [
        Choice(r.id, r.title, 100.0 * i, (lambda s, r=r: r.alter(s, job)) if r.keeps_heater else None)
        for i, r in enumerate(all_remedies())
        if not r.eligible(job)
    ]
    clock = time.perf_counter()
    next_tests(case, posterior, Question(worst, allowed), options)
    clock = timed(f"next tests, {len(options)} options", clock)
    advise(case)
    timed("whole advice", clock)
    print(f"{'largest memory':<40} {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:6.0f} MB")


if __name__ == "__main__":
    main()
