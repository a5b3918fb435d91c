"""Messages: every finding has one, in every language the same places; quantities are written by published factors."""

from __future__ import annotations

import ast
import math
import re
import string
from pathlib import Path

import pytest
from babel.messages.pofile import read_po
from conftest import ROOT

from advisor.errors import InputError
from advisor.findings import Quantity, finding, listed, quantity, share, usd
from advisor.wording.messages import SOURCE_LANGUAGE, checked, has, languages, text_of, texts_from
from advisor.wording.speak import say, speaking

TEXTS = ROOT / "catalog" / "texts"
FILES = sorted(TEXTS.glob("*/*.po"))
MAKERS = ("finding", "text")


def messages(path: Path) -> dict[str, str]:
    with path.open("rb") as handle:
        found = read_po(handle, locale=path.parent.name)
    texts = {}
    for message in found:
        if message.id:
            name = message.id if isinstance(message.id, str) else message.id[0]
            texts[name] = message.string if isinstance(message.string, str) else " ".join(message.string)
    return texts


def places(text: str) -> set[str]:
    return {name for _, name, _, _ in string.Formatter().parse(text) if name}


def said_ids() -> set[str]:
    """Return every id that stands in the code as one piece."""
    found = set()
    for path in (ROOT / "advisor").rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in MAKERS and node.args:
                first = node.args[0]
                if isinstance(first, ast.Constant) and isinstance(first.value, str) and "." in first.value:
                    found.add(first.value)
    return found


@pytest.mark.parametrize("path", FILES, ids=lambda p: f"{p.parent.name}/{p.stem}")
def test_a_file_holds_its_own_room_and_no_message_twice(path: Path) -> None:
    ids = re.findall(r'^msgid "(.+)"$', path.read_text(encoding="utf-8"), re.MULTILINE)
    assert len(ids) == len(set(ids))
    assert all(name.startswith(f"{path.stem}.") for name in ids)
    assert all(text for text in messages(path).values()), "an empty message"


def test_every_finding_has_its_message() -> None:
    missing = sorted(name for name in said_ids() if not has(name))
    assert not missing


@pytest.mark.parametrize("language", [name for name in languages() if name != SOURCE_LANGUAGE])
def test_a_language_has_the_places_of_the_source(language: str) -> None:
    for path in sorted((TEXTS / language).glob("*.po")):
        source = messages(TEXTS / SOURCE_LANGUAGE / path.name)
        for name, words in messages(path).items():
            assert name in source, name
            assert places(words) == places(source[name]), name


# ---- quantities


@pytest.mark.parametrize(
    ("value", "us", "si"),
    [
        # factors: international yard and pound 1959, exact; digits: three figures
        (quantity(22.0, "ft"), "22 ft", "6.71 m"),
        (quantity(2.5, "ft"), "2.5 ft", "0.76 m"),
        (quantity(4.0, "in"), "4 in", "102 mm"),
        (quantity(100.0, "cfm"), "100 cfm", "47.2 L/s"),
        (quantity(40_000.0, "btu_h"), "40,000 Btu/h", "11.7 kW"),
        (quantity(212.0, "f"), "212 F", "100 C"),
        (quantity(18.0, "f_step"), "18 F", "10 K"),
        (quantity(5.0, "pa"), "5 Pa", "5 Pa"),
        (quantity(2000.0, "ft2"), "2,000 ft2", "186 m2"),
        (quantity(None, "ft"), "not given", "not given"),
        (quantity(math.inf, "ft"), "none in reach", "none in reach"),
        (quantity(2026.0, "year"), "2026", "2026"),
    ],
)
def test_a_quantity_in_both_systems(value: Quantity, us: str, si: str) -> None:
    assert say(value) == us
    with speaking("si"):
        assert say(value) == si


@pytest.mark.parametrize(
    ("value", "words"),
    [
        (share(0.0), "under 1 %"),
        (share(0.456), "46 %"),
        (share(0.996), "over 99 %"),
        (usd(1254.0), "$1,250"),
        (usd(12_345.0), "$12,300"),
        (usd(-1254.0), "-$1,250"),
        (quantity(125.0, "usd_exact"), "$125"),
        (quantity(12.5, "usd_exact"), "$12.50"),
        (listed(["a", "b", "c"], "and"), "a, b and c"),
        (listed(["a"], "or"), "a"),
        (listed(["a", "b"], "semicolon"), "a; b"),
    ],
)
def test_shares_money_and_lists(value: object, words: str) -> None:
    assert say(value) == words


def test_what_was_typed_stays_as_typed() -> None:
    """Braces, quotes and units in a name are no places and are not converted."""
    with speaking("si"):
        assert say(finding("codes.rule_of_run", rule="r", run="4 in {x} 22 ft")) == "r (run '4 in {x} 22 ft')"


def test_a_folder_that_is_no_language_is_told(tmp_path: Path) -> None:
    (tmp_path / "zz").mkdir()
    (tmp_path / "zz" / "units.po").write_text((TEXTS / "en" / "units.po").read_text(encoding="utf-8"), encoding="utf-8")
    with texts_from(tmp_path), pytest.raises(InputError, match="no language code"):
        checked("zz")


def test_unknown_language_and_message() -> None:
    with pytest.raises(InputError, match="no such language"):
        checked("xx")
    with pytest.raises(KeyError):
        text_of("codes.no_such_message")
