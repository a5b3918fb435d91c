"""Nothing in the program is out of reach: what only a test uses stands among the tests, what nothing uses is gone.

Two ways see it: `vulture` finds names that no other line of the program names, fields too; `reach` walks from the
commands and finds functions, classes and modules that they never come to, even where others that are lost name them.
"""

from __future__ import annotations

import ast
import tomllib
from collections.abc import Iterator
from functools import cache
from pathlib import Path

from reach import PACKAGE, Node, definitions, module_name, reached, trees

from advisor import catalog

KEPT = Path(__file__).with_name("unreached.toml")
OUTPUT = PACKAGE / "report" / "data"
CONFIDENCE = 60


@cache
def kept() -> dict[str, dict[str, str]]:
    """Return what may be out of reach: file, name, why."""
    return tomllib.loads(KEPT.read_text(encoding="utf-8"))


@cache
def excused_rules() -> frozenset[str]:
    """Return the public rules that no command asks; their reasons stand in `uncalled_rules.csv`, once."""
    return frozenset(f"codes/{row['id'].replace('.', '.py:')}" for row in catalog.table("uncalled_rules"))


def named() -> set[str]:
    """Return what `unreached.toml` names, as ``file:name``."""
    return {f"{file}:{name}" for file, names in kept().items() for name in names}


@cache
def unnamed() -> frozenset[str]:
    """Return everything that no other line of the program names; the output's fields are read by their names alone."""
    from vulture import Vulture

    finder, fields = Vulture(), printed()
    finder.scavenge([str(PACKAGE)])
    return frozenset(
        f"{Path(item.filename).resolve().relative_to(PACKAGE).as_posix()}:{item.name}"
        for item in finder.get_unused_code(min_confidence=CONFIDENCE)
        if not (item.typ == "variable" and item.name in fields)
    )


def printed() -> set[str]:
    """Return the words of the models that declare the output: a record's field of that name is read by its name alone."""
    nodes = [n for path in OUTPUT.glob("*.py") for n in ast.walk(ast.parse(path.read_text(encoding="utf-8")))]
    own = {n.target.id for n in nodes if isinstance(n, ast.AnnAssign) and isinstance(n.target, ast.Name)}
    aliases = [n.value for n in nodes if isinstance(n, ast.keyword) and n.arg == "validation_alias"]
    return own | {n.value for n in aliases if isinstance(n, ast.Constant) and isinstance(n.value, str)}


@cache
def files() -> dict[str, str]:
    """Return the file of every module, below the package."""
    return {module_name(path): path.relative_to(PACKAGE).as_posix() for path in PACKAGE.rglob("*.py")}


def nodes(names: set[str] | frozenset[str]) -> Iterator[Node]:
    """Yield the nodes of the walk that ``file:name`` stands for."""
    modules = {file: module for module, file in files().items()}
    for one in names:
        file, name = one.split(":")
        yield modules[file], name


def lost(also: set[str] | frozenset[str]) -> set[str]:
    """Return the functions and classes that neither a command nor one of `also` comes to."""
    found = reached(trees(), nodes(also))
    return {
        f"{files()[module]}:{name}"
        for module, tree in trees().items()
        for name in definitions(tree)
        if (module, name) not in found
    }


def test_everything_is_named_somewhere() -> None:
    assert unnamed() - named() - excused_rules() == set(), (
        "reached by nothing: take it out, move it to the tests, or say in unreached.toml why not"
    )


def test_everything_is_come_to_from_a_command() -> None:
    assert lost(named() | excused_rules()) == set(), (
        "no command comes to it: take it out, move it to the tests, or say in unreached.toml why not"
    )


def test_every_module_has_a_door() -> None:
    found = {module for module, _ in reached(trees(), nodes(named() | excused_rules()))}
    packages = {module for module, file in files().items() if file.endswith("__init__.py")}
    assert set(files()) - packages - found == set(), "nothing that a command comes to imports it"


def test_what_is_kept_is_out_of_reach_and_says_why() -> None:
    assert named() - unnamed() - lost(excused_rules()) == set(), "reached after all: take it out of unreached.toml"
    assert not named() & excused_rules(), "its reason stands in uncalled_rules.csv already"
    assert all(len(why.split()) >= 3 for names in kept().values() for why in names.values()), "say why"
