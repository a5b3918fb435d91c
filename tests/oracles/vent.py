"""Formulae that only tests use, beside `advisor.physics.vent`."""

from __future__ import annotations

import numpy as np

from advisor.physics.flow import Array
from advisor.physics.vent import SEGMENTS, Vent, net_draft_pa, stack_pa


def idle_reversal_pa(vent: Vent, fill_k: Array, outdoor_k: Array) -> Array:
    """Depressurization that reverses a vent without fire filled with gas at ``fill_k``, Pa."""
    gas = np.broadcast_to(fill_k, (SEGMENTS, *np.shape(outdoor_k)))
    return stack_pa(vent, gas, outdoor_k) - vent.terminal_pa


def hot_onset_pa(vent: Vent, products_kg_s: Array, products_k: Array, room_k: Array, outdoor_k: Array) -> Array:
    """Depressurization at which a hot vent begins to spill, Pa: net draft at the flow of the products alone."""
    return net_draft_pa(vent, products_kg_s, products_kg_s, products_k, room_k, outdoor_k)[0]
