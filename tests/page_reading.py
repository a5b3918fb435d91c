"""Reading level of a page's running text, counted here: Flesch-Kincaid grade and Automated Readability Index.

Formulas from memory (Kincaid and others 1975, Senter and Smith 1967); held against a readability library in the tests.
"""

from __future__ import annotations

import re
from html.parser import HTMLParser

SKIPPED = {"table", "svg", "style", "nav", "h1", "h2", "h3", "figcaption", "footer", "summary", "dt", "title"}
PROSE = {"p", "li", "dd"}


class Prose(HTMLParser):
    """Collects paragraphs, list items and definitions of <main>, tables and drawings apart."""

    def __init__(self) -> None:
        super().__init__()
        self.inside_main = False
        self.skip = 0
        self.depth = 0
        self.parts: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.inside_main |= tag == "main"
        self.skip += tag in SKIPPED
        if tag in PROSE and self.inside_main and not self.skip:
            self.depth += 1
            self.parts.append("")

    def handle_endtag(self, tag: str) -> None:
        if tag == "main":
            self.inside_main = False
        self.skip -= tag in SKIPPED
        if tag in PROSE and self.depth and not self.skip:
            self.depth -= 1

    def handle_data(self, data: str) -> None:
        if self.depth and not self.skip and self.inside_main:
            self.parts[-1] += data


def prose(html: str) -> list[str]:
    """Return the running text of a page, one string a paragraph."""
    parser = Prose()
    parser.feed(html)
    return [" ".join(part.split()) for part in parser.parts if part.strip()]


def syllables(word: str) -> int:
    """Return the syllables of an English word: groups of vowels, a silent e at the end apart."""
    word = re.sub(r"[^a-z]", "", word.lower())
    if not word:
        return 1
    groups = len(re.findall(r"[aeiouy]+", word))
    if word.endswith("e") and not word.endswith(("le", "ee", "ye")) and groups > 1:
        groups -= 1
    if word.endswith("ed") and not word.endswith(("ted", "ded")) and groups > 1:
        groups -= 1
    return max(groups, 1)


def counts(paragraphs: list[str]) -> tuple[int, int, int, int]:
    """Return sentences, words, syllables and letters."""
    sentences, words = 0, []
    for paragraph in paragraphs:
        pieces = [p for p in re.split(r"(?<=[.!?:;])\s+", paragraph) if re.search(r"[A-Za-z]", p)]
        # only full stops, question and exclamation marks end a sentence
        sentences += max(1, sum(1 for p in pieces if p.rstrip().endswith((".", "!", "?"))))
        words += re.findall(r"[A-Za-z0-9$][A-Za-z0-9'$,.%-]*", paragraph)
    return (
        sentences,
        len(words),
        sum(syllables(w) for w in words),
        sum(len(re.sub(r"[^A-Za-z0-9]", "", w)) for w in words),
    )


def flesch_kincaid_grade(paragraphs: list[str]) -> float:
    """Return 0.39 words/sentence + 11.8 syllables/word - 15.59."""
    sentences, words, sounds, _ = counts(paragraphs)
    return 0.39 * words / sentences + 11.8 * sounds / words - 15.59


def automated_index(paragraphs: list[str]) -> float:
    """Return 4.71 letters/word + 0.5 words/sentence - 21.43."""
    sentences, words, _, letters = counts(paragraphs)
    return 4.71 * letters / words + 0.5 * words / sentences - 21.43
