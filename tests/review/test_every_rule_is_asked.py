"""Every public function of the codes is asked by a command, or is excused in `uncalled_rules.csv` with its reason.

Who calls whom is read from the source: a function is reached when a function, a class or a table that is reached names it.
Nothing is run, so a rule that some branch may ask counts as asked.
"""

from __future__ import annotations

import ast
from collections import defaultdict
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest
from conftest import ROOT

from advisor import catalog

PACKAGE = ROOT / "advisor"
START = "advisor.cli"
BODY = "<body>"
"""What runs when a module is imported: tables of functions, constants."""
Node = tuple[str, str]


def module_name(path: Path) -> str:
    parts = path.relative_to(PACKAGE.parent).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


@cache
def trees() -> dict[str, ast.Module]:
    return {module_name(p): ast.parse(p.read_text(encoding="utf-8")) for p in sorted(PACKAGE.rglob("*.py"))}


def definitions(tree: ast.Module) -> dict[str, ast.stmt]:
    return {n.name: n for n in tree.body if isinstance(n, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef)}


def imported(node: ast.AST, modules: dict[str, ast.Module]) -> dict[str, Node]:
    """What each imported name stands for: a module (its body) or something that is defined in one."""
    found: dict[str, Node] = {}
    for one in ast.walk(node):
        if isinstance(one, ast.ImportFrom) and one.module and one.module.startswith("advisor"):
            for alias in one.names:
                whole = f"{one.module}.{alias.name}"
                found[alias.asname or alias.name] = (whole, BODY) if whole in modules else (one.module, alias.name)
        elif isinstance(one, ast.Import):
            for alias in one.names:
                if alias.name in modules and alias.asname:
                    found[alias.asname] = (alias.name, BODY)
    return found


def names_in(node: ast.AST) -> Iterator[tuple[str, str]]:
    """Every name that is read, and every attribute of a plain name."""
    for one in ast.walk(node):
        if isinstance(one, ast.Name):
            yield one.id, ""
        elif isinstance(one, ast.Attribute) and isinstance(one.value, ast.Name):
            yield one.value.id, one.attr


def graph(modules: dict[str, ast.Module]) -> dict[Node, set[Node]]:
    """Which node names which."""
    edges: dict[Node, set[Node]] = defaultdict(set)
    for module, tree in modules.items():
        own = definitions(tree)
        known = {name: (module, name) for name in own} | imported(tree, modules)
        assigned = {t.id for n in tree.body if isinstance(n, ast.Assign | ast.AnnAssign) for t in targets(n)}
        body = [n for n in tree.body if not isinstance(n, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef)]
        decorators = [d for n in own.values() for d in getattr(n, "decorator_list", ())]
        nodes = [((module, BODY), [*body, *decorators]), *(((module, name), [node]) for name, node in own.items())]
        for here, parts in nodes:
            for part in parts:
                if isinstance(part, ast.Import | ast.ImportFrom):
                    edges[here] |= {(target[0], BODY) for target in imported(part, modules).values()}
                    continue
                for name, attribute in names_in(part):
                    if name in assigned:
                        edges[here].add((module, BODY))
                    if name in known:
                        target = known[name]
                        edges[here].add(target)
                        edges[here].add((target[0], BODY))
                        if attribute and target[1] == BODY:
                            edges[here].add((target[0], attribute))
    return edges


def targets(node: ast.Assign | ast.AnnAssign) -> list[ast.Name]:
    found = node.targets if isinstance(node, ast.Assign) else [node.target]
    return [t for t in found if isinstance(t, ast.Name)]


def reached(modules: dict[str, ast.Module], start: str = START) -> set[Node]:
    """Every node that can be come to from the commands."""
    edges = graph(modules)
    waiting: list[Node] = [(start, BODY), *((start, name) for name in definitions(modules[start]))]
    found: set[Node] = set()
    while waiting:
        node = waiting.pop()
        if node not in found:
            found.add(node)
            waiting += edges[node]
    return found


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
