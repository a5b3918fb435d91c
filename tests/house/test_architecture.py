"""The house rules that a machine can check: imports only downwards, light start, short modules, words that stay out."""

from __future__ import annotations

import ast
import importlib
import subprocess
import sys
import types
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "advisor"
MODULES = sorted(PACKAGE.rglob("*.py"))

FLOORS = {
    "units": 0,
    "catalog": 0,
    "catalog_files": 0,
    "editions": 0,
    "errors": 0,
    "findings": 0,
    "rows": 0,
    "physics": 1,
    "codes": 2,
    "case": 3,
    "facts": 4,
    "ensemble": 5,
    "evidence": 6,
    "money": 6,
    "risk": 6,
    "remedies": 6,
    "review": 6,
    "ranking": 7,
    "advice": 8,
    "case_check": 8,
    "wording": 9,
    "report": 10,
    "interview": 11,
    "new_case": 11,
    "web": 11,
    "cli": 11,
    "around": 11,
    "__main__": 11,
    "__init__": 11,  # the package's front: it hands out what others import
    "__version__": 0,
}
SIDEWAYS = {
    ("remedies", "money"),
    ("review", "remedies"),
    ("catalog", "errors"),
    ("catalog", "catalog_files"),
    ("catalog", "editions"),
    ("catalog_files", "errors"),
    ("editions", "catalog_files"),
    ("editions", "errors"),
    ("catalog", "rows"),
    ("rows", "errors"),
    ("cli", "new_case"),
    ("cli", "around"),
    ("new_case", "interview"),
    ("cli", "web"),
}
"""Neighbours on one floor that may be used; never in both directions."""

HEAVY = {
    "pandas",
    "scipy",
    "sklearn",
    "tabulate",
    "jinja2",
    "weasyprint",
    "xlsxwriter",
    "matplotlib",
    "fastapi",
    "joblib",
    "babel",
}
PHYSICS_MAY_IMPORT = {
    *("__future__", "advisor", "collections", "dataclasses", "functools", "math", "numpy", "typing"),
}
LONGEST_MODULE = 500


def room(path: Path) -> str:
    """Return the room of a module: the first name below the package."""
    parts = path.relative_to(PACKAGE).with_suffix("").parts
    return parts[0]


def imports(tree: ast.AST) -> Iterator[str]:
    """Return every module that is imported anywhere, in full."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, "relative import"
            base = node.module or ""
            if base == "advisor":
                yield from (f"advisor.{alias.name}" for alias in node.names)
            else:
                yield base


def at_module_level(tree: ast.Module) -> Iterator[ast.stmt]:
    """Return the statements that run when a module is imported, without ``if TYPE_CHECKING``."""
    waiting: list[ast.stmt] = list(tree.body)
    while waiting:
        node = waiting.pop()
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            continue
        if isinstance(node, ast.If) and "TYPE_CHECKING" in ast.unparse(node.test):
            waiting += node.orelse
            continue
        yield node
        waiting += [child for child in ast.iter_child_nodes(node) if isinstance(child, ast.stmt)]


def parsed(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(PACKAGE)))
def test_imports_go_downwards(path: Path) -> None:
    own = room(path)
    assert own in FLOORS, f"room '{own}' has no floor: add it to the table here and in DEVELOPERS.md"
    for name in imports(parsed(path)):
        if not name.startswith("advisor."):
            continue
        other = name.split(".")[1]
        assert other in FLOORS, f"{name} has no floor"
        if other == own or own == "__init__":
            continue
        down = FLOORS[other] < FLOORS[own]
        assert down or (own, other) in SIDEWAYS, f"{path.name}: {own} may not import {name}"


def module_name(path: Path) -> str:
    """Return the name under which a module is imported."""
    parts = path.relative_to(ROOT).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def imported_modules(tree: ast.AST, known: set[str]) -> Iterator[str]:
    """Return every module of the package that is imported anywhere, ``if TYPE_CHECKING`` and functions included."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            base = node.module or ""
            yield from (full if (full := f"{base}.{alias.name}") in known else base for alias in node.names)


def circles(graph: dict[str, set[str]]) -> list[str]:
    """Return the modules that stand in a circle of imports or lead to one: all others can be taken away one by one."""
    left = {name: set(others) for name, others in graph.items()}
    while ends := {name for name, others in left.items() if not others & left.keys()}:
        left = {name: others for name, others in left.items() if name not in ends}
    return sorted(left)


def test_no_module_imports_itself_in_a_circle() -> None:
    trees = {module_name(path): parsed(path) for path in MODULES}
    graph = {name: set(imported_modules(tree, set(trees))) for name, tree in trees.items()}
    assert circles(graph) == []
    # a circle through a module that is only imported for its types counts too
    found = "if TYPE_CHECKING:\n    from advisor.a import b"
    assert circles({"advisor.a": {"advisor.c"}, "advisor.c": set(imported_modules(ast.parse(found), {"advisor.a"}))})


def test_neighbours_use_each_other_one_way_only() -> None:
    for own, other in SIDEWAYS:
        assert FLOORS[own] == FLOORS[other]
        assert (other, own) not in SIDEWAYS


def test_ranking_stands_above_what_it_ranks() -> None:
    assert all(FLOORS["ranking"] > FLOORS[name] for name in ("remedies", "review", "evidence", "money", "risk"))
    assert FLOORS["report"] > FLOORS["wording"] > FLOORS["advice"] > FLOORS["ranking"]
    # what follows from a case stands below every simulation: the verdict of the record cannot read one
    assert FLOORS["facts"] < FLOORS["ensemble"]


