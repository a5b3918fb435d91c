"""Formulae that only tests use, beside `advisor.physics.startup`."""

from __future__ import annotations

import numpy as np

from advisor.physics.flow import Array
from advisor.physics.startup import Boundary
from advisor.physics.vent import (
    Vent,
)


def fixed_depressurization(vent: Vent, depressurization_pa: Array) -> Boundary:
    """Boundary with a given depressurization at the hood, Pa."""

    def solve(coefficient: Array, drive_pa: Array) -> tuple[Array, Array]:
        from advisor.physics.flow import orifice_flow

        flow, _ = orifice_flow(coefficient, drive_pa - vent.terminal_pa - depressurization_pa)
        return flow, np.broadcast_to(depressurization_pa, flow.shape)

    return solve
