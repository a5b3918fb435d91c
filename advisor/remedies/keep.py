"""Leaving it as it is, and the interim measures that are never ranked."""

from __future__ import annotations

from advisor import catalog
from advisor.findings import Finding, finding
from advisor.remedies.base import Job, Remedy, Sized, always

REMEDIES: tuple[Remedy, ...] = (Remedy("leave_as_found", always, lambda state, _: state, lambda _: Sized(())),)


def interim_measures(job: Job) -> tuple[Finding, ...]:
    """Return what to do until the work is done; none of it is a remedy (see ``catalog/ranking/interim.csv``)."""
    found = []
    for row in catalog.table("interim"):
        if row["when"] == "no alarm" and (job.case.occupants.co_alarms or 0) > 0:
            continue
        found.append(finding(f"remedies.interim.{row['key']}"))
    return tuple(found)
