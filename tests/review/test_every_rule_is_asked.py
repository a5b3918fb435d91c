"""Every public function of the codes is asked by a command, or is excused in `uncalled_rules.csv` with its reason.

Who calls whom is read from the source (`reach`).
"""

from __future__ import annotations

import ast
from functools import cache

import pytest
from reach import definitions, reached, trees

from advisor import catalog


@cache
def rules() -> dict[str, bool]:
    """Every public function of the codes by its id `module.function`, and whether a command comes to it."""
    asked = reached(trees())
    found = {}
    for module, tree in trees().items():
        if module.startswith("advisor.codes."):
            for name, node in definitions(tree).items():
                if isinstance(node, ast.FunctionDef) and not name.startswith("_"):
                    found[f"{module.rsplit('.', 1)[1]}.{name}"] = (module, name) in asked
    return found


def excused() -> dict[str, str]:
    return {row["id"]: row["reason"] for row in catalog.table("uncalled_rules")}


def test_every_rule_is_asked_or_excused() -> None:
    assert len([name for name in rules() if ".check_" in name]) > 30
    forgotten = sorted(name for name, asked in rules().items() if not asked and name not in excused())
    assert not forgotten, "no command asks these rules: connect them in advisor/review, or say why not"


@pytest.mark.parametrize("name", sorted(excused()))
def test_what_is_excused_exists_and_is_asked_nowhere(name: str) -> None:
    assert name in rules(), "there is no such function any more"
    assert not rules()[name], "a command asks it: take it out of the table"
    assert len(excused()[name].split()) >= 5, "say why"


def test_the_walk_follows_imports_tables_and_attributes() -> None:
    """A small program whose answer is known by hand."""
    modules = {
        "advisor.cli": ast.parse("def run():\n    from advisor.mid import go\n    return go()\n"),
        "advisor.mid": ast.parse(
            "from advisor import low\nfrom advisor.low import plain\nTABLE = (plain,)\n"
            "def go():\n    return low.named() + TABLE[0]()\ndef idle():\n    return low.unasked()\n"
        ),
        "advisor.low": ast.parse(
            "def named():\n    return inner()\ndef inner(): ...\ndef plain(): ...\ndef unasked(): ...\n"
        ),
        "advisor": ast.parse(""),
    }
    functions = {name for _, name in reached(modules)}
    assert {"run", "go", "named", "inner", "plain"} <= functions
    assert not {"idle", "unasked"} & functions
