"""Reads the marked parts of the README, so that tests can compare them with what really happens."""

from __future__ import annotations

from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent


def marked(name: str, file: str = "README.md") -> str:
    """Return the fenced block after ``<!-- name -->``."""
    text = (ROOT / file).read_text(encoding="utf-8")
    after = text.split(f"<!-- {name} -->", 1)[1]
    block = after.split("```", 2)[1]
    return block.split("\n", 1)[1]


def replace_marked(name: str, new: str, file: str = "README.md") -> None:
    """Write a new fenced block after ``<!-- name -->``."""
    path = ROOT / file
    text = path.read_text(encoding="utf-8")
    before, after = text.split(f"<!-- {name} -->", 1)
    head, block, rest = after.split("```", 2)
    kind = block.split("\n", 1)[0]
    path.write_text(f"{before}<!-- {name} -->{head}```{kind}\n{new.rstrip()}\n```{rest}", encoding="utf-8")
