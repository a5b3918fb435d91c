"""What was not measured, with what knowing it would buy."""

from __future__ import annotations

from advisor.findings import Finding, finding
from advisor.wording.messages import has
from advisor.wording.speak import say


def worth_words(assumed: Finding) -> str:
    """Return a value that nobody measured, and what knowing it would buy where that is known."""
    buys = f"assumed.buys.{assumed.id.partition('.')[2]}"
    return say(finding("assumed.with_buys", what=assumed, buys=finding(buys)) if has(buys) else assumed)
