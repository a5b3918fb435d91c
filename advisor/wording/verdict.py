"""The verdict of the record in words: one state leads every output."""

from __future__ import annotations

from advisor.evidence.enough import Enough
from advisor.facts.record import Verdict
from advisor.findings import finding, listed, slug
from advisor.wording.speak import say


def title(verdict: Verdict, explained: bool = True) -> str:
    """Return the leading state as a heading; 'not explained' goes with a failure."""
    words = finding(f"record.title.{slug(verdict.leads)}")
    return say(words if explained else finding("record.title_not_explained", title=words))


def sentence(verdict: Verdict, explained: bool = True) -> str:
    """Return the leading state as a sentence."""
    words = finding(f"record.sentence.{slug(verdict.leads)}")
    return say(words if explained else finding("record.sentence_not_explained", sentence=words))


def lacks_words(enough: Enough) -> str:
    """Return why the record is not enough to decide; empty where it is."""
    return say(listed((finding(f"evidence.lacks.{name}") for name in enough.lacks), "semicolon"))
