"""What the record says beside what the explanation says, observation by observation, in words."""

from __future__ import annotations

import math
from collections.abc import Sequence

from advisor.case.model import Run
from advisor.evidence.coherence import Coherence
from advisor.evidence.signs import NO_SIGN
from advisor.findings import Finding, Listed, Quantity, finding, listed, quantity, share, slug
from advisor.wording.speak import say, text

UNITS = {"seconds": "s", "draft": "pa", "pressure": "pa", "baseline": "pa"}
COLUMNS = ("run", "observed", "says", "explained", "fits")


def heads() -> tuple[str, ...]:
    """Return the headings of the table."""
    return tuple(text(f"evidence.row.{name}") for name in COLUMNS)


def coherence_rows(record: Sequence[Run], observations: Sequence[Coherence]) -> list[tuple[str, str, str, str, str]]:
    """Return the table "what the record says, what the explanation says", one row an observation.

    Parameters
    ----------
    record : sequence of Run
        Runs that the observations point into.
    observations : sequence of Coherence
        From `advisor.evidence.coherence.explain`.
    """
    rows = []
    for one in observations:
        run = record[one.run_index] if one.run_index >= 0 else None
        net = one.kind == "pressure" and run is not None and run.baseline_depressurization_pa is not None
        what = finding(f"evidence.kind.{one.kind}{'_net' if net else ''}")
        # a sign has other causes, and spillage often leaves none: it is shown, and neither fits nor not
        fits = "" if one.kind == "signs" else text(f"evidence.row.{'yes' if one.fits else 'no'}")
        rows.append(("" if run is None else run.label, say(what), say(_said(one)), say(_explained(one)), fits))
    return rows


def _said(one: Coherence) -> Finding | Quantity | Listed:
    if not isinstance(one.observed, str):
        return quantity(one.observed, UNITS[one.kind], 2)
    if one.kind == "signs":
        return listed(finding(f"record.sign.{slug(sign)}") for sign in one.observed.split(", "))
    return finding(f"evidence.word.{one.observed}")


def _explained(one: Coherence) -> Finding:
    if one.kind == "signs":
        spills = 1.0 - one.probability if one.observed == NO_SIGN else one.probability
        return finding("evidence.explained.signs", share=share(spills))
    if one.expected is None:
        return finding("evidence.explained.word", share=share(one.probability))
    unit = UNITS[one.kind]
    low, high = (quantity(end, unit) for end in (one.expected[0], one.expected[2]))
    return finding(f"evidence.explained.{'never' if math.isinf(one.expected[2]) else 'band'}", low=low, high=high)
