"""Two halves of a work on two cores: a forked child shares the situations' memory, so nothing is copied to it."""

from __future__ import annotations

import multiprocessing
import os
import warnings
from collections.abc import Callable, Sequence
from multiprocessing.connection import Connection
from typing import Any, TypeVar

from advisor.ranking.setting import Setting

WORTH_IT = 1500
"""Situations below which a second process costs more than it saves (numerical)."""

Item = TypeVar("Item")
Result = TypeVar("Result")


def in_two(items: Sequence[Item], work: Callable[[Item], Result], worth_it: bool) -> list[Result]:
    """Do the same work on every item, every second one in a forked child where that is worth it; order is kept."""
    if not worth_it or len(items) < 2:
        return [work(item) for item in items]
    mine, other = items[::2], items[1::2]
    child = _start(lambda: [work(item) for item in other])
    done = [work(item) for item in mine]
    received: list[Result] | None = _receive(child)
    if received is None:  # the child died (no memory, say): do its half here
        received = [work(item) for item in other]
    found: list[Result] = []
    for position in range(len(items)):
        half = done if position % 2 == 0 else received
        found.append(half[position // 2])
    return found


def two_cores(setting: Setting) -> bool:
    """Return whether a second process helps: two cores, a system that forks, and enough situations."""
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else (os.cpu_count() or 1)
    return (
        cores >= 2 and setting.posterior.weight.size >= WORTH_IT and "fork" in multiprocessing.get_all_start_methods()
    )


def _start(half: Callable[[], object]) -> tuple[multiprocessing.process.BaseProcess, Connection]:
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


def _receive(child: tuple[multiprocessing.process.BaseProcess, Connection]) -> Any:
    process, receiver = child
    try:
        found = receiver.recv()
    except (EOFError, OSError):
        return None
    finally:
        receiver.close()
        process.join()
    return found
