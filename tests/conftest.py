"""Shared by the tests: the demo cases and their advice, worked out once a session."""

from __future__ import annotations

import dataclasses
import functools
import os
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
DEMOS = sorted(p.stem for p in (ROOT / "demo").glob("*.toml"))
# numpy's threads only get in the way of the test workers
os.environ.setdefault("OMP_NUM_THREADS", "1")


@functools.lru_cache(maxsize=64)
def demo_advice(name: str, viewpoint: str = "homeowner", samples: int = 1024, seed: int = 1):  # type: ignore[no-untyped-def]
    """Return the advice for a demo case."""
    from advisor.advice import advise
    from advisor.case.read import read_case

    return advise(read_case(ROOT / "demo" / f"{name}.toml"), viewpoint, samples, seed)  # type: ignore[arg-type]


def few_situations(name: str, viewpoint: str = "homeowner"):  # type: ignore[no-untyped-def]
    """Return a demo's advice from few situations; another viewpoint is only named, its order stays the homeowner's."""
    return dataclasses.replace(demo_advice(name, "homeowner", 256), viewpoint=viewpoint)


@pytest.fixture(scope="session")
def advice_of():  # type: ignore[no-untyped-def]
    """Return the function that works out a demo's advice."""
    return demo_advice


@pytest.fixture(scope="session")
def command() -> str:
    """Return the installed command, beside the running interpreter."""
    return str(Path(sys.executable).parent / "advisor")


def said(words):  # type: ignore[no-untyped-def]
    """Return a finding, or several, as an English reader with US units reads them."""
    from advisor.wording.speak import say, say_all

    return say_all(words) if isinstance(words, list | tuple) else say(words)
