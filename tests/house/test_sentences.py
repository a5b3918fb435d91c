"""Where a sentence may stand: findings are data, messages are in ``catalog/texts``; what is left is counted, room by room."""

from __future__ import annotations

import ast
from collections import Counter
from pathlib import Path

import pytest
from conftest import ROOT

PACKAGE = ROOT / "advisor"
WORDS = 3
"""A string of so many words or more is counted as a sentence."""

IDS = {
    "outside the table: engineered design", "power vent appliance", "not on the list", "covered for the test",
    "passed, but not in a worst case", "not written down", "in the past", "does not apply", "nested too deeply",
    "new york city", "near the limit", "confirmed no hood",
}  # fmt: skip
"""Verdicts, states and names that are compared as a whole: ids, said through messages where a person reads them."""
NO_WORDS = (
    "<", "M{", "system-ui", r"{} (\w+)", r"{} \[\[", "Quantity |", "do not know", "there is none", "in per in",
    "ft3/h per", "Btu/h per",
)  # fmt: skip
"""How strings begin that are no words for people: drawings, patterns, units, and what may be typed in the interview."""

ALLOWED = {
    "case": "slips in a case file, and what its keys mean: for who writes one; the page of the case file is made from them",
    "cli.py": "help of the commands, for the command line's own help",
    "catalog.py": "slips in a name of a table",
    "errors.py": "the suggestion in a slip",
    "ensemble/properties.py": "names of the rows of a published table",
    "report/print": "what to install for a print",
    "report/data": "what a field of the output means: the schema and the page of the output are made from it",
    "report/view/firm.py": "slips in a firm file",
}
"""Rooms that may hold sentences that are no part of an advice, and why."""


def room(path: Path) -> str:
    name = str(path.relative_to(PACKAGE))
    return next((one for one in ALLOWED if name == one or name.startswith(f"{one}/")), "")


def sentences(path: Path) -> list[str]:
    """Return the strings of a module that read like a sentence: no docstrings, no messages of errors."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    left_out = _no_words_for_people(tree)
    nodes = [n for n in ast.walk(tree) if isinstance(n, ast.Constant | ast.JoinedStr) and id(n) not in left_out]
    strings = [(node.lineno, _text(node)) for node in nodes]
    return [f"{path.relative_to(PACKAGE)}:{line}: {words[:80]}" for line, words in strings if _reads_like_one(words)]


def _text(node: ast.Constant | ast.JoinedStr) -> str:
    if isinstance(node, ast.Constant):
        return node.value if isinstance(node.value, str) else ""
    return "".join(str(v.value) if isinstance(v, ast.Constant) else "{}" for v in node.values)


def _reads_like_one(words: str) -> bool:
    if words in IDS or words.startswith(NO_WORDS):
        return False
    return len([w for w in words.split() if any(c.isalpha() for c in w)]) >= WORDS


def _no_words_for_people(tree: ast.Module) -> set[int]:
    """Return the nodes of docstrings, of messages of errors, and of the pieces of a longer string."""
    left_out: set[int] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            left_out.add(id(node.value))  # a docstring
        elif isinstance(node, ast.Raise | ast.Assert):
            left_out |= {id(inner) for inner in ast.walk(node)}
        elif isinstance(node, ast.JoinedStr):
            left_out |= {id(value) for value in node.values}
    return left_out


MODULES = sorted(PACKAGE.rglob("*.py"))


@pytest.mark.parametrize("path", [p for p in MODULES if not room(p)], ids=lambda p: str(p.relative_to(PACKAGE)))
def test_no_sentence_outside_the_messages(path: Path) -> None:
    assert sentences(path) == []


def test_every_exception_is_used() -> None:
    held = Counter(room(path) for path in MODULES if sentences(path))
    assert set(ALLOWED) <= set(held), "a room that holds no sentence needs no exception"
