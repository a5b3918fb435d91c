"""A language in which every message stands in brackets: what stands outside them was never a message."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from babel.messages.pofile import read_po, write_po
from conftest import ROOT
from said_outputs import checked, clauses, pages, plain_texts, terminal, typed, without, workbook, worked_out

from advisor.wording.messages import languages, texts_from
from advisor.wording.speak import speaking, text

pytestmark = pytest.mark.xdist_group("pages")  # share the demos' advice on one worker

LANGUAGE = "en_US"
"""Only its folder is made up: numbers and plurals go by a locale that there is."""
RUN = re.compile(r"[A-Za-z][a-z']+(?:[,;:]? [A-Za-z][a-z']+){2,}")
"""Three or more words in a row."""
NAMES = ("stored_insulation", "return_leak_in_the_closet", "sound_house")


@pytest.fixture(scope="module", autouse=True)
def bracketed(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Speak a language of which every message is the English one in brackets."""
    folder = tmp_path_factory.mktemp("texts")
    for language in ("en", LANGUAGE):
        (folder / language).mkdir()
    for path in sorted((ROOT / "catalog" / "texts" / "en").glob("*.po")):
        (folder / "en" / path.name).write_bytes(path.read_bytes())
        with path.open("rb") as handle:
            messages = read_po(handle, locale=LANGUAGE)
        for message in messages:
            if message.id:
                said = message.string
                message.string = f"⟦{said}⟧" if isinstance(said, str) else tuple(f"⟦{one}⟧" for one in said)
        with (folder / LANGUAGE / path.name).open("wb") as handle:
            write_po(handle, messages)
    with texts_from(folder), speaking("us", LANGUAGE):
        yield


def outside(piece: str) -> str:
    """Return what stands outside all brackets."""
    depth, kept = 0, []
    for sign in piece:
        depth += sign == "⟦"
        kept.append(sign if depth == 0 else "|" if sign == "⟦" else "")
        depth = max(depth - (sign == "⟧"), 0)
    return "".join(kept)


def runs(pieces: list[str], names: list[str]) -> set[str]:
    """Return the runs of words outside the brackets, without what was typed."""
    return {found for piece in without([outside(p) for p in pieces], names) for found in RUN.findall(piece)}


def open_texts(name: str) -> list[tuple[str, str]]:
    """Return the texts that a demo's records hold and that no message said."""
    found = [*plain_texts(worked_out(name)), *plain_texts(checked(name))]
    names = [*typed(worked_out(name)), *clauses()]
    return [(place, said) for place, said in found if runs([said], names)]


def test_brackets_are_spoken() -> None:
    assert languages() == ("en", LANGUAGE)
    assert text("text.head.now") == "⟦WHAT TO DO NOW⟧"
    assert outside("a ⟦b {c} ⟦d⟧ e⟧ f") == "a || f"
    assert runs(["⟦all of this⟧ but not this one"], []) == {"but not this one"}
    assert runs(["⟦all of this⟧ but not this one"], ["not"]) == set()


@pytest.mark.parametrize("name", NAMES)
def test_what_is_printed_is_said(name: str, tmp_path: Path) -> None:
    shown = {command: ["\n".join(lines)] for command, lines in terminal(name).items() if command != "csv"}
    shown |= {**pages(name), "workbook": workbook(name, tmp_path)}
    names = [*typed(worked_out(name)), *clauses()]
    left = {command: runs(pieces, names) for command, pieces in shown.items()}
    assert not {command: found for command, found in left.items() if found}


def test_no_record_holds_a_sentence() -> None:
    assert not {place for name in NAMES for place, _ in open_texts(name)}
