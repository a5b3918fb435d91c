"""What nobody measured, with what knowing it would buy, and the local rules that replace published ones."""

from __future__ import annotations

from collections.abc import Iterable

from advisor.catalog import Amendment
from advisor.findings import Finding, finding
from advisor.wording.assumed import worth_words
from advisor.wording.units import written


def worth_knowing(assumed: Iterable[Finding]) -> list[str]:
    """Return the unmeasured values, each with what knowing it would buy."""
    return [worth_words(one) for one in assumed]


def amendment_words(amendments: Iterable[Amendment]) -> list[Finding]:
    """Return the local rules in force, each beside the published one."""
    return [
        finding(
            "view.amendment",
            key=a.key,
            here=written(a.value, a.unit),
            source=a.source,
            published=written(a.published, a.unit),
            ref=a.ref,
        )
        for a in amendments
    ]
