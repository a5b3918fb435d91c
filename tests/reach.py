"""Who calls whom in the program, read from its source: nothing is run.

A function is reached when a function, a class or a table that is reached names it; what some branch may ask counts as
asked.
"""

from __future__ import annotations

import ast
from collections import defaultdict
from collections.abc import Iterable, Iterator
from functools import cache
from pathlib import Path

PACKAGE = Path(__file__).resolve().parents[1] / "advisor"
START = "advisor.cli"
BODY = "<body>"
"""What runs when a module is imported: tables of functions, constants."""
Node = tuple[str, str]
"""Module and name."""


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


def reached(modules: dict[str, ast.Module], also: Iterable[Node] = ()) -> set[Node]:
    """Every node that can be come to from the commands, or from what stands there on its own account (`also`)."""
    return come_to(modules, [(START, BODY), *((START, name) for name in definitions(modules[START])), *also])


def come_to(modules: dict[str, ast.Module], start: Iterable[Node]) -> set[Node]:
    """Every node that can be come to from some of them."""
    edges = graph(modules)
    waiting = list(start)
    found: set[Node] = set()
    while waiting:
        node = waiting.pop()
        if node not in found:
            found.add(node)
            waiting += edges[node]
    return found
