"""What the model does not know, and what nobody wrote down: part of every situation, so that a record can surprise it.

A shared offset of the draft, a vent that stands reversed before it fires, one tester's error in all his runs, exhaust
that nobody listed, and the usual devices of a house whose list is not known. Unknown never narrows what is possible.
"""

from __future__ import annotations

import numpy as np

from advisor import catalog, units
from advisor.case.model import Case
from advisor.ensemble.faults import choose_fault
from advisor.ensemble.state import Array, Device
from advisor.ensemble.uniforms import Uniforms, triangular
from advisor.facts.exhaust import usual_flow

USUAL_DEVICES = (
    ("bath fan", "bath_fan", "usual_bath_fan_prob", "fan_a", "usual_a"),
    ("range hood", "range_hood", "usual_range_hood_prob", "fan_b", "usual_b"),
    ("dryer", "dryer", "usual_dryer_prob", "fan_c", "usual_c"),
)
"""Kind of device, its row of ``exhaust_flows``, its prior and the columns of its flow and its presence."""
NOT_LISTED = "not on the list"


def _prior(key: str) -> float:
    return catalog.number("priors", key)


def draw_offset(u: Uniforms) -> tuple[Array, Array]:
    """Draw the pressure against the draft that no part of the model explains: small either way, at times large and against.

    Parameters
    ----------
    u : Uniforms
        One point a situation.

    Returns
    -------
    offset_pa : array (n,)
        Pa, positive against the draft.
    log_weight : array (n,)
        Undoes the over-sampling of its tail.
    """
    kind, weight = choose_fault(u.column("offset_tail"), (_prior("draft_offset_tail_prob"),))
    tail = np.abs(u.normal("offset_tail_size")) * _prior("draft_offset_tail_pa")
    return _prior("draft_offset_sd_pa") * u.normal("offset") + np.where(kind == 1, tail, 0.0), weight


def starts_reversed(u: Uniforms) -> Array:
    """Whether a cold start finds the vent reversed where both idle states are stable, as 0 or 1, (n,)."""
    return (u.column("starts_reversed") < _prior("starts_reversed_prob")).astype(np.float64)


def unlisted_m3_s(u: Uniforms) -> Array:
    """Exhaust that nobody listed, m3/s, (n,)."""
    there = u.column("unlisted") < _prior("unlisted_exhaust_prob")
    return np.asarray(there * u.prior("unlisted_amount", "unlisted_exhaust_cfm") * units.M3_S_PER_CFM)


def offset_log_density(offset_pa: Array, scale: float) -> Array:
    """Log of the prior density of the offset when its size is multiplied by ``scale``.

    A normal alone, or a normal plus the size of another one, which is a skew normal (Azzalini 1985; from memory, checked
    by quadrature in the tests).

    Parameters
    ----------
    offset_pa : array (n,)
        Offsets, Pa against the draft.
    scale : float
        Above 0; 1 is the prior itself.
    """
    from scipy.special import log_ndtr

    small, large = (scale * _prior(key) for key in ("draft_offset_sd_pa", "draft_offset_tail_pa"))
    share, both = _prior("draft_offset_tail_prob"), float(np.hypot(small, large))
    usual = -0.5 * (offset_pa / small) ** 2 - np.log(small)
    tail = np.log(2.0) - 0.5 * (offset_pa / both) ** 2 - np.log(both) + log_ndtr(large / small * offset_pa / both)
    mixed = np.logaddexp(np.log(1.0 - share) + usual, np.log(share) + tail)
    return np.asarray(mixed - 0.5 * np.log(2.0 * np.pi))


def usual_devices(u: Uniforms) -> tuple[list[Device], list[Array]]:
    """Return the usual exhaust of a house whose list nobody wrote down, and its flows, m3/s: none where it has none."""
    devices, flows = [], []
    for kind, key, prior, column, there in USUAL_DEVICES:
        usual = usual_flow(key)
        flow = triangular(u.column(column), usual.low_cfm, usual.typical_cfm, usual.high_cfm) * units.M3_S_PER_CFM
        devices.append(Device(f"{kind}, {NOT_LISTED}", kind, False, True, "electric", True, assumed=True))
        flows.append(flow * (u.column(there) < _prior(prior)))
    return devices, flows


def supply_m3_s(case: Case, u: Uniforms) -> Array:
    """Supply air of a house, m3/s; where nobody said whether there is any, a share of the situations has a fan."""
    if case.supply is not None:
        return np.full(u.samples, sum(s.supply_cfm for s in case.supply) * units.M3_S_PER_CFM)
    there = u.column("supply_unknown") < _prior("supply_unknown_prob")
    return np.asarray(there * u.prior("supply_amount", "supply_unknown_cfm") * units.M3_S_PER_CFM)


def duct_leaks_cfm(case: Case, u: Uniforms) -> tuple[Array, Array]:
    """Return-air leak in the zone and supply air lost outdoors, cfm; an air handler nobody looked for may be there."""
    handler = case.air_handler
    none = np.zeros(u.samples)
    there = np.ones(u.samples) if handler.present else none
    if handler.present is None:
        there = (u.column("handler_unknown") < _prior("air_handler_unknown_prob")).astype(np.float64)
    in_zone = np.ones(u.samples) if handler.in_zone else none
    # a closet weatherstripped from the house is built to keep its air apart: no return stands in it unseen
    if handler.present is None and not handler.in_zone and case.zone.door != "weatherstripped":
        in_zone = (u.column("handler_zone") < _prior("air_handler_unknown_in_zone_prob")).astype(np.float64)
    if handler.return_leak_cfm is not None:
        returns = np.full(u.samples, handler.return_leak_cfm)
    else:
        returns = there * in_zone * u.prior("return_leak", "return_leak_in_zone_cfm")
    supply = there * u.known_or(handler.supply_leak_cfm, "supply_leak", "supply_leak_outdoors_cfm")
    return returns, supply


def shared_there(case: Case, u: Uniforms) -> Array:
    """Whether an idle draft-hood appliance stands on the same vent, though none was described, as 0 or 1."""
    if case.vent.shared is False:
        return np.zeros(u.samples)
    if case.vent.shared is True:
        return np.ones(u.samples)
    return (u.column("shared_unknown") < _prior("shared_unknown_prob")).astype(np.float64)
