"""Makes what is generated in docs/: run ``python tests/docs_build.py``, or call `refresh`.

Three kinds of marks in a page, each an HTML comment:

- ``run: COMMAND`` before a fenced block: the command is run in a copy of docs/examples, the block shows what it prints.
  ``from: WORDS`` and ``until: WORDS`` on lines of their own cut the output; ``until`` is not shown.
- ``file: NAME`` before a fenced block: the block shows that file of docs/examples, cut in the same way.
- ``generated: NAME`` up to ``end``: a part of `docs_reference`.
"""

from __future__ import annotations

import contextlib
import os
import re
import shlex
import shutil
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import docs_reference
from docs_reference import DOCS
from typer.testing import CliRunner

EXAMPLES = DOCS / "examples"
COLUMNS = 92
CUT = "[...]"
BLOCK = re.compile(r"<!-- (run|file): (.+?) -->\n(`{3})(\w*)\n.*?^`{3}$", re.DOTALL | re.MULTILINE)
REGION = re.compile(r"<!-- generated: (.+?) -->\n.*?<!-- end -->", re.DOTALL)
SAME_DATA = re.compile(r"\bdata [0-9a-f]{12}\b")

_worked: dict[tuple[str, ...], Any] = {}


def pages() -> list[Path]:
    """Return every page of docs/."""
    return sorted(DOCS.glob("*.md"))


@contextlib.contextmanager
def _one_working() -> Iterator[None]:
    """Let commands on the same case share one working of the advice: it takes two seconds each time."""
    from advisor import advice, catalog

    real: Callable[..., Any] = advice.advise

    def shared(case: Any, *args: Any) -> Any:
        key = (case.model_dump_json(), repr(args), repr(catalog.amendments()))
        if key not in _worked:
            _worked[key] = real(case, *args)
        return _worked[key]

    advice.advise = shared
    try:
        yield
    finally:
        advice.advise = real


@contextlib.contextmanager
def _copy_of_examples() -> Iterator[None]:
    with tempfile.TemporaryDirectory() as place:
        for path in EXAMPLES.iterdir():
            if path.is_file():
                shutil.copy(path, place)
        with contextlib.chdir(place):
            yield


def output_of(command: str) -> str:
    """Return what a command prints, errors included, in a copy of the examples.

    Raises
    ------
    RuntimeError
        If the command ends with an unexpected error.
    """
    from advisor import cli

    program, *args = shlex.split(command)
    assert program == "advisor", command
    before = os.environ.get("COLUMNS")
    os.environ["COLUMNS"] = str(COLUMNS)
    try:
        with _one_working(), _copy_of_examples():
            result = CliRunner().invoke(cli.app, args)
    finally:
        os.environ.pop("COLUMNS", None)
        if before is not None:
            os.environ["COLUMNS"] = before
    if result.exception and not isinstance(result.exception, SystemExit):
        raise RuntimeError(f"{command}: {result.exception!r}")
    return result.output


def cut(text: str, start: str, stop: str, where: str) -> str:
    """Return the lines from the first that begins with ``start`` to before the next that begins with ``stop``."""
    lines = [line.rstrip() for line in text.rstrip().splitlines()]
    first = _place(lines, start, 0, where) if start else 0
    last = _place(lines, stop, first + 1, where) if stop else len(lines)
    kept = lines[first:last]
    while kept and not kept[-1]:
        kept.pop()
    return "\n".join([*([CUT] if first else []), *kept, *([CUT] if last < len(lines) else [])])


def _place(lines: list[str], words: str, after: int, where: str) -> int:
    for i in range(after, len(lines)):
        if lines[i].startswith(words):
            return i
    raise RuntimeError(f"{where}: no line begins with '{words}'; it printed:\n" + "\n".join(lines))


def _block(found: re.Match[str]) -> str:
    kind, mark, fence, language = found.groups()
    what, *rest = [line.strip() for line in mark.splitlines()]
    limits = dict(line.split(": ", 1) for line in rest)
    text = output_of(what) if kind == "run" else (EXAMPLES / what).read_text(encoding="utf-8")
    shown = cut(text, limits.get("from", ""), limits.get("until", ""), what)
    if SAME_DATA.search(shown):
        raise RuntimeError(f"{what}: shows the hash of the data, which changes with every edit of the catalog")
    head = f"$ {what}\n" if kind == "run" else ""
    return f"<!-- {kind}: {mark} -->\n{fence}{language}\n{head}{shown}\n{fence}"


def _region(found: re.Match[str]) -> str:
    name = found.group(1)
    return f"<!-- generated: {name} -->\n\n{docs_reference.REGIONS[name]()}\n\n<!-- end -->"


def built(path: Path) -> str:
    """Return a page as it should be now."""
    text = path.read_text(encoding="utf-8")
    return REGION.sub(_region, BLOCK.sub(_block, text))


def refresh() -> list[Path]:
    """Renew every page of docs/; return those that changed."""
    changed = []
    for path in pages():
        text = built(path)
        if text != path.read_text(encoding="utf-8"):
            path.write_text(text, encoding="utf-8")
            changed.append(path)
    return changed


if __name__ == "__main__":
    for page in refresh():
        print(f"renewed {page.relative_to(DOCS.parent)}")
