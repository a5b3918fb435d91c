"""What views share in saying: a capital first, and the names of ids that a reader meets (a verdict, a status, a state)."""

from __future__ import annotations

from advisor.findings import Finding, Words, finding
from advisor.wording.speak import say


def sentence(words: Words) -> str:
    """Return something said, with a capital first letter."""
    said = say(words)
    return said[:1].upper() + said[1:]


def slug(name: str) -> str:
    """Return an id as the end of a message's id: ``not enough`` becomes ``not_enough``."""
    return "_".join(name.lower().replace("-", " ").replace(":", " ").split())


def named(kind: str, name: str) -> Finding:
    """Return the name that readers meet for an id: message ``view.<kind>.<id>``."""
    return finding(f"view.{kind}.{slug(name)}")


def label(kind: str, name: str) -> str:
    """Return the name of an id, said."""
    return say(named(kind, name))


def bill_words(words: Words, assumed: bool) -> str:
    """Return a line of a bill, marked where nobody has said that the part is needed."""
    return say(finding("view.assumed_line", words=words)) if assumed else say(words)
