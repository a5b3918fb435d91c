"""What the record says beside what the explanation says, observation by observation, in words."""

from __future__ import annotations

import math
from collections.abc import Sequence

from advisor.case.model import Run
from advisor.evidence.coherence import Coherence
from advisor.evidence.signs import NO_SIGN

KIND_WORDS = {
    "seen": "seen at the hood",
    "seconds": "seconds to draft",
    "draft": "draft",
    "pressure": "zone below outdoors",
    "baseline": "the same with everything off",
    "signs": "signs at the heater",
}
UNITS = {"seconds": "s", "draft": "Pa", "pressure": "Pa", "baseline": "Pa"}
HEADS = ("run", "observed", "the record says", "the explanation says (modelled)", "fits")
FITS, ODD = "yes", "NO"


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
        label = "" if one.run_index < 0 else record[one.run_index].label
        run = record[one.run_index] if one.run_index >= 0 else None
        net = one.kind == "pressure" and run is not None and run.baseline_depressurization_pa is not None
        what = f"{KIND_WORDS[one.kind]}{', net' if net else ''}"
        # a sign has other causes, and spillage often leaves none: it is shown, and neither fits nor not
        fits = "" if one.kind == "signs" else FITS if one.fits else ODD
        rows.append((label, what, _said(one), _explained(one), fits))
    return rows


def _said(one: Coherence) -> str:
    if isinstance(one.observed, str):
        return one.observed
    return f"{one.observed:g} {UNITS[one.kind]}"


def _explained(one: Coherence) -> str:
    if one.kind == "signs":
        spills = 1.0 - one.probability if one.observed == NO_SIGN else one.probability
        return f"{_percent(spills)} spill in ordinary use"
    if one.expected is None:
        return f"so in {_percent(one.probability)} of situations"
    low, _, high = one.expected
    digits = 0 if one.kind == "seconds" else 1
    top = "never" if math.isinf(high) else f"{high:.{digits}f}"
    return f"{low:.{digits}f} to {top} {UNITS[one.kind]}"


def _percent(share: float) -> str:
    return "under 1 %" if share < 0.01 else "over 99 %" if share > 0.99 else f"{100.0 * share:.0f} %"
