"""The verdict of the record in words: one state leads every output."""

from __future__ import annotations

from functools import cache

from advisor import catalog
from advisor.evidence.enough import Enough
from advisor.facts.record import Verdict

LACKS_WORDS = {
    "danger": "there is danger now",
    "unproven": "no valid worst-case pass or failure is on record",
    "unexplained": "the model cannot show what was seen",
    "tie": "the first options tie within their error",
    "vent_not_looked_through": "nobody looked through the vent from end to end",
    "void_run": "a run is void: wind or readings that contradict each other",
}


@cache
def _rows() -> dict[str, catalog.Row]:
    return {row["state"]: row for row in catalog.table("verdict_words")}


def title(verdict: Verdict, explained: bool = True) -> str:
    """Return the leading state as a heading; 'not explained' goes with a failure."""
    words = _rows()[verdict.leads]["title"]
    return words if explained else f"{words} ({_rows()['unexplained']['title']})"


def sentence(verdict: Verdict, explained: bool = True) -> str:
    """Return the leading state as a sentence."""
    words = _rows()[verdict.leads]["sentence"]
    return words if explained else f"{words} {_rows()['unexplained']['sentence']}"


def lacks_words(enough: Enough) -> str:
    """Return why the record is not enough to decide; empty where it is."""
    return "; ".join(LACKS_WORDS[name] for name in enough.lacks)
