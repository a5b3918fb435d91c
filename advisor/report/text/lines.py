"""Lines of a text for the terminal."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable

from advisor.findings import Words
from advisor.wording.speak import say


def filled(words: Words, width: int, bullet: str = "") -> str:
    """Return a paragraph, its further lines under the first one's text."""
    return textwrap.fill(say(words), width, initial_indent=bullet, subsequent_indent=" " * len(bullet))


def listed_lines(items: Iterable[Words], width: int, bullet: str = "- ") -> list[str]:
    """Return a list, one paragraph an item."""
    return [filled(item, width, bullet) for item in items]


def hanging(words: Words, width: int, indent: str = "") -> list[str]:
    """Return a paragraph whose further lines stand two columns to the right."""
    return textwrap.wrap(say(words), width, initial_indent=indent, subsequent_indent=indent + "  ")
