"""What is asked of every situation: does it still spill when the allowed time is over, under a condition?"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from advisor.ensemble.respond import respond
from advisor.ensemble.state import Array, Condition, State


@dataclass(frozen=True, slots=True)
class Question:
    """Whether the heater spills beyond the allowed time.

    Parameters
    ----------
    condition : Condition
        What runs, what stands open, the weather; its name is that of the question.
    allowed_s : float
        Allowed spillage time, s.
    """

    condition: Condition
    allowed_s: float

    def under(self, condition: Condition) -> Question:
        """Return the same question under another condition."""
        return Question(condition, self.allowed_s)

    def spills(self, state: State) -> Array:
        """Return whether each situation spills beyond the allowed time, (n,) of 0 and 1."""
        if state.appliance == "none":
            return np.zeros(state.samples)
        return respond(state, self.condition).spills_beyond(self.allowed_s)

    def share(self, state: State, weight: Array) -> float:
        """Return the share of the situations that spills.

        Parameters
        ----------
        state : State
            ``n`` situations.
        weight : array (n,)
            Their weights, summing to 1.
        """
        return float(np.sum(weight * self.spills(state)))
