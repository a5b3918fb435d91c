"""Who shares a vent with the appliance that a run judged, and in which order they are tried: smallest first, then together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from advisor.case.model import Case, Run, listed
from advisor.case.parts import Appliance
from advisor.case.upgrade import HEATER
from advisor.facts import burners

__all__ = [
    "HEATER",
    "Mate",
    "appliance_of",
    "firing_order",
    "first_in_order",
    "kind_of",
    "mates",
    "name_of",
    "not_smaller",
    "smaller",
]


@dataclass(frozen=True, slots=True)
class Mate:
    """An appliance on a vent.

    Parameters
    ----------
    name : str
        As runs name it; ``heater`` for the heater.
    input_btu_h : float or None
        From its plate, Btu/h; None where nobody read it.
    """

    name: str
    input_btu_h: float | None


def appliance_of(case: Case, name: str | None) -> Appliance | None:
    """Return an appliance by its name; None for the heater and for a name that nobody listed."""
    return next((one for one in listed(case.appliance) if one.name == name), None)


def kind_of(case: Case, name: str | None) -> str:
    """Return the kind of the appliance that runs name so; the heater is a ``water heater``."""
    found = appliance_of(case, name)
    return "water heater" if found is None else found.kind


def name_of(judged: str | None) -> str:
    """Return the name of the appliance that a run judged, ``heater`` for the heater."""
    return HEATER if judged is None else judged


def _on_heaters_vent(case: Case) -> tuple[Mate, ...]:
    others = (Mate(one.name, one.input_btu_h) for one in burners.on_the_vent(case))
    return (Mate(HEATER, case.heater.input_btu_h), *others)


def mates(case: Case, judged: str | None) -> tuple[Mate, ...] | None:
    """Return the other appliances on the vent of the one that was judged.

    Parameters
    ----------
    case : Case
        What was found.
    judged : str or None
        Name of the appliance; None for the heater.

    Returns
    -------
    tuple of Mate or None
        Empty where it is alone; None where nobody wrote down whether it is, or with what it shares its vent.
    """
    one = appliance_of(case, judged)
    if one is not None and one.vent in ("own", "none"):
        return ()
    if one is not None and one.vent is None:
        return None
    found = tuple(mate for mate in _on_heaters_vent(case) if mate.name != name_of(judged))
    if found:
        return found
    return None if burners.sharing_unknown(case) else ()


def _input_of(case: Case, judged: str | None) -> float | None:
    one = appliance_of(case, judged)
    return case.heater.input_btu_h if one is None else one.input_btu_h


def smaller(case: Case, judged: str | None) -> tuple[Mate, ...]:
    """Return those on the vent that are known to be smaller than the judged one: they are tried before it."""
    own = _input_of(case, judged)
    return tuple(
        mate
        for mate in mates(case, judged) or ()
        if own is not None and mate.input_btu_h is not None and mate.input_btu_h < own
    )


def not_smaller(case: Case, judged: str | None) -> tuple[Mate, ...]:
    """Return those on the vent that are as large as the judged one or larger, or of which nobody knows."""
    below = smaller(case, judged)
    return tuple(mate for mate in mates(case, judged) or () if mate not in below)


def firing_order(case: Case) -> tuple[Mate, ...]:
    """Return what stands on the heater's vent, the smallest first, those of unknown input last; empty where it is alone."""
    found = _on_heaters_vent(case)
    if len(found) < 2:
        return ()
    return tuple(sorted(found, key=lambda mate: (mate.input_btu_h is None, mate.input_btu_h or 0.0)))


def first_in_order(case: Case, run: Run, runs: Sequence[Run]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return which smaller ones on the vent were judged before a run, and which only after it, in the same stage.

    Parameters
    ----------
    case : Case
        What was found.
    run : Run
        The run of the larger one.
    runs : sequence of Run
        The whole record, in its order.
    """
    place = next((i for i, one in enumerate(runs) if one is run), len(runs))
    stage = [(i, name_of(one.appliance)) for i, one in enumerate(runs) if one.after_work == run.after_work]
    names = [mate.name for mate in smaller(case, run.appliance)]
    before = tuple(name for name in names if any(i < place and judged == name for i, judged in stage))
    after = (name for name in names if any(i > place and judged == name for i, judged in stage))
    return before, tuple(name for name in after if name not in before)
