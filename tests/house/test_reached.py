"""Nothing in the program is out of reach: what only a test uses stands among the tests, what nothing uses is gone."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
KEPT = Path(__file__).with_name("unreached.toml")
OUTPUT = ROOT / "advisor" / "report" / "data"
CONFIDENCE = 60


def unreached() -> Iterator[tuple[str, str, str]]:
    """Yield file, name and kind of everything that no other line of the program names."""
    from vulture import Vulture

    finder = Vulture()
    finder.scavenge([str(ROOT / "advisor")])
    for item in finder.get_unused_code(min_confidence=CONFIDENCE):
        yield str(Path(item.filename).resolve().relative_to(ROOT / "advisor")), item.name, item.typ


def printed() -> set[str]:
    """Return the words of the models that declare the output: a record's field of that name is read by its name alone."""
    import ast

    nodes = [n for path in OUTPUT.glob("*.py") for n in ast.walk(ast.parse(path.read_text(encoding="utf-8")))]
    own = {n.target.id for n in nodes if isinstance(n, ast.AnnAssign) and isinstance(n.target, ast.Name)}
    aliases = [n.value for n in nodes if isinstance(n, ast.keyword) and n.arg == "validation_alias"]
    return own | {n.value for n in aliases if isinstance(n, ast.Constant) and isinstance(n.value, str)}


def test_everything_is_reached() -> None:
    kept = tomllib.loads(KEPT.read_text(encoding="utf-8"))
    rooms = kept.pop("rooms")
    fields, found = printed(), set()
    for file, name, kind in unreached():
        if file.split("/")[0] not in rooms and not (kind == "variable" and name in fields):
            found.add(f"{file}:{name}")
    named = {f"{file}:{name}" for file, names in kept.items() for name in names}
    assert found - named == set(), (
        "reached by nothing: take it out, move it to the tests, or say in unreached.toml why not"
    )
    assert named - found == set(), "reached after all: take it out of unreached.toml"
    assert all(why for names in kept.values() for why in names.values())