WORKS_OUT = {
    *("physics", "codes", "facts", "ensemble", "evidence", "money", "risk", "remedies", "review", "ranking"),
}
"""Rooms that work something out: a report uses their records and ids, and calls none of their functions."""
REPORT_MAY_CALL = {
    "advisor.facts.audit.asked",  # what a condition asks for, as a finding: there is no number in it to work out
    "advisor.ranking.stresses.all_tried",  # the names of the stresses, as findings
    "advisor.ranking.stresses.stress",
}


@pytest.mark.parametrize("path", sorted((PACKAGE / "report").rglob("*.py")), ids=lambda p: str(p.relative_to(PACKAGE)))
def test_reports_compute_nothing(path: Path) -> None:
    """What a report takes from a room that works something out is a class, a type or a plain value, never a function."""
    for node in ast.walk(parsed(path)):
        if not (isinstance(node, ast.ImportFrom) and (node.module or "").startswith("advisor")):
            continue
        base = str(node.module)
        for alias in node.names:
            name = f"{base}.{alias.name}"
            if name.split(".")[1] not in WORKS_OUT or name in REPORT_MAY_CALL:
                continue
            found = getattr(importlib.import_module(base), alias.name)
            assert not isinstance(found, types.FunctionType | types.ModuleType), f"{path.name}: calls {name}"
            assert not hasattr(found, "__wrapped__"), f"{path.name}: calls {name}"


def test_exceptions_of_reports_are_used() -> None:
    used = {
        f"{node.module}.{alias.name}"
        for path in (PACKAGE / "report").rglob("*.py")
        for node in ast.walk(parsed(path))
        if isinstance(node, ast.ImportFrom)
        for alias in node.names
    }
    assert used >= REPORT_MAY_CALL


def test_reports_hold_no_pattern_that_turns_finished_text() -> None:
    """Numbers are said once, for their reader: no regular expression goes over a text afterwards."""
    for path in (PACKAGE / "report").rglob("*.py"):
        assert "re" not in set(imports(parsed(path))), path.name


@pytest.mark.parametrize("path", sorted((PACKAGE / "physics").glob("*.py")), ids=lambda p: p.stem)
def test_physics_knows_numpy_and_units_only(path: Path) -> None:
    for name in imports(parsed(path)):
        assert name.split(".")[0] in PHYSICS_MAY_IMPORT, name
        if name.startswith("advisor."):
            assert name.split(".")[1] in ("physics", "units"), name


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(PACKAGE)))
def test_no_heavy_module_at_module_level(path: Path) -> None:
    banned = HEAVY | ({"numpy"} if path.name == "cli.py" else set())
    for node in at_module_level(parsed(path)):
        if isinstance(node, ast.Import | ast.ImportFrom):
            for name in imports(node):
                assert name.split(".")[0] not in banned, f"{path.name} line {node.lineno}: {name}"


def test_start_of_the_command_line_loads_nothing_heavy() -> None:
    """What really gets loaded, indirect imports included."""
    names = sorted(HEAVY | {"numpy"})
    code = f"import sys, advisor.cli; print([n for n in {names} if n in sys.modules])"
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True, timeout=60
    )
    assert done.stdout.strip() == "[]"


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(PACKAGE)))
def test_modules_stay_short(path: Path) -> None:
    assert len(path.read_text(encoding="utf-8").splitlines()) < LONGEST_MODULE


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(PACKAGE)))
def test_every_public_thing_says_what_it_is(path: Path) -> None:
    """A docstring for every module, public class and public function at module level."""
    tree = parsed(path)
    assert ast.get_docstring(tree), path.name
    for node in tree.body:
        if isinstance(node, ast.FunctionDef | ast.ClassDef) and not node.name.startswith("_"):
            assert ast.get_docstring(node), f"{path.name}: {node.name}"


# ---- words and pointers that stay out of the project; put together here so that this file holds none of them

FORBIDDEN = tuple(
    "".join(parts)
    for parts in (
        ("seed ", "document"),
        ("trans", "cript"),
        ("vid", "eo"),
        ("the rec", "ording"),
        ("../sha", "red"),
        ("/work/", "sha", "red"),
        ("py", "pi", ".org"),
        ("pythonhosted", ".org"),
        ("npm", "js", ".org"),
    )
)
TEXT = {".py", ".md", ".toml", ".csv", ".yml", ".yaml", ".txt", ".json", ".html", ".jinja", ".cfg", ".js", ".css"}
SKIP = {
    ".git",
    ".venv",
    "dist",
    "build",
    "__pycache__",
    ".hypothesis",
    ".mypy_cache",
    ".ruff_cache",
    ".pytest_cache",
    "node_modules",
}


def project_files() -> list[Path]:
    return [
        path
        for path in ROOT.rglob("*")
        if path.is_file() and path.suffix in TEXT and not SKIP & set(path.relative_to(ROOT).parts)
    ]


def test_forbidden_words_and_pointers() -> None:
    files = project_files()
    assert len(files) > 100
    found = [
        f"{path.relative_to(ROOT)}: {word}"
        for path in files
        for text in [path.read_text(encoding="utf-8").lower()]
        for word in FORBIDDEN
        if word in text
    ]
    assert not found
