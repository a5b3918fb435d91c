"""Renews the shown output in README.md: run `python tests/refresh_docs.py` after a change that alters it."""

from __future__ import annotations

import docs_build
import pictures
import readme_parts

from advisor import advise, read_case
from advisor.report.text.matrix import as_text

EXCERPT_LINES = 44


def excerpt() -> str:
    """Return the top of the matrix of the README's demo case."""
    text = as_text(advise(read_case(readme_parts.ROOT / "demo" / "stored_insulation.toml")), 110)
    return "\n".join(line.rstrip() for line in text.splitlines()[:EXCERPT_LINES])


if __name__ == "__main__":
    readme_parts.replace_marked("excerpt", excerpt())
    for place, drawing in pictures.pictures().items():
        place.write_text(drawing, encoding="utf-8")
    for path in docs_build.refresh():
        print(f"renewed {path}")
