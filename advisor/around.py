"""What stands around a command: the day, the code edition and local rules in force, a word that work goes on."""

from __future__ import annotations

import datetime
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path


def today() -> datetime.date:
    """Return the day: no room below the commands looks at a clock."""
    return datetime.date.today()


@contextmanager
def rules_in_force(local: Path | None, edition: str) -> Iterator[None]:
    """Put a code edition, and the user's local amendments of it, in force."""
    from advisor.catalog import amended
    from advisor.editions import in_edition

    with in_edition(edition):
        if local is None:
            yield
            return
        from advisor.case.local_rules import read_amendments

        with amended(read_amendments(local)):
            yield


@contextmanager
def progress(words: str) -> Iterator[None]:
    """Say on stderr that work goes on, only after a second and only to a terminal."""
    if not sys.stderr.isatty():
        yield
        return
    import threading

    timer = threading.Timer(1.0, lambda: print(words, file=sys.stderr, flush=True))
    timer.daemon = True
    timer.start()
    try:
        yield
    finally:
        timer.cancel()
