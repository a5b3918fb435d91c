"""All remedies, by family. To add one: a row in ``catalog/ranking/remedies.csv`` and an entry in its family's file."""

from __future__ import annotations

from functools import cache

from advisor.remedies.base import Remedy


@cache
def all_remedies() -> tuple[Remedy, ...]:
    """Return every remedy, in the order of the catalog."""
    from advisor import catalog
    from advisor.remedies import combustion_air, exhaust, keep, replacement, venting

    known = {r.id: r for family in (keep, combustion_air, venting, exhaust, replacement) for r in family.REMEDIES}
    return tuple(known[row["id"]] for row in catalog.table("remedies"))
