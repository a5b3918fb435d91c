"""The pictures of README and docs, made from a demo's advice: `python tests/refresh_docs.py` renews them."""

from __future__ import annotations

from pathlib import Path

from conftest import ROOT, demo_advice

from advisor.report.page.drawings import house_drawing
from advisor.wording.speak import say

FOLDER = ROOT / "docs" / "pictures"
BACKGROUND = '<rect width="100%" height="100%" fill="#fffdf8"/>'
"""Paper under the drawing, so that it can be read on a dark page too."""


def pictures() -> dict[Path, str]:
    """Return every picture by its path: the air of a house as found, and after its first option."""
    advice = demo_advice("stored_insulation", "homeowner", 256)
    found = {}
    for name, balance, title in (
        ("air_as_found", advice.air_before, "The air of the house as found"),
        ("air_after", advice.air_after, f"The air of the house after: {say(advice.options[0].title)}"),
    ):
        drawing = house_drawing(balance, name, title)
        head, rest = drawing.split("</desc>", 1)
        found[FOLDER / f"{name}.svg"] = f"{head}</desc>{BACKGROUND}{rest}\n"
    return found
