"""Remedies that take less air out: other hoods, ventless dryer, balanced ventilation, tight returns."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from advisor import units
from advisor.case.parts import Exhaust
from advisor.ensemble.state import State
from advisor.facts.exhaust import outdoors, stated_flow
from advisor.facts.makeup import HOODS
from advisor.findings import Words, finding, quantity
from advisor.remedies.base import Job, Remedy, Sized, effect, permit, spread

BATH_FANS = ("bath fan", "other fan")
"""Fans that a balanced ventilator takes the place of."""


def _hoods(job: Job) -> list[Exhaust]:
    return list(outdoors(job.case, HOODS))


def _big_hoods(job: Job) -> list[Exhaust]:
    limit = effect("large_hood_from_cfm")
    return [e for e in _hoods(job) if stated_flow(e).cfm >= limit]


def replaced_hoods(job: Job) -> frozenset[str]:
    """Return the names of the hoods that a smaller one takes the place of."""
    return frozenset(hood.name for hood in _big_hoods(job))


def _smaller(job: Job) -> tuple[Words, ...]:
    if not _hoods(job):
        return (finding("remedies.not_here.no_ducted_hood"),)
    return () if _big_hoods(job) else (finding("remedies.not_here.hood_small"),)


def _with_flow(state: State, names: list[str], flow_m3_s: float, key: str | None = None) -> State:
    devices = state.house.device_m3_s.copy()
    cap = np.full(state.samples, flow_m3_s) if key is None else spread(state, key) * units.M3_S_PER_CFM
    for name in names:
        i = state.device_index(name)
        devices[i] = np.minimum(devices[i], cap)
    return replace(state, house=replace(state.house, device_m3_s=devices))


def _size_smaller(job: Job) -> Sized:
    return Sized(
        tuple(job.line("HOOD_SMALL") for _ in _big_hoods(job)),
        (finding("remedies.part.smaller_hood", flow=quantity(effect("smaller_hood_cfm"), "cfm")),),
        (),
        (finding("remedies.note.catches_less"),),
    )


def _recirculating(job: Job) -> tuple[Words, ...]:
    hoods = _hoods(job)
    if not hoods:
        return (finding("remedies.not_here.no_ducted_hood"),)
    if any(h.fuel == "gas" for h in hoods):
        return (finding("remedies.not_here.gas_range"),)
    return ()


def _size_recirculating(job: Job) -> Sized:
    return Sized(
        tuple(job.line("HOOD_RECIRC") for _ in _hoods(job)),
        (finding("remedies.part.ductless_hood"),),
        (),
        (finding("remedies.note.smoke_stays"),),
    )


def _dryers(job: Job) -> list[Exhaust]:
    return list(outdoors(job.case, ("dryer",)))


def _ventless(job: Job) -> tuple[Words, ...]:
    return () if _dryers(job) else (finding("remedies.not_here.no_ducted_dryer"),)


def _size_ventless(job: Job) -> Sized:
    notes = (finding("remedies.note.cap_the_dryer_gas"),)
    gas = any(d.fuel == "gas" for d in _dryers(job))
    return Sized(
        tuple(job.line("DRYER_HP") for _ in _dryers(job)),
        (finding("remedies.part.heat_pump_dryer"),),
        (),
        notes if gas else (),
    )


def _bath_fans(job: Job) -> list[Exhaust]:
    return list(outdoors(job.case, BATH_FANS))


def _balanced(job: Job) -> tuple[Words, ...]:
    return () if _bath_fans(job) else (finding("remedies.not_here.no_exhaust_ventilation"),)


def _to_balanced(state: State, job: Job) -> State:
    without = _with_flow(state, [e.name for e in _bath_fans(job)], 0.0)
    left = spread(state, "balanced_imbalance_cfm") * units.M3_S_PER_CFM
    return replace(without, house=replace(without.house, supply_exhaust_m3_s=without.house.supply_exhaust_m3_s + left))


def _size_balanced(job: Job) -> Sized:
    return Sized(
        (job.line("HRV"), permit(job)),
        (finding("remedies.part.balanced_ventilator"),),
        (),
        (finding("remedies.note.not_hood_nor_dryer"),),
    )


def _return_leaks(job: Job) -> tuple[Words, ...]:
    handler = job.case.air_handler
    if not handler.present:
        return (finding("remedies.not_here.no_air_handler"),)
    if not handler.in_zone and not handler.return_leak_cfm:
        return (finding("remedies.not_here.return_elsewhere"),)
    return ()


def _seal(state: State, _: Job) -> State:
    return replace(
        state,
        zone=replace(state.zone, return_leak_m3_s=state.zone.return_leak_m3_s * spread(state, "return_leak_left")),
    )


def _size_seal(job: Job) -> Sized:
    return Sized((job.line("DUCT_SEAL"),), (finding("remedies.part.return_sealed"),))


REMEDIES: tuple[Remedy, ...] = (
    Remedy(
        "smaller_hood",
        _smaller,
        lambda s, j: _with_flow(s, [e.name for e in _big_hoods(j)], 0.0, "smaller_hood_cfm"),
        _size_smaller,
    ),
    Remedy(
        "recirculating_hood",
        _recirculating,
        lambda s, j: _with_flow(s, [e.name for e in _hoods(j)], 0.0),
        _size_recirculating,
    ),
    Remedy("ventless_dryer", _ventless, lambda s, j: _with_flow(s, [e.name for e in _dryers(j)], 0.0), _size_ventless),
    Remedy("balanced_ventilation", _balanced, _to_balanced, _size_balanced),
    Remedy("seal_return_leaks", _return_leaks, _seal, _size_seal),
)
