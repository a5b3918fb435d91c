"""States that only tests ask about, beside `advisor.evidence.removals`."""

from __future__ import annotations

from dataclasses import replace

from advisor.ensemble.state import State
from advisor.evidence.removals import _good_vent, _no_pressure_at_top


def vent_made_good(state: State) -> State:
    """Return the state with every vent fault removed: blockage, a cold or oversized vent, pressure at its top."""
    return _good_vent(_no_pressure_at_top(replace(state, vent=replace(state.vent, blocked=0.0 * state.vent.blocked))))
