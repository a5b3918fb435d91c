"""Two halves of the options on two cores: a forked child shares the situations' memory, so nothing is copied to it."""

from __future__ import annotations

import multiprocessing
import os
import warnings
from collections.abc import Callable, Sequence
from multiprocessing.connection import Connection

from advisor.ensemble.state import Array
from advisor.ranking.options import Option
from advisor.ranking.worked import Setting, work_out
from advisor.remedies.base import Remedy

WORTH_IT = 1500
"""Situations below which a second process costs more than it saves (numerical)."""

Half = list[tuple[Option, dict[str, Array]]]


def work_out_all(setting: Setting, remedies: Sequence[Remedy]) -> list[Option]:
    """Work out every remedy, on two cores where that helps; the answer is the same either way."""
    # what all share is worked out before the fork, so that both halves find it ready
    _ = (setting.as_found, setting.exposure, setting.everyday)
    if not _two_cores(setting):
        return [work_out(setting, r) for r in remedies]
    mine, other = remedies[::2], remedies[1::2]
    child = _start(lambda: [(work_out(setting, r), setting.outcomes[r.id]) for r in other])
    done = {r.id: work_out(setting, r) for r in mine}
    received = _receive(child)
    for position, remedy in enumerate(other):
        if received is None:  # the child died (no memory, say): do its half here
            done[remedy.id] = work_out(setting, remedy)
            continue
        option, outcome = received[position]
        done[remedy.id] = option
        setting.outcomes[remedy.id] = outcome
        refused = remedy.eligible(setting.job)
        start = setting.posterior.state
        setting.states[remedy.id] = start if refused else remedy.alter(start, setting.job)
    return [done[r.id] for r in remedies]


def _two_cores(setting: Setting) -> bool:
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else (os.cpu_count() or 1)
    return (
        cores >= 2 and setting.posterior.weight.size >= WORTH_IT and "fork" in multiprocessing.get_all_start_methods()
    )


def _start(half: Callable[[], Half]) -> tuple[multiprocessing.process.BaseProcess, Connection]:
    context = multiprocessing.get_context("fork")
    receiver, sender = context.Pipe(duplex=False)

    def run() -> None:
        receiver.close()
        try:
            sender.send(half())
        finally:
            sender.close()

    process = context.Process(target=run, daemon=True)
    with warnings.catch_warnings():
        # newer Pythons warn of forking beside the threads of the linear-algebra library; the child uses none of them
        warnings.simplefilter("ignore", DeprecationWarning)
        process.start()
    sender.close()
    return process, receiver


def _receive(child: tuple[multiprocessing.process.BaseProcess, Connection]) -> Half | None:
    process, receiver = child
    try:
        found: Half = receiver.recv()
    except (EOFError, OSError):
        return None
    finally:
        receiver.close()
        process.join()
    return found
