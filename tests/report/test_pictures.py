"""Pictures in README and docs are what the program draws now, and are shown with words for those who do not see them."""

from __future__ import annotations

import xml.etree.ElementTree as ElementTree

import pictures
from conftest import ROOT


def test_pictures_are_what_is_drawn_now():
    for path, drawing in pictures.pictures().items():
        assert path.read_text(encoding="utf-8") == drawing, f"{path.name}: run python tests/refresh_docs.py"
        root = ElementTree.fromstring(drawing)
        assert [child.tag.split("}")[1] for child in root][:2] == ["title", "desc"]


def test_pictures_are_shown_with_words():
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    for path in pictures.pictures():
        assert f"](docs/pictures/{path.name})" in text
        assert f"![](docs/pictures/{path.name})" not in text


def test_si_turns_a_text(command):
    import subprocess

    demo = str(ROOT / "demo" / "hood_and_dryer.toml")
    out = subprocess.run(
        [command, "explain", demo, "recirculating_hood", "--samples", "64", "--units", "si"],
        capture_output=True,
        text=True,
        check=True,
    )
    assert "L/s" in out.stdout
    assert " cfm" not in out.stdout
